#!/usr/bin/python3
"""A casualty that is followed: after each report the answer is what casualty says when it is asked with the
options, whatever the order of the reports; what is no report changes nothing; and killed and begun again it
says the same.

Which reports count is worked out here from the manual page coaming-casualty(1), "What is reported", alone.

Needs Python 3.11, its standard library only.
Environment: COAMING, COAMING_ROOT. The ships here are invented, the random ones from fixed seeds.
"""

import json
import os
import random
import signal
import subprocess
import sys
import threading
import unittest
from pathlib import Path

sys.dont_write_bytecode = True  # leaves no files behind
sys.path.insert(0, str(Path(__file__).resolve().parent))
from harness import (AS_OF, BARGE, COAMING, DONE, INPUT, LOGGED, MACHINE, SMALL, USAGE, WHOLE, Case,  # noqa: E402
                     surroundings)
from test_casualty import Ship  # noqa: E402

OF_CLOSURES = {"open": {"position": "open"}, "shut": {"position": "shut"}, "failed": {"soundness": "failed"},
               "holds": {"position": "shut", "soundness": "holds"},
               "as_recorded": {"position": "as recorded", "soundness": "as recorded"}}
OF_PLACES = {"water": ("water", True), "dry": ("water", False), "air": ("air", True), "clean": ("air", False)}
BEST_FIRST = ("holds", "shut", False, "as recorded", "open", "failed", True)
OWN = ("line", "t", "counts", "format", "sources", "water", "air")
NONE_OF_THESE = (
    b"", b"{", b"[]", b'"open"', b"null", b"{}", b'{"t": 1}', b'{"open": "D1"} {"open": "D1"}', b'{"open": "D1"}}',
    b'{"open": "D1",}', b"{'open': 'D1'}", b'{"open": "D1", "open": "D1"}', b'{"t": 1, "t": 1, "open": "D1"}',
    b'{"open": "D1", "shut": "D1"}', b'{"opens": "D1"}', b'{"Open": "D1"}', b'{"open": "D99"}', b'{"open": "d1"}',
    b'{"open": "fore"}', b'{"water": "D1"}', b'{"water": "nowhere"}', b'{"open": "P1"}', b'{"shut": "P1"}',
    b'{"failed": "P1"}', b'{"holds": "P1"}', b'{"as_recorded": "P1"}', b'{"shut": "N1"}', b'{"holds": "N1"}',
    b'{"open": 1}', b'{"open": null}', b'{"open": ["D1"]}', b'{"open": {"id": "D1"}}', b'{"open": ""}',
    b'{"t": "1", "open": "D1"}', b'{"t": null, "open": "D1"}', b'{"t": true, "open": "D1"}',
    b'{"t": 01, "open": "D1"}', b'{"t": 1., "open": "D1"}', b'{"t": .5, "open": "D1"}', b'{"t": +1, "open": "D1"}',
    b'{"t": 1e999, "open": "D1"}', b'{"t": NaN, "open": "D1"}', b'{"t": 0x10, "open": "D1"}',
    b'{"t": ' + b"1" * 500 + b', "open": "D1"}', b'{"open": "D1\x00"}', b'{"open": "D1"}\x00', b"\x00",
    b'\x00{"open": "D1"}', b'{"open": "D1\\u0000"}', b'{"open": "D1\\u0000x"}', b'{"open": "\\ud800"}',
    b'{"open": "\\udc00\\ud800"}', b'{"open": "\\x44"}', b'{"open": "D1\xff"}', b'{"open": "\xc0\x80"}',
    b'{"open": "D1\x01"}', b'{"open": "D1\t"}', b'\x01{"open": "D1"}', b'\xef\xbb\xbf{"open": "D1"}',
    b"[" * 4000, b'{"open": ' * 400, b'{"a": ' * 5000, b'{"open": "' + b"D" * 1000000 + b'"}',
    b'{"open": "D1"' + b" " * 4096 + b"}", b'{"water": "Sea"}', b'{"\\u0000open": "D1"}', b"\xff\xfe")


