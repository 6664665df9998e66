#!/usr/bin/env python3
"""Grades of floating positions, what limits them, where the water would go on, and what is let in.

Each ship is a box or a prism small enough for its angles to be had by hand; the arithmetic stands
beside the check. Limits and factor s: SOLAS II-1/7-2 (text of MSC.216(82), as in the French
Division 221, article 221-II-1/07-2). All ships are invented.
"""

import json
import math
import unittest
import xml.etree.ElementTree as ET

from harness import AS_OF, BARGE, DONE, FOUND, INPUT, SHIP_NS, USAGE, Folder, log, tested


def space(name, x, y, z, more='shell="yes"', share=0.95):
    box = " ".join(f'{axis}="{a} {b}"' for axis, (a, b) in zip("xyz", (x, y, z)))
    return f'<space id="{name}" name="{name}" permeability="{share}" {more}><box {box}/></space>\n'


def closure(name, ends, place, rating="watertight", more="", result="pass"):
    x, y, z = place
    test = f'<test date="2026-01-31" method="chalk" result="{result}"/>' if result else ""
    return (f'<closure id="{name}" kind="door" between="{ends}" rating="{rating}" {more}>'
            f'<clear x="{x}" y="{y}" z="{z}" width="0.6" height="1" lies="longitudinal"/>{test}'
            '</closure>\n')


def ship(size, *parts, more="", before=""):
    length, beam, depth, draft, kg = size
    return (f'<arrangement xmlns="{SHIP_NS}" name="Box">\n<ship length="{length}" beam="{beam}" '
            f'depth="{depth}" draft="{draft}" kg="{kg}" {more}/>\n{before}{"".join(parts)}'
            "</arrangement>\n")


class Floats(Folder):
    def done(self, *words):
        run = self.run_it(*words)
        self.assertIn(run.returncode, (DONE, FOUND) if words[0] == "hold" else (DONE,),
                      (words, run.stderr))
        return run.stdout.decode("utf-8")

    def json(self, command, *words):
        return json.loads(self.done(command, "--format=json", *words))

    def refused(self, *words, status, says):
        run = self.run_it(*words)
        self.assertEqual((run.returncode, run.stdout), (status, b""), run.stderr)
        self.assertIn(says, run.stderr.decode("utf-8"))

    def answer(self, text, *words, log_text=None):
        path = self.write("ship.xml", text)
        logs = ("--log", self.write("log.xml", log_text)) if log_text else ()
        return self.json("float", path, *words, *logs, *AS_OF)

    def text(self, text, *words, command="float", log_text=None):
        path = self.write("ship.xml", text)
        logs = ("--log", self.write("log.xml", log_text)) if log_text else ()
        return " ".join(self.done(command, path, *words, *logs, *AS_OF).split())


