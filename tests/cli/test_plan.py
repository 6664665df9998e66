#!/usr/bin/python3
"""What a plan says of its numbers, of what it leaves out, and of the order of its repairs.

Where she does not stay afloat is taken from rank, which float and the oracles of flooding judge; the
order of repairs from the expected loss of ships in which the closures before are held for certain.
Needs Python 3.11, its standard library only.
Environment: COAMING, the program; COAMING_ROOT, the source tree. The ships here are invented.
"""

import csv
import io
import json
import unittest

from harness import AS_OF, BARGE, DEMO, DEMO_LOG, INPUT, SHIP_NS, USAGE, WHOLE, Case, log, slow, tested


def closure(name, kind, between, x, z, hours):
    return (f'<closure id="{name}" name="{name} of her" kind="{kind}" between="{between}" '
            f'rating="watertight"{hours}><clear x="{x}" y="0" z="{z}" width="0.5" height="1" '
            'lies="transverse"/></closure>\n')


def sprat(manhole=3, manhole_hours=' hours="1"'):
    """A box whose ends are two spaces each, parted above the waterline at rest: she survives one of
    them flooded, not both. manhole: height of the one aft."""
    spaces = "".join(f'<space id="{name}" name="{name}" shell="yes" worth="{worth}">'
                     f'<box x="{x}" y="-3 3" z="0 5"/></space>\n' for name, x, worth in
                     (("aft", "0 4", 0), ("gear", "4 9", 2), ("mid", "9 16", 2), ("hold", "16 22", 4),
                      ("store", "22 26", 1), ("fore", "26 30", 1)))
    return (f'<arrangement xmlns="{SHIP_NS}" name="Sprat">\n'
            '<ship length="30" beam="6" depth="5" draft="2.8" kg="2"/>\n' + spaces +
            closure("M1", "manhole", "aft gear", 4, manhole, manhole_hours) +
            closure("M2", "manhole", "store fore", 26, 3, ' hours="1.5"') +
            closure("D1", "door", "gear mid", 9, 3, ' hours="3"') +
            closure("D2", "door", "mid hold", 16, 0.5, ' hours="3"') + "</arrangement>\n")


SPRAT_LOG = log(tested("M1", "2026-10-03", "fail"), tested("D1", "2026-10-03", "pass"), ship="Sprat")
AT_REST = "Risk is counted at the waterline at rest"
NOT_AMONG = "Not among these, though she does not stay afloat if it fails: "


class Plan(Case):
    def asked(self, text, *words):
        return (self.ship(text), "--log", self.write("log.xml", SPRAT_LOG), *words)

    def words(self, command, *words):
        return " ".join(self.good(command, *AS_OF, *words).split())


