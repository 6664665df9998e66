#!/usr/bin/python3
"""Memory that runs out at any call of the program or of a library below it, once or from there on:
told in one line, exit status 4, no answer by half, no file changed or left over, the log unharmed.

Every command is run in each of its formats. Without options some of the calls are drawn, by a seed:
so many of what the command asks for after the ship is loaded, and of the rest; and all fail once an
answer is in its new file, where what is told after it is to need none. --all takes each, but for those
that an earlier run asked for after the same 32 before it (how much, and from where), as all runs load
the same ship; a quarter of an hour's work. --valgrind draws a few runs, each looked over by valgrind for
bad accesses. Prints how many runs there were, and how they ended.

Needs Python 3.11, its standard library only, and valgrind for --valgrind.
Environment: COAMING, the program; COAMING_ROOT, the source tree; NO_MEMORY_MODULE, the module of
no_memory.c. The ships are the examples and one that is invented.
"""

import argparse
import array
import collections
import os
import random
import re
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path

from harness import AS_OF, BARGE, COAMING, EXAMPLES, MACHINE, SMALL, log, surroundings, tested

MODULE = os.environ["NO_MEMORY_MODULE"]
# What is lost is not asked: the program ends in the middle of whatever asked for memory.
GRIND = ("valgrind", "-q", "--error-exitcode=99", "--leak-check=no",
         "--soname-synonyms=somalloc=nouserintercepts")  # the module is to be asked first
TABLE = ("text", "json", "csv")
LOGGED = ("barge.xml", "--log", "log.xml")
# Command, words, formats; the answer goes to standard output, to a new file and over an old one.
ASKED = (
    ("check", LOGGED, TABLE),
    ("expose", ("--all", *LOGGED), TABLE),
    ("rank", ("--risk", "exact", *LOGGED), TABLE),
    ("plan", ("--hours", "6", *LOGGED), TABLE),
    ("export", LOGGED, ("json", "graphml", "dot")),
    ("export", ("--table", "closures", *LOGGED), ("csv",)),
    ("float", ("--flooded", "machinery,hold-aft", *LOGGED), TABLE),
    ("flood", ("--breach", "machinery:0.1", "--until", "60", "--every", "30", "--shut", "D1@30", *LOGGED),
     (*TABLE, "svg")),
    ("survival", LOGGED, TABLE),
    ("hold", ("--source", "machinery", *LOGGED), TABLE),
    ("boundary", ("machinery", "--open", "D1"), TABLE),
    ("casualty", ("--source", "machinery", *LOGGED), (*TABLE, "html")),
    ("air", ("--source", "machinery:1g/s:co", *LOGGED), (*TABLE, "svg")),
    ("draw", ("--profile", "--overlay", "expose", "--closure", "D1", *LOGGED), ("svg",)),
    ("report", ("--since", "2026-05-01", *LOGGED), ("html",)),
    ("report", ("--breach", "machinery:0.1", "--source", "machinery:1g/s:co", "--until", "60", *LOGGED), ("html",)),
    ("due", ("--all", *LOGGED), (*TABLE, "ical")),
    ("round", LOGGED, TABLE),
    ("adjust", LOGGED, TABLE),
    ("history", (*LOGGED, "D1"), TABLE),
    ("record", ("log.xml", "D1", "chalk", "fail", "1:0.2", "2:0.1", "--ship", "barge.xml",
                "--date", "2026-11-01"), TABLE),
)
# What has no format, or is of more than the barge.
MORE = (
    ("record", "log.xml", "D1", "chalk", "pass", "--date", "2026-11-01"),
    ("record", "new.xml", "D1", "pass", "--ship", "barge.xml", "--date", "2026-11-01", "-o", "said.txt"),
    ("record", "log.xml", "--sheet", "round.csv", "--ship", "barge.xml", "--date", "2026-11-01"),
    ("import", "--spaces", "spaces.csv", "--closures", "closures.csv", "--name", "Small", "--size",
     "30x6x5", "--draft", "2", "--deck", "1:low:0", "-o", "made.xml"),
    ("expose", "small.xml", "D1", "--open", "D1", "--failed", "D1,H1", *AS_OF),
    ("hold", "small.xml", "--source", "weather", "--protect", "mid,aft", *AS_OF),
    ("casualty", "barge.xml", "--source", "machinery", "--follow", "reports", *AS_OF),
    ("draw", "small.xml", "--overlay", "hold", "--source", "fore", "--hazard", "air", *AS_OF),
    ("air", "small.xml", "--drop", "500:400:60", "--space", "mid", *AS_OF),
    ("round", "small.xml", "D1", "H1", *AS_OF),
    ("rank", "small.xml", "--log", "small-log.xml", *AS_OF),
    ("check", "faulty.xml", *AS_OF),  # status 3, or 4 where memory was the cause
    ("rank", "faulty.xml", *AS_OF),
    ("check", "torn.xml", *AS_OF),
    ("record", "log.xml", "D77", "chalk", "pass", "--ship", "barge.xml", "--date", "2026-11-01"),
    ("expose", "barge.xml", "D77", *AS_OF),
    ("check", "--help"), ("--help",), ("--version",), ("rank", "--wrong"), ("wrong",),
    ("__complete", "record", "log.xml", ""), ("__complete", "draw", "barge.xml", "--closure", ""),
)


