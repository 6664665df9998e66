#!/usr/bin/python3
"""What to repair, and what matters most: two lists of one ranking.

The arrangement and the log themselves are read here for standing and hours; the first list must be
what the ranking says of those that failed or are untested, whatever else is asked for.

Needs Python 3.11, its standard library only.
Environment: COAMING, the program; COAMING_ROOT, the source tree. The ships here are invented.
"""

import csv
import io
import re
import unittest
import xml.etree.ElementTree as ElementTree

from harness import AS_OF, BARGE, DEMO, DEMO_LOG, USAGE, WHOLE, Case, log, tested

FIRST = "To make good or test first:"
MOST = "Whose failure would cost most"
# Of each: the closure D1 that failed, and D2 and H1 that are untested, one of them without hours.
SHIP = """<arrangement xmlns="urn:coaming:arrangement:1" name="Two lists">
<ship length="40" beam="8" depth="4" draft="2"/>
<space id="a" name="A" worth="1" shell="yes"><box x="0 10" y="-4 4" z="0 4"/></space>
<space id="b" name="B" worth="2" shell="yes"><box x="10 20" y="-4 4" z="0 4"/></space>
<space id="c" name="C" worth="3" shell="yes"><box x="20 30" y="-4 4" z="0 4"/></space>
<space id="d" name="D" worth="9" shell="yes"><box x="30 40" y="-4 4" z="0 4"/></space>
<closure id="D1" name="Failed" kind="door" between="a b" rating="watertight" hours="3">
<clear x="10" y="0" z="1" width="0.8" height="1.8" lies="transverse"/></closure>
<closure id="D2" name="Untested" kind="door" between="b c" rating="watertight" hours="1.5">
<clear x="20" y="0" z="1" width="0.8" height="1.8" lies="transverse"/></closure>
<closure id="D3" name="Passed" kind="door" between="c d" rating="watertight" hours="8">
<clear x="30" y="0" z="1" width="0.8" height="1.8" lies="transverse"/></closure>
<closure id="H1" name="Dry" kind="hatch" between="d weather" rating="weathertight">
<clear x="35" y="0" z="4" width="1" height="1" lies="deck"/></closure>
</arrangement>
"""
LOG = log(tested("D1", "2026-03-01", "fail"), tested("D3", "2026-03-01", "pass"),
          ship="Two lists")
WATER = ("--hazard", "water", "--level", "still")


def ids(text):
    """The closures of the blocks in a text, with the numbers beside them."""
    return [(m[2], int(m[1])) for m in re.finditer(r"(?m)^ *(\d+)  (\S+) ", text)]


class Ranked(Case):
    def lists(self, *asked):
        """The two lists of a text: each its head as one line, and what follows it."""
        text = self.good("rank", *AS_OF, *asked).split("\nCaution:")[0]
        found = {}
        for name in (FIRST, MOST):
            if f"\n{name}" in text:
                part = text.split(f"\n{name}")[1].split(f"\n\n{MOST}")[0] + "\n"
                head = re.match(r"(?:.*\n)(?:  (?!\d+  )\S.*\n)*", part)[0]
                found[name] = (" ".join(head.split()), part[len(head):])
        return found

    def work(self, found):
        """What is to be made good or tested of a document, from the ship's own file."""
        rated = {c.get("id"): c.get("rating") for c in ElementTree.parse(DEMO).getroot()}
        return [r for r in found["closures"] if r["result"] == "fail" or
                r["result"] == "untested" and rated[r["closure"]] != "nontight"]

    def two(self):
        self.write("log.xml", LOG)
        return self.ship(SHIP), "--log", "log.xml"