class Afloat(Plan):
    def listed(self, *words):
        return {row["closure"]: row for row in self.document("plan", *words)["not_afloat"]}

    def ranked(self, plan, *words):
        """What the plan should warn of, by rank."""
        repaired = {row["closure"] for row in plan["repairs"]}
        ranked = self.document("rank", *(w for w in words if not w.startswith("--hours")))
        return [row["closure"] for row in ranked["closures"] if row.get("afloat") is False and
                row["result"] != "pass" and row["closure"] not in repaired]

    def test_what_is_not_in_it_and_costs_the_ship_is_named(self):
        asked = self.asked(sprat(), "--hazard=water", "--hours=4")
        told = self.listed(*asked)
        self.assertEqual([*told], ["M1", "M2"])
        self.assertEqual({k: told["M1"][k] for k in ("result", "result_date", "hours")},
                         {"result": "fail", "result_date": "2026-10-03", "hours": 1})
        self.assertEqual({k: told["M2"][k] for k in ("result", "result_date", "hours")},
                         {"result": "untested", "result_date": None, "hours": 1.5})
        self.assertIn(NOT_AMONG + "M1 (FAILED 2026-10-03, 1 h), M2 (untested, 1.5 h)",
                      self.words("plan", *asked))
        rows = csv.DictReader(io.StringIO(self.good("plan", "--format=csv", *AS_OF, *asked)))
        self.assertEqual([(r["closure"], r["result"], r["hours"]) for r in rows if r["table"] == "not_afloat"],
                         [("M1", "fail", "1"), ("M2", "untested", "1.5")])

    def test_no_hours_are_not_made_up(self):
        asked = self.asked(sprat(manhole_hours=""), "--hazard=water", "--hours=4")
        self.assertIsNone(self.listed(*asked)["M1"]["hours"])
        self.assertIn(NOT_AMONG + "M1 (FAILED 2026-10-03, no hours given), M2",
                      self.words("plan", *asked))

    def test_what_is_planned_is_not_warned_of(self):
        told = self.listed(*self.asked(sprat(manhole=0.5), "--hazard=water", "--hours=8"))
        self.assertEqual([*told], ["M2"])

    def test_as_rank_has_it(self):
        some = 0
        for words in ((*self.asked(sprat()), "--hours=4"),
                      (*self.asked(sprat(manhole=0.5)), "--hours=1"), (BARGE, "--hours=2"),
                      (DEMO, "--log", DEMO_LOG, "--hours=6"),
                      *([(DEMO, "--log", DEMO_LOG, "--hours=400")] if WHOLE else [])):
            with self.subTest(words):
                plan = self.document("plan", *map(str, words))
                wanted = self.ranked(plan, *map(str, words))
                self.assertEqual([row["closure"] for row in plan["not_afloat"]], wanted)
                some += bool(wanted)
        self.assertGreater(some, 2)

    def test_only_where_she_settles(self):
        for more in (("--level=still",), ("--level=3.2",), ("--hazard=air",)):
            asked = self.asked(sprat(), "--hours=4", *more)
            self.assertEqual(self.listed(*asked), {})
            self.assertNotIn(NOT_AMONG[:17], self.words("plan", *asked))

    @slow
    def test_a_large_ship_is_not_settled_and_it_is_said(self):
        for count, asked in ((500, True), (501, False)):
            spaces = "".join(f'<space id="s{i}" name="S{i}"><box x="{i} {i + 1}" y="-4 4" z="0 5"/></space>'
                             for i in range(count))
            ship = self.ship(f'<arrangement xmlns="{SHIP_NS}" name="Long"><ship length="{count}" beam="8" '
                             f'depth="5" draft="2" kg="2"/>{spaces}'
                             f'{closure("D", "door", "s1 s2", 2, 1, " hours=%r" % "1")}</arrangement>')
            told = self.document("plan", ship, "--hours=4")["not_afloat"]
            self.assertEqual(told, [] if asked else None)
            said = "more than 500 spaces" in self.words("plan", ship, "--hours=4")
            self.assertEqual(said, not asked)


