#!/usr/bin/python3
"""Every call of the system that opens, reads, changes or closes a file fails in turn, once or from
there on, or the program is killed at it: for answers of every kind, to files and to standard output,
and for `record`.

Held to: status 4 (3 where an input cannot be opened) and one line that says why, or all as if nothing
had failed; the file of the answer and the log are the old or the new text, byte for byte, and of a log
what is said is true of it; nothing is left beside them, but for what the fault itself kept from being
removed or a kill left; and the next run is as good as ever.

Of many writes of one file, one after the other, the first and last few are taken, the others drawn by
a seed; --all takes them all. Prints how many runs there were, and how they ended.

Needs Python 3.11, its standard library only, and a Linux that lets calls be watched (seccomp).
Environment: COAMING, the program; COAMING_ROOT, the source tree; FAIL_CALL_MODULE, the module of
fail_call.c. The ships are the examples.
"""

import argparse
import collections
import concurrent.futures
import errno
import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from harness import AS_OF, BARGE, COAMING, EXAMPLES, INPUT, MACHINE, log, surroundings, tested

MODULE = os.environ["FAIL_CALL_MODULE"]
DAY = ("--date", "2026-11-01")
SHIP = "barge.xml"
OLD = b"the old answer\n" * 40
# A run's words, and where its answer goes: to a file in place of an old one or a new one, to a file
# behind a link, or to standard output, which then is a file.
RUNS = (
    ("check", SHIP, "-o", "new"), ("rank", SHIP, "--format", "json", "-o", "old"),
    ("expose", SHIP, "--all", "--format", "csv", "-o", "link"), ("draw", SHIP, "-o", "old"),
    ("casualty", SHIP, "--format", "html", "-o", "new"), ("report", SHIP, "-o", "old"),
    ("due", SHIP, "--all", "--format", "ical", "-o", "new"),
    ("export", SHIP, "--format", "graphml", "-o", "old"),
    ("export", SHIP, "--format", "dot", "-o", "new"), ("rank", SHIP), ("report", SHIP),
    ("casualty", SHIP, "--source", "machinery", "--follow", "reports"),
    ("check", SHIP, "--log", "log.xml", "--format", "json"), ("check", "--help"), ("--version",),
    ("import", "--spaces", "launch-spaces.csv", "--closures", "launch-closures.csv",
     "--name", "Launch", "--size", "14x4x2.4", "--draft", "1.1", "-o", "old"),
    ("record", "log.xml", "D1", "chalk", "pass", *DAY),
    ("record", "log.xml", "D1", "chalk", "fail", "1:0.2", "--ship", SHIP, *DAY, "-o", "old"),
    ("record", "loglink.xml", "D1", "chalk", "pass", "--ship", SHIP, *DAY),
    ("record", "first.xml", "D1", "chalk", "pass", "--ship", SHIP, *DAY),
    ("record", "first.xml", "D1", "chalk", "pass", "--ship", SHIP, *DAY, "-o", "new"),
    ("record", "log.xml", "--sheet", "round.csv", "--ship", SHIP, *DAY),
    ("record", "first.xml", "--sheet", "round.csv", "--ship", SHIP, *DAY),
)
ERRORS = {errno.EIO: None, errno.ENOSPC: None,  # None: of every call
          errno.EINTR: ("open", "read", "write", "flock", "fsync", "ftruncate", "close")}
INPUTS = ("barge.xml", "reports", "log.xml", "round.csv", "launch-spaces.csv", "launch-closures.csv")
WRITTEN = "the log has been written all the same"
TAKES_ROOM = ("write", "fsync", "ftruncate", "rename", "link")
FEW = 3


def make_files():
    barge = BARGE.read_text()
    name = barge.split(' name="', 1)[1].split('"', 1)[0]
    return {"barge.xml": barge.encode(), "old": OLD, "behind": OLD, "reports": b'{"open": "D2"}\n' * 3,
            "log.xml": log(tested("D1", "2026-08-01", "fail"), tested("D2", "2026-09-01", "pass"),
                           ship=name).encode(),
            "round.csv": b"closure,method,result\nD1,chalk,pass\nH1,hose,pass\n",
            **{f: (EXAMPLES / f).read_bytes() for f in ("launch-spaces.csv", "launch-closures.csv")}}


LINKS = {"link": "behind", "loglink.xml": "log.xml"}
FILES = make_files()
BEFORE = FILES | LINKS | {"said": b""}


