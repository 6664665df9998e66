#!/usr/bin/python3
"""Lines from near to far: the text against the document, the document against itself, and what is said
of closures that slow, stand open, or are worked from the side given up. Lines and losses themselves are
tried by tests/unit/test_lines.c.

Needs Python 3.11, its standard library only.
Environment: COAMING, COAMING_ROOT. The ships here are invented.
"""

import json
import re
import sys
import unittest
from pathlib import Path

sys.dont_write_bytecode = True  # leaves no files behind
sys.path.insert(0, str(Path(__file__).resolve().parent))
from harness import AS_OF, DONE, FOUND, LOGGED, SHIP_NS, Case  # noqa: E402

BRIEF = {"within": "within limits", "beyond": "beyond limits", "not_surviving": "not surviving", "lost": "lost"}


class Held(Case):
    """What hold says without --protect."""

    def asked(self, *words):
        """The answers of one question and its text, in one line."""
        found = []
        for more in (("--format", "json"), ()):
            done = self.run_it("hold", *words, *more, *AS_OF)
            self.assertIn(done.returncode, (DONE, FOUND), done.stderr)
            found.append(done.stdout.decode())
        return json.loads(found[0])["answers"], found[1]


class Demo(Held):
    SOURCES = ("engine", "aux", "void-aft", "bridge", "sea")

    def test_lines_go_from_near_to_far_and_the_least_is_held(self):
        held = set()
        for source in self.SOURCES:
            for more in ((), ("--condition", "port"), ("--level", "full")):
                answers, _ = self.asked(*LOGGED, "--source", source, *more)
                for answer in answers:
                    lines = answer["lines"]
                    self.assertTrue(answer["nested"])
                    self.assertEqual([line["line"] for line in lines], list(range(1, len(lines) + 1)))
                    for near, far in zip(lines, lines[1:]):
                        self.assertLess(set(near["given_up"]), set(far["given_up"]))
                        if far["afloat"] is None: # where she settles more closures may be of the farther one
                            self.assertLess(near["chance"], far["chance"])
                        self.assertLessEqual(near["worth"], far["worth"])
                    for line in lines:
                        self.assertEqual(line["chance"], line["holds"])
                        self.assertGreaterEqual(line["expected_loss"], line["worth"])
                    afloat = [line for line in lines if line["afloat"] is not False and not line["not_held"]]
                    best = [line for line in lines if line["recommended"]]
                    self.assertEqual(len(best), bool(afloat))
                    if best:
                        self.assertEqual(best[0]["expected_loss"],
                                         min(line["expected_loss"] for line in afloat))
                        held.add(best[0]["line"])
        self.assertIn(1, held)

    def test_the_text_says_what_the_document_does(self):
        rows = re.compile(r"^  ([* ]) +(\d+) +(\d+) +((?:over |under )?[0-9.]+ %) +(\d+) +([0-9.]+) +"
                          r"([0-9.]+) +([0-9.]+)(?:  (.*))?$", re.M)
        ready, outer = set(), set()
        for source in self.SOURCES:
            for hazard in ("water", "air")[:1 if source == "sea" else 2]:
                (answer,), text = self.asked(*LOGGED, "--source", source, "--hazard", hazard)
                lines = answer["lines"]
                found = rows.findall(text)
                self.assertEqual(len(found), len(lines) if len(lines) > 1 else 0)
                for row, line in zip(found, lines):
                    self.assertEqual(row[0] == "*", line["recommended"])
                    self.assertEqual((int(row[1]), int(row[2]), int(row[4]), float(row[5])),
                                     (line["line"], len(line["closures"]), len(line["given_up"]),
                                      line["people"]))
                    self.assertAlmostEqual(float(row[7]), line["expected_loss"],
                                           delta=line["expected_loss"] / 1000)
                    self.assertEqual(row[8], "not held" if line["not_held"] else BRIEF.get(line["grade"], ""))
                flat = " ".join(text.split())
                for line in lines:
                    if line["recommended"]:
                        self.assertIn(f"LINE TO HOLD ({line['line']} of {len(lines)}): ", flat)
                        self.assertEqual(line["chance"] < 0.5 and line["line"] < len(lines),
                                         "make the second line ready as well." in flat)
                        ready.add("make the second line ready as well." in flat)
                        for c in line["closures"]:
                            task = "SHUT" if c["must_be_shut"] else "keep shut"
                            told = re.search(rf"{task} {c['closure']}, [^:]*\bagainst ([^:]*): holds ", flat)
                            named = re.search(r"to the outside, passed, keep shut: (?:\S+ \([^)]*\), )*"
                                              rf"{c['closure']} \(([0-9.]+) %\)", flat)
                            self.assertNotEqual(told is None, named is None, c)
                            outer.add(named is not None)
                            if named:
                                self.assertEqual((c["result"], task), ("pass", "keep shut"))
                                self.assertAlmostEqual(float(named[1]), 100 - 100 * c["leak_probability"],
                                                       delta=0.051)
                self.assertNotRegex(flat, r"(?i)\bsafe\b")
        self.assertEqual((ready, outer), ({True, False}, {True, False}))