def told(answer):
    """How she stands, without which report was the last."""
    return {key: value for key, value in answer.items() if key not in ("line", "t", "counts")}


class Reported:
    """What counts of a set of reports, and of the options before them."""

    def __init__(self, seen, sources):
        self.said = {}  # (thing, what of it): [(since, t, how bad, what)]
        for option, names in seen.items():
            for name in names:
                what = "soundness" if option == "--failed" else "position"
                self.say((name, what), 0, 0, option[2:])
        for place in sources:
            for hazard in ("water", "air"):
                self.say((place, hazard), 0, 0, True)

    def say(self, thing, since, t, what):
        self.said.setdefault(thing, []).append((since, t, BEST_FIRST.index(what), what))

    def parts(self, report):
        (key, name), = ((k, v) for k, v in report.items() if k != "t")
        if key in OF_PLACES:
            hazard, there = OF_PLACES[key]
            return {(name, hazard): there}
        return {(name, what): said for what, said in OF_CLOSURES[key].items()}

    def take(self, report):
        """Does it count?"""
        since, t = (2, report["t"]) if "t" in report else (1, 0)
        for thing, said in self.parts(report).items():
            self.say(thing, since, t, said)
        return all(max(self.said[thing])[:3] == (since, t, BEST_FIRST.index(said))
                   for thing, said in self.parts(report).items())

    def now(self, what):
        return [name for (name, kind), said in self.said.items() for value in (max(said)[3],)
                if value == what or (value is True and kind == what)]

    def options(self):
        lists = (("--open", "open"), ("--shut", "shut"), ("--failed", "failed"))
        return [word for option, what in lists if self.now(what) for word in (option, ",".join(self.now(what)))]


def reports_of(draw, doors, tight, places, count):
    found = []
    for _ in range(count):
        key = draw.choice((*OF_CLOSURES, *OF_CLOSURES, *OF_PLACES, "water", "air"))
        names = places if key in OF_PLACES else tight if key in ("shut", "holds") else doors
        if key in ("air", "clean"):
            names = [name for name in names if name != "sea"]
        report = {key: draw.choice(names)}
        if draw.random() < 0.7:
            report = {"t": draw.choice((1, 2, 2, 3.5, -4)), **report}
        found.append(report)
    return found


class Following(Case):
    def followed(self, ship, reports, *words, status=DONE):
        """The answers to reports, or to lines as they are."""
        lines = [line if isinstance(line, bytes) else json.dumps(line).encode() for line in reports]
        done = self.run_it("casualty", *ship, "--follow", "-", *words, *AS_OF, input=b"".join(l + b"\n" for l in lines))
        self.assertEqual(done.returncode, status, done.stderr)
        return [json.loads(line) for line in done.stdout.splitlines()]

    def asked(self, *words):
        done = self.run_it("casualty", *words, "--format", "json", *AS_OF)
        self.assertEqual(done.returncode, DONE, (words, done.stderr))
        return json.loads(done.stdout)


