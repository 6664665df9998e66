#!/usr/bin/python3
"""Spends seconds of the processor on one target of the fuzzer, however busy the machine: spend.py ROOT SECONDS TARGET.

What is spent is kept beside the corpus, so that a run cut short is taken up where it was left; what has been
spent whole begins anew. The fuzzer itself knows only the clock on the wall, so it is asked to end when its
processor time is used up. Status 1: something was found (the files are named), or the fuzzer ended by itself.
"""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

OPTIONS = ("-timeout=600", "-report_slow_units=600", "-rss_limit_mb=4096", "-max_len=20000", "-len_control=20",
           "-close_fd_mask=3", "-print_final_stats=1", "-handle_usr1=1")
TICKS = os.sysconf("SC_CLK_TCK")


def used(process):
    """Seconds of the processor that a running process has used."""
    told = Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()
    return (int(told[11]) + int(told[12])) / TICKS


def spend(root, target, at, kept, spent, seconds):
    """Runs until `seconds` are spent; the fuzzer's status, and what it wrote."""
    inputs = [at / "corpus", root / "tests/fuzz/seeds" / target]
    begun = spent
    with open(at / "log", "w+", errors="replace") as log:
        child = subprocess.Popen(
            [root / ".build/fuzzing/tests/fuzz/fuzzer", *OPTIONS, f"-dict={root}/tests/fuzz/coaming.dict",
             f"-artifact_prefix={at}/found/", *inputs],
            stderr=log, env={**os.environ, "COAMING_FUZZ": target})
        while child.poll() is None:
            spent = begun + used(child.pid)
            kept.write_text(f"{spent:.1f}\n")
            if spent >= seconds:
                child.send_signal(signal.SIGUSR1)
                child.wait()
            else:
                time.sleep(2)
        log.seek(0)
        return child.returncode, spent, log.read().splitlines()


def main():
    if len(sys.argv) != 4:
        print(__doc__, file=sys.stderr)
        return 2
    root, seconds, target = Path(sys.argv[1]), float(sys.argv[2]), sys.argv[3]
    at = root / ".build/fuzz" / target
    for folder in (at / "corpus", at / "found"):
        folder.mkdir(parents=True, exist_ok=True)
    kept = at / "spent"
    before = float(kept.read_text()) if kept.exists() else 0.0
    if before >= seconds:
        before = 0.0
    status, spent, told = spend(root, target, at, kept, before, seconds)
    runs = sum(int(line.split()[-1]) for line in told if line.startswith("stat::number_of_executed_units"))
    reached = [line for line in told if " cov: " in line][-1:] or ["nothing reached"]
    found = sorted((at / "found").iterdir())
    earlier = f", {before:.0f} of them before" if before else ""
    print(f"== {target}: {spent:.0f} s of the processor{earlier}, {runs} runs now, "
          f"{len(os.listdir(at / 'corpus'))} kept, {len(found)} found\n   {reached[0]}", flush=True)
    for path in found:
        print(f"   {path}")
    if status or not runs or spent < seconds:
        print(f"   the fuzzer ended by itself, with status {status}:", *told[-5:], sep="\n   ")
        return 1
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
