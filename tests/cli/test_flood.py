#!/usr/bin/python3
"""Water in time, from the outside: bad input, and one answer in every form: text, document, sheet, plots.

What the flows themselves are is tested in tests/unit and against scipy; here what the command makes of
them: that what is asked for acts when it is to act, and that the forms agree.

Needs Python 3.11, its standard library only.
Environment: COAMING, COAMING_ROOT. The ships here are invented.
"""

import csv
import io
import re
import sys
import unittest
import xml.etree.ElementTree as ET
from pathlib import Path

sys.dont_write_bytecode = True  # leaves no files behind
sys.path.insert(0, str(Path(__file__).resolve().parent))
from harness import AS_OF, BARGE, DEMO, INPUT, SHIP_NS, USAGE, Case, slow  # noqa: E402

# Three rooms in a row in a box 30 m long; the doors between them stand open unless it is said otherwise.
THREE = f"""<arrangement xmlns="{SHIP_NS}" name="Three">
<ship length="30" beam="6" depth="4" draft="1.5" kg="1.5"/>
<condition id="open" name="Doors open"/>
<condition id="sea" name="At sea"/>
<space id="aft" name="Aft room" shell="yes"><box x="0 10" y="-3 3" z="0 4"/></space>
<space id="mid" name="Middle room" shell="yes"><box x="10 20" y="-3 3" z="0 4"/></space>
<space id="fore" name="Fore room" shell="yes"><box x="20 30" y="-3 3" z="0 4"/></space>
<closure id="D1" name="After door" kind="door" between="aft mid" rating="watertight" shut-in="sea">
<clear x="10" y="0" z="0.2" width="0.8" height="1.8" lies="transverse"/>
<test date="2026-01-31" method="chalk" result="pass"/></closure>
<closure id="D2" name="Fore door" kind="door" between="mid fore" rating="watertight" shut-in="sea">
<clear x="20" y="0" z="0.2" width="0.8" height="1.8" lies="transverse"/>
<test date="2026-01-31" method="chalk" result="pass"/></closure>
<closure id="H1" kind="hatch" between="mid weather" rating="nontight" shut-in="">
<clear x="15" y="0" z="4" width="1" height="1" lies="deck"/></closure>
<passage id="P1" kind="duct" between="aft weather">
<clear x="5" y="0" z="4" width="0.5" height="0.5" lies="deck"/></passage>
<pump id="W1" space="fore" capacity="30" serves="mid"/>
</arrangement>
"""
# Wing tanks with a cross-flooding valve: through it she comes upright again, without it she does not.
WINGS = f"""<arrangement xmlns="{SHIP_NS}" name="Wings">
<ship length="40" beam="10" depth="6" draft="3" kg="3.6" density="1"/>
<condition id="sea" name="At sea"/>
<space id="port" name="Port tank" shell="yes" permeability="1"><box x="10 30" y="3 5" z="0 6"/><box x="19 21" y="0 3" z="0 1"/></space>
<space id="stbd" name="Starboard tank" shell="yes" permeability="1"><box x="10 30" y="-5 -3" z="0 6"/><box x="19 21" y="-3 0" z="0 1"/></space>
<closure id="X" kind="valve" between="port stbd" rating="watertight" shut-in="">
<clear x="20" y="0" z="0" width="1" height="1" lies="longitudinal"/>
<test date="2026-01-31" method="air" result="pass"/></closure>
</arrangement>
"""
HOLED = ("--breach", "aft:0.02@0.5")


def high(depth):
    """The same so deep, its doors with a sill of 1.5 m, so that water is in one room before it is in the next."""
    return THREE.replace('z="0.2" width', 'z="1.5" width').replace('depth="4"', f'depth="{depth}"').replace(
        'z="0 4"', f'z="0 {depth}"').replace('z="4"', f'z="{depth}"')


class Asking(Case):
    def setUp(self):
        super().setUp()
        self.ship(THREE)

    def flood(self, *words, ship="ship.xml"):
        return self.document("flood", ship, *words)

    def shape(self, document):
        """What a document tells of the water, without what was asked of it."""
        return {k: v for k, v in document.items()
                if k in ("times", "positions", "spaces", "events", "ended", "at_rest", "end")}


