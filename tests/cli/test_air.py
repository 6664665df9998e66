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
import sys
import unittest
from pathlib import Path

sys.dont_write_bytecode = True  # leaves no files behind
sys.path.insert(0, str(Path(__file__).resolve().parent))
from harness import AS_OF, BARGE, DEMO, INPUT, LOGGED, SMALL, USAGE, Case  # noqa: E402

FIRE = ("air", *LOGGED, *AS_OF, "--condition", "port", "--wind", "8@200", "--source", "engine:20g/s:co")


class Air(Case):
    def told(self, *words):
        return json.loads(self.good(*words, "--format", "json"))

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
                (USAGE, ("--format", "csv"), "--source")):
            self.one_line(status, "air", "ship.xml", *words, says=(says,))

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


if __name__ == "__main__":
    unittest.main()