class OneByOne(Following):
    def check(self, ship, order, reported, reports, *words):
        """Every answer is what casualty says of what is reported until then."""
        base = reported.options()
        first = [w for w in ("--source", ",".join(reported.now("water"))) if reported.now("water")]
        for i, (report, answer) in enumerate(zip(reports, self.followed(ship, reports, *words, *base, *first)), 1):
            counts = reported.take(report)
            self.assertEqual((answer["line"], answer["t"], answer["counts"]), (i, report.get("t"), counts), report)
            found, head = [], None
            for hazard in ("water", "air"):
                sources = sorted(reported.now(hazard), key=order.index)
                self.assertEqual(answer[hazard], sources)
                if sources:
                    head = self.asked(*ship, "--source", ",".join(sources), *words, *reported.options())
                    found += [a for a in head["answers"] if a["hazard"] == hazard]
            self.assertEqual(answer["answers"], found)
            self.assertEqual(answer["sources"], [p for p in order if p in answer["water"] + answer["air"]])
            self.assertEqual(answer["format"], "coaming/casualty-follow/1")
            if head:
                head = {key: value for key, value in head.items() if key not in (*OWN, "answers")}
                self.assertEqual({key: value for key, value in answer.items() if key not in (*OWN, "answers")}, head)
            self.tried += bool(head)

    def test_of_random_ships(self):
        self.tried = 0
        for seed in range(8 if WHOLE else 4):
            ship, draw = Ship(seed), random.Random(2000 + seed)
            self.write("ship.xml", ship.xml())
            doors = [name for name, k in ship.links.items() if not k["passage"]]
            tight = [name for name in doors if ship.links[name]["rating"] != "nontight"]
            places = [*ship.spaces, "sea", "weather"]
            some = (*draw.sample(list(ship.spaces), 2), draw.choice(places[-2:]))
            reports = reports_of(draw, draw.sample(doors, 3), draw.sample(tight, 2), some, 14)
            seen = ship.seen() if seed % 2 else {}
            level = ("--level", 3.4) if seed % 4 == 0 else ()
            with self.subTest(seed=seed):
                self.check(("ship.xml",), places, Reported(seen, some[:1] if seed % 3 else ()), reports, *level)
        self.assertGreater(self.tried, 60 if WHOLE else 30)

    def test_of_the_demo(self):
        self.tried = 0
        self.check(LOGGED, ("engine", "aux"), Reported({}, ()), (
            {"t": 120, "open": "D3"}, {"water": "aux"}, {"t": 125, "air": "engine"}, {"holds": "D2"}, {"failed": "D2"},
            {"t": 130, "holds": "D2"}, {"t": 140, "dry": "aux"}, {"t": 110, "shut": "D3"}))
        self.assertEqual(self.tried, 7)

    def test_the_hazard_that_is_not_asked_for_is_not_answered(self):
        first, both, dry = self.followed(LOGGED, ({"air": "aux"}, {"water": "engine"}, {"t": 1, "dry": "engine"}),
                                         "--hazard", "water")
        self.assertEqual((first["sources"], first["answers"]), ([], []))
        self.assertEqual((both["sources"], [a["hazard"] for a in both["answers"]]), (["engine"], ["water"]))
        self.assertEqual(told(first), told(dry))


class Orders(Following):
    def test_any_order_ends_in_the_same_answer(self):
        ends = set()
        for seed in range(6):
            ship, draw = Ship(100 + seed), random.Random(3000 + seed)
            self.write("ship.xml", ship.xml())
            doors = [name for name, k in ship.links.items() if not k["passage"]]
            tight = [name for name in doors if ship.links[name]["rating"] != "nontight"]
            reports = reports_of(draw, draw.sample(doors, 2), draw.sample(tight, 2), draw.sample(list(ship.spaces), 2), 20)
            reports.append({"t": 9, "water": draw.choice(list(ship.spaces))})
            last = None
            for _ in range(5):
                draw.shuffle(reports)
                end = told(self.followed(("ship.xml",), reports)[-1])
                self.assertEqual(end, last or end, seed)
                last = end
            self.assertTrue(last["answers"])
            ends.add(json.dumps(last))
        self.assertEqual(len(ends), 6)

    def test_a_report_more_than_once_changes_nothing(self):
        reports = [{"t": 3, "open": "D2"}, {"water": "machinery"}, {"shut": "D1"}]
        once, twice = self.followed((BARGE,), reports), self.followed((BARGE,), [r for r in reports for _ in "ab"])
        self.assertEqual([told(a) for a in once], [told(a) for a in twice[::2]])
        self.assertEqual([told(a) for a in once], [told(a) for a in twice[1::2]])
        self.assertTrue(all(a["counts"] for a in twice))

    def test_what_was_wrongly_reported_is_taken_back(self):
        reports = [{"t": 1, "water": "machinery"}, {"t": 2, "open": "D2"}, {"t": 3, "failed": "D2"},
                   {"t": 4, "as_recorded": "D2"}]
        answers = self.followed((BARGE,), reports)
        self.assertEqual(told(answers[0]), told(answers[3]))
        self.assertNotEqual(told(answers[0])["answers"], told(answers[1])["answers"])
        late = self.followed((BARGE,), [reports[0], {"t": 3, "dry": "machinery"}, {"t": 2, "water": "machinery"}])
        self.assertEqual([(a["water"], a["counts"]) for a in late], [(["machinery"], True), ([], True), ([], False)])


