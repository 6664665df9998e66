#!/usr/bin/python3
"""Every command on every attack of attack.py: seconds and peak memory, and how they grow.

Each attack is asked at a quarter, at half and at the whole of its size (--scale: of a part of it),
by every command that is of use on it, one at a time, with a stack of 256 kB. Printed are seconds, MB,
and how much longer the whole takes than the half: doubling the size should at most treble it.
Nothing is judged by the clock but a hang: no run may take longer than ten minutes. What is judged is
how each run ends: by an answer or by told faults (statuses 0 to 3), never by a signal.

Usage: attacks.py --coaming PROGRAM [--scale SHARE] [--slow SECONDS] [KIND...]
"""

import argparse
import os
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent))
import attack  # noqa: E402

STACK, HANG = 256 * 1024, 600
DAY = ["--as-of", "2026-11-10"]
STILL = ["--level", "still"]
ASKED = {
    "check": [], "expose": ["--all", *STILL], "rank": STILL, "plan": ["--hours", "10", *STILL],
    "export": STILL, "float": [], "flood": ["--breach", "s0:0.1", "--until", "10min"], "survival": [],
    "hold": ["--source", "s0", *STILL], "boundary": ["s0"], "casualty": ["--source", "s0", *STILL],
    "air": ["--source", "s0:0.01m3/s"], "draw": [], "report": STILL, "due": [], "round": ["--top", "20"],
    "adjust": [], "history": ["c0"],
}
FLOATS = ("rank", "plan", "expose", "hold", "casualty", "export", "report")  # where she is given kg
FLOATED = ("float", "flood", "survival")  # which need it
LOGS = ("log", "undos", "repairs")  # of the chain of 10
SHEETS = ("doubled", "heading", "headings", "rows")
ENDS_WELL = (0, 1, 2, 3)


def commands(kind, program, made, folder):
    """What is asked of a file: words by name."""
    if kind in SHEETS:
        return {"import": [program, "import", "--spaces", made, "--closures", made, "--name", "Attack",
                           "--size", "100x10x6", "--draft", "3"],
                "record": [program, "record", str(folder / "new.xml"), "--sheet", made]}
    ship, log = made, []
    if kind in LOGS:
        ship = str(folder / "ship.xml")
        Path(ship).write_text("".join(attack.chain(10)), encoding="utf-8")
        log = ["--log", made]
    words = {name: [program, name, ship, *more, *log, *DAY] for name, more in ASKED.items()}
    if ' kg="' in Path(ship).read_text(encoding="utf-8")[:1000]:
        for name in FLOATS:
            words[f"{name} settled"] = [word for word in words[name] if word not in STILL]
    else:
        for name in FLOATED:
            del words[name]
    if kind in LOGS:
        words["record"] = [program, "record", made, "c0", "chalk", "pass", "--date", "2026-11-10", "--ship", ship]
    return words


def limited():
    resource.setrlimit(resource.RLIMIT_STACK, (STACK, STACK))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def measure(words):
    """Status (None: hung), seconds of the processor, peak MB, last line of errors."""
    with tempfile.TemporaryFile() as errors:
        begun = time.monotonic()
        child = subprocess.Popen(words, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL,
                                 stderr=errors, preexec_fn=limited)
        while True:
            found, status, used = os.wait4(child.pid, os.WNOHANG)
            if found:
                break
            if time.monotonic() - begun > HANG:
                child.kill()
                os.wait4(child.pid, 0)
                child.returncode = -9
                return None, HANG, 0, "hangs"
            time.sleep(0.005)
        child.returncode = os.waitstatus_to_exitcode(status)
        errors.seek(0)
        lines = errors.read().decode("utf-8", "replace").splitlines()
    return (child.returncode, used.ru_utime + used.ru_stime, used.ru_maxrss / 1024,
            lines[0][:100] if lines else "")


def one_kind(kind, program, scale, slow, only):
    """Prints a table; returns what went wrong."""
    wrong, sizes = [], [max(1, int(attack.KINDS[attack.BY_NAME[kind]] * scale * part)) for part in (0.25, 0.5, 1)]
    sizes = sorted({max(size, 3) for size in sizes})
    rows = {}
    with tempfile.TemporaryDirectory(prefix="coaming-attack-") as folder:
        folder = Path(folder)
        for size in sizes:
            made = folder / f"{kind}.{'csv' if kind in SHEETS else 'xml'}"
            with open(made, "w", encoding="utf-8") as out:
                out.writelines(attack.BY_NAME[kind](size))
            for name, words in commands(kind, program, str(made), folder).items():
                if only and name not in only or name in rows and rows[name][-1][1] > slow:
                    continue
                if "check" in rows and rows["check"][0][3] == 3 and name not in ("check", "draw"):
                    continue  # a file that does not load is one thing to all commands
                status, seconds, memory, told = measure(words)
                rows.setdefault(name, []).append((size, seconds, memory, status, told))
                if status not in ENDS_WELL:
                    wrong.append(f"{kind} {size}: {name}: status {status}: {told}")
    print(f"{kind}: sizes {', '.join(map(str, sizes))}")
    for name, found in rows.items():
        last = found[-1]
        grown = f"{last[1] / found[-2][1]:5.1f} times" if len(found) > 1 and found[-2][1] > 0.05 else " " * 11
        print(f"  {name:17}{'  '.join(f'{row[1]:7.2f} s' for row in found)}  {last[2]:6.0f} MB  {grown}"
              f"  {last[3]}{'' if not last[4] else '  ' + last[4]}")
    sys.stdout.flush()
    return wrong


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--coaming", default=os.environ.get("COAMING"))
    parser.add_argument("--scale", type=float, default=1.0)
    parser.add_argument("--slow", type=float, default=60.0, help="ask no larger size after so many seconds")
    parser.add_argument("--only", action="append", help="a command")
    parser.add_argument("kinds", nargs="*")
    asked = parser.parse_args()
    wrong = []
    for kind in asked.kinds or attack.BY_NAME:
        wrong += one_kind(kind, asked.coaming, asked.scale, asked.slow, asked.only)
    for line in wrong:
        print(line, file=sys.stderr)
    sys.exit(1 if wrong else 0)


if __name__ == "__main__":
    main()