class BadInput(Asking):
    """One clear error each, that names option and object."""

    def refused(self, status, *words, says=()):
        self.one_line(status, "flood", "ship.xml", *words, *AS_OF, says=says)

    def test_breaches(self):
        for word in ("aft", "aft:", ":0.05", "aft:wide", "aft:0", "aft:-1", "aft:0.05@", "aft:0.05@low", "aft:1e999",
                     "aft:nan", "aft:inf", "aft:0.05@nan", "aft:0.05@1e9", "aft:0.05kg"):
            self.refused(USAGE, "--breach", word, says=("--breach", f"'{word}'", "engine:0.05@1.2"))
        self.refused(USAGE, "--breach", "aft:0.05,mid:0", says=("'mid:0'",))
        self.refused(USAGE, "--breach", ",", says=("--breach names nothing",))
        self.refused(INPUT, "--breach", "aftt:0.05", says=("aftt", "aft"))
        self.refused(INPUT, "--breach", "D1:0.05", says=("D1",))
        for height in ("4.1", "-0.1", "30ft"):
            self.refused(USAGE, "--breach", f"aft:0.05@{height}", says=("breach of aft", "0 to 4 m"))
        self.refused(USAGE, "--breach", "aft:1e7", says=("breach of aft", "area"))
        self.refused(USAGE, "--condition", "sea", says=("no water", "--breach", "--inflow"))

    def test_inflows(self):
        for word in ("mid", "mid:20", "mid:0m3/h", "mid:-5l/s", "mid:l/s", "mid:5kn", "mid:nanl/s", ":5l/s"):
            self.refused(USAGE, "--inflow", word, says=("--inflow", f"'{word}'", "engine:60m3/h"))
        self.refused(INPUT, "--inflow", "midd:5l/s", says=("midd", "mid"))
        self.refused(USAGE, "--inflow", "mid:1e12m3/h", says=("inflow of mid", "rate"))

    def test_what_happens_when(self):
        for option in ("open", "shut", "fail", "pump"):
            for word in ("D1@-1", "D1@soon", "D1@", "@5", "D1@1e999", "D1@nan", "D1@5d"):
                self.refused(USAGE, *HOLED, f"--{option}={word}", says=(f"--{option}", f"'{word}'", "D3@10min"))
        for option in ("open", "shut", "fail"):
            self.refused(INPUT, *HOLED, f"--{option}=D9@60", says=("D9",))
            self.refused(INPUT, *HOLED, f"--{option}=aft@60", says=("aft", "that is a space"))
            self.refused(INPUT, *HOLED, f"--{option}=P1@60", says=("P1", "passage"))
        self.refused(INPUT, *HOLED, "--pump=W9@60", says=("pump W9",))
        self.refused(INPUT, *HOLED, "--pump=D1", says=("pump D1",))
        self.refused(INPUT, *HOLED, "--open=D9", says=("D9",))
        self.refused(USAGE, *HOLED, "--shut=D1@2h", says=("--shut D1@2h", "after the end", "--until"))
        self.refused(USAGE, *HOLED, "--shut=D1@60", "--open=D1@1min", says=("D1", "at the same moment"))
        self.refused(USAGE, *HOLED, "--shut=D1", "--open=D1", says=("D1",))
        self.refused(USAGE, *HOLED, "--shut=H1@60", says=("H1", "nontight"))

    def test_a_ship_without_kg(self):
        self.ship(THREE.replace(' kg="1.5"', ""))
        self.refused(USAGE, *HOLED, says=("kg",))

    def test_water_that_cannot_get_in_is_said(self):
        text = self.good("flood", "ship.xml", "--breach=aft:0.05@3.9", "--condition=sea", *AS_OF)
        self.assertIn("  No water comes in.\n", text)

    def test_times(self):
        for option in ("every", "until"):
            for word in ("0", "-5", "soon", "", "inf", "nan", "1e999", "5 min", "721h" if option == "until" else "1e9"):
                self.refused(USAGE, *HOLED, f"--{option}={word}", says=(f"--{option}", f"'{word}'"))
        self.refused(USAGE, *HOLED, "--every=0.001", says=("--every", "too often"))
        for word in ("0", "1", "-3", "many", "10001"):
            self.refused(USAGE, *HOLED, f"--likely={word}", says=("--likely", f"'{word}'"))


def happenings(document):
    """What becomes of spaces, ship and pumps: not what the user did himself, and not of a closure that it is
    wet, which is told only of those that are not shut and sound all along."""
    return [(e["t"], e["what"], e["closure"], e["space"], e["pump"]) for e in document["events"]
            if e["what"] not in ("shut", "open", "fail", "pump_on", "closure_wet", "knee_deep", "impassable")]


