#!/usr/bin/python3
"""What a chalk print asks for, worked by hand from include/coaming/chalk.h.

The door of most cases: 0.8 m wide and 1.6 m high, so the gasket runs 4.8 m round: top edge 0 to
0.8, free side 0.8 to 2.4, bottom 2.4 to 3.2, hinge side 3.2 to 4.8. Eight dogs by number are evenly
spaced, the first half a pitch from the corner: 0.3, 0.9, 1.5, 2.1, 2.7, 3.3, 3.9 and 4.5.

Needs Python 3.11, its standard library only.
Environment: COAMING, the program; COAMING_ROOT, the source tree. The ships here are invented.
"""

import json
import math
import random
import unittest

from harness import AS_OF, SHIP_NS, Case

RUN = 4.8


def door(tests="", dogs='<dogs count="8"/>', gasket="<gasket/>", clear=True, width=0.8, height=1.6,
         units="m", name="D1", kind="door"):
    size = f'<clear x="10" y="0" z="0.5" width="{width}" height="{height}" lies="transverse"/>'
    return (f'<arrangement xmlns="{SHIP_NS}" name="Print" units="{units}">\n'
            '<ship length="100" beam="20" depth="18" draft="6"/>\n'
            '<space id="a" name="A"><box x="0 10" y="-3 3" z="0 18"/></space>\n'
            '<space id="b" name="B"><box x="10 20" y="-3 3" z="0 18"/></space>\n'
            f'<closure id="{name}" name="Door" kind="{kind}" between="a b" rating="watertight">\n'
            f'{size if clear else ""}{gasket}{dogs}{tests}</closure>\n</arrangement>\n')


def print_of(*gaps, date="2026-05-01", result="fail", method="chalk", more=""):
    """A test with gaps written AT:LENGTH[:SEEN]; more: attributes."""
    said = ""
    for gap in gaps:
        at, length, *seen = gap.split(":")
        said += f'<gap at="{at}" length="{length}"{f""" seen="{seen[0]}" """ if seen else ""}/>'
    return f'<test date="{date}" method="{method}" result="{result}" {more}>{said}</test>'


def log_of(*entries):
    return ('<test-log xmlns="urn:coaming:test-log:1" arrangement="Print">\n' +
            "\n".join(entries) + "\n</test-log>\n")


def repaired(date, action):
    return f'<repair closure="D1" date="{date}" action="{action}"/>'


def failed(date, gap="1.6:0.2"):
    at, length = gap.split(":")
    return (f'<test closure="D1" date="{date}" method="chalk" result="fail">'
            f'<gap at="{at}" length="{length}"/></test>')


class Reading(Case):
    def read(self, text, *entries, names=("D1",)):
        self.write("ship.xml", text)
        words = ()
        if entries:
            self.write("log.xml", log_of(*entries))
            words = ("--log", "log.xml")
        return self.document("adjust", *words, "ship.xml", *names)["closures"]

    def one(self, text, *entries):
        closures = self.read(text, *entries)
        self.assertEqual([c["closure"] for c in closures], ["D1"])
        return closures[0]

    def one_gap(self, text, *entries):
        reading = self.one(text, *entries)
        self.assertEqual(len(reading["gaps"]), 1, reading)
        return reading["gaps"][0]

    def dogs(self, expected, gap, **how):
        found = self.one_gap(door(print_of(gap), **how))
        self.assertEqual((found["advice"], found["dogs"]), ("dogs", expected), found)
        return found

    def nuts(self, expected, gap):
        found = self.one_gap(door(print_of(gap), kind="manhole", dogs='<dogs count="24"/>'))
        self.assertEqual((found["advice"], found["dogs"]), ("fastenings", expected), found)

    def printed(self, reading, gaps, run=RUN):
        """Share, longest gap and area of a print whose gaps, in metres, do not overlap."""
        self.assertAlmostEqual(reading["printed"], 1 - sum(gaps) / run, 12)
        self.assertAlmostEqual(reading["longest"], max(gaps), 12)
        self.assertAlmostEqual(reading["area_per_mm"], sum(gaps) * 1e-3, 15)
        self.assertAlmostEqual(reading["run"], run, 12)


class Dogs(Reading):
    def test_a_gap_between_two_dogs_names_both(self):
        gap = self.dogs([3, 4], "1.6:0.2")
        self.assertEqual((gap["side"], gap["corner"]), ("free", None))

    def test_a_gap_over_a_dog_names_it_and_its_neighbours(self):
        self.dogs([2, 3, 4], "1.4:0.2")

    def test_a_gap_over_two_dogs_names_four(self):
        self.dogs([2, 3, 4, 5], "1.45:0.7")

    def test_a_gap_on_the_hinge_side(self):
        gap = self.dogs([7, 8], "4.1:0.2")
        self.assertEqual(gap["side"], "hinge")

    def test_dogs_with_places_are_numbered_along_the_run(self):
        places = "<dogs>" + "".join(f'<dog at="{at}"/>' for at in (0.2, 1.0, 1.2, 3.0)) + "</dogs>"
        self.dogs([3, 4], "1.7:0.2", dogs=places)
        self.dogs([1, 4], "4.0:0.2", dogs=places)  # past the end of the run comes dog 1

    def test_one_dog_is_named_once(self):
        self.dogs([1], "1.6:0.2", dogs='<dogs count="1"/>')

    def test_of_many_nuts_along_a_gap_none_is_left_out(self):
        """Twenty-four nuts, 0.2 m apart from 0.1: those at 0.7 to 2.3 lie along it, at 0.5 and 2.5 beside it."""
        self.nuts([*range(3, 14)], "0.55:1.9")
        self.nuts([*range(1, 7), *range(20, 25)], "3.95:1.9")  # past the end of the run

    def test_nuts_all_along_a_gap_are_named_each_once(self):
        self.nuts([*range(1, 25)], "0.2:4.75")

    def test_without_dogs_none_is_named(self):
        self.dogs([], "1.6:0.2", dogs="")