class Grades(Floats):
    def test_a_box_that_lies_on_its_side_is_lost(self):
        """She came to rest at 90 degrees and a draught of 2e15 m, and was said to stay afloat."""
        for more in (space("a", (0, 15), (-4, 0), (0, 4), share=0.83),
                     space("a", (0, 20), (0, 4), (0, 4), share=0.64)):
            text = ship((20, 8, 4, 2.12, 2.0), more)
            found = self.answer(text, "--flooded", "a")
            self.assertEqual((found["afloat"], found["grade"], found["draught"]),
                             (False, "lost", None))
            self.assertEqual(found["result"], "does not stay afloat: she capsizes")

    def test_beyond_sixty_degrees_she_is_lost(self):
        """65.4 degrees by the old reckoning, and afloat."""
        text = ship((20, 8, 4, 2.74, 1.8), space("a", (0, 20), (0, 4), (0, 4), share=0.45))
        self.assertEqual(self.answer(text, "--flooded", "a")["grade"], "lost")

    def test_a_deck_under_water_is_not_survived(self):
        """Freeboard -5.3 m beside an s of 1.00 and a range of 60 degrees."""
        text = ship((100, 12, 6, 3.53, 3.2), space("a", (0, 18.4), (-6, 6), (0, 6), share=1))
        found = self.answer(text, "--flooded", "a")
        self.assertTrue(found["afloat"])
        self.assertLess(found["freeboard"], -5)
        self.assertEqual((found["grade"], found["limits"], found["s"]),
                         ("not_surviving", ["deck edge under water"], 0))
        words = self.text(text, "--flooded", "a")
        self.assertIn("she is afloat, but not surviving: deck edge under water.", words)
        self.assertNotIn("stays afloat", words)
        cases = self.json("survival", self.write("ship.xml", text), *AS_OF)["cases"]
        case = next(case for case in cases if case["opened"] == ["a"])
        self.assertEqual((case["grade"]["as_built"], case["s"]["as_built"]), ("not_surviving", 0))

    def test_a_bulkhead_deck_is_what_freeboard_is_measured_to(self):
        text = ship((60, 10, 6, 3, 2.5), space("a", (20, 40), (-5, 5), (0, 6)),
                    more='bulkhead-deck="low"', before='<deck id="low" z="4.25"/>\n')
        found = self.answer(text)
        self.assertAlmostEqual(found["freeboard"], 1.25)
        # lost buoyancy: 60 x 10 x 3 = 1800 over (60 - 0.95 x 20) x 10 = 410: 4.390 m
        found = self.answer(text, "--flooded", "a")
        self.assertAlmostEqual(found["freeboard"], 4.25 - 1800 / 410)
        self.assertEqual(found["limits"], ["bulkhead deck under water"])
        self.assertIn("bulkhead deck: under water", self.text(text, "--flooded", "a"))

    def test_a_ship_within_all_limits(self):
        found = self.answer(ship((60, 10, 6, 3, 2.5), space("a", (20, 40), (-5, 5), (0, 3))))
        self.assertEqual((found["grade"], found["limits"], found["s"]), ("within", [], 1))
        self.assertEqual((found["flooding_angle"], found["flooding_opening"], found["loll"]),
                         (None, None, None))

    def test_heel_over_fifteen_degrees(self):
        """A wing tank; the heel by hand is that of the program's own heel, its limit is not."""
        text = ship((60, 10, 8, 3, 3.4), space("a", (10, 50), (0, 5), (0, 8), share=0.6))
        found = self.answer(text, "--flooded", "a")
        self.assertGreater(found["heel"], 15)
        self.assertIn("heel over 15 degrees", found["limits"])
        self.assertEqual(found["grade"], "not_surviving")


class Lolls(Floats):
    """A box of 10 m beam at 3 m draught: BM = 100 / 36 = 2.778 m, KB 1.5 m. kg 4.378 leaves GM
    -0.1 m; walls vertical, tan(heel)^2 = 0.2 / 2.778, 15.02 degrees (wall-sided formula)."""

    SIZE = (60, 10, 9, 3, 1.5 + 100 / 36 + 0.1)
    ANGLE = math.degrees(math.atan(math.sqrt(0.2 / (100 / 36))))

    def test_unstable_upright_is_said_with_its_angle(self):
        text = ship(self.SIZE, space("a", (20, 40), (-5, 5), (8, 9)))
        found = self.answer(text)
        self.assertAlmostEqual(found["loll"], self.ANGLE, 4)
        self.assertTrue(found["either_side"])
        words = self.text(text)
        self.assertIn("unstable upright, she lolls at 15.0 degrees to either side", words)
        self.assertIn("to either side, the angle of loll", words)

    def test_a_gm_at_the_loll_is_called_so_and_no_word_is_cut(self):
        said = self.done("float", self.write("ship.xml", ship(
            self.SIZE, space("a", (20, 40), (-5, 5), (8, 9)))), *AS_OF)
        self.assertRegex(said, r"\n  GM at that angle +[0-9.]+ m; upright it is negative\n")
        self.assertIn("unstable upright\n  GM", said)
        self.assertIn("\n  GM  ", self.done("float", self.write("stiff.xml", ship(
            (60, 10, 9, 3, 3), space("a", (20, 40), (-5, 5), (0, 9)))), *AS_OF))

    def test_she_lolls_to_the_side_that_is_flooded(self):
        """Dry upright, wet when she heels: only the heel can tell the sides apart."""
        for side, ends in ((-1, (-5, -3)), (1, (3, 5))):
            text = ship(self.SIZE, space("a", (20, 40), ends, (3.5, 9)))
            found = self.answer(text, "--flooded", "a")
            self.assertGreater(side * found["heel"], self.ANGLE + 0.5, found)
            self.assertFalse(found["either_side"])
            self.assertAlmostEqual(found["loll"], abs(found["heel"]))
            word = "to port" if side > 0 else "to starboard"
            self.assertIn(f"{word}, the angle of loll", self.text(text, "--flooded", "a"))

    def test_the_heavier_side_goes_down(self):
        found = [self.answer(ship(self.SIZE, space("a", (20, 40), (-5, 5), (8, 9)),
                                  more=f'tcg="{y}"'))["heel"] for y in (-0.01, 0.01)]
        self.assertLess(found[0], -self.ANGLE)
        self.assertAlmostEqual(found[0], -found[1], 6)

    def test_a_stiff_ship_does_not_loll(self):
        self.assertIsNone(self.answer(ship((60, 10, 9, 3, 3), space("a", (1, 2), (3, 5), (0, 9))),
                                      "--flooded", "a")["loll"])