class Survival(Plan):
    """By the expected index: what survival says of the ship as she is, and of her repaired."""

    CHANCES = {"M1": 1, "M2": 0.4, "D1": 0.3, "D2": 0.2}
    ASKED = ("--measure=survival",)

    def sprat(self, chances, text=None):
        text = text or sprat()
        for name, chance in chances.items():
            text = text.replace(f'<closure id="{name}"', f'<closure id="{name}" leak-probability="{chance}"')
        return self.ship(text)

    def test_the_index_is_that_of_survival_before_and_after(self):
        ship = self.sprat(self.CHANCES)
        before = self.document("survival", ship)["index"]
        told = self.document("plan", ship, "--hours=4.5", *self.ASKED)
        self.assertEqual((told["measure"], told["level"], told["exhaustive"]), ("survival", "equilibrium", True))
        self.assertAlmostEqual(told["index"]["expected"], before["expected"], delta=1e-12)
        self.assertAlmostEqual(told["expected_loss"], 1 - before["expected"], delta=1e-12)
        self.assertTrue(told["repairs"] and told["hours_used"] <= 4.5)
        repaired = dict(self.CHANCES)
        for row in told["repairs"]:
            self.assertAlmostEqual(row["leak_probability"], repaired[row["closure"]])
            repaired[row["closure"]] *= 1 - row["repair_success"]
        after = self.document("survival", self.sprat(repaired))["index"]
        self.assertAlmostEqual(told["index"]["after"], after["expected"], delta=1e-12)
        self.assertAlmostEqual(sum(row["gain"] for row in told["repairs"]), told["gain"], delta=1e-12)
        alone = dict(self.CHANCES)
        alone[told["repairs"][-1]["closure"]] *= 1 - told["repairs"][-1]["repair_success"]
        one = self.document("survival", self.sprat(alone))["index"]["expected"]
        self.assertAlmostEqual(told["repairs"][-1]["alone"], one - before["expected"], delta=1e-12)

    @slow
    def test_the_index_of_the_demo_is_that_of_survival(self):
        asked = (str(DEMO), "--log", str(DEMO_LOG), "--loading=arrival")
        index = self.document("survival", *asked)["index"]
        told = self.document("plan", *asked, "--hours=10", *self.ASKED)
        self.assertAlmostEqual(told["index"]["expected"], index["expected"], delta=1e-12)
        self.assertEqual((told["method"], told["exhaustive"]), ("sampled", False))
        # samples tell more states, so that limits come nearer to each other
        self.assertGreaterEqual(told["index"]["expected_low"], index["expected_low"] - 1e-12)
        self.assertLessEqual(told["index"]["expected_high"], index["expected_high"] + 1e-12)
        self.assertGreater(told["gain"], 2 * told["index"]["gain_error"])
        self.assertLessEqual(told["hours_used"], 10)
        self.check_rest(told)
        self.assertEqual(told, self.document("plan", *asked, "--hours=10", *self.ASKED))

    def check_rest(self, told):
        gains, index = [row["gain"] for row in told["repairs"]], told["index"]
        for first in range(len(gains)):
            self.assertGreater(sum(gains[first:]), 0)
        self.assertAlmostEqual(sum(gains[index["told"]:]), index["rest_gain"], delta=1e-12)
        self.assertLessEqual(index["rest_gain"], 2 * index["rest_error"])
        self.assertAlmostEqual(told["expected_after"] + index["after"], 1, delta=1e-12)
        self.assertAlmostEqual(sum(gains), told["gain"], delta=1e-12)

    @slow
    def test_from_where_on_gains_are_not_told_is_said(self):
        asked = (str(DEMO), "--log", str(DEMO_LOG), "--loading=arrival", "--hours=150", *self.ASKED)
        told = self.document("plan", *asked)
        self.check_rest(told)
        self.assertLess(told["index"]["told"], len(told["repairs"]))
        self.assertIn(f"Those from {told['index']['told'] + 1} on gain ", self.words("plan", *asked))
        self.assertNotIn("Those from", self.words("plan", self.sprat(self.CHANCES), "--hours=9", *self.ASKED))

    def test_what_it_says(self):
        ship = self.sprat(self.CHANCES)
        told = self.document("plan", ship, "--hours=4.5", *self.ASKED)
        text = self.words("plan", ship, "--hours=4.5", *self.ASKED)
        self.assertIn("Index of subdivision as likely as the history of her closures says "
                      f"{told['index']['expected']:.4f}".rstrip("0") + " now", text)
        self.assertIn("every set that fits was tried", text)
        self.assertIn(f" 1. {told['repairs'][0]['closure']} ", text)
        self.assertNotIn("worth now", text)
        rows = [*csv.DictReader(io.StringIO(
            self.good("plan", "--format=csv", *AS_OF, ship, "--hours=4.5", *self.ASKED)))]
        self.assertEqual([(r["closure"], float(r["gain"]), float(r["alone"])) for r in rows if r["table"] == "repairs"],
                         [(r["closure"], r["gain"], r["alone"]) for r in told["repairs"]])

    def test_nothing_to_do_is_said(self):
        ship = self.sprat(dict.fromkeys(self.CHANCES, 0))
        told = self.document("plan", ship, "--hours=8", *self.ASKED)
        self.assertEqual((told["repairs"], told["gain"], told["bound"], told["tests"]), ([], 0, 0, []))
        self.assertIn("The index hangs on no closure that may leak and could be repaired.",
                      self.words("plan", ship, "--hours=8", *self.ASKED))
        ship = self.sprat(self.CHANCES)
        self.assertEqual(self.document("plan", ship, "--hours=0.01", *self.ASKED)["repairs"], [])
        self.assertIn("No repair fits into these hours.", self.words("plan", ship, "--hours=0.01", *self.ASKED))

    def test_what_stands_failed_and_is_not_in_it_is_named(self):
        # beside D1, which leaks for certain and has no hours, D3 wins nothing
        text = sprat().replace("</arrangement>", closure("D3", "door", "gear mid", 9, 3, ' hours="2"') + "</arrangement>")
        text = text.replace('id="D1" name="D1 of her" kind="door" between="gear mid" rating="watertight" hours="3"',
                            'id="D1" name="D1 of her" kind="door" between="gear mid" rating="watertight"')
        chances = dict(self.CHANCES, D1=1, D3=0.9)
        ship, asked = self.sprat(chances, text), ("--failed=D3,M2", *self.ASKED)
        index = self.document("survival", ship)["index"]["expected"]
        mended = self.document("survival", self.sprat(dict(chances, D3=0.09), text))["index"]["expected"]
        self.assertAlmostEqual(index, mended, delta=1e-12)
        told = self.document("plan", ship, "--hours=100", *asked)
        self.assertIn("M2", [row["closure"] for row in told["repairs"]])
        self.assertEqual(told["left_out"], ["D3"])
        self.assertIn("Not among these, for they win nothing of the index: D3 (FAILED (as seen), 2 h); "
                      "still to be made good.", self.words("plan", ship, "--hours=100", *asked))
        told = self.document("plan", ship, "--hours=0.5", *asked)
        self.assertEqual((told["repairs"], told["left_out"]), ([], ["M2", "D3"]))
        self.assertIn("Not among these, for there are not the hours: M2 (FAILED (as seen), 1.5 h), D3 (FAILED (as "
                      "seen), 2 h); still to be made good.", self.words("plan", ship, "--hours=0.5", *asked))
        self.assertNotIn("Not among these", self.words("plan", ship, "--hours=100", *self.ASKED))
        self.assertEqual(self.document("plan", ship, "--hours=100", *self.ASKED)["left_out"], [])
        self.assertIsNone(self.document("plan", ship, "--hours=100")["left_out"])

    def test_repairs_that_cost_are_not_hidden(self):
        # through D2 water crosses to the other side, and takes heel off her
        text = (f'<arrangement xmlns="{SHIP_NS}" name="Sprat">\n'
                '<ship length="40" beam="12" depth="8" draft="2.3" kg="4.3"/>\n' +
                "".join(f'<space id="{name}" name="{name}" shell="yes"><box x="{x}" y="{y}" z="0 8"/></space>\n'
                        for name, x, y in (("aft", "0 10", "-6 6"), ("port", "10 30", "2 6"),
                                           ("starboard", "10 30", "-6 2"), ("fore", "30 40", "-6 6"))) +
                closure("D1", "door", "aft port", 10, 0.5, ' hours="1"').replace('y="0"', 'y="4"') +
                closure("D2", "door", "port starboard", 20, 0.5, ' hours="2"').replace('y="0"', 'y="2"') +
                "</arrangement>\n")

        def index(d1, d2):
            return self.document("survival", self.sprat({"D1": d1, "D2": d2}, text))["index"]["expected"]
        ship = self.sprat({"D1": 0.1, "D2": 0.9}, text)
        told = self.document("plan", ship, "--hours=8", *self.ASKED)
        all_of_them = index(0.01, 0.09) - index(0.1, 0.9)
        self.assertLess(all_of_them, -0.001)
        self.assertAlmostEqual(told["bound"], all_of_them, delta=0.001)  # as near as survival tells it
        self.assertNotIn("D2", [row["closure"] for row in told["repairs"]])
        text = self.words("plan", ship, "--hours=8", *self.ASKED)
        self.assertIn(f"Repairing everything that has hours would cost {-told['bound']:.4f}".rstrip("0") + ";", text)
        self.assertIn("Some repairs take away water that evens her out.", text)
        self.assertNotIn("evens her out", self.words("plan", self.sprat(self.CHANCES), "--hours=8", *self.ASKED))

    def test_hours_beyond_measure_are_written_so_that_they_can_be_read(self):
        ship = self.sprat(self.CHANCES)
        for more in (self.ASKED, ()):
            self.assertIn(" of 1e+30 hours.", self.words("plan", ship, "--hours=1e30", *more))
            text = self.words("plan", ship, "--hours=1e-5", *more)
            self.assertIn("0 of 1e-05 hours.", text)
            self.assertIn("this gains 0 (no repair fits)", text)
            self.assertIn("No repair fits into these hours.", text)

    def test_what_has_no_hours_is_named(self):
        ship = self.sprat(self.CHANCES, sprat(manhole_hours=""))
        told = self.document("plan", ship, "--hours=8", *self.ASKED)
        self.assertEqual(told["without_hours"], ["M1"])
        self.assertNotIn("M1", [row["closure"] for row in told["repairs"]])

    def test_what_does_not_go_with_it_is_refused(self):
        ship = self.sprat(self.CHANCES)
        for more in ("--level=still", "--level=equilibrium", "--hazard=water", "--hazard=air", "--risk=exact",
                     "--seed=2", "--samples=1000", "--within=1%"):
            self.one_line(USAGE, "plan", ship, "--hours=4", *self.ASKED, more,
                          says=("--measure=survival", more.split("=", 1)[0]))
        self.one_line(USAGE, "plan", ship, *self.ASKED, says=("--hours",))
        self.one_line(USAGE, "plan", ship, "--hours=0", *self.ASKED, says=("--hours",))
        self.one_line(USAGE, "rank", ship, *self.ASKED, says=("--measure",))

    def test_a_ship_that_cannot_be_asked_gets_the_same_line_as_by_survival(self):
        bare = self.ship(sprat().replace(' kg="2"', ""))
        said = self.one_line(USAGE, "survival", bare, says=("kg",))
        self.assertEqual(self.one_line(USAGE, "plan", bare, "--hours=4", *self.ASKED), said)
        heavy = self.ship(sprat().replace(' kg="2"', ' kg="20"'))
        said = self.one_line(INPUT, "survival", heavy)
        self.assertEqual(self.one_line(INPUT, "plan", heavy, "--hours=4", *self.ASKED), said)
        self.one_line(INPUT, "plan", heavy, "--hours=4", "--loading=none", *self.ASKED, says=("none",))