class Places(Reading):
    def test_a_gap_round_a_corner(self):
        for gap, corner in (("0.7:0.2", "top-free"), ("2.3:0.2", "bottom-free"),
                            ("3.1:0.2", "bottom-hinge"), ("4.7:0.2", "top-hinge")):
            found = self.one_gap(door(print_of(gap)))
            self.assertEqual((found["advice"], found["corner"]), ("corner", corner), gap)

    def test_a_gap_that_goes_on_past_the_end_of_the_run_is_one(self):
        reading = self.one(door(print_of("4.7:0.2")))
        self.assertEqual(len(reading["gaps"]), 1)
        self.printed(reading, [0.2])

    def test_gaps_that_meet_over_the_end_of_the_run_are_one(self):
        reading = self.one(door(print_of("4.7:0.1", "0:0.1")))
        self.assertEqual([(g["at"], round(g["length"], 12)) for g in reading["gaps"]], [(4.7, 0.2)])
        self.printed(reading, [0.2])

    def test_a_gap_past_the_end_overlaps_one_at_the_beginning(self):
        reading = self.one(door(print_of("4.6:0.4", "0.1:0.2")))
        self.assertEqual([(g["at"], round(g["length"], 12)) for g in reading["gaps"]], [(4.6, 0.5)])
        self.printed(reading, [0.5])

    def test_a_whole_side_is_out_of_true(self):
        for gap, side in (("0.8:1.6", "free"), ("0:0.8", "top"), ("2.4:0.8", "bottom"),
                          ("3.2:1.6", "hinge"), ("0.75:1.7", "free")):
            found = self.one_gap(door(print_of(gap)))
            self.assertEqual((found["advice"], found["side"]), ("side", side), gap)

    def test_no_print_at_all(self):
        reading = self.one(door(print_of("0:4.8")))
        self.assertEqual(reading["advice"], "side")
        self.printed(reading, [4.8])

    def test_a_joint_by_its_position(self):
        for joints, advice in (("1.7", "gasket"), ("3.9 1.7", "gasket"), ("3.9", "dogs")):
            jointed = door(print_of("1.6:0.2"), gasket=f'<gasket joints="{joints}"/>')
            self.assertEqual(self.one_gap(jointed)["advice"], advice, joints)

    def test_a_joint_under_a_gap_past_the_end_of_the_run(self):
        found = self.one_gap(door(print_of("4.6:0.4"), gasket='<gasket joints="0.1"/>'))
        self.assertEqual((found["reason"], found["advice"]), ("joint", "gasket"))


class Seen(Reading):
    def test_what_was_seen_decides(self):
        for seen, advice in (("paint", "clean"), ("damage", "gasket"), ("joint", "gasket"),
                             ("edge", "hinge")):
            self.assertEqual(self.one_gap(door(print_of(f"1.6:0.2:{seen}")))["advice"], advice)

    def test_paint_comes_before_place(self):
        for gap in ("0.7:0.2:paint", "0.8:1.6:paint"):
            self.assertEqual(self.one_gap(door(print_of(gap)))["advice"], "clean")
        self.assertEqual(self.one_gap(door(print_of("1.6:0.2:paint"),))["advice"], "clean")
        jointed = door(print_of("1.6:0.2:paint"), gasket='<gasket joints="1.7"/>')
        self.assertEqual(self.one_gap(jointed)["advice"], "clean")

    def test_damage_comes_before_joint_and_corner(self):
        jointed = door(print_of("1.6:0.2:damage"), gasket='<gasket joints="1.7"/>')
        self.assertEqual(self.one_gap(jointed)["advice"], "gasket")
        self.assertEqual(self.one_gap(door(print_of("0.7:0.2:damage")))["advice"], "gasket")

    def test_a_joint_comes_before_a_corner(self):
        jointed = door(print_of("0.7:0.2"), gasket='<gasket joints="0.75"/>')
        self.assertEqual(self.one_gap(jointed)["reason"], "joint")

    def test_paint_at_one_gap_comes_first_for_the_whole(self):
        reading = self.one(door(print_of("1.6:0.2", "2.3:0.2", "4.1:0.2:paint")))
        self.assertEqual(reading["advice"], "clean")
        self.assertEqual([g["advice"] for g in reading["gaps"]], ["dogs", "corner", "clean"])
        reading = self.one(door(print_of("1.6:0.2:damage", "2.3:0.2", "4.1:0.2:paint")))
        self.assertEqual(reading["advice"], "clean")

    def test_paint_comes_before_another_adjustment_is_counted(self):
        reading = self.one(door(), repaired("2025-02-01", "dogs"), repaired("2025-03-01", "dogs"),
                           failed("2026-05-01").replace('0.2"', '0.2" seen="paint"'))
        self.assertEqual((reading["advice"], reading["adjustments"]), ("clean", 2))