class Openings(Floats):
    """A box of 10 m beam at 3 m keeps 3 m on her middle line while her walls cut the water. A door
    at y = -4, z = 4 goes under to starboard where tan(heel) = (4 - 3) / 4: 14.04 degrees."""

    SIZE = (60, 10, 9, 3, 3)
    ANGLE = math.degrees(math.atan(1 / 4))

    def ship(self, door, *more):
        return ship(self.SIZE, space("a", (20, 40), (-5, 5), (0, 9)),
                    space("b", (40, 60), (-5, 5), (0, 9)), door, *more)

    def test_the_range_ends_at_an_open_door(self):
        for door in (closure("D1", "a weather", (30, -4, 4), more='shut-in=""'),
                     closure("D1", "a weather", (30, -4, 4), rating="weathertight"),
                     closure("D1", "weather a", (30, -4, 4), result="fail")):
            text = self.ship(door)
            found = self.answer(text)
            self.assertAlmostEqual(found["flooding_angle"], self.ANGLE, 6)
            self.assertAlmostEqual(found["range"], self.ANGLE, 6)
            self.assertEqual(found["flooding_opening"], "D1")
            self.assertEqual([arm["heel"] for arm in found["righting_arms"]], [0, -5, -10])
            # wall-sided: gz = sin (gm + bm tan^2 / 2), greatest where the arms end
            heel, bm = math.radians(self.ANGLE), 100 / 36
            gz = math.sin(heel) * (1.5 + bm - 3 + bm * math.tan(heel)**2 / 2)
            self.assertAlmostEqual(found["greatest_arm"], gz, 6)
            self.assertAlmostEqual(found["s"], (self.ANGLE / 16)**0.25, 6)
            self.assertEqual(found["grade"], "beyond")
            self.assertIn("the arms end at 14.0 degrees, where D1 goes under", self.text(text))

    def test_a_door_that_holds_ends_nothing(self):
        for door in (closure("D1", "a weather", (30, -4, 4)),
                     closure("D1", "a weather", (30, -4, 4), result=None),
                     closure("D1", "a b", (40, -4, 4), more='shut-in=""'),
                     closure("D1", "a weather", (30, -4, 4), "weathertight", 'protected="yes"')):
            found = self.answer(self.ship(door))
            self.assertEqual((found["flooding_angle"], found["grade"]), (None, "within"), door)

    def test_a_protected_closure_that_failed_lets_water_in(self):
        door = closure("D1", "a weather", (30, -4, 4), "weathertight", 'protected="yes"', "fail")
        self.assertEqual(self.answer(self.ship(door))["flooding_opening"], "D1")

    def test_the_state_asked_about_decides(self):
        door = closure("D1", "a weather", (30, -4, 4), more='shut-in="sea"')
        text = self.ship(door).replace("<space", '<condition id="sea"/><condition id="port"/><space',
                                       1)
        self.assertIsNone(self.answer(text, "--condition", "sea")["flooding_angle"])
        self.assertAlmostEqual(self.answer(text, "--condition", "port")["flooding_angle"],
                               self.ANGLE, 6)

    def test_a_deckhouse_counts_if_water_goes_down_from_it(self):
        house = space("house", (20, 40), (-5, 5), (9, 11), more="")
        door = closure("D1", "house weather", (30, -5, 9), more='shut-in=""')
        self.assertIsNone(self.answer(self.ship(door, house))["flooding_angle"])
        hatch = closure("H1", "house a", (30, 0, 9), more='shut-in=""')
        found = self.answer(self.ship(door + hatch, house))
        # its sill is on the deck edge, which is no deeper in a box than here: tan(heel) = 6 / 5
        self.assertEqual(found["flooding_opening"], "D1")

    def test_an_inner_door_from_a_flooded_space_counts(self):
        door = closure("D1", "a b", (40, 4, 6), more='shut-in=""')
        found = self.answer(self.ship(door), "--flooded", "a")
        self.assertEqual(found["flooding_opening"], "D1")
        self.assertGreater(found["flooding_angle"], 0)

    def test_what_stands_open_to_the_sea_by_design_is_no_opening(self):
        well = space("well", (28, 32), (-1, 1), (0, 1), more="")
        text = ship(self.SIZE, space("a", (0, 20), (-5, 5), (0, 9)), well).replace(
            "</arrangement>", '<passage id="P1" kind="duct" between="well sea"><clear x="30" y="0" '
            'z="0" width="1" height="1" lies="deck"/></passage></arrangement>')
        found = self.answer(text)
        self.assertEqual((found["grade"], found["would_spread"], found["let_in"]),
                         ("within", [], []))