def every_run():
    runs = []
    for command, words, formats in ASKED:
        for form in formats:
            output = ((), ("-o", "new.txt"), ("-o", "old.txt"))[len(runs) % 3]
            day = () if command == "record" else AS_OF
            ship = ("barge.xml",) if command == "boundary" else ()
            chosen = ("--format", form)
            runs.append((command, *ship, *words, *day, *chosen, *output))
    return runs + list(MORE)


class Place:
    """A folder to run in, laid out anew whenever a run has changed it."""

    def __init__(self, parent, number, files):
        self.folder = Path(parent) / f"place{number}"
        self.count = Path(parent) / f"count{number}"
        self.marks = Path(parent) / f"marks{number}"
        self.files = files
        self.lay_out()

    def lay_out(self):
        shutil.rmtree(self.folder, ignore_errors=True)
        self.folder.mkdir()
        for name, content in self.files.items():
            (self.folder / name).write_bytes(content)

    def state(self):
        return {path.name: path.read_bytes() for path in self.folder.iterdir()}

    def run(self, words, at=0, on=False, before=(), answer=""):
        """answer: the name of a file; once it is there, memory has run out."""
        self.count.unlink(missing_ok=True)
        more = {"LD_PRELOAD": MODULE, "NO_MEMORY_AT": str(at), "NO_MEMORY_COUNT": str(self.count)}
        if not at:
            more["NO_MEMORY_MARKS"] = str(self.marks)
        if on:
            more["NO_MEMORY_ON"] = "1"
        if answer:
            more["NO_MEMORY_AFTER"] = answer
        done = subprocess.run([*before, COAMING, *words], cwd=self.folder, stdin=subprocess.DEVNULL,
                              capture_output=True, timeout=600, check=False, env=surroundings(**more))
        after = self.state()
        if after != self.files:
            self.lay_out()
        return done, after