class Union(Reading):
    def test_overlapping_gaps_are_one(self):
        reading = self.one(door(print_of("1.6:0.2", "1.7:0.3")))
        self.assertEqual([round(g["length"], 12) for g in reading["gaps"]], [0.4])
        self.printed(reading, [0.4])

    def test_touching_gaps_are_one(self):
        reading = self.one(door(print_of("1.5:0.25", "1.75:0.25")))
        self.assertEqual([(g["at"], g["length"]) for g in reading["gaps"]], [(1.5, 0.5)])
        self.printed(reading, [0.5])

    def test_touching_gaps_are_one_whatever_the_binary_fractions(self):
        # 0.7 + 0.1 is a little less than 0.8 as doubles, and so on
        for one, other, length in (("1.7:0.1", "1.8:0.1", 0.2), ("0.9:0.6", "1.5:0.1", 0.7),
                                   ("0.7:0.1", "0.8:0.1", 0.2), ("3.6:0.7", "4.3:0.1", 0.8)):
            reading = self.one(door(print_of(one, other)))
            self.assertEqual([round(g["length"], 12) for g in reading["gaps"]], [length],
                             (one, other))

    def test_a_gap_past_the_end_swallows_all_that_it_covers(self):
        reading = self.one(door(print_of("4.6:1.0", "0.1:0.1", "0.4:0.1", "0.6:0.15")))
        self.assertEqual([round(g["length"], 12) for g in reading["gaps"]], [1.0])
        self.printed(reading, [1.0])

    def test_a_gap_longer_than_the_run_is_the_run(self):
        for gaps in (("1.6:4.85",), ("1.6:4.7", "0.5:0.3", "2:0.5")):
            reading = self.one(door(print_of(*gaps)))
            self.assertAlmostEqual(reading["printed"], max(0, 1 - (4.7 if len(gaps) > 1 else 4.8)
                                                           / RUN), 12)

    def test_what_was_seen_at_gaps_that_meet_is_read_in_the_order_of_the_rules(self):
        for one, other, advice in (("paint", "damage", "clean"), ("paint", "joint", "clean"),
                                   ("damage", "joint", "gasket")):
            for gaps in ((one, other), (other, one)):
                found = self.one_gap(door(print_of(f"1.6:0.2:{gaps[0]}", f"1.7:0.2:{gaps[1]}")))
                self.assertEqual(found["advice"], advice, gaps)

    def test_a_gap_within_another_adds_nothing(self):
        reading = self.one(door(print_of("1.7:0.1", "1.6:0.4")))
        self.printed(reading, [0.4])

    def test_gaps_that_begin_at_one_place_come_the_shorter_first(self):
        """A break within a stretch with the print off the middle: both are told."""
        for gaps in (("1.6:0.4:edge", "1.6:0.2"), ("1.6:0.2", "1.6:0.4:edge")):
            reading = self.one(door(print_of(*gaps)))
            self.assertEqual([(g["length"], g["reason"]) for g in reading["gaps"]],
                             [(0.2, "loose"), (0.4, "edge")])
            self.printed(reading, [0.2])

    def test_a_set_that_was_measured_before_the_gasket_was_fitted_is_not_its_own(self):
        measured = print_of("1.6:0.2", more='set="0.004"')
        self.assertEqual(self.one(door(measured))["set"], 0.004)
        self.assertIsNone(self.one(door(measured, gasket='<gasket fitted="2026-05-02"/>'),
                                   failed("2026-05-03"))["set"])

    def test_gaps_apart_add_up(self):
        reading = self.one(door(print_of("4.1:0.1", "1.6:0.2")))
        self.assertEqual([g["at"] for g in reading["gaps"]], [1.6, 4.1])
        self.printed(reading, [0.2, 0.1])
        self.assertEqual([round(g["area_per_mm"], 12) for g in reading["gaps"]], [0.0002, 0.0001])