class ManyWays(Plan):
    def test_what_is_sure_to_leak_does_not_hide_how_large_the_tables_are(self):
        """With every closure seen not to hold one state alone comes about; with repairs, all do."""
        count = 12
        spaces = "".join(f'<space id="s{k}" name="S{k}"><box x="{k} {k + 1}" y="-3 3" z="0 5"/></space>\n'
                         for k in range(count))
        pairs = [(a, b) for a in range(count) for b in range(a)]
        each = "".join(closure(f"C{k}", "door", f"s{a} s{b}", 1, 0.5, ' hours="1"') for k, (a, b) in enumerate(pairs))
        ship = self.ship(f'<arrangement xmlns="{SHIP_NS}" name="Sprat">\n'
                         f'<ship length="30" beam="6" depth="5" draft="2.8"/>\n{spaces}{each}</arrangement>\n')
        failed = "--failed=" + ",".join(f"C{k}" for k in range(len(pairs)))
        asked = ("plan", ship, "--hours=60", failed, "--format=json", *AS_OF)  # warned of are far openings
        plan = json.loads(self.run_it(*asked).stdout)
        self.assertEqual(plan["method"], "sampled")
        ranked = json.loads(self.run_it("rank", ship, failed, "--format=json", *AS_OF).stdout)
        self.assertEqual(ranked["method"], "exact")  # of the one state, which is quickly told
        self.assertAlmostEqual(plan["expected_loss"], ranked["expected_loss"], delta=1e-9)
        refused = self.run_it(*asked, "--risk=exact")
        self.assertEqual(refused.returncode, USAGE)
        self.assertIn(b"the exact tables need more", refused.stderr)


