#!/usr/bin/python3
"""What is seen of closures now (--open, --shut, --failed), by every command that asks what passes.

Of random ships each answer must be that of the same ship written anew: with a condition that shuts
what is seen shut and not what is seen open, and with a failed test and leak-probability 1 of what is
seen to have failed. Then the heads of all pages, what is refused, and parts of split studies.

Needs Python 3.11, its standard library only.
Environment: COAMING, COAMING_ROOT; COAMING_SEEN_SHIPS, how many ships. The ships here are invented.
"""

import json
import os
import random
import re
import sys
import unittest
from pathlib import Path

sys.dont_write_bytecode = True  # leaves no files behind
sys.path.insert(0, str(Path(__file__).resolve().parent))
from harness import AS_OF, DEMO, DONE, FOUND, INPUT, SHIP_NS, USAGE, Case, log  # noqa: E402

SHIPS = int(os.environ.get("COAMING_SEEN_SHIPS", "6"))
KINDS = ("open", "shut", "failed")
CONDITIONS = ("harbour", "passage")
ASKS = {"boundary": ("s0",), "expose": ("--all",), "rank": ("--level", "still"),
        "plan": ("--hours", "9", "--level", "still"),
        "export": (), "float": ("--flooded", "s0", "--spread"), "hold": ("--source", "s0"), "survival": ()}
OTHERWISE = {**ASKS, "rank": (), "plan": ("--hours", "9", "--measure", "people"),
             "hold": ("--source", "weather", "--protect", "s1"), "float": ("--flooded", "s1,s2")}  # every other ship
# What is seen shut is known to be shut, what the condition shuts is not: casualty tells them apart.
EVERY = {**ASKS, "casualty": ("--source", "s0"), "draw": (), "report": ()}


def random_ship(rng):
    """Closures and what is seen of them, as plain data; geometry of two rows of boxes in a box."""
    closures = []
    bays = rng.randint(2, 3)
    spaces = [(bay, deck) for bay in range(bays) for deck in range(2)]
    places = [(f"s{i}", f"s{j}") for i in range(len(spaces)) for j in range(i)
              if abs(spaces[i][0] - spaces[j][0]) + abs(spaces[i][1] - spaces[j][1]) == 1]
    places += [(f"s{i}", rng.choice(("weather", "sea"))) for i in range(len(spaces)) if rng.random() < 0.4]
    for number, between in enumerate(places):
        rating = rng.choices(("watertight", "weathertight", "airtight", "nontight"), (6, 2, 1, 1))[0]
        shut_in = rng.choice((CONDITIONS, CONDITIONS, ("harbour",), ("passage",), ()))
        tests = [(f"2026-{rng.randint(1, 9):02}-1{rng.randint(0, 9)}", rng.choice(("chalk", "visual", "hose")),
                  rng.choice(("pass", "pass", "fail"))) for _ in range(rng.randint(0, 2))]
        closures.append({"id": f"C{number}", "between": between, "rating": rating, "shut_in": shut_in,
                         "tests": sorted(tests), "z": round(rng.uniform(0.2, 5.5), 2), "seen": set()})
    for closure in closures:
        may_be_shut = closure["rating"] != "nontight"
        if may_be_shut and not closure["shut_in"] and rng.random() < 0.5:
            closure["seen"].add("shut")  # which no condition does
        elif rng.random() < 0.3:
            closure["seen"].add(rng.choice(("open", "shut") if may_be_shut else ("open",)))
        if rng.random() < 0.2:
            closure["seen"].add("failed")
    return spaces, bays, closures


