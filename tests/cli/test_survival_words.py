#!/usr/bin/env python3
"""What `survival` says in words, held against the same answer as a document: whatever sentence stands
there must be true of the cases.

The ships are boxes, and invented.
"""

import re
import unittest

from harness import AS_OF, DEMO, DEMO_LOG, slow
from test_grade import Floats as Asked
from test_grade import closure, ship, space


def holds(places, half, top):
    """One space from place to place, over the whole breadth."""
    return [space(f"h{i + 1}", (a, b), (-half, half), (0, top), share=1)
            for i, (a, b) in enumerate(zip(places, places[1:]))]


def failed(name, ends, place):
    return closure(name, ends, place, result="fail")


# Holds in thirds, of which she can lose one: hold 2 lets on to both others.
THIRDS = ship((60, 12, 8, 3, 4), *holds((0, 20, 40, 60), 6, 8), failed("D1", "h1 h2", (20, 0, 0.5)),
              failed("D2", "h2 h3", (40, 0, 0.5)))
# Her one hold is all of her.
ONE = ship((60, 12, 8, 3, 4), *holds((0, 60), 6, 8))
# Fore peak and after peak let on to each other: she sinks deeper, but lies level.
ENDS = ship((100, 16, 9, 5.4, 5), *holds((0, 12, 30, 50, 70, 88, 100), 8, 9),
            failed("V1", "h1 h6", (50, 0, 0.1)), failed("D1", "h3 h4", (50, 0, 0.5)))


def wings(kg, more=""):
    """Wings and a middle, four of each, between two holds at each end. X1 lets water across from wing
    to wing, which takes heel off her; D1 lets it from the after holds into a middle."""
    parts = holds((0, 5, 10), 8, 10)
    for i, a in enumerate((10, 28, 46, 64)):
        for side, y in (("p", (4, 8)), ("s", (-8, -4)), ("c", (-4, 4))):
            parts.append(space(f"{side}{i}", (a, a + 18), y, (0, 10)))
    parts += [space("f1", (82, 91), (-8, 8), (0, 10)), space("f2", (91, 100), (-8, 8), (0, 10))]
    return ship((100, 16, 10, 5, kg), *parts, failed("X1", "p1 s1", (37, 0, 0.1)),
                failed("D1", "h2 c0", (10, 0, 0.5)), before=more)


class Words(Asked):
    TIMEOUT = 600
    KNOWN = {}

    def known(self, ask, *asked):
        """Asked once for all: it takes seconds."""
        if (ask, asked) not in self.KNOWN:
            self.KNOWN[ask, asked] = getattr(self, ask)(*asked)
        return self.KNOWN[ask, asked]

    def words(self, text, *more):
        return self.known("ask_words", text, *more)

    def told(self, text, *more):
        return self.known("ask_document", text, *more)

    def ask_words(self, text, *more):
        return self.text(text, *more, command="survival")

    def ask_document(self, text, *more):
        return self.json("survival", self.write("ship.xml", text), *more, *AS_OF)