class Adjusted(Reading):
    """Two adjustments since the gasket was fitted or renewed and gaps again: renew it."""

    def told(self, *entries, gasket="<gasket/>"):
        reading = self.one(door(gasket=gasket), *entries)
        return reading["advice"], reading["adjustments"], reading["renewed"]

    def test_once_adjusted_the_dogs_are_taken_up_again(self):
        self.assertEqual(self.told(repaired("2025-02-01", "dogs"), failed("2026-05-01")),
                         ("dogs", 1, None))

    def test_twice_adjusted_the_gasket_is_renewed(self):
        self.assertEqual(self.told(repaired("2025-02-01", "dogs"), failed("2025-02-02"),
                                   repaired("2025-03-01", "dogs"), failed("2026-05-01")),
                         ("gasket", 2, None))

    def test_a_gasket_fitted_since_starts_the_count_anew(self):
        self.assertEqual(self.told(repaired("2025-02-01", "dogs"), repaired("2025-03-01", "dogs"),
                                   failed("2026-05-01"), gasket='<gasket fitted="2025-04-01"/>'),
                         ("dogs", 0, None))

    def test_a_renewed_gasket_starts_the_count_anew(self):
        self.assertEqual(self.told(repaired("2025-02-01", "dogs"), repaired("2025-03-01", "dogs"),
                                   repaired("2025-04-01", "gasket"), failed("2026-05-01")),
                         ("dogs", 0, "2025-04-01"))

    def test_a_renewed_gasket_twice_adjusted_turns_to_the_knife_edge(self):
        self.assertEqual(self.told(repaired("2025-01-01", "gasket"), repaired("2025-02-01", "dogs"),
                                   repaired("2025-03-01", "dogs"), failed("2026-05-01")),
                         ("knife-edge", 2, "2025-01-01"))

    def test_a_new_gasket_that_bore_since_is_what_wears(self):
        """Hose and chalk prove that it did; looking does not, nor a pass that tells of gaps, nor one of before
        the gasket, nor a failure."""
        def passed(date, method="hose", inside="", result="pass"):
            return f'<test closure="D1" date="{date}" method="{method}" result="{result}">{inside}</test>'

        gap = '<gap at="1" length="0.1" seen="edge"/>'
        for test, advice in ((passed("2025-01-02"), "gasket"), (passed("2025-01-01", "chalk"), "gasket"),
                             (passed("2025-01-02", "visual"), "knife-edge"),
                             (passed("2024-12-31"), "knife-edge"),
                             (passed("2025-01-02", "chalk", gap, "fail"), "knife-edge")):
            with self.subTest(test):
                entries = [repaired("2025-01-01", "gasket"), test, repaired("2025-02-01", "dogs"),
                           repaired("2025-03-01", "dogs"), failed("2026-05-01")]
                self.assertEqual(self.told(*sorted(entries, key=lambda entry: entry.split('date="')[1])),
                                 (advice, 2, "2025-01-01"))

    def test_a_pass_that_tells_of_gaps_is_no_proof(self):
        """It is read with a warning."""
        self.write("ship.xml", door())
        self.write("log.xml", log_of(
            repaired("2025-01-01", "gasket"),
            '<test closure="D1" date="2025-01-02" method="chalk" result="pass"><gap at="1" length="0.1"/></test>',
            repaired("2025-02-01", "dogs"), repaired("2025-03-01", "dogs"), failed("2026-05-01")))
        done = self.run_it("adjust", "--format", "json", *AS_OF, "--log", "log.xml", "ship.xml", "D1")
        self.assertIn(b"1 warning", done.stderr)
        [reading] = json.loads(done.stdout)["closures"]
        self.assertEqual((reading["advice"], reading["reason"]), ("knife-edge", "renewed"))

    def single(self, *gaps, before=()):
        """Advice, reason and dogs of each gap, and advice of the whole, after two adjustments."""
        test = "".join('<gap at="{}" length="{}"{}/>'.format(
            *gap.split(":")[:2], f' seen="{gap.split(":")[2]}"' if gap.count(":") > 1 else "")
            for gap in gaps)
        reading = self.one(door(), *before, repaired("2025-02-01", "dogs"),
                           repaired("2025-03-01", "dogs"),
                           '<test closure="D1" date="2026-05-01" method="chalk" result="fail">'
                           f"{test}</test>")
        text = self.good("adjust", *AS_OF, "--log", "log.xml", "ship.xml")
        self.assertNotIn("take up dog", text)
        return [(g["advice"], g["reason"], g["dogs"]) for g in reading["gaps"]], reading["advice"]

    def test_no_single_gap_asks_for_dogs_after_two_adjustments(self):
        adjusted, corner = ("gasket", "adjusted", []), ("corner", "corner", [])
        self.assertEqual(self.single("1.6:0.2"), ([adjusted], "gasket"))
        self.assertEqual(self.single("1.6:0.2", "2.35:0.1"), ([adjusted, corner], "corner"))
        self.assertEqual(self.single("1.6:0.2", "4:0.1:paint"),
                         ([adjusted, ("clean", "paint", [])], "clean"))
        self.assertEqual(self.single("1.6:0.2", "4:0.1:damage"),
                         ([adjusted, ("gasket", "damage", [])], "gasket"))

    def test_a_new_gasket_twice_adjusted_with_a_print_off_the_middle_alone_is_not_blamed(self):
        reading = self.one(door(), repaired("2025-01-01", "gasket"), repaired("2025-02-01", "dogs"),
                           repaired("2025-03-01", "dogs"),
                           '<test closure="D1" date="2026-05-01" method="chalk" result="fail">'
                           '<gap at="1.6" length="0.2" seen="edge"/></test>')
        self.assertEqual((reading["adjustments"], reading["reason"]), (2, "edge"))
        self.assertEqual([g["reason"] for g in reading["gaps"]], ["edge"])

    def test_adjustments_are_those_before_the_print(self):
        self.assertEqual(self.told(repaired("2025-02-01", "dogs"), failed("2026-05-01"),
                                   repaired("2026-05-02", "dogs")), ("retest", 1, None))
        without_print = self.told(repaired("2025-02-01", "dogs"), repaired("2026-05-02", "dogs"))
        self.assertEqual(without_print[1], 2)

    def test_a_new_gasket_twice_adjusted_but_damaged_is_renewed(self):
        renewed, before = ("knife-edge", "renewed", []), (repaired("2025-01-01", "gasket"),)
        self.assertEqual(self.single("1.6:0.2", "2.35:0.1", before=before),
                         ([renewed, ("corner", "corner", [])], "knife-edge"))
        self.assertEqual(self.single("1.6:0.2", "4:0.1:damage", before=before),
                         ([renewed, ("gasket", "damage", [])], "gasket"))
        self.assertEqual(self.single("1.6:0.2", "4:0.1:paint", before=before),
                         ([renewed, ("clean", "paint", [])], "clean"))

    def test_an_adjustment_taken_back_does_not_count(self):
        undo = '<undo closure="D1" date="2025-03-02" of="repair" of-date="2025-03-01"/>'
        self.assertEqual(self.told(repaired("2025-02-01", "dogs"), repaired("2025-03-01", "dogs"),
                                   undo, failed("2026-05-01")), ("dogs", 1, None))

    def test_other_repairs_are_no_adjustments(self):
        self.assertEqual(self.told(repaired("2025-02-01", "hinge"), repaired("2025-03-01", "dogs"),
                                   failed("2026-05-01")), ("dogs", 1, None))


class NothingToRead(Reading):
    def test_failed_without_gaps_is_to_be_chalked(self):
        for method in ("chalk", "hose", "air"):
            reading = self.one(door(print_of(method=method)))
            self.assertEqual((reading["advice"], reading["printed"], reading["gaps"]),
                             ("chalk", None, []), method)

    def test_a_pass_asks_for_nothing_and_is_not_listed(self):
        text = door(print_of(result="pass"))
        self.assertEqual(self.one(text)["advice"], "none")
        self.assertEqual(self.one(text)["printed"], 1)
        self.assertEqual(self.read(text, names=()), [])

    def test_repaired_since_is_to_be_tested_again(self):
        reading = self.one(door(print_of("1.6:0.2")), repaired("2026-06-01", "dogs"))
        self.assertEqual(reading["advice"], "retest")
        self.assertEqual([c["closure"] for c in
                          self.read(door(print_of(result="pass")), repaired("2026-06-01", "hinge"),
                                    names=())], ["D1"])

    def test_never_tested_asks_for_nothing(self):
        reading = self.one(door())
        self.assertEqual((reading["advice"], reading["tested"], reading["printed"]),
                         ("none", None, None))

    def test_without_the_size_of_the_opening_no_share_is_told(self):
        self.write("ship.xml", door(print_of("1.6:0.2"), clear=False))
        done = self.run_it("adjust", *AS_OF, "--format", "json", "ship.xml")
        self.assertEqual(done.returncode, 0)
        self.assertIn(b"warning", done.stderr)  # that nothing is known of its size
        reading = json.loads(done.stdout)["closures"][0]
        self.assertEqual((reading["run"], reading["printed"]), (None, None))
        self.assertEqual(reading["longest"], 0.2)

    def test_the_text_names_dogs_and_share(self):
        self.write("ship.xml", door(print_of("1.6:0.2")))
        told = " ".join(self.good("adjust", *AS_OF, "ship.xml").split())
        self.assertIn("Printed 95.8 % of 4.8 m", told)
        self.assertIn("take up dogs 3 and 4", told)


