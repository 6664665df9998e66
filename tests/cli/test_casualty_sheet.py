#!/usr/bin/python3
"""Sheets to hang up: which spaces have one, each against the documents of casualty and due, the day on
which it stops being true worked out here, hostile names as text. That each is one page of paper is
for a browser: test_sheet_browser.py.

Needs Python 3.11, its standard library only.
Environment: COAMING, COAMING_ROOT. The ships here are invented.
"""

import json
import re
import sys
import unittest
import xml.etree.ElementTree as ET

sys.dont_write_bytecode = True  # leaves no files behind
from harness import AS_OF, BARGE, DEMO, INPUT, LOGGED, SHIP_NS, USAGE, Case  # noqa: E402
from test_draw import HOSTILE, hostile_ship  # noqa: E402

HTML = "{http://www.w3.org/1999/xhtml}"
SVG = "{http://www.w3.org/2000/svg}"
NAMES = {"WATER": "water", "SMOKE OR BAD AIR": "air"}


def text_of(element):
    return " ".join("".join(element.itertext()).replace("\u00a0", " ").split())


class Sheet:
    """One, taken apart."""

    def __init__(self, section):
        self.section = section
        self.title = text_of(section.find(f"{HTML}h1"))
        self.where, self.until = (text_of(self.one(name)) for name in ("where", "until"))
        self.caution = [text_of(p) for p in self.all("caution")]
        self.text = text_of(section)
        self.hazards = {NAMES[text_of(h.find(f"{HTML}h2"))]: h for h in self.all("hazard")}
        self.drawings = section.findall(f"{HTML}figure/{SVG}svg")

    def all(self, name):
        return [e for e in self.section.iter() if e.get("class") == name]

    def one(self, name):
        found = self.all(name)
        assert len(found) == 1, (name, len(found))
        return found[0]


def shut_of(hazard):
    """Closures in large type, with the side, and then those by their ids alone."""
    large = [text_of(p) for p in hazard if p.get("class") == "shut"]
    brief = [text_of(p)[5:] for p in hazard if text_of(p).startswith("then ")]
    more = int((re.search(r" and (\d+) more$", brief[0]) or [0, 0])[1]) if brief else 0
    rest = re.sub(r" and \d+ more$", "", brief[0]).split(", ") if brief else []
    return large, rest, more


class Sheets(Case):
    def page(self, *words, warned=False):
        done = self.run_it("casualty", *words, "--format", "html", *AS_OF)
        self.assertEqual((done.returncode, done.stderr if not warned else b""), (0, b""), done.stderr)
        return done.stdout.decode("utf-8")

    def sheets(self, *words, **how):
        root = ET.fromstring(self.page(*words, **how).split("?>")[-1].replace("<!DOCTYPE html>", "", 1))
        return [Sheet(section) for section in root.find(f"{HTML}body")]

    def answers(self, *words):
        done = self.run_it("casualty", *words, "--format", "json", *AS_OF)
        return {a["hazard"]: a for a in json.loads(done.stdout)["answers"]}

    @staticmethod
    def machinery_or_vital(path):
        return [s.get("id") for s in ET.parse(path).getroot().iter(f"{{{SHIP_NS}}}space")
                if s.get("use") == "machinery" or s.get("vital") == "yes"]