def make_files():
    """Everything that the runs read."""
    def made(*words):
        return subprocess.run([COAMING, *words], cwd=EXAMPLES, capture_output=True, check=False,
                              env=surroundings()).stdout
    barge = BARGE.read_bytes()
    files = {"barge.xml": barge, "small.xml": SMALL.encode(), "old.txt": b"the old answer\n",
             "log.xml": log(tested("D1", "2026-08-01", "fail"), tested("D2", "2026-09-01", "pass"),
                            ship="Barge 7").encode(),
             "small-log.xml": log(tested("D1", "2026-02-01", "pass")).encode(),
             "reports": b'{"open": "D2"}\n{"shut": "D2"}\n',
             "faulty.xml": barge.replace(b'between="machinery hold-aft"', b'between="machinery nowhere"')
             .replace(b'kind="manhole"', b'kind="mouth"'),
             "torn.xml": barge[:len(barge) // 2]}
    name = re.search(rb'<arrangement[^>]* name="([^"]*)"', barge).group(1).decode()
    files["log.xml"] = files["log.xml"].replace(b"Barge 7", name.encode())
    with tempfile.TemporaryDirectory(prefix="coaming-test-") as folder:
        ship = Path(folder) / "ship.xml"
        ship.write_text(SMALL)
        for table in ("spaces", "closures"):
            files[f"{table}.csv"] = made("export", str(ship), "--format", "csv", "--table", table)
    sheet = made("round", str(BARGE), "D1", "H1", "--format", "csv", *AS_OF).decode().splitlines()
    column = sheet[0].split(",").index("result")
    files["round.csv"] = ("closure,method,result\nD1,chalk,pass\nH1,hose,pass\n" if column else "").encode()
    return files


WRITTEN = b"the log has been written all the same"
MEMORY = re.compile(rb"\Acoaming: (out of memory|[^\n]*: Cannot allocate memory)\n\Z")


def judge(words, usual, before, got):
    """What is wrong with a run whose memory ran out; None: nothing."""
    done, after = got
    expected, usual_after = usual
    if done.returncode == expected.returncode and after == usual_after:
        if (done.stdout, done.stderr) == (expected.stdout, expected.stderr):
            return None
    if words[0] == "__complete" and done.returncode == 0:
        # offers less, in silence
        good = done.stderr == b"" and expected.stdout.startswith(done.stdout) and after == before
        good = good and done.stdout[-1:] in (b"", b"\n")
        return None if good else f"completes {done.stdout[-80:]} {done.stderr[:200]}"
    errors = done.stderr
    if done.returncode != MACHINE:
        return f"ended with {done.returncode}: {errors[-300:]}"
    log_written = WRITTEN in errors
    if log_written:
        lines = errors.splitlines(keepends=True)
        errors = b"".join(line for line in lines if WRITTEN not in line)
        if words[0] != "record" or len(lines) - errors.count(b"\n") != 1:
            return f"says {done.stderr[-300:]}"
    told = errors
    for line in expected.stderr.splitlines(keepends=True):  # warnings that it has without, too
        if told.startswith(line) and told != line:
            told = told[len(line):]
    if not MEMORY.match(told):
        return f"says {done.stderr[-300:]}"
    if not expected.stdout.startswith(done.stdout):
        return f"answers {done.stdout[:80]}"
    if log_written:
        names = {name for name in usual_after if name not in before or usual_after[name] != before[name]}
        logs = {name for name in names if name.endswith(".xml")}
        before = before | {name: usual_after[name] for name in logs}
    if after != before:
        changed = sorted(n for n in after.keys() | before.keys() if after.get(n) != before.get(n))
        return f"changed {changed}, {log_written=}"
    return None


class Runs:
    """All runs, shared by so many threads, each in its own place."""

    def __init__(self, files, before, out):
        self.files, self.before, self.out = files, before, out
        self.lock = threading.Lock()
        self.ends = collections.Counter()
        self.faults = collections.Counter()
        self.examples = {}

    def note(self, words, at, on, got, usual, wrong):
        done = got[0]
        how = ("as without" if done.returncode == usual[0].returncode and done.returncode != MACHINE
               else f"killed by {signal.Signals(-done.returncode).name}" if done.returncode < 0
               else f"status {done.returncode}")
        with self.lock:
            self.ends[how] += 1
            if wrong:
                self.faults[words[0]] += 1
                self.examples.setdefault((words, how), (at, on, wrong))

    def once_answered(self, place, words, usual):
        """Once there is an answer in its new file, the rest is told without asking for memory."""
        got = place.run(words, answer=words[-1])
        same = (got[0].returncode, got[0].stderr, got[1]) == (usual[0].returncode, usual[0].stderr, usual[1])
        wrong = None if same else f"once {words[-1]} is there, says {got[0].stderr[-300:]}"
        self.note(words, "the first from there", True, got, usual, wrong)

    def all(self, jobs, threads):
        jobs = collections.deque(jobs)

        def work(number):
            with tempfile.TemporaryDirectory(prefix="coaming-test-") as parent:
                place = Place(Path(parent).resolve(), number, self.files)
                while True:
                    try:
                        words, usual, at, on = jobs.popleft()
                    except IndexError:
                        return
                    got = place.run(words, at, on, self.before)
                    self.note(words, at, on, got, usual, judge(words, usual, self.files, got))
        workers = [threading.Thread(target=work, args=(n,)) for n in range(threads)]
        for worker in workers:
            worker.start()
        for worker in workers:
            worker.join()


def drawn(dice, calls, loading, each):
    """Numbers of calls: some of what is asked until a ship is loaded, more of the rest; few: all."""
    first, rest = range(1, min(calls, loading) + 1), range(loading + 1, calls + 1)
    if calls <= 2 * each:
        return range(1, calls + 1)
    few = max(1, each // 4)
    return sorted(dice.sample(first, min(len(first), few)) + dice.sample(rest, min(len(rest), each)))


BEFORE = 32


def unlike(marks, seen):
    """Numbers of the calls that come after other calls than any in seen, to which all are added."""
    ways = [marks[max(0, number - BEFORE):number + 1].tobytes() for number in range(len(marks))]
    numbers = [number + 1 for number, way in enumerate(ways) if way not in seen]
    seen.update(ways)
    return numbers


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("--all", action="store_true", help="each call that is not as one of another run")
    parser.add_argument("--each", type=int, default=60, help="calls drawn of each command (60)")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", help="commands, with commas between them")
    parser.add_argument("--valgrind", action="store_true", help="a few runs looked over by valgrind")
    asked = parser.parse_args()
    started, dice = time.monotonic(), random.Random(asked.seed)
    files = make_files()
    runs = [words for words in every_run()
            if not asked.only or words[0] in asked.only.split(",")]
    before = GRIND if asked.valgrind else ()
    every = Runs(files, before, None)
    jobs, total, seen = [], 0, set()
    with tempfile.TemporaryDirectory(prefix="coaming-test-") as parent:
        place = Place(Path(parent).resolve(), 0, files)
        place.run(("check", "barge.xml", *AS_OF))
        loading = int(place.count.read_text())
        for words in runs:
            usual = place.run(words)
            if usual[0].returncode not in (0, 1) and words in every_run()[:-len(MORE)]:
                sys.exit(f"{words} does not run: {usual[0].stderr}")
            calls = int(place.count.read_text())
            total += calls
            marks = array.array("I", place.marks.read_bytes())
            if words[-1] in usual[1] and words[-1] not in files:
                every.once_answered(place, words, usual)
            chosen = unlike(marks, seen) if asked.all else drawn(dice, calls, loading, asked.each)
            for number in chosen:
                ways = (False, True) if asked.all else (dice.random() < 0.5,)
                jobs += [(words, usual, number, on) for on in ways]
    dice.shuffle(jobs)
    every.all(jobs, os.cpu_count() or 1)
    seconds = time.monotonic() - started
    print(f"{len(runs)} runs of {len({w[0] for w in runs})} commands, {total} calls for memory; "
          f"{len(jobs)} of them failed in turn (seed {asked.seed}), in {seconds:.0f} s: "
          + ", ".join(f"{count} {how}" for how, count in sorted(every.ends.items())))
    for (words, how), (at, on, wrong) in sorted(every.examples.items()):
        print(f"  {' '.join(words)}: call {at}{' and on' if on else ''}: {how}: {wrong}")
    if every.faults:
        sys.exit("WRONG: " + ", ".join(f"{n} of {c}" for c, n in sorted(every.faults.items())))


if __name__ == "__main__":
    main()
