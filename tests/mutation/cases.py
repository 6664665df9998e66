"""Runs single cases of a file of tests of the commands.

  cases.py FILE            each case by itself; for each a line of JSON: name, seconds, whether it passed,
                           and which of MUTANTS_REACHED it came by
  cases.py FILE CASE...    these, until one fails

Environment: as the file's own, and what mutant.c reads.
"""

import importlib.util
import json
import os
import sys
import time
import unittest
from pathlib import Path

sys.dont_write_bytecode = True


def load(path):
    sys.path.insert(0, str(Path(path).resolve().parent))
    spec = importlib.util.spec_from_file_location("cases", path)
    module = importlib.util.module_from_spec(spec)
    sys.modules["cases"] = module
    spec.loader.exec_module(module)
    return module


def single(suite):
    for test in suite:
        if isinstance(test, unittest.TestSuite):
            yield from single(test)
        else:
            yield test


def run(tests):
    with open(os.devnull, "w") as nowhere:
        return unittest.TextTestRunner(stream=nowhere, failfast=True).run(unittest.TestSuite(tests))


def each(tests):
    marks = Path(os.environ["MUTANTS_REACHED"])
    size = marks.stat().st_size
    for test in tests:
        name = test.id()
        marks.write_bytes(bytes(size))
        began = time.monotonic()
        result = run([test])
        took = time.monotonic() - began
        reached = [i for i, mark in enumerate(marks.read_bytes()) if mark]
        print(json.dumps([name, took, result.wasSuccessful() and not result.skipped, reached]), flush=True)


def main(path, *names):
    tests = list(single(unittest.defaultTestLoader.loadTestsFromModule(load(path))))
    if not names:
        each(tests)
        return 0
    by_name = {test.id(): test for test in tests}
    return 0 if run([by_name[name] for name in names]).wasSuccessful() else 1


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