class Doing(Asking):
    """What is asked for acts when it is to act."""

    def alike(self, one, other, off=1e-3):
        """The same happens, at the same times."""
        self.assertEqual([e[1:] for e in happenings(one)], [e[1:] for e in happenings(other)])
        for a, b in zip(happenings(one), happenings(other)):
            self.assertAlmostEqual(a[0], b[0], delta=off * max(1, a[0]))
        for key in ("draught", "trim", "heel", "flooded_volume"):
            self.assertAlmostEqual(one["end"][key], other["end"][key], delta=2e-3)

    def test_at_the_start_is_as_seen(self):
        for option, more in (("shut", ("--condition", "open")), ("open", ("--condition", "sea"))):
            seen = self.flood(*HOLED, *more, f"--{option}=D1")
            done = self.flood(*HOLED, *more, f"--{option}=D1@0")
            other = self.flood(*HOLED, *more)
            self.alike(seen, done)
            self.assertNotEqual(happenings(seen), happenings(other))
            self.assertEqual((seen[option], seen["changes"]), (["D1"], []))
            self.assertEqual(done["changes"], [{"t": 0, "what": option, "closure": "D1", "pump": None}])
            self.assertNotIn(option, done)

    def test_a_failure_at_the_start_is_as_seen(self):
        dry = ("--until=20min", "--pump=W1@20min")  # which would take the leak out again
        held = self.flood(*HOLED, *dry)
        self.assertNotIn("mid", [e[3] for e in happenings(held)])
        for option in ("fail", "failed"):
            self.alike(self.flood(*HOLED, f"--{option}=D1"), self.flood(*HOLED, f"--{option}=D1@0"))
        self.assertIn("mid", [e[3] for e in happenings(self.flood(*HOLED, "--fail=D1@60", *dry))])

    def test_nothing_happens_before_its_time(self):
        done = self.flood(*HOLED, "--open=D1@10min", "--every=30s")
        plain = self.flood(*HOLED, "--every=30s")
        before = [e for e in happenings(done) if e[0] < 600]
        self.assertEqual([e[1:] for e in before], [e[1:] for e in happenings(plain) if e[0] < 600])
        self.assertIn((600, "open", "D1"), [(e["t"], e["what"], e["closure"]) for e in done["events"]])
        self.assertTrue(all(e[0] >= 600 for e in happenings(done) if e[3] == "mid" and e[1] == "space_wet"))

    def test_what_is_asked_for_is_told_by_time(self):
        asked = (*HOLED, "--until=20min", "--open=D2@3min,D1@30s", "--pump=W1@10min", "--shut=D1@1min")
        words = " ".join(self.good("flood", "ship.xml", *asked, *AS_OF).split())
        self.assertIn("As asked: D1 opened after 30 s, D1 shut after 1 min, D2 opened after 3 min, W1 started after "
                      "10 min.", words)
        self.assertEqual([c["t"] for c in self.flood(*asked)["changes"]], [30, 60, 180, 600])

    def test_times_are_seconds_minutes_or_hours(self):
        found = [self.flood(*HOLED, f"--until={u}", f"--shut=D1@{t}")
                 for u, t in (("1800", "90"), ("1800s", "90s"), ("30min", "1.5min"), ("0.5h", "0.025h"))]
        for other in found[1:]:
            self.assertEqual(other, found[0])
        self.assertEqual((found[0]["until"], found[0]["changes"][0]["t"]), (1800, 90))

    def test_areas_and_rates_have_their_units(self):
        asked = [self.flood("--breach", f"aft:{a}", "--until=60")["breaches"] for a in ("0.05", "0.05m2", "500cm2")]
        self.assertEqual(asked, [[{"space": "aft", "area": 0.05, "height": None}]] * 3)
        self.assertEqual(self.flood("--breach=aft:0.5@1ft", "--until=60")["breaches"][0]["height"], 0.3048)
        self.assertAlmostEqual(self.flood("--breach=aft:1ft2", "--until=60")["breaches"][0]["area"], 0.3048 ** 2)
        for rate in ("36m3/h", "10l/s", "600l/min", "0.01m3/s"):
            found = self.flood("--inflow", f"mid:{rate}", "--until=10min", "--condition=sea", "--pump=W1@599")
            self.assertAlmostEqual(found["inflows"][0]["rate"], 0.01, places=12)
            # 0.01 m3/s for 600 s
            self.assertAlmostEqual(found["positions"][-1]["inflow"], 6, delta=1e-4)
            self.assertEqual(found["inflows"][0]["space"], "mid")

    def test_a_pump_starts_when_it_is_to(self):
        off = self.flood("--inflow=mid:10l/s", "--pump=W1@30min", "--condition=sea", "--every=60")
        for position in off["positions"]:
            if position["t"] <= 1800:
                self.assertLess(position["outflow"], 1e-6)
        # 30 m3/h for half an hour, less what it cannot draw from the last centimetres
        self.assertAlmostEqual(off["positions"][-1]["outflow"], 15, delta=0.5)

    def test_where_it_ends_is_where_float_says(self):
        for words in (("--condition", "open"), ("--condition", "sea"), ("--condition", "sea", "--open=D1")):
            found = self.flood("--breach=aft:0.1", *words, "--pump=W1@99h", "--until=100h")
            self.assertTrue(found["at_rest"] or found["end"]["grade"] == "lost", words)
            rest = self.document("float", "ship.xml", "--flooded=aft", "--spread", *words)
            self.assertEqual(found["end"]["grade"] == "lost", rest["grade"] == "lost", words)
            for key in ("draught", "trim") if rest["grade"] != "lost" else ():
                self.assertAlmostEqual(found["end"][key], rest[key], delta=2e-3)

    def test_heel_grows_to_where_she_comes_to_rest(self):
        """Box ships holed on one side, exact positions of rest, computed with lost buoyancy (the first with the
        figures of a chief engineers' examination paper, whose own printed answer is a small-angle estimate)."""
        first = '<space id="a" name="A" permeability="1"><box x="224 280" y="0 11" z="0 14"/></space>'
        second = ('<space id="a" name="A" permeability="0.85"><box x="70 85" y="0 10" z="0 10"/></space>'
                  '<space id="b" name="B" permeability="0.95"><box x="85 100" y="-10 10" z="0 10"/></space>')
        cases = ((280, 22, 14, 7, 6.2619048, first, "a:2", (5.304908, 8.197891, 11.090873, 14.928)),
                 (100, 20, 10, 5, 6, second, "a:2@0.8,b:2", (1.071031, 8.086138, 15.101245, 17.04)))
        for length, beam, depth, draught, kg, spaces, holes, rest in cases:
            self.ship(f'<arrangement xmlns="{SHIP_NS}" name="Box"><ship length="{length}" beam="{beam}" depth="{depth}" '
                      f'draft="{draught}" kg="{kg}"/>{spaces}</arrangement>')
            found = self.flood("--breach", holes, "--until=6h", "--every=20s")
            self.assertTrue(found["at_rest"])
            heels = [p["heel"] for p in found["positions"]]
            self.assertGreater(len(heels), 6)
            if len(holes) < 6:  # of the other the one forward, right across, floods at another pace
                self.assertTrue(all(a < b + 1e-4 for a, b in zip(heels, heels[1:])), heels)
            floats = self.document("float", "ship.xml", "--flooded", ",".join(h[0] for h in holes.split(",")))
            for end in (found["positions"][-1], floats):
                for key, value in zip(("draught_aft", "draught", "draught_fwd", "heel"), rest):
                    self.assertAlmostEqual(end[key], value, delta=6e-3 if key == "heel" else 2e-3, msg=(key, length))

    def test_a_second_before_and_after_the_latest_moment(self):
        found = self.flood("--breach=aft:0.02", "--condition=open", "--until=30min", "--by-when")
        rows = [w for w in found["by_when"] if w["dry"] is not None]
        self.assertTrue(rows)
        exact = max(1, found["until"] / 1000)
        for row in rows:
            def wet(t):
                shut = self.flood("--breach=aft:0.02", "--condition=open", "--until=30min", f"--shut={row['closure']}@{t}")
                return row["keeps_dry"] in [e[3] for e in happenings(shut) if e[1] in ("space_wet", "vital_wet")]
            self.assertFalse(wet(row["dry"]), row)
            self.assertTrue(wet(row["dry"] + exact), row)

    def test_a_door_shut_against_more_than_it_holds_gives_way_at_once(self):
        self.ship(THREE.replace('id="D1" name', 'id="D1" collapse-head="0.05" name').replace('z="0.2" width="0.8"', 'z="0" width="0.1"'))
        asked = ("--breach=aft:0.1@0.5", "--condition=open", "--shut=D1@2min", "--every=1min", "--until=10min")
        found = self.flood(*asked)
        deep = {s["space"]: s["depths"][2] for s in found["spaces"]}
        self.assertGreater(deep["aft"] - deep["mid"], 0.1)
        self.assertIn((120, "collapse", "D1"), [(e["t"], e["what"], e["closure"]) for e in found["events"]])

    def test_a_pump_that_is_under_water_before_it_is_started_never_runs(self):
        found = self.flood("--breach=fore:0.1@0.5", "--inflow=mid:10m3/h", "--pump=W1@3min", "--condition=sea", "--until=5min")
        told = [(e["what"], e["t"]) for e in found["events"] if e["pump"] == "W1"]
        self.assertEqual(told, [("pump_drowned", 180)])

    def test_shutting_that_leaves_her_worse_is_told_as_that(self):
        self.ship(WINGS)
        asked = ("--breach=port:0.2@1",)
        found = self.flood(*asked, "--by-when")
        row = found["by_when"][0]
        grades = [self.flood(*asked, *more)["end"]["grade"] for more in ((), (f"--shut=X@{row['dry']}",))]
        self.assertEqual(grades, ["within", "not_surviving"])
        self.assertEqual(row["worse"], "not_surviving")
        told = " ".join(self.good("flood", "ship.xml", *asked, "--by-when", *AS_OF).split())
        self.assertIn("it keeps stbd (Starboard tank) dry; BUT she ends worse than with it open: afloat, but not surviving.", told)
        self.assertIn(" s on, and in the end afloat, within the limits of SOLAS II-1/7-2; at rest after ", told)
        self.ship(THREE)
        for row in self.flood("--breach=aft:0.02", "--condition=open", "--until=30min", "--by-when")["by_when"]:
            self.assertIsNone(row["worse"], row)

    def test_a_door_that_is_opened_on_the_way_can_be_shut_after_that(self):
        """Shut before it is opened it would be opened all the same; shut just after, it keeps the next room dry."""
        for door, opened in (("D1", 600), ("D2", 900)):
            self.ship(THREE)
            asked = ("--breach=aft:0.02@0.5" if door == "D1" else "--breach=mid:0.02@0.5", f"--open={door}@{opened}",
                     "--condition=sea", "--until=40min")
            found = self.flood(*asked, "--by-when")
            row = next(r for r in found["by_when"] if r["closure"] == door)
            self.assertIsNotNone(row["dry"], row)
            self.assertGreaterEqual(row["dry"], opened)

            def wet(t):
                return row["keeps_dry"] in [e[3] for e in happenings(self.flood(*asked, f"--shut={door}@{t}"))
                                            if e[1] in ("space_wet", "vital_wet")]
            self.assertFalse(wet(max(row["dry"], opened + 1e-3)), row)
            self.assertTrue(wet(row["dry"] + 2.4), row)
            self.assertNotIn("none of these changes", self.good("flood", "ship.xml", *asked, "--by-when", *AS_OF))

    @slow
    def test_latest_moments_are_those_of_plain_floods_one_by_one(self):
        """Two small ships, each closure shut at each of many times, and nothing else asked: the latest of them at
        which it helps is not after the one told, and the next one is."""
        for ship, asked in ((high(6), ("--breach=aft:0.1@0.5", "--condition=open", "--until=40min")),
                            (THREE, ("--breach=mid:0.05@0.5", "--condition=open", "--until=30min"))):
            self.ship(ship)
            found = self.flood(*asked, "--by-when")
            step = max(1, found["until"] / 1000)
            rows = [(r["closure"], what, r["keeps_dry"], r[what]) for r in found["by_when"]
                    for what in ("dry", "keeps_afloat") if r[what] is not None]
            self.assertGreaterEqual(len(rows), 2)
            for closure, what, space, told in rows:
                def helps(t):
                    events = self.flood(*asked, f"--shut={closure}@{t}", "--every=10min")["events"]
                    return not any(e["what"] in (("space_wet", "vital_wet") if what == "dry" else ("lost",)) and
                                   (what != "dry" or e["space"] == space) for e in events)
                times = [found["until"] * k / 24 for k in range(24)]
                good = [t for t in times if helps(t)]
                self.assertTrue(good and good[-1] <= told + 1e-9, (closure, what, good, told))
                self.assertEqual(good, [t for t in times if t <= told + 1e-9][:len(good)])
                self.assertTrue(all(t > told for t in times[len(good):] if t > told + step))
                self.assertTrue(helps(told) and not helps(told + step), (closure, what, told))

    def test_since_when_she_does_not_survive_hangs_on_no_rows(self):
        """As told with a row each second, by a ship that trims, to a second; also if she is lost before the next
        row, and with what happens in between only once."""
        self.ship(high(4))
        asked = ("--breach=aft:0.1@0.5", "--condition=open", "--until=20min")

        def since(document):
            times = [e["t"] for e in document["events"] if e["what"] == "not_surviving"]
            self.assertEqual(len(times), 1)
            return times[0]
        fine = self.flood(*asked, "--every=1s")
        first = next(p["t"] for p in fine["positions"] if p["grade"] in ("not_surviving", "lost"))
        self.assertTrue(first - 1 < since(fine) <= first)
        deck = next(e["t"] for e in fine["events"] if e["what"] == "deck_under")
        self.assertLessEqual(since(fine), deck + 1)
        for every in ("10s", "60s", "7min", "20min"):
            found = self.flood(*asked, f"--every={every}")
            self.assertLess(abs(since(found) - first), 1.5, every)
            events = [(e["what"], e["closure"], e["space"]) for e in found["events"]]
            self.assertEqual(sorted(map(str, events)),
                             sorted(map(str, ((e["what"], e["closure"], e["space"]) for e in fine["events"]))))
            times = [e["t"] for e in found["events"]]
            self.assertEqual(times, sorted(times))

    def test_draws_that_cannot_differ_tell_what_one_flood_tells(self):
        """The doors stand open, so nothing hangs on how sound they are: each draw is the flood as asked, survival
        with it."""
        self.ship(high(4))
        asked = ("--breach=aft:0.1@0.5", "--condition=open", "--until=20min")
        found = self.flood(*asked, "--likely=5")
        plain = {(e["what"], e["closure"], e["space"]): e["t"] for e in found["events"]
                 if e["what"] not in ("closure_wet",)}
        self.assertIn(("not_surviving", None, None), plain)
        drawn = {(e["what"], e["closure"], e["space"]): e for e in found["likely"]["events"] if e["what"] != "closure_wet"}
        self.assertEqual(set(drawn), set(plain))
        for what, event in drawn.items():
            self.assertEqual(event["share"], 1)
            for key in ("tenth", "median", "nine_tenths"):
                self.assertAlmostEqual(event[key], plain[what], delta=0.01)

    def test_draws_tell_how_sure_it_is_that_she_does_not_survive(self):
        """Leaks decide: shut doors that leak with a chance of a half each, and a hole that fills one room alone."""
        self.ship(high(9).replace('shut-in="sea">', 'shut-in="sea" leak-probability="0.5" leak-area="0.05">'))
        asked = ("--breach=aft:0.2@0.5", "--condition=sea", "--until=2h")
        found = self.flood(*asked, "--likely=60")["likely"]["events"]
        rows = [e for e in found if e["what"] == "not_surviving"]
        self.assertEqual(len(rows), 1)
        leaks = self.flood(*asked, "--failed=D1")
        sound = self.flood(*asked)
        self.assertIn("not_surviving", [e["what"] for e in leaks["events"]])
        self.assertNotIn("not_surviving", [e["what"] for e in sound["events"]])
        # D1 decides; 60 draws of a half, four standard errors
        self.assertAlmostEqual(rows[0]["share"], 0.5, delta=4 * 0.5 / 60 ** 0.5)
        self.assertAlmostEqual(rows[0]["tenth"], next(e["t"] for e in leaks["events"] if e["what"] == "not_surviving"),
                               delta=1)
        self.assertEqual(rows[0]["share"], next(e["share"] for e in found if e["what"] == "lost"))
        # by what she is lost is of one flood, and as asked she is not
        self.assertEqual(sound["end"]["afloat"], True)
        words = " ".join(self.good("flood", "ship.xml", *asked, "--likely=60", *AS_OF).split())
        self.assertRegex(words, r" she is lost: in \d+ %")

    def test_draws_are_the_same_for_the_same_seed(self):
        words = ("--breach=aft:0.05", "--until=20min", "--likely=40")
        one = self.flood(*words)["likely"]
        self.assertEqual(self.flood(*words)["likely"], one)
        self.assertEqual((one["draws"], one["seed"]), (40, "1"))
        for event in one["events"]:
            self.assertTrue(0 < event["share"] <= 1)
            told = [event[k] for k in ("tenth", "median", "nine_tenths")]
            self.assertEqual(told, sorted(told, key=lambda t: (t is None, t)))


