#!/usr/bin/python3
"""Survival of damage by its command: shares put together, loadings and zones that cannot be.

The weights are checked by oracle_damage.py, what damage does to her by tests/unit/test_survival.c.
Environment: COAMING, COAMING_ROOT. The ships here are invented.
"""

import json
import sys
import unittest
from pathlib import Path

sys.dont_write_bytecode = True  # leaves no files behind
sys.path.insert(0, str(Path(__file__).resolve().parent))
from harness import AS_OF, BARGE, DEMO, DEMO_LOG, INPUT, SHIP_NS, USAGE, Case, slow  # noqa: E402


class Shares(Case):
    """The same bytes however a study is split; what does not fit is refused."""

    ASKED = (BARGE, *AS_OF)

    def part(self, share, *asked):
        name = share.replace("/", "of") + ".json"
        self.good("survival", *(asked or self.ASKED), "--share", share, "-o", name)
        return name

    def test_merged_is_what_one_run_says(self):
        for form in ("text", "json", "csv"):
            whole = self.good("survival", *self.ASKED, "--format", form)
            for shares in (1, 2, 5):
                parts = [self.part(f"{k}/{shares}") for k in range(shares, 0, -1)]
                self.assertEqual(self.good("survival", *self.ASKED, "--format", form, "--merge", *parts),
                                 whole, (form, shares))

    @slow
    def test_merged_is_what_one_run_says_of_a_ship_with_loadings(self):
        asked = (DEMO, "--log", DEMO_LOG, *AS_OF, "--loading", "departure")
        whole = self.good("survival", *asked, "--format", "json")
        parts = [self.part(f"{k}/3", *asked) for k in (2, 1, 3)]
        self.assertEqual(self.good("survival", *asked, "--format", "json", "--merge", *parts), whole)

    def test_parts_that_do_not_fit_are_refused(self):
        one, two = self.part("1/2"), self.part("2/2")
        other = self.part("1/3")
        for parts, says in (((one,), "1 of 2 shares are there"), ((one, one), "share 1 of 2, and so is"),
                            ((one, other), "of 3 shares, but 1of2.json of 2"), ((BARGE, two), "is no part")):
            self.one_line(INPUT, "survival", *self.ASKED, "--merge", *parts, says=[says])
        for words in (("--condition", "towed"), ("--as-of", "2020-01-01")):
            self.one_line(INPUT, "survival", BARGE, *words, "--merge", one, two,
                          says=["1of2.json", "made from another ship or log"])

    def test_numbers_that_cannot_be_are_refused(self):
        one, two = self.part("1/1"), "spoilt.json"
        document = json.loads(Path(self.folder, one).read_text())
        numbers = document["numbers"]
        for spoilt in (numbers[:-1], numbers + [0], [], [1.5] + numbers[1:], numbers[:1] + [9] + numbers[2:],
                       numbers[:6] + [1e9] + numbers[7:]):
            self.write(two, json.dumps({**document, "numbers": spoilt}))
            self.one_line(INPUT, "survival", *self.ASKED, "--merge", two, says=["spoilt.json: is damaged"])

    def test_words_that_do_not_go_together_are_misuse(self):
        for words in (("--share", "1/2", "--merge", "a"), ("--share", "1/2", "--top", "3"), ("--merge",),
                      ("--share", "1/2", "--cases"), ("--share", "1/2", "--format", "csv"), ("a",),
                      ("--share", "3/2")):
            self.one_line(USAGE, "survival", BARGE, *words, says=[])