class Bounds(Reading):
    """What decides at a bound is decided there by the millimetre, whatever the binary fractions."""

    def test_a_corner_is_at_a_gap_from_just_0_05_m(self):
        # corners at 0.8, 2.4 and 3.2 m; a gap that ends, or begins, so many mm from one
        for corner in (800, 2400, 3200):
            for off, advice in ((49, "corner"), (50, "corner"), (51, "dogs")):
                for start in (corner + off, corner - off - 120):
                    found = self.one_gap(door(print_of(f"{start / 1000:.3f}:0.12")))
                    self.assertEqual(found["advice"], advice, (corner, off, start))

    def test_a_joint_is_at_a_gap_from_just_0_05_m(self):
        for at in range(1000, 2000, 37):
            for off, reason in ((50, "joint"), (51, "loose")):
                gasket = f'<gasket joints="{(at + 110 + off) / 1000:.3f}"/>'
                found = self.one_gap(door(print_of(f"{at / 1000:.3f}:0.11"), gasket=gasket))
                self.assertEqual(found["reason"], reason, (at, off))

    def test_a_whole_side_from_just_0_80(self):
        for length, advice in ((1279, "dogs"), (1280, "side"), (1281, "side")):
            found = self.one_gap(door(print_of(f"0.96:{length / 1000:.3f}")))
            self.assertEqual(found["advice"], advice, length)

    def test_dogs_at_the_ends_of_a_gap_are_in_it(self):
        places = "<dogs>" + "".join(f'<dog at="{at}"/>' for at in (1.1, 1.4, 1.5, 2.0)) + "</dogs>"
        self.dogs([1, 2, 3, 4], "1.4:0.1", dogs=places)


class Nowhere(Reading):
    def test_a_gap_beyond_the_run_is_not_placed_and_check_tells_it(self):
        text = door(print_of("13:0.2"), width=1, height=2)
        self.write("ship.xml", text)
        done = self.run_it("check", *AS_OF, "ship.xml")
        self.assertIn(b"ship.xml:6: warning: closure D1: a gap of 0.2 m at 13 m does not lie on the "
                      b"gasket, which runs 6 m round", done.stderr)
        self.assertEqual(done.returncode, 0)
        done = self.run_it("adjust", *AS_OF, "--format", "json", "ship.xml")
        reading = json.loads(done.stdout)["closures"][0]
        gap = reading["gaps"][0]
        self.assertEqual((gap["reason"], gap["advice"], gap["dogs"]), ("beyond", "chalk", []))
        told = " ".join(self.run_it("adjust", *AS_OF, "ship.xml").stdout.decode().split())
        self.assertIn("Gap of 0.2 m from 13 m: the gasket runs only 6 m round: measure and chalk "
                      "again.", told)

    def test_it_swallows_no_other_gap(self):
        self.write("ship.xml", door(print_of("13:0.2", "1.6:0.2")))
        done = self.run_it("adjust", *AS_OF, "--format", "json", "ship.xml")
        gaps = json.loads(done.stdout)["closures"][0]["gaps"]
        self.assertEqual([(g["at"], g["length"], g["reason"]) for g in gaps],
                         [(1.6, 0.2, "loose"), (13, 0.2, "beyond")])
        [row] = json.loads(done.stdout)["closures"]  # printed: by what lies on the run
        self.assertAlmostEqual(row["printed"], 1 - 0.2 / row["run"], 12)

    def test_a_tape_reads_up_to_2_percent_more(self):
        for at, reason in ((4.89, "loose"), (4.9, "beyond")):  # 4.8 m and 2 % are 4.896 m
            self.write("ship.xml", door(print_of(f"{at}:0.2")))
            done = self.run_it("adjust", *AS_OF, "--format", "json", "ship.xml")
            gap = json.loads(done.stdout)["closures"][0]["gaps"][0]
            self.assertEqual(gap["reason"], reason)
            self.assertEqual(bool(done.stderr), reason == "beyond")

    def test_a_gap_of_no_length_is_none(self):
        self.write("ship.xml", door(print_of("1.6:0", "2.1:0.0000001")))
        done = self.run_it("check", *AS_OF, "ship.xml")
        self.assertEqual(done.stderr.count(b"warning: closure D1: a gap of length 0 is none"), 2)
        self.assertEqual(done.returncode, 0)
        done = self.run_it("adjust", *AS_OF, "--format", "json", "ship.xml")
        reading = json.loads(done.stdout)["closures"][0]
        self.assertEqual((reading["gaps"], reading["advice"], reading["printed"]),
                         ([], "chalk", None))
        self.assertNotIn(b"take up", self.run_it("adjust", *AS_OF, "ship.xml").stdout)


