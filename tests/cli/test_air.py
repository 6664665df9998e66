#!/usr/bin/python3
"""Air in time on the command line: what is refused and how, its forms against each other, and what it says
that shutting gains against asking again.

Needs Python 3.11, its standard library only.
Environment: COAMING, COAMING_ROOT. The ships here are invented.
"""

import csv
import io
import json
import math
import re
import sys
import unittest
import xml.etree.ElementTree as ET
from pathlib import Path

sys.dont_write_bytecode = True  # leaves no files behind
sys.path.insert(0, str(Path(__file__).resolve().parent))
from harness import AS_OF, BARGE, DEMO, INPUT, LOGGED, SMALL, USAGE, Case, slow  # noqa: E402

SVG = "{http://www.w3.org/2000/svg}"
FIRE = ("air", *LOGGED, *AS_OF, "--condition", "port", "--wind", "8@200", "--source", "engine:20g/s:co")


class Asked(Case):
    def told(self, *words):
        return json.loads(self.good(*words, "--format", "json"))


class Air(Asked):
    def test_what_is_wrong_is_told_in_one_line(self):
        self.ship(SMALL)
        for status, words, says in (
                (USAGE, ("--source", "fore:0g/s"), "above 0"), (USAGE, ("--source", "fore:2"), "one of the units m3/s"),
                (USAGE, ("--source", "fore"), "has no rate"), (USAGE, ("--source", "fore:2ppm"), "one of the units m3/s"),
                (USAGE, ("--source", "weather:2g/s"), "one of the units ppm"), (USAGE, ("--source", "fore:2g/s:tea"), "tea"),
                (USAGE, ("--source", "sea:2g/s"), "from the sea"), (INPUT, ("--source", "fort:2g/s"), "fort"),
                (USAGE, ("--source", "fore:1g/s:co", "--limit", "200"), "no unit"),
                (USAGE, ("--source", "fore:1g/s:co", "--limit", "co:0ppm"), "above 0"),
                (USAGE, ("--source", "fore:1g/s:co", "--limit", "co-idhl"), "co-idlh"),
                (USAGE, ("--source", "fore:1g/s:co", "--until", "inf"), "--until"),
                (USAGE, ("--source", "fore:1g/s:co", "--until", "1e9h"), "--until"),
                (USAGE, ("--source", "fore:1g/s:co", "--until", "700h", "--every", "1s"), "moment"),
                (USAGE, ("--wind", "-3"), "--wind"), (USAGE, ("--wind", "3@"), "--wind"),
                (USAGE, ("--inside", "fore:-300"), "--inside"), (INPUT, ("--inside", "fort:20"), "fort"),
                (USAGE, ("--drop", "500:400:60"), "--space"), (USAGE, ("--space", "mid"), "--drop"),
                (USAGE, ("--drop", "400:500:60", "--space", "mid"), "drop"),
                (USAGE, ("--drop", "500:400:0", "--space", "mid"), "drop"),
                (USAGE, ("--drop", "500:400:60", "--space", "mid", "--volume", "0"), "--volume"),
                (INPUT, ("--drop", "500:400:60", "--space", "midd"), "mid"),
                (USAGE, ("--format", "csv"), "--source"), (USAGE, ("--format", "svg"), "--source"),
                (USAGE, ("--drop", "500:400:60", "--space", "mid", "--format", "svg"), "--drop"),
                (USAGE, ("--by-when",), "--source"),
                (USAGE, ("--source", "fore:1g/s:co", "--until", "0"), "--until"),
                (USAGE, ("--source", "fore:1g/s:co", "--every", "0"), "--every"),
                (USAGE, ("--source", "fore:1g/s:co", "--limit", "co:ppm"), "co:ppm"),
                (USAGE, ("--source", "fore:-1g/s:co"), "above 0"), (USAGE, ("--source", "fore:nang/s"), "rate"),
                (USAGE, ("--source", "fore:infg/s"), "rate"), (USAGE, ("--outside", "1e9"), "--outside"),
                (USAGE, ("--overpressure", "0"), "--overpressure"), (USAGE, ("--activity", "asleep"), "asleep"),
                (USAGE, ("--drop", "500:400:60", "--space", "mid", "--stop", "f"), "--drop")):
            self.one_line(status, "air", "ship.xml", *words, says=(says,))

    def test_what_is_wrong_of_a_change_is_told_in_one_line(self):
        source = ("--source", "engine:1g/s:co")
        for status, words, says in (
                (USAGE, ("--shut", "D31@-5"), "time of 0 or more"), (USAGE, ("--shut", "D31@nan"), "time of 0 or more"),
                (USAGE, ("--open", "@5"), "ID@TIME"), (USAGE, ("--open", "D31@2h"), "after the end"),
                (USAGE, ("--fail", "D31@61", "--until", "1min"), "after the end"), (INPUT, ("--fail", "X@5"), "closure X"),
                (INPUT, ("--fan", "D31@5"), "fan D31"), (INPUT, ("--stop", "bilge-1"), "fan bilge-1"),
                (USAGE, ("--fan", ","), "names nothing"), (USAGE, ("--end", "engine"), "ID@TIME"),
                (USAGE, ("--end", "aux@5"), "aux"), (USAGE, ("--end", "weather@5"), "weather"),
                (INPUT, ("--end", "engin@5"), "engine"),
                (USAGE, ("--open", "D31@5", "--shut", "D31@5"), "at the same moment"),
                (USAGE, ("--fan", "fan-1@5", "--stop", "fan-1@5"), "at the same moment")):
            self.one_line(status, "air", DEMO, *source, *words, says=(says,))

    def test_a_change_at_the_start_is_as_seen(self):
        """And one at the end changes nothing; the order on the command line does not count."""
        for option in ("--open", "--shut", "--fail"):
            seen, timed = self.told(*FIRE, option, "D13"), self.told(*FIRE, option, "D13@0")
            for key in ("times", "spaces", "effects", "events", "links", "shelters", "shut_now", "later"):
                self.assertEqual(seen[key], timed[key], (option, key))
        plain, late = self.told(*FIRE), self.told(*FIRE, "--shut", "D31@1h", "--stop", "fan-1@3600")
        for key in ("times", "spaces", "effects", "events", "later", "shelters"):
            self.assertEqual(plain[key], late[key], key)
        words = ("--shut", "D31@2min", "--open", "D35@90", "--stop", "fan-1@5min", "--end", "engine@20min")
        turned = [w for at in range(len(words) - 2, -1, -2) for w in words[at:at + 2]]
        one = self.told(*FIRE, *words)
        self.assertEqual(one, self.told(*FIRE, *turned))
        self.assertEqual([c["t"] for c in one["changes"]], [90, 120, 300, 1200])
        self.assertEqual([s["t"] for s in one["later"]], [90, 120, 300, 1200])

    def test_until_a_change_all_is_as_without_it(self):
        plain, changed = self.told(*FIRE), self.told(*FIRE, "--shut", "D13@20min", "--end", "engine@20min")
        courses = {(r["space"], r["agent"]): r["concentration"] for r in changed["spaces"]}
        for row in plain["spaces"]:
            course = courses.get((row["space"], row["agent"]), [0] * len(plain["times"]))  # next to nothing: not told
            for t, is_, wanted in zip(plain["times"], course, row["concentration"]):
                if t <= 1200:
                    self.assertAlmostEqual(is_, wanted, delta=1e-6 * wanted + 1e-4)
        engine = courses["engine", "co"]
        at = changed["times"].index(1200)
        self.assertEqual(engine[at:], sorted(engine[at:], reverse=True))
        self.assertLess(engine[-1], 0.1 * engine[at])

    @slow
    def test_until_when_it_is_worth_shutting(self):
        """Shut at the moment that is told it is kept, a little later it is not: as asking again says."""
        asked = self.told(*FIRE, "--by-when")
        plain = self.told(*FIRE)
        self.assertEqual([r["closure"] for r in asked["shut_now"]], [r["closure"] for r in plain["shut_now"]])
        tried = 0
        for row, without in zip(asked["shut_now"], plain["shut_now"]):
            self.assertEqual((row["kept"], without["latest"]), (without["kept"], None))
            self.assertEqual(len(row["latest"]), len(row["kept"]))
            for space, latest in zip(row["kept"], row["latest"]):
                late = latest + max(1, 0.0205 * latest) + 0.01
                for t, kept in ((latest, True), (late, False)):
                    again = self.told(*FIRE, "--shut", f"{row['closure']}@{t!r}")
                    self.assertEqual(space not in {e["space"] for e in again["events"]}, kept, (row, space, t))
                tried += 1
        self.assertGreater(tried, 3)

    def test_a_shelter_whose_fan_stops(self):
        document = self.told("air", DEMO, *AS_OF, "--stop", "fan-1@5min", "--fan", "fan-1@10min")
        shelter, = document["shelters"]
        self.assertGreater(shelter["pressure"], 1)
        self.assertAlmostEqual(shelter["later"][0], 0, delta=1e-6)
        self.assertAlmostEqual(shelter["later"][1], shelter["pressure"], delta=1e-9)

    @slow
    def test_where_it_goes_instead_is_told(self):
        """What a door keeps out goes elsewhere: each of worse is tried, and nothing else is worse."""
        told = 0
        for more in ((), ("--by-when",)):
            asked = ("air", DEMO, *LOGGED[1:], "--source", "aux:0.05m3/s", "--limit", "1%", "--open", "D2,D3", *more, *AS_OF)
            document = self.told(*asked)
            text = " ".join(self.good(*asked).split())

            def firsts(found):
                first = {}
                for e in found["events"]:
                    first.setdefault(e["space"], e["t"])
                return first
            now = firsts(document)
            for row in document["shut_now"]:
                then = firsts(self.told(*asked, "--shut", f"{row['closure']}@0"))
                worse = {s for s, t in then.items() if s != "aux" and (s not in now or t < 0.99 * now[s] - 1)}
                self.assertEqual(set(row["worse"]), worse, row["closure"])
                told += bool(worse)
                for space in row["worse"][:1]:
                    self.assertIn(f"; BUT shut from the start, in {space}", text)
        self.assertGreater(told, 2)

    def test_a_shelter_beside_which_a_fan_starts_or_stops(self):
        """What stands against it later is what stands against it with the fan so from the start."""
        self.ship(BARGE.read_text(encoding="utf-8").replace(
            "<fan ", '<fan id="f2" supplies="after-peak" flow="0.2" pressure="400"/><fan ', 1))
        asked = ("air", "ship.xml", "--shut=H1", "--until=600", *AS_OF)

        def of(*words):
            return next(s for s in self.told(*asked, *words)["shelters"] if "machinery" in s["spaces"])
        runs, stopped = of()["pressure"], of("--stop=f2")["pressure"]
        self.assertLess(runs, -100)
        self.assertGreater(stopped, 10)
        self.assertAlmostEqual(of("--fan=f2@60")["later"][0], runs, delta=1e-6 * abs(runs))
        self.assertAlmostEqual(of("--stop=f2@60")["later"][0], stopped, delta=1e-6 * stopped)

    def test_the_sheet_is_the_document(self):
        document = self.told(*FIRE)
        rows = list(csv.DictReader(io.StringIO(self.good(*FIRE, "--format", "csv"))))
        courses = {(r["space"], r["agent"]): r for r in document["spaces"]}
        fed = {r["space"]: r["fed"] for r in document["effects"]}
        self.assertEqual(len(rows), len(courses) * len(document["times"]))
        for row in rows:
            at = document["times"].index(float(row["t"]))
            course = courses[row["space"], row["agent"]]
            self.assertEqual((float(row["concentration"]), float(row["dose"])),
                             (course["concentration"][at], course["dose"][at]))
            self.assertEqual(float(row["fed"]), fed[row["space"]][at])

    def test_what_shutting_gains_is_what_asking_again_says(self):
        """And with it shut nothing else is told of the rest than by asking."""
        asked = self.told(*FIRE)
        limits = {}
        for event in asked["events"]:
            limits.setdefault(event["space"], event["t"])
        self.assertGreater(len(asked["shut_now"]), 2)
        tight = "".join(e for e in DEMO.read_text().split("<closure")[1:] if 'rating="nontight"' not in e.split(">")[0])
        tried = 0
        for row in asked["shut_now"]:
            if f'id="{row["closure"]}"' not in tight:
                continue  # a nontight one is not asked for: shut, it only slows
            tried += 1
            again = {}
            for event in self.told(*FIRE, "--shut", row["closure"])["events"]:
                again.setdefault(event["space"], event["t"])
            self.assertEqual(row["before"], limits[row["space"]])
            self.assertEqual(row["after"], again.get(row["space"]))
            self.assertEqual(set(row["kept"]), set(limits) - set(again))
        self.assertGreater(tried, 1)

    def test_events_are_where_the_series_cross(self):
        document = self.told(*FIRE, "--limit", "co:700ppm", "--every", "30s")
        courses = {r["space"]: r["concentration"] for r in document["spaces"]}
        self.assertGreater(len(document["events"]), 5)
        for event in document["events"]:
            course = courses[event["space"]]
            at = next(i for i, t in enumerate(document["times"]) if t >= event["t"])
            self.assertLessEqual(course[at - 1], 700 * (1 + 1e-6))
            self.assertGreaterEqual(course[at], 700 * (1 - 1e-6))
        for space in set(courses) - {e["space"] for e in document["events"]}:
            self.assertLess(max(courses[space]), 700 * (1 + 1e-6))

    def test_flows_of_a_space_are_in_balance(self):
        """kg/s by links are those of the document, told in air of 1.2 kg/m3, and by the fan."""
        document = self.told("air", *LOGGED, *AS_OF, "--condition", "sea", "--wind", "12@70")
        net, size = {}, {}
        for row in document["links"]:
            for place, sign in ((row["from"], 1), (row["to"], -1)):
                net[place] = net.get(place, 0) + sign * (row["forth"] - row["back"])
                size[place] = size.get(place, 0) + row["forth"] + row["back"]
        fan = {s: shelter["fan_flow"] for shelter in document["shelters"] for s in shelter["spaces"]}
        density = 101325 / 287.05 / 293.15
        for space, lost in net.items():
            if space != "weather":
                self.assertLess(abs(lost - fan.get(space, 0) * density / 1.2), 1e-9 + 1e-7 * size[space], space)
        self.assertTrue(fan)

    def test_a_drop_by_hand(self):
        """Derived: sqrt(p) falls evenly, by c P t / 2V."""
        document = self.told("air", BARGE, *AS_OF, "--drop", "500:350:600", "--space", "machinery", "--volume", "80")
        c = 2 * 80 * (math.sqrt(500) - math.sqrt(350)) / (101325 * 600)
        self.assertAlmostEqual(document["c"] / c, 1, 12)
        self.assertAlmostEqual(document["area"] / (c / 0.83), 1, 12)
        self.assertEqual((document["volume"], document["n"]), (80, 0.5))

    def test_every_limit_that_is_told_says_who_published_it(self):
        text = self.good(*FIRE)
        for event in self.told(*FIRE)["events"]:
            self.assertTrue(event["published"])
            self.assertIn(f"{event['limit']}: ", text)
        self.assertIn("Of smoke no limit is published here", self.good("air", DEMO, *AS_OF, "--source", "aux:0.01m3/s"))


