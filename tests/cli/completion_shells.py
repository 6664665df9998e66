#!/usr/bin/python3
"""What zsh and fish offer is what the command takes, and ids are those of the file.

fish tells what it would offer by itself (complete -C). zsh is driven on a pseudo-terminal: a line is
typed and the list of what may follow is asked for. bash has the same in test_cli.py.

Needs zsh and fish.
Environment: COAMING, the program; COAMING_ROOT, the source tree. The ships here are invented.
"""

import os
import pty
import re
import select
import subprocess
import sys
import time
import unittest
from pathlib import Path

sys.dont_write_bytecode = True
sys.path.insert(0, str(Path(__file__).resolve().parent))
from harness import COAMING, DONE, ROOT, Folder, surroundings  # noqa: E402

COMPLETION = ROOT / "src/cli/completion"
COMMANDS = ("check", "expose", "rank", "plan", "export", "float", "hold", "boundary", "air", "draw", "report", "record",
            "due", "round", "adjust", "history", "import")
SHIP = """<arrangement xmlns="urn:coaming:arrangement:1" name="Small">
<ship length="30" beam="6" depth="5" draft="2"/>
<condition id="harbour"/>
<loading id="ready" draft="2" kg="2"/>
<deck id="low" z="0"/>
<space id="fore" name="Fore"><box x="20 30" y="-3 3" z="0 4"/></space>
<space id="mid" name="Mid"><box x="10 20" y="-3 3" z="0 4"/></space>
<!-- <closure id="D9" kind="door" between="fore mid" rating="watertight"/> -->
<closure id="D1" kind="door" between="fore mid" rating="watertight"/>
<closure
  kind='door' id='D2' between="fore mid" rating="watertight"/>
<closure id="$(touch&#32;bad);`touch" kind="door" between="fore mid" rating="watertight"/>
</arrangement>
"""
LOG = """<test-log xmlns="urn:coaming:test-log:1" arrangement="Small">
<test closure="Z9" date="2019-01-31" method="chalk" result="fail"/>
<repair closure="A2" date="2019-01-31" action="dogs"/>
</test-log>
"""


class Shell:
    """Of each shell the same questions; `offered` gives what may follow a line."""

    def setUp(self):
        super().setUp()
        for name, text in (("ship.xml", SHIP), ("log.xml", LOG), ("notes.txt", "")):
            self.write(name, text)
        self.surroundings = surroundings(PATH=f"{Path(COAMING).parent}:{os.environ.get('PATH', '')}",
                                         HOME=str(self.folder), LINES="200", COLUMNS="160")

    def help_of(self, command):
        done = self.run_it("help", command)
        self.assertEqual(done.returncode, DONE)
        return done.stdout.decode()

    def test_commands(self):
        self.assertLessEqual(set(COMMANDS), self.offered("coaming "))
        self.assertEqual(self.offered("coaming rec") & set(COMMANDS), {"record"})

    def test_options_are_those_that_the_command_takes(self):
        for command in COMMANDS:
            taken = set(re.findall(r"(?m)^  (--[a-z-]+)", self.help_of(command)))
            found = {word.rstrip("=") for word in self.offered(f"coaming {command} --")}
            self.assertEqual({word for word in found if word.startswith("--")}, taken, command)

    def test_formats_are_those_that_the_command_writes(self):
        for command in COMMANDS:
            offers = re.search(r"--format=WORD +((?:.*\n(?: {20,}.*\n)*))", self.help_of(command))
            if offers:
                words = {w for w in ("text", "json", "csv", "ical", "graphml", "dot", "svg",
                                     "html")
                         if re.search(rf"(^|[ ,]){w} for\b", " ".join(offers[1].split()))}
                self.assertGreaterEqual(len(words), 1 if command in ("draw", "report") else 3)
                self.assertEqual(self.values(command, "--format"), words, command)

    def values(self, command, option):
        return {word.split("=", 1)[-1] for word in self.offered(f"coaming {command} {option}=")}

    def test_ids_come_from_the_file(self):
        for command in ("expose", "round", "adjust", "history"):
            self.assertLessEqual({"D1", "D2"}, self.offered(f"coaming {command} ship.xml "), command)
            self.assertNotIn("D9", self.offered(f"coaming {command} ship.xml "))
        self.assertEqual(self.offered("coaming adjust ship.xml D") & {"D1", "D2", "D9"}, {"D1", "D2"})
        for command in ("rank", "due", "check"):
            self.assertFalse({"D1", "D2"} & self.offered(f"coaming {command} ship.xml "), command)
        self.assertLessEqual({"fore", "mid"}, self.offered("coaming boundary ship.xml "))
        self.assertLessEqual({"A2", "Z9"}, self.offered("coaming record log.xml "))
        self.assertLessEqual({"D1", "D2"}, self.offered("coaming record --ship ship.xml log.xml "))
        for command, option, ids in (("rank", "--explain", {"D1", "D2"}),
                                     ("rank", "--standing", {"failed", "untested", "all"}),
                                     ("round", "--start", {"fore", "mid", "weather"}),
                                     ("hold", "--source", {"fore", "mid", "weather", "sea"}),
                                     ("float", "--flooded", {"fore", "mid"}),
                                     ("hold", "--protect", {"fore", "mid"}),
                                     ("rank", "--condition", {"harbour"}),
                                     ("float", "--loading", {"ready"}),
                                     ("draw", "--closure", {"D1", "D2"}),
                                     ("draw", "--overlay expose --closure", {"D1", "D2"}),
                                     ("draw", "--overlay", {"expose", "rank", "due", "hold"}),
                                     ("draw", "--deck", {"low"}),
                                     ("draw", "--source", {"fore", "weather", "sea"}),
                                     ("draw", "--protect", {"fore", "mid"}),
                                     ("report", "--measure", {"worth", "freeboard"}),
                                     ("report", "--condition", {"harbour"})):
            self.assertLessEqual(ids, self.offered(f"coaming {command} ship.xml {option} "), option)
        self.assertIn("harbour", self.offered("coaming rank --standing failed ship.xml --condition "))
        self.assertFalse((self.folder / "bad").exists())

    def test_spaces_come_one_after_the_other(self):
        self.assertEqual({word for word in self.offered("coaming float ship.xml --flooded fore,")
                          if "," in word or word in ("fore", "mid")}, {"fore,mid"})

    def test_ids_of_a_file_at_work(self):
        """It is not closed yet, and what is in it makes no ship."""
        self.write("ship.xml", SHIP[:SHIP.index("</arrangement>")].replace(
            'between="fore mid" rating', 'between="fore nowhere" rating'))
        self.assertLessEqual({"D1", "D2"}, self.offered("coaming draw ship.xml --closure "))

    def test_lists_to_import(self):
        self.write("list.csv", "")
        found = self.offered("coaming import --spaces ")
        self.assertIn("list.csv", found)
        self.assertNotIn("notes.txt", found)
        self.assertEqual(self.values("import", "--units"), {"m", "ft"})
        self.assertEqual(self.values("import", "--number-frame"), {"fore", "aft"})

    def test_ships_are_files_that_end_in_xml(self):
        found = self.offered("coaming rank ")
        self.assertLessEqual({"ship.xml", "log.xml"}, found)
        self.assertNotIn("notes.txt", found)


