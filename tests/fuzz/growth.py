#!/usr/bin/python3
"""How the work of a command grows with a ship: instructions are counted, by cachegrind, not seconds.

Each command is asked of an attack of attack.py at a size and at its double. What it takes for the
smallest such ship is taken off both, for reading libraries in is no work of the ship. The double may
take up to three times the work: what grows with the square takes four.

Usage: growth.py --coaming PROGRAM [--only COMMAND]... [KIND...]; needs valgrind.
"""

import argparse
import os
import re
import subprocess
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent))
import attack  # noqa: E402
import attacks  # noqa: E402

SMALLEST, MOST = 3, 3.0
# By kind and command the size that is doubled: so large that what grows with the square shows.
CASES = {
    "chain": {"report": 300, "expose": 300, "hold": 1000, "casualty": 1000},
    "star": {"expose": 1000},
    "parallel": {"plan": 250},
    "decks": {"check": 8000},
    "undos": {"check": 6000, "due": 6000, "record": 4000},
    "repairs": {"check": 4000, "due": 4000, "record": 4000},
}


def instructions(words):
    """How many the program ran; its status must be one of an answer."""
    with tempfile.NamedTemporaryFile("r") as log:
        done = subprocess.run(["valgrind", "--tool=cachegrind", "--cache-sim=no", "--cachegrind-out-file=/dev/null",
                               f"--log-file={log.name}", *words], stdin=subprocess.DEVNULL,
                              stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, check=False)
        if done.returncode not in (0, 1):
            sys.exit(f"{' '.join(words)}: status {done.returncode}: {done.stderr.decode()[:300]}")
        return int(re.search(r"I +refs: +([\d,]+)", log.read()).group(1).replace(",", ""))


def work(program, kind, command, size):
    with tempfile.TemporaryDirectory(prefix="coaming-growth-") as folder:
        made = Path(folder) / f"{kind}.xml"
        made.write_text("".join(attack.BY_NAME[kind](size)), encoding="utf-8")
        return instructions(attacks.commands(kind, program, str(made), Path(folder))[command])


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--coaming", default=os.environ.get("COAMING"))
    parser.add_argument("--only", action="append", help="a command")
    parser.add_argument("kinds", nargs="*")
    asked, wrong = parser.parse_args(), 0
    kinds = asked.kinds or list(CASES)
    known = {command for kind in kinds for command in CASES.get(kind, ())}
    for word in [kind for kind in kinds if kind not in CASES] + [c for c in asked.only or () if c not in known]:
        print(f"growth.py: no case is called '{word}'", file=sys.stderr)
        sys.exit(2)
    for kind in kinds:
        for command, size in CASES[kind].items():
            if asked.only and command not in asked.only:
                continue
            least, half, whole = (work(asked.coaming, kind, command, n) for n in (SMALLEST, size, 2 * size))
            grown = (whole - least) / (half - least)
            wrong += grown > MOST
            print(f"{kind:9} {command:9} {size:5} {(half - least) / 1e6:9.1f} million instructions, its double "
                  f"{grown:4.2f} times{'  TOO MUCH' if grown > MOST else ''}", flush=True)
    sys.exit(1 if wrong else 0)


if __name__ == "__main__":
    main()
