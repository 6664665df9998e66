#!/usr/bin/python3
"""The test log survives: killed at every step and at random moments, on a full disk, with many
writers at once, under random work. After each the log is the old or the new text, byte for byte.

Prints what it counted. Needs Python 3.11, its standard library, and xmllint (libxml2-utils).
Environment: COAMING, the program; COAMING_ROOT, the source tree; STOP_AT_MODULE, the module of
stop_at.c. The ship and the log are invented.
"""

import errno
import os
import random
import resource
import shutil
import signal
import statistics
import subprocess
import sys
import threading
import time
import unittest
import xml.etree.ElementTree as ET
from pathlib import Path

sys.dont_write_bytecode = True
sys.path.insert(0, str(Path(__file__).resolve().parent))
import harness  # noqa: E402
from harness import COAMING, ROOT, surroundings  # noqa: E402

MODULE = os.environ["STOP_AT_MODULE"]
SHIP, LOG_RNG = ROOT / "examples" / "fathom-lark.xml", ROOT / "src" / "read" / "test-log.rng"
NS = "{urn:coaming:test-log:1}"
TAIL = "</test-log>\n"
KILLS, WRITERS, EACH, BEGUN, RANDOM_STEPS = 200, 40, 3, 2, 100
ENTRY = ("D4", "chalk", "fail", "2.1:0.18", "--date", "2026-11-03", "--by", "AB", "--note", "now")
ENTRY_TEXT = ('  <test closure="D4" date="2026-11-03" method="chalk" result="fail" by="AB" '
              'note="now">\n    <gap at="2.1" length="0.18"/>\n  </test>\n')


def log_text(entries):
    """A log of so many tests of D4, the last not like ENTRY."""
    lines = [f'  <test closure="D4" date="20{k % 20 + 5:02}-03-{k % 28 + 1:02}" method="chalk" '
             f'result="pass" by="AB" note="entry {k}"/>\n' for k in range(entries)]
    return ('<?xml version="1.0" encoding="UTF-8"?>\n<test-log xmlns="urn:coaming:test-log:1" '
            'arrangement="Fathom Lark">\n' + "".join(lines) + TAIL)


def with_entry(text, entry=ENTRY_TEXT):
    return text[:-len(TAIL)] + entry + TAIL


def record(log, *words, **how):
    return harness.run("record", log, *words, timeout=600, **how)


def limit_files(limit):
    """No file may grow beyond; the write fails, as on a full disk, and sends no signal."""
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))


class Case(harness.Folder):
    def setUp(self):
        super().setUp()
        self.log = self.folder / "log.xml"

    def beside(self):
        return sorted(path.name for path in self.log.parent.iterdir() if path != self.log)

    def clear(self):
        for path in self.folder.iterdir():
            path.unlink()

    def works(self, log, *words):
        done = record(log, *words)
        self.assertEqual((done.returncode, done.stderr), (0, b""))