class FromElsewhere(Asking):
    """What is shut from elsewhere only as long as its power and its control are not under water; then by hand,
    beside it, where somebody can stand."""

    UNTIL = ("--until=40min", "--condition=open")

    def setUp(self):
        super().setUp()
        self.remote("")

    def remote(self, more, spaces=()):
        """D2 shut from elsewhere, its power in the after room, or as said; nobody walks in these spaces."""
        hangs = more or 'power="aft"'
        ship = THREE.replace('id="D2" name="Fore door"', f'id="D2" name="Fore door" remote="yes" {hangs}')
        for space in spaces:
            ship = ship.replace(f'<space id="{space}"', f'<space id="{space}" walkable="no"')
        self.ship(ship)

    def told(self, document, *what):
        return [(e["what"], e["closure"], e["space"]) for e in document["events"] if e["what"] in what]

    def when(self, document, what, space=None):
        return next(e["t"] for e in document["events"] if e["what"] == what and space in (None, e["space"]))

    def test_its_power_under_water_is_told_as_it_happens(self):
        for more, space in (('power="aft"', "aft"), ('control="aft"', "aft"), ('power="mid" control="fore"', "mid")):
            self.remote(more)
            found = self.flood(*HOLED, *self.UNTIL, "--every=10s")
            self.assertEqual(self.told(found, "remote_lost"), [("remote_lost", "D2", space)])
            t = self.when(found, "remote_lost")
            depths = next(s["depths"] for s in found["spaces"] if s["space"] == space)
            after = next(i for i, at in enumerate(found["times"]) if at > t)
            # half a metre over its lowest place, as of a pump
            self.assertLess(depths[after - 1], 0.5)
            self.assertGreater(depths[after], 0.5)
            words = " ".join(self.good("flood", "ship.xml", *HOLED, *self.UNTIL, *AS_OF).split())
            self.assertIn(f"D2 can no longer be shut from elsewhere: its power, or its control, is under water in {space}",
                          words)

    def test_it_is_shut_by_hand_where_somebody_can_stand(self):
        found = self.flood(*HOLED, *self.UNTIL, "--shut=D2@35min")
        lost = self.when(found, "remote_lost")
        self.assertLess(lost, 35 * 60)
        self.assertEqual(self.told(found, "shut", "shut_by_hand", "not_shut"), [("shut_by_hand", "D2", None)])
        words = " ".join(self.good("flood", "ship.xml", *HOLED, *self.UNTIL, "--shut=D2@35min", *AS_OF).split())
        self.assertIn("35 min D2 is shut by hand, beside it", words)
        self.assertIn("shut", [e["what"] for e in self.flood(*HOLED, *self.UNTIL, f"--shut=D2@{lost - 1}")["events"]])

    def test_it_stays_open_where_nobody_can(self):
        plain = self.flood(*HOLED, *self.UNTIL)
        self.remote("", ("mid", "fore"))
        found = self.flood(*HOLED, *self.UNTIL, "--shut=D2@35min")
        self.assertEqual(self.told(found, "shut", "shut_by_hand", "not_shut"), [("not_shut", "D2", "aft")])
        for key in ("draught", "heel", "trim"):
            self.assertAlmostEqual(found["end"][key], plain["end"][key], delta=1e-4)
        for a, b in zip(found["spaces"], plain["spaces"]):
            self.assertAlmostEqual(a["volumes"][-1], b["volumes"][-1], delta=1e-2)
        words = " ".join(self.good("flood", "ship.xml", *HOLED, *self.UNTIL, "--shut=D2@35min", *AS_OF).split())
        self.assertIn("35 min D2 is not shut: its power, or its control, is under water in aft, and nobody can "
                      "stand beside it", words)
        # while there is power it can
        self.assertEqual(self.told(self.flood(*HOLED, *self.UNTIL, "--shut=D2@60"), "shut", "not_shut"),
                         [("shut", "D2", None)])

    def test_water_up_to_the_waist_keeps_people_from_it(self):
        """It is worked from the middle room alone, whose floor there is a metre under water from a moment on that is
        told of it as a way out."""
        self.remote("")
        with open(self.folder / "ship.xml", encoding="utf-8") as file:
            ship = file.read()
        clear = '<clear x="20" y="0" z="0.2" width="0.8" height="1.8" lies="transverse"/>'
        self.ship(ship.replace(clear, clear + '<from side="mid"/>').replace('z="0.2"', 'z="1.4"', 1))
        found = self.flood(*HOLED, "--until=2h", "--condition=open")
        deep = next(e["t"] for e in found["events"]
                    if (e["what"], e["closure"], e["space"]) == ("impassable", "D2", "mid"))
        for t, what in ((self.when(found, "remote_lost") - 1, "shut"), (self.when(found, "remote_lost") + 1, "shut_by_hand"),
                        (deep - 1, "shut_by_hand"), (deep + 1, "not_shut")):
            told = self.flood(*HOLED, "--until=2h", "--condition=open", f"--shut=D2@{t}")
            self.assertEqual([e[0] for e in self.told(told, "shut", "shut_by_hand", "not_shut")], [what])

    def test_the_latest_moment_is_not_after_its_power_is_lost(self):
        self.ship(THREE.replace('z="0.2" width', 'z="1.4" width', 1).replace(
            'id="D2" name="Fore door"', 'id="D2" name="Fore door" remote="yes" power="mid"').replace(
            '<space id="mid"', '<space id="mid" walkable="no"').replace('<space id="fore"', '<space id="fore" walkable="no"'))
        asked = (*HOLED, "--until=1h", "--condition=open", "--by-when")
        found = self.flood(*asked)
        row = next(r for r in found["by_when"] if r["closure"] == "D2")
        lost, wet = self.when(found, "remote_lost"), self.when(found, "space_wet", "fore")
        self.assertLess(lost, wet - 10)
        # each flood finds the moment of its power to some hundredth of a second
        self.assertTrue(lost - 4 < row["dry"] <= lost + 0.05, (row, lost, wet))


    def test_a_door_that_gives_way_at_once_is_open_from_the_start(self):
        """The fore peak is open to the sea, and its door bears less than stands on it: she lies as with it open."""
        self.ship(BARGE.read_text(encoding="utf-8").replace('draft="1.5"', 'draft="0.7"').replace('<pump ', """
<closure id="F1" kind="door" between="hold-fwd fore-peak" rating="watertight" collapse-head="0.3">
<clear x="20" y="0" z="0.2" width="0.5" height="0.5" lies="transverse"/>
<test date="2026-05-12" method="chalk" result="pass"/></closure>
<passage id="P0" kind="duct" between="fore-peak sea">
<clear x="22" y="0" z="0.2" width="0.8" height="0.8" lies="deck"/></passage><pump """, 1))
        asked = ("--inflow=hold-aft:1m3/h", "--until=120", "--every=30")
        given, stood = self.flood(*asked), self.flood(*asked, "--open=F1")
        self.assertEqual([e["closure"] for e in given["events"] if e["what"] == "collapse"], ["F1"])
        for found in (given, stood):
            self.assertNotIn("not_surviving", [e["what"] for e in found["events"]])
        for one, other in zip(given["positions"], stood["positions"]):
            self.assertAlmostEqual(one["draught"], other["draught"], delta=1e-3)
            self.assertEqual(one["grade"], other["grade"])

    def test_what_happens_again_counts_once_in_each_draw(self):
        asked = ("--breach=aft:0.02@0.5", "--condition=open", "--shut=D1@60,D1@300", "--open=D1@200", "--until=10min")
        drawn = self.flood(*asked, "--likely=5")["likely"]["events"]
        self.assertTrue(all(0 < row["share"] <= 1 for row in drawn))
        self.assertEqual([(row["share"], row["median"]) for row in drawn if row["what"] == "shut"], [(1, 60)])

    def test_what_stands_open_in_the_end_is_told(self):
        for words, stand in ((("--open=D1",), "D1"), (("--open=D1@5",), "D1"), (("--shut=D1@2", "--open=D1@10"), "D1"),
                             (("--open=D1@2", "--shut=D1@10"), None), (("--shut=D1@10", "--open=D1"), None)):
            told = " ".join(self.good("flood", "ship.xml", "--breach=aft:0.02@0.5", "--condition=sea", *words, *AS_OF).split())
            found = re.search(r"Open in the water's way: (\w+) after", told)
            self.assertEqual(found and found[1], stand, words)


