#!/usr/bin/python3
"""Every example in README.md and the manual pages is run, and its output compared.

An example is a line `$ coaming ...` and the output expected after it, in a block ```console of
README.md or between .EX and .EE of a manual page. Lines `> ...` straight after it go on with the
command, as a shell shows them. A line `...` in the output stands for any lines, or none.
The examples of a file are run one after the other in one copy of examples/, so that what one records
the next reads, and the sources stay as they are.
Files in the manual that are shown whole (blocks that begin with `<`) must pass `coaming check`.

COAMING: the program. COAMING_ROOT: the root of the sources.
"""

import datetime
import os
import re
import shutil
import subprocess
import tempfile
import unittest
from pathlib import Path

from harness import slow

PROGRAM = Path(os.environ["COAMING"]).absolute()
ROOT = Path(os.environ["COAMING_ROOT"]).resolve()
README = ROOT / "README.md"
PAGES = sorted((ROOT / "man").glob("*.[1-8]"))
README_LEAST = 3
RECORDED = "2026-11-10"  # no earlier clock lets it be recorded, for no entry may be of a day to come
SKIPPED_IN_README = ("sh examples/", "sh tests/")
ESCAPES = {r"\-": "-", r"\(aq": "'", r"\(ga": "`", r"\(ti": "~", r"\(ha": "^", r"\(dq": '"',
           r"\e": "\\", r"\&": ""}
ESCAPE = re.compile(r"\\(?:\(..|.|$)")


def environment():
    kept = {k: v for k, v in os.environ.items() if k not in ("COLUMNS", "LINES", "NO_COLOR", "TERM")}
    return dict(kept, PATH=f"{PROGRAM.parent}{os.pathsep}{os.environ['PATH']}")


def unescape(line):
    """A source line as man shows it; an escape that is not in the table is an error."""
    def shown(match):
        if match[0] not in ESCAPES:
            raise ValueError(f"escape {match[0]!r} is not known here: {line}")
        return ESCAPES[match[0]]
    if line.startswith((".", "'")):
        raise ValueError(f"a request inside .EX: {line}")
    return ESCAPE.sub(shown, line)


def fenced(lines, opens, closes):
    """The blocks between a line `opens` and a line `closes`, each a list of lines."""
    blocks, block = [], None
    for line in lines:
        if block is None and line == opens:
            block = []
        elif block is not None and line == closes:
            blocks.append(block)
            block = None
        elif block is not None:
            block.append(line)
    if block is not None:
        raise ValueError(f"{opens} without {closes}")
    return blocks


def page_blocks(page):
    lines = page.read_text(encoding="utf-8").split("\n")
    return [[unescape(line) for line in block] for block in fenced(lines, ".EX", ".EE")]


def readme_blocks():
    return fenced(README.read_text(encoding="utf-8").split("\n"), "```console", "```")


def examples_of(block):
    """(command, expected lines) for each `$ ` line of a block and the `> ` lines that go on with
    it."""
    found, going_on = [], False
    for line in block:
        going_on = line.startswith("$ ") or (going_on and line.startswith("> "))
        if line.startswith("$ "):
            found.append((line[2:], []))
        elif going_on:
            found[-1] = (f"{found[-1][0]}\n{line[2:]}", [])
        elif found:
            found[-1][1].append(line)
        elif line:
            raise ValueError(f"output before any command: {line}")
    return found


def page_examples(page):
    shown_whole = (block for block in page_blocks(page) if not block[0].startswith("<"))
    return [example for block in shown_whole for example in examples_of(block)]


def pattern(expected):
    """A regular expression for the whole output; a line `...` is any number of lines."""
    parts = (r"(?:[^\n]*\n)*" if line == "..." else re.escape(line) + r"\n" for line in expected)
    return re.compile("".join(parts))


def run(command, given="", folder=ROOT / "examples"):
    return subprocess.run(["/bin/sh", "-c", command], cwd=folder, env=environment(),
                          input=given, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
                          encoding="utf-8", timeout=600, check=False)


def early():
    """Whether this machine's clock stands before the day of the entries that are recorded."""
    return datetime.date.today() < datetime.date.fromisoformat(RECORDED)


