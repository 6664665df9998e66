#!/usr/bin/python3
"""Seeds of the fuzzers and what they once found, by every command of their targets.

That nothing crashes or ends with a status that no page tells of is judged by replay; here it is seen that
the seeds are still good, for a seed that is refused at once leads nowhere. Environment besides: COAMING_REPLAY.
"""

import os
import unittest

from harness import DONE, FOUND, ROOT, Folder, run

REPLAY = os.environ["COAMING_REPLAY"]
FUZZ = ROOT / "tests" / "fuzz"
TARGETS = sorted(path.name for path in (FUZZ / "seeds").iterdir())
SHIP, DAY = FUZZ / "seeds/arrangement/small.xml", ("--as-of", "2026-11-10")


class Replay(Folder):
    def test_every_seed_and_find_is_answered(self):
        self.assertGreater(len(TARGETS), 5)
        for target in TARGETS:
            with self.subTest(target):
                files = [*(FUZZ / "seeds" / target).iterdir(), *(FUZZ / "found").glob(f"{target}/*")]
                done = run(ROOT, target, *files, program=REPLAY)
                self.assertEqual(done.returncode, 0, done.stderr.decode("utf-8", "replace")[-2000:])
                self.assertEqual(done.stdout.decode(), f"{len(files)} inputs of {target}: each answered as the pages say\n")

    def test_seeds_are_good(self):
        parts = [FUZZ / "seeds/part" / name for name in ("rank.json", "survival.json")]
        for command, part, more in (("rank", parts[0], ("--risk", "sampled", "--samples", "2048")),
                                    ("survival", parts[1], ())):
            done = self.run_it(command, SHIP, *DAY, *more, "--share=2/2", "--output=other.json")
            self.assertEqual(done.returncode, DONE, done.stderr)
            done = self.run_it(command, SHIP, *DAY, "--merge", part, "other.json")
            self.assertEqual(done.returncode, DONE, f"{done.stderr}: write it anew, with --share=1/2")
        for words in (("check", SHIP, "--log", FUZZ / "seeds/log/small.xml"),
                      ("record", self.write("log.xml", (FUZZ / "seeds/log/small.xml").read_text()),
                       "--date=2026-11-10", "--ship", SHIP, "--sheet", FUZZ / "seeds/sheet/round.csv"),
                      ("casualty", SHIP, "--follow", FUZZ / "seeds/follow/reports.json")):
            done = self.run_it(*words)
            self.assertEqual(done.returncode, DONE, done.stderr)
        for path in (FUZZ / "seeds/words").iterdir():
            for seed in ("arrangement/small.xml", "log/small.xml"):
                kept = self.write("small.xml" if "arr" in seed else "log.xml", (FUZZ / "seeds" / seed).read_text())
                self.assertTrue(kept)
            for name in ("launch-spaces.csv", "launch-closures.csv"):
                self.write(name, (ROOT / "examples" / name).read_text())
            done = self.run_it(*path.read_text().split("\n")[:-1])
            self.assertIn(done.returncode, (DONE, FOUND), (path.name, done.stderr))


if __name__ == "__main__":
    unittest.main()