class Spreads(Floats):
    """Doors low in the bulkheads: D1 leads from a to b and stands open, D2 from b to c and failed."""

    def ship(self, *more):
        parts = [space(name, (20 * i, 20 * i + 20), (-5, 5), (0, 9), share=0.3)
                 for i, name in enumerate("abc")]
        doors = (closure("D1", "a b", (20, 0, 1), more='shut-in=""'),
                 closure("D2", "b c", (40, 0, 1), result="fail"))
        return ship((60, 10, 9, 3, 3), *parts, *doors, *more)

    def test_where_the_water_would_go_on_is_said(self):
        found = self.answer(self.ship(), "--flooded", "a")
        ways = [{"closure": "D1", "to": "b"}, {"closure": "D2", "to": "c"}]
        self.assertEqual((found["would_spread"], found["spread"]), (ways, []))
        self.assertEqual(found["flooded"], ["a"])
        self.assertIn("an opening that lets water on under water", found["limits"])
        self.assertEqual((found["grade"], found["s"], found["range"]), ("not_surviving", 0, 0))
        words = self.text(self.ship(), "--flooded", "a")
        # half her volume is left: she floats at 3 / 0.7, level and stiff
        self.assertIn("As the doors are, water would go on by D1 to b, D2 to c, and with that she "
                      "is afloat, within the limits of SOLAS II-1/7-2.", words)
        self.assertEqual(found["would_spread_grade"], "within")

    def test_spread_lets_it(self):
        found = self.answer(self.ship(), "--flooded", "a", "--spread")
        self.assertEqual([way["to"] for way in found["spread"]], ["b", "c"])
        self.assertEqual(found["would_spread"], [])
        # all three: 3 = draught x 0.7
        self.assertAlmostEqual(found["draught"], 3 / 0.7)
        both = self.answer(self.ship(), "--flooded", "a,b,c")
        self.assertAlmostEqual(found["draught"], both["draught"])
        self.assertIn("Water goes on by D1 to b, D2 to c.",
                      self.text(self.ship(), "--flooded", "a", "--spread"))

    def test_spread_needs_kg(self):
        path = self.write("ship.xml", self.ship().replace('kg="3"', ""))
        self.refused("float", path, "--flooded=a", "--spread", *AS_OF, status=USAGE, says="kg")