class Lines(Following):
    SHIP = SMALL.replace("</arrangement>", '<closure id="N1" kind="door" between="fore mid" rating="nontight"/></arrangement>')

    def test_a_bad_line_changes_nothing(self):
        self.ship(self.SHIP)
        good = [{"t": 1, "water": "fore"}, {"open": "D1"}, {"t": 2, "air": "mid"}, {"t": 5, "shut": "D1"}]
        alone = self.followed(("ship.xml",), good)
        self.assertEqual([a["counts"] for a in alone], [True] * 4)
        mixed, expected = [], []
        for i, report in enumerate(good):
            for bad in NONE_OF_THESE[i::4]:
                mixed.append(bad)
                expected += [None] if bad else []  # an empty line is passed over
            mixed.append(report)
            expected.append(told(alone[i]))
        answers = self.followed(("ship.xml",), mixed, status=INPUT)
        self.assertEqual([None if "error" in a else told(a) for a in answers], expected)
        lines = [i for i, line in enumerate(mixed, 1) if line != b""]
        self.assertEqual([a["line"] for a in answers], lines)
        for answer in answers:
            if "error" in answer:
                self.assertEqual(set(answer), {"line", "error"})
                self.assertRegex(answer["error"], r"\A[^\n]+\Z")

    def test_what_is_taken_as_json_is_json(self):
        """Reports spoilt at random, against the parser of Python: what is taken for an object of texts and
        numbers is one."""
        def no_twice(pairs):
            if len(dict(pairs)) < len(pairs):
                raise ValueError(pairs)
            return dict(pairs)

        def is_report(line):
            try:
                read = json.loads(line.decode("utf-8"), object_pairs_hook=no_twice, parse_constant=float.fromhex)
            except ValueError:
                return False
            parts = sorted((k, v) for k, v in read.items()) if isinstance(read, dict) else ()
            return [k for k, _ in parts] in (["open"], ["open", "t"]) and parts[0][1] == "D1" and all(
                type(v) in (int, float) and abs(v) < 1e300 for k, v in parts if k == "t")

        self.ship()
        draw, lines = random.Random(4), []
        good = b'{"t": -12.5e1, "open": "D1"}', b' {"\\u006Fpen" :"D\\u0031","t":0 }'
        signs = b'{}[]:," \\tu0123.eE+-D1\x00\x0b\xc3\xa9'
        while len(lines) < 1500:
            line = bytearray(draw.choice(good))
            for _ in range(draw.randint(0, 2)):
                at, sign = draw.randrange(len(line)), draw.choice(signs)
                line[at:at + draw.randint(0, 1)] = bytes([sign]) * draw.randint(0, 1)
            if bytes(line).strip(b" \t"):
                lines.append(bytes(line))
        answers = self.followed(("ship.xml",), lines, status=INPUT)
        expected = [is_report(line) for line in lines]
        self.assertTrue(200 < sum(expected) < 1300, sum(expected))
        for line, wanted, answer in zip(lines, expected, answers, strict=True):
            self.assertEqual("error" not in answer, wanted, (line, answer.get("error")))

    def test_what_is_wrong_is_said(self):
        self.ship(self.SHIP)
        says = ((b'{"open": "D2"}', "closure D2: there is none; the nearest is D1"), (b'{"shut": "P1"}', "nothing can shut a passage"),
                (b'{"holds": "N1"}', "nontight"), (b'{"opens": "D1"}', "'opens'"), (b"[1]", "no JSON object"),
                (b'{"open": "D1", "shut": "D1"}', "two reports"), (b'{"open": "D1", "open": "D1"}', "twice"),
                (b'{"t": 3}', "reports nothing"), (b'{"open": ["D1"]}', "list"), (b"\x00", "NUL"), (b"\xff", "UTF-8"),
                (b" " * 5000 + b"x", "longer than 4096 bytes"), (b'{"t": "1", "open": "D1"}', "no number"),
                (b'{"open": 1}', "id of a closure"), (b'{"dry": 1}', "id of a place"),
                (b'{"air": "sea"}', "no source of bad air"), (b'{"t": 1e400, "open": "D1"}', "out of range"))
        for (_, words), answer in zip(says, self.followed(("ship.xml",), [line for line, _ in says], status=INPUT)):
            self.assertIn(words, answer["error"])
        done = self.run_it("casualty", "ship.xml", "--follow", "-", *AS_OF, input=b'{"t": 3}\n{"water": "fore"}\n')
        self.assertEqual(done.returncode, INPUT)
        self.assertTrue(done.stderr.endswith(b"\ncoaming: standard input: 1 line is no report; nothing was changed by it\n"))

    def test_the_sea_has_water_and_no_bad_air(self):
        self.ship()
        answer, = self.followed(("ship.xml",), [{"water": "fore"}], "--source", "sea")
        self.assertEqual((answer["water"], answer["air"], [a["hazard"] for a in answer["answers"]]),
                         (["fore", "sea"], [], ["water"]))

    def test_ends_of_lines_and_of_the_file(self):
        self.ship()
        plain = self.followed(("ship.xml",), ({"water": "fore"}, {"t": 1, "open": "D1"}))
        for text in (b'{"water": "fore"}\r\n{"t": 1, "open": "D1"}\r\n',
                     b'\xef\xbb\xbf{"water": "fore"}\r\n{"t": 1, "open": "D1"}\r\n', b'{"water":"fore"}\n{"t":1e0,"open":"D1"}',
                     b'\t{ "water" : "fore" }\n{"t":1,"\\u006fpen":"D\\u0031"}'):
            self.write("reports", text)
            done = self.run_it("casualty", "ship.xml", "--follow", "reports", *AS_OF)
            self.assertEqual((done.returncode, done.stderr), (DONE, b""))
            self.assertEqual([json.loads(line) for line in done.stdout.splitlines()], plain)
        for text in (b"", b"\n \n\t\r\n  "):
            done = self.run_it("casualty", "ship.xml", "--follow", "-", input=text)
            self.assertEqual((done.returncode, done.stdout, done.stderr), (DONE, b"", b""))

    def test_the_longest_line_is_still_one(self):
        self.ship()
        line = b'{"open": "D1"'
        answer, = self.followed(("ship.xml",), [line + b" " * (4096 - len(line) - 1) + b"}"])
        self.assertEqual(answer["open"], ["D1"])