def row(*closures, vital="", ship='length="30" beam="6" depth="6" draft="2"'):
    """Three spaces one behind the other."""
    spaces = "".join(f'<space id="{name}" name="{name}"{vital if name == "c" else ""}>'
                     f'<box x="{10 * i} {10 * i + 10}" y="-3 3" z="0 6"/></space>' for i, name in enumerate("abc"))
    return (f'<arrangement xmlns="{SHIP_NS}" name="Row"><ship {ship}/><condition id="sea" name="At sea"/>'
            f'{spaces}{"".join(closures)}</arrangement>')


def door(name, between, more='rating="watertight"', inside=""):
    return (f'<closure id="{name}" kind="door" between="{between}" leak-probability="0.25" {more}>'
            f'<clear x="10" y="0" z="0.5" width="0.7" height="1" lies="transverse"/>{inside}</closure>')


class Row(Held):
    def test_a_weathertight_door_under_water_slows_and_may_not_hold(self):
        ship = self.ship(row(door("D1", "a b", 'rating="weathertight"'), door("D2", "b c")))
        (water, air), text = self.asked(ship, "--source", "a")
        self.assertTrue(water["lines"][0]["closures"][0]["slows"])
        self.assertEqual(water["lines"][0]["chance"], 0.5)
        self.assertEqual((air["lines"][0]["closures"][0]["slows"], air["lines"][0]["chance"]), (False, 0.75))
        self.assertIn("keep shut D1, from b against a: weathertight only, under water: shut it: it slows, it may "
                      "not hold", " ".join(text.split()))
        # to keep b it is no line, as before
        (asked,), text = self.asked(ship, "--source", "a", "--protect", "b", "--hazard", "water")
        self.assertEqual((asked["nested"], asked["lines"]), (False, []))
        self.assertIn("by D1 (weathertight only, under water) to b", text)

    def test_a_closure_that_is_worked_from_the_side_given_up_says_so(self):
        for side, said in (("a", True), ("b", False)):
            ship = self.ship(row(door("D1", "a b", inside=f'<from side="{side}"/>'), door("D2", "b c")))
            _, text = self.asked(ship, "--source", "a", "--hazard", "air")
            self.assertEqual("from b against a, BUT WORKED FROM a ONLY: holds 75 %" in " ".join(text.split()), said)

    def test_a_remote_closure_that_is_worked_from_the_side_given_up_is_shut_from_elsewhere(self):
        more = 'rating="watertight" shut-in="port" remote="yes"'
        ship = self.ship(row(door("D1", "a b", more, '<from side="a"/>'), door("D2", "b c")).replace(
            '<condition id="sea" name="At sea"/>',
            '<condition id="sea" name="At sea"/><condition id="port" name="In port"/>'))
        _, text = self.asked(ship, "--source", "a", "--hazard", "air", "--condition", "sea")
        self.assertIn("SHUT D1, from elsewhere (remote) against a; at the door it is worked from a only: holds 75 %",
                      " ".join(text.split()))

    def test_the_weakest_way_goes_by_what_stands_open_behind_the_line(self):
        ship = self.ship(row(door("D1", "a b"), door("D2", "b c"), vital=' vital="yes"'))
        (answer,), text = self.asked(ship, "--source", "a", "--hazard", "air", "--open", "D2")
        text = " ".join(text.split())
        self.assertEqual((answer["lines"][0]["open_behind"], answer["weakest_way"]["probability"]), (["D2"], 0.25))
        self.assertIn("Behind the line these stand open: D2; shut them too.", text)
        self.assertIn("from a by D1 (leaks 25 %) to b, by D2 (stands open) to c; all of it leaks with a chance of 25 %.",
                      text)
        (answer,), text = self.asked(ship, "--source", "a", "--hazard", "air")
        self.assertEqual((answer["lines"][0]["open_behind"], answer["weakest_way"]["probability"]), ([], 0.0625))
        self.assertNotIn("stand open", text)

    def test_one_source_is_taken_and_the_sea_is_none_of_bad_air(self):
        ship = self.ship(row(door("D1", "a b"), door("D2", "b c")))
        for sources, words in ((("a", "b"), b"--source is given once; 'b' is one too many"),
                               (("a,b",), b"--source takes one place; 'coaming casualty' takes several")):
            done = self.run_it("hold", *(word for source in sources for word in ("--source", source)), ship)
            self.assertEqual((done.returncode, done.stdout), (2, b""))
            self.assertIn(words, done.stderr)
        done = self.run_it("hold", "--source", "sea", "--hazard", "air", ship)
        self.assertEqual((done.returncode, done.stdout), (2, b""))
        self.assertIn(b"the sea is no source of bad air; name the weather or a space", done.stderr)
        answers, _ = self.asked(ship, "--source", "sea")
        self.assertEqual([answer["hazard"] for answer in answers], ["water"])

    def test_what_stands_open_is_shut_for_the_line_alone(self):
        """Held at D1, D2 stays open: 1 + 0.25 x 2. D2 holds no better and gives up more: no line from a."""
        ship = self.ship(row(door("D1", "a b"),
                             door("D2", "b c", 'rating="watertight" shut-in="sea" remote="yes"')).replace(
            '<condition id="sea" name="At sea"/>',
            '<condition id="sea" name="At sea"/><condition id="port" name="In port"/>'))
        (answer,), text = self.asked(ship, "--source", "a", "--hazard", "air", "--condition", "port")
        self.assertEqual([line["expected_loss"] for line in answer["lines"]], [1.5])
        (answer,), text = self.asked(ship, "--source", "b", "--hazard", "air", "--condition", "port")
        self.assertIn("SHUT D2, from c (or from elsewhere) against b: holds 75 %", " ".join(text.split()))

    def test_a_ship_that_floats_with_no_line_has_none_to_hold(self):
        ship = self.ship(row(door("D1", "a b"), door("D2", "b c"), vital=' vital="yes"',
                             ship='length="30" beam="6" depth="2.4" draft="2" kg="1.2"'))
        (answer,), text = self.asked(ship, "--source", "b", "--hazard", "water")
        self.assertTrue(answer["lines"])
        self.assertEqual({line["afloat"] for line in answer["lines"]}, {False})
        self.assertFalse(any(line["recommended"] for line in answer["lines"]))
        self.assertIn("Nearest line (1 of ", text)
        self.assertIn("WITH NO LINE DOES SHE STAY AFLOAT, so none is named as the one to hold.",
                      " ".join(text.split()))
        self.assertNotIn("* The line to hold", text)

    def test_without_a_closure_to_hold_no_line_is_named(self):
        ship = self.ship(row(door("D1", "a b", 'rating="nontight"'), door("D2", "b c", 'rating="nontight"')))
        (answer,), text = self.asked(ship, "--source", "a", "--hazard", "air")
        self.assertEqual((answer["lines"], answer["protect"], answer["lost"]), ([], [], []))
        self.assertIn("There is no line to name: from where the smoke or bad air gets to no closure leads on that "
                      "can hold. Look for ways that are not recorded.", " ".join(text.split()))

    def test_a_vital_space_that_no_line_can_keep_is_told_by_the_status(self):
        ship = self.ship(row(door("D1", "a b", 'rating="nontight"'), door("D2", "b c"), vital=' vital="yes"'))
        words = ("hold", ship, "--source", "b", "--hazard", "air", *AS_OF)
        self.assertEqual(self.run_it(*words).returncode, DONE)
        ship = self.ship(row(door("D1", "a b"), door("D2", "b c", 'rating="nontight"'), vital=' vital="yes"'))
        done = self.run_it(*words)
        self.assertEqual(done.returncode, FOUND)
        self.assertIn(b"NO LINE can keep c clean: from b by D2 (not tight) to c.", done.stdout)


if __name__ == "__main__":
    unittest.main()
