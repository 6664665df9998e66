#!/usr/bin/python3
"""The table of options, from the outside: what each takes and refuses, and what is offered for it.

zsh and fish are asked in completion_shells.py.

Needs Python 3.11, its standard library only, and bash.
Environment: COAMING, the program; COAMING_ROOT, the source tree. The ships here are invented.
"""

import os
import re
import shutil
import subprocess
import unittest
from pathlib import Path
from xml.sax.saxutils import quoteattr

from harness import (AS_OF, COAMING, DONE, FOUND, INPUT, ROOT, SHIP_NS, SMALL, USAGE, WHOLE, Case, log,
                     tested)

COMMANDS = ("check", "expose", "rank", "plan", "export", "float", "flood", "survival", "hold", "boundary", "casualty", "air", "draw",
            "report", "record",
            "due", "round", "adjust", "history", "import")


@unittest.skipUnless(shutil.which("bash"), "bash is not installed")
class Completion(Case):
    """What bash offers is what the command takes, and ids are those of the file."""

    SCRIPT = """source "$1"; shift
    COMP_WORDS=("$@") COMP_CWORD=$(($# - 1)) COMP_LINE="$*" COMP_POINT=${#COMP_LINE}
    _coaming 2>/dev/null; printf '%s\\n' "${COMPREPLY[@]}" """

    def offered(self, *words, script=SCRIPT, split=None):
        done = subprocess.run(["bash", "--norc", "-c", script, "bash", str(
            ROOT / "src/cli/completion/coaming.bash"), "coaming", *words], cwd=self.folder,
            capture_output=True, encoding="utf-8", timeout=600, check=False,
            env={"PATH": f"{Path(COAMING).parent}:{os.environ.get('PATH', '')}",
                 "LC_ALL": "C.UTF-8"})
        self.assertEqual((done.returncode, done.stderr), (0, ""), words)
        return list(filter(None, done.stdout.split(split)))

    def test_every_command_is_offered(self):
        self.assertEqual(self.offered("help", ""), list(COMMANDS))
        self.assertLessEqual(set(COMMANDS), set(self.offered("")))
        self.assertEqual(self.offered("rec"), ["record"])

    def test_the_options_offered_are_those_that_the_command_takes(self):
        for command in COMMANDS:
            taken = re.findall(r"(?m)^  (--[a-z-]+)(=?)", self.good("help", command))
            self.assertEqual(sorted(self.offered(command, "--")),
                             sorted(f"{name}{value}" for name, value in taken), command)

    def test_the_formats_offered_are_those_that_the_command_writes(self):
        for command in COMMANDS:
            if "--format" not in self.good("help", command):
                continue
            offered = self.offered(command, "--format", "")
            self.assertTrue(offered)
            for word in ("text", "json", "csv", "ical", "graphml", "dot", "svg", "html"):
                done = self.run_it(command, f"--format={word}")
                self.assertEqual("is missing" in done.stderr.decode(), word in offered,
                                 (command, word))

    def test_the_standings_offered_are_those_that_rank_takes(self):
        ship = self.ship()
        offered = self.offered("rank", "ship.xml", "--standing", "")
        self.assertGreater(len(offered), 3)
        for words in offered:
            self.good("rank", "--level", "still", *AS_OF, ship, "--standing", words)

    def test_words_of_record_are_those_that_it_knows(self):
        self.write("log.xml", log(tested("D1", "2019-01-31", "pass")))
        words = self.offered("record", "log.xml", "D1", "")
        self.assertEqual(len(words), len(set(words)))
        for word in words:
            done = self.run_it("record", "log.xml", "D1", "fail", word, "--date", "2020-01-31",
                               "--method", "chalk")
            self.assertEqual(done.returncode, DONE, (word, done.stderr))
        for option in ("method", "result", "repair"):
            for word in self.offered("record", "log.xml", f"--{option}", ""):
                self.assertIn(word, words)

    def test_closures_come_from_the_file(self):
        self.ship()
        self.write("log.xml", log(tested("D1", "2019-01-31", "pass"),
                                  tested("Z9", "2019-01-31", "fail"),
                                  '<repair closure="A2" date="2019-01-31" action="dogs"/>',
                                  tested("D1", "2019-02-01", "pass")))
        for command in ("expose", "round", "adjust", "history"):
            self.assertEqual(self.offered(command, "ship.xml", ""), ["D1", "H1"], command)
            self.assertEqual(self.offered(command, "ship.xml", "H"), ["H1"], command)
        self.assertEqual(self.offered("adjust", "ship.xml", "D1", ""), ["D1", "H1"])
        self.assertEqual(self.offered("history", "ship.xml", "D1", ""), [])
        for command in ("rank", "due", "check"):
            self.assertEqual(self.offered(command, "ship.xml", ""), [], command)
        self.assertEqual(self.offered("record", "log.xml", ""), ["A2", "D1", "Z9"])
        for beside in (("--ship", "ship.xml"), ("--ship=ship.xml",), ("--ship", "=", "ship.xml")):
            self.assertEqual(self.offered("record", *beside, "new.xml", ""), ["D1", "H1"], beside)
            self.assertEqual(self.offered("record", "log.xml", *beside, ""), ["D1", "H1"], beside)
        self.assertEqual(self.offered("record", "nowhere.xml", ""), [])
        self.assertEqual(self.offered("round", "ship.xml", "--start", ""),
                         ["weather", "fore", "mid", "aft"])

    def test_ids_are_quoted_and_never_evaluated(self):
        ids = ["A:1", "a b", "it's", "$(touch bad)", "`touch bad`;x", "a=b", "é,", "--x", "*", "~", "a\\b"]
        extra = "".join(f'<closure id={quoteattr(i)} kind="door" between="fore mid" '
                        'rating="watertight"/>\n' for i in ids)
        self.ship(SMALL.replace("<passage", f"{extra}<passage"))
        script = self.SCRIPT.replace("printf '%s\\n' \"${COMPREPLY[@]}\"",
                                     'eval "printf \'%s\\n\' ${COMPREPLY[*]}"')
        self.assertNotEqual(script, self.SCRIPT)
        offered = self.offered("expose", "ship.xml", "--", "", script=script, split="\n")
        self.assertEqual(offered, ["D1", "H1", *ids])
        for pieces, rest in ((("A", ":"), ["1"]), (("A", ":", "1"), ["1"]), (("a", "=", ""), ["b"]),
                             (("it\\'",), ["it's"]), (("'a ",), []), (('"D',), ["D1"])):
            self.assertEqual(self.offered("expose", "ship.xml", *pieces, script=script, split="\n"),
                             rest, pieces)
        self.assertFalse((self.folder / "bad").exists())

    def test_files_are_those_that_fit(self):
        self.ship()
        for name in ("a.csv", "notes.txt", "it's.xml"):
            self.write(name, "")
        (self.folder / "folder").mkdir()
        for words, found in ((("rank", ""), {"ship.xml", "it's.xml", "folder"}),
                             (("rank", "s"), {"ship.xml"}),
                             (("rank", "--log", "=", ""), {"ship.xml", "it's.xml", "folder"}),
                             (("rank", "--log=s"), {"--log=ship.xml"}),
                             (("import", "--spaces", "=", ""), {"a.csv", "folder"}),
                             (("rank", "--output", "n"), {"notes.txt"}),
                             (("rank", "-o", "n"), {"notes.txt"})):
            self.assertEqual(set(self.offered(*words, split="\n")), found, words)

    def asked(self, *words):
        """What __complete says: how, and the lines behind; it never complains."""
        done = self.run_it("__complete", *words)
        self.assertEqual((done.returncode, done.stderr), (DONE, b""), words)
        how, *lines = done.stdout.decode("utf-8").split("\n")[:-1]
        return how, [line.split("\t")[0] for line in lines]

    def test_what_follows_a_word(self):
        self.ship()
        self.assertEqual(self.asked("rank", ""), ("files .xml", [""]))
        self.assertEqual(self.asked("rank", "ship.xml", "--log=s"), ("files .xml", ["--log="]))
        self.assertEqual(self.asked("rank", "ship.xml", ""), ("words", []))
        self.assertEqual(self.asked("rank", "--merge", "ship.xml", ""), ("files", [""]))
        self.assertEqual(self.asked("import", "--closures", ""), ("files .csv", [""]))
        self.assertEqual(self.asked("import", ""), ("words", []))
        self.assertEqual(self.asked("expose", "ship.xml", "--", ""), ("words", ["D1", "H1"]))
        self.assertEqual(self.asked("draw", "ship.xml", "--closure=H"), ("words", ["--closure=H1"]))
        self.assertEqual(self.asked("draw", "ship.xml", "--deck", ""), ("part", ["low"]))
        self.assertEqual(self.asked("float", "ship.xml", "--flooded=mid,"),
                         ("part", ["--flooded=mid,fore", "--flooded=mid,aft"]))
        self.assertEqual(self.asked("rank", "ship.xml", "--standing", "failed,"),
                         ("part", ["failed,passed", "failed,untested"]))
        self.assertEqual(self.asked("record", "log.xml", "D1", "--ship=ship.xml", "--space="),
                         ("words", ["--space=fore", "--space=mid", "--space=aft"]))
        self.assertEqual(self.asked("help", "ch"), ("words", ["check"]))
        for words in ((), ("nonsense", ""), ("help", "rank", ""), ("rank", "--nonsense=")):
            self.assertEqual(self.asked(*words)[0], "words")

    def test_ids_of_what_is_no_ship_yet(self):
        cut = SMALL[:SMALL.index("<passage")]
        for text, ids in ((cut, ["D1", "H1"]),
                          (SMALL.replace('between="fore mid"', 'between="fore"'), ["D1", "H1"]),
                          (cut.replace("<closure ", "<closure < ", 1), []),
                          (SMALL.replace(SHIP_NS, "urn:nobody:1"), []),
                          (SMALL.replace('"H1"', '"a&#10;b"'), ["D1"]),
                          (SMALL.replace('"H1"', '"a&amp;b"'), ["D1", "a&b"]),
                          ("", []), ("\0", []), ("<arrangement", [])):
            self.ship(text)
            self.assertEqual(self.asked("expose", "ship.xml", ""), ("words", ids), text)
        os.mkfifo(self.folder / "pipe.xml")
        for path in ("nowhere.xml", "pipe.xml", ".", "-", "~/nowhere.xml"):
            self.assertEqual(self.asked("expose", path, ""), ("words", []), path)

    def test_a_long_log_is_looked_through_at_its_beginning(self):
        entry = tested("D1", "2019-01-31", "pass") + "\n"
        count = 2**23 // len(entry) + 1000
        self.write("log.xml", log(tested("A1", "2019-01-31", "pass"), entry * count,
                                  tested("Z9", "2019-01-31", "pass")))
        self.assertEqual(self.asked("record", "log.xml", ""), ("words", ["A1", "D1"]))


