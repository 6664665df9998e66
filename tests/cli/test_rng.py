"""The published RELAX NG schemas, an independent validator and the program agree.

Claims: (1) what the program accepts, the independent validator (jing) accepts by the schema that is
compiled into the program; (2) of bent files, whatever the schema refuses the program refuses too, by
exit status 3. The other way round does not hold: the program also checks what a schema cannot say.
"""
import os
import random
import re
import subprocess
import tempfile
import unittest

from harness import COAMING, ROOT
SCHEMAS = {
    "arrangement": os.path.join(ROOT, "src", "read", "arrangement.rng"),
    "log": os.path.join(ROOT, "src", "read", "test-log.rng"),
}
SHIP = os.path.join(ROOT, "examples", "fathom-lark.xml")
LOG = os.path.join(ROOT, "examples", "fathom-lark-log.xml")
BARGE = os.path.join(ROOT, "examples", "barge.xml")


def refused_by_schema(kind, paths):
    """Names of the files that jing does not find valid."""
    run = subprocess.run(["jing", SCHEMAS[kind]] + paths, capture_output=True, text=True)
    return {p for p in paths if p + ":" in run.stdout + run.stderr}


def program_status(kind, path):
    words = [path] if kind == "arrangement" else [SHIP, "--log", path]
    run = subprocess.run([COAMING, "check", "--as-of", "2026-11-10"] + words, capture_output=True)
    return run.returncode


def bend(text, dice):
    """One attribute taken out, renamed or given another value, or one element renamed."""
    attributes = list(re.finditer(r'\s([a-z-]+)="([^"]*)"', text))
    a = dice.choice(attributes[2:])  # not the namespace
    value = dice.choice(["", "x", "-1", "NaN", "1 2", "door", "yes", "2026-09-31", "0.5"])
    change = dice.randrange(4)
    if change == 0:
        return text[: a.start()] + text[a.end():]
    if change == 1:
        return text[: a.start(1)] + "un" + text[a.start(1):]
    if change == 2:
        return text[: a.start(2)] + value + text[a.end(2):]
    e = dice.choice(list(re.finditer(r"<([a-z]+)([^<>]*)/>", text)))
    return text[: e.start(1)] + "un" + text[e.start(1):]


class Agreement(unittest.TestCase):
    def test_the_examples_are_valid(self):
        self.assertEqual(refused_by_schema("arrangement", [SHIP, BARGE]), set())
        self.assertEqual(refused_by_schema("log", [LOG]), set())

    def check_bent(self, kind, original, count):
        dice = random.Random(count)
        with open(original, encoding="utf-8") as f:
            text = re.sub(r"<!--.*?-->", "", f.read(), flags=re.S)
        with tempfile.TemporaryDirectory() as folder:
            paths = []
            for i in range(count):
                paths.append(os.path.join(folder, "bent%d.xml" % i))
                with open(paths[-1], "w", encoding="utf-8") as f:
                    f.write(bend(text, dice))
            refused = refused_by_schema(kind, paths)
            accepted = {p for p in paths if program_status(kind, p) == 0}
        self.assertGreater(len(refused), count // 4)
        self.assertGreater(len(accepted), count // 50)
        self.assertEqual(refused & accepted, set())

    def test_what_the_schema_refuses_in_an_arrangement_the_program_refuses(self):
        self.check_bent("arrangement", BARGE, 300)
        self.check_bent("arrangement", SHIP, 100)

    def check_lengths(self, kind, original, texts):
        """texts: by a pattern of a place in the file what is put there, and its most signs."""
        with open(original, encoding="utf-8") as f:
            text = re.sub(r"<!--.*?-->", "", f.read(), flags=re.S)
        with tempfile.TemporaryDirectory() as folder:
            for place, (what, most) in texts.items():
                paths = []
                for more in (0, 1):
                    paths.append(os.path.join(folder, "long%d.xml" % more))
                    found = re.search(place, text)
                    with open(paths[-1], "w", encoding="utf-8") as f:
                        f.write(text[:found.start(1)] + what % ("n" * (most + more)) + text[found.end(1):])
                with self.subTest(place, what=what):
                    self.assertEqual(refused_by_schema(kind, paths), {paths[1]})
                    self.assertEqual([program_status(kind, p) for p in paths], [0, 3])

    def test_both_refuse_what_is_longer_than_the_limits(self):
        self.check_lengths("arrangement", SHIP, {
            r'<space id="[^"]*" name="([^"]*)"': ("%s", 200),
            r'<space [^>]*use="([^"]*)"': ("%s", 200),
            r'<passage [^>]*id="([^"]*)"': ("%s", 999)})
        self.check_lengths("arrangement", BARGE, {
            r'<test [^>]* by="([^"]*)"': ("%s", 200), r'<test [^>]*()/>': (' note="%s"', 4095)})
        self.check_lengths("log", LOG, {r' by="([^"]*)"': ("%s", 200), r' note="([^"]*)"': ("%s", 4095)})

    def test_what_the_schema_refuses_in_a_log_the_program_refuses(self):
        self.check_bent("log", LOG, 300)


if __name__ == "__main__":
    unittest.main()