class Share(Reading):
    def told(self, gap, **how):
        self.write("ship.xml", door(print_of(gap), **how))
        return " ".join(self.good("adjust", *AS_OF, "ship.xml").split())

    def test_not_all_is_printed_beside_a_gap(self):
        for gap in ("1.6:0.001", "1.6:0.002", "1.6:0.0024"):
            self.assertIn("Printed over 99.9 % of 4.8 m; longest gap", self.told(gap), gap)
            self.good("history", *AS_OF, "ship.xml", "D1")
            self.assertIn("printed over 99.9 %",
                          " ".join(self.good("history", *AS_OF, "ship.xml", "D1").split()))
        self.assertIn("Printed 99.9 % of 4.8 m", self.told("1.6:0.005"))

    def test_something_is_printed_beside_a_gap_that_leaves_a_little(self):
        self.assertIn("Printed 0.021 % of 4.8 m", self.told("1.6:4.799"))
        self.assertIn("Printed under 0.001 % of 4.8 m", self.told("1.6:4.79999"))
        self.assertIn("Printed 0 % of 4.8 m", self.told("1.6:4.8"))


class Edge(Reading):
    """seen="edge": a print, but outside the middle three fifths of the gasket."""

    def test_the_print_is_there_and_asks_for_the_hinge(self):
        reading = self.one(door(print_of("1.6:0.5:edge")))
        self.assertEqual((reading["printed"], reading["longest"], reading["area_per_mm"]),
                         (1, 0, 0))
        self.assertEqual((reading["advice"], reading["reason"]), ("hinge", "edge"))
        self.assertIn("common practice", reading["source"])
        self.assertEqual(reading["gaps"][0]["dogs"], [])
        told = " ".join(self.good("adjust", *AS_OF, "ship.xml").split())
        self.assertIn("hinge or frame out of line", told)
        self.assertNotIn("take up dogs and", told)
        self.assertNotIn("Taking up", told)

    def test_it_joins_with_no_gap(self):
        for other in ("1.8:0.2", "2.1:0.2", "1.5:0.1"):
            reading = self.one(door(print_of("1.6:0.5:edge", other)))
            self.assertEqual(sorted(g["length"] for g in reading["gaps"]),
                             sorted([0.5, float(other.split(":")[1])]))
            self.printed(reading, [float(other.split(":")[1])])
        reading = self.one(door(print_of("1.6:0.3:edge", "1.8:0.3:edge")))
        self.assertEqual([round(g["length"], 12) for g in reading["gaps"]], [0.5])

    def test_gaps_are_counted_apart_from_it(self):
        self.write("ship.xml", door(print_of("1.6:0.5:edge", "3.5:0.1")))
        row = self.document("history", "ship.xml", "D1")["events"][0]
        self.assertEqual((row["gaps"], row["edges"]), (1, 1))

    def test_recorded_as_pass_it_is_a_warning(self):
        self.write("ship.xml", door(print_of("1.6:0.5:edge", result="pass")))
        done = self.run_it("check", *AS_OF, "ship.xml")
        self.assertIn(b"off the middle of the gasket is recorded as pass", done.stderr)


