#!/usr/bin/python3
"""The report from the outside: XML that is well-formed, numbers that are those of the other commands,
what changed worked out by hand, hostile names as text. What a browser makes of it: tests/browser.

Needs Python 3.11, its standard library only.
Environment: COAMING, the program; COAMING_ROOT, the source tree. The ships here are invented.
"""

import base64
import hashlib
import json
import math
import re
import unittest
import xml.etree.ElementTree as ElementTree
from pathlib import Path

from harness import (AS_OF, BARGE, DEMO, DEMO_LOG, INPUT, LOGGED, SHIP_NS, SMALL, USAGE, WHOLE, Case, log, slow,
                     tested)
from test_draw import HOSTILE, hostile_ship

HTML, SVG = "{http://www.w3.org/1999/xhtml}", "{http://www.w3.org/2000/svg}"
SECTIONS = ["repair", "state", "changes", "worst", "hold", "repair-rest", "due", "register", "survival",
            "assumptions", "caution"]
# A closure of each sort that the register tells apart; what each is to show is worked out by hand.
REGISTER = f"""<arrangement xmlns="{SHIP_NS}" name="Register">
<ship length="20" beam="8" depth="4" draft="1"/>
<interval kind="door" method="chalk" days="100"/>
<interval kind="door" method="hose" days="400"/>
<interval kind="hatch" method="hose" days="100"/>
<space id="a" name="After room"><box x="0 10" y="-4 4" z="0 4"/></space>
<space id="b" name="Fore room"><box x="10 20" y="-4 4" z="0 4"/></space>
<closure id="D1" name="Door one" kind="door" between="a b" rating="watertight">
<clear x="10" y="0" z="1" width="0.8" height="1.8" lies="transverse"/>
<gasket fitted="2020-02-03" section="P 20"/>
<test date="2026-10-01" method="chalk" result="pass" by="AA"/>
<test date="2026-10-05" method="hose" result="pass" by="BB"/>
<test date="2026-10-09" method="visual" result="pass" by="CC"/></closure>
<closure id="D2" name="Door two" kind="door" between="b a" rating="airtight">
<clear x="10" y="2" z="1" width="0.8" height="1.8" lies="transverse"/>
<gasket fitted="2020-02-03"/>
<test date="2026-10-01" method="chalk" result="fail" by="DD"/></closure>
<closure id="H1" name="Hatch" kind="hatch" between="weather b" rating="weathertight">
<clear x="15" y="0" z="4" width="1" height="1" lies="deck"/></closure>
<closure id="V1" name="Louvre" kind="ventilator" between="a weather" rating="nontight">
<clear x="5" y="0" z="4" width="1" height="1" lies="deck"/>
<test date="2026-10-01" method="visual" result="pass" by="FF"/></closure>
</arrangement>
"""
REGISTER_LOG = log('<repair closure="D2" date="2026-10-02" action="gasket" by="EE"/>',
                   ship="Register")
FIRST_ROWS = 15  # of what stands failed or untested, before anything else
# One page of the demo for all that may be asked of it: it takes seconds.
WHOLE_DEMO = (DEMO, "--log", DEMO_LOG, "--since", "2026-09-01")


def amount(value):
    """A number as the program shows it to people: three or four figures, never an exponent."""
    if value and abs(value) < 0.001:
        return "<0.001"
    text = f"{value:.{1 if abs(value) >= 100 else 2 if abs(value) >= 1 else 3}f}"
    return text.rstrip("0").rstrip(".")


def share(value):
    """A percentage as the program shows it: never rounded to nothing or to all."""
    value *= 100
    text = f"{value:.{1 if value >= 10 else 2 if value >= 0.1 else 3}f}"
    if float(text) >= 100 > value:
        text = "over\u00a099.9"
    elif float(text) == 0 < value:
        text = "under\u00a00.001"
    return text.rstrip("0").rstrip(".") + "\u00a0%" if "." in text else text + "\u00a0%"


def words(element):
    return re.sub(r"[ \n]+", " ", "".join(element.itertext())).strip()


class Page:
    def __init__(self, text):
        self.text = text
        self.root = ElementTree.fromstring(text)
        self.sections = {s.find(f"{HTML}h2").get("id"): s for s in self.all("section")}

    def all(self, tag, under=None):
        return (under if under is not None else self.root).iter(HTML + tag)

    def table(self, caption):
        """The rows of a table as lists of text; None if there is no such table."""
        for table in self.all("table"):
            if table.find(f"{HTML}caption").get("id") == caption:
                return [[words(cell) for cell in row] for row in table.find(f"{HTML}tbody")]
        return None

    def figures(self):
        return {words(d.find(f"{HTML}dt")): [words(x) for x in d.findall(f"{HTML}dd")]
                for d in self.all("div", self.sections["state"])}

    def articles(self):
        """(id of the closure, facts by label, states of the spaces drawn, article) of each."""
        found = []
        for article in self.all("article"):
            facts = {words(d.find(f"{HTML}dt")): words(d.find(f"{HTML}dd"))
                     for d in self.all("div", article) if d.find(f"{HTML}dt") is not None}
            states = {}
            for g in article.iter(f"{SVG}g"):
                if g.get("data-space"):
                    states.setdefault(g.get("data-state"), set()).add(g.get("data-space"))
            found.append((words(next(self.all("b", article.find(f"{HTML}h3")))), facts, states,
                          article))
        return found


class Reported(Case):
    known = {}  # what was asked of ships that do not change

    def page(self, *asked):
        return Page(self.once("report", *AS_OF, *asked))

    def document(self, command, *words_):
        return json.loads(self.once(command, "--format", "json", *AS_OF, *words_))

    def once(self, *words_):
        """As good, but asked once of the examples."""
        if not {DEMO, BARGE} & set(words_):
            return self.good(*words_)
        if words_ not in self.known:
            self.known[words_] = self.good(*words_)
        return self.known[words_]

    def work(self, *asked):
        """The rows of the ranking of what is to be made good or tested."""
        rank = self.document("rank", *asked)
        return [r for r in rank["closures"] if r["closure"] in rank["repair_first"]]