class LetIn(Floats):
    """A sea valve below the water that failed, and a door from there that stands open."""

    SHIP = ship((60, 10, 9, 3, 3), space("engine", (20, 40), (-5, 5), (0, 9), 'shell="yes" vital="yes"'),
                space("motor", (0, 20), (-5, 5), (0, 9)), space("fore", (40, 60), (-5, 5), (0, 9),
                                                                'vital="yes"'),
                closure("SV1", "engine sea", (30, -5, 1)),
                closure("D1", "engine motor", (20, 0, 1), more='shut-in=""'))
    FAILED = log(tested("SV1", "2026-06-01", "fail"), ship="Box")
    LINE = "As tested the sea is let into engine by SV1, motor by D1"
    COMMANDS = (("float", "--flooded=fore"), ("survival",), ("expose", "D1"),
                ("rank",), ("hold", "--source=motor"), ("plan", "--hours=5"),
                ("rank", "--explain=D1"))

    def test_every_answer_says_what_is_let_in_already(self):
        for command, *words in self.COMMANDS:
            for level in ((), ("--level=still",)) if command not in ("float", "survival") else ((),):
                with self.subTest(command=command, words=words, level=level):
                    said = self.text(self.SHIP, *words, *level, command=command,
                                     log_text=self.FAILED)
                    self.assertEqual(said.count(self.LINE), 1, said)
                    said = self.text(self.SHIP, *words, *level, command=command)
                    self.assertNotIn("the sea is let into", said)

    def test_it_is_in_every_document(self):
        path, logged = self.write("ship.xml", self.SHIP), self.write("log.xml", self.FAILED)
        for command, *words in (*self.COMMANDS, ("export",)):
            with self.subTest(command=command, words=words):
                found = self.json(command, path, *words, "--log", logged, *AS_OF)
                self.assertEqual(found["let_in"], [{"space": "engine", "by": "SV1"},
                                                   {"space": "motor", "by": "D1"}])
                self.assertEqual(self.json(command, path, *words, *AS_OF)["let_in"], [])

    def test_the_drawing_and_the_report_say_it(self):
        for words in (("draw", "--overlay=expose", "--closure=D1"), ("draw", "--overlay=rank"),
                      ("draw", "--overlay=hold", "--source=motor", "--hazard=water"), ("report",)):
            said = self.text(self.SHIP, *words[1:], command=words[0], log_text=self.FAILED)
            self.assertIn(self.LINE, "".join(ET.fromstring(said.replace("<!DOCTYPE html>", ""))
                                             .itertext()), words)
            said = self.text(self.SHIP, *words[1:], command=words[0])
            self.assertNotIn("the sea is let into", said, words)

    def test_what_is_let_in_is_not_said_to_stay_dry(self):
        path, logged = self.write("ship.xml", self.SHIP), self.write("log.xml", self.FAILED)
        for level in ((), ("--level=still",)):
            words = (path, "--source=sea", "--hazard=water", "--log", logged, *level, *AS_OF)
            line, = self.json("hold", *words)["answers"][0]["lines"]
            self.assertEqual((line["wet"], line["kept"]), (["engine", "motor"], ["fore"]))
            said = " ".join(self.done("hold", *words).split())
            self.assertIn("Stays dry if all of it holds: fore.", said)
            self.assertIn("WET ALREADY, as tested, though behind the line: engine, motor. Dry only "
                          "if what lets the sea in (SV1) is made to hold, or shut off before it gets there.", said)
            self.assertIn("WET ALREADY", self.text(
                self.SHIP, "--overlay=hold", "--source=sea", "--hazard=water", *level,
                command="draw", log_text=self.FAILED))
            line, = self.json("hold", *words[:3], *level, *AS_OF)["answers"][0]["lines"]
            self.assertEqual((line["wet"], line["kept"]), ([], ["engine", "motor", "fore"]))

    def test_a_drawing_keeps_nothing_clean_that_is_wet(self):
        words = ("draw", self.write("ship.xml", self.SHIP), "--overlay=hold", "--source=sea",
                 "--hazard=water", "--protect=engine", *AS_OF)
        self.assertIn("to stay clean", self.done(*words))
        said = self.done(*words, "--log", self.write("log.xml", self.FAILED))
        self.assertNotIn("to stay clean", said)

    def test_air_alone_says_nothing_of_water(self):
        said = self.text(self.SHIP, "--hazard=air", command="rank",
                         log_text=self.FAILED)
        self.assertNotIn("the sea is let into", said)


class Breaches(Floats):
    """Three thirds of a box, each a share of 0.55: two of them can be lost, not three.
    Draught 3 of 5.2: one: 3 / (1 - 0.55/3) = 3.67; all three sink her: 3 / 0.45 = 6.7 > 5.2."""

    SHIP = ship((60, 10, 5.2, 3, 2), *(space(name, (20 * i, 20 * i + 20), (-5, 5), (0, 5.2), share=0.55)
                                       for i, name in enumerate("abc")),
                closure("D1", "a b", (20, 0, 0.5)), closure("D2", "b c", (40, 0, 0.5), result="fail"))

    def test_what_floods_and_what_turned_it(self):
        logged = ("--log", self.write("log.xml", log(tested("D1", "2026-05-01", "fail"), ship="Box")))
        path = self.write("ship.xml", self.SHIP)
        cases = self.json("survival", path, *logged, *AS_OF)["cases"]
        middle = next(case for case in cases if case["opened"] == ["b"])
        self.assertNotEqual(middle["grade"]["as_built"], "lost")
        self.assertEqual(middle["grade"]["as_tested"], "lost")
        # either alone leaves her one third that carries: both are needed, so each turns it
        self.assertEqual(middle["turned_by"], ["D1", "D2"])
        self.assertEqual(middle["flooded_as_tested"], ["a", "b", "c"])
        words = self.text(self.SHIP, *logged, command="survival")
        self.assertIn("worse by D1, D2", words)
        self.assertNotIn("stays afloat", words)