class First(Ranked):
    QUESTIONS = ((), ("--hazard", "water"), ("--hazard", "air", "--level", "still"),
                 ("--level", "still", "--by-risk"), ("--level", "still", "--measure", "volume"),
                 ("--measure", "freeboard"), ("--condition", "sea"))

    def test_what_passed_is_not_in_the_list_to_work_from(self):
        for asked in self.QUESTIONS if WHOLE else self.QUESTIONS[2:5]:
            asked = (DEMO, "--log", DEMO_LOG, *asked)
            found = self.document("rank", *asked)
            rows = found["closures"]
            work = [(r["closure"], r["rank"]) for r in self.work(found)]
            self.assertGreater(len(work), 10)
            self.assertLess(len(work), len(rows) / 2)
            self.assertNotEqual(rows[0]["result"], "untested")
            lists = self.lists(*asked)
            self.assertEqual(list(lists), [FIRST, MOST])
            self.assertEqual(ids(lists[FIRST][1]), work)
            self.assertIn("not a list of repairs", lists[MOST][0])
            told = dict(ids(lists[MOST][1]))
            self.assertEqual(told, {r["closure"]: r["rank"] for r in rows if r["worst_source"]})

    def test_the_document_names_the_same_whatever_rows_are_asked_for(self):
        asked = (DEMO, "--log", DEMO_LOG, "--level", "still")
        work = [r["closure"] for r in self.work(self.document("rank", *asked))]
        for more in ((), ("--top", "1"), ("--standing", "passed"), ("--standing", "failed")):
            self.assertEqual(self.document("rank", *asked, *more)["repair_first"], work)

    def test_by_hand(self):
        # Water, draught 2: D1 failed, so a and b flood as one. A breach of each space has weight
        # 1/4, the sea finds no way in. D1: a breach of a costs b (2), of b costs a (1): 3/4.
        # D2: of a or b costs c (3), of c costs both (3): 9/4. D3: of c costs d (9), of d c (3): 12/4.
        lists = self.lists(*self.two(), *WATER)
        self.assertEqual(ids(lists[FIRST][1]), [("D2", 2), ("D1", 3), ("H1", 4)])
        self.assertEqual(ids(lists[MOST][1]), [("D3", 1), ("D2", 2), ("D1", 3)])
        self.assertIn("1 failed (3 h to make good), 2 untested (1.5 h to make good if all need it, "
                      "1 without hours); worst first, by consequence.", lists[FIRST][0])
        self.assertRegex(lists[FIRST][1], r"H1 [^\n]*untested +0\n +no loss by this measure")
        self.assertIn("FAILED 2026-03-01 ", lists[FIRST][1].split("D1 ")[1].split("\n")[0])
        for id, part in (("D1", FIRST), ("D3", MOST)):
            headline, manner = lists[part][1].split(f" {id} ")[1].split("\n")[:2]
            passed = "pass 2026-" in headline
            self.assertEqual(passed, id == "D3")
            self.assertRegex(manner, r"^ +tested by chalk; water ")
            self.assertEqual("h to make good" in manner, not passed)

    def test_hours_are_those_of_the_arrangement(self):
        hours = {c.get("id"): c.get("hours") for c in ElementTree.parse(DEMO).getroot()
                 if c.tag.endswith("}closure")}
        found = self.document("rank", DEMO, "--log", DEMO_LOG, "--level", "still")
        for row in found["closures"]:
            given = hours[row["closure"]]
            self.assertEqual(row["hours"], float(given) if given else None)
        for result, word in (("fail", "failed"), ("untested", "untested")):
            rows = [r for r in self.work(found) if r["result"] == result]
            known = [r["hours"] for r in rows if r["hours"] is not None]
            self.assertEqual(found["repair_work"][word], {
                "closures": len(rows), "hours": sum(known), "without_hours": len(rows) - len(known)})
            self.assertGreater(sum(known), 5)

    def test_what_is_rated_nontight_is_not_to_be_tested_but_to_be_repaired(self):
        ship = self.ship(SHIP.replace('"Untested" kind="door" between="b c" rating="watertight"',
                                      '"Untested" kind="door" between="b c" rating="nontight"'))
        self.write("log.xml", LOG)
        asked = (ship, "--log", "log.xml", *WATER)
        lists = self.lists(*asked)
        self.assertEqual([i for i, _ in ids(lists[FIRST][1])], ["D1", "H1"])
        self.assertIn("1 untested (1 without hours, 1 more rated nontight and not tested)",
                      lists[FIRST][0])
        self.assertIn("rated nontight and not tested", self.lists(
            *asked, "--standing", "untested")[FIRST][1])
        self.write("log.xml", LOG.replace("</test-log>",
                                          tested("D2", "2026-03-02", "fail") + "</test-log>"))
        self.assertEqual(self.document("rank", *asked)["repair_first"], ["D2", "D1", "H1"])

    def test_nothing_to_do_is_said(self):
        done = log(*(tested(c, "2026-03-01", "pass") for c in ("D1", "D2", "D3", "H1")),
                   ship="Two lists")
        self.write("log.xml", done)
        lists = self.lists(self.ship(SHIP), "--log", "log.xml", *WATER)
        self.assertEqual(lists[FIRST][0], "0 failed, 0 untested.")
        self.assertEqual(ids(lists[FIRST][1]), [])

    def test_what_top_cuts_off_is_named_if_it_failed_or_is_untested(self):
        asked = (DEMO, "--log", DEMO_LOG, "--level", "still")
        found = self.document("rank", *asked)
        rows, work = found["closures"], [r["closure"] for r in self.work(found)]
        for top in (1, 3, len(work), 500):
            lists = self.lists(*asked, "--top", top)
            self.assertEqual([i for i, _ in ids(lists[FIRST][1])], work[:top])
            named = re.search(r"Then: (.*)", " ".join(lists[FIRST][1].split()))
            rest = [words.split()[0] for words in named[1].split(", ")] if named else []
            self.assertEqual(rest, work[top:])
            self.assertEqual([i for i, _ in ids(lists[MOST][1])],
                             [r["closure"] for r in rows if r["worst_source"]][:top])

    def test_a_closure_is_told_once(self):
        for asked in ((BARGE, "--level", "still"), (DEMO, "--log", DEMO_LOG, "--top", "3")):
            text = self.good("rank", *AS_OF, *asked)
            work = {i for i, _ in ids(self.lists(*asked)[FIRST][1])}
            both = [i for i, _ in ids(self.lists(*asked)[MOST][1]) if i in work]
            self.assertEqual(text.count("\n      as above"), len(both))


