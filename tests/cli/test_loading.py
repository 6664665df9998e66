#!/usr/bin/python3
"""Loadings, by every command that floats her: what they change, what is said of them, what is refused.

What liquids do is worked out by hand in tests/unit/test_liquid.c; here one free surface by l b^3 / 12.

Needs Python 3.11, its standard library only.
Environment: COAMING, the program; COAMING_ROOT, the source tree. The ships here are invented.
"""

import json
import re
import unittest

from harness import AS_OF, DONE, INPUT, SHIP_NS, USAGE, Case

# A box of 40 x 10 x 6 m at 2.5 m. W1 stands 0.3 m above the water, V1 under it.
LOADINGS = """<loading id="deep" name="Deep &amp; slack" draft="3" kg="3.2" index="deepest">
<content space="fuel" fill="0.5" density="0.9"/><content space="oil" fill="1" density="0.8"/></loading>
<loading id="trimmed" draft="2.5" trim="-0.5" kg="3" index="partial"/>
<loading id="light" draft="2" kg="3.4" index="light"><content space="fuel" fill="0" density="0.9"/></loading>
"""
SHIP = f"""<arrangement xmlns="{SHIP_NS}" name="Box">
<ship length="40" beam="10" depth="6" draft="2.5" kg="3.2"/>
%s<condition id="sea"/>
<space id="fuel" name="Fuel tank" use="tank" permeability="1" shell="yes"><box x="10 20" y="-4 4" z="0 1"/></space>
<space id="oil" name="Oil tank" use="tank" permeability="1" shell="yes"><box x="20 30" y="-4 4" z="0 1"/></space>
<space id="hold" name="Hold" use="stores" shell="yes"><box x="0 20" y="-5 5" z="1 6"/></space>
<space id="fore" name="Fore hold" use="stores" shell="yes" vital="yes"><box x="20 40" y="-5 5" z="1 6"/></space>
<closure id="D1" kind="door" between="hold fore" rating="watertight" hours="2">
<clear x="20" y="0" z="1.5" width="0.8" height="1.8" lies="transverse"/>
<test date="2026-03-01" method="chalk" result="fail"/></closure>
<closure id="W1" kind="sidescuttle" between="hold weather" rating="watertight" hours="1">
<clear x="8" y="5" z="2.8" width="0.4" height="0.4" lies="longitudinal"/>
<test date="2026-03-01" method="hose" result="pass"/></closure>
<closure id="M1" kind="manhole" between="fuel hold" rating="watertight" hours="1">
<clear x="15" y="0" z="1" width="0.6" height="0.4" lies="deck"/>
<test date="2026-03-01" method="hose" result="pass"/></closure>
</arrangement>
"""
WITH, WITHOUT = SHIP % LOADINGS, SHIP % ""
SEA = 1.025

# What floats her, with what else it needs.
FLOATS = {"expose": ("--all",), "rank": (), "plan": ("--hours", "4"), "export": (), "float": ("--flooded", "fore"),
          "hold": ("--source", "hold"), "due": ("--by-consequence",)}
PAGES = {"draw": ("--profile",), "report": ()}