class Loaded(Case):
    """Loadings and zones that cannot be, each in one line."""

    def ship(self, more):
        return self.write("ship.xml", f"""<arrangement xmlns="{SHIP_NS}" name="Box">
<ship length="60" beam="12" depth="8" draft="4" kg="4"/>
{more}
<space id="a" name="A" shell="yes"><box x="0 60" y="-6 6" z="0 8"/></space>
</arrangement>
""")

    def test_no_loading_named_deepest_is_bad_input(self):
        path = self.ship('<loading id="one" draft="3" kg="4"/>')
        self.one_line(INPUT, "survival", path, *AS_OF, says=["ship.xml:3", "no loading is named deepest"])
        self.good("survival", path, *AS_OF, "--loading", "one")

    def test_a_loading_that_sinks_her_is_bad_input(self):
        path = self.ship('<loading id="one" draft="3" kg="40" index="deepest"/>')
        done = self.run_it("survival", path, *AS_OF)
        self.assertEqual((done.returncode, done.stdout), (INPUT, b""))
        self.assertIn("ship.xml:3: loading one: undamaged she does not stay afloat: she capsizes",
                      done.stderr.decode().splitlines()[-1])

    def test_zones_that_overlap_or_leave_a_gap_are_bad_input(self):
        for zones, says in ((((0, 31), (30, 60)), "overlaps the zone aft of it, from 30 to 31"),
                            (((0, 20), (30, 60)), "no zone is from 20 to 30"),
                            (((10, 60),), "no zone is from the after end of the hull, 0, to 10"),
                            (((-5, 60),), "begins at -5, aft of the hull, which begins at 0"),
                            (((0, 60), (60, 70)), "ends at 70, forward of the hull, which ends at 60"),
                            (((0, 20), (20, 20.1), (20.1, 60)), "from 20 to 20.1 is no zone")):
            path = self.ship("".join(f'<zone from="{a}" to="{b}"/>' for a, b in zones))
            self.fault_in("ship.xml:3", "survival", path, *AS_OF, says=["zone: " + says])

    def test_persons_set_a_required_index(self):
        """SOLAS II-1/6 of 2009: R = 1 - 5000 / (Ls + 2.5 N + 15225), of a cargo ship from 80 m on."""
        for persons, required in (("12", None), ("13", 1 - 5000 / (60 + 2.5 * 13 + 15225))):
            self.ship("")
            text = (self.folder / "ship.xml").read_text().replace(' kg="4"', f' kg="4" persons="{persons}"')
            self.write("ship.xml", text)
            index = self.document("survival", "ship.xml")["index"]
            self.assertEqual(index["required"], required and self.approximately(index["required"], required))
            self.assertEqual(index["required_at_least"], persons == "13")
            self.assertIsNone(index["required_each"])
            text = self.good("survival", "ship.xml", *AS_OF)
            self.assertEqual("more by her crew" in " ".join(text.split()), persons == "13")

    def test_a_passenger_ship_may_heel_less(self):
        """The wing of a box: she heels, and s is the less by K = sqrt((15 - heel) / 8), 1 of a cargo ship."""
        text = f"""<arrangement xmlns="{SHIP_NS}" name="Box">
<ship length="60" beam="12" depth="8" draft="4" kg="3.6"/>
<space id="w" name="W" shell="yes"><box x="25 35" y="3 6" z="0 8"/></space>
<space id="c" name="C" shell="yes"><box x="25 35" y="-6 3" z="0 8"/></space>
</arrangement>
"""
        def factor(more):
            self.write("ship.xml", text.replace("/>", more + "/>", 1))
            heel = self.document("float", "--flooded", "w", "ship.xml")["heel"]
            cases = self.document("survival", "ship.xml")["cases"]
            return heel, next(c for c in cases if c["opened"] == ["w"])["s"]["as_built"]
        heel, cargo = factor("")
        again, passenger = factor(' persons="13"')
        self.assertEqual(heel, again)
        self.assertTrue(7 < abs(heel) < 15, heel)
        self.assertAlmostEqual(passenger, cargo * ((15 - abs(heel)) / 8) ** 0.5, places=9)

    def approximately(self, found, wanted):
        self.assertAlmostEqual(found, wanted, places=12)
        return found


if __name__ == "__main__":
    unittest.main()