class Fates(Floats):
    """The three thirds again, and a bridge that no way leads to: the middle third and either end can
    be lost, all three sink her."""

    ABOVE = space("bridge", (20, 40), (-2, 2), (5.2, 7), 'vital="yes"', share=1)

    def ship(self, *more):
        return ship((60, 10, 5.2, 3, 2), *(space(name, (20 * i, 20 * i + 20), (-5, 5), (0, 5.2),
                                                 share=0.55) for i, name in enumerate("abc")),
                    self.ABOVE, *more)

    DOORS = (closure("D1", "a b", (20, 0, 0.5), result="fail"),
             closure("D2", "b c", (40, 0, 0.5), result="fail"))
    SINKS = "she is lost: not enough buoyancy is left"

    def test_hold_says_first_how_she_fares_as_the_doors_are(self):
        """No way leads to the bridge; it said that, and 'afloat', of a ship that sinks."""
        text = self.ship(*self.DOORS)
        spread = self.answer(text, "--flooded=b", "--spread")
        found = self.json("hold", self.write("ship.xml", text), "--source=b", "--hazard=water",
                          "--protect=bridge", *AS_OF)["answers"][0]
        self.assertEqual((found["lines"], spread["grade"]), ([], "lost"))
        self.assertEqual(found["as_tested"], {
            "spread": [{"closure": "D1", "to": "a"}, {"closure": "D2", "to": "c"}],
            "afloat": False, "grade": "lost", "limits": []})
        for command, *words in (("hold",), ("draw", "--overlay=hold")):
            said = self.text(text, "--source=b", "--hazard=water", "--protect=bridge", *words,
                             command=command)
            if command == "draw":
                said = " ".join("".join(ET.fromstring(said).itertext()).split())
            self.assertIn(f"As the doors are the water goes on by D1 to a, D2 to c, and "
                          f"{self.SINKS}.", said)
            self.assertNotIn("Look for those that are not recorded", said)

    def test_a_line_that_rests_on_a_failed_closure_says_it_too(self):
        text = self.ship(*self.DOORS)
        said = self.text(text, "--source=b", "--hazard=water", "--protect=a", command="hold")
        self.assertLess(said.index(self.SINKS), said.index("Line most likely to hold"))

    def test_doors_that_hold_keep_the_water_where_it_is(self):
        text = self.ship(closure("D1", "a b", (20, 0, 0.5)), closure("D2", "b c", (40, 0, 0.5)))
        found = self.json("hold", self.write("ship.xml", text), "--source=b", "--hazard=water",
                          *AS_OF)["answers"][0]["as_tested"]
        alone = self.answer(text, "--flooded=b")
        self.assertEqual((found["spread"], found["grade"], found["limits"]),
                         ([], alone["grade"], alone["limits"]))
        self.assertIn("As the doors are the water goes on nowhere, and she is afloat",
                      self.text(text, "--source=b", "--hazard=water", command="hold"))

    def test_air_and_a_fixed_level_have_no_grade(self):
        path = self.write("ship.xml", self.ship(*self.DOORS))
        for words in (("--hazard=air",), ("--hazard=water", "--level=still")):
            found = self.json("hold", path, "--source=b", "--protect=a", *words, *AS_OF)
            self.assertIsNone(found["answers"][0]["as_tested"])

    def test_she_sinks_by_what_is_let_in(self):
        """Eight spaces were listed, and nothing of that she is lost with them."""
        text = self.ship(*self.DOORS, closure("SV1", "b sea", (30, 0, 0), result="fail"))
        line = f"As tested the sea is let into b by SV1, a by D1, c by D2; with these open {self.SINKS}."
        for command, *words in (("rank",), ("expose", "D1"), ("plan", "--hours=5"), ("float",),
                                ("survival",), ("hold", "--source=b")):
            self.assertIn(line, self.text(text, *words, command=command))
        for command, *words in (("rank",), ("expose", "D1"), ("export",), ("hold", "--source=b")):
            path = self.write("ship.xml", text)
            self.assertEqual(self.json(command, path, *words, *AS_OF)["let_in_grade"], "lost")
            sound = self.write("sound.xml", self.ship(*self.DOORS))
            self.assertIsNone(self.json(command, sound, *words, *AS_OF)["let_in_grade"])

    def test_float_dry_tells_the_first_stage_from_the_end(self):
        """The doors stand 3.5 m up: she floats at 3 m, and with b at 3 / (1 - 0.55 / 3) = 3.67 m."""
        doors = (closure("D1", "a b", (20, 0, 3.5), result="fail"),
                 closure("D2", "b c", (40, 0, 3.5), result="fail"))
        text = self.ship(closure("SV1", "b sea", (30, 0, 0), result="fail"), *doors)
        found = self.answer(text)
        self.assertEqual(found["would_spread"], [{"closure": "SV1", "to": "b"}])
        self.assertEqual((found["would_spread_grade"], found["let_in_grade"]), ("lost", "lost"))
        said = self.text(text)
        self.assertIn("water would go on by SV1 to b, from there as she settles to 2 spaces more, "
                      f"and with that {self.SINKS}.", said)
        self.assertIn(f"let into b by SV1, a by D1, c by D2; with these open {self.SINKS}.", said)

    def test_a_capsize_has_its_side(self):
        for ends, side in (((-4, 0), "starboard"), ((0, 4), "port")):
            text = ship((20, 8, 4, 2.12, 2.0), space("a", (0, 15), ends, (0, 4), share=0.83))
            self.assertIn(f"she capsizes to {side}.", self.text(text, "--flooded=a"))


