#!/usr/bin/python3
"""How long it takes to record into a log and to tell what is due, as the log grows.

Prints, for logs of 2,000, 20,000 and 200,000 entries: seconds of record without and with the ship,
of due, and of a plain baseline in the same run (the log parsed whole into a tree, one entry added,
the tree written beside, synced and renamed); and how much longer each takes than on the log before,
beside how much longer the log is. Medians of several runs. The times of the program hold its start,
which stands first; those of the baseline hold none. Asserts nothing about time; the entries in
the log are counted at the end. Usage: bench_log.py --coaming PROGRAM [--most ENTRIES] [--root SOURCE-TREE]
"""

import argparse
import os
import statistics
import subprocess
import sys
import tempfile
import time
import xml.etree.ElementTree as ET
from pathlib import Path

SIZES = (2_000, 20_000, 200_000)
NS = "urn:coaming:test-log:1"
CLOSURES = ("D1", "D4", "D9", "D11", "D13", "D22", "D23", "D25", "D35", "D36", "H5", "H7", "M5")


def log_text(entries):
    lines = []
    for k in range(entries):
        day = f"20{k * 20 // entries + 6:02}-{k % 12 + 1:02}-{k % 28 + 1:02}"
        head = f'  <test closure="{CLOSURES[k % len(CLOSURES)]}" date="{day}" method="chalk" '
        lines.append(head + (f'result="fail" by="AB">\n    <gap at="{k % 200 / 100}" length="0.1"/>'
                             '\n  </test>\n' if k % 10 == 0 else 'result="pass" by="AB"/>\n'))
    return (f'<?xml version="1.0" encoding="UTF-8"?>\n<test-log xmlns="{NS}" '
            'arrangement="Fathom Lark">\n' + "".join(lines) + "</test-log>\n")


def plain(log, note):
    """The baseline: what a short program would do."""
    ET.register_namespace("", NS)
    tree = ET.parse(log)
    ET.SubElement(tree.getroot(), f"{{{NS}}}test", closure="D4", date="2026-11-03", method="chalk",
                  result="pass", note=note)
    beside = log.with_suffix(".beside")
    with open(beside, "wb") as out:
        tree.write(out, encoding="UTF-8", xml_declaration=True)
        out.flush()
        os.fsync(out.fileno())
    beside.rename(log)


def median_seconds(work, runs):
    times = []
    for k in range(runs):
        before = time.perf_counter()
        work(k)
        times.append(time.perf_counter() - before)
    return statistics.median(times)


def run(*words, good=(0,)):
    done = subprocess.run(words, capture_output=True, text=True, check=False)
    if done.returncode not in good:
        sys.exit(f"bench_log: {' '.join(words)}: {done.returncode}: {done.stderr}")


def measure(program, ship, log, entries):
    runs = 7 if entries < 100_000 else 3

    def record(*more):
        return lambda k: run(program, "record", str(log), "D4", "chalk", "pass", "--date", "2026-11-03",
                             "--note", f"{len(more)} {k}", *more)
    log.write_text(log_text(entries))
    seconds = {"record": median_seconds(record(), runs),
               "record --ship": median_seconds(record("--ship", ship), runs),
               "due": median_seconds(lambda k: run(
                   program, "due", ship, "--log", str(log), "--as-of", "2026-11-10", good=(0, 1)),
                   runs),
               "plain baseline": median_seconds(lambda k: plain(log, f"plain {k}"), runs)}
    found, expected = len(ET.parse(log).getroot()), entries + 3 * runs
    if found != expected:
        sys.exit(f"bench_log: {found} entries in the log instead of {expected}")
    return seconds


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--coaming", required=True)
    parser.add_argument("--most", type=int, default=SIZES[-1], help="entries of a log")
    parser.add_argument("--root", default=str(Path(__file__).resolve().parents[2]))
    asked = parser.parse_args()
    start = median_seconds(lambda k: run(asked.coaming, "--version"), 15)
    print(f"start of the program {start * 1e3:.1f} ms")
    ship, last = str(Path(asked.root) / "examples" / "fathom-lark.xml"), None
    with tempfile.TemporaryDirectory(prefix="coaming-bench-") as folder:
        for entries in (size for size in SIZES if size <= asked.most):
            log = Path(folder) / "log.xml"
            seconds = measure(asked.coaming, ship, log, entries)
            print(f"log of {entries} entries, {log.stat().st_size} bytes"
                  f"{'' if last is None else f', {entries / last[0]:.0f} times the one before'}")
            for what, value in seconds.items():
                grown = "" if last is None else f"  {value / last[1][what]:5.1f} times as long"
                print(f"  {what:15} {value * 1e3:9.1f} ms  {value / entries * 1e6:7.2f} us an entry"
                      f"{grown}")
            print(f"  the baseline takes {seconds['plain baseline'] / seconds['record']:.1f} times "
                  f"as long as record, {seconds['plain baseline'] / seconds['record --ship']:.1f} "
                  "times as long as record --ship", flush=True)
            last = entries, seconds


if __name__ == "__main__":
    main()
