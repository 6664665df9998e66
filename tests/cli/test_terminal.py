#!/usr/bin/python3
"""Manners on a terminal, each tried on a pseudo-terminal.

No line is longer than the terminal is wide (80 columns where there is none), tables use the width
that there is, colour and the line of progress are for terminals only. Widths are counted here from
the Unicode database of Python (East Asian Width, UAX 11), not by the program.

Needs Python 3.11, its standard library only.
Environment: COAMING, the program; COAMING_ROOT, the source tree; COAMING_WIDTHS, if it is all: more
widths, and others than that of the quick tier. The ships here are invented.
"""

import fcntl
import os
import pty
import re
import select
import struct
import subprocess
import termios
import time
import unicodedata
import unittest

from graph_rows import attribute, hostile_ship
from harness import AS_OF, BARGE, COAMING, DEMO, DEMO_LOG, Folder

WITH_LOG = (DEMO, "--log", DEMO_LOG, *AS_OF)
EVERY = os.environ.get("COAMING_WIDTHS") == "all"
WIDTHS = (47, 60, 79, 80, 81, 132, 200) if EVERY else (40,)

ANSWERS = (
    ("check", *WITH_LOG), ("check", DEMO, *AS_OF),
    ("expose", *WITH_LOG, "--all"),
    ("rank", *WITH_LOG), ("rank", *WITH_LOG, "--by-risk", "--level", "still"),
    ("rank", *WITH_LOG, "--measure", "gm"), ("rank", *WITH_LOG, "--explain", "D1"),
    ("plan", *(WITH_LOG if EVERY else (BARGE, *AS_OF)), "--hours", "12"),
    ("float", *WITH_LOG, "--flooded", "engine,motor"),
    ("flood", *WITH_LOG, "--breach", "engine:0.1", "--condition", "port", "--every", "20min", "--likely", "3"),
    ("survival", *WITH_LOG) if EVERY else ("survival", BARGE, *AS_OF),
    ("hold", *WITH_LOG, "--source", "aux"),
    ("boundary", *WITH_LOG, "engine", "--condition", "port"),
    ("air", *WITH_LOG, "--source", "engine:20g/s:co", "--wind", "9@200", "--condition", "port"),
    ("air", *WITH_LOG, "--wind", "9"),
    ("due", *WITH_LOG), ("due", *WITH_LOG, "--all", "--by-consequence"),
    ("round", *WITH_LOG), ("adjust", *WITH_LOG), ("history", *WITH_LOG, "D1"),
)
TABLES = ("expose", "rank", "due", "hold", "plan")


def columns(line):
    """That a line takes on a terminal."""
    return sum(0 if unicodedata.category(c) in ("Mn", "Me", "Cf") else
               2 if unicodedata.east_asian_width(c) in "WF" else 1 for c in line)


def plain(text):
    return re.sub(r"\033\[[0-9;]*m", "", text)


def wide_ship():
    """Names and ids of wide, joining and long signs."""
    names = ("\u6c34\u5bc6\u6249 \u6a5f\u95a2\u5ba4\u524d\u90e8\u53f3\u8237\u5074 \u7b2c\u4e00",
             "Cafe\u0301 de l\u2019e\u0301quipage, porte e\u0301tanche avant, cote\u0301 tribord",
             "\U0001f6a2\U0001f6aa\U0001f525 hatch \U0001f30a", "N" * 200, "short",
             "\u05d3\u05dc\u05ea \u05d0\u05d8\u05d5\u05de\u05d4")
    ids = ("\u6249\u4e00", "e\u0301-2", "\U0001f6aa3", "x" * 60, "D5", "\u05d3\u05dc\u05ea6")
    lines = [f'<arrangement xmlns="urn:coaming:arrangement:1" name={attribute(names[0])}>',
             '<ship length="120" beam="6" depth="5" draft="2" kg="1.5"/>']
    for i in range(7):
        lines.append(f'<space id={attribute("s" + str(i) + ids[i % 6])} '
                     f'name={attribute(names[i % 6])} shell="yes" people="2" vital="yes">'
                     f'<box x="{10 * i} {10 * i + 10}" y="-3 3" z="0 4"/></space>')
    for i, (word, name) in enumerate(zip(ids, names)):
        between = f"s{i}{ids[i % 6]} s{i + 1}{ids[(i + 1) % 6]}"
        lines.append(f'<closure id={attribute(word)} name={attribute(name)} kind="door" hours="2" '
                     f'between={attribute(between)} rating="watertight"><clear x="{10 * i + 10}" '
                     'y="0" z="0.5" width="0.7" height="1.7" lies="transverse"/>'
                     f'<test date="2026-01-0{i + 1}" method="chalk" by={attribute(name)} '
                     f'result="{"pass" if i % 3 else "fail"}" note={attribute(name)}/></closure>')
    return "\n".join((*lines, "</arrangement>\n"))