class Running(Following):
    def start(self, *words):
        # what is freed is not kept back, for memory is measured here; heard by the address sanitizer alone
        env = surroundings(ASAN_OPTIONS="quarantine_size_mb=0:thread_local_quarantine_size_kb=0")
        running = subprocess.Popen([COAMING, "casualty", *map(str, words), *AS_OF], cwd=self.folder, env=env,
                                   stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
        watch = threading.Timer(60, running.kill)  # who is not answered does not wait for ever
        watch.start()
        self.addCleanup(watch.cancel)
        return running

    def test_killed_and_begun_again_it_says_the_same(self):
        reports = [json.dumps(r) + "\n" for r in ({"t": 1, "water": "machinery"}, {"t": 2, "open": "D2"}, {"t": 3, "air": "hold-aft"},
                                                  {"t": 2, "dry": "hold-aft"}, {"t": 4, "holds": "D1"})]
        whole = self.run_it("casualty", BARGE, "--follow", self.write("reports", "".join(reports)), *AS_OF).stdout.splitlines()
        self.assertEqual(len(whole), 5)
        for kept in range(1, 5):
            running = self.start(BARGE, "--follow", "-")
            for report, answer in zip(reports[:kept], whole):  # each is answered before the next is written
                running.stdin.write(report.encode())
                running.stdin.flush()
                self.assertEqual(running.stdout.readline().rstrip(b"\n"), answer)
            running.send_signal(signal.SIGKILL)
            running.communicate()
            self.assertEqual(running.returncode, -signal.SIGKILL)
            again = self.run_it("casualty", BARGE, "--follow", self.write("reports", "".join(reports[:kept])), *AS_OF)
            self.assertEqual(again.stdout.splitlines(), whole[:kept])

    def test_memory_does_not_grow(self):
        self.ship()
        running, sizes = self.start("ship.xml", "--follow", "-"), []
        places, keys = ("fore", "mid", "aft"), ("water", "dry", "air", "clean", "wrong")
        for i in range(1500):
            report = {"t": i, ("open", "failed", "holds", "as_recorded")[i // 2 % 4]: "D1"} if i % 2 else {"t": i, keys[i % 5]: places[i % 3]}
            running.stdin.write(json.dumps(report).encode() + b"\n")
            running.stdin.flush()
            running.stdout.readline()
            if i in (500, 1499):
                status = Path(f"/proc/{running.pid}/statm").read_text()
                sizes.append(int(status.split()[1]) * os.sysconf("SC_PAGESIZE"))
        running.communicate()
        self.assertEqual(running.returncode, INPUT)
        self.assertLess(sizes[1] - sizes[0], 400_000)

    def test_who_no_longer_listens_is_told_of(self):
        running = self.start(BARGE, "--follow", "-")
        running.stdout.close()
        running.stdin.write(b'{"water": "machinery"}\n' * 3)
        running.stdin.close()
        self.assertEqual(running.wait(600), MACHINE)
        self.assertEqual(running.stderr.read(), b"coaming: standard output: cannot be written: Broken pipe\n")
        running.stderr.close()

    def test_a_full_disk_and_no_output_are_told_of(self):
        self.write("reports", '{"water": "machinery"}\n{"open": "D1"}\n')
        words = ("casualty", BARGE, "--follow", "reports", *AS_OF)
        with open("/dev/full", "wb") as full:
            done = self.run_it(*words, stdout=full)
        self.assertEqual((done.returncode, done.stderr), (MACHINE, b"coaming: standard output: cannot be written: No space left on device\n"))
        done = subprocess.run(["sh", "-c", 'exec "$@" >&-', "sh", COAMING, *map(str, words)], cwd=self.folder,
                              stderr=subprocess.PIPE, check=False, env=surroundings())
        self.assertEqual((done.returncode, done.stderr), (MACHINE, b"coaming: standard output: cannot be written: Bad file descriptor\n"))


class Refused(Following):
    def test_one_error_and_no_answer(self):
        self.write("reports", '{"water": "machinery"}\n')
        self.one_line(INPUT, "casualty", BARGE, "--follow", "nowhere", says=("nowhere: ",))
        self.one_line(INPUT, "casualty", BARGE, "--follow", ".", says=(".: is a folder",))
        self.one_line(USAGE, "casualty", BARGE, "--follow", "", says=("--follow ''",))
        self.one_line(USAGE, "casualty", "-", "--follow", "-", says=("standard input cannot be both",))
        self.one_line(USAGE, "casualty", BARGE, "--log", "-", "--follow", "-", says=("standard input cannot be both",))
        self.one_line(USAGE, "casualty", BARGE, "--follow", "reports", "--format", "text", says=("--follow writes JSON",))
        self.one_line(USAGE, "casualty", BARGE, "--follow", "reports", "-o", "out", says=("--output",))
        self.one_line(INPUT, "casualty", BARGE, "--follow", "reports", "--source", "nowhere", says=("nowhere",))
        self.one_line(INPUT, "casualty", BARGE, "--follow", "reports", "--open", "D99", says=("D99",))
        self.one_line(USAGE, "hold", BARGE, "--source", "machinery", "--follow", "reports", says=("--follow",))


if __name__ == "__main__":
    unittest.main()