class Difference(Words):
    """What the closures as last tested cost, summed up in one sentence."""

    ALIKE = "As last tested she survives what she does as built"

    GRADES = ("within", "beyond", "not_surviving", "lost")

    def change(self, case):
        """As last tested beside as built: by s, and where that is the same by the grade."""
        by = case["s"]["as_tested"] - case["s"]["as_built"]
        tested, built = (self.GRADES.index(case["grade"][k]) for k in ("as_tested", "as_built"))
        return by if abs(by) > 1e-9 else built - tested

    def worse_and_better(self, document):
        by = [self.change(c) for c in document["cases"]]
        return sum(d < 0 for d in by), sum(d > 0 for d in by)

    def test_a_sum_that_is_not_less_hides_no_case_that_is_worse(self):
        text = wings(5.8)
        document = self.told(text)
        worse, better = self.worse_and_better(document)
        index = document["index"]
        self.assertTrue(worse and better)
        self.assertGreater(index["as_tested"], index["as_built"])
        said = self.words(text)
        self.assertNotIn(self.ALIKE, said)
        found = re.search(r"As last tested she fares worse in ([0-9]+) of ([0-9]+) cases, ([0-9.]+) % "
                          r"of damage, and better in others: the index is ([0-9.]+) more\. "
                          r"It hangs on: D1 ", said)
        self.assertTrue(found, said)
        self.assertEqual((int(found[1]), int(found[2])), (worse, len(document["cases"])))
        self.assertAlmostEqual(float(found[4]), index["as_tested"] - index["as_built"], delta=6e-5)
        share = sum(c["weight"] / 2 for c in document["cases"]
                    if self.change(c) < 0)
        self.assertAlmostEqual(float(found[3]), 100 * share, delta=0.006)

    def test_the_report_and_the_drawing_say_the_same(self):
        path = self.write("ship.xml", wings(5.8))
        for words in (("report",), ("draw", "--overlay=survival")):
            said = re.sub(r"<[^>]*>|\s+", " ", self.done(words[0], path, *words[1:], *AS_OF))
            self.assertNotIn(self.ALIKE, said, words)
            self.assertRegex(re.sub(" +", " ", said), "she fares worse in [0-9]+ of", words)

    def test_of_a_ship_that_survives_nothing_that_is_said(self):
        said = self.words(ONE)
        self.assertEqual(self.told(ONE)["index"]["as_built"], 0)
        self.assertNotIn(self.ALIKE, said)
        self.assertIn("As built she survives no damage that is counted, and as last tested none.", said)

    def test_of_a_ship_that_is_the_same_in_each_case_that_is_said(self):
        text = THIRDS.replace('result="fail"', 'result="pass"')
        self.assertEqual(self.worse_and_better(self.told(text)), (0, 0))
        self.assertIn(f"{self.ALIKE}.", self.words(text))

    def test_where_it_costs_her_the_sum_is_told(self):
        index = self.told(THIRDS)["index"]
        cost = f"{index['as_built'] - index['as_tested']:.4f}".rstrip("0")
        self.assertIn(f"As last tested her closures cost her {cost} of the index as built. It hangs on: "
                      "D1", self.words(THIRDS))


class Fates(Words):
    """What a case says of each state."""

    def test_lost_is_told_from_afloat_with_s_0(self):
        text = wings(5.8)
        cases = [c for c in self.told(text)["cases"]
                 if (c["grade"]["as_built"], c["grade"]["as_tested"]) == ("not_surviving", "lost")]
        self.assertIn(0, {c["s"]["as_built"] for c in cases})
        self.assertIn("; afloat with s 0 as built, lost as last tested and if untested closures leak. ",
                      self.words(text, "--cases"))

    def test_each_state_is_told_once(self):
        said = self.words(THIRDS, "--cases")
        self.assertIn("zone 2 (x 20 to 40 m), 6 m deep; s 1 as built, lost as last tested and if "
                      "untested closures leak. Opens h2; worse by D1, D2 together.", said)
        self.assertIn("lost in each state. Opens h1, h2", said)


class Turned(Words):
    """What turns a case alone, and what does so only with others."""

    def test_of_closures_that_do_it_together_none_is_said_to_do_it(self):
        said = self.words(THIRDS)
        self.assertNotIn("lost by it:", said)
        self.assertEqual(said.count("sound alone, it gives back nothing; lost by it with others, all to be "
                                    "made good: 26.6 % of damage"), 2)
        self.assertIn("worse by D1, D2 together.", said)

    def test_of_one_that_does_it_alone_that_is_said(self):
        said = self.words(wings(5.8))
        lost = sum(c["weight"] / 2 for c in self.told(wings(5.8))["cases"] if c["turned_by"] == ["D1"]
                   and c["grade"]["as_tested"] == "lost" != c["grade"]["as_built"])
        self.assertIn(f"; lost by it alone: {100 * lost:.2f} % of damage", said)
        self.assertIn("worse by D1.", said)

    def test_damage_no_longer_survived_is_counted_and_told_with_the_lost(self):
        text = wings(5.8)
        cases = [c for c in self.told(text)["cases"] if c["s"]["as_built"] > 0 == c["s"]["as_tested"]
                 and c["grade"]["as_tested"] != "lost"]
        self.assertTrue(cases)
        share = f"{100 * sum(c['weight'] / 2 for c in cases):.3g}"
        said = self.words(text)
        self.assertIn(f"; survived as built, and afloat with s 0 as last tested: {len(cases)} cases, "
                      f"{share} % of damage:", said)
        above = said[said.index("Lost as last tested"):said.index("Other damage")]
        self.assertIn("s 1 as built, afloat with s 0 as last tested", above)