class People(Floats):
    def test_the_drawing_of_a_line_has_the_people_of_the_text(self):
        text = ship((60, 10, 9, 3, 3), space("a", (20, 40), (-5, 5), (0, 9), 'people="3"'),
                    space("b", (40, 60), (-5, 5), (0, 9), 'vital="yes"'),
                    closure("D1", "a b", (40, 0, 1)))
        said = self.text(text, "--source=a", "--hazard=water", command="hold")
        self.assertIn("Given up: a. In all 1 space; 3 people counted there.", said)
        self.assertIn("that the source can fill up to the line (1 of the 1 space given up)", said)
        drawn = "".join(ET.fromstring(self.text(text, "--overlay=hold", "--source=a",
                                                "--hazard=water", command="draw")).itertext())
        self.assertIn("Given up: a. In all 1 space; 3 people counted there.", drawn)

    def test_every_heel_has_its_side(self):
        text = ship((60, 10, 9, 3, 3), space("a", (20, 40), (-5, 0), (0, 9)),
                    space("b", (40, 60), (-5, 5), (0, 9), 'vital="yes"'),
                    closure("D1", "a b", (40, 0, 1)))
        for words in (("float", "--flooded=a"), ("hold", "--source=a", "--hazard=water"),
                      ("draw", "--overlay=hold", "--source=a", "--hazard=water")):
            said = self.text(text, *words[1:], command=words[0])
            self.assertRegex(said, "[1-9][0-9.]+ (degrees|deg) (to )?starboard", words)
        self.assertIn("starboard", self.text(text, command="report"))


class Faults(Floats):
    def test_what_is_wrong_with_the_new_attributes(self):
        good = ship((60, 10, 9, 3, 3), space("a", (20, 40), (-5, 5), (0, 9)),
                    more='bulkhead-deck="main"', before='<deck id="main" z="9"/>\n')
        for old, new, says in (('bulkhead-deck="main"', 'bulkhead-deck="mai"', "nearest is main"),
                               ('id="main" z="9"', 'id="main" z="2.5"', "not above the draft")):
            path = self.write("ship.xml", good.replace(old, new))
            self.refused("float", path, *AS_OF, status=INPUT, says=says)
        self.assertEqual(self.run_it("check", self.write("ship.xml", good), *AS_OF).returncode, DONE)


if __name__ == "__main__":
    unittest.main()