class Case(Folder):
    def setUp(self):
        super().setUp()
        self.wide, self.hostile = self.folder / "wide.xml", self.folder / "hostile.xml"
        self.wide.write_text(wide_ship(), "utf-8")
        self.hostile.write_text(hostile_ship(), "utf-8")

    def run_on(self, width, *words, out=True, err=False, given=None, **environment):
        """Runs with a terminal of that width as standard output (out), standard error (err) or both;
        given: (seconds, bytes) that standard input waits for. What came out of each."""
        ours, theirs = pty.openpty()
        fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", 30, width, 0, 0))
        surroundings = {"PATH": os.environ.get("PATH", ""), "TERM": "xterm", **environment}
        with subprocess.Popen([COAMING, *map(str, words)], env=surroundings, cwd=self.folder,
                              stdin=subprocess.PIPE, stdout=theirs if out else subprocess.PIPE,
                              stderr=theirs if err else subprocess.PIPE) as running:
            os.close(theirs)
            streams = {ours: b"", **{s.fileno(): b"" for s in (running.stdout, running.stderr) if s}}
            open_still, begun = set(streams), time.monotonic()
            if not given:
                running.stdin.close()
            while open_still:
                ready = select.select(list(open_still), [], [], 0.05)[0]
                if given and time.monotonic() - begun >= given[0]:
                    running.stdin.write(given[1])
                    running.stdin.close()
                    given = None
                for stream in ready:
                    try:
                        piece = os.read(stream, 65536)
                    except OSError:  # the other end of the terminal is closed
                        piece = b""
                    streams[stream] += piece
                    if not piece:
                        open_still.discard(stream)
            status = running.wait()
            piped = {name: streams[s.fileno()] for name, s in
                     (("out", running.stdout), ("err", running.stderr)) if s}
        os.close(ours)
        terminal = streams[ours].replace(b"\r\n", b"\n")
        return status, terminal.decode(), {k: v.decode() for k, v in piped.items()}

    def answers_of_odd_ships(self):
        for ship in (self.wide, self.hostile):
            asked = (ship, *AS_OF)
            yield from (("check", *asked), ("expose", *asked, "--all"), ("rank", *asked),
                        ("plan", *asked, "--hours", "3"), ("due", *asked, "--all"),
                        ("round", *asked), ("adjust", *asked))
        first = "s0\u6249\u4e00"
        asked = (self.wide, *AS_OF)
        yield from (("float", *asked, "--flooded", first), ("survival", *asked),
                    ("hold", *asked, "--source", first, "--protect", "s3" + "x" * 60),
                    ("boundary", *asked, first), ("rank", *asked, "--explain", "x" * 60), ("history", *asked, "x" * 60),
                    ("due", *asked, "--all", "--by-consequence"))


class Width(Case):
    def too_long(self, text, width):
        return [line for line in plain(text).split("\n") if columns(line) > width]

    def test_no_line_is_longer_than_the_terminal_is_wide(self):
        for words in ANSWERS:
            for width in WIDTHS:
                _, text, _ = self.run_on(width, *words)
                with self.subTest(words[0], more=words[4:], width=width):
                    self.assertGreater(text.count("\n"), 3)
                    self.assertEqual(self.too_long(text, width), [])

    def test_nor_with_wide_signs_and_long_names(self):
        for words in self.answers_of_odd_ships():
            for width in (40, 47, 80, 132) if EVERY else (40,):
                status, text, _ = self.run_on(width, *words)
                with self.subTest(words[0], ship=words[1].name, more=words[4:5], width=width):
                    self.assertIn(status, (0, 1))
                    self.assertGreater(text.count("\n"), 2)
                    self.assertEqual(self.too_long(text, width), [])

    def test_piped_lines_have_at_most_80_columns_whatever_the_terminal(self):
        for words in (*(ANSWERS if EVERY else ()), *self.answers_of_odd_ships()):
            _, _, piped = self.run_on(200, *words, out=False, err=True, COLUMNS="200")
            with self.subTest(words[0], ship=words[1].name):
                self.assertEqual(self.too_long(piped["out"], 80), [])

    def test_tables_use_the_width_that_there_is(self):
        for words in ANSWERS if EVERY else {words[0]: words for words in ANSWERS}.values():
            if words[0] in TABLES:
                longest = [max(columns(line) for line in plain(self.run_on(w, *words)[1]).split("\n"))
                           for w in (40, 80, 132)]
                self.assertTrue(longest[0] <= 40 < longest[1] <= 80 < longest[2], (words[0], longest))

    def test_names_that_80_columns_cut_are_whole_on_a_wide_terminal(self):
        narrow, wide = (self.run_on(w, "due", *WITH_LOG)[1] for w in (80, 200))
        name = "Auxiliary machinery door, forward, starboard"[:38]
        self.assertNotIn(name, narrow)
        self.assertIn(name, wide)

    def test_columns_stand_below_each_other_under_wide_names(self):
        for command, start in (("rank", r"(pass|FAIL) 2026-01-0\d"), ("due", r" chalk  +\S")):
            lines = self.run_on(100, command, self.wide, *AS_OF, NO_COLOR="1")[1].split("\n")
            found = [(line, re.search(start, line)) for line in lines if re.match(r" +\S", line)]
            places = [columns(line[:match.start()]) for line, match in found if match]
            self.assertGreaterEqual(len(places), 4, command)
            self.assertEqual(len(set(places)), 1, (command, places))