class Gains(Words):
    """What is said of a closure that would cost her something if it were sound."""

    def test_what_goes_is_not_called_heel_where_it_is_trim(self):
        rows = {c["closure"]: c for c in self.told(ENDS)["closures"]}
        self.assertLess(rows["V1"]["tested_gain"], -0.1)
        said = self.words(ENDS)
        self.assertIn(f"sound alone, it costs {-rows['V1']['tested_gain']:.4f} more", said)
        self.assertNotIn("heel", said)

    def test_no_failed_closure_is_said_to_be_better_left_so(self):
        for text in (ENDS, wings(5.8)):
            said = self.words(text)
            costing = re.findall(r"sound alone, it costs [^;]*more: ([^;]*); ([^;.]*)", said)
            self.assertTrue(costing, said)
            for why, then in costing:
                self.assertTrue(then.startswith("it is still to be made good"), (why, then))


    @slow
    def test_one_that_costs_as_likely_as_not_is_named(self):
        """Where the limits leave no doubt of it, and no other."""
        for text, costs in ((wings(5.8), {"X1"}), (ENDS, {"V1"}), (THIRDS, set())):
            rows = [c for c in self.told(text)["closures"] if c["index_gain_high"] < 0]
            self.assertEqual({c["closure"] for c in rows}, costs)
            said = self.words(text)
            named = re.findall(r"if it alone were sure to hold: ([^.;]+(?:\.\d+[^.;]*)*); ", said)
            self.assertEqual(named, [f"{c['closure']} {-c['index_gain']:.4f}" for c in rows])
            self.assertEqual("all the same to be made good or kept sound" in said, bool(costs))
            path = self.write("ship.xml", text)
            page = self.done("report", path, *AS_OF)
            self.assertEqual([n in page for n in named], [True] * len(rows))
            self.assertEqual("all the same to be made good or kept sound" in page, bool(costs))
        doubt = [c for c in self.told_of_demo() if c["index_gain"] < 0 <= c["index_gain_high"]]
        self.assertTrue(doubt)  # which cannot be told from 0
        self.assertNotIn("if it alone were sure to hold", self.demo_words())

    def demo_words(self):
        return " ".join(self.done("survival", DEMO, "--log", DEMO_LOG, *AS_OF).split())

    def told_of_demo(self):
        return self.json("survival", DEMO, "--log", DEMO_LOG, *AS_OF)["closures"]