class Fish(Shell, Folder):
    def offered(self, line):
        script = 'source $argv[1]; complete -C "$argv[2]"'
        done = subprocess.run(["fish", "--no-config", "-c", script, COMPLETION / "coaming.fish", line],
                              cwd=self.folder, env=self.surroundings, capture_output=True,
                              encoding="utf-8", timeout=600, check=False)
        self.assertEqual((done.returncode, done.stderr), (0, ""), line)
        return {row.split("\t")[0] for row in done.stdout.splitlines()}


class Zsh(Shell, Folder):
    SETUP = (f"fpath=({COMPLETION} $fpath); autoload -Uz compinit; compinit -u -D; PS1='READY'$'> '; "
             "LISTMAX=100000; setopt no_beep no_auto_menu; unsetopt prompt_cr prompt_sp zle_bracketed_paste; "
             "zstyle ':completion:*' list-packed no; zstyle ':completion:*' list-separator '##'\n")

    def setUp(self):
        super().setUp()
        ours, theirs = pty.openpty()
        self.terminal = ours
        subprocess.run(["stty", "rows", "200", "cols", "160"], stdin=theirs, check=True)
        self.shell = subprocess.Popen(["zsh", "-f", "-i"], stdin=theirs, stdout=theirs, stderr=theirs,
                                      cwd=self.folder, env=self.surroundings, start_new_session=True)
        os.close(theirs)
        self.addCleanup(self.end)
        os.write(self.terminal, self.SETUP.encode())
        self.read_until(b"READY> ")

    def end(self):
        os.close(self.terminal)
        self.shell.kill()
        self.shell.wait()

    def waits(self):
        """Has it, as the system knows, nothing to do and nobody to wait for but who types?"""
        at = Path(f"/proc/{self.shell.pid}")
        return (at / "stat").read_text().rpartition(")")[2].split()[0] == "S" and \
            not (at / f"task/{self.shell.pid}/children").read_text().split()

    def read_until(self, sign, seconds=600):
        """Up to the sign, and then all that comes until it waits: a slow machine takes longer for that."""
        text, last = b"", time.monotonic() + seconds
        while time.monotonic() < last:
            waits = sign in text and self.waits()
            if select.select([self.terminal], [], [], 0.1)[0]:
                text += os.read(self.terminal, 65536)
            elif waits and self.waits():
                return text.decode("utf-8", "replace")
        self.fail(f"zsh did not come to {sign!r}: {text!r}")

    def offered(self, line):
        # Ctrl-D at the end of a line lists what may follow; Ctrl-U takes the line away
        os.write(self.terminal, line.encode() + b"\x04")
        text = self.read_until(line.encode())
        os.write(self.terminal, b"\x15\r")
        self.read_until(b"READY> ")
        text = re.sub(r"\033\[[0-9;?]*[A-Za-z]|\033[=>]", "\n", text.replace("\r", "\n"))
        text = re.sub(".\x08", "", text)  # zsh writes the first letter of a line twice
        words = set()
        for row in text.split("\n"):
            row = row.split("##")[0].strip()
            if not row.startswith(("coaming ", "READY")):
                words |= set(row.split())
        return words


if __name__ == "__main__":
    unittest.main()