class Gasket(Reading):
    """Bounds of published sources, read in excerpts: permanent set above 1/8 in, more than two
    joints, a piece under 24 in (US Navy, Damage Controlman manual and NAVEDTRA 14057 figure 3-10);
    hinge play above 3/16 in (AMSEA, Watertight Door Maintenance)."""

    def measured(self, *entries, units="m", size=None, **attributes):
        more = " ".join(f'{name.replace("_", "-")}="{value}"' for name, value in attributes.items())
        width, height = size or (0.8, 1.6)
        return self.one(door(print_of(result="pass", more=more), units=units, width=width,
                             height=height), *entries)

    def test_permanent_set(self):
        for value, advice in (("0", "none"), ("0.003", "none"), ("0.0032", "none"),
                              ("0.00321", "gasket"), ("0.0033", "gasket"), ("0.1", "gasket")):
            reading = self.measured(set=value)
            self.assertEqual((reading["advice"], reading["set"]), (advice, float(value)), value)
        self.assertEqual(reading["reason"], "set")
        self.assertIn("Damage Controlman", reading["source"])

    def test_hinge_play(self):
        for value, advice in (("0.0047625", "none"), ("0.0048", "none"), ("0.0049", "hinge")):
            self.assertEqual(self.measured(hinge_play=value)["advice"], advice, value)
        reading = self.measured(hinge_play="0.006")
        self.assertEqual((reading["reason"], reading["hinge_play"]), ("hinge-play", 0.006))
        self.assertTrue(reading["source"].startswith("common practice: "))

    def test_in_feet_an_eighth_of_an_inch_is_not_above_it(self):
        size = (3, 5)
        for sixteenths, advice in ((2, "none"), (3, "gasket")):
            reading = self.measured(units="ft", size=size, set=sixteenths / 16 / 12)
            self.assertEqual(reading["advice"], advice)
            self.assertAlmostEqual(reading["set"], sixteenths / 16 * 0.0254, 12)
        for sixteenths, advice in ((3, "none"), (4, "hinge")):
            reading = self.measured(units="ft", size=size, hinge_play=sixteenths / 16 / 12)
            self.assertEqual(reading["advice"], advice)

    def test_metres_where_mm_were_meant_are_refused(self):
        for name in ("set", "hinge-play"):
            self.write("ship.xml", door(print_of(more=f'{name}="3.5"')))
            done = self.run_it("check", "ship.xml")
            self.assertEqual(done.returncode, 3)
            self.assertIn(name.encode() + b" '3.5' is out of bounds; it must lie in 0 to 0.1",
                          done.stderr)

    def test_a_measure_counts_until_what_was_measured_is_renewed(self):
        bad = {"set": "0.004", "hinge_play": "0.006"}
        passed = '<test closure="D1" date="2026-05-03" method="chalk" result="pass"/>'
        findings = lambda *entries: [f["reason"] for f in
                                     self.measured(*entries, **bad)["findings"]]
        self.assertEqual(findings(), ["set", "hinge-play"])
        self.assertEqual(findings(passed), ["set", "hinge-play"])
        for action, left in (("gasket", ["hinge-play"]), ("hinge", ["set"]), ("replaced", []),
                             ("dogs", ["set", "hinge-play"])):
            self.assertEqual(findings(repaired("2026-05-02", action), passed), left, action)
        better = passed.replace("chalk", 'chalk" set="0.002')
        self.assertEqual(findings(repaired("2026-05-02", "gasket"), better), ["hinge-play"])

    def test_joints_and_pieces(self):
        # the run is 4.8 m; by hand, the pieces of each
        for joints, reason in (("", "none"), ("0.3", "none"), ("0.3 2.7", "none"),
                               ("0.3 0.9", "piece"),    # 0.6 m
                               ("0.3 0.91", "none"),    # 0.61 m
                               ("0.3 0.9096", "none"),  # 24 in
                               ("0.3 0.9095", "piece"),
                               ("4.6 0.3", "piece"),    # 0.5 m over the end of the run
                               ("0.3 1.9 3.5", "joints"), ("1 1", "piece")):
            text = door(gasket=f'<gasket joints="{joints}"/>')
            self.write("ship.xml", text)
            done = self.run_it("adjust", *AS_OF, "--format", "json", "ship.xml", "D1")
            reading = json.loads(done.stdout)["closures"][0]
            self.assertEqual(reading["reason"], reason, joints)
            self.assertEqual(reading["advice"], "none" if reason == "none" else "gasket", joints)
            told = self.run_it("check", *AS_OF, "ship.xml").stderr.decode()
            self.assertEqual(told.count("warning"), 0 if reason == "none" else 1, told)
        self.assertIn("NAVEDTRA 14057", reading["source"])

    def test_joints_against_pieces_counted_by_millimetre(self):
        rng = random.Random(11)
        for _ in range(30):
            run = 4800
            joints = sorted(rng.sample(range(run), 2))
            piece = min(joints[1] - joints[0], joints[0] + run - joints[1])
            self.write("ship.xml", door(gasket='<gasket joints="{} {}"/>'.format(
                *(f"{at / 1000:.3f}" for at in rng.sample(joints, 2)))))
            done = self.run_it("adjust", *AS_OF, "--format", "json", "ship.xml", "D1")
            reading = json.loads(done.stdout)["closures"][0]
            self.assertAlmostEqual(reading["shortest_piece"], piece / 1000, 12)
            self.assertEqual(reading["advice"], "gasket" if piece * 10 < 6096 else "none")

    def test_joints_of_a_gasket_that_was_renewed_are_not_known(self):
        text = door(gasket='<gasket fitted="2024-01-01" joints="0.3 1.9 3.5"/>')
        passed = '<test closure="D1" date="2025-02-02" method="chalk" result="pass"/>'
        for fitted, advice in (("2025-02-01", "none"), ("2023-12-31", "gasket")):
            self.write("ship.xml", text)
            self.write("log.xml", log_of(repaired(fitted, "gasket"), passed))
            done = self.run_it("adjust", *AS_OF, "--format", "json", "--log", "log.xml",
                               "ship.xml", "D1")
            reading = json.loads(done.stdout)["closures"][0]
            self.assertEqual((reading["advice"], reading["joints"]),
                             (advice, 3 if advice == "gasket" else 0))

    def test_a_joint_beyond_the_run_is_told_by_check(self):
        self.write("ship.xml", door(gasket='<gasket joints="13"/>'))
        self.assertIn(b"a joint at 13 m does not lie on the gasket",
                      self.run_it("check", *AS_OF, "ship.xml").stderr)

    def test_dogs_are_not_taken_up_before_the_new_gasket(self):
        reading = self.one(door(print_of("1.6:0.2", more='set="0.004"')))
        self.assertEqual((reading["gaps"][0]["advice"], reading["gaps"][0]["dogs"]),
                         ("gasket", []))
        self.assertNotIn("take up", self.good("adjust", *AS_OF, "ship.xml"))


class Kinds(Reading):
    """Remedies go by kind: only a door, a hatch and a scuttle have dogs and a hinge side."""

    def told(self, kind, test):
        self.write("ship.xml", door(test, kind=kind))
        text = " ".join(self.run_it("adjust", *AS_OF, "ship.xml").stdout.decode().split())
        row = json.loads(self.run_it("adjust", *AS_OF, "--format", "json",
                                     "ship.xml").stdout)["closures"][0]
        return text.partition(" Caution:")[0], row

    def test_what_is_shut_by_nuts_or_clamps(self):
        for kind, word in (("manhole", "nuts"), ("cover", "nuts"), ("ventilator", "fastenings")):
            for gap in ("1.6:0.2", "0.75:0.1", "0.8:1.6", "4:0.2"):
                text, row = self.told(kind, print_of(gap))
                self.assertEqual((row["advice"], row["source"]),
                                 ("fastenings", "common practice, no source"), (kind, gap))
                self.assertEqual((row["gaps"][0]["side"], row["gaps"][0]["corner"]), (None, None))
                self.assertIn(f"tighten {word} ", text)
                self.assertNotRegex(text, "dog|hinge|door")

    def test_off_the_middle_without_a_hinge(self):
        for kind in ("manhole", "cover", "ventilator"):
            text, row = self.told(kind, print_of("1.6:0.2:edge"))
            self.assertEqual(row["advice"], "fastenings")
            self.assertIn("set the cover fair on its seat", text)
            self.assertNotRegex(text, "dog|hinge|door")

    def test_a_valve_is_overhauled(self):
        for test in (print_of(method="hose"), print_of("0.1:0.1"), print_of(method="visual")):
            text, row = self.told("valve", test)
            self.assertEqual((row["advice"], row["reason"], row["gaps"], row["run"]),
                             ("overhaul", "failed", [], None))
            self.assertIn("overhaul the valve", text)
            self.assertNotRegex(text, "dog|hinge|gasket|chalk it|Printed")

    def test_a_sidescuttle_has_its_deadlight(self):
        text, row = self.told("sidescuttle", print_of("1.6:0.2"))
        self.assertEqual(row["advice"], "dogs")
        self.assertIn("tighten screw dogs 3 and 4 and retest; until it holds keep the deadlight "
                      "shut", text)
        self.assertNotIn("hinge", text)

    def test_a_hatch_has_a_coaming(self):
        for kind in ("hatch", "scuttle"):
            text, row = self.told(kind, print_of("0.75:0.1"))
            self.assertEqual(row["advice"], "corner")
            self.assertIn("coaming or cover out of true", text)
            self.assertNotIn("door", text.partition("watertight doors")[0].replace(" Door:", ""))

    def test_hinge_play_of_what_has_none_counts_for_nothing(self):
        for kind in ("manhole", "cover", "ventilator", "valve"):
            self.write("ship.xml", door(print_of(result="pass", more='hinge-play="0.01"'),
                                        kind=kind))
            self.assertIn(b"has no hinge", self.run_it("check", *AS_OF, "ship.xml").stderr)
            self.assertEqual(json.loads(self.run_it("adjust", *AS_OF, "--format", "json",
                                                    "ship.xml").stdout)["closures"], [])