class Facts(Sheets):
    def test_one_for_each_machinery_space_and_each_vital_space(self):
        for path, words in ((DEMO, LOGGED), (BARGE, (BARGE,))):
            wanted = self.machinery_or_vital(path)
            found = self.sheets(*words, "--level", "still")
            self.assertEqual([re.split(r"[,;]", sheet.where)[0] for sheet in found], wanted)
            names = {s.get("id"): s.get("name") for s in ET.parse(path).getroot().iter(f"{{{SHIP_NS}}}space")}
            self.assertEqual([sheet.title for sheet in found], [names[name] for name in wanted])
            for number, sheet in enumerate(found, 1):
                self.assertTrue(sheet.text.endswith(f"Sheet {number} of {len(wanted)}."))
                self.assertEqual(len(sheet.caution), 1)
        self.assertEqual((len(self.machinery_or_vital(DEMO)), len(self.machinery_or_vital(BARGE))), (17, 1))

    def test_each_says_what_the_document_does(self):
        lines = shut = bare = 0
        port = ("--condition", "port")
        for more, sources in (((), ()), (port, ("engine",)), (port, ("thruster",)), (port, ("aux",))):
            for sheet in self.sheets(*LOGGED, *more, *(("--source", *sources) if sources else ()))[:9]:
                source = re.split(r"[,;]", sheet.where)[0]
                answers = self.answers(*LOGGED, "--source", source, *more)
                dry = answers["water"]["source_dry"] and not any(r["order"] for r in answers["water"]["reached"])
                self.assertEqual(set(sheet.hazards), {"air"} if dry else {"water", "air"})
                self.assertEqual("WATER: no part of it is under water" in sheet.text, dry)
                self.assertNotRegex(sheet.text, r"(?i)\bsafe\b")
                for name, hazard in sheet.hazards.items():
                    with self.subTest(source=source, hazard=name, more=more):
                        lines += self.check_line(text_of(hazard), answers[name])
                        shut += self.check_shut(hazard, answers[name])
                undrawn = sheet.text.count("No room for the drawing")
                self.assertEqual(sheet.text.count("--condition port'"), undrawn if more else 0)
                self.assertEqual(len(sheet.drawings) + undrawn, len(sheet.hazards))
                bare += not sheet.drawings
        self.assertLessEqual(bare, 1)
        self.assertTrue(lines > 15 and shut > 20, (lines, shut))

    def check_shut(self, hazard, answer):
        rows = answer["shutting"]
        large, brief, more = shut_of(hazard)
        told = [f"{r['closure']} from {r['from']}" for r in rows]
        for words, row in zip(large, rows):
            self.assertRegex(words, rf"^{row['closure']} (from \S+.* against {row['against']}|FROM INSIDE {row['against']} against {row['from']})")
        for words, wanted, row in zip(brief, told[len(large):], rows[len(large):]):
            self.assertIn(words, (wanted, f"{row['closure']} from {row['against']}"))
            self.assertIn(words, wanted if row["from"] != "cofferdam" else f"M5 from {row['against']}")  # a void
        self.assertEqual(len(large) + len(brief) + more, len(rows))
        words = text_of(hazard)
        self.assertEqual("NOTHING TO SHUT AT ONCE" in words, not any(r["order"] for r in answer["reached"]))
        self.assertEqual("CANNOT BE SHUT, or" in words, bool(answer["cannot_be_shut"]))
        return len(large)

    def check_line(self, words, answer):
        told = [line for line in answer["lines"] if line["recommended"]]
        if not told:
            return 0
        line, count = told[0], len(answer["lines"])
        self.assertIn(f"LINE TO HOLD ({line['line']} of {count}) ", words)
        after = words[words.index("LINE TO HOLD"):]
        for c in line["closures"]:
            if c["must_be_shut"]:
                self.assertRegex(after, rf"SHUT (\w+ and )*{c['closure']}\b")
        if line["grade"]:
            says = {"within": ", within the limits", "beyond": ", but beyond the limits",
                    "not_surviving": ", but not surviving", "lost": "lost"}[line["grade"]]
            self.assertIn(says, after[after.index("With it held she is"):].split(".")[0])
        self.assertIn("If it fails", after)
        for k, word in ((1, "Second"), (2, "Third")):
            self.assertEqual(f"{word} line ({line['line'] + k} of {count})" in after, line["line"] + k <= count)
        return 1

    def test_sources_that_are_named_have_one_sheet_together(self):
        sheets = self.sheets(*LOGGED, "--source", "engine,aux", "--source", "motor")
        self.assertEqual([(s.title, s.where) for s in sheets],
                         [("Engine room, Auxiliary machinery room, Propulsion motor room", "engine, aux, motor")])
        self.assertEqual(set(self.sheets(*LOGGED, "--source", "engine", "--hazard", "air")[0].hazards), {"air"})

    def test_a_ship_without_such_spaces_is_told_so(self):
        ship = self.ship()
        self.one_line(INPUT, "casualty", ship, "--format", "html", says=("machinery", "vital", "--source", "ship.xml"))
        self.one_line(USAGE, "casualty", ship, says=("--source",))
        self.assertEqual(self.sheets(ship, "--source", "fore")[0].title, "Fore")


