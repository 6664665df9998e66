"""What the tests of the commands share: where things are, a folder for each case, how a run is asked
and judged.

Needs Python 3.11, its standard library only.
Environment: COAMING, the program; COAMING_ROOT, the source tree. The ships here are invented.
"""

import json
import os
import subprocess
import tempfile
import unicodedata
import unittest
from pathlib import Path
from xml.sax.saxutils import quoteattr

COAMING = os.environ["COAMING"]
ROOT = Path(os.environ["COAMING_ROOT"])
EXAMPLES = ROOT / "examples"
DEMO, DEMO_LOG, BARGE = (EXAMPLES / name for name in
                         ("fathom-lark.xml", "fathom-lark-log.xml", "barge.xml"))
LOGGED = (DEMO, "--log", DEMO_LOG)
DONE, FOUND, USAGE, INPUT, MACHINE = 0, 1, 2, 3, 4
AS_OF = ("--as-of", "2026-11-10")
SHIP_NS, LOG_NS = "urn:coaming:arrangement:1", "urn:coaming:test-log:1"

SMALL = f"""<arrangement xmlns="{SHIP_NS}" name="Small">
<ship length="30" beam="6" depth="5" draft="2"/>
<deck id="low" z="0"/>
<condition id="harbour" name="In harbour"/>
<scenario hazard="water" source="sea" weight="1"/>
<space id="fore" name="Fore" deck="low" permeability="0.95"><box x="20 30" y="-3 3" z="0 4"/>\
</space>
<space id="mid" name="Mid"><box x="10 20" y="-3 3" z="0 4"/></space>
<space id="aft" name="Aft"><prism z="0 4" outline="0,-3 10,-3 10,3 0,3"/></space>
<closure id="D1" kind="door" between="fore mid" rating="watertight" shut-in="harbour">
<clear x="20" y="0" z="0.5" width="0.7" height="1.7" lies="transverse"/>
<test date="2026-01-31" method="chalk" result="pass"/>
</closure>
<closure id="H1" kind="hatch" between="aft weather" rating="weathertight">
<clear x="5" y="0" z="4.5" width="1" height="1" lies="deck"/>
</closure>
<passage id="P1" kind="duct" between="mid aft">
<clear x="10" y="0" z="1" width="0.5" height="0.5" lies="transverse"/>
</passage>
</arrangement>
"""


def deceives(sign):
    """Is it one that may stand in nothing that people read? By general category: what controls, formats,
    separates lines, and what is no character; but a number's sign is one that is seen."""
    category, point = unicodedata.category(sign), ord(sign)
    return (category in ("Cc", "Cs", "Zl", "Zp") or (category == "Cf" and sign not in "\u0600\u06dd\u070f\u08e2")
            or point & 0xfffe == 0xfffe or 0xfdd0 <= point <= 0xfdef)


def shown(text):
    """As people get to see it."""
    return "".join(f"<U+{ord(c):04X}>" if deceives(c) else c for c in text)


def in_sheet(text):
    """As it stands in a sheet, where a formula is marked; of texts that are no numbers."""
    return ("'" if text.lstrip("'")[:1] in tuple("=+-@") else "") + shown(text)


# What takes seconds is left to the full tier, and what takes more of them there is asked for by WHOLE.
WHOLE = "COAMING_SLOW" in os.environ
slow = unittest.skipUnless(WHOLE, "of the full tier")


def spoil(old, new, text=SMALL):
    """The text with one thing changed, and the line where."""
    assert text.count(old) == 1, old
    return text.replace(old, new), text[:text.index(old)].count("\n") + 1


def log(*entries, ship="Small"):
    lines = [f'<test-log xmlns="{LOG_NS}" arrangement={quoteattr(ship)}>', *entries, "</test-log>"]
    return "\n".join(lines) + "\n"


def tested(closure, date, result):
    return f'<test closure="{closure}" date="{date}" method="chalk" result="{result}"/>'


def surroundings(**more):
    """And where the words go of a build that counts (tests/coverage) and cannot write its counts: not among the
    program's."""
    counting = {name: os.environ[name] for name in ("GCOV_ERROR_FILE",) if name in os.environ}
    return {"PATH": os.environ.get("PATH", ""), "LC_ALL": "C.UTF-8", "TERM": "xterm", **counting, **more}