class Feet(Reading):
    def test_gaps_dogs_and_joints_are_in_feet(self):
        # 3 ft by 5 ft: 16 ft round; 8 dogs at 1, 3, 5, 7, ... ft; a gap of 1/2 ft at 5 1/2 ft
        how = {"width": 3, "height": 5, "units": "ft"}
        reading = self.one(door(print_of("5.5:0.5"), **how))
        self.assertEqual((reading["gaps"][0]["dogs"], reading["gaps"][0]["side"]), ([3, 4], "free"))
        self.printed(reading, [0.5 * 0.3048], run=16 * 0.3048)
        self.assertAlmostEqual(reading["gaps"][0]["at"], 5.5 * 0.3048, 12)
        places = '<dogs><dog at="5.2"/><dog at="5.75"/><dog at="14"/></dogs>'
        self.assertEqual(self.one_gap(door(print_of("5.5:0.5"), dogs=places, **how))["dogs"],
                         [1, 2, 3])
        joint = door(print_of("5.5:0.5"), gasket='<gasket joints="5.75"/>', **how)
        self.assertEqual(self.one_gap(joint)["reason"], "joint")


class Random(Reading):
    """Many doors in one ship; shares by looking at every millimetre, dogs by looking at each."""
    DOORS = 80

    def make(self, dice, name):
        """A door and what is known of it: run, gaps and places of dogs in whole millimetres."""
        width, height = (10 * dice.randint(40, 120), 10 * dice.randint(50, 200))
        run = 2 * (width + height)
        gaps = [(dice.randrange(run), dice.randint(5, run // dice.choice((2, 5, 5))))
                for _ in range(dice.randint(1, 5))]
        count = dice.randint(1, 12)
        places = dice.choice([None, sorted(dice.sample(range(run), count))])
        dogs = f'<dogs count="{count}"/>' if places is None else \
            "<dogs>" + "".join(f'<dog at="{at / 1000}"/>' for at in places) + "</dogs>"
        text = door(print_of(*(f"{at / 1000}:{length / 1000}" for at, length in gaps)), dogs=dogs,
                    width=width / 1000, height=height / 1000, name=name)
        places = places or [(k + 0.5) * run / count for k in range(count)]
        return text[text.index("<closure"):text.index("</arrangement>")], (run, gaps, places)

    def test_share_and_dogs_of_random_prints(self):
        dice = random.Random(42)
        head, known, named = door()[:door().index("<closure")], [], 0
        for i in range(self.DOORS):
            text, facts = self.make(dice, f"D{i}")
            head += text
            known.append(facts)
        readings = self.read(head + "</arrangement>\n", names=[f"D{i}" for i in range(self.DOORS)])
        self.assertEqual(len(readings), self.DOORS)
        for reading, (run, gaps, places) in zip(readings, known):
            bare = {(at + k) % run for at, length in gaps for k in range(length)}
            self.assertAlmostEqual(reading["printed"], 1 - len(bare) / run, 9, (run, gaps))
            self.assertAlmostEqual(reading["area_per_mm"], len(bare) * 1e-6, 9)
            named += sum(self.check_dogs(gap, run / 1000, [at / 1000 for at in places])
                         for gap in reading["gaps"])
        self.assertGreater(named, self.DOORS // 3)

    def check_dogs(self, gap, run, places):
        """The dogs named are those within the gap and the nearest on either side."""
        if gap["advice"] != "dogs":
            return False
        start, end = gap["at"], gap["at"] + gap["length"]
        ahead = sorted(((at - start) % run, n) for n, at in enumerate(places, 1))
        within = [n for distance, n in ahead if distance <= gap["length"]]
        before = min(((start - at) % run, n) for n, at in enumerate(places, 1)
                     if n not in within or len(places) == len(within))[1]
        after = min(((at - end) % run, n) for n, at in enumerate(places, 1)
                    if n not in within or len(places) == len(within))[1]
        expected = list(dict.fromkeys([before, *within, after]))
        if len(expected) <= 8:
            self.assertEqual(gap["dogs"], sorted(expected), (gap, run, places))
        self.assertTrue(math.isclose(gap["area_per_mm"], gap["length"] * 1e-3))
        return True


if __name__ == "__main__":
    unittest.main()