class Examples(unittest.TestCase):
    maxDiff = None

    def run_examples(self, where, examples):
        """All of a file, in one copy of the folder; those that read a log that could not be begun
        are left out with it."""
        with tempfile.TemporaryDirectory(prefix="coaming-examples-") as name:
            folder = Path(name)
            for file in (ROOT / "examples").glob("*.[cx]*"):
                shutil.copy(file, folder)
            logs = set()
            for command, expected in examples:
                if command.startswith("coaming record "):
                    self.assertIn(RECORDED, command)
                    logs.add(re.search(r"\S+\.xml", command)[0])
                if not (early() and any(log in command for log in logs)):
                    self.run_example(where, folder, command, expected)
            with self.subTest(file=where.name):
                if early() and logs:
                    self.skipTest(f"the clock stands before {RECORDED}: nothing can be recorded")

    def run_example(self, where, folder, command, expected):
        with self.subTest(file=where.name, command=command):
            self.assertTrue(command.startswith("coaming "), "only coaming may be run")
            self.assertNotRegex(command.replace("/dev/null", ""), r"(^|[\s=<>])(/|~|\.\.)",
                                "only files of the folder")
            result = run(command, folder=folder)
            if not pattern(expected).fullmatch(result.stdout):
                self.assertEqual("\n".join(expected) + "\n", result.stdout)
            self.assertEqual("", result.stderr, "on standard error; write 2>&1 to show it")

    def test_the_program_that_is_run_is_the_one_given(self):
        self.assertEqual(str(PROGRAM), shutil.which("coaming", path=environment()["PATH"]))

    @slow
    def test_examples_of_every_manual_page(self):
        self.assertTrue(PAGES, "no manual pages")
        for page in PAGES:
            examples = page_examples(page)
            with self.subTest(file=page.name):
                self.assertTrue(examples, "a page without an example")
            self.run_examples(page, examples)

    def test_examples_of_the_readme(self):
        if not README.exists():
            self.skipTest("no README.md")
        examples = [(command, expected) for block in readme_blocks()
                    for command, expected in examples_of(block)
                    if not command.startswith(SKIPPED_IN_README)]
        self.assertGreaterEqual(len(examples), README_LEAST, "too few examples in README.md")
        self.run_examples(README, examples)

    def test_files_shown_whole_in_the_manual_are_sound(self):
        shown = [b for page in PAGES for b in page_blocks(page) if b[0].startswith("<")]
        self.assertTrue(shown, "the manual shows no file")
        for block in shown:
            log = block[0].startswith("<test-log")
            command = "coaming check " + ("barge.xml --log=-" if log else "-")
            with self.subTest(file=block[0]):
                result = run(command + " --as-of=2026-11-10 2>&1", "\n".join(block))
                self.assertIn("0 errors, 0 warnings", result.stdout)
                self.assertEqual(0, result.returncode)


class Rendering(unittest.TestCase):
    """The table of escapes above against groff: what stands in a block is what man shows."""

    def rendered(self, page):
        command = ["groff", "-man", "-Tutf8", "-P-cbou", "-rLL=1000n", str(page)]
        return subprocess.run(command, stdout=subprocess.PIPE, encoding="utf-8", check=True).stdout

    @unittest.skipUnless(shutil.which("groff"), "groff is not installed")
    def test_groff_shows_every_block_as_it_is_run(self):
        for page in PAGES:
            shown = [line.strip() for line in self.rendered(page).split("\n")]
            for block in page_blocks(page):
                with self.subTest(file=page.name, block=block[0]):
                    wanted = "\n".join(line.strip() for line in block)
                    self.assertIn("\n" + wanted + "\n", "\n".join(shown))


class TheComparison(unittest.TestCase):
    """The comparison itself can fail, and dots stand for whole lines only."""

    def matches(self, expected, output):
        return pattern(expected).fullmatch(output) is not None

    def test_equal_output_matches_and_other_output_does_not(self):
        self.assertTrue(self.matches(["a.b", "c"], "a.b\nc\n"))
        for other in ("axb\nc\n", "a.b\nc", "a.b\nc\nd\n", "a.b\n", ""):
            self.assertFalse(self.matches(["a.b", "c"], other), other)

    def test_dots_stand_for_any_number_of_whole_lines(self):
        for output in ("a\nz\n", "a\nb\nz\n", "a\nb\n\nc\nz\n"):
            self.assertTrue(self.matches(["a", "...", "z"], output), output)
        self.assertFalse(self.matches(["a", "...", "z"], "a\nbz\n"))
        self.assertFalse(self.matches(["a", "...", "z"], "a\nb\n"))

    def test_lines_that_go_on_with_a_command_belong_to_it_and_output_does_not(self):
        block = ["$ coaming a \\", ">     b <<END", "> c", "d", "> e", "$ coaming f"]
        self.assertEqual([("coaming a \\\n    b <<END\nc", ["d", "> e"]), ("coaming f", [])],
                         examples_of(block))

    def test_escapes_are_read_and_unknown_ones_refused(self):
        self.assertEqual(r"$ coaming x --a 'b' \n ...", unescape(
            r"\&$ coaming x \-\-a \(aqb\(aq \en ..."))
        for bad in (r"\fBx", "\\", ".B x", "'x", r"\(em"):
            with self.assertRaises(ValueError, msg=bad):
                unescape(bad)


if __name__ == "__main__":
    unittest.main()