class Colour(Case):
    def test_only_what_goes_to_a_terminal_is_coloured(self):
        self.assertIn("\033[", self.run_on(80, "rank", *WITH_LOG)[1])
        status, terminal, piped = self.run_on(80, "rank", *WITH_LOG, out=False, err=True)
        self.assertEqual((status, "\033" in terminal + piped["out"]), (0, False))
        for form in ("json", "csv"):
            self.assertNotIn("\033", self.run_on(80, "rank", *WITH_LOG, "--format", form)[1])
        for environment in ({"NO_COLOR": "1"}, {"NO_COLOR": "0"}, {"TERM": "dumb"}):
            for words in ANSWERS if EVERY else ANSWERS[::4] if environment == {"NO_COLOR": "1"} else ANSWERS[:4:3]:
                self.assertNotIn("\033", self.run_on(80, *words, **environment)[1], environment)

    def test_a_name_cannot_colour(self):
        # XML has no escape sign, but the eight-bit one (U+009B) and marks of direction
        text = hostile_ship().replace("<script>", "\u009b31m\u202e").replace(
            "&lt;script>", "\u009b31m\u202e")
        self.assertNotEqual(text, hostile_ship())
        self.hostile.write_text(text, "utf-8")
        seen = self.run_on(80, "expose", self.hostile, *AS_OF, "--all")[1]
        self.assertIn("<U+009B>31m<U+202E>", seen)
        self.assertNotRegex(plain(seen), "[\u0080-\u009f\u202a-\u202e\033]")


class Progress(Case):
    SLOW = (2.6, BARGE.read_bytes())
    LINE = re.compile(r"\rcoaming rank: working, +(\d+) s")

    def test_it_comes_after_a_second_and_is_wiped(self):
        status, terminal, piped = self.run_on(80, "rank", "-", *AS_OF, out=False, err=True,
                                              given=self.SLOW)
        self.assertEqual(status, 0)
        self.assertEqual(self.LINE.findall(terminal)[:2], ["1", "2"])
        wiped = re.search(r"\r( +)\r$", terminal)
        self.assertTrue(wiped, terminal)
        self.assertGreaterEqual(len(wiped[1]), max(map(len, terminal[:wiped.start()].split("\r"))))
        self.assertEqual(self.LINE.sub("", terminal[:wiped.start()]), "")
        self.assertEqual(piped["out"], self.run_on(80, "rank", BARGE, *AS_OF, out=False)[2]["out"])

    def test_it_is_wiped_before_the_answer_on_the_same_terminal(self):
        _, terminal, _ = self.run_on(80, "rank", "-", *AS_OF, err=True, given=self.SLOW)
        begin, _, answer = terminal.rpartition(" \r")
        self.assertTrue(self.LINE.match(begin))
        self.assertEqual(answer, self.run_on(80, "rank", BARGE, *AS_OF)[1])

    def test_it_is_wiped_before_a_message(self):
        status, terminal, _ = self.run_on(80, "rank", "-", *AS_OF, out=False, err=True,
                                          given=(2.2, b"<no/>"))
        self.assertEqual(status, 3)
        self.assertRegex(terminal, r"working, +\d s\r +\rstandard input:1: error: ")

    def test_quick_work_and_no_terminal_have_none(self):
        self.assertEqual(self.run_on(80, "rank", BARGE, *AS_OF, out=False, err=True)[1], "")
        _, _, piped = self.run_on(80, "rank", "-", *AS_OF, given=self.SLOW)
        self.assertEqual(piped["err"], "")


if __name__ == "__main__":
    unittest.main()