class Standing(Ranked):
    WORDS = {"failed": "fail", "untested": "untested", "passed": "pass"}

    def test_it_chooses_rows_and_ranks_stay(self):
        asked = (DEMO, "--log", DEMO_LOG, "--level", "still")
        rows = self.document("rank", *asked)["closures"]
        self.assertIsNone(self.document("rank", *asked)["standing"])
        for words in ("failed", "untested", "passed", "failed,untested", "passed,failed", "all",
                      "untested,passed,failed"):
            chosen = list(self.WORDS) if words == "all" else words.split(",")
            found = self.document("rank", *asked, "--standing", words)
            want = [r for r in rows if r["result"] in {self.WORDS[w] for w in chosen}]
            self.assertEqual(found["closures"], want)
            self.assertEqual(sorted(found["standing"]), sorted(chosen))
            top = self.document("rank", *asked, "--standing", words, "--top", "2")
            self.assertEqual(top["closures"], want[:2])
            sheet = list(csv.DictReader(io.StringIO(
                self.good("rank", *AS_OF, *asked, "--standing", words, "--format", "csv"))))
            self.assertEqual([(r["closure"], r["hours"]) for r in sheet],
                             [(r["closure"], f"{r['hours']:g}") for r in want])
            lists = self.lists(*asked, "--standing", words)
            self.assertEqual(list(lists), [MOST if "passed" in chosen else FIRST])
            told = ids(lists[list(lists)[0]][1])
            self.assertEqual(told, [(r["closure"], r["rank"]) for r in want
                                    if r["worst_source"] or "passed" not in chosen])

    def test_what_is_no_standing_is_refused(self):
        ship = self.ship()
        for words in ("", "fail", "failed,", ",failed", "failed untested", "all,failed", "FAILED",
                      "failed,untested,passed,x"):
            self.one_line(USAGE, "rank", ship, f"--standing={words}", says=["--standing", "untested"])
        self.one_line(USAGE, "rank", ship, "--standing", "failed", "--explain", "D1",
                      says=["--standing"])
        self.one_line(USAGE, "rank", ship, "--standing", "failed", "--share", "1/2", "--samples",
                      "4096", says=["--standing"])
        self.one_line(USAGE, "due", ship, "--standing", "failed", says=["--standing"])


if __name__ == "__main__":
    unittest.main()