class Options(Case):
    """Every option of every command, as its help names it, with a value that fits and one that does
    not. A row that is added to the table is tried here of itself."""

    # What to try for a value of that name in the help; words come from __complete.
    VALUES = {"FILE": "out.txt", "LOG.xml": "log.xml", "SHIP.xml": "ship.xml", "FILE.csv": "sheet.csv",
              "LIST.csv": "list.csv", "DATE": "2026-01-02", "LEVEL": "12ft", "N": "100", "DAYS": "30",
              "P%": "5%", "K/N": "2/8", "H": "6.5", "MM": "210", "AT:LENGTH": "1:0.1",
              "LENGTH": "2mm", "START:END:S": "2000:1500:600", "M3": "40", "SPACE": "mid",
              "WHO": "AB", "TEXT": "a remark", "NAME": "Small",
              "LxBxD": "58x11.2x6.4", "T": "2.5", "KG": "3.1", "SPACING[:X0]": "0.6:0",
              "NO:ID:Z[:NAME]": "2:lower:3.7", "P[@T],...": "P1@60", "F[@T],...": "F1@60",
              "A@T,...": "mid@60", "LIST.FIELD=COL": "spaces.id=No",
              "LIMIT": "co-idlh", "SPEED[@DIR]": "5kn@45", "TEMP": "12", "[A:]TEMP": "mid:30", "PA": "40"}
    # What is offered is a part of a value, which this completes.
    ENDS = {"A:AREA[@Z],...": ":0.05@1.2", "A:RATE,...": ":20l/s", "A:RATE[:AGENT]": ":1g/s:co",
            "A@T,...": "@60"}
    FREE = {"FILE", "LOG.xml", "SHIP.xml", "FILE.csv", "LIST.csv", "WHO", "TEXT", "NAME", "SPACE"}
    BEHIND = {"record": ("log.xml", "D1", "fail", "--method=chalk"), "import": (), "plan": ("ship.xml", "--hours=6"),
              "hold": ("ship.xml", "--source=weather", "--protect=mid"),
              "casualty": ("ship.xml", "--source=weather,mid"), "flood": ("ship.xml", "--breach=mid:0.05"),
              "boundary": ("ship.xml", "mid"), "expose": ("ship.xml", "D1"), "history": ("ship.xml", "D1")}
    NEEDED = {"closure": "--closure=D1", "source": "--source=weather", "hazard": "--hazard=water", "space": "--space=mid",
              "drop": "--drop=500:400:60",
              ("report", "source"): "--source=mid:1g/s:co"}
    LISTS = ("--spaces=list.csv", "--closures=list.csv", "--name=Small", "--size=30x6x5", "--draft=2")

    def setUp(self):
        super().setUp()
        self.ship(SMALL.replace("<condition", '<loading id="ready" draft="2" kg="1.5"/><condition', 1))
        self.write("list.csv", "id\n")
        self.write("sheet.csv", "closure\n")

    def tried(self, command, *words):
        self.write("log.xml", log(tested("D1", "2019-01-31", "pass")))
        done = self.run_it(command, *self.BEHIND.get(command, ("ship.xml",)), *words)
        self.assertIn(done.returncode, (DONE, FOUND, USAGE, INPUT), (command, words, done.stderr))
        return done.returncode, done.stderr.decode("utf-8")

    def fitting(self, command, name, value):
        behind = self.BEHIND.get(command, ("ship.xml",))[:1]
        done = self.run_it("__complete", command, *behind, f"--{name}=")
        how, *lines = done.stdout.decode("utf-8").splitlines()
        words = [] if how.startswith("files") else [line.split("=", 1)[1] for line in lines]
        return [word + self.ENDS.get(value, "") for word in words] or [self.VALUES[value]]

    def test_each_takes_its_value_and_refuses_another(self):
        """Of every command in the full tier, of every sixth in the quick one: these are a thousand runs."""
        counted = 0
        for command in COMMANDS[:: 1 if WHOLE else 6]:
            for name, value in re.findall(r"(?m)^  --([a-z-]+)(?:=(\S+))?", self.good("help", command)):
                counted += 1
                option = f"--{name}"
                if name == "help":
                    continue
                if not value:
                    self.not_refused(command, option)
                    self.one_line(USAGE, command, f"{option}=x", says=(option,))
                    continue
                for word in self.fitting(command, name, value):
                    self.not_refused(command, f"{option}={word}")
                self.refused(command, option, value)
                self.one_line(USAGE, command, option, says=(f"{option} needs a value",))
        self.assertGreater(counted, 150 if WHOLE else 25)

    def test_the_help_names_the_words_that_are_offered(self):
        counted = 0
        for command in COMMANDS:
            rows = re.split(r"(?m)^  --", self.good("help", command).split("Options:")[1])[1:]
            for row in rows:
                name = re.match(r"[a-z-]+", row)[0]
                lines = self.good("__complete", command, f"--{name}=").splitlines()
                if lines[0].startswith("files"):
                    continue
                for line in lines[1:]:
                    word = line.split("=", 1)[1]
                    counted += 1
                    self.assertRegex(row, rf"(?<![\w.-]){re.escape(word)}(?![\w-])", (command, name))
        self.assertGreater(counted, 150)

    def test_an_answer_goes_to_a_file_with_a_name(self):
        for word in ("--output=", "-o"):
            self.one_line(USAGE, "rank", word, *([""] if word == "-o" else []), "ship.xml",
                          says=("--output '' is not known; it must be the name of a file",))

    def not_refused(self, command, word):
        says = self.tried(command, word)[1]
        for refusal in ("is not known", "has no option", "is not what", "needs a value"):
            self.assertNotIn(refusal, says, (command, word))

    def refused(self, command, option, value):
        """It is refused for what it is; what else the command asks for with it is given."""
        if value in self.FREE:
            return
        given = list(self.LISTS if command == "import" else ())
        for _ in range(5):
            status, says = self.tried(command, *given, f"{option}=?")
            with_it = re.search(r"goe?s? with (--[a-z-]+)(?: (expose|rank|due|hold|csv))?", says)
            named = re.search(r"say by --(\w+)", says)
            if with_it:
                given.append("=".join(filter(None, with_it.groups())))
            elif named:
                given.append(self.NEEDED.get((command, named[1])) or self.NEEDED[named[1]])
            else:
                break
        self.assertIn(status, (USAGE, INPUT), (command, option, says))
        self.assertIn("?", says, (command, option))


class Refused(Case):
    """What is said of a word names that word, and the bounds that it broke."""

    def test_an_option_of_more_than_one_byte_is_named(self):
        self.write("ship.xml", SMALL)
        for words, named in ((("ship.xml", "-\u00e9"), "-\u00e9"), (("-\u00e9", "ship.xml"), "-\u00e9"),
                             (("ship.xml", "-\u5b57", "--as-of", "2026-11-10"), "-\u5b57"),
                             (("ship.xml", "-x"), "-x"), (("ship.xml", "--xyz"), "--xyz")):
            self.one_line(USAGE, "check", *words, says=[f"has no option '{named}'"])

    def test_bounds_are_said(self):
        self.write("ship.xml", SMALL)
        for day in ("1899-12-31", "3000-01-01"):
            self.one_line(USAGE, "check", "ship.xml", "--as-of", day, says=[day, "1900 to 2999"])
        for share in ("1/1000000000", "1/1000001"):
            self.one_line(USAGE, "rank", "ship.xml", "--risk", "sampled", "--share", share, says=[share, "1000000 at most"])


if __name__ == "__main__":
    unittest.main()