class Marks(Words):
    """What the answer rests on and people may not expect is said."""

    ONE_ZONE = ("Neither shell spaces nor zones are marked, so she is one zone from end to end: damage anywhere "
                "opens her over her whole length.")

    def test_without_shell_and_zones_she_is_one_zone(self):
        self.assertIn(' shell="yes"', THIRDS)
        bare = THIRDS.replace(' shell="yes"', "")
        zoned = bare.replace("<space", '<zone from="0" to="20"/><zone from="20" to="60"/>\n<space', 1)
        for text, zones in ((bare, 1), (THIRDS, 3), (zoned, 2), (ONE, 1)):
            self.assertEqual(len(self.told(text)["zones"]), zones)
            said = self.ONE_ZONE in self.words(text)
            self.assertEqual(said, text is bare)
            self.assertEqual(self.ONE_ZONE in self.done("report", self.write("ship.xml", text), *AS_OF), said)

    def test_a_ship_that_lolls_undamaged_is_said_to(self):
        """By the same words as float has them."""
        loads = "".join(f'<loading id="{name}" draft="3" kg="{kg}" index="{role}"/>\n'
                        for name, kg, role in (("full", 5.6, "deepest"), ("part", 4, "partial"), ("bare", 5.6, "light")))
        lolling = ship((60, 12, 8, 3, 5.6), *holds((0, 20, 40, 60), 6, 8))
        for text, lolls in ((lolling, [None]), (THIRDS, []), (THIRDS.replace("<space", loads + "<space", 1),
                                                              ["full", "bare"])):
            path = self.write("ship.xml", text)
            said, page = self.words(text), self.done("report", path, *AS_OF)
            self.assertEqual((said.count("unstable upright"), page.count("unstable upright")), (len(lolls),) * 2)
            told = {l["loading"]: l["loll"] for l in self.told(text)["loadings"]}
            self.assertEqual([name for name, angle in told.items() if angle is not None], lolls)
            for name in lolls:
                floats = " ".join(self.done("float", path, *([f"--loading={name}"] if name else []), *AS_OF).split())
                angle = re.search(r"heel ([\d.]+) degrees to either side, the angle of loll", floats)
                self.assertEqual(angle[1], f"{told[name]:.2f}")
                where = f"Undamaged{f', in loading {name}' if name else ''} she is "
                for words in said, page:
                    self.assertRegex(words, where + "[^;]*; unstable upright, she lolls at "
                                     + re.escape(f"{float(angle[1]):.1f} degrees to either side."))


class Places(Words):
    """Where damage lies, as people on board can find it."""

    def test_a_zone_is_told_by_metres(self):
        said = self.words(ENDS, "--cases")
        self.assertIn("port or starboard, zone 2 (x 12 to 30 m), 8 m deep", said)
        self.assertIn("zones 2 to 3 (x 12 to 50 m), 8 m deep", said)

    def test_or_by_frames_where_she_has_them(self):
        framed = ENDS.replace("<space", '<frames spacing="2" zero="-1"/>\n<space', 1)
        said = self.words(framed, "--cases")
        self.assertIn("zone 2 (frames 6.5 to 15.5), 8 m deep", said)
        self.assertNotIn(" m)", said)

    def test_the_drawing_says_it_alike(self):
        path = self.write("ship.xml", ENDS)
        drawn = self.done("draw", path, "--overlay=survival", *AS_OF)
        self.assertIn("zone 3 (x 30 to 50 m): ", drawn)


class Loadings(Words):
    ROLES = ("deepest", "partial", "light")
    SAYS = "not counted, for the index is made of the deepest, the partial and the light loading"

    def loaded(self, count):
        """With so many loadings, the first three of them in their roles."""
        roles = [f'index="{role}"' for role in self.ROLES] + [""]
        each = "".join(f'<loading id="{name}" draft="{draft}" kg="4" {role}/>\n'
                       for name, draft, role in list(zip("abcd", (3, 2.5, 2, 2.2), roles))[:count])
        return THIRDS.replace("<space", each + "<space", 1)

    def test_a_loading_that_the_index_leaves_out_is_named(self):
        document = self.told(self.loaded(4))
        self.assertEqual([l["loading"] for l in document["loadings"]], ["a", "b", "c"])
        self.assertIn(f" d: {self.SAYS}.", self.words(self.loaded(4)))

    def test_where_none_is_left_out_nothing_is_said_of_it(self):
        self.assertNotIn(self.SAYS, self.words(self.loaded(3)))
        self.assertNotIn(self.SAYS, self.words(self.loaded(2)))
        self.assertNotIn(self.SAYS, self.words(self.loaded(4), "--loading=d"))
        self.assertNotIn(self.SAYS, self.words(THIRDS))

    def test_the_report_names_it_alike(self):
        for count in 4, 3:
            path = self.write("ship.xml", self.loaded(count))
            self.assertEqual(f"<p>d: {self.SAYS}.</p>" in self.done("report", path, *AS_OF),
                             count == 4)

    def test_help_says_which_loadings_count(self):
        self.assertIn("of survival: each that the index is made of",
                      " ".join(self.done("survival", "--help").split()))