def written(ship, anew=False):
    """The file; anew: with what is seen as a condition of its own, tests and chances."""
    spaces, bays, closures = ship
    long = 42 / bays
    lines = [f'<arrangement xmlns="{SHIP_NS}" name="Random">',
             '<ship length="42" beam="10" depth="7" draft="2.6" kg="2.4"/>',
             *(f'<condition id="{name}"/>' for name in (*CONDITIONS, *(["seen"] if anew else [])))]
    for number, (bay, deck) in enumerate(spaces):
        vital = ' vital="yes"' if number == len(spaces) - 1 else ""
        lines.append(f'<space id="s{number}" name="S{number}" worth="{number + 1}" people="{number % 3}" shell="yes"'
                     f'{vital}><box x="{bay * long} {(bay + 1) * long}" y="-5 5" z="{3.5 * deck} {3.5 * deck + 3.5}"'
                     "/></space>")
    for c in closures:
        shut_in, given = list(c["shut_in"]), ""
        if anew:
            shut = bool(shut_in) if anew == "none" else anew in shut_in
            if "shut" in c["seen"] or (shut and "open" not in c["seen"]):
                shut_in.append("seen")
            if "failed" in c["seen"]:
                given = ' leak-probability="1"'
        tests = [*c["tests"]] + ([("2026-11-10", "air", "fail")] if given else [])
        lines += [f'<closure id="{c["id"]}" kind="door" between="{" ".join(c["between"])}" rating="{c["rating"]}" '
                  f'hours="2"{given} shut-in="{" ".join(shut_in)}"><clear x="{long}" y="0" z="{c["z"]}" width="0.8" '
                  'height="1.6" lies="transverse"/>',
                  *(f'<test date="{date}" method="{method}" result="{result}"/>' for date, method, result in tests),
                  "</closure>"]
    return "\n".join([*lines, "</arrangement>\n"])


def options(closures):
    return [word for kind in KINDS if any(kind in c["seen"] for c in closures)
            for word in (f"--{kind}", ",".join(c["id"] for c in closures if kind in c["seen"]))]


STANDING = ("result_date", "result_method", "looked_at", "tested", "age_assumed", "steps")
ONLY_IN_FILE = ("shut_in", "events", "leak_probability")  # of the closures of export


def stripped(value, failed):
    """Without the date of the failed test, which is none where it is seen, and what the file alone says."""
    if isinstance(value, list):
        return [stripped(item, failed) for item in value]
    if not isinstance(value, dict):
        return value
    named = value.get("closure", value.get("link", value.get("id")))
    return {key: stripped(item, failed) for key, item in value.items()
            if not (named in failed and key in STANDING) and not ("shut_in" in value and key in ONLY_IN_FILE)}