class Forms(Asking):
    """One answer, told as text, document, sheet and page."""

    ASKED = ("--breach", "aft:0.03@0.5", "--condition", "open", "--until", "20min", "--every", "2min")

    @staticmethod
    def seconds(text):
        """What a time in words stands for."""
        parts = re.findall(r"([\d.]+) (h|min|s)", text)
        return sum(float(n) * {"h": 3600, "min": 60, "s": 1}[unit] for n, unit in parts)

    def text(self, *words):
        return self.good("flood", "ship.xml", *words, *AS_OF)

    def test_the_sheet_is_the_document(self):
        found = self.flood(*self.ASKED)
        rows = list(csv.DictReader(io.StringIO(self.good("flood", "ship.xml", *self.ASKED, *AS_OF, "--format", "csv"))))
        self.assertEqual(len(rows), len(found["times"]))
        for i, (row, position) in enumerate(zip(rows, found["positions"])):
            for key, value in position.items():
                told = row[key] if key == "grade" else float(row[key])
                self.assertEqual(told, value, (key, i))
            for space in found["spaces"]:
                for one, many in (("level", "levels"), ("depth", "depths"), ("volume", "volumes")):
                    told, value = row[f"{space['space']} {one}"], space[many][i]
                    self.assertEqual(float(told) if told else None, value)
            total = sum(float(row[f"{s['space']} volume"]) for s in found["spaces"])
            self.assertAlmostEqual(total, position["water"], delta=1e-6)
            self.assertAlmostEqual(position["inflow"] - position["outflow"], total, delta=1e-6)

    def test_times_rise_by_what_was_asked(self):
        found = self.flood(*self.ASKED)
        self.assertEqual(found["times"][0], 0)
        self.assertEqual(found["times"], [120.0 * i for i in range(len(found["times"]))])
        self.assertEqual(found["times"][-1], found["ended"])
        self.assertEqual([p["t"] for p in found["positions"]], found["times"])
        for space in found["spaces"]:
            self.assertEqual({len(space[k]) for k in ("levels", "depths", "volumes")}, {len(found["times"])})

    def test_the_text_says_what_the_document_says(self):
        found, text = self.flood(*self.ASKED), self.text(*self.ASKED)
        told = text[text.index("\nWhen\n"):text.index("\nAfter ")]
        for event in found["events"]:
            if event["what"] in ("space_wet", "space_full"):
                name = {"aft": "Aft room", "mid": "Middle room", "fore": "Fore room"}[event["space"]]
                words = f"water in {event['space']} ({name})" if event["what"] == "space_wet" else \
                    f"{event['space']} ({name}) is full"
                line = next(line for line in told.splitlines() if line.endswith(words))
                self.assertAlmostEqual(self.seconds(line[:14]), event["t"], delta=0.51)
        others = {e["space"] for e in found["events"] if e["what"] == "space_wet"} - {"aft"}
        self.assertIn(f"Water gets to {len(others)} more space", text)
        end = text[text.index("\nAfter "):]
        for space in found["spaces"]:
            line = re.search(rf"(?m)^  {space['space']} +([\d.]+) +([\d.-]+) +([\d.]+) +(\d+)$", end)
            self.assertAlmostEqual(float(line[1]), space["depths"][-1], delta=0.0051)
            self.assertAlmostEqual(float(line[2]), space["levels"][-1], delta=0.0051)
            self.assertAlmostEqual(float(line[3]), space["volumes"][-1], delta=0.051)
        water = re.search(r"Water aboard: ([\d.]+) m3; ([\d.]+) m3 came in and ([\d.]+) m3", end.replace("\n    ", " "))
        for value, key in zip(water.groups(), ("water", "inflow", "outflow")):
            self.assertAlmostEqual(float(value), found["positions"][-1][key], delta=0.051)

    def test_what_can_still_be_done_is_told_most_pressing_first(self):
        asked = ("--breach=aft:0.02", "--condition=open", "--until=30min", "--by-when")
        found, text = self.flood(*asked), " ".join(self.text(*asked).split())
        times = []
        for row in found["by_when"]:
            helps = [t for t in (row["dry"], row["keeps_afloat"]) if t is not None]
            told = re.search(rf" {row['closure']}: shut (.*?)\. ", text)
            self.assertEqual(bool(helps), bool(told), row)
            if not helps:
                self.assertRegex(text, rf"or her fate: [^.]*\b{row['closure']}\b")
                continue
            times.append((min(helps), text.index(f" {row['closure']}: shut ")))
            self.assertEqual(f"keeps {row['keeps_dry']} (" in told[1], row["dry"] is not None)
            self.assertEqual("keeps her afloat" in told[1], row["keeps_afloat"] is not None)
            for time, words in zip(helps, re.findall(r"within ([^;]*?) it keeps|(at once) it keeps", told[1])):
                self.assertAlmostEqual(0 if words[1] else self.seconds(words[0]), time, delta=0.5)
        self.assertGreaterEqual(len(times), 2)
        self.assertEqual(sorted(times), sorted(times, key=lambda t: t[1]))

    def test_the_table_has_a_row_for_each_moment(self):
        found, text = self.flood(*self.ASKED), self.text(*self.ASKED)
        rows = re.findall(r"(?m)^ *((?:[\d.]+ (?:h|min|s) ?)+) +([\d.-]+) +([\d.-]+) +([\d.-]+) +([\d.-]+) +([\d.]+)$", text)
        self.assertEqual(len(rows), len(found["times"]))
        for row, position in zip(rows, found["positions"]):
            self.assertAlmostEqual(self.seconds(row[0]), position["t"], delta=0.5)
            for told, key, half in zip(row[1:], ("draught", "trim", "heel", "freeboard", "water"),
                                       (5e-4, 5e-4, 5e-3, 5e-4, 5e-2)):
                self.assertAlmostEqual(float(told), position[key], delta=half + 1e-9)
        self.assertNotIn("Water over the lowest place", self.text(*self.ASKED[:-2]))

    def test_no_line_is_longer_than_80_columns(self):
        for words in (self.ASKED, (*self.ASKED, "--by-when", "--likely", "5"),):
            for line in self.text(*words).splitlines():
                self.assertLessEqual(len(line), 80, line)
        for line in self.good("flood", DEMO, "--breach=engine:0.1", "--condition=port", "--every=10min",
                              *AS_OF).splitlines():
            self.assertLessEqual(len(line), 80, line)

    def test_the_caution_and_what_is_assumed_stand_once(self):
        text = self.text(*self.ASKED)
        self.assertEqual(text.count("Caution: "), 1)
        self.assertEqual(text.count("Assumed: "), 1)
        self.assertEqual(" ".join(text[text.index("Caution: ") + 9:].split()), self.flood(*self.ASKED)["caution"])

    def test_the_page_has_the_curves_of_the_document(self):
        found = self.flood(*self.ASKED)
        page = ET.fromstring(self.good("flood", "ship.xml", *self.ASKED, *AS_OF, "--format", "svg"))
        plots = [g for g in page.iter("{http://www.w3.org/2000/svg}g") if g.get("class") == "plot"]
        self.assertEqual([g.get("data-name") for g in plots],
                         ["Water over the lowest place of a space", "Heel, to port above 0", "Trim, by the bow above 0",
                          "Freeboard, least"])
        depths = {s["space"]: s["depths"] for s in found["spaces"] if max(s["depths"]) >= 0.01}
        curves = {p.get("data-name"): re.findall(r"[ML]([\d.-]+) ([\d.-]+)", p.get("d")) for p in plots[0] if p.get("data-name")}
        self.assertEqual(set(curves), set(depths))
        # heights on the page go with depths by one scale
        pairs = [(float(y), d) for name, points in curves.items() for (_, y), d in zip(points, depths[name])]
        (y0, d0), (y1, d1) = min(pairs, key=lambda p: p[1]), max(pairs, key=lambda p: p[1])
        for y, d in pairs:
            self.assertAlmostEqual(y, y0 + (d - d0) / (d1 - d0) * (y1 - y0), delta=0.02)
        words = " ".join(" ".join(page.itertext()).split())
        self.assertIn("No time here is one to wait for.", words)
        pictures = [s for s in page.iter("{http://www.w3.org/2000/svg}svg")][1:]
        self.assertTrue(1 <= len(pictures) <= 4)

    def test_an_axis_does_not_show_rounding(self):
        self.ship(WINGS)
        page = self.good("flood", "ship.xml", "--breach=port:0.2@1", *AS_OF, "--format", "svg")
        self.assertNotRegex(page, r">-?0\.0000000")

    def test_the_last_picture_shows_how_deep_it_is(self):
        found = self.flood(*self.ASKED)
        page = ET.fromstring(self.good("flood", "ship.xml", *self.ASKED, *AS_OF, "--format", "svg"))
        last = [s for s in page.iter("{http://www.w3.org/2000/svg}svg")][-1]
        filled = {e.get("data-space"): e.get("data-state") for e in last.iter() if e.get("data-space")}
        for space in found["spaces"]:
            depth = space["depths"][-1]
            self.assertEqual(filled[space["space"]], "plain" if depth < 0.01 else "shallow" if depth < 0.5 else "deep")

    def test_a_page_of_a_ship_that_is_lost_has_the_grave_events_and_no_curve_after(self):
        asked = ("--breach", "engine:0.5,motor:0.5,aux:0.5", "--condition", "port", "--every", "15s", *AS_OF)
        found = self.document("flood", DEMO, *asked)
        self.assertEqual(found["end"]["grade"], "lost")
        for space in found["spaces"]:
            self.assertEqual((space["levels"][-1], space["depths"][-1]), (None, None))
            self.assertNotIn(None, space["depths"][:-1])
        self.assertEqual({found["positions"][-1][k] for k in ("draught", "trim", "heel", "freeboard")}, {None})
        text = self.good("flood", DEMO, *asked)
        self.assertEqual(len(re.findall(r"(?m)^ +6 min [\d.]+ s +lost +[\d.]+$", text)), 1)
        page = ET.fromstring(self.good("flood", DEMO, *asked, "--format", "svg"))
        words = " ".join(" ".join(page.itertext()).split())
        for grave in ("she is lost: she capsizes", "the deck edge goes under", "she is afloat, but not surviving"):
            self.assertIn(grave, words)
        left = int(re.search(r"Not told here: (\d+) events", words)[1])
        told = [e for e in found["events"] if e["what"] not in ("closure_wet", "knee_deep")]
        self.assertEqual(left + 24, len(told))
        for curve in page.iter("{http://www.w3.org/2000/svg}path"):
            if curve.get("data-name") in ("heel", "trim", "freeboard"):
                self.assertEqual(len(re.findall("[ML]", curve.get("d"))), len(found["times"]) - 1)

    def test_a_long_list_of_foreign_names_is_told_whole(self):
        """Signs of two bytes and of three: cut by bytes they would break, and the page with them."""
        ids = ["\u00e9" * 20 + chr(0x3b1 + i % 24) + str(i) for i in range(30)] + ["\u8239" * 9 + str(i) for i in range(10)]
        spaces = "".join(f'<space id="{name}" name="{name}" shell="yes"><box x="{i} {i + 1}" y="-3 3" z="0 4"/></space>'
                         for i, name in enumerate(ids))
        self.ship(f'''<arrangement xmlns="{SHIP_NS}" name="Long">
<ship length="40" beam="6" depth="4" draft="1.5" kg="1.5"/>{spaces}</arrangement>''')
        asked = [word for name in ids for word in ("--breach", f"{name}:0.001")]
        page = ET.fromstring(self.good("flood", "ship.xml", *asked, *AS_OF, "--until", "60s", "--format", "svg"))
        title = " ".join(t for t in page.itertext() if t.strip())
        self.assertNotIn("\ufffd", title)
        head, holed, _ = " ".join(title.split()).partition(" holed")
        self.assertTrue(holed)
        for name in ids:
            self.assertIn(name, head)

    def test_a_name_cannot_break_the_page(self):
        self.ship(THREE.replace('name="Three"', 'name="A&lt;b&amp;&quot;c"').replace('"Middle room"', '"&lt;script&gt;"'))
        ET.fromstring(self.good("flood", "ship.xml", *self.ASKED, *AS_OF, "--format", "svg"))
        self.assertEqual(self.flood(*self.ASKED)["ship"], 'A<b&"c')


if __name__ == "__main__":
    unittest.main()