class Lists(Words):
    CASE = re.compile(r"([0-9.]+) % of damage: (port or starboard|port|starboard), zones? ([0-9]+)")

    def table(self, said):
        return self.CASE.findall(said[said.index("cases, from aft:"):])

    def test_what_top_leaves_out_of_all_cases_is_said(self):
        count = len(self.told(THIRDS)["cases"])
        said = self.words(THIRDS, "--cases", "--top=2")
        self.assertNotIn("All ", said)
        rows = self.table(said)
        self.assertEqual(len(rows), 2)
        self.assertIn(f"The first 4 of {count} cases, from aft:", said)
        self.assertIn(f"and {count - 4} more cases.", said[said.index("The first"):])

    def test_all_cases_are_all(self):
        count = len(self.told(THIRDS)["cases"])
        for top in ((), (f"--top={count}",)):
            said = self.words(THIRDS, "--cases", *top)
            rows = self.table(said)
            self.assertIn(f"All {count} cases, from aft:", said)
            self.assertEqual(sum(1 + (row[1] == "port or starboard") for row in rows), count)
            self.assertAlmostEqual(sum(float(row[0]) for row in rows), 100, delta=0.3)

    def test_twins_are_one_line_with_the_damage_of_both(self):
        document = self.told(ENDS)
        said = self.words(ENDS, "--cases")
        rows = self.table(said)
        self.assertTrue(rows)
        self.assertEqual({row[1] for row in rows}, {"port or starboard"})
        self.assertEqual(2 * len(rows), len(document["cases"]))
        port = [c["weight"] for c in document["cases"] if c["side"] == "port"]
        self.assertAlmostEqual(float(rows[0][0]), 100 * port[0], delta=0.006)

    def test_what_lies_to_one_side_is_told_by_side(self):
        said = self.words(wings(5.8), "--cases")
        self.assertRegex(said, r"port or starboard, zone 3 \(x 10 to 28 m\), 4 m deep; [a-z0-9., ]*\. "
                               r"Opens to port p0, to starboard s0[;.]")

    def test_what_is_not_the_same_on_both_sides_stands_apart(self):
        """The midships hold has a wing to port, so that damage to starboard opens the rest of it."""
        text = ship((60, 12, 8, 3, 4), *holds((0, 20), 6, 8), space("wing", (20, 40), (3, 6), (0, 8)),
                    space("hold", (20, 40), (-6, 3), (0, 8)), space("h3", (40, 60), (-6, 6), (0, 8)))
        by_side = {side: [c for c in self.told(text)["cases"] if c["side"] == side]
                   for side in ("port", "starboard")}
        rows = self.table(self.words(text, "--cases"))
        for side, cases in by_side.items():
            apart = sum("wing" in c["opened"] or "hold" in c["opened"] for c in cases)
            self.assertEqual(sum(row[1] == side for row in rows), apart, side)
        self.assertEqual(sum(row[1] == "port or starboard" for row in rows),
                         sum(not {"wing", "hold"} & set(c["opened"]) for c in by_side["port"]))

    def test_what_is_told_above_is_not_told_again(self):
        rows = re.findall(r"% of damage: [^%]*\. Opens [^.]*\.", self.words(wings(5.8), "--top=50"))
        self.assertGreater(len(rows), 30)
        self.assertEqual(len(rows), len(set(rows)))

    @slow
    def test_the_demo_is_told_on_a_page(self):
        """Of 80 columns: what a person reads at one sitting."""
        done = self.run_it("survival", DEMO, "--log", DEMO_LOG, *AS_OF)
        lines = done.stdout.decode().splitlines()
        self.assertLessEqual(max(map(len, lines)), 80)
        self.assertLessEqual(len(lines), 90)


if __name__ == "__main__":
    unittest.main()