class Place:
    """A folder to run in; standard output is the file `said` there."""

    def __init__(self, parent):
        self.folder = Path(parent) / "place"
        self.trace = Path(parent) / "trace"
        self.lay_out()

    def lay_out(self):
        shutil.rmtree(self.folder, ignore_errors=True)
        self.folder.mkdir()
        for name, content in FILES.items():
            (self.folder / name).write_bytes(content)
        for name, to in LINKS.items():
            (self.folder / name).symlink_to(to)
        (self.folder / "said").touch()

    def state(self):
        return {p.name: os.readlink(p) if p.is_symlink() else p.read_bytes()
                for p in self.folder.iterdir()}

    def run(self, words, at=0, error=0, on=False):
        words = [*words]
        words += AS_OF if words[0] not in ("record", "import", "--version") else ()
        more = {"LD_PRELOAD": MODULE, "FAIL_IN": str(self.folder), "FAIL_AT": str(at),
                "FAIL_ERROR": str(error), "FAIL_ON": str(int(on)), "FAIL_TRACE": str(self.trace)}
        with open(self.folder / "said", "wb") as said:
            done = subprocess.run([COAMING, *words], cwd=self.folder, stdin=subprocess.DEVNULL, stdout=said,
                                  stderr=subprocess.PIPE, timeout=600, check=False,
                                  env=surroundings(**more))
        if done.returncode == 98:
            sys.exit("calls cannot be watched here")
        return done, self.state()

    def calls(self):
        """What the last run called, with the names of the files."""
        lines = (line.split(" ", 1) for line in self.trace.read_text().splitlines())
        return [(what, Path(path.removesuffix(" (deleted)")).name) for what, path in lines]


def changed(one, other):
    return sorted(n for n in one.keys() | other.keys() if one.get(n) != other.get(n))


def is_beside(name):
    """What a run that was stopped may leave."""
    stem, _, ending = name.rpartition(".")
    return ending in ("unfinished", "begun") or (stem in ("old", "new", "behind") and len(ending) == 6)


class Judge:
    """What is wrong with one run; None: nothing."""

    def __init__(self, words, usual, call, error, on):
        self.words, self.call, self.error, self.on = words, call, error, on
        self.expected, self.good = usual
        self.logs = [n for n in changed(self.good, BEFORE) if n in ("log.xml", "first.xml")]

    def __call__(self, done, after):
        left = [n for n in after if n not in self.good and n not in BEFORE]
        plain = {n: content for n, content in after.items() if n not in left}
        if (done.returncode, done.stderr, plain) == (self.expected.returncode, self.expected.stderr,
                                                     self.good):
            return self.beside(left) if self.may_pass() else "passed over in silence"
        if not self.error:
            return self.killed(done, plain) or self.beside(left)
        return self.told(done) or self.kept(done, plain) or self.beside(left)

    def may_pass(self):
        """Is nothing lost by a run that goes on as if the call had not failed?"""
        what, name = self.call
        if self.error == errno.EINTR:  # it may be made again
            return True
        if self.on and self.error == errno.ENOSPC and what not in TAKES_ROOM:
            return True  # nothing failed
        if what == "unlink":  # judged by what is left
            return True
        if what == "close":  # of what was only read, or has been synced
            return name in INPUTS or name == "place" or name.endswith((".begun", ".unfinished"))
        if what == "open":  # a look whether somebody left it
            return name == "log.xml.begun"
        return False

    def beside(self, left):
        may = not self.error or self.call[0] == "unlink" or (self.on and self.error == errno.EIO)
        wrong = [n for n in left if not (may and is_beside(n))]
        return f"left {wrong}" if wrong else None

    def killed(self, done, plain):
        if done.returncode != -signal.SIGKILL or not self.expected.stderr.startswith(done.stderr):
            return f"ended with {done.returncode}: {done.stderr[-200:]}"
        return self.whole(plain, [n for n in changed(self.good, BEFORE) if n != "said"])

    def whole(self, plain, may):
        """Old or new, each of these; all others old. What was said to standard output stays said: a
        part, or with a hole where one write failed and the next did not."""
        hole = self.call == ("write", "said") and self.error and not self.on
        for name in changed(plain, BEFORE):
            part = name == "said" and (hole or self.good[name].startswith(plain[name]))
            if not part and not (name in may and plain.get(name) == self.good.get(name)):
                return f"changed {name}: {str(plain.get(name))[:80]}"
        return None

    def told(self, done):
        """The reason in one line, behind what a good run says too."""
        lines = done.stderr.decode().splitlines()
        for line in self.expected.stderr.decode().splitlines():
            if lines and lines[0] == line:
                lines.pop(0)
        if not lines or not all(line.startswith("coaming: ") for line in lines):
            return f"says {done.stderr[-300:]}"
        may = {os.strerror(self.error)}
        if self.call[0] == "write" and not self.on:  # what later writes do not say again
            may.add(os.strerror(errno.EIO))
        first, last = lines[0], lines[-1]
        if not any(reason in first for reason in may) or len(lines) > 1 + (WRITTEN in last):
            return f"says {done.stderr[-300:]}"
        opens = "written" not in first and any(f"{name}: " in first for name in INPUTS)
        opens = opens and (self.on or self.call[0] == "open")
        if done.returncode != MACHINE and not (opens and done.returncode == INPUT):
            return f"ended with {done.returncode}: {done.stderr[-300:]}"
        return None

    def kept(self, done, plain):
        """A log is new if and only if that is said, and another answer is old."""
        text = done.stderr.decode()
        written = WRITTEN in text or "has been written, but" in text
        missing = [n for n in self.logs if plain.get(n) != self.good[n]]
        if written and (missing or not self.logs):
            return f"says {text!r}, but {missing} is old"
        return self.whole(plain, self.logs if written else [])