class Loading(Case):
    def setUp(self):
        super().setUp()
        self.ship(WITH)
        self.write("plain.xml", WITHOUT)

    def test_a_ship_with_loadings_is_as_before_where_none_is_asked_for(self):
        for command, words in {**FLOATS, **PAGES}.items():
            if command == "report":  # tells survival, which is of all loadings where there are any
                continue
            pages = [self.good(command, name, *words, *AS_OF, *(() if command in PAGES else ("--format", "json")))
                     for name in ("ship.xml", "plain.xml")]
            if command == "export":
                pages = [json.loads(page) for page in pages]
                self.assertEqual((len(pages[0].pop("loadings")), pages[1].pop("loadings")), (3, []))
            self.assertEqual(pages[0], pages[1], command)
        self.assertEqual(self.good("float", "ship.xml", *AS_OF), self.good("float", "plain.xml", *AS_OF))

    def test_every_document_and_page_says_how_she_is_loaded(self):
        for command, words in FLOATS.items():
            told = self.document(command, "ship.xml", *words, "--loading", "deep")
            self.assertEqual(told["loading"], "deep", command)
            self.assertIsNone(self.document(command, "ship.xml", *words)["loading"], command)
            if command in ("export", "due"):
                continue
            text = self.good(command, "ship.xml", *words, *AS_OF, "--loading=deep")
            self.assertEqual(re.sub(r"\s+", " ", text).count("Loaded as in: Deep & slack; liquids move as she heels, "
                                                              "nothing else shifts."), 1, command)
            self.assertNotIn("Loaded", self.good(command, "ship.xml", *words, *AS_OF))
        self.assertIn("loaded as in Deep &amp; slack", self.good("draw", "ship.xml", "--loading=deep"))
        self.assertIn("<dt>Loading</dt><dd><bdi>Deep &amp; slack</bdi>",
                      self.good("report", "ship.xml", "--loading=deep", *AS_OF))
        graph = self.good("export", "ship.xml", "--loading=deep", "--format=graphml", *AS_OF)
        self.assertIn(">deep<", graph)

    def test_a_half_full_tank_takes_its_free_surface_off(self):
        deep = self.document("float", "ship.xml", "--loading", "deep")
        volume, surface = 40 * 10 * 3, 10 * 8 ** 3 / 12
        self.assertAlmostEqual(deep["displacement"], SEA * volume, 9)
        self.assertAlmostEqual(deep["gm"], 1.5 + 40 * 1000 / 12 / volume - 3.2 - 0.9 * surface / (SEA * volume), 9)
        light = self.document("float", "ship.xml", "--loading", "light")  # its tank is empty
        self.assertAlmostEqual(light["gm"], 1 + 40 * 1000 / 12 / 800 - 3.4, 9)

    def test_a_breached_tank_has_lost_its_content(self):
        lost = self.document("float", "ship.xml", "--loading", "deep", "--flooded", "oil")
        weight = 1200 - 80 * 0.8 / SEA
        self.assertAlmostEqual(lost["displacement"], SEA * weight, 9)
        self.assertAlmostEqual(lost["flooded_volume"], 80, 9)
        # heavier than before by what the sea weighs more, and where the tank is forward of the middle
        self.assertGreater(lost["draught"], 3)
        self.assertGreater(lost["trim"], 0)

    def test_she_floats_as_draft_and_trim_say(self):
        told = self.document("float", "ship.xml", "--loading", "trimmed")
        for key, value in (("draught", 2.5), ("draught_aft", 2.75), ("draught_fwd", 2.25), ("trim", -0.5), ("heel", 0)):
            self.assertAlmostEqual(told[key], value, 9)

    def test_the_waterline_at_rest_is_that_of_the_loading(self):
        """W1 is dry at 2.5 m and wet at 3 m."""
        words = ("expose", "ship.xml", "W1", "--hazard=water", "--level=still")
        dry, wet = self.document(*words), self.document(*words, "--loading", "deep")
        self.assertEqual([row["exposed"] for row in dry["results"] if row["source"] == "weather"], [[]])
        self.assertEqual([row["exposed"] for row in wet["results"] if row["source"] == "weather"], [["hold", "fore"]])
        self.assertIn("Water to 3.00 m above the baseline (the waterline at rest).",
                      self.good(*words, "--loading", "deep", *AS_OF))
        loss = [self.document("rank", "ship.xml", "--level", "still", *more)["expected_loss"]
                for more in ((), ("--loading", "deep"), ("--loading", "trimmed"))]
        self.assertGreater(loss[1], loss[0])
        self.assertEqual(loss[2], loss[0])  # of the same draught, taken as level

    def test_the_drawing_has_the_trimmed_waterline(self):
        def line(*words):
            page = self.good("draw", "ship.xml", "--profile", *words)
            return re.search(r'class="water"[^>]* d="M([\d.]+) ([\d.]+)(H|L)([\d.]+)(?: ([\d.]+))?"', page).groups()
        self.assertEqual(line()[2], "H")
        self.assertEqual(line("--loading=light")[2], "H")
        x0, y0, way, x1, y1 = line("--loading=trimmed")
        self.assertEqual(way, "L")
        slope = (float(y1) - float(y0)) / (float(x1) - float(x0))  # down the page is down: the bow is out
        self.assertAlmostEqual(slope, 0.5 / 40, 4)
        self.assertLess(float(line()[1]), float(line("--loading=light")[1]))

    def test_without_kg_of_the_ship_she_floats_in_her_loadings_alone(self):
        self.ship(WITH.replace(' kg="3.2"/>', "/>", 1))
        self.one_line(USAGE, "float", "ship.xml", says=("without kg",))
        self.assertEqual(self.document("rank", "ship.xml")["level"], "still")
        self.assertEqual(self.document("rank", "ship.xml", "--loading=light")["level"], "equilibrium")
        for command, words in {**FLOATS, **PAGES}.items():  # each part of each asks for the loading
            self.good(command, "ship.xml", *words, "--loading=light", *AS_OF)

    def test_feet_are_converted(self):
        self.ship(WITH.replace('name="Box"', 'name="Box" units="ft"').replace("<condition", '<loading id="ft" draft="3" '
                  'trim="0.5" kg="4" lcg="20" tcg="-1"/><condition'))
        row = self.document("export", "ship.xml")["loadings"][3]
        for key, feet in (("draft", 3), ("trim", 0.5), ("kg", 4), ("lcg", 20), ("tcg", -1)):
            self.assertAlmostEqual(row[key], feet * 0.3048, 12)

    def test_the_export_has_all_that_the_file_says(self):
        rows = self.document("export", "ship.xml")["loadings"]
        self.assertEqual(rows[0], {"id": "deep", "name": "Deep & slack", "draft": 3, "trim": 0, "kg": 3.2, "lcg": None,
                                   "tcg": None, "index": "deepest",
                                   "contents": [{"space": "fuel", "fill": 0.5, "density": 0.9},
                                                {"space": "oil", "fill": 1, "density": 0.8}]})
        self.assertEqual([row["index"] for row in rows], ["deepest", "partial", "light"])


