#!/usr/bin/python3
"""Memory that runs out in the program itself, at every one of its calls for some: told in one line,
exit status 4, no answer by half, no file changed.

Needs Python 3.11, its standard library only.
Environment: COAMING, the program; COAMING_ROOT, the source tree; NO_MEMORY_MODULE, the module of
no_memory.c. The ships are the examples.
"""

import os
import subprocess
import unittest

from harness import AS_OF, BARGE, COAMING, DONE, MACHINE, SMALL, Folder, log, tested

MODULE = os.environ["NO_MEMORY_MODULE"]
RUNS = (("check", "ship.xml"), ("check", "--log", "log.xml", "ship.xml"), ("expose", "ship.xml", "D1"),
        ("expose", "--all", "ship.xml"), ("rank", "ship.xml"), ("plan", "ship.xml", "--hours", "6"),
        ("expose", "ship.xml", "D1", "--open", "D1", "--failed", "D1,H1"),
        ("export", "ship.xml"), ("float", BARGE, "--flooded", "machinery,hold-aft"),
        ("hold", "ship.xml", "--source", "weather", "--protect", "mid,aft"),
        ("hold", "ship.xml", "--source", "fore"),
        ("boundary", "ship.xml", "fore", "--open", "D1"),
        ("casualty", "ship.xml", "--source", "fore,mid"), ("casualty", BARGE, "--source", "machinery"),
        ("air", "ship.xml", "--source", "fore:1g/s:co"), ("air", "ship.xml", "--drop", "500:400:60", "--space", "mid"),
        ("flood", BARGE, "--breach", "machinery:0.1", "--until", "60", "--every", "30", "--shut", "D1@30"),
        ("casualty", BARGE, "--format", "html"),
        ("casualty", BARGE, "--source", "machinery", "--follow", "reports"),
        ("draw", "ship.xml", "--deck", "low", "--profile"),
        ("draw", "ship.xml", "--overlay", "hold", "--source", "weather", "--protect", "mid",
         "--hazard", "water"),
        ("draw", "ship.xml", "--overlay", "hold", "--source", "fore", "--hazard", "air"),
        ("report", "ship.xml"), ("due", "--all", "ship.xml", "-o", "new.txt"), ("round", "ship.xml"),
        ("round", "ship.xml", "D1", "H1"), ("adjust", "ship.xml", "D1"), ("history", "ship.xml", "D1"),
        ("record", "log.xml", "D1", "chalk", "fail", "1:0.2", "2:0.1", "--ship", "ship.xml",
         "--date", "2026-03-01"),
        ("import", "--spaces", "spaces.csv", "--closures", "closures.csv", "--name", "Small", "--size",
         "30x6x5", "--draft", "2", "--deck", "1:low:0", "--map", "spaces.id=id"))


class MemoryOut(Folder):
    def setUp(self):
        super().setUp()
        self.write("ship.xml", SMALL)
        self.write("reports", '{"open": "D2"}\n')
        self.lists()

    def lists(self):
        self.write("log.xml", log(tested("D1", "2026-02-01", "pass")))
        for name in ("spaces", "closures"):
            done = subprocess.run([COAMING, "export", "ship.xml", "--format", "csv", "--table", name],
                                  cwd=self.folder, capture_output=True, check=True)
            self.write(f"{name}.csv", done.stdout)

    def run_at(self, number, *words):
        """The run whose call of this number gets no memory, and how many calls there were."""
        count = self.folder.parent / f"{self.folder.name}.count"
        self.addCleanup(count.unlink, missing_ok=True)
        done = subprocess.run(
            [COAMING, *map(str, words)], cwd=self.folder, stdin=subprocess.DEVNULL,
            capture_output=True, timeout=600, check=False,
            env={"PATH": os.environ.get("PATH", ""), "LC_ALL": "C.UTF-8", "LD_PRELOAD": MODULE,
                 "NO_MEMORY_AT": str(number), "NO_MEMORY_COUNT": str(count)})
        return done, int(count.read_text())

    def test_it_is_told(self):
        for words in RUNS:
            words = words if words[0] in ("record", "import") else (*words, *AS_OF)
            done, calls = self.run_at(0, *words)
            self.assertIn(done.returncode, (0, 1), (words, done.stderr))
            self.lists()
            (self.folder / "new.txt").unlink(missing_ok=True)
            self.assertGreater(calls, 0, words)
            for number in range(1, calls + 1):
                before = self.state()
                done, _ = self.run_at(number, *words)
                self.assertEqual(done.returncode, MACHINE, (words, number, done.stderr))
                errors = done.stderr.decode()
                self.assertEqual(done.stdout, b"", (words, number))
                if "the log has been written all the same" in errors:
                    self.assertEqual(words[0], "record")
                    self.assertTrue(errors.startswith("coaming: out of memory\n"))
                    self.lists()
                    continue
                self.assertRegex(errors, r"coaming: (out of memory|.*: Cannot allocate memory)\n\Z")
                self.assertEqual(errors.count("memory"), 1, (words, number, errors))
                self.assertEqual(self.state(), before, (words, number))

    def test_completion_offers_less(self):
        for words in (("record", "log.xml", ""), ("draw", "ship.xml", "--closure", "")):
            calls = self.run_at(0, "__complete", *words)[1]
            self.assertGreater(calls, 0)
            for number in range(1, calls + 1):
                done, _ = self.run_at(number, "__complete", *words)
                self.assertEqual((done.returncode, done.stderr), (DONE, b""), number)
                self.assertRegex(done.stdout, rb"\Awords\n")


if __name__ == "__main__":
    unittest.main()