def taken(dice, calls, every):
    """Numbers of calls; of a long row of the same only some."""
    numbers, start = [], 0
    for end in range(1, len(calls) + 1):
        if end < len(calls) and calls[end] == calls[start]:
            continue
        row = list(range(start + 1, end + 1))
        if len(row) > 3 * FEW and not every:
            row = row[:FEW] + dice.sample(row[FEW:-FEW], FEW) + row[-FEW:]
        numbers += sorted(row)
        start = end
    return numbers


def all_jobs(words, place, dice, every):
    """Every way in which a run is to fail."""
    place.lay_out()
    usual = place.run(words)
    if usual[0].returncode not in (0, 1):
        sys.exit(f"{words} does not run: {usual[0].stderr}")
    calls = place.calls()
    for at in taken(dice, calls, every):
        yield words, usual, calls[at - 1], at, 0, False
        for error, only in ERRORS.items():
            if only is None or calls[at - 1][0] in only:
                yield words, usual, calls[at - 1], at, error, False
            if only is None:
                yield words, usual, calls[at - 1], at, error, True


def work_off(jobs, wrong, ends):
    with tempfile.TemporaryDirectory(prefix="coaming-test-") as parent:
        place = Place(Path(parent).resolve())
        while True:
            try:
                words, usual, call, at, error, on = jobs.popleft()
            except IndexError:
                return
            done, after = place.run(words, at, error, on)
            fault = Judge(words, usual, call, error, on)(done, after)
            if not fault and after != BEFORE:
                fault = next_run(place, words, usual, after)
            how = "killed" if done.returncode < 0 else \
                f"status {done.returncode}" if done.returncode >= 3 else "as without"
            ends[how] += 1
            if fault:
                name = errno.errorcode[error] if error else "kill"
                wrong.append((" ".join(words), at, *call, f"{name}{' on' if on else ''}", fault))
            place.lay_out()


def next_run(place, words, usual, after):
    """Whatever was left, the next run is good: an answer as ever, a log with the entry once more."""
    done, state = place.run((*words, "--again") if words[0] == "record" else words)
    if done.returncode != usual[0].returncode or done.stderr != usual[0].stderr:
        return f"the next run ended with {done.returncode}: {done.stderr[-200:]}"
    if words[0] != "record":
        rest = [n for n in changed(state, usual[1]) if not (n in after and is_beside(n))]
        return f"the next run differs in {rest}" if rest else None
    name = next(n for n in ("first.xml", "log.xml") if state.get(n) != FILES.get(n))
    entries = state[name].count(b"<test ") - after.get(name, b"").count(b"<test ")
    if entries != usual[1][name].count(b"<test ") - BEFORE.get(name, b"").count(b"<test "):
        return f"the next run put {entries} into {name}"
    left = [n for n in state if n.startswith(name + ".")]
    return f"the next run left {left}" if left else None


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("--all", action="store_true", help="every write of many")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", help="commands, with commas between them")
    asked = parser.parse_args()
    started, dice = time.monotonic(), random.Random(asked.seed)
    runs = [words for words in RUNS if not asked.only or words[0] in asked.only.split(",")]
    jobs, wrong, ends = collections.deque(), [], collections.Counter()
    with tempfile.TemporaryDirectory(prefix="coaming-test-") as parent:
        place = Place(Path(parent).resolve())
        for words in runs:
            jobs += all_jobs(words, place, dice, asked.all)
    count, kinds = len(jobs), collections.Counter(job[2][0] for job in jobs)
    with concurrent.futures.ThreadPoolExecutor(os.cpu_count()) as pool:
        for done in [pool.submit(work_off, jobs, wrong, ends) for _ in range(os.cpu_count())]:
            done.result()
    print(f"{len(runs)} runs; {count} times a call failed or killed, in {time.monotonic() - started:.0f} s: "
          + ", ".join(f"{n} {how}" for how, n in sorted(ends.items())))
    print("  by call: " + ", ".join(f"{n} {what}" for what, n in kinds.most_common()))
    for words, at, what, name, how, fault in sorted(wrong):
        print(f"  {words}: call {at} ({what} {name}), {how}: {fault}")
    if wrong:
        sys.exit(f"WRONG: {len(wrong)} of {count}")


if __name__ == "__main__":
    main()