class Until(Sheets):
    def rests_on(self, answers):
        """The closures by which places are first reached, to be shut or not to be, of three lines."""
        found = set()
        for a in answers.values():
            first = next((i for i, line in enumerate(a["lines"]) if line["recommended"]), 0)
            found |= {name for r in a["reached"] for name in r["by"]} | set(a["shut_now"]) | set(a["cannot_be_shut"])
            found |= {c["closure"] for line in a["lines"][first:first + 3] for c in line["closures"]}
        return found

    def check(self, sheet, *words):
        on = self.rests_on(self.answers(*words))
        due = self.run_it("due", *words[:words.index("--source")], "--all", "--format", "json", *AS_OF)
        tests = [t for t in json.loads(due.stdout)["tests"] if t["closure"] in on]
        late = {t["closure"] for t in tests if t["overdue"]}
        if not tests:
            self.assertEqual(sheet.until, "True as recorded until the next entry in the log.")
            return "none"
        day = min(t["due"] or "" for t in tests)
        deciding = {(t["closure"], t["method"]) for t in tests if (t["due"] or "") == day}
        said = re.search(r"(\w+)'s test \((\w+)\)", sheet.until)
        self.assertIn((said[1], said[2]), deciding)
        if not late:
            self.assertEqual(sheet.until, f"True as recorded until {day}, when {said[0]} falls due, or until the next "
                                          "entry in the log.")
            return "ahead"
        self.assertIn(f"has been due since {day}" if day else "was never done", sheet.until)
        self.assertTrue(sheet.until.startswith("IN DOUBT ALREADY: "))
        rest = re.search(r"tests of (\d+) closures? more", sheet.until)
        self.assertEqual(int(rest[1]) if rest else 0, len(late) - 1)
        return "late"

    def test_the_day_is_that_of_the_first_test_that_falls_due(self):
        seen = set()
        for source in ("engine", "switch", "bridge", "emgen"):
            words = (*LOGGED, "--source", source)
            seen.add(self.check(self.sheets(*words)[0], *words))
        for tests in ("", '<test date="2026-10-01" method="chalk" result="pass"/>'):
            for never in (False, True):
                second = '<test date="2026-06-01" method="chalk" result="pass"/>' if not never else ""
                ship = self.write("own.xml", self.own(tests, second))
                seen.add(self.check(self.sheets(ship, "--source", "mid")[0], ship, "--source", "mid"))
        self.assertEqual(seen, {"late", "ahead"})

    @staticmethod
    def own(first, second):
        links = "".join(
            f'<closure id="{name}" kind="door" between="{between}" rating="watertight">{tests}<clear x="{x}" y="0" z="0.5" '
            f'width="0.7" height="1.7" lies="transverse"/></closure>'
            for name, between, tests, x in (("D1", "fore mid", first, 20), ("D2", "mid aft", second, 10)))
        spaces = "".join(f'<space id="{name}" name="{name}" vital="yes"><box x="{x} {x + 10}" y="-3 3" z="0 4"/></space>'
                         for name, x in (("aft", 0), ("mid", 10), ("fore", 20)))
        rests = "".join(f'<interval kind="door" method="{m}" days="180"/>' for m in ("chalk", "visual"))
        return (f'<arrangement xmlns="{SHIP_NS}" name="Own"><ship length="30" beam="6" depth="5" draft="2"/>'
                f"{rests}{spaces}{links}</arrangement>")

    def test_by_hand(self):
        """Passed on 2026-06-01, 180 days between tests: 2026-11-28."""
        ship = self.write("own.xml", self.own('<test date="2026-10-01" method="chalk" result="pass"/>',
                                              '<test date="2026-06-01" method="chalk" result="pass"/>'))
        self.assertEqual(self.sheets(ship, "--source", "mid")[0].until,
                         "True as recorded until 2026-11-28, when D2's test (chalk) falls due, or until the next entry in "
                         "the log.")


class Page(Sheets):
    def test_it_needs_nothing_from_elsewhere_and_runs_nothing(self):
        text = self.page(*LOGGED, "--source", "engine")
        self.assertIn("""content="default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'\"""", text)
        self.assertNotRegex(text, r"<script|<link|<img|@import|https?://(?!www\.w3\.org/)|\son\w+=|href=")
        self.assertRegex(text, r"@page \{ size: A4 portrait;")

    def test_names_are_text_and_nothing_else(self):
        ship = self.write("hostile.xml", re.sub(r'(<space id="\w")', r'\1 vital="yes"', hostile_ship()))
        sheets = self.sheets(ship, "--level", "still", warned=True)
        self.assertEqual(len(sheets), len(HOSTILE))
        for sheet, name in zip(sheets, HOSTILE.values()):
            shown = " ".join(name.replace("\u202e", "<U+202E>").replace("\u202c", "<U+202C>").split())
            self.assertEqual(sheet.title[:20], shown[:20])
        tags = {e.tag for sheet in sheets for e in sheet.section.iter()}
        self.assertLessEqual(tags, {HTML + t for t in ("section", "div", "p", "h1", "h2", "h3", "figure", "figcaption", "span")}
                             | {SVG + t for t in ("svg", "title", "desc", "defs", "pattern", "path", "rect", "circle", "g",
                                                  "text")})

    def test_ids_are_given_once(self):
        text = self.page(*LOGGED, "--level", "still")
        ids = re.findall(r'\sid="([^"]*)"', text)
        self.assertTrue(ids)
        self.assertEqual(len(ids), len(set(ids)))

    def test_it_is_written_whole_or_not_at_all(self):
        self.good("casualty", *LOGGED, "--source", "engine", "--format", "html", "-o", "sheet.html", *AS_OF)
        self.assertTrue((self.folder / "sheet.html").read_text(encoding="utf-8").endswith("</html>\n"))


if __name__ == "__main__":
    unittest.main()