class Page(Asked):
    """The plots and the plans show what the document says."""

    BOUNDS = (("thin", 20), ("thick", 200), ("worst", 1200))  # ppm: a tenth of the lowest limit of CO, that, the highest

    def page(self, *words):
        return ET.fromstring(self.good(*words, "--format", "svg"))

    def plots(self, page):
        return {g.get("data-name"): g for g in page.iter(SVG + "g") if g.get("class") == "plot"}

    def axis(self, plot, decades):
        """(scale, from) of the values: heights are from + scale * value, or its logarithm."""
        marks = [(float(t.get("y")) - 3, float(t.text)) for g in plot.findall(SVG + "g") for t in g.findall(SVG + "text")
                 if t.get("text-anchor") == "end"]
        (y0, a), (y1, b) = marks[0], marks[-1]
        a, b = (math.log10(a), math.log10(b)) if decades else (a, b)
        return (y1 - y0) / (b - a), y0 - (y1 - y0) / (b - a) * a

    def curves(self, plot):
        return {p.get("data-name"): [tuple(map(float, q)) for q in re.findall(r"[ML]([\d.-]+) ([\d.-]+)", p.get("d"))]
                for p in plot.findall(SVG + "path") if p.get("data-name") and p.get("class") != "level"}

    def test_curves_limits_and_crossings_are_those_of_the_document(self):
        told, plot = self.told(*FIRE), self.plots(self.page(*FIRE))["CO in the air"]
        scale, zero = self.axis(plot, True)
        levels = {p.get("data-name"): float(re.match(r"M[\d.]+ ([\d.]+)H", p.get("d"))[1])
                  for p in plot.findall(SVG + "path") if p.get("class") == "level"}
        self.assertEqual(set(levels), {"co-ceiling, 200 ppm", "co-idlh, 1200 ppm"})
        for name, y in levels.items():
            self.assertAlmostEqual(y, zero + scale * math.log10(float(name.split()[1])), delta=0.02)
        most = {r["space"]: max(r["concentration"]) for r in told["spaces"]}
        curves = self.curves(plot)
        self.assertEqual(list(curves), sorted(most, key=most.get, reverse=True)[:8])
        last = max(x for points in curves.values() for x, _ in points)
        for course in told["spaces"]:
            points = curves.get(course["space"])
            if points:
                self.assertAlmostEqual(points[-1][1], zero + scale * math.log10(course["concentration"][-1]), delta=0.02)
                self.assertEqual(points[-1][0], last)
        first = min(float(re.match(r"M([\d.]+)", p.get("d"))[1]) for p in plot.findall(SVG + "path") if p.get("class") == "level")
        dots = sorted((float(c.get("cx")), float(c.get("cy"))) for c in plot.iter(SVG + "circle"))
        passed = [e for e in told["events"] if e["limit"] in ("co-ceiling", "co-idlh") and e["space"] in curves]
        wanted = sorted((first + e["t"] / told["times"][-1] * (last - first),
                         levels["co-ceiling, 200 ppm" if e["limit"] == "co-ceiling" else "co-idlh, 1200 ppm"])
                        for e in passed)
        self.assertGreater(len(dots), 8)
        self.assertEqual(len(dots), len(wanted))
        for dot, where in zip(dots, wanted):
            self.assertAlmostEqual(dot[0], where[0], delta=0.02)
            self.assertAlmostEqual(dot[1], where[1], delta=0.02)
            self.assertTrue(any(math.dist(dot, p) < 0.03 for points in curves.values() for p in points))

    def test_doses_have_plots_of_their_own(self):
        told, plots = self.told(*FIRE), self.plots(self.page(*FIRE))
        self.assertEqual([n.split(": further")[0] for n in plots],
                         ["CO in the air", "CO in the air", "CO taken in from the start", "Dose that people have taken up (FED)"])
        scale, zero = self.axis(plots["CO taken in from the start"], True)
        dose = {r["space"]: r["dose"][-1] for r in told["spaces"]}
        for space, points in self.curves(plots["CO taken in from the start"]).items():
            self.assertAlmostEqual(points[-1][1], zero + scale * math.log10(dose[space]), delta=0.02)
        scale, zero = self.axis(plots["Dose that people have taken up (FED)"], False)
        fed = {r["space"]: r["fed"][-1] for r in told["effects"]}
        for space, points in self.curves(plots["Dose that people have taken up (FED)"]).items():
            self.assertAlmostEqual(points[-1][1], zero + scale * min(fed[space], 1.5), delta=0.02)

    def test_plans_are_filled_by_what_is_in_the_air_then(self):
        told, page = self.told(*FIRE), self.page(*FIRE)
        pictures = list(page.iter(SVG + "svg"))[1:]
        self.assertTrue(2 <= len(pictures) <= 4)
        filled = {e.get("data-space"): e.get("data-state") for e in pictures[-1].iter() if e.get("data-space")}
        end = {r["space"]: r["concentration"][-1] for r in told["spaces"]}
        for space, state in filled.items():
            over = [name for name, least in self.BOUNDS if end.get(space, 0) >= least]
            self.assertEqual(state, over[-1] if over else "plain", space)
        self.assertEqual(set(filled.values()), {"plain", "thin", "thick", "worst"})
        words = " ".join(" ".join(page.itertext()).split())
        for _, least in self.BOUNDS:
            self.assertIn(f"CO {least} ppm or more", words)

    def test_the_page_says_what_the_text_says(self):
        words = " ".join(" ".join(self.page(*FIRE).itertext()).split())
        text = " ".join(self.good(*FIRE).split())
        spaces = re.findall(r"[a-z-]+: co-ceiling after [^:]*?\)", text)
        gains = re.findall(r"\w+(?: \(not tight\))?: (?:no limit is passed by the end|shut from the start, the first limit) "
                           r"in [a-z-]+", text)
        self.assertTrue(len(spaces) > 4 and len(gains) > 2)
        for part in spaces + gains:
            self.assertIn(part, words)
        self.assertEqual(words.count("Test the air before anybody goes in."), 1)

    def test_a_limit_of_smoke_and_little_of_it(self):
        """Evenly divided where what is shown spans little; and what nobody would see is not drawn."""
        self.ship(SMALL)
        asked = ("air", "ship.xml", *AS_OF, "--source", "mid:1l/s", "--until", "10s", "--limit", "30%")
        plots = self.plots(self.page(*asked))
        self.assertEqual(self.curves(plots["Smoke in the air"]) if plots else {}, {})
        words = " ".join(" ".join(self.page(*asked).itertext()).split())
        self.assertIn("No space gets 3 % of smoke: no plan is drawn.", words)
        self.assertIn("No limit that was asked for", words)

    def test_names_cannot_break_the_page(self):
        self.ship(SMALL.replace('name="Mid"', 'name="&lt;b&gt;&amp;&quot;"').replace('name="Small"', 'name="A&lt;b&amp;&quot;c"'))
        page = self.page("air", "ship.xml", *AS_OF, "--source", "mid:5g/s:co")
        self.assertIn('A<b&"c', " ".join(page.itertext()))
        self.assertIn('<b>&"', " ".join(page.itertext()))


if __name__ == "__main__":
    unittest.main()