class Lines(Reported):
    """Lines to hold are those of hold, of the spaces whose line leaves most to be lost."""

    ASKED, TOLD = 12, 4
    HEADS = ("LINE TO HOLD", "Nearest line", "Second line, behind it")

    def candidates(self, ship):
        root = ElementTree.fromstring(Path(ship).read_text())
        spaces = [s for s in root.iter(f"{{{SHIP_NS}}}space")
                  if s.get("use") == "machinery" or s.get("vital") == "yes"]
        spaces.sort(key=lambda s: -float(s.get("worth", 1)))  # of equals in file order
        return [s.get("id") for s in spaces]

    def hold(self, *words_):
        """It ends with 1 where a line cannot be trusted."""
        if words_ not in self.known:
            self.known[words_] = json.loads(self.run_it("hold", *words_, *AS_OF, "--format", "json").stdout)
        return self.known[words_]

    @staticmethod
    def told(answer):
        """The line told of, and whether with it she stays afloat."""
        lines = answer["lines"]
        at = next((i for i, line in enumerate(lines) if line["recommended"]), None)
        return at or 0, at is not None

    def choose(self, ship, *asked):
        """(spaces of the same line, answer) of those that are to be told, by hazard."""
        found = {"water": [], "air": []}
        for space in self.candidates(ship)[:self.ASKED]:
            for answer in self.hold(ship, *asked, "--source", space)["answers"]:
                if not answer["lines"] or answer["source_dry"]:
                    continue
                at, afloat = self.told(answer)
                line = answer["lines"][at]
                key = (afloat, -line["expected_loss"])
                found[answer["hazard"]].append((key, space, answer, line))
        both = "--hazard" not in asked
        rows = []
        for of in found.values():
            same = {}
            for key, space, answer, line in of:
                mark = (tuple(c["closure"] for c in line["closures"]), tuple(line["given_up"]))
                same.setdefault(mark, (key, [], answer))[1].append(space)
            worst = sorted(same.values(), key=lambda f: f[0])  # stable
            rows += [f[1:] for f in worst[:self.TOLD // 2 if both else self.TOLD]]
        return rows

    @slow
    def test_numbers_are_those_of_hold(self):
        seen = set()
        for ship, asked in ((DEMO, ()), (DEMO, ("--condition", "port", "--open", "D10", "--hazard", "water")),
                            (DEMO, ("--failed", "D2,D11", "--hazard", "air")), (BARGE, ()),
                            (BARGE, ("--level", "still", "--shut", "D1"))):
            logged = ("--log", DEMO_LOG) if ship == DEMO else ()
            with self.subTest(asked=asked):
                rows = self.page(ship, *logged, *asked).table("hold-lines")
                expected = self.choose(ship, *logged, *asked)
                self.assertTrue(expected)
                for spaces, answer in expected:
                    at, afloat = self.told(answer)
                    for number, line in enumerate(answer["lines"][at:at + 2]):
                        row = rows.pop(0)
                        self.check(row, spaces, answer, line)
                        head = self.HEADS[2] if number else self.HEADS[0] if afloat else self.HEADS[1]
                        self.assertEqual(row[1], f"{head} ({at + number + 1} of {len(answer['lines'])})")
                        told = re.findall(r"[A-Z]+[0-9]+", row[2])
                        self.assertEqual(sorted(told), sorted(c["closure"] for c in line["closures"]))
                        for c in line["closures"] if not number else ():
                            must = re.search(rf"(SHUT )?{c['closure']}( \((\w+)\))?(,|$)", row[2])
                            self.assertEqual(bool(must[1]), c["must_be_shut"])
                            self.assertEqual((must[3] or "pass").lower().replace("failed", "fail"), c["result"])
                            seen |= {must[1], must[3]}
                        seen |= {answer["hazard"], line["grade"], len(spaces) > 1}
                self.assertEqual(rows, [])
        self.assertLessEqual({"water", "air", "FAILED", "untested", "SHUT ", True}, seen)

    def check(self, row, spaces, answer, line):
        self.assertIn(f"({spaces[0]})", row[0])
        also = re.search(r"also from (.*):", row[0])
        self.assertEqual(sorted(also[1].split(", ") if also else []), sorted(spaces[1:]))
        self.assertTrue(row[0].endswith({"water": ": water", "air": ": smoke or bad air"}[answer["hazard"]]))
        self.assertEqual(row[3], share(line["holds"]))
        count = len(line["given_up"])
        self.assertIn(f"In all {count} space{'s' * (count != 1)}", row[4])
        if row[4].startswith("Given up: "):
            self.assertEqual(row[4].split(": ")[1].split(". ")[0].split(", "), line["given_up"])
        grade = {None: "not asked", "within": "within limits", "beyond": "beyond limits"}
        self.assertEqual(row[5], "not held" if line["not_held"] else
                         grade.get(line["grade"], (line["grade"] or "").replace("-", " ")))
        self.assertTrue(row[6].startswith(f"expected loss {amount(line['expected_loss'])} worth"), row[6])

    def test_the_picture_is_of_the_first_and_shows_its_lines(self):
        page = self.page(*WHOLE_DEMO)
        section = page.sections["hold"]
        spaces, answer = self.choose(DEMO, "--log", DEMO_LOG)[0]
        drawn = {g.get("data-state"): g.get("data-space") for g in section.iter(f"{SVG}g") if g.get("data-space")}
        self.assertEqual(drawn["source"], spaces[0])
        edges = {p.get("data-line") for p in section.iter(f"{SVG}path") if p.get("class") == "edge"}
        self.assertEqual(edges, {"first", "second", "third"})
        ringed = {g.get("data-closure") for g in section.iter(f"{SVG}g") if g.get("data-closure")
                  if [c for c in g.findall(f"{SVG}circle") if c.get("r") == "6"]}
        at, _ = self.told(answer)
        self.assertEqual(ringed, {c["closure"] for line in answer["lines"][at:at + 3] for c in line["closures"]})

    def test_it_says_which_were_asked_and_where_the_sheets_are(self):
        told = words(self.page(*WHOLE_DEMO).sections["hold"])
        count = len(self.candidates(DEMO))
        self.assertGreater(count, self.ASKED)
        self.assertIn("Asked of 12 spaces, vital or of machinery, those of most worth", told)
        self.assertIn("coaming casualty --format html", told)
        self.assertIn("Asked of 1 space, vital or of machinery; ", words(self.page(BARGE).sections["hold"]))
        none = self.page(self.write("ship.xml", REGISTER))
        self.assertIn("No space is said to be vital or of machinery", words(none.sections["hold"]))
        self.assertIsNone(none.table("hold-lines"))

    def test_with_no_line_to_name_or_to_hold_it_says_so(self):
        sinks = self.page(BARGE, "--failed", "D1,D2,M1", "--hazard", "water")
        self.assertIn("against water from 1 of them no line can be named", words(sinks.sections["hold"]))
        self.assertIsNone(sinks.table("hold-lines"))


class Shape(Reported):
    def pages(self):
        yield self.page(*WHOLE_DEMO)
        yield self.page(BARGE)
        yield self.page(self.ship(), "--level", "still", "--hazard", "water", "--condition", "harbour")
        if WHOLE:
            yield self.page(*InTime.OPEN, *InTime.WATER, *InTime.AIR)

    def test_sections_come_in_order_and_headings_skip_no_level(self):
        gone_without = (["repair-rest"] if len(self.work(DEMO, "--log", DEMO_LOG)) <= FIRST_ROWS else [],
                        ["changes", "repair-rest"], ["changes", "repair-rest"])
        for page, gone in zip(self.pages(), gone_without):
            self.assertEqual(list(page.sections), [s for s in SECTIONS if s not in gone])
            levels = [int(e.tag[-1]) for e in page.root.iter()
                      if re.fullmatch(re.escape(HTML) + "h[1-6]", e.tag)]
            self.assertEqual(levels[0], 1)
            self.assertEqual(levels.count(1), 1)
            self.assertTrue(all(b <= a + 1 for a, b in zip(levels, levels[1:])))

    def test_ids_are_unique_and_what_is_named_is_there(self):
        for page in self.pages():
            ids = [e.get("id") for e in page.root.iter() if e.get("id")]
            self.assertEqual(len(ids), len(set(ids)))
            for e in page.root.iter():
                for name in (e.get("aria-labelledby") or "").split():
                    self.assertIn(name, ids)
                if e.get("href"):
                    self.assertIn(e.get("href")[1:], ids)

    def test_tables_have_captions_and_heads_with_a_scope(self):
        for page in self.pages():
            for table in page.all("table"):
                self.assertTrue(words(table.find(f"{HTML}caption")))
                for head in page.all("th", table):
                    self.assertIn(head.get("scope"), ("row", "col"))
                heads = len(list(page.all("th", table.find(f"{HTML}thead"))))
                for row in table.find(f"{HTML}tbody"):
                    self.assertEqual(len(row), heads)
                rows = len(table.find(f"{HTML}tbody"))
                self.assertEqual(table.get("class"), "long" if rows > 20 else None)

    def test_nothing_is_fetched_and_only_its_own_script_may_run(self):
        for page in self.pages():
            [policy] = [m.get("content") for m in page.all("meta") if m.get("http-equiv")]
            [script] = page.all("script")
            digest = base64.b64encode(hashlib.sha256(script.text.encode()).digest()).decode()
            self.assertIn("default-src 'none'", policy)
            self.assertIn(f"script-src 'sha256-{digest}'", policy)
            for e in page.root.iter():
                for name, value in e.attrib.items():
                    self.assertFalse(name.startswith("on") or name in ("src", "srcset", "action"))
                    self.assertFalse(name.endswith("href") and not value.startswith("#"), value)
            self.assertNotIn("@import", page.text)
            self.assertNotRegex(page.text, r"url\((?!#)")

    def test_it_cautions_once_and_calls_nothing_safe(self):
        for page in self.pages():
            self.assertEqual(page.text.count("licensed practice decide"), 1)
            self.assertNotRegex(words(page.root).replace("is safe", "SAFE"), r"(?i)\bsafe")

    def test_the_same_twice_gives_the_same_bytes(self):
        asked = ("report", *AS_OF, DEMO, "--log", DEMO_LOG) if WHOLE else ("report", *AS_OF, BARGE)
        self.assertEqual(self.once(*asked), self.good(*asked))


class Numbers(Reported):
    def test_figures_are_those_of_the_other_commands(self):
        asked = (DEMO, "--log", DEMO_LOG)
        figures = self.page(*asked).figures()
        rank = self.document("rank", *asked)
        results = [r["result"] for r in rank["closures"]]
        self.assertEqual(figures["Closures that stand as failed"][0],
                         str(results.count("fail")))
        self.assertEqual(figures["Closures untested"][0], str(results.count("untested")))
        self.assertEqual(figures["Closures that stand as passed"][0],
                         str(results.count("pass")))
        self.assertEqual(figures["Expected loss, worth"][0], amount(rank["expected_loss"]))
        due = self.document("due", *asked)
        self.assertEqual(figures["Tests overdue"][0], str(due["overdue"]))

    def test_all_whose_failure_sinks_her_are_named_twice(self):
        asked = (DEMO, "--log", DEMO_LOG)
        sinking = [r["closure"] for r in self.document("rank", *asked)["closures"]
                   if r.get("afloat") is False]
        self.assertGreater(len(sinking), 5)  # more than are drawn
        page = self.page(*asked)
        for section in ("state", "worst"):
            text = words(page.sections[section])
            said = re.search(r"if one of these fails: ([^.]*)\.", text)
            self.assertEqual(said[1].split(", "), sinking)
        self.assertNotIn("if one of these fails", words(self.page(BARGE, "--level", "still").root))

    def test_what_is_overdue_is_to_be_done_before_what_the_print_asks_for(self):
        asked = (DEMO, "--log", DEMO_LOG)
        late = {}
        for row in self.document("due", *asked)["tests"]:
            if row["overdue"]:
                by = "never done" if row["due"] is None else f"{row['late']}\u00a0d over"
                late.setdefault(row["closure"], []).append(f"{row['method']}, {by}")
        told = 0
        for closure, facts, _, _ in self.page(*asked).articles():
            text = facts["What to do"]
            self.assertEqual(text.startswith("Test it: "), closure in late)
            for words_of in late.get(closure, []):
                self.assertIn(words_of, text)
                told += 1
        self.assertGreater(told, 2)

    def test_of_one_hazard_alone_the_other_is_not_spoken_of(self):
        for hazard, other in (("water", "bad air"), ("air", "water")):
            text = words(self.page(BARGE, "--hazard", hazard).sections["state"])
            self.assertNotIn(other, re.search(r"What [^.]* reach", text)[0])

    def test_the_worst_are_those_of_the_ranking_with_what_they_expose(self):
        light = (DEMO, "--log", DEMO_LOG, "--loading", "arrival")
        for asked in ((DEMO, "--log", DEMO_LOG),
                      *(((*light, "--hazard", "water", "--measure", "people"),) if WHOLE else ()),
                      (*light, "--level", "still", "--measure", "volume"),
                      (BARGE, "--level", "still")):
            page = self.page(*asked)
            rank = self.document("rank", *asked)["closures"]
            found = page.articles()
            expected = [r for r in rank[:5] if r["worst_source"]]
            self.assertEqual([a[0] for a in found], [r["closure"] for r in expected])
            same = 0
            for (_, facts, states, article), row in zip(found, expected):
                self.assertEqual(facts["Consequence"].split()[0], amount(row["consequence"]))
                self.assertEqual(facts["Leaks with"], "passes whatever its gasket" if row["risk"] > 0
                                 and row["repair_gain"] == 0 else share(row["leak_probability"]))
                exposed = self.document("expose", row["closure"], *self.plain(asked))["results"]
                sinking = [r for r in exposed if r.get("afloat") is False and r["exposed"]]
                self.assertEqual("what sinks her" in words(article), bool(sinking))
                if sinking:
                    self.assertIn(states.get("water", set()), [set(r["exposed"]) for r in sinking])
                    continue
                drawn = states.get(row["worst_hazard"], set())
                rows = [r for r in exposed if r["hazard"] == row["worst_hazard"]]
                self.assertIn(drawn, [set(r["exposed"]) for r in rows])
                if "begins elsewhere" in words(article):
                    self.assertNotIn(row["exposes"], [r["exposed"] for r in rows])
                else:
                    self.assertEqual(drawn, set(row["exposes"]))
                    same += 1
            self.assertTrue(same)

    def told(self, *asked):
        """Expected loss, and of each closure drawn consequence, chance and risk, as the page says."""
        page = self.page(*asked)
        loss = next(v[0] for k, v in page.figures().items() if k.startswith("Expected loss"))
        return loss, [(a[0], *(a[1][k] for k in ("Consequence", "Leaks with", "Risk")))
                      for a in page.articles()]

    @slow
    def test_risks_are_those_of_rank_and_of_export(self):
        unit = {"volume": " m\u00b3"}
        light, sampled = ("--loading", "arrival"), ("--hazard", "air", "--risk", "sampled",
                                                    "--samples", "3000", "--seed")
        pages, errors, remarks = [], 0, 0
        for asked in ((), (*light, "--hazard", "water", "--measure", "people"), (*sampled, "3"),
                      (*sampled, "4"), (*light, "--level", "still", "--measure", "volume")):
            words_ = (DEMO, "--log", DEMO_LOG, *asked)
            rank, export = self.document("rank", *words_), self.document("export", *words_)
            loss, rows = self.told(*words_)
            u = unit.get(asked[asked.index("--measure") + 1] if "--measure" in asked else "", "")
            pages.append((loss, rows))
            with self.subTest(asked=asked):
                self.assertEqual(rank["expected_loss"], export["expected_loss"])
                self.assertEqual(loss, amount(rank["expected_loss"]) + u)
                self.assertEqual(len(rows), 5)
                for (closure, consequence, leaks, risk), a, b in zip(rows, rank["closures"],
                                                                     export["rank"]):
                    self.assertEqual(a, b)
                    self.assertEqual(closure, a["closure"])
                    self.assertEqual(consequence.split(" (")[0], amount(a["consequence"]) + u)
                    self.assertIn(leaks, (share(a["leak_probability"]),
                                          "passes whatever its gasket"))
                    error = a["risk_error"] and f" (standard error {amount(a['risk_error'])})"
                    limit = a["risk_limit"] and (" (never seen to vary; at most "
                                                 f"{amount(a['risk_limit'])})")
                    remark = (", though she does not stay afloat if it "
                              "fails") if a.get("afloat") is False and not a["repair_gain"] else ""
                    self.assertEqual(risk, amount(a["repair_gain"]) + u + (error or limit or "")
                                     + remark)
                    errors += bool(error)
                    remarks += bool(remark)
        self.assertGreater(errors, 5)
        self.assertFalse(remarks)  # what sinks her has a risk, where she settles
        self.assertNotEqual(pages[2], pages[3])  # else the page may not have been asked of samples

    def test_no_picture_says_that_a_space_is_not_seen_which_another_of_them_shows(self):
        for _, _, _, article in self.page(*WHOLE_DEMO).articles():
            drawn = {g.get("data-space") for g in article.iter(f"{SVG}g")}
            named = {words(text).split(":")[0] for g in article.iter(f"{SVG}g")
                     if g.get("class") == "unseen" for text in g.iter(f"{SVG}text")}
            self.assertGreater(len(drawn), 20)
            self.assertFalse(named & drawn)

    @staticmethod
    def plain(asked):
        """Without the measure, which expose does not take; the ship first."""
        return [w for i, w in enumerate(asked)
                if w != "--measure" and (not i or asked[i - 1] != "--measure")]

    def document(self, command, *asked, **how):
        if command == "expose":  # the ship stands before the closure
            closure, ship, *rest = asked
            asked = (*rest, ship, closure)
        return super().document(command, *asked, **how)

    def test_the_list_of_tests_is_that_of_due(self):
        asked = (DEMO, "--log", DEMO_LOG)
        for within in (0, 30, 100):
            rows = self.page(*asked, "--hazard", "air", "--within", within).table("due-list")
            due = self.document("due", *asked, "--within", within)["tests"]
            order = list(dict.fromkeys(t["closure"] for t in due))
            self.assertEqual([r[0].split()[0] for r in rows], order)
            for row in rows:
                tests = [t for t in due if t["closure"] == row[0].split()[0]]
                self.assertEqual(len(re.findall(r"[a-z]+: ", row[1])), len(tests))
                for t in tests:
                    self.assertIn(f"{t['method']}: {t['due'] or 'never done'}", row[1])
                    if t["late"] and t["late"] > 0:
                        self.assertIn(f"{t['late']}\u00a0d over", row[1])

    def test_it_opens_with_all_that_failed_or_is_untested(self):
        spaces = "".join(f'<space id="s{i}" name="S{i}" shell="yes"><box x="{i} {i + 1}" y="-4 4" '
                         'z="0 5"/></space>' for i in range(41))
        doors = "".join(f'<closure id="D{i}" name="D{i}" kind="door" between="s{i} s{i + 1}" '
                        f'rating="{"nontight" if i % 4 == 1 else "watertight"}"><clear x="{i + 1}" '
                        'y="0" z="1" width="0.7" height="1.7" lies="transverse"/></closure>'
                        for i in range(40))
        long = self.ship(f'<arrangement xmlns="{SHIP_NS}" name="Long"><ship length="41" beam="8" '
                         f'depth="5" draft="2"/>{spaces}{doors}</arrangement>')
        hours = {e.get("id"): e.get("hours") for e in ElementTree.parse(DEMO).getroot()}
        for asked, rest in (((DEMO, "--log", DEMO_LOG), 2), ((BARGE, "--level", "still"), 0),
                            ((long,), 15)):
            page, expected = self.page(*asked), self.work(*asked)
            self.assertEqual(len(expected), FIRST_ROWS + rest if rest else len(expected))
            rows, more = page.table("work"), page.table("work-rest") or []
            self.assertEqual(len(more), rest)
            said = [f"{len(more)} more stand in the rest of this list"] if more else []
            self.assertEqual(re.findall(r"\d+ more stand in [a-z ]*list",
                                        words(page.sections["repair"])), said)
            self.assertEqual([(r[0], r[1].split()[0], r[3], r[4], r[5]) for r in rows + more],
                             [(str(r["rank"]), r["closure"], amount(r["consequence"]),
                               amount(r["hours"]) if r["hours"] is not None else "not given",
                               share(r["leak_probability"])) for r in expected])
            drawn = page.text.find("<svg")
            self.assertLess(page.text.find('id="work"'), drawn)
            self.assertGreater(page.text.find('id="work-rest"'), drawn if more else -2)
            if asked[0] == DEMO:
                self.assertTrue(all(r[4] == hours[r[1].split()[0]] for r in rows))
                self.assertIn("Take up dog 1 and retest".lower(),
                              next(r[6] for r in rows if r[1].startswith("S1 ")).lower())
                self.assertIn("FAILED 2026-10-05 by smoke", [r[2] for r in rows])

    def test_what_matters_most_is_not_called_what_to_repair(self):
        section = words(self.page(*WHOLE_DEMO).sections["worst"])
        self.assertTrue(section.startswith("Whose failure would cost most"))
        self.assertIn("Sound or not", section)

    def test_nothing_to_make_good_is_said(self):
        self.write("log.xml", log(tested("H1", "2026-01-31", "pass"),
                                  '<repair closure="H1" date="2026-02-01" action="dogs"/>'))
        page = self.page(self.ship(), "--log", "log.xml")
        self.assertIn("0 failed, 0 untested.", words(page.sections["repair"]))
        self.assertIsNone(page.table("work"))
        self.assertIn("Repaired since they passed, and to be tested again: H1.",
                      words(page.sections["repair"]))

    def test_assumptions_used_are_told_and_no_others(self):
        page = self.page(*WHOLE_DEMO)
        root = ElementTree.parse(DEMO).getroot()
        given = {e.get("kind") for e in root if e.tag.endswith("}ageing")}
        kinds = {e.get("kind") for e in root if e.tag.endswith("}closure")}
        told = {r[0]: r[-1] for r in page.table("ageing")}
        self.assertEqual(set(told), kinds)
        for kind in kinds:
            self.assertEqual(told[kind] == "the arrangement", kind in given, kind)
        bases = {(t["method"], t["days"]) for t in self.document(
            "due", DEMO, "--log", DEMO_LOG, "--all")["tests"] if t["basis"] != "retest"}
        self.assertEqual({(r[1], int(r[2].split()[0])) for r in page.table("intervals")}, bases)

    def test_large_ships_are_asked_at_rest_and_it_is_said(self):
        spaces = "".join(f'<space id="s{i}" name="S{i}"><box x="{i} {i + 1}" y="-4 4" z="0 5"/></space>'
                         for i in range(501))
        text = (f'<arrangement xmlns="{SHIP_NS}" name="Long"><ship length="501" beam="8" depth="5" '
                f'draft="2" kg="2"/>{spaces}<closure id="D" name="D" kind="door" between="s1 s2" '
                'rating="watertight"><clear x="2" y="0" z="1" width="0.7" height="1.7" '
                'lies="transverse"/></closure></arrangement>')
        asked = self.ship(text)
        page = self.page(asked)
        self.assertIn("more than 500 spaces", words(page.sections["assumptions"]))
        self.assertIn("more than 500 spaces", words(page.sections["survival"]))
        self.assertIn("the waterline at rest", words(next(page.all("header"))))
        page = self.page(asked, "--level", "equilibrium")
        self.assertNotIn("more than 500 spaces", words(page.sections["assumptions"]))


class Survival(Reported):
    """The section of survival against the command's document."""

    ASKED = (DEMO, "--log", DEMO_LOG)
    STATES = ("as_built", "as_tested", "if_untested_leak")
    MOST_CLOSURES, MOST_DAMAGES = 15, 15
    SPACING, ZERO = 0.6, 0  # of the demo's frames

    @staticmethod
    def index(value):
        return f"{value:.4f}".rstrip("0").rstrip(".")

    def setUp(self):
        super().setUp()
        self.asked = self.page(*self.ASKED)
        self.answer = self.document("survival", *self.ASKED)

    def test_indexes_are_those_of_the_command(self):
        index, lost = self.answer["index"], self.answer["lost"]
        rows = self.asked.table("survival-index")
        self.assertEqual([r[0] for r in rows[:3]],
                         ["as built", "as last tested", "if untested closures leak"])
        self.assertEqual([r[1:] for r in rows[:3]],
                         [[self.index(index[s]), share(lost[s])] for s in self.STATES])
        low, high = (self.index(index[f"expected_{end}"]) for end in ("low", "high"))
        self.assertEqual(rows[3][1:], [self.index(index["expected"]), share(lost["probability"])])
        self.assertIn(f"for sure between {low} and {high}", rows[3][0])
        self.assertIn(f"standard error {self.index(index['expected_error'])}", rows[3][0])
        self.assertEqual(len(rows), 4)
        self.assertEqual(len({r[1] for r in rows[:3]}), 3)
        self.assertEqual(self.asked.table("survival-loadings"),
                         [[l["loading"], share(l["share"]), *(self.index(l["index"][s])
                                                              for s in self.STATES)]
                          for l in self.answer["loadings"]])
        figure = self.asked.figures()["Index of subdivision, as last tested"]
        self.assertEqual(figure[0], self.index(index["as_tested"]))
        self.assertIn(f"As built {self.index(index['as_built'])}; if untested closures leak "
                      f"{self.index(index['if_untested_leak'])}.", figure[1])

    @slow
    def test_a_loading_asked_for_is_that_of_the_section(self):
        asked = (*self.ASKED, "--loading", "arrival")
        index = self.document("survival", *asked)["index"]
        self.assertNotEqual(index["as_built"], self.answer["index"]["as_built"])
        page = self.page(*asked)
        self.assertEqual([r[1] for r in page.table("survival-index")[:3]],
                         [self.index(index[s]) for s in self.STATES])
        self.assertIsNone(page.table("survival-loadings"))

    def test_it_says_what_the_difference_hangs_on(self):
        index = self.answer["index"]
        text = words(self.asked.sections["survival"])
        self.assertIn(f"cost her {self.index(index['as_built'] - index['as_tested'])} of the index "
                      "as built", text)
        expected = [c for c in self.answer["closures"]
                    if abs(c["tested_gain"]) > 1e-12 or c["turned"] > 0]
        self.assertLess(len(expected), len(self.answer["closures"]))
        rows = self.asked.table("survival-closures")
        self.assertGreater(len(rows), 3)
        self.assertEqual([[r[0].split()[0], r[3]] for r in rows],
                         [[c["closure"], share(c["turned"])]
                          for c in expected[:self.MOST_CLOSURES]])
        for row, closure in zip(rows, expected):
            gain = closure["tested_gain"]
            self.assertEqual("gives back nothing" in row[2], gain == 0)
            self.assertEqual(" more: " in row[2], gain < 0)
            self.assertIn(self.index(abs(gain)) if gain else "nothing", row[2])
        for row, closure in zip(rows, expected):
            self.assertIn({"fail": "FAILED", "pass": "pass", "untested": "untested"}
                          [closure["result"]], row[1])

    def test_damage_that_she_is_lost_to_only_as_tested_is_gathered_by_what_it_opens(self):
        half = {l["loading"]: l["share"] / 2 for l in self.answer["loadings"]}
        damages, cases, total = {}, 0, 0
        for c in self.answer["cases"]:
            if c["grade"]["as_tested"] != "lost" or c["grade"]["as_built"] == "lost":
                continue
            part = half[c["loading"]] * c["weight"]
            cases += 1
            total += part
            damages.setdefault((c["side"], tuple(c["opened"])), []).append((part, c))
        text = words(self.asked.sections["survival"])
        self.assertIn(f"not as built: {cases} of {len(self.answer['cases'])} cases, "
                      f"{share(total)} of damage", text)
        self.assertIn(f"And {len(damages) - self.MOST_DAMAGES} such damages more.", text)
        rows = self.asked.table("survival-lost")
        self.assertEqual(len(rows), self.MOST_DAMAGES)
        sums = sorted((sum(part for part, _ in found) for found in damages.values()),
                      reverse=True)
        self.assertEqual([r[0] for r in rows], [share(s) for s in sums[:len(rows)]])
        for part, where, opens, worse in rows:
            found = damages[where.split(",")[0], tuple(opens.split(", "))]
            self.assertEqual(part, share(sum(part for part, _ in found)))
            heaviest = max(part for part, _ in found)
            said = {(*c["zones"], *c["turned_by"]) for part, c in found
                    if part > heaviest * (1 - 1e-9)}
            zones = [int(n) for n in re.findall(r"[0-9]+", where[:where.index("(")])]
            ends = [self.answer["zones"][zones[0] - 1]["from"], self.answer["zones"][zones[-1] - 1]["to"]]
            self.assertEqual([float(n) for n in re.search(r"\(frames (.*) to (.*)\)", where).groups()],
                             [round((x - self.ZERO) / self.SPACING, 1) for x in ends])
            self.assertIn((zones[0], zones[-1],
                           *(worse.split(", ") if worse != "none alone" else ())), said)

    def test_damage_no_longer_survived_is_told_beside_it(self):
        half = {l["loading"]: l["share"] / 2 for l in self.answer["loadings"]}
        damages, cases, total = {}, 0, 0
        for c in self.answer["cases"]:
            if c["grade"]["as_tested"] == "lost" or c["s"]["as_tested"] or not c["s"]["as_built"]:
                continue
            part = half[c["loading"]] * c["weight"]
            cases += 1
            total += part
            key = c["side"], tuple(c["opened"])
            damages[key] = damages.get(key, 0) + part
        self.assertGreater(cases, 10)
        text = words(self.asked.sections["survival"])
        self.assertIn(f"; survived as built, and afloat with s 0 as last tested: {cases} cases, "
                      f"{share(total)} of damage", text)
        rows = self.asked.table("survival-unsurvived")
        self.assertEqual([r[0] for r in rows],
                         [share(s) for s in sorted(damages.values(), reverse=True)[:len(rows)]])
        for part, where, opens, _ in rows:
            self.assertEqual(part, share(damages[where.split(",")[0], tuple(opens.split(", "))]))
        self.assertEqual(len(rows), min(len(damages), self.MOST_DAMAGES))
        unsurvived = {c["closure"]: c["turned_alone"]["unsurvived"] +
                      c["turned_together"]["unsurvived"] for c in self.answer["closures"]}
        for row in self.asked.table("survival-closures"):
            self.assertEqual(row[4], share(unsurvived[row[0].split()[0]]))

    def test_what_each_closure_would_win_comes_greatest_first(self):
        gains = sorted((-c["index_gain"], c["closure"], c) for c in self.answer["closures"]
                       if c["index_gain"] > 0 and self.index(c["index_gain"]) != "0")
        rows = self.asked.table("survival-gains")
        self.assertEqual(len(rows), self.MOST_CLOSURES)
        self.assertIn(f"And {len(gains) - len(rows)} closures more.",
                      words(self.asked.sections["survival"]))
        self.assertEqual([[r[0].split()[0], r[2]] for r in rows],
                         [[closure, self.index(-gain)] for gain, closure, _ in gains[:len(rows)]])
        for row, (_, _, c) in zip(rows, gains):
            low, high = (self.index(c[f"index_gain_{end}"]) for end in ("low", "high"))
            self.assertEqual(f"for sure between {low} and {high}" in row[3],
                             c["index_gain_low"] > 0 and low != high)

    def test_the_likeliest_ways_are_those_of_the_command(self):
        rows, ways = self.asked.table("survival-ways"), self.answer["ways"]
        self.assertEqual(len(rows), 10)
        self.assertGreaterEqual(len(ways), 10)
        for row, way in zip(rows, ways):
            case = self.answer["cases"][way["case"]]
            self.assertEqual(row[0], share(way["probability"]))
            self.assertEqual(row[2].split(", "), case["opened"])
            self.assertEqual(row[3].split(", "), way["closures"])
            self.assertTrue(row[1].startswith(f"{case['loading']}, {case['side']}, zone"))

    def test_the_picture_numbers_the_closures_of_the_list(self):
        figure = next(self.asked.all("figure", self.asked.sections["survival"]))
        drawn = {g.get("data-closure"): g for g in figure.iter(f"{SVG}g") if g.get("data-closure")}
        listed = [r[0].split()[0] for r in self.asked.table("survival-closures")]
        self.assertTrue(set(listed) <= set(drawn), set(listed) - set(drawn))

    def test_it_is_not_called_the_statutory_calculation(self):
        self.assertIn("This is not the statutory calculation",
                      words(self.asked.sections["survival"]))

    def test_where_nothing_is_worse_as_tested_no_list_is_shown(self):
        page = self.page(BARGE)
        answer = self.document("survival", BARGE)["index"]
        self.assertEqual(answer["as_built"], answer["as_tested"])
        text = words(page.sections["survival"])
        self.assertIn("As last tested she survives what she does as built.", text)
        self.assertIn("In no case is she lost as last tested and not as built.", text)
        self.assertIsNone(page.table("survival-lost"))
        self.assertIsNone(page.table("survival-loadings"))  # the barge is given none

    def test_without_kg_it_is_said_that_survival_cannot_be_told(self):
        ship = self.write("nokg.xml", Path(BARGE).read_text().replace(' kg="1.2"', ""))
        self.assertIn("gives no kg", words(self.page(ship).sections["survival"]))
        self.assertNotIn("gives no kg", words(self.page(BARGE).sections["survival"]))

    @slow
    def test_of_one_loading_it_is_that_loading_alone(self):
        asked = (*self.ASKED, "--loading", "arrival")
        page = self.page(*asked, "--hazard", "water", "--measure", "people")
        answer = self.document("survival", *asked)
        self.assertEqual([r[1] for r in page.table("survival-index")[:3]],
                         [self.index(answer["index"][s]) for s in self.STATES])
        self.assertNotEqual(answer["index"]["as_tested"], self.answer["index"]["as_tested"])
        self.assertIsNone(page.table("survival-loadings"))

    def test_of_air_alone_it_is_not_told(self):
        text = words(self.page(BARGE, "--hazard", "air").sections["survival"])
        self.assertIn("water is not asked for", text)
        self.assertNotIn("Index", text)


class Register(Reported):
    def register(self):
        return self.page(self.ship(REGISTER), "--log", self.write("log.xml", REGISTER_LOG))

    def test_by_hand(self):
        page = self.register()
        self.assertEqual(page.table("all-closures"), [
            # chalk by 100 days from 2026-10-01, hose by 400 from 2026-10-05: chalk first
            ["D1 Door one", "door, watertight", "After room / Fore room",
             "pass 2026-10-05 by hose; looked at 2026-10-09", "BB; CC (look)", "2020-02-03; P 20",
             "chalk, 2027-01-09"],
            ["D2 Door two", "door, airtight", "Fore room / After room",
             "FAILED 2026-10-01 by chalk; repaired (gasket) 2026-10-02", "DD", "2026-10-02",
             self.next_of("D2")],
            ["H1 Hatch", "hatch, weathertight", "the weather / Fore room", "untested", "",
             "date not recorded", "hose, never done (overdue)"],
            ["V1 Louvre", "ventilator, nontight", "After room / the weather",
             "untested; looked at 2026-10-01", "FF (look)", "date not recorded", "none: nontight"]])

    def next_of(self, closure):
        """Of two tests overdue the one never done, as due has them: hose; the retest stands there."""
        first = next(t for t in self.document("due", "ship.xml", "--log", "log.xml", "--all")["tests"]
                     if t["closure"] == closure)
        self.assertIsNone(first["due"])
        return f"{first['method']}, never done (overdue)"

    def test_it_holds_every_closure_and_what_is_due_first_of_each(self):
        asked = (DEMO, "--log", DEMO_LOG)
        rows = self.page(*asked).table("all-closures")
        ids = [e.get("id") for e in ElementTree.parse(DEMO).getroot() if e.tag.endswith("}closure")]
        self.assertEqual([r[0].split()[0] for r in rows], ids)
        due = {}
        for test in self.document("due", *asked, "--all")["tests"]:
            due.setdefault(test["closure"], []).append(test)
        seen = set()
        for row in rows:
            tests = due.get(row[0].split()[0])
            if not tests:
                self.assertIn("nontight", row[1])
                self.assertEqual(row[6], "none: nontight")
                continue
            first = min(tests, key=lambda t: t["due"] or "")
            self.assertIn(first["due"] or "never done", row[6])
            self.assertEqual(row[6].endswith("(overdue)"), first["overdue"])
            self.assertEqual(row[6].startswith("retest by "), first["basis"] == "retest" and
                             first["due"] is not None)
            seen.add((first["overdue"], first["due"] is None, row[6].startswith("retest")))
        self.assertGreater(len(seen), 3)

    def test_it_ends_with_a_line_to_sign(self):
        page = self.register()
        text = words(page.sections["register"])
        self.assertTrue(text.endswith("The register as of 2026-11-10, 4 closures, gone through by: "
                                      "Name Date Signature"), text)


class Since(Reported):
    """SMALL has no way in for water. Air counts 1 from the weather and 1/3 from each space; worth 1
    a space. D1 joins fore and mid, a duct mid and aft, H1 aft and the weather."""

    LOG = log(tested("D1", "2026-02-01", "pass"), tested("D1", "2026-03-01", "fail"),
              '<repair closure="D1" date="2026-03-05" action="dogs" by="AB" note="two taken up"/>',
              tested("H1", "2026-03-02", "pass"))

    def changed(self, text, *asked):
        self.write("log.xml", text)
        self.ship()
        return Page(self.good("report", "ship.xml", "--log", "log.xml", "--as-of", "2026-04-01",
                              "--level", "still", *asked))

    def test_by_hand(self):
        page = self.changed(self.LOG, "--since", "2026-02-01")
        text = words(page.sections["changes"])
        self.assertIn("Entries after 2026-02-01: 3; closures that stand otherwise: 2.", text)
        self.assertEqual(page.table("entries"), [
            ["2026-03-01", "D1 D1", "chalk: FAIL", "", ""],
            ["2026-03-02", "H1 H1", "chalk: pass", "", ""],
            ["2026-03-05", "D1 D1", "repaired: dogs", "AB", "two taken up"]])
        # D1: from fore 2 more, from mid and aft 1 more each, by 1/3: 4/3, on both days.
        # H1: from the weather aft and mid; with D1 failed fore too.
        h1, d1 = page.table("changed")
        self.assertEqual([h1[0], h1[1], h1[2], h1[5], h1[6], h1[7]],
                         ["H1 H1", "untested", "pass 2026-03-02 by chalk", "2", "3", "1"])
        self.assertEqual([d1[0], d1[1], d1[2], d1[5], d1[6], d1[7]],
                         ["D1 D1", "pass 2026-02-01 by chalk", "FAILED 2026-03-01 by chalk", "1.33", "1.33", "2"])

    def test_chances_are_those_of_both_days(self):
        page = self.changed(self.LOG, "--since", "2026-02-01")
        for day, column in (("2026-02-01", 3), ("2026-04-01", 4)):
            rank = json.loads(self.good("rank", "ship.xml", "--log", "log.xml", "--as-of", day,
                                        "--level", "still", "--format", "json"))
            chances = {r["closure"]: share(r["leak_probability"]) for r in rank["closures"]}
            for row in page.table("changed"):
                self.assertEqual(row[column], chances[row[0].split()[0]])
            self.assertIn(amount(rank["expected_loss"]),
                          " ".join(page.figures()["Expected loss, worth"]))

    def test_figures_of_then_stand_beside_those_of_now(self):
        figures = self.changed(self.LOG, "--since", "2026-02-01").figures()
        self.assertEqual(figures["Closures that stand as failed"][:2], ["1", "0 on 2026-02-01"])
        self.assertEqual(figures["Closures untested"][:2], ["0", "1 on 2026-02-01"])
        self.assertEqual(figures["Repaired, not tested since"][:2], ["1", "0 on 2026-02-01"])

    def test_what_is_taken_back_is_told(self):
        undo = self.LOG.replace(
            "</test-log>", '<undo closure="D1" date="2026-03-20" entry="test" of="2026-03-01" '
            'by="CD" note="wrong door"/></test-log>')
        done = self.run_it("check", self.ship(), "--log", self.write("log.xml", undo))
        if done.returncode:
            undo = self.recorded_undo()
        page = self.changed(undo, "--since", "2026-03-10")
        [row] = page.table("entries")
        self.assertIn("takes back what was recorded of 2026-03-", row[2])
        self.assertEqual(row[3], "CD")
        whole = [row[2] for row in self.changed(undo, "--since", "2026-02-01").table("entries")]
        self.assertEqual(sum("taken back 2026-03-20" in entry for entry in whole), 1)
        self.assertEqual(sum("takes back" in entry for entry in whole), 1)

    def recorded_undo(self):
        self.write("log.xml", self.LOG)
        self.good("record", "log.xml", "D1", "undo", "--by", "CD", "--date", "2026-03-20")
        return (self.folder / "log.xml").read_text()

    def test_nothing_new_is_said_to_be_nothing(self):
        page = self.changed(self.LOG, "--since", "2026-03-31")
        self.assertIn("Entries after 2026-03-31: 0; closures that stand otherwise: 0.",
                      words(page.sections["changes"]))
        self.assertIsNone(page.table("entries"))
        self.assertIsNone(page.table("changed"))


def lapse(seconds):
    """A time as a crew would say it."""
    if seconds < 9.95:
        return "0 s" if seconds < 0.05 else f"{seconds:.1f} s"
    s = math.floor(seconds + 0.5)
    if s < 60:
        return f"{s} s"
    if s < 3600:
        return f"{s // 60} min" + (f" {s % 60:02} s" if s % 60 else "")
    hours, minutes = divmod((s + 30) // 60, 60)
    return f"{hours} h" + (f" {minutes:02} min" if minutes else "")


@slow
class InTime(Reported):
    """Water and air in time, where they are asked for, are those of flood and air themselves."""

    WATER = ("--breach", "engine:0.05", "--inflow", "aux:60m3/h")
    AIR = ("--source", "aux:2g/s:co", "--source", "aux:0.05g/s:cl2")
    OPEN = (*LOGGED, "--condition", "port", "--open", "D10")

    def told(self, page, section):
        return words(page.sections[section])

    def test_without_being_asked_for_there_is_neither(self):
        page = self.page(*LOGGED)
        self.assertFalse({"water", "air"} & set(page.sections))
        self.assertNotIn("in time", page.text)

    def test_they_stand_after_the_lines_and_say_their_cautions_once(self):
        both = self.page(*self.OPEN, *self.WATER, *self.AIR)
        order = list(both.sections)
        self.assertEqual(order[order.index("hold"):][:3], ["hold", "water", "air"])
        caution = self.told(both, "caution")
        for words_, asked in (("No time here is one to wait for.", self.WATER),
                              ("Test the air before anybody goes in.", self.AIR)):
            self.assertEqual(words(both.root).count(words_), 1)
            self.assertIn(words_, caution)
            alone = self.page(*self.OPEN, *asked)
            self.assertEqual(words(alone.root).count(words_), 1)
            self.assertEqual(len({"water", "air"} & set(alone.sections)), 1)
            ids = [e.get("id") for e in both.root.iter() if e.get("id")]
            self.assertEqual(len(ids), len(set(ids)))

    def test_water_is_that_of_flood(self):
        page, asked = self.page(*self.OPEN, *self.WATER, "--until", "40min"), (*self.OPEN, *self.WATER, "--until", "40min")
        flood = self.document("flood", *asked, "--by-when")
        told = self.told(page, "water")
        events = [e for e in flood["events"] if e["what"] not in ("closure_wet", "knee_deep")]
        rows = page.table("water-events")
        self.assertTrue(4 < len(rows) == min(len(events), 24))
        for number, (row, event) in enumerate(zip(rows, events), 1):
            self.assertEqual(row[:2], [str(number), lapse(event["t"])])
            named = event.get("closure") or event.get("pump") or event.get("space")
            self.assertIn(named or "she", row[2])
        text = " ".join(self.good("flood", *AS_OF, *asked).split())
        for sentence in ("Water gets to ", "She is "):
            said = re.search(sentence + r".*?\.(?= |$)", told)[0]
            self.assertIn(said.replace("\u00b3", "3").replace("\u00a0", " "), text)
        useful = {d["closure"]: d["dry"] for d in flood["by_when"] if d["dry"] is not None}
        self.assertTrue(useful)
        items = [words(item) for item in page.all("li", page.sections["water"])]
        self.assertEqual(len(items), len(useful))
        for closure, dry in useful.items():
            self.assertTrue([i for i in items if i.startswith(f"{closure}: shut within {lapse(dry)} it keeps ")], closure)
        self.assertIn(f"After {lapse(flood['ended'])} she ", told)

    def test_air_is_that_of_air(self):
        page, air = self.page(*self.OPEN, *self.AIR), self.document("air", *self.OPEN, *self.AIR)
        rows = page.table("air-events")
        self.assertTrue(8 < len(rows) == min(len(air["events"]), 24))
        if len(air["events"]) <= 24:
            for number, (row, event) in enumerate(zip(rows, air["events"]), 1):
                self.assertEqual(row[:2], [str(number), lapse(event["t"])])
                self.assertTrue(row[2].startswith(f"{event['limit']} passed in {event['space']} ("), row)
        told, text = self.told(page, "air"), " ".join(self.good("air", *AS_OF, *self.OPEN, *self.AIR).split())
        for closure in (s["closure"] for s in air["shut_now"]):
            said = re.search(rf"{closure}(?: \(not tight\))?: [^.;:]{{12,60}}", told)[0]
            self.assertIn(said.rstrip(",;."), text)
        self.assertIn("cl2-aegl-2: 2 ppm of Cl2", told)
        rows, moments = page.table("air-spaces"), (15, 30, 60)
        self.assertEqual(len(rows), min(14, len(air["spaces"])))
        courses = {(c["space"], c["agent"]): c for c in air["spaces"]}
        fed = {c["space"]: c["fed"][-1] for c in air["effects"]}
        doses = [courses[space, of.lower()]["dose"][-1] for space, of, *_ in rows]
        self.assertEqual(doses, sorted((c["dose"][-1] for c in air["spaces"]), reverse=True)[:14])
        for space, of, *shown, dose in rows:
            course = courses[space, of.lower()]["concentration"]
            self.assertEqual(shown, [f"{amount(course[i])} ppm" if course[i] < 1e4 else f"{amount(course[i] / 1e4)} %"
                                     for i in moments], space)
            self.assertEqual(dose, amount(fed[space]))

    def test_limits_and_how_long_are_taken_as_air_takes_them(self):
        asked = (*LOGGED, "--source", "engine:0.5m3/s", "--limit", "1%", "--until", "20min")
        page, air = self.page(*asked), self.document("air", *asked)
        self.assertIn("Followed for 20 min.", self.told(page, "air"))
        self.assertEqual({row[2].split(" passed in ")[0] for row in page.table("air-events")}, {"1%"})
        self.assertEqual(page.table("air-events")[0][1], lapse(air["events"][0]["t"]))

    def test_plots_end_where_the_documents_do(self):
        """By one scale for all lines of a plot; and plans show the end."""
        page = self.page(*self.OPEN, *self.WATER, *self.AIR)
        flood = self.document("flood", *self.OPEN, *self.WATER)
        plots = {g.get("data-name"): g for g in page.sections["water"].iter(f"{SVG}g") if g.get("class") == "plot"}
        self.assertEqual(list(plots), ["Water over the lowest place of a space", "Heel, to port above 0",
                                       "Trim, by the bow above 0", "Freeboard, least"])
        depths = {s["space"]: s["depths"] for s in flood["spaces"] if max(s["depths"]) >= 0.01}
        ends = {p.get("data-name"): float(re.findall(r"[\d.-]+", p.get("d"))[-1])
                for p in plots["Water over the lowest place of a space"] if p.get("data-name")}
        self.assertEqual(set(ends), set(depths))
        pairs = sorted((depths[name][-1], y) for name, y in ends.items())
        (d0, y0), (d1, y1) = pairs[0], pairs[-1]
        for d, y in pairs:
            self.assertAlmostEqual(y, y0 + (d - d0) / (d1 - d0) * (y1 - y0), delta=0.03)
        filled = {}
        for picture in page.sections["water"].iter(f"{SVG}svg"):
            for e in picture.iter(f"{SVG}g"):
                if e.get("data-space"):
                    filled[e.get("data-space")] = e.get("data-state")  # the last stands
        for space in flood["spaces"]:
            if space["space"] in filled:
                depth = space["depths"][-1]
                self.assertEqual(filled[space["space"]], "plain" if depth < 0.01 else "shallow" if depth < 0.5 else "deep")
        air = [g.get("data-name") for g in page.sections["air"].iter(f"{SVG}g") if g.get("class") == "plot"]
        self.assertEqual(air, ["CO in the air", "Cl2 in the air", "CO taken in from the start",
                               "Dose that people have taken up (FED)"])

    def test_hostile_names_stay_text(self):
        ship = self.ship(hostile_ship().replace('draft="1"', 'draft="1" kg="1.5"'))
        space = re.search(r'<space id="([^"]*)"', (self.folder / ship).read_text())[1]
        page = self.page(ship, "--breach", f"{space}:0.05", "--source", f"{space}:5g/s:co")
        self.assertEqual(len(list(page.all("script"))), 1)
        self.assertLessEqual({"water", "air"}, set(page.sections))
        self.assertTrue(page.table("air-events"))

    def test_what_is_wrong_is_refused_in_one_line(self):
        self.ship(SMALL.replace('draft="2"', 'draft="2" kg="2"'))
        self.write("no-kg.xml", SMALL)
        for status, asked, says in (
                (USAGE, ("--breach", "fore:0"), "--breach"), (USAGE, ("--breach", "fore"), "--breach"),
                (INPUT, ("--breach", "fort:0.1"), "fort"), (USAGE, ("--inflow", "fore:60"), "--inflow"),
                (INPUT, ("--inflow", "fort:60m3/h"), "fort"), (USAGE, ("--breach", "fore:0.1@9"), "fore"),
                (USAGE, ("--source", "fore:2"), "one of the units"), (INPUT, ("--source", "fort:2g/s"), "fort"),
                (USAGE, ("--source", "sea:2g/s"), "sea"), (USAGE, ("--source", "fore:2g/s:tea"), "tea"),
                (USAGE, ("--limit", "1%"), "--source"), (USAGE, ("--until", "10min"), "--until"),
                (USAGE, ("--source", "fore:2g/s:co", "--limit", "co"), "--limit"),
                (USAGE, ("--breach", "fore:0.1", "--until", "inf"), "--until"),
                (USAGE, ("--breach", "fore:0.1", "--until", "0"), "--until"),
                (USAGE, ("--by-when",), "--by-when"), (USAGE, ("--pump", "P1"), "--pump")):
            self.one_line(status, "report", "ship.xml", *AS_OF, *asked, says=[says])
        done = self.run_it("report", "no-kg.xml", *AS_OF, "--breach", "fore:0.1", "-o", "page.html")
        self.assertNotEqual(done.returncode, 0)
        self.assertIn(b"kg", done.stderr)
        self.assertFalse((self.folder / "page.html").exists())


class Hostile(Reported):
    def test_names_are_text(self):
        page = self.page(self.ship(hostile_ship()))
        shown = {words(b) for b in page.all("bdi")}
        for name in list(HOSTILE.values())[1:]:
            self.assertIn(name.replace("\u202e", "<U+202E>").replace("\u202c", "<U+202C>"), shown)
        self.assertIn(HOSTILE["a"], words(page.root.find(f"{HTML}head/{HTML}title")))
        self.assertEqual(len(list(page.all("script"))), 1)
        self.assertLessEqual({e.tag for e in page.root.iter() if e.tag.startswith(HTML)}, {
            HTML + t for t in (
                "html head meta title style body a header h1 bdi p dl div dt dd main section h2 article "
                "h3 b strong figure figcaption table caption thead tbody tr th td span br ul li code "
                "script").split()})


class Asked(Reported):
    def test_what_cannot_be_is_refused_in_one_line(self):
        self.ship()
        for status, asked, says in (
                (USAGE, ("--since", "2026-11-10"), "--since"),
                (USAGE, ("--since", "2027-01-01"), "--since"),
                (USAGE, ("--since", "yesterday"), "'yesterday'"),
                (USAGE, ("--top", "0"), "--top"), (USAGE, ("--within", "-1"), "--within"),
                (USAGE, ("--format", "text"), "html"), (USAGE, ("--measure", "gm"), "gm"),
                (USAGE, ("--measure", "gm", "--seed", "2"), "risk is counted"),
                (USAGE, ("--risk", "perhaps"), "perhaps"), (USAGE, ("--samples", "99"), "samples"),
                (INPUT, ("--condition", "gone"), "gone"), (INPUT, ("--log", "gone.xml"), "gone.xml")):
            self.one_line(status, "report", "ship.xml", *AS_OF, *asked, says=[says])
        self.one_line(USAGE, "report", "-", *AS_OF, "--since", "2026-01-01", says=["standard input"])
        self.one_line(INPUT, "report", "gone.xml", *AS_OF)

    def test_faulty_files_leave_no_page(self):
        self.ship(SMALL.replace('between="fore mid"', 'between="fore gone"'))
        done = self.run_it("report", "ship.xml", *AS_OF, "-o", "page.html")
        self.assertEqual(done.returncode, INPUT)
        self.assertFalse((self.folder / "page.html").exists())

    def test_it_goes_to_a_file_as_to_standard_output(self):
        self.ship()
        text = self.good("report", "ship.xml", *AS_OF)
        self.good("report", "ship.xml", *AS_OF, "-o", "page.html")
        self.assertEqual((self.folder / "page.html").read_text(encoding="utf-8"), text)

    def test_top_is_how_many_are_drawn(self):
        for top in (1, 3):
            self.assertEqual(len(self.page(BARGE, "--top", top).articles()), top)


if __name__ == "__main__":
    unittest.main()