class AtRest(Plan):
    def test_plan_says_where_its_numbers_are_counted(self):
        asked = self.asked(sprat(), "--hours=4")
        for more, level, at_rest in (((), "still", True), (("--hazard=air",), "still", False),
                                     (("--level=still",), "still", False),
                                     (("--level=full",), "full", False), (("--level=3.2",), 3.2, False)):
            with self.subTest(more):
                self.assertEqual(AT_REST in self.words("plan", *asked, *more), at_rest)
                self.assertEqual(self.document("plan", *asked, *more)["risk_level"], level)
                ranked = self.document("rank", *asked[:3], *more)
                self.assertEqual(ranked["risk_level"], ranked["level"])
                self.assertNotIn(AT_REST, self.words("rank", *asked[:3], *more))

    def test_risk_of_rank_is_counted_where_she_settles(self):
        """By hand: each space is breached with 1/6. Of gear, mid or hold the doors beside it are wet, and
        M1 once the other of aft and gear has sunk her by the stern; then water goes on by every door
        that leaks. At rest M1 is dry and would cost nothing."""
        asked = self.asked(sprat(), "--hazard=water")
        told = self.document("rank", *asked)
        rows = {r["closure"]: r for r in told["closures"]}
        m1, m2, d1, d2 = (rows[c]["leak_probability"] for c in ("M1", "M2", "D1", "D2"))
        beyond = 2 + 4 * d2  # what D1 lets water on to, from aft
        for closure, p, loss in (("M1", m1, 2 + d1 * beyond), ("M2", m2, 2),
                                 ("D1", d1, m1 * beyond + beyond + 2 + 2 * d2),
                                 ("D2", d2, 4 * m1 * d1 + 4 * d1 + 4 + 2 + 2 * d1)):
            self.assertAlmostEqual(rows[closure]["birnbaum"], loss / 6, delta=1e-12)
            self.assertAlmostEqual(rows[closure]["repair_gain"], p * loss / 6, delta=1e-12)
            self.assertEqual(rows[closure]["risk_error"], 0)
        expected = (m1 * (2 + d1 * beyond) + (2 + d1 * beyond) + (2 + 2 * d1 + 4 * d2)
                    + (4 + d2 * (2 + 2 * d1)) + 2 * (1 + m2)) / 6
        for key in ("expected_loss", "expected_loss_low", "expected_loss_high"):
            self.assertAlmostEqual(told[key], expected, delta=1e-12)
        self.assertEqual((told["method"], rows["M1"]["afloat"]), ("exact", False))
        still = self.document("rank", *asked, "--level=still")
        self.assertEqual([r["repair_gain"] for r in still["closures"] if r["closure"] == "M1"], [0])


if __name__ == "__main__":
    unittest.main()