def run(*words, program=COAMING, timeout=600, **how):
    """A finished run, its output as bytes."""
    how.setdefault("stdin" if "input" not in how else "input", subprocess.DEVNULL)
    return subprocess.run([program, *map(str, words)], timeout=timeout, check=False,
                          **{"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, "env": surroundings(), **how})


def new_folder(add_cleanup):
    temporary = tempfile.TemporaryDirectory(prefix="coaming-test-")
    add_cleanup(temporary.cleanup)
    return Path(temporary.name).resolve()


def write(path, content):
    path.write_bytes(content if isinstance(content, bytes) else content.encode("utf-8"))


class Folder(unittest.TestCase):
    """A folder for each case, in which the program runs."""

    maxDiff = None
    TIMEOUT = 600

    def setUp(self):
        self.folder = new_folder(self.addCleanup)

    def write(self, name, content):
        write(self.folder / name, content)
        return name

    def state(self):
        """All that could be changed in the folder."""
        found = {}
        for path in sorted(self.folder.rglob("*")):
            info = path.lstat()
            content = path.read_bytes() if path.is_file() and info.st_size < 2**26 else None
            found[path.name] = (info.st_mode, info.st_size, info.st_mtime_ns, content)
        return found

    def run_it(self, *words, program=COAMING, library=None, **how):
        """A finished run, its output as bytes. library: a folder with a copy of the library."""
        environment = surroundings(**({"LD_LIBRARY_PATH": str(library)} if library else {}))
        return run(*words, program=program, timeout=self.TIMEOUT, cwd=self.folder, env=environment, **how)


class OneFolder(unittest.TestCase):
    """One folder for all cases of a class; files are called by their whole path."""

    @classmethod
    def setUpClass(cls):
        cls.folder = new_folder(cls.addClassCleanup)

    @classmethod
    def write(cls, name, content):
        write(cls.folder / name, content)
        return str(cls.folder / name)


class Case(Folder):
    """What every command is held to."""

    def ship(self, text=SMALL):
        return self.write("ship.xml", text)

    @staticmethod
    def status(command):
        """Of a run that goes well on a ship some of whose tests are overdue."""
        return FOUND if command == "due" else DONE

    def good(self, *words, **how):
        """Standard output of a run that must go well, as text; it may be empty only with a file."""
        done = self.run_it(*words, **how)
        expected = DONE if {"--help", "-h"} & set(words) else self.status(words[0])
        self.assertEqual((done.returncode, done.stderr), (expected, b""), words)
        to_file = any(str(word).startswith(("-o", "--output")) for word in words)
        self.assertTrue(done.stdout or to_file, words)
        return done.stdout.decode("utf-8")

    def document(self, command, *words, **how):
        return json.loads(self.good(command, "--format", "json", *AS_OF, *words, **how))

    def one_line(self, status, *words, says=(), **how):
        """The one line on standard error of a run that must fail and must change nothing."""
        before = self.state()
        done = self.run_it(*words, **how)
        errors = done.stderr.decode("utf-8")
        self.assertEqual(done.returncode, status, (words, errors))
        self.assertRegex(errors, r"\A[^\n]+\n\Z", words)
        self.assertTrue(errors.startswith("coaming: "), errors)
        self.assertFalse(done.stdout, words)
        self.assertEqual(self.state(), before)
        for word in says:
            self.assertIn(word, errors)
        return errors

    def fault_in(self, place, *words, says=()):
        """The one line of bad input in a file, that says where."""
        before = self.state()
        done = self.run_it(*words)
        errors = done.stderr.decode()
        self.assertEqual((done.returncode, done.stdout), (INPUT, b""), errors)
        self.assertRegex(errors, rf"\A{place}: error: [^\n]+\n\Z")
        for word in says:
            self.assertIn(word, errors)
        self.assertEqual(self.state(), before)

    def faults(self, expected, *words, name="ship.xml", **how):
        """Checks that these faults (line, object, words that the message holds), and no others, are
        told by rank and by check, as text and as JSON, and that no file changes."""
        before = self.state()
        messages = []
        for command, *form in (("rank",), ("check",), ("check", "--format", "json")):
            done = self.run_it(command, *form, *AS_OF, *words, **how)
            lines = done.stderr.decode("utf-8").splitlines()
            self.assertEqual(done.returncode, INPUT, (command, form, lines))
            errors = [line for line in lines if f"{name}:" in line and ": error: " in line]
            if command == "rank":
                self.assertEqual(lines, errors)
                self.assertEqual(done.stdout, b"")
            self.assertEqual(len(errors), len(expected), errors)
            for line, (at, thing, *says) in zip(errors, expected):
                place = f"{name}:{at}" if at else name
                self.assertTrue(line.startswith(f"{place}: error: {thing}: "), (line, at, thing))
                for word in says:
                    self.assertIn(word, line)
            messages = errors
        self.told_as_json(done.stdout, expected, messages, name)
        self.assertEqual(self.state(), before)
        return messages

    def told_as_json(self, output, expected, messages, name):
        document = json.loads(output)
        self.assertIs(document["ok"], False)
        told = [fault for fault in document["faults"] if fault["severity"] == "error"]
        self.assertEqual([(f["file"], f["line"], f["object"]) for f in told],
                         [(name, at, thing) for at, thing, *_ in expected])
        for fault, message in zip(told, messages):
            self.assertTrue(message.endswith(f": {fault['message']}"), (fault, message))

    def fault(self, old, new, thing, *says):
        """SMALL with one thing made wrong has that one fault, on that line."""
        text, at = spoil(old, new)
        self.ship(text)
        return self.faults([(at, thing, *says)], "ship.xml")[0]