class AsTheShipWrittenAnew(Case):
    asks = ASKS

    def told(self, command, name, *words):
        done = self.run_it(command, name, *AS_OF, *self.asks[command], "--format", "json", *words)
        self.assertIn(done.returncode, (DONE, FOUND) if command in ("boundary", "hold") else (DONE,), done.stderr)
        return json.loads(done.stdout)

    def compare(self, command, ship, condition):
        closures = ship[2]
        failed = {c["id"] for c in closures if "failed" in c["seen"]}
        self.write("ship.xml", written(ship))
        self.write("anew.xml", written(ship, condition or "none"))
        by_option = self.told(command, "ship.xml", *options(closures), *(["--condition", condition] if condition else []))
        by_file = self.told(command, "anew.xml", "--condition", "seen")
        for kind in KINDS:
            seen = [c["id"] for c in closures if kind in c["seen"]]
            self.assertEqual(by_option.pop(kind, []), seen)
            self.assertNotIn(kind, by_file)
        self.assertEqual((by_option.pop("condition"), by_file.pop("condition")), (condition, "seen"))
        by_option.pop("conditions", None)
        by_file.pop("conditions", None)
        self.assertEqual(stripped(by_option, failed), stripped(by_file, failed), (command, closures))

    def test_every_command_answers_as_of_the_ship_written_anew(self):
        differs = {command: 0 for command in ASKS}
        for seed in range(SHIPS):
            rng = random.Random(seed)
            ship = random_ship(rng)
            self.asks = OTHERWISE if seed % 2 else ASKS
            condition = rng.choice((None, *CONDITIONS))
            for command in ASKS:
                with self.subTest(seed=seed, command=command):
                    self.compare(command, ship, condition)
                    unseen = self.told(command, "ship.xml", *(["--condition", condition] if condition else []))
                    seen = self.told(command, "ship.xml", *options(ship[2]),
                                     *(["--condition", condition] if condition else []))
                    for kind in KINDS:
                        seen.pop(kind, None)
                    differs[command] += unseen != seen
        for command, count in differs.items():  # else nothing was compared
            self.assertGreater(count, SHIPS // 4, command)


def named(number, between, shut_in=CONDITIONS, tests=(), rating="watertight"):
    return {"id": f"C{number}", "between": between, "rating": rating, "shut_in": shut_in, "tests": tests,
            "z": 0.5, "seen": set()}


class Heads(Case):
    """C1 has passed, C2 was never tested, C4 is shut in no condition."""

    SEEN = ("--open", "C3,C2", "--shut", "C4", "--failed", "C1", "--failed", "C2")
    SAID = "As seen: C2, C3 open; C4 shut; C1, C2 failed."
    CLOSURES = [named(1, ("s0", "s1"), tests=[("2026-03-01", "chalk", "pass")]), named(2, ("s1", "s3")),
                named(3, ("s0", "s2"), ()), named(4, ("s2", "s3"), ()), named(5, ("s3", "weather")),
                *(named(number, ("s1", "weather")) for number in range(6, 46))]

    def setUp(self):
        super().setUp()
        self.ship(written(([(0, 0), (0, 1), (1, 0), (1, 1)], 2, self.CLOSURES)))

    def run_seen(self, command, *words):
        return self.run_it(command, "ship.xml", *AS_OF, *EVERY[command], *words)

    def text(self, command, *seen):
        done = self.run_seen(command, *seen)
        self.assertIn(done.returncode, (DONE, FOUND), done.stderr)
        return done.stdout.decode()

    def test_every_page_says_once_what_is_seen(self):
        for command in EVERY:
            if command in ("export", "draw", "report"):
                continue
            told = self.text(command, *self.SEEN)
            self.assertEqual(" ".join(told.split()).count(self.SAID), 1, command)
            self.assertEqual(told.count("As seen"), 1, command)
            self.assertNotIn("As seen", self.text(command), command)
        told = self.text("rank", *self.SEEN, "--explain", "C2")
        self.assertEqual(told.count(self.SAID), 1)
        self.assertIn("2026-11-10: 100 %, failed (as seen)", told)

    def test_drawing_and_report_say_it_in_their_heads(self):
        words = " ".join(re.sub("<[^>]*>", " ", self.text("draw", *self.SEEN)).split())
        said = self.SAID[9:-1]
        self.assertEqual(words.count(f"as seen: {said}"), 1)
        self.assertIn("FAILED (as seen); open (as seen)", words)
        self.assertIn("not shut, by condition or as seen", words)
        report = self.text("report", *self.SEEN)
        self.assertEqual(report.count(f"<dt>As seen</dt><dd><bdi>{said}</bdi></dd>"), 1)
        self.assertEqual(report.lower().count("as seen: "), 0)
        self.assertIn("Failed as seen, and where is not noted", report)
        for command in ("draw", "report"):
            self.assertNotIn("as seen", self.text(command).lower().replace("unless named as seen", ""))

    def test_what_is_seen_to_have_failed_tries_a_repair(self):
        self.write("log.xml", log('<repair closure="C1" date="2026-04-01" action="dogs"/>', ship="Random"))
        for command in ("expose", "rank"):
            self.assertIn("not tested since", " ".join(self.text(command, "--log", "log.xml").split()))
            told = " ".join(self.text(command, "--log", "log.xml", "--failed", "C1").split())
            self.assertNotIn("not tested since", told)

    def test_a_report_of_two_days_says_on_which_it_counts(self):
        said = "What is seen counts on the day of this report alone."
        report = self.text("report", "--since", "2026-02-01", *self.SEEN)
        self.assertEqual(report.count(said), 1)
        self.assertNotIn(said, self.text("report", "--since", "2026-02-01"))
        self.assertIn('C1</bdi></th><td><span class="untested">untested</span></td>'
                      '<td><span class="fail">FAILED (as seen)</span></td>', report)

    def test_a_long_head_is_wrapped(self):
        told = self.text("expose", "--failed", ",".join(f"C{i}" for i in range(1, 46)))
        self.assertIn("C44, C45 failed.", " ".join(told.split()))
        self.assertLessEqual(max(map(len, told.splitlines())), 80)

    def test_documents_and_graphs_list_it(self):
        seen = {"open": ["C2", "C3"], "shut": ["C4"], "failed": ["C1", "C2"]}
        for command in ASKS:
            document = json.loads(self.run_seen(command, *self.SEEN, "--format", "json").stdout)
            self.assertEqual({kind: document.get(kind) for kind in KINDS}, seen, command)
            unseen = json.loads(self.run_seen(command, "--format", "json").stdout)
            self.assertFalse(set(KINDS) & set(unseen), command)
        graph = self.text("export", *self.SEEN, "--format", "dot")
        for words in ('open="C2 C3"', 'shut="C4"', 'failed="C1 C2"'):
            self.assertIn(words, graph)

    def test_what_is_seen_to_have_failed_has_no_date(self):
        rows = json.loads(self.run_seen("rank", "--failed", "C1", "--format", "json").stdout)["closures"]
        [row] = [row for row in rows if row["closure"] == "C1"]
        self.assertEqual((row["result"], row["result_date"], row["result_method"], row["leak_probability"]),
                         ("fail", None, None, 1))
        self.assertRegex(self.text("rank", "--failed", "C1"), r"C1 .* FAILED \(as seen\) ")


class Refused(Case):
    def test_what_cannot_be_seen_is_refused_with_the_reason(self):
        for words, status, says in (
                (("--shut", "P1"), USAGE, "passage P1: nothing can shut a passage"),
                (("--open", "P1"), USAGE, "passage P1: a passage is always open"),
                (("--failed", "P1"), USAGE, "passage P1: a passage is always open"),
                (("--shut", "D5"), USAGE, "closure D5: is rated nontight"),
                (("--open", "D1", "--shut", "D2,D1"), USAGE, "closure D1: cannot be seen both open and shut"),
                (("--failed", ","), USAGE, "--failed names no closure"),
                (("--open", "D1", "--failed", "D99"), INPUT, "closure D99: there is none; the nearest is D"),
                (("--shut", "aux"), INPUT, "closure aux: that is a space")):
            for command in ("rank", "draw"):
                self.one_line(status, command, DEMO, *words, says=[says])
        self.one_line(USAGE, "export", DEMO, "--format", "csv", "--table", "closures", "--open", "D1",
                      says=["do not go with --table"])
        self.one_line(USAGE, "due", DEMO, "--open", "D1", says=["has no option '--open'"])

    def test_what_fits_is_taken(self):
        for words in (("--failed", "D5"), ("--open", "D5"), ("--shut", "D1", "--failed", "D1"),
                      ("--open", "D1", "--failed", "D1"), ("--open", "D1,D1", "--open", ",D1,")):
            self.good("expose", DEMO, "D2", *words)


class Shares(Case):
    def told(self, *words):
        done = self.run_it(*words)
        self.assertEqual(done.returncode, DONE, done.stderr)
        return done.stdout

    def test_parts_go_together_only_with_the_same_seen(self):
        self.write("ship.xml", written(random_ship(random.Random(3))))
        for command, more, samples in (("rank", ("--level", "still"), ("--samples", "4096")), ("survival", (), ())):
            for seen in (("--failed", "C1", "--open", "C0"), ()):
                asked = (command, "ship.xml", *AS_OF, *more, *seen)
                for share in "12":
                    self.told(*asked, *samples, "--share", f"{share}/2", "-o", f"{command}{share}")
                parts = (f"{command}1", f"{command}2")
                self.assertEqual(self.told(*asked, "--merge", *parts), self.told(*asked, *samples))
                for other in (("--failed", "C1"), ("--open", "C0"), ("--failed", "C1", "--open", "C0", "--shut", "C2"),
                              () if seen else ("--failed", "C1", "--open", "C0")):
                    done = self.run_it(command, "ship.xml", *AS_OF, *more, *other, "--merge", *parts)
                    self.assertEqual((done.returncode, done.stdout), (INPUT, b""))
                    self.assertIn("or with other options", done.stderr.decode())


if __name__ == "__main__":
    unittest.main()