class Refused(Case):
    TOP = '<loading id="top" draft="2.5" kg="8"/>\n'
    LEAD = '<loading id="lead" draft="0.3" kg="1"><content space="fuel" fill="1" density="5"/></loading>\n'

    def test_an_unknown_loading_is_told_with_the_nearest(self):
        self.ship(WITH)
        for command, words in {**FLOATS, **PAGES}.items():
            self.one_line(INPUT, command, "ship.xml", *words, "--loading=deap",
                          says=("ship.xml: loading deap: there is none; the nearest is deep",))

    def test_commands_that_do_not_float_her_do_not_take_it(self):
        self.ship(WITH)
        for command, words in (("check", ()), ("adjust", ()), ("history", ("D1",))):
            self.one_line(USAGE, command, "ship.xml", *words, "--loading=deep", says=("--loading",))
        self.one_line(USAGE, "due", "ship.xml", "--loading=deep", says=("--by-consequence",))

    def test_a_loading_that_cannot_be_is_one_error_that_says_where(self):
        self.ship(SHIP % (self.TOP + self.LEAD))
        for command, words in FLOATS.items():
            for loading, line, says in (("top", 3, "undamaged she does not stay afloat: she capsizes"),
                                        ("lead", 4, "its contents weigh more than she displaces")):
                told = self.one_line(INPUT, command, "ship.xml", *words, f"--loading={loading}", says=(says,))
                self.assertIn(f"ship.xml:{line}: loading {loading}: ", told)

    def test_check_floats_her_in_every_loading(self):
        self.ship(SHIP % (self.TOP + LOADINGS + self.LEAD))
        done = self.run_it("check", "ship.xml", *AS_OF)
        self.assertEqual(done.returncode, INPUT)
        self.assertEqual([re.sub(r"(:\d+: error: loading \w+): .*", r"\1", line)
                          for line in done.stderr.decode().splitlines()],
                         ["ship.xml:3: error: loading top", "ship.xml:8: error: loading lead"])
        self.assertIn("2 errors, 0 warnings", done.stdout.decode())
        told = json.loads(self.run_it("check", "ship.xml", "--format=json", *AS_OF).stdout)
        self.assertFalse(told["ok"])
        self.assertEqual([fault["object"] for fault in told["faults"]], ["loading top", "loading lead"])
        self.ship(WITH)
        self.assertEqual(self.run_it("check", "ship.xml", *AS_OF).returncode, DONE)
        self.good("float", "ship.xml")  # another loading is no matter


if __name__ == "__main__":
    unittest.main()
