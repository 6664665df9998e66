#!/usr/bin/python3
"""Spends seconds of the processor on one target of the fuzzer, however busy the machine: spend.py ROOT SECONDS TARGET.

In rounds, for the fuzzer knows only the clock on the wall; what is spent is kept beside the corpus, so that a
run cut short is taken up again. A find ends it with status 1. What takes a minute is a find too.
"""

import os
import resource
import subprocess
import sys
from pathlib import Path

ROUND = 120


def main():
    root, seconds, target = Path(sys.argv[1]), float(sys.argv[2]), sys.argv[3]
    at = root / ".build/fuzz" / target
    for folder in (at / "corpus", at / "found"):
        folder.mkdir(parents=True, exist_ok=True)
    kept = at / "spent"
    spent = float(kept.read_text()) if kept.exists() else 0.0
    inputs = [at / "corpus", root / "tests/fuzz/seeds" / target]
    while spent < seconds:
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        with open(at / "log", "a") as log:
            ended = subprocess.run(
                [root / ".build/fuzzing/tests/fuzz/fuzzer", f"-max_total_time={max(1, min(ROUND, int(seconds - spent) + 1))}",
                 "-timeout=60", "-report_slow_units=60", "-rss_limit_mb=4096", "-max_len=20000", "-len_control=20", "-close_fd_mask=3",
                 "-print_final_stats=1", f"-dict={root}/tests/fuzz/coaming.dict", f"-artifact_prefix={at}/found/", *inputs],
                stderr=log, env={**os.environ, "COAMING_FUZZ": target}).returncode
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        spent += after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
        kept.write_text(f"{spent:.1f}\n")
        if ended:
            break
    told = [line for line in (at / "log").read_text(errors="replace").splitlines()]
    runs = sum(int(line.split()[-1]) for line in told if line.startswith("stat::number_of_executed_units"))
    reached = [line for line in told if " cov: " in line][-1:] or ["nothing reached"]
    print(f"== {target}: {spent:.0f} s of the processor, {runs} runs, {len(os.listdir(at / 'corpus'))} kept, "
          f"{len(os.listdir(at / 'found'))} found\n   {reached[0]}", flush=True)
    return 1 if os.listdir(at / "found") else 0


if __name__ == "__main__":
    sys.exit(main())