class Steps(Case):
    """Stopped at each call that the program makes to write the log, one after the other."""
    OLD = log_text(40)

    def stopped(self, words, at=0, error=0):
        """A run stopped at a call, and the calls it made."""
        trace = self.folder.parent / (self.folder.name + ".trace")
        more = {"STOP_IN": str(self.folder), "STOP_TRACE": str(trace), "LD_PRELOAD": MODULE,
                "STOP_AT": str(at)} | ({"STOP_ERROR": str(error)} if error else {})
        done = record(self.log, *words, env=surroundings(**more))
        calls = [line.split(" ", 1) for line in trace.read_text().splitlines()]
        trace.unlink()
        return done, [(what, Path(path).name) for what, path in calls]

    def start(self, exists):
        self.clear()
        if exists:
            self.log.write_text(self.OLD)
        return ENTRY if exists else (*ENTRY, "--ship", str(SHIP))

    def plan(self, exists):
        """The calls of a run that goes well, and the log after it."""
        done, calls = self.stopped(self.start(exists))
        self.assertEqual((done.returncode, done.stderr), (0, b""))
        self.assertEqual(self.beside(), [])
        return calls, self.log.read_text()

    def test_written_beside_synced_and_renamed_under_a_lock(self):
        calls, after = self.plan(True)
        self.assertEqual(after, with_entry(self.OLD))
        names = [what for what, _ in calls]
        beside = dict(calls)["create"]
        self.assertNotEqual(beside, "log.xml")
        self.assertEqual(calls[0], ("flock", "log.xml"))
        self.assertTrue(all(path == beside for what, path in calls if what == "write"))
        last_write = max(i for i, what in enumerate(names) if what == "write")
        synced = calls.index(("fsync", beside))
        renamed = calls.index(("rename", "log.xml"))
        folder = calls.index(("fsync", self.folder.name))
        self.assertLess(last_write, synced)
        self.assertLess(synced, renamed)
        self.assertLess(renamed, folder)
        self.assertNotIn(("unlink", "log.xml"), calls)

    def test_a_new_log_is_synced_before_it_has_its_name(self):
        calls, _ = self.plan(False)
        named = [i for i, call in enumerate(calls) if call[1] == "log.xml"
                 and call[0] in ("link", "rename")]
        synced = [i for i, call in enumerate(calls) if call[0] == "fsync"]
        self.assertEqual((len(named), len(synced)), (1, 2), calls)
        self.assertTrue(synced[0] < named[0] < synced[1], calls)

    def outcome(self, exists, after):
        """What the log is now: old or new; anything else fails."""
        if not self.log.exists():
            self.assertFalse(exists)
            return "old"
        text = self.log.read_text()
        if text == after:
            return "new"
        self.assertTrue(exists)
        self.assertEqual(text, self.OLD)
        return "old"

    def test_two_begin_a_log_and_one_is_held_up(self):
        """Held up at each of its calls; another begins the same log, and waits only for the lock."""
        self.clear()
        calls, _ = self.plan(False)
        steps = [path for _, path in calls].index("log.xml") + 1
        go = self.folder.parent / (self.folder.name + ".go")
        words = ["--date", "2026-11-03", "--ship", str(SHIP)]
        first = []
        for at in range(1, steps + 1):
            self.clear()
            held = subprocess.Popen(
                [COAMING, "record", str(self.log), "D4", "chalk", "pass", "--note", "held", *words],
                env=surroundings(STOP_IN=str(self.folder), LD_PRELOAD=MODULE, STOP_AT=str(at),
                                STOP_UNTIL=str(go)), stdout=subprocess.DEVNULL)
            time.sleep(0.2)
            quick = subprocess.Popen(
                [COAMING, "record", str(self.log), "D4", "chalk", "pass", "--note", "quick", *words],
                env=surroundings(), stdout=subprocess.DEVNULL)
            try:
                quick.wait(timeout=1)
                first.append("quick")
            except subprocess.TimeoutExpired:
                first.append("held")
            go.touch()
            self.assertEqual((held.wait(timeout=600), quick.wait(timeout=600)), (0, 0))
            go.unlink()
            notes = [e.get("note") for e in ET.parse(self.log).getroot()]
            self.assertEqual(sorted(notes), ["held", "quick"], f"held at {calls[at - 1]}")
            self.assertEqual(notes[0], first[-1], f"held at {calls[at - 1]}")
            self.assertEqual(self.beside(), [])
        locked = [what for what, _ in calls].index("flock") + 1
        self.assertEqual(first, ["quick"] * locked + ["held"] * (steps - locked))
        print(f"held up at each of {steps} steps while another begins the log: both landed")

    def test_killed_at_every_step(self):
        for exists in (True, False):
            calls, after = self.plan(exists)
            counts = {"old": 0, "new": 0, "left": 0}
            for at in range(1, len(calls) + 1):
                done, made = self.stopped(self.start(exists), at)
                self.assertEqual((done.returncode, len(made)), (-signal.SIGKILL, at))
                result = self.outcome(exists, after)
                counts[result] += 1
                counts["left"] += bool(self.beside())
                self.works(self.log, "D4", "chalk", "pass", "--date", "2026-11-04", "--ship", str(SHIP))
                entries = len(ET.parse(self.log).getroot())
                self.assertEqual(entries, (40 if exists else 0) + (result == "new") + 1)
            self.assertGreater(min(counts["old"], counts["new"]), 0)
            print(f"killed at each of {len(calls)} steps, {'a' if exists else 'no'} log before: "
                  f"{counts['old']} old, {counts['new']} new, {counts['left']} left a file beside")

    def test_a_failing_call_leaves_the_old_log_and_nothing_beside(self):
        for number in (errno.ENOSPC, errno.EIO, errno.EDQUOT):
            for exists in (True, False):
                calls, after = self.plan(exists)
                failed = 0
                for at, (what, path) in enumerate(calls, 1):
                    if what == "unlink":  # of a file that need not be there
                        continue
                    done, _ = self.stopped(self.start(exists), at, number)
                    with self.subTest(call=what, at=at, error=errno.errorcode[number]):
                        self.assertEqual(done.returncode, 4, (done.stdout, done.stderr))
                        self.assertRegex(done.stderr.decode(), r"\Acoaming: [^\n]+\n\Z")
                        self.assertIn(os.strerror(number), done.stderr.decode())
                        self.assertEqual(self.beside(), [])
                        last = (what, path) == ("fsync", self.folder.name)
                        # once it has its name only the folder's sync is missing
                        self.assertEqual(self.outcome(exists, after), "new" if last else "old")
                        failed += 1
                self.assertGreaterEqual(failed, 5)
        print("failing calls (disk full, fault, quota): status 4, the old log, nothing left beside")


class Kills(Case):
    def test_killed_at_random_moments(self):
        old = log_text(20_000)
        new = with_entry(old)
        self.assertEqual(len(ET.fromstring(new.encode())), 20_001)
        times = []

        def usual():
            """The time of a run, as the machine is busy now."""
            self.log.write_text(old)
            before = time.monotonic()
            self.works(self.log, *ENTRY)
            times.append(time.monotonic() - before)
            self.assertEqual(self.log.read_text(), new)
            return statistics.median(times[-5:])

        for _ in range(5):
            span = usual()
        dice = random.Random(7)
        counts = {"killed": 0, "old": 0, "new": 0, "left": 0, "next": 0}
        self.log.write_text(old)
        tries = 0
        # on until enough were killed and one of them while it wrote, however busy the machine is
        while tries < KILLS or (tries < 20 * KILLS and (counts["killed"] <= KILLS // 2 or not counts["left"])):
            i = tries % KILLS
            tries += 1
            delay = (0.3 + 0.95 * (i + dice.random()) / KILLS) * span  # most of the time it reads
            self.one_kill(delay, old, new, counts)
            if i % 10 == 0:
                self.works(self.log, *ENTRY)
                self.assertEqual(self.log.read_text(), new)
                self.assertEqual(self.beside(), [])
                span = usual()
                self.log.write_text(old)
                counts["next"] += 1
        print(f"{tries} writers of a log of {len(old)} bytes (usually {statistics.median(times) * 1e3:.0f} ms), "
              f"{counts['killed']} killed before they ended: {counts['old']} old, "
              f"{counts['new']} new, {counts['left']} left a file beside; "
              f"{counts['next']} of {counts['next']} next records good")
        self.assertGreater(counts["killed"], KILLS // 2)
        self.assertGreater(counts["left"], 0, "no kill fell inside the writing")

    def one_kill(self, delay, old, new, counts):
        with subprocess.Popen([COAMING, "record", str(self.log), *ENTRY], env=surroundings(),
                              stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) as writer:
            time.sleep(delay)
            writer.kill()
        self.assertIn(writer.returncode, (0, -signal.SIGKILL))
        text = self.log.read_text()
        self.assertTrue(text in (old, new), f"after {delay} s: {len(text)} bytes")
        self.assertTrue(writer.returncode or text == new)
        counts["killed"] += writer.returncode != 0
        counts["new" if text == new else "old"] += 1
        counts["left"] += bool(self.beside())
        if text == new:
            self.log.write_text(old)


class FullDisk(Case):
    """On a small file system, where one may be mounted, and under a limit of file sizes."""
    OLD = log_text(1000)  # some 100 kB

    def check_full(self, log, what, **how):
        before = {p: p.read_bytes() for p in log.parent.iterdir()}
        done = record(log, *ENTRY, *(() if log.exists() else ("--ship", str(SHIP))), **how)
        self.assertEqual(done.returncode, 4, (what, done))
        said = r"\Acoaming: [^\n]*cannot be written[^\n]*\n\Z"
        self.assertRegex(done.stderr.decode(), said, what)
        self.assertEqual({p: p.read_bytes() for p in log.parent.iterdir()}, before, what)

    def test_a_limit_of_file_sizes(self):
        self.log.write_text(self.OLD)
        for limit in (len(self.OLD), 4096, 1, 0):
            self.check_full(self.log, limit, preexec_fn=lambda limit=limit: limit_files(limit))
        self.works(self.log, *ENTRY)
        self.assertEqual(self.log.read_text(), with_entry(self.OLD))
        print("full by a limit of file sizes (4 limits): status 4, log unchanged, nothing beside")

    def mount(self, options):
        """Mounts a tmpfs on a folder; the reason if that may not be."""
        place = self.folder / "disk"
        place.mkdir()
        words = ["mount", "-t", "tmpfs", "-o", options, "tmpfs", str(place)]
        done = subprocess.run(words, capture_output=True, text=True, check=False) \
            if shutil.which("mount") else None
        if done is None or done.returncode:
            place.rmdir()
            return None, done.stderr.strip() if done else "there is no mount"
        self.addCleanup(subprocess.run, ["umount", str(place)], check=True)
        return place, None

    def test_a_small_file_system(self):
        place, reason = self.mount("size=160k")
        if not place:
            print(f"NOT full by a small tmpfs: {reason}; the limit of file sizes stands for it")
            self.skipTest(f"no tmpfs may be mounted here: {reason}")
        log = place / "log.xml"
        log.write_text(self.OLD)
        self.check_full(log, "no room for a second")
        free = os.statvfs(place)
        (place / "filler").write_bytes(bytes(free.f_bavail * free.f_bsize))
        self.check_full(log, "no room at all")
        self.check_full(place / "new.xml", "no room for a new one")
        log.write_text(log_text(100))
        (place / "filler").unlink()
        self.works(log, *ENTRY)
        self.assertEqual(log.read_text(), with_entry(log_text(100)))
        print("full by a small tmpfs (3 ways): status 4, log unchanged, nothing beside; "
              "with room again the record is good")

    def test_a_file_system_without_room_for_a_name(self):
        place, reason = self.mount("size=4m,nr_inodes=2")
        if not place:
            print(f"NOT full by names in a tmpfs: {reason}")
            self.skipTest(f"no tmpfs may be mounted here: {reason}")
        log = place / "log.xml"
        log.write_text(self.OLD)
        self.check_full(log, "no room for another name")
        print("full by names in a tmpfs: status 4, log unchanged, nothing beside")


class Many(Case):
    def notes(self):
        return sorted(entry.get("note") for entry in ET.parse(self.log).getroot())

    def run_all(self, *more):
        failures = []

        def writer(number):
            for k in range(EACH):
                done = record(self.log, "D4", "chalk", "pass", "--date", "2026-11-03", "--note",
                              f"writer {number} entry {k}", *more)
                if done.returncode or done.stderr:
                    failures.append((number, k, done))
        threads = [threading.Thread(target=writer, args=(n,)) for n in range(WRITERS)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        self.assertEqual(failures, [])
        self.assertEqual(self.beside(), [])

    def expected(self):
        return [f"writer {n} entry {k}" for n in range(WRITERS) for k in range(EACH)]

    def test_many_writers_of_one_log_all_land_once(self):
        self.log.write_text(log_text(2000))
        self.run_all()
        self.assertEqual(self.notes(),
                         sorted(self.expected() + [f"entry {k}" for k in range(2000)]))
        print(f"{WRITERS} writers at once of {EACH} entries each: all {WRITERS * EACH} landed once")

    def test_many_begin_a_log_and_all_land_once(self):
        for _ in range(BEGUN):
            self.clear()
            self.run_all("--ship", str(SHIP))
            self.assertEqual(self.notes(), sorted(self.expected()))
        print(f"{WRITERS} writers at once that begin a log, {BEGUN} times: all "
              f"{BEGUN * WRITERS * EACH} landed once")


class Work(Case):
    """Random work on one log: what stood in it stays, and it is valid after every step."""
    NOTES = ("", "plain", 'quotes " and \' both', "<&>", "& &amp; &#38;", "two\nlines", "tab\there",
             "Ærø Ødegård", "漢字 😀", "שלום", "]]> -->", "  blanks  ", "\\ , ; :")

    def entries(self):
        return [(e.tag.removeprefix(NS), dict(e.attrib), [dict(g.attrib) for g in e])
                for e in ET.parse(self.log).getroot()]

    def step(self, dice, known):
        """One random record: its words, and what the log must have at its end then."""
        closure = dice.choice(("D4", "D9", "D1", "D23"))
        date = f"2026-0{dice.randint(1, 9)}-{dice.randint(1, 28):02}"
        note, by = dice.choice(self.NOTES), dice.choice(("", "AB", "Ø<&"))
        said = {"closure": closure, "date": date}
        signed = ({"by": by} if by else {}) | ({"note": note} if note else {})
        words = [closure, "--date", date, f"--by={by}", f"--note={note}", "--again"]
        kind = dice.choice(("test", "test", "repair", "undo"))
        if kind == "undo":
            back = [e for e in reversed(known) if e[1]["closure"] == closure and not e[3]]
            if not back:
                return None
            back[0][3] = True
            of = {"of": back[0][0], "of-date": back[0][1]["date"]}
            return [*words, "--undo"], ["undo", said | of | signed, [], True]
        if kind == "repair":
            action = dice.choice(("dogs", "gasket", "knife-edge", "hinge", "replaced"))
            return [*words, action], ["repair", said | {"action": action} | signed, [], False]
        method = dice.choice(("chalk", "hose", "air", "ultrasonic", "light", "smoke", "visual"))
        gaps = [{"at": f"{dice.randrange(230) / 100:g}",
                 "length": f"{dice.randint(1, 30) / 100:g}"}
                for _ in range(dice.choice((0, 0, 1, 3)))]
        for gap in gaps:
            gap.update(dice.choice(({}, {"seen": "paint"}, {"seen": "joint"}, {"seen": "damage"})))
        result = "fail" if gaps else dice.choice(("pass", "fail"))
        words += [result, method, *(":".join(gap.values()) for gap in gaps)]
        return words, ["test", said | {"method": method, "result": result} | signed, gaps, False]

    def test_random_work(self):
        dice, known, steps = random.Random(11), [], 0
        while steps < RANDOM_STEPS:
            planned = self.step(dice, known)
            if not planned:
                continue
            words, entry = planned
            before = self.log.read_bytes() if self.log.exists() else b""
            self.works(self.log, *words, "--ship", str(SHIP))
            known.append(entry)
            self.assertEqual(self.entries(), [tuple(e[:3]) for e in known])
            if steps:
                self.assertTrue(self.log.read_bytes().startswith(before.split(b"</test-log>")[0]))
            self.check_valid()
            steps += 1
        undone = sum(e[0] == "undo" for e in known)
        self.assertGreater(undone, 5)
        print(f"random work: {steps} records ({undone} take one back), the log valid after each")

    def check_valid(self):
        done = self.run_it("check", "--as-of", "2026-11-10", SHIP, "--log", self.log)
        self.assertEqual(done.returncode, 0, done.stderr)
        self.assertNotIn(b": error:", done.stderr)
        done = subprocess.run(["xmllint", "--noout", "--nonet", "--relaxng", str(LOG_RNG),
                               str(self.log)], capture_output=True, text=True, check=False)
        self.assertEqual(done.returncode, 0, done.stderr)


if __name__ == "__main__":
    sys.stdout.reconfigure(line_buffering=True)
    unittest.main()
