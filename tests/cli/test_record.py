#!/usr/bin/python3
"""What record puts into a test log, and what it refuses.

What stood in a log stays byte for byte, the entries are added at its end, and a log that is refused
is not touched. Kills, full disks and many writers at once: see survive.py.

Needs Python 3.11, its standard library only.
Environment: COAMING, the program; COAMING_ROOT, the source tree. The ships here are invented.
"""

import csv
import datetime
import fcntl
import io
import json
import os
import random
import shutil
import stat
import subprocess
import tempfile
import threading
import time
import unittest
import xml.etree.ElementTree as ET
from pathlib import Path
from xml.sax.saxutils import quoteattr

from harness import (COAMING, DEMO, DEMO_LOG, DONE, INPUT, LOG_NS, MACHINE, SMALL, USAGE, Case, log,
                     tested)

NS = f"{{{LOG_NS}}}"
ON = ("--date", "2026-11-03")
ONE = log(tested("D1", "2026-10-01", "pass"))
FOUND = 1
DROP = {"start-pressure": "2000", "end-pressure": "1500", "duration": "600"}


class Recording(Case):
    def setUp(self):
        super().setUp()
        self.ship()

    def logged(self, text=ONE, name="log.xml"):
        self.write(name, text)

    def content(self, name="log.xml"):
        return (self.folder / name).read_bytes()

    def entries(self, name="log.xml"):
        """Every entry as (sort, attributes, gaps)."""
        return [(e.tag.removeprefix(NS), dict(e.attrib), [dict(g.attrib) for g in e])
                for e in ET.fromstring(self.content(name))]

    def add(self, *words, name="log.xml", **how):
        """Records and returns what was added; all that stood there before must still stand."""
        before = self.entries(name) if (self.folder / name).exists() else []
        self.good("record", name, *words, **how)
        after = self.entries(name)
        self.assertEqual(after[:len(before)], before)
        self.assertEqual(sorted(path.name for path in self.folder.glob("*.unfinished*")), [])
        return after[len(before):]

    def valid(self, name="log.xml"):
        done = self.run_it("check", "--as-of", "2026-11-10", "ship.xml", "--log", name)
        self.assertEqual(done.returncode, DONE, done.stderr)

    def refused(self, *words, says=(), status=INPUT, lines=1, **how):
        """Faults on standard error, no output, and no file changed."""
        before = self.state()
        done = self.run_it("record", *words, **how)
        errors = done.stderr.decode()
        self.assertEqual(done.returncode, status, (words, errors, done.stdout))
        self.assertEqual(errors.count("\n"), lines, errors)
        self.assertFalse(done.stdout)
        self.assertEqual(self.state(), before, words)
        for word in says:
            self.assertIn(word, errors)
        return errors


class Entries(Recording):
    def test_a_pass(self):
        self.logged()
        self.assertEqual(self.add("D1", "chalk", "pass", *ON),
                         [("test", {"closure": "D1", "date": "2026-11-03", "method": "chalk",
                                    "result": "pass"}, [])])
        self.valid()

    def test_the_work_of_a_watch_in_one_line(self):
        self.logged()
        added = self.add("D1", "chalk", "fail", "2.10:0.18", "0:.2:paint", "dogs", "pass", "hose", *ON,
                         "--by", "AB", "--note", "dogs 4 and 5", "--ship", "ship.xml")
        signed = {"closure": "D1", "date": "2026-11-03", "by": "AB", "note": "dogs 4 and 5"}
        self.assertEqual(added, [
            ("test", signed | {"method": "chalk", "result": "fail"},
             [{"at": "2.1", "length": "0.18"}, {"at": "0", "length": "0.2", "seen": "paint"}]),
            ("repair", signed | {"action": "dogs"}, []),
            ("test", signed | {"method": "hose", "result": "pass"}, [])])
        self.valid()

    def test_options_say_the_same_as_words(self):
        self.logged()
        words = self.add("D1", "chalk", "fail", "1:0.1", "1.5:0.1:joint", "gasket", *ON)
        options = self.add("D1", "--method=chalk", "--result=fail", "--gap=1:0.1", "--gap=1.5:0.1:joint",
                           "--repair=gasket", "--again", *ON)
        self.assertEqual(words, options)
        self.assertEqual(len(words), 2)

    def test_every_word_of_the_format_is_taken(self):
        self.logged()
        methods = ("chalk", "hose", "air", "ultrasonic", "light", "smoke", "visual")
        actions = ("dogs", "gasket", "knife-edge", "hinge", "replaced")
        words = [word for method in methods for word in ("pass", method)]
        added = self.add("D1", *words, *actions, *ON)
        self.assertEqual([e[1]["method"] for e in added[:7]], [*methods])
        self.assertEqual([e[1]["action"] for e in added[7:]], [*actions])
        self.valid()

    def test_the_answer_tells_what_was_recorded(self):
        self.logged()
        told = json.loads(self.good("record", "log.xml", "D1", "chalk", "fail", "1:0.1", "dogs", *ON,
                                    "--ship", "ship.xml", "--format", "json"))
        self.assertEqual(told["format"], "coaming/record/1")
        self.assertEqual((told["ship"], told["log"], told["log_entries"], told["skipped"]),
                         ("Small", "log.xml", 3, 0))
        self.assertEqual([(e["entry"], e["closure"], e["date"], e["method"], e["result"], e["gaps"],
                           e["action"]) for e in told["recorded"]],
                         [("test", "D1", "2026-11-03", "chalk", "fail", "1:0.1", None),
                          ("repair", "D1", "2026-11-03", None, None, None, "dogs")])
        text = self.good("record", "log.xml", "D1", "chalk", "pass", *ON)
        self.assertIn("1 entry recorded in log.xml, which has 4 now", text)

    def test_set_and_hinge_play_go_with_the_first_test(self):
        self.logged()
        added = self.add("D1", "fail", "1:0.2:edge", "hinge", "pass", *ON, "--set", "3.5mm",
                         "--hinge-play=0.0052", "--ship", "ship.xml")
        self.assertEqual(added[0][1]["set"], "0.0035")
        self.assertEqual(added[0][1]["hinge-play"], "0.0052")
        self.assertEqual(added[0][2], [{"at": "1", "length": "0.2", "seen": "edge"}])
        for _, attributes, _ in added[1:]:
            self.assertFalse({"set", "hinge-play"} & set(attributes))
        self.valid()

    def test_units_of_what_was_measured(self):
        feet = SMALL.replace('name="Small"', 'name="Small" units="ft"')
        for ship, unit in ((SMALL, 1), (feet, 0.3048)):
            self.ship(ship)
            for given, metres in (("3.5mm", 0.0035), ("3.5 mm", 0.0035), ("0.125in", 0.003175),
                                  ("0.003", 0.003 * unit), ("0mm", 0)):
                self.logged()
                added = self.add("D1", "chalk", "pass", *ON, f"--set={given}", "--ship", "ship.xml")
                self.assertAlmostEqual(float(added[0][1]["set"]) * unit, metres, 12, given)
                told = json.loads(self.run_it("export", "--as-of", "2026-11-10", "ship.xml",
                                              "--log", "log.xml").stdout)
                door = next(c for c in told["closures"] if c["id"] == "D1")
                self.assertAlmostEqual(door["events"][-1]["set"], metres, 12)

    def test_mm_need_the_ship_for_the_unit_of_her_file(self):
        self.logged()
        self.refused("log.xml", "D1", "chalk", "pass", "--set=3.5mm", *ON, says=["3.5mm", "--ship"])
        self.assertEqual(self.add("D1", "chalk", "pass", "--set=0.0035", *ON)[0][1]["set"], "0.0035")

    def test_measures_that_cannot_be(self):
        self.logged()
        for word in ("3.5", "0.1", "100mm", "4in"):
            self.refused("log.xml", "D1", "chalk", "pass", f"--set={word}", *ON, "--ship", "ship.xml",
                         says=["closure D1", "set '" + word, "more than can be"])
        self.refused("log.xml", "D1", "chalk", "pass", "--set=3.5", *ON, says=["write 3.5mm"])
        for word in ("3,5mm", "-1mm", "mm", "x", "3.5cm", "nan", "inf", "1e999"):
            self.refused("log.xml", "D1", "chalk", "pass", f"--hinge-play={word}", *ON, "--ship",
                         "ship.xml", says=["hinge play '" + word])
        for words in (("dogs",), ("undo",), ()):
            self.refused("log.xml", "D1", *words, "--set=0.003", *ON, status=USAGE)

    def test_a_drop_of_pressure_goes_with_the_first_test_by_air(self):
        self.logged()
        added = self.add("D1", "air", "fail", "dogs", "pass", *ON, "--drop=2e3:1500.0:600", "--space=mid",
                         "--volume=230.5", "--ship", "ship.xml")
        self.assertEqual({k: v for k, v in added[0][1].items() if k not in ("closure", "date")},
                         {"method": "air", "result": "fail", **DROP, "space": "mid", "volume": "230.5"})
        for _, attributes, _ in added[1:]:
            self.assertFalse({"space", "volume", *DROP} & set(attributes))
        self.valid()
        self.assertIn("test by air: fail, from 2000 to 1500 Pa in 600 s",
                      self.good("record", "log.xml", "D1", "air", "fail", *ON, "--drop", "2000:1500:600", "--space=mid"))
        self.assertIn("test by air: FAIL, from 2000 to 1500 Pa in 600 s",
                      self.good("history", "ship.xml", "D1", "--log", "log.xml", "--as-of=2026-11-10"))

    def test_between_a_space_and_the_outside_it_need_not_be_said_which(self):
        self.logged()
        self.add("H1", "air", "pass", *ON, "--drop=500:500:60", "--ship", "ship.xml")
        told = json.loads(self.good("export", "--as-of", "2026-11-10", "ship.xml", "--log", "log.xml"))
        event = next(c for c in told["closures"] if c["id"] == "H1")["events"][-1]
        self.assertEqual([event[k] for k in ("space", "start_pressure", "end_pressure", "duration", "volume")],
                         ["aft", 500, 500, 60, 10 * 6 * 4 * 0.95])

    def test_drops_that_cannot_be(self):
        self.logged()
        ship, mid = ("--ship", "ship.xml"), "--space=mid"
        for drop, says in (("1500:2000:600", "the pressure cannot end higher than it began"),
                           ("0:0:600", "start-pressure '0' is out of bounds"), ("2000:-1:600", "end-pressure '-1'"),
                           ("2000:1500:0", "duration '0' is out of bounds"), ("nan:1:1", "start-pressure 'nan'"),
                           ("2000:inf:1", "end-pressure 'inf'"), ("2000:1:x", "duration 'x'"),
                           ("2e6:1500:600", "start-pressure '2e6' is out of bounds")):
            for more in ((), ship):
                self.refused("log.xml", "D1", "air", "pass", f"--drop={drop}", mid, *ON, *more,
                             says=["closure D1", says])
        for drop in ("2000:1500", "2000", "2000:1500:600:", "2000:1500:600:1", ":1500:600", "2000::600", "", "::"):
            self.refused("log.xml", "D1", "air", "pass", f"--drop={drop}", mid, *ON, status=USAGE, says=["2000:1500:600"])
        for words, says in ((("air", "pass", mid), "has a start-pressure, an end-pressure and a duration"),
                            (("air", "pass", "--volume=3"), "has a start-pressure"),
                            (("hose", "pass", mid, "--drop=2:1:1"), "is of a test by air"),
                            (("air", "pass", mid, "--drop=2:1:1", "--volume=0"), "volume '0'"),
                            (("air", "pass", "--drop=2:1:1", *ship), "which of the two spaces"),
                            (("air", "pass", "--drop=2:1:1", "--space=aft", *ship), "space 'aft' was under pressure, but"),
                            (("air", "pass", "--drop=2:1:1", "--space=sea", *ship), "space 'sea' was under pressure, but")):
            self.refused("log.xml", "D1", *words, *ON, says=["closure D1", says])
        for words in (("dogs",), ("undo",), ()):
            for more in ("--drop=2:1:1", mid, "--volume=1"):
                self.refused("log.xml", "D1", *words, more, *ON, status=USAGE)

    def test_another_drop_is_another_test(self):
        self.logged()
        one = ("D1", "air", "pass", "--space=mid", "--volume=230", *ON)
        self.add(*one, "--drop=2000:1500:600")
        self.refused("log.xml", *one, "--drop=2e3:15e2:600.0", says=["stands last"])
        for drop, space, volume in (("2001:1500:600", "mid", "230"), ("2001:1501:600", "mid", "230"),
                                    ("2001:1501:601", "mid", "230"), ("2001:1501:601", "fore", "230"),
                                    ("2001:1501:601", "fore", "231")):
            self.add("D1", "air", "pass", f"--drop={drop}", f"--space={space}", f"--volume={volume}", *ON)

    def test_what_was_measured_tells_one_entry_from_another(self):
        self.logged()
        self.add("D1", "chalk", "pass", *ON, "--set=0.003")
        self.refused("log.xml", "D1", "chalk", "pass", *ON, "--set=0.0030", says=["--again"])
        self.add("D1", "chalk", "pass", *ON, "--set=0.0031")
        self.add("D1", "chalk", "pass", *ON)
        self.add("D1", "chalk", "pass", *ON, "--set=3mm", "--ship", "ship.xml")
        self.refused("log.xml", "D1", "chalk", "pass", *ON, "--set=3mm", "--ship", "ship.xml",
                     says=["--again"])

    def test_with_the_ship_the_answer_counts_what_was_measured_before(self):
        self.logged()
        self.add("D1", "chalk", "pass", *ON, "--set=4mm", "--ship", "ship.xml")
        told = json.loads(self.good("record", "log.xml", "D1", "pass", "hose", *ON, "--ship",
                                    "ship.xml", "--format=json"))
        row = told["closures"][0]
        self.assertEqual((row["advice"], row["set"]), ("gasket", 0.004))

    def test_a_print_off_the_middle_that_passes_is_a_warning(self):
        self.logged()
        done = self.run_it("record", "log.xml", "D1", "chalk", "pass", "1:0.1:edge", *ON)
        self.assertEqual(done.returncode, DONE)
        self.assertIn(b"off the middle of the gasket is recorded as pass", done.stderr)

    def test_a_log_is_begun_with_the_name_of_the_ship(self):
        name = "R & D \"Ægir\" <2>"
        self.ship(SMALL.replace('name="Small"', f"name={quoteattr(name)}"))
        self.add("D1", "chalk", "pass", *ON, "--ship", "ship.xml")
        self.assertEqual(ET.fromstring(self.content()).get("arrangement"), name)
        self.add("H1", "chalk", "pass", *ON, "--ship", "ship.xml")
        self.assertEqual(len(self.entries()), 2)
        self.valid()

    def test_a_pass_with_gaps_is_recorded_with_a_warning(self):
        self.logged()
        done = self.run_it("record", "log.xml", "D1", "chalk", "pass", "1:0.1", *ON)
        self.assertEqual(done.returncode, DONE)
        self.assertIn(b"warning: closure D1", done.stderr)
        self.assertEqual(len(self.entries()), 2)


class Valves(Recording):
    """A valve has a seat: nothing of it is chalked, measured as a gasket is, or dogged down."""
    VALVE = ('<closure id="V1" kind="valve" between="mid sea" rating="watertight"><clear x="15" '
             'y="-3" z="0.5" width="0.1" height="0.1" lies="longitudinal"/>')

    def setUp(self):
        super().setUp()
        self.logged()
        self.ship(SMALL.replace("</arrangement>", self.VALVE + "</closure></arrangement>"))

    def test_what_a_valve_has_not_is_not_recorded(self):
        for words, says in ((("chalk", "pass"), "no gasket to take a print of"),
                            (("hose", "fail", "0.1:0.1"), "no gasket and no hinge"),
                            (("hose", "fail", "--set", "3mm"), "no gasket and no hinge"),
                            (("dogs",), "has no dogs")):
            self.refused("log.xml", "V1", *words, *ON, "--ship", "ship.xml",
                         says=["closure V1: is a valve", says])

    def test_what_it_has_is(self):
        self.add("V1", "hose", "fail", "replaced", *ON, "--ship", "ship.xml")
        self.assertEqual(len(self.entries()), 3)

    def test_check_tells_of_one_in_a_file(self):
        self.ship(SMALL.replace("</arrangement>", self.VALVE + "<test date='2026-01-01' "
                                "method='chalk' result='pass'/></closure></arrangement>"))
        told = self.run_it("check", "ship.xml", "--as-of", "2026-11-03").stderr.decode()
        self.assertRegex(told, "ship.xml:[0-9]+: warning: [^\\n]*a chalk test of a valve")


class Methods(Recording):
    """By which method a closure was tested goes by its kind, as due has it, or is asked for."""
    KINDS = ("door", "hatch", "scuttle", "manhole", "ventilator", "valve", "sidescuttle", "cover")
    RATINGS = ("watertight", "weathertight", "airtight", "nontight")

    def fleet(self, intervals=""):
        """One closure of every kind and rating."""
        (self.folder / "new.xml").unlink(missing_ok=True)
        closures = "".join(f'<closure id="{k}-{r}" kind="{k}" between="a b" rating="{r}">'
                           '<clear x="20" y="0" z="1" width="0.8" height="0.6" lies="transverse"/></closure>'
                           for k in self.KINDS for r in self.RATINGS)
        self.write("fleet.xml", '<arrangement xmlns="urn:coaming:arrangement:1" name="Fleet">'
                   '<ship length="40" beam="8" depth="5" draft="2"/>' + intervals +
                   '<space id="a" name="A"><box x="0 20" y="-4 4" z="0 5"/></space>'
                   '<space id="b" name="B"><box x="20 40" y="-4 4" z="0 5"/></space>' + closures +
                   "</arrangement>")
        due = self.run_it("due", "fleet.xml", "--all", "--format", "json", "--as-of", "2026-11-10")
        rules = {}
        for row in json.loads(due.stdout)["tests"]:
            rules.setdefault(row["closure"], []).append((row["days"], row["method"]))
        return {f"{k}-{r}": rules.get(f"{k}-{r}", []) for k in self.KINDS for r in self.RATINGS}

    def recorded(self, closure):
        """The method that was taken; None: it was asked for."""
        done = self.run_it("record", "new.xml", closure, "pass", "--ship", "fleet.xml",
                           "--again", *ON)
        if done.returncode == USAGE:
            self.assertRegex(done.stderr.decode(), rf"\Acommand line: error: closure {closure}: by which "
                             r"method it was tested is not said, and for a [^\n]*say it: chalk, [^\n]*\n\Z")
            return None
        self.assertEqual(done.returncode, DONE, done.stderr)
        return self.entries("new.xml")[-1][1]["method"]

    def test_the_shortest_of_those_that_prove(self):
        for intervals in ("", '<interval kind="door" method="visual" days="1"/>'
                          '<interval kind="door" method="air" days="300"/>'
                          '<interval kind="door" method="ultrasonic" days="90"/>'
                          '<interval kind="door" method="chalk" days="100"/>'
                          '<interval kind="valve" method="visual" days="7"/>'
                          '<interval kind="hatch" method="visual" days="7"/>'
                          '<interval kind="ventilator" method="smoke" days="365"/>'):
            asked = 0
            for closure, rules in self.fleet(intervals).items():
                proving = [rule for rule in rules if rule[1] != "visual"]
                expected = min(proving)[1] if proving else None
                self.assertEqual(self.recorded(closure), expected, (closure, intervals))
                asked += not expected
            self.assertGreater(asked, 5)
        self.assertEqual(self.recorded("door-watertight"), "ultrasonic")
        self.assertEqual(self.recorded("valve-watertight"), None)
        self.assertEqual(self.recorded("ventilator-airtight"), "smoke")

    def test_a_valve_asks_and_takes_what_it_is_told(self):
        self.fleet()
        for more in (["visual"], ["--method=air"]):
            self.good("record", "new.xml", "valve-watertight", "pass", *more, "--ship", "fleet.xml", *ON)
        self.assertEqual([e[1]["method"] for e in self.entries("new.xml")], ["visual", "air"])

    def test_in_a_sheet(self):
        self.fleet()
        self.write("sheet.csv", "closure,result,method\ndoor-watertight,fail,\nvalve-watertight,pass,\n"
                   "manhole-airtight,pass,visual\n")
        words = ("new.xml", "--sheet", "sheet.csv", "--ship", "fleet.xml", *ON)
        self.refused(*words, says=["sheet.csv:3: error: closure valve-watertight: by which method"])
        self.good("record", *words, "--method", "light")
        self.assertEqual([e[1]["method"] for e in self.entries("new.xml")], ["light", "light", "visual"])

    def test_without_the_ship_it_is_asked_for(self):
        self.logged()
        for words in (["pass"], ["fail", "1:0.1", "dogs", "pass"], ["--result=pass"]):
            self.refused("log.xml", "D1", *words, *ON, status=USAGE,
                         says=["closure D1: by which method it was tested is not said, and without "
                               "--ship its kind is not known"])
        self.assertEqual([e[0] for e in self.add("D1", "dogs", *ON)], ["repair"])
        self.write("sheet.csv", "closure,result,method\nD1,pass,\n")
        self.refused("log.xml", "--sheet", "sheet.csv", *ON, says=["sheet.csv:2: error: closure D1: by"])


class Layout(Recording):
    """The old text stays byte for byte, the new stands before the end of the root."""

    def spliced(self, text, *words):
        """The bytes that were put in, and those before and behind."""
        raw = text if isinstance(text, bytes) else text.encode()
        self.logged(raw)
        self.good("record", "log.xml", *(words or ("D1", "chalk", "pass", *ON)))
        now = self.content()
        front = os.path.commonprefix([raw, now])
        back = raw[len(front):]
        self.assertTrue(now.endswith(back), now)
        self.valid()
        return front, now[len(front):len(now) - len(back)], back

    def test_comments_and_layout_stay(self):
        text = ONE.replace("<test ", "<!-- </test-log> a trap -->\n\n\n\t<?keep me?>\n     <test ")
        text = text + "<!-- behind the end </test-log> -->\n<?and this?>\n\n"
        self.spliced(text)
        self.assertEqual(len(self.entries()), 2)

    def test_a_prefix_is_used_for_the_new_entries(self):
        text = (f'<c:test-log xmlns:c="{LOG_NS}" arrangement="Small">\n'
                '<c:test closure="D1" date="2026-10-01" method="chalk" result="pass"/>\n'
                '</c:test-log  >\n')
        _, added, _ = self.spliced(text, "D1", "chalk", "fail", "1:0.1", *ON)
        self.assertIn(b"<c:test closure", added)
        self.assertIn(b"<c:gap at", added)
        self.assertEqual(self.entries()[1][2], [{"at": "1", "length": "0.1"}])

    def test_windows_ends_of_lines_stay(self):
        front, _, back = self.spliced(ONE.replace("\n", "\r\n"))
        self.assertEqual((front + back).count(b"\r\n"), ONE.count("\n"))
        self.assertEqual(len(self.entries()), 2)

    def test_a_log_in_one_line(self):
        self.spliced(ONE.replace("\n", " ").strip())
        self.assertEqual(len(self.entries()), 2)

    def test_an_empty_root_closed_in_itself(self):
        for text in (f'<test-log xmlns="{LOG_NS}" arrangement="Small"/>',
                     f'<l:test-log xmlns:l="{LOG_NS}" arrangement="Small"  />\n<!-- end -->\n'):
            self.logged(text)
            self.add("D1", "chalk", "pass", *ON, "--ship", "ship.xml")
            self.assertEqual(len(self.entries()), 1)
            self.assertIn(text.partition("/>")[2].encode(), self.content())
            self.add("D1", "chalk", "fail", *ON)
            self.valid()

    def test_a_byte_order_mark_stays(self):
        self.spliced(b"\xef\xbb\xbf" + ONE.encode())
        self.assertTrue(self.content().startswith(b"\xef\xbb\xbf<test-log"))

    def test_names_and_notes_of_all_scripts_stay(self):
        text = ONE.replace("/>", ' by="Ø&lt;&amp;&quot;" note="漢字 😀&#10;שלום"/>')
        self.spliced(text)
        self.assertEqual(self.entries()[0][1]["note"], "漢字 😀\nשלום")

    def test_what_is_written_reads_back_the_same(self):
        self.logged()
        for note in ("<&>\"'", "two\nlines", "tab\tand\rreturn", "&amp; &#38; ]]> -->",
                     "漢字 😀 שלום", "x" * 3000, "  blanks  ", "%s %n"):
            added = self.add("D1", "chalk", "pass", *ON, f"--note={note}", "--by=Æ<&'\"")
            self.assertEqual((added[0][1]["note"], added[0][1]["by"]), (note, "Æ<&'\""))
        self.valid()

    def test_text_that_cannot_stand_in_xml_is_refused(self):
        self.logged()
        for note in (b"bell\a", b"\xff\xfe", b"esc\x1b[31m", b"\xed\xa0\x80", b"\xef\xbf\xbe"):
            self.refused("log.xml", "D1", "chalk", "pass", *ON, "--note=" + os.fsdecode(note),
                         says=["closure D1", "note"])

    def test_another_encoding_than_utf8_is_refused(self):
        head = '<?xml version="1.0" encoding="{}"?>\n'
        for name, text in (("UTF-16", ONE), ("UTF-16LE", ONE), ("ISO-8859-1", ONE),
                           ("ISO-8859-1", ONE.replace("/>", ' by="Øst"/>')),
                           ("US-ASCII", ONE), ("windows-1252", ONE)):
            with self.subTest(encoding=name, ascii=text.isascii()):
                self.logged((head.format(name) + text).encode(name))
                self.refused("log.xml", "D1", "chalk", "pass", *ON, "--note=Øst", says=["UTF-8"])

    def test_a_document_that_says_it_is_utf8_is_taken(self):
        for name in ("UTF-8", "utf-8"):
            self.spliced(f'<?xml version="1.0" encoding="{name}"?>\n' + ONE)


class Files(Recording):
    def test_a_link_stays_a_link_and_its_target_gets_the_entry(self):
        (self.folder / "far").mkdir()
        self.logged(name="far/log.xml")
        for name, target in (("log.xml", "far/log.xml"), ("second.xml", "log.xml")):
            (self.folder / name).symlink_to(target)
            self.add("D1", "chalk", "pass", *ON, "--again", name=name)
            self.assertEqual(os.readlink(self.folder / name), target)
        self.assertEqual(len(self.entries("far/log.xml")), 3)
        self.assertEqual(sorted(p.name for p in (self.folder / "far").iterdir()), ["log.xml"])

    def test_a_link_to_nowhere(self):
        (self.folder / "log.xml").symlink_to("gone.xml")
        done = self.run_it("record", "log.xml", "D1", "chalk", "pass", *ON, "--ship", "ship.xml")
        self.assertIn(done.returncode, (DONE, INPUT, MACHINE))
        self.assertTrue((self.folder / "log.xml").is_symlink())
        self.assertEqual((self.folder / "gone.xml").exists(), done.returncode == DONE)

    def test_permissions_stay(self):
        for mode in (0o600, 0o640, 0o664, 0o644):
            self.logged()
            (self.folder / "log.xml").chmod(mode)
            self.add("D1", "chalk", "pass", *ON)
            self.assertEqual(stat.S_IMODE((self.folder / "log.xml").stat().st_mode), mode)

    def test_a_new_log_gets_the_permissions_of_a_new_file(self):
        self.add("D1", "chalk", "pass", *ON, "--ship", "ship.xml", umask=0o027)
        self.assertEqual(stat.S_IMODE((self.folder / "log.xml").stat().st_mode), 0o640)

    def test_what_was_left_beside_by_a_killed_writer_is_in_nobodys_way(self):
        self.logged()
        self.write("log.xml.unfinished", "half of a lo")
        self.assertEqual(len(self.add("D1", "chalk", "pass", *ON)), 1)

    def test_a_trap_beside_is_not_followed(self):
        self.logged()
        self.write("precious", "precious")
        (self.folder / "log.xml.unfinished").symlink_to("precious")
        self.add("D1", "chalk", "pass", *ON)
        self.assertEqual(self.content("precious"), b"precious")

    def test_a_log_that_is_missing(self):
        self.refused("nowhere.xml", "D1", "chalk", "pass", *ON, says=["nowhere.xml", "--ship"])
        self.refused("no/where.xml", "D1", "chalk", "pass", *ON, "--ship", "ship.xml", status=MACHINE,
                     says=["no/where.xml"])

    def test_what_is_no_plain_file(self):
        (self.folder / "folder").mkdir()
        os.mkfifo(self.folder / "pipe")
        self.refused("folder", "D1", "chalk", "pass", *ON, says=["folder"], status=MACHINE)
        self.refused("pipe", "D1", "chalk", "pass", *ON, says=["pipe"])
        self.refused("/dev/null", "D1", "chalk", "pass", *ON, says=["/dev/null"])
        self.refused("-", "D1", "chalk", "pass", *ON, status=USAGE, says=["the log must be a file"])
        self.refused("", "D1", "chalk", "pass", *ON, status=INPUT)

    def as_nobody(self):
        """Root may write everywhere, so another does it then: with copies of the program and its
        library, for the sources may lie where nobody else may go (a home folder)."""
        if os.geteuid() != 0:
            return {}
        self.folder.chmod(0o755)
        for file in self.folder.iterdir():
            file.chmod(0o644)
        own = Path(self.enterContext(tempfile.TemporaryDirectory(prefix="coaming-other-")))
        own.chmod(0o755)
        program = Path(COAMING)
        for file in (program, *program.parent.glob("libcoaming.so*")):
            Path(shutil.copy(file, own)).chmod(0o755)
        return {"user": 65534, "group": 65534, "extra_groups": [], "program": own / program.name,
                "library": own}

    def test_a_folder_that_may_not_be_written(self):
        who = self.as_nobody()
        self.logged()
        (self.folder / "log.xml").chmod(0o666)
        self.folder.chmod(0o555)
        self.addCleanup(self.folder.chmod, 0o755)
        self.refused("log.xml", "D1", "chalk", "pass", *ON, status=MACHINE, says=["log.xml", "denied"],
                     **who)
        self.refused("new.xml", "D1", "chalk", "pass", *ON, "--ship", "ship.xml", status=MACHINE,
                     says=["new.xml", "denied"], **who)

    def test_a_log_that_may_not_be_written(self):
        who = self.as_nobody()
        self.logged()
        (self.folder / "log.xml").chmod(0o444)
        self.refused("log.xml", "D1", "chalk", "pass", *ON, status=MACHINE, says=["log.xml", "denied"],
                     **who)

    def test_a_writer_waits_for_the_lock(self):
        self.logged()
        with open(self.folder / "log.xml", "rb") as held:
            fcntl.flock(held, fcntl.LOCK_EX)
            waiting = subprocess.Popen([COAMING, "record", "log.xml", "D1", "chalk", "pass", *ON],
                                       cwd=self.folder, stdout=subprocess.DEVNULL)
            time.sleep(0.3)
            self.assertIsNone(waiting.poll())
            self.assertEqual(self.content(), ONE.encode())
        self.assertEqual(waiting.wait(timeout=600), 0)
        self.assertEqual(len(self.entries()), 2)

    def test_who_waited_records_into_the_log_that_took_the_place_of_the_locked(self):
        self.logged()
        with open(self.folder / "log.xml", "rb") as held:
            fcntl.flock(held, fcntl.LOCK_EX)
            waiting = subprocess.Popen([COAMING, "record", "log.xml", "D1", "chalk", "pass", *ON],
                                       cwd=self.folder, stdout=subprocess.DEVNULL)
            time.sleep(0.2)
            self.write("other.xml", log(tested("D1", "2026-10-01", "fail"),
                                        tested("D1", "2026-10-02", "fail")))
            taken = self.content("other.xml")
            with open(self.folder / "other.xml", "rb") as held_too:
                fcntl.flock(held_too, fcntl.LOCK_EX)
                os.replace(self.folder / "other.xml", self.folder / "log.xml")
                fcntl.flock(held, fcntl.LOCK_UN)
                time.sleep(0.3)
                self.assertIsNone(waiting.poll(), "it must wait for the lock of the new log too")
                self.assertEqual(self.content(), taken)
        self.assertEqual(waiting.wait(timeout=600), 0)
        self.assertEqual([e[1]["result"] for e in self.entries()], ["fail", "fail", "pass"])

    def test_writers_at_once_all_land(self):
        for words in ((), ("--ship", "ship.xml")):
            if words:
                (self.folder / "log.xml").unlink()
            else:
                self.logged()
            results = []
            threads = [threading.Thread(target=lambda n=n: results.append(self.run_it(
                "record", "log.xml", "D1", "chalk", "pass", *ON, f"--note={n}", *words))) for n in range(8)]
            for thread in threads:
                thread.start()
            for thread in threads:
                thread.join()
            self.assertEqual([(r.returncode, r.stderr) for r in results], [(DONE, b"")] * 8)
            self.assertEqual(sorted(e[1]["note"] for e in self.entries() if "note" in e[1]),
                             [str(n) for n in range(8)])


class Refused(Recording):
    def setUp(self):
        super().setUp()
        self.logged()

    def test_a_closure_that_is_not_known(self):
        self.refused("log.xml", "D2", "chalk", "pass", *ON, "--ship", "ship.xml",
                     says=["command line: error: closure D2: ", "nearest", "D1"])
        self.refused("log.xml", "H1", "chalk", "pass", *ON, says=["closure H1", "--ship"])
        self.refused("log.xml", "", "pass", *ON, says=["closure"])
        self.add("H1", "chalk", "pass", *ON, "--ship", "ship.xml")
        self.add("H1", "chalk", "fail", *ON)

    def test_a_passage(self):
        self.refused("log.xml", "P1", "pass", *ON, "--ship", "ship.xml", says=["P1", "passage"])

    def test_days(self):
        today = datetime.date.today()
        self.refused("log.xml", "D1", "chalk", "pass", "--date", str(today + datetime.timedelta(2)),
                     says=["closure D1", "still to come"])
        for bad in ("yesterday", "2026-13-01", "2026-02-29", "26-01-01", "03.11.2026", "2026-1-1",
                    "1900-02-29", "2026-11-03T10:00", "", "２０２６-11-03"):
            self.refused("log.xml", "D1", "chalk", "pass", "--date", bad, status=USAGE, says=["--date"])
        for good in ("2024-02-29", "2000-02-29", "2025-12-31"):
            self.assertEqual(self.add("D1", "chalk", "pass", "--date", good)[0][1]["date"], good)

    def test_words(self):
        for words, says in ((["maybe"], "maybe"), (["pass", "Fail"], "Fail"), (["PASS"], "PASS"),
                            ([], "what to record"), (["chalk"], "what to record"),
                            (["2:0.1"], "fail 2:0.1"), (["dogs", "2:0.1"], "fail 2:0.1"),
                            (["pass", "--method=feel"], "feel"), (["chalk", "--result=ok"], "ok"),
                            (["--repair=paint"], "paint")):
            errors = self.refused("log.xml", "D1", *words, *ON,
                                  status=USAGE if "--" not in "".join(words) else
                                  self.run_it("record", "log.xml", "D1", *words, *ON).returncode)
            self.assertIn(says, errors)
        self.refused("log.xml", status=USAGE, says=["closure"])
        self.refused(status=USAGE, lines=1)

    def test_gaps(self):
        for gap in ("here:0.1", "1:long", "1:", ":0.1", "1:0.1:rust", "1:0.1:paint:more", "-1:0.1",
                    "1:-0.1", "1:0", "1,5:0,2", "nan:0.1", "1:inf", "0x1:1", "1e9:1", "1:0.1:",
                    "1.2"):
            with self.subTest(gap=gap):
                self.refused("log.xml", "D1", "chalk", "--result=fail", f"--gap={gap}", *ON,
                             says=["closure D1"])

    def test_gaps_off_the_gasket(self):
        # D1 is 0.7 by 1.7 m: 4.8 m round
        for gap in ("5:0.1", "1:5", "48:0.1"):
            self.refused("log.xml", "D1", "chalk", "fail", gap, *ON, "--ship", "ship.xml",
                         says=["closure D1", "4.8"])
        self.add("D1", "chalk", "fail", "4.75:0.2", *ON, "--ship", "ship.xml")
        feet = SMALL.replace('name="Small"', 'name="Small" units="ft"')
        self.write("feet.xml", feet)
        self.refused("log.xml", "D1", "chalk", "fail", "5:0.1", *ON, "--ship", "feet.xml", says=["4.8"])

    def test_the_same_twice(self):
        words = ("D1", "chalk", "fail", "2:0.1", "--by", "AB", "--note", "R & D <\"'>\nnext", *ON)
        self.add(*words)
        self.refused("log.xml", *words, says=["closure D1", "--again"])
        self.refused("log.xml", *words, "--ship", "ship.xml", says=["--again"])
        self.assertEqual(len(self.add(*words, "--again")), 1)
        self.add("D1", "chalk", "fail", "2:0.1", "--by", "CD", *ON)  # another did it too
        self.add(*words)  # not the last any more

    def test_the_same_two_entries_twice(self):
        words = ("D1", "chalk", "fail", "2:0.10", "dogs", *ON)
        self.add(*words)
        self.refused("log.xml", *words, says=["--again"])
        self.add("D1", "dogs", "--date", "2026-11-04")
        self.add(*words)

    def test_after_it_was_taken_back_the_same_may_be_recorded(self):
        self.add("D1", "chalk", "fail", *ON)
        self.add("D1", "--undo", "--date", "2026-11-04")
        self.add("D1", "chalk", "fail", *ON)

    def test_the_log_of_another_ship(self):
        self.logged(log(tested("D1", "2026-10-01", "pass"), ship="Other"))
        self.refused("log.xml", "D1", "chalk", "pass", *ON, "--ship", "ship.xml", says=["Other", "Small"])
        self.add("D1", "chalk", "pass", *ON)  # without the ship nobody can tell

    def test_what_is_no_log(self):
        for text, says in (("", "empty"), ("no xml", "not XML"), (ONE[:-5], "not XML"), (SMALL, ""),
                           (ONE.replace(LOG_NS, "urn:other"), LOG_NS), (f"{ONE}<more/>", "not XML"),
                           (ONE.encode() + b"\xff", "not XML")):
            with self.subTest(text=text[:40]):
                self.logged(text)
                self.refused("log.xml", "D1", "chalk", "pass", *ON, says=["log.xml", says])

    def test_a_doctype(self):
        for inside in ("", ' [<!ENTITY e "x">]', ' SYSTEM "file:///etc/hostname"'):
            self.logged(f"<!DOCTYPE test-log{inside}>\n{ONE}")
            self.refused("log.xml", "D1", "chalk", "pass", *ON, says=["DOCTYPE"])

    def test_other_faulty_entries_do_not_keep_a_test_out_of_the_log(self):
        """The day's work is not lost for a slip of years ago; that is told by check."""
        for bad in (tested("D9", "2026-10-01", "pass"), tested("D1", "2026-10-01", "perhaps"),
                    '<undo closure="D1" date="2026-10-01" of="test" of-date="2026-10-01"/>'):
            with self.subTest(entry=bad):
                self.logged(log(bad, tested("D1", "2026-10-02", "pass")))
                done = self.run_it("record", "log.xml", "D1", "chalk", "fail", *ON, "--ship", "ship.xml")
                self.assertEqual(done.returncode, DONE, done.stderr)
                self.assertRegex((self.folder / "log.xml").read_text(),
                                 r'result="fail"/>\n</test-log>')
                if "perhaps" in bad:
                    self.assertIn(b"has been written", done.stderr)

    def test_a_faulty_ship_is_told_before_anything_is_written(self):
        self.write("bad.xml", SMALL.replace('kind="hatch"', 'kind="lid"'))
        self.refused("log.xml", "D1", "chalk", "pass", *ON, "--ship", "bad.xml", says=["bad.xml", "lid"])
        self.refused("log.xml", "D1", "chalk", "pass", *ON, "--ship", "gone.xml", says=["gone.xml"])

    def test_output_that_cannot_be_written_is_told_before_anything_is_recorded(self):
        self.refused("log.xml", "D1", "chalk", "pass", *ON, "-o", "no/where", status=MACHINE,
                     says=["no/where"])

    def test_output_over_the_log_is_refused(self):
        self.refused("log.xml", "D1", "chalk", "pass", *ON, "-o", "log.xml", status=USAGE)


class Undo(Recording):
    def setUp(self):
        super().setUp()
        self.logged(log(tested("D1", "2026-10-01", "fail"), tested("D1", "2026-10-02", "pass"),
                        '<repair closure="D1" date="2026-10-03" action="dogs"/>',
                        tested("H1", "2026-10-04", "fail")))

    def undo(self, *more):
        [(sort, said, _)] = self.add("D1", "--undo", *ON, *more)
        self.assertEqual(sort, "undo")
        self.valid()
        return said["of"], said["of-date"]

    def result(self):
        rows = self.document("rank", "ship.xml", "--log", "log.xml")["closures"]
        return {row["closure"]: row["result"] for row in rows}["D1"]

    def test_each_takes_back_the_latest_that_still_stands(self):
        self.assertEqual(self.undo(), ("repair", "2026-10-03"))
        self.assertEqual(self.result(), "pass")
        self.assertEqual(self.undo(), ("test", "2026-10-02"))
        self.assertEqual(self.result(), "fail")
        self.assertEqual(self.undo(), ("test", "2026-10-01"))
        self.assertEqual(self.result(), "pass")  # the arrangement's own test is not in the log
        self.refused("log.xml", "D1", "--undo", *ON, says=["closure D1", "take back"])
        self.assertEqual(len(self.entries()), 7)

    def test_the_latest_is_the_last_entered_and_not_the_last_by_date(self):
        self.add("D1", "chalk", "fail", "--date", "2025-01-01")
        self.assertEqual(self.undo(), ("test", "2025-01-01"))

    def test_work_recorded_after_an_undo_is_taken_back_first(self):
        self.undo()
        self.add("D1", "gasket", *ON)
        self.assertEqual(self.undo(), ("repair", "2026-11-03"))
        self.assertEqual(self.undo(), ("test", "2026-10-02"))

    def test_of_two_of_one_day_the_later_is_taken_back(self):
        self.add("D1", "chalk", "fail", "hose", *ON)
        self.add("D1", "chalk", "pass", "hose", *ON)
        self.assertEqual(self.undo(), ("test", "2026-11-03"))
        self.assertEqual(self.result(), "fail")
        self.assertEqual(self.undo(), ("test", "2026-11-03"))
        self.assertEqual(self.result(), "pass")

    def test_within_one_line_the_entry_before_is_taken_back(self):
        self.logged(ONE)
        added = self.add("D1", "chalk", "fail", "undo", "pass", *ON)
        self.assertEqual([(e[0], e[1].get("of")) for e in added],
                         [("test", None), ("undo", "test"), ("test", None)])
        self.assertEqual(self.result(), "pass")

    def test_a_note_of_the_undo_stays(self):
        self.add("D1", "--undo", *ON, "--by", "AB", "--note", "wrong <door>")
        self.assertEqual(self.entries()[-1][1]["note"], "wrong <door>")
        rows = self.document("history", "ship.xml", "D1", "--log", "log.xml")["events"]
        self.assertEqual([row["undone"] for row in rows], [None, None, None, "2026-11-03"])

    def test_nothing_to_take_back(self):
        self.refused("log.xml", "V1", "--undo", *ON, says=["V1", "take back"], lines=2)
        self.logged(log())
        self.refused("log.xml", "D1", "--undo", *ON, "--ship", "ship.xml", says=["take back"])

    def test_undo_with_a_result_is_told_or_takes_its_turn(self):
        added = self.add("D1", "chalk", "fail", "--undo", *ON)  # options come first
        self.assertEqual([e[0] for e in added], ["undo", "test"])

    def test_what_the_answer_says_was_taken_back(self):
        told = json.loads(self.good("record", "log.xml", "D1", "--undo", *ON, "--format", "json"))
        row = told["recorded"][0]
        self.assertEqual((row["entry"], row["of"], row["of_date"]),
                         ("undo", "repair", "2026-10-03"))


class UndosOfRandomLogs(Recording):
    """What stands is found the plain way: from each undo back over all entries before it."""

    DAYS = [f"2026-10-0{day}" for day in range(1, 5)]

    @staticmethod
    def standing(entries):
        """The entries that stand, by number, and the undos that find nothing."""
        stands, astray = [], []
        for number, (sort, closure, day, of) in enumerate(entries):
            if sort != "undo":
                stands.append(number)
                continue
            found = next((k for k in reversed(stands) if entries[k][:3] == (of, closure, day)), None)
            if found is None:
                astray.append(number)
            else:
                stands.remove(found)
        return stands, astray

    def random_log(self, dice, strays):
        """Entries as (sort, closure, date, of); those of the text have their number for a note."""
        entries = []
        while len(entries) < 80:
            sort, of = dice.choice(("test", "repair", "undo")), dice.choice(("test", "repair"))
            entries.append((sort, dice.choice(("D1", "H1")), dice.choice(self.DAYS), of if sort == "undo" else None))
            if not strays and self.standing(entries)[1]:
                entries.pop()
        more = {"test": 'method="chalk" result="pass"', "repair": 'action="dogs"'}
        self.logged(log(*(
            f'<undo closure="{closure}" date="2026-11-01" of="{of}" of-date="{day}" note="{number}"/>'
            if sort == "undo" else f'<{sort} closure="{closure}" date="{day}" {more[sort]} note="{number}"/>'
            for number, (sort, closure, day, of) in enumerate(entries))))
        return entries

    def test_the_history_knows_what_stands(self):
        for seed in range(8):
            entries = self.random_log(random.Random(seed), False)
            stands, _ = self.standing(entries)
            self.assertTrue(0 < len(stands) < sum(e[0] != "undo" for e in entries))
            told = [event for closure in ("D1", "H1") for event in self.document(
                "history", "ship.xml", closure, "--log", "log.xml")["events"] if event["note"]]
            self.assertEqual(sorted(int(event["note"]) for event in told if not event["undone"]), stands, seed)
            self.assertEqual(len(told), sum(e[0] != "undo" for e in entries))

    def test_undos_that_find_nothing_are_told_each(self):
        most = 0
        for seed in range(8):
            _, astray = self.standing(self.random_log(random.Random(seed), True))
            errors = self.run_it("check", "ship.xml", "--log", "log.xml").stderr.decode().splitlines()
            self.assertEqual([int(line.split(":")[1]) - 2 for line in errors if "to take back" in line], astray, seed)
            most = max(most, len(astray))
        self.assertGreater(most, 5)

    def test_record_takes_back_what_stands_the_latest_first(self):
        for seed in range(8):
            entries = self.random_log(random.Random(seed), bool(seed % 2))
            stands = [entries[k] for k in self.standing(entries)[0] if entries[k][1] == "D1"]
            added = self.add("D1", *["undo"] * len(stands), *ON)
            self.assertEqual([(said["of"], said["of-date"]) for _, said, _ in added],
                             [(sort, day) for sort, _, day, _ in reversed(stands)], seed)
            self.refused("log.xml", "D1", "--undo", *ON, says=["closure D1", "take back"])


class Sheet(Recording):
    HEAD = "closure,result,method,gaps,action,retest,retest-gaps,date,by,note\n"

    def setUp(self):
        super().setUp()
        self.logged()

    def sheet(self, *rows, head=HEAD):
        self.write("sheet.csv", head + "\n".join(rows) + "\n")
        return ("--sheet", "sheet.csv", "--ship", "ship.xml")

    def test_rows_become_entries_in_the_order_of_the_work(self):
        added = self.add(*self.sheet(
            'D1,fail,hose,2:0.1 3:0.2:paint,dogs,pass,,2026-11-01,AB,"dogs 1, 2"',
            "H1,,,,,,,,,", "H1,pass,,,,,,,,"), *ON, "--by", "CD")
        signed = {"closure": "D1", "date": "2026-11-01", "by": "AB", "note": "dogs 1, 2"}
        self.assertEqual(added, [
            ("test", signed | {"method": "hose", "result": "fail"},
             [{"at": "2", "length": "0.1"}, {"at": "3", "length": "0.2", "seen": "paint"}]),
            ("repair", signed | {"action": "dogs"}, []),
            ("test", signed | {"method": "hose", "result": "pass"}, []),
            ("test", {"closure": "H1", "date": "2026-11-03", "method": "chalk", "result": "pass",
                      "by": "CD"}, [])])
        self.valid()

    def test_set_and_hinge_play_of_a_sheet_are_in_mm(self):
        head = "closure,result,gaps,Set (mm),hinge play (mm),action,retest,method\n"
        added = self.add(*self.sheet("D1,fail,1:0.1:edge,3.5,5 mm,hinge,pass,chalk", "H1,,,,,,,",
                                     head=head), *ON)
        self.assertEqual([e[1].get("set") for e in added], ["0.0035", None, None])
        self.assertEqual(added[0][1]["hinge-play"], "0.005")
        for row, says in (("D1,,,3.5,,,,", "set or hinge play"), ("D1,,,,2,dogs,pass,", "set or"),
                          ("D1,pass,,3;5,,,,", "set '3;5mm'"), ("D1,pass,,350,,,,", "350mm")):
            self.refused("log.xml", *self.sheet(row, head=head), *ON,
                         says=[f"sheet.csv:2: error: closure D1: ", says])

    def test_a_drop_of_a_sheet(self):
        head = "closure,method,result,space,start-pressure-pa,End pressure (Pa),duration-s,volume-m3,action\n"
        added = self.add(*self.sheet("D1,air,fail,mid,2000,1500,600,230,dogs", "H1,hose,pass,aft,,,,,", head=head), *ON)
        self.assertEqual([{k: e[1][k] for k in (*DROP, "space", "volume") if k in e[1]} for e in added],
                         [{**DROP, "space": "mid", "volume": "230"}, {}, {}])
        for row, says in (("D1,air,,mid,2000,1500,600,,", "a drop of pressure is filled in, but no result"),
                          ("D1,chalk,pass,mid,2000,1500,600,,", "is of a test by air"),
                          ("D1,air,pass,mid,2000,,600,,", "has a start-pressure, an end-pressure and"),
                          ("D1,air,pass,,2000,1500,600,,", "which of the two spaces"),
                          ("D1,air,pass,mid,1500,2000,600,,", "cannot end higher")):
            self.refused("log.xml", *self.sheet(row, head=head), *ON,
                         says=["sheet.csv:2: error: closure D1: ", says])

    def test_drops_go_out_in_the_list_of_tests_and_come_in_again(self):
        self.logged()
        self.add("D1", "air", "fail", "--drop=2000.25:1500.5:0.1", "--space=fore", *ON)
        self.add("H1", "air", "pass", "--drop=1e-3:0:1e6", "--volume=12.75", *ON, "--ship=ship.xml")
        self.write("tests.csv", self.good("export", "ship.xml", "--log", "log.xml", "--as-of", "2026-11-10",
                                          "--format=csv", "--table=tests"))
        self.good("record", "again.xml", "--sheet", "tests.csv", "--ship", "ship.xml", "--again")
        before, after = ([{k: v for k, v in e[1].items() if k in (*DROP, "volume")} for e in self.entries(name)
                          if e[1].get("method") == "air"] for name in ("log.xml", "again.xml"))
        self.assertEqual(after, before)
        self.assertEqual([len(e) for e in after], [3, 4])
        self.assertEqual([e[1]["space"] for e in self.entries("again.xml")[-2:]], ["fore", "aft"])

    def test_what_was_measured_goes_out_in_the_list_of_tests_and_comes_in_again(self):
        for micrometres in (3300, 4700, 1, 99899, 2900):
            self.logged()
            self.add("D1", "chalk", "pass", *ON, f"--set={micrometres / 1e6!r}", "--hinge-play=0.0033")
            self.write("tests.csv", self.good("export", "ship.xml", "--log", "log.xml", "--as-of",
                                              "2026-11-10", "--format=csv", "--table=tests"))
            self.good("record", "again.xml", "--sheet", "tests.csv", "--ship", "ship.xml", "--again")
            logged = self.entries("log.xml")[-1][1]
            self.assertEqual({k: float(v) for k, v in self.entries("again.xml")[-1][1].items()
                              if k in ("set", "hinge-play")},
                             {k: float(logged[k]) for k in ("set", "hinge-play")})

    def test_all_tests_go_out_and_into_a_new_log_in_feet_and_in_metres(self):
        """The list of tests is in metres, a log in the unit of the ship."""
        entries = ('<test closure="D1" date="2026-10-01" method="chalk" result="fail" set="0.011" '
                   'hinge-play="0.02"><gap at="2.1" length="0.18" seen="paint"/><gap at="0.7" length="1.3"/></test>',
                   '<repair closure="D1" date="2026-10-01" action="dogs"/>',
                   '<test closure="D1" date="2026-10-02" method="chalk" result="fail">'
                   '<gap at="0.1" length="0.333" seen="edge"/></test>', tested("H1", "2026-10-02", "pass"))
        self.logged(log(*entries))
        for units in ("", ' units="ft"'):
            self.ship(SMALL.replace('name="Small"', 'name="Small"' + units)
                      .replace('<test date="2026-01-31" method="chalk" result="pass"/>\n', ""))
            self.write("tests.csv", self.good("export", "ship.xml", "--log", "log.xml", "--as-of",
                                              "2026-11-10", "--format=csv", "--table=tests"))
            (self.folder / "again.xml").unlink(missing_ok=True)
            self.good("record", "again.xml", "--sheet", "tests.csv", "--ship", "ship.xml")
            first, second = (self.document("adjust", "ship.xml", "--log", name)
                             for name in ("log.xml", "again.xml"))
            self.assertEqual(len(first["closures"][0]["gaps"]), 1)
            self.assertEqual(second, first)
            def gaps(name):
                return [[{k: v if k == "seen" else float(v) for k, v in gap.items()} for gap in e[2]]
                        for e in self.entries(name)]
            self.assertEqual(gaps("again.xml"), gaps("log.xml"))

    def test_gaps_whose_unit_is_not_known_are_refused(self):
        feet = SMALL.replace('name="Small"', 'name="Small" units="ft"')
        row = "D1,fail,chalk,1:0.1"
        head = "closure,result,method,%s\n"
        self.logged()
        for text, heading, at in ((SMALL, "gaps", "1"), (SMALL, "Gaps (m)", "1"), (SMALL, "test-gaps", "1"),
                                  (feet, "gaps", "1"), (feet, "gaps-m", repr(round(1 / 0.3048, 12)))):
            self.ship(text)
            [(_, _, [gap])] = self.add(*self.sheet(row, head=head % heading), *ON, "--again")
            self.assertEqual(gap["at"], at)
        # of the list of closures, which is in metres
        self.refused("log.xml", *self.sheet(row, head=head % "test-gaps"), *ON,
                     says=["sheet.csv:1: error: sheet: 'test-gaps'", "gaps-m"])
        self.refused("log.xml", *self.sheet(row, head=head % "gaps-m")[:2], *ON,
                     says=["sheet.csv:2: error: closure D1: ", "--ship"])
        self.refused("log.xml", *self.sheet(row + ",2:0.1", head=head % "gaps,gaps-m"), *ON,
                     says=["sheet.csv:1: error: sheet: 'gaps' and 'gaps-m'"])
        self.refused("log.xml", *self.sheet("D1,,chalk,1:0.1", head=head % "gaps-m"), *ON,
                     says=["gaps are filled in, but no result"])

    def test_the_sheet_of_a_round_has_a_place_for_them(self):
        sheet = list(csv.reader(io.StringIO(self.good("round", "--as-of=2026-11-03", "--format=csv",
                                                      "ship.xml", "H1"))))
        row = dict(zip(sheet[0], sheet[1]))
        self.assertEqual((row["set-mm"], row["hinge-play-mm"]), ("", ""))
        row |= {"result": "fail", "method": "chalk", "set-mm": "3.5", "hinge-play-mm": "2"}
        added = self.add(*self.sheet(",".join(row.values()), head=",".join(sheet[0]) + "\n"), *ON)
        self.assertEqual((added[0][1]["set"], added[0][1]["hinge-play"]), ("0.0035", "0.002"))
        text = self.good("round", "--as-of=2026-11-03", "ship.xml", "H1")
        self.assertIn("Set of gasket: ____ mm   Hinge play: ____ mm", text)

    def test_one_faulty_row_holds_back_all(self):
        for row, thing in (("D1,maybe,,,,,,,,", "closure D1"),
                           ("H1,pass,,,,,,2026-02-30,,", "closure H1"),
                           ("H1,,,1:0.1,,,,,,", "closure H1"), ("X9,pass,,,,,,,,", "closure X9"),
                           ("D1,fail,,9:0.1,,,,,,", "closure D1"),
                           ("P1,pass,,,,,,,,", "closure P1"),
                           ("D1,,,,glue,,,,,", "closure D1"), (",pass,,,,,,,,", "entry")):
            with self.subTest(row=row):
                words = self.sheet("H1,pass,,,,,,,,", row, "D1,pass,,,,,,,,")
                self.refused("log.xml", *words, *ON, says=[f"sheet.csv:3: error: {thing}"])

    def test_all_or_nothing_and_every_faulty_row_named(self):
        errors = self.refused("log.xml", *self.sheet(
            "D1,pass,,,,,,,,", "D1,maybe,,,,,,,,", "H1,pass,,,,,,2026-02-30,,", "H1,,,1:0.1,,,,,,",
            "D1,fail,,9:0.1,,,,,,", "X9,pass,,,,,,,,", "P1,pass,,,,,,,,", ",pass,,,,,,,,",
            "D1,fail,feel,,,,,,,", "D1,,,,glue,,,,,", "D1,fail,,1;0.1,,,,,,", "H1,pass,,,,,,,,"),
            *ON, lines=10)
        for line in (3, 4, 5, 6, 7, 8, 9, 10, 11, 12):
            self.assertEqual(errors.count(f"sheet.csv:{line}: error: "), 1, errors)

    def test_the_same_sheet_twice(self):
        words = self.sheet("D1,fail,,2:0.1,dogs,pass,,,,", "H1,pass,,,,,,,,")
        self.add(*words, *ON)
        self.refused("log.xml", *words, *ON, says=["--again"], lines=2)
        self.assertEqual(len(self.add(*words, *ON, "--again")), 4)

    def test_columns_in_any_order_and_with_others_between(self):
        added = self.add(*self.sheet("free text;D1;;FAIL?;fail;hose",
                                     head="history;closure;action;my own;result;method\n"), *ON)
        self.assertEqual([(e[0], e[1]["result"], e[1].get("note")) for e in added],
                         [("test", "fail", None)])

    def test_results_words_headings_and_blanks_as_people_write_them(self):
        added = self.add(*self.sheet(
            ' D1 ;Not OK; Chalk ;2:0.1;Knife edge;PASS ;5.3.2026;remembered',
            'H1;ok;HOSE;;;;05.03.2026;', 'D1;untested;;;;;;', 'H1;-;chalk;;;;;',
            'H1;Passed;;;;n/a;2026-03-06;',
            head="DOOR; Result ;Test_method;Gaps;Repair;Re-test;Last tested;Remarks\n"),
            "--date-format", "D.M.Y", *ON)
        noted = {"closure": "D1", "date": "2026-03-05", "note": "remembered"}
        self.assertEqual(added, [
            ("test", noted | {"method": "chalk", "result": "fail"}, [{"at": "2", "length": "0.1"}]),
            ("repair", noted | {"action": "knife-edge"}, []),
            ("test", noted | {"method": "chalk", "result": "pass"}, []),
            ("test", {"closure": "H1", "date": "2026-03-05", "method": "hose", "result": "pass"}, []),
            ("test", {"closure": "H1", "date": "2026-03-06", "method": "chalk", "result": "pass"}, [])])

    def test_every_heading_of_the_page_is_read(self):
        page = (DEMO.parent.parent / "man/coaming-record.1").read_text()
        table = page[page.index("These columns are read"):page.index("A result is pass, also")]
        own = {"id, closure id, closure no, door, door no, mark, tag": "closure",
               "test result, as found": "result", "test method": "method", "repair": "action",
               "test date, date of test, date tested, tested on, last tested.": "date"}
        row = {"closure": "D1", "result": "fail", "method": "hose", "action": "hinge",
               "date": "2026-02-03", "gaps": "1:0.1", "retest": "pass", "by": "EF", "note": "aloud"}
        told = [(field, heading) for others, field in own.items() for heading in
                others.rstrip(".").split(", ")]
        told += [("gaps", "test gaps"), ("retest", "retest result")]
        told += [("by", h) for h in ("test by", "tested by", "tester")]
        told += [("note", h) for h in ("notes", "test note", "remark", "remarks", "comment", "comments")]
        expected = None
        for field, heading in [("note", "note"), *told]:
            self.assertRegex(table, rf"[(; ]{heading}[,;.)]")
            self.logged()
            added = self.add(*self.sheet(",".join(row.values()), head=",".join(
                heading if name == field else name for name in row) + "\n"), *ON)
            expected = expected or added
            self.assertEqual(added, expected, heading)

    def test_dates_are_never_guessed(self):
        for written, says in (("05.03.2026", "it is 2026-03-05 by --date-format D.M.Y"),
                              ("3/5/2026", "fits more than one way of writing dates"),
                              ("March 5", "is not a date")):
            self.refused("log.xml", *self.sheet(f"D1,pass,,,,,,{written},,"), *ON,
                         says=["sheet.csv:2: error: closure D1: date", says])
        self.refused("log.xml", *self.sheet("D1,pass,,,,,,5.3.2026,,"), "--date-format", "M/D/Y",
                     says=["is not a date by --date-format M/D/Y"])
        for word in ("D.M.YY", "d.m.y", "", "ISO"):
            self.refused("log.xml", *self.sheet("D1,pass,,,,,,,,"), "--date-format", word,
                         status=USAGE, says=[f"--date-format '{word}' is not known", "D.M.Y"])
        self.refused("log.xml", "D1", "chalk", "pass", "--date-format", "D.M.Y", status=USAGE,
                     says=["in a sheet"])
        self.refused("log.xml", *self.sheet("D1,pass,,,,,,01.01.2999,,"), "--date-format", "D.M.Y",
                     says=["still to come"])

    def test_a_sheet_without_a_column_of_methods(self):
        head = "closure,result,action,retest\n"
        self.refused("log.xml", *self.sheet("D1,pass,,", head=head), *ON,
                     says=["sheet.csv:1", "no column 'method'", "looked or tested by chalk"])
        self.refused("log.xml", *self.sheet("D1,dogs,pass", head="closure,action,retest\n"), *ON,
                     says=["no column 'method'"])
        added = self.add(*self.sheet("D1,fail,dogs,pass", head=head), "--method", "hose", *ON)
        self.assertEqual([e[1].get("method") for e in added], ["hose", None, "hose"])
        added = self.add(*self.sheet("D1,gasket", head="closure,action\n"), *ON)
        self.assertEqual([e[0] for e in added], ["repair"])

    def test_two_columns_that_could_be_one(self):
        self.refused("log.xml", *self.sheet("D1,H1,pass,chalk", head="Door,Mark,result,method\n"),
                     *ON, says=["'Door' and 'Mark' could both be the column 'closure'"])
        added = self.add(*self.sheet("D1,other,pass,chalk", head="closure,Mark,result,method\n"), *ON)
        self.assertEqual(added[0][1]["closure"], "D1")

    def test_columns_that_are_missing(self):
        self.refused("log.xml", *self.sheet("D1,ok", head="closure,outcome\n"), *ON,
                     says=["sheet.csv:1", "result", "outcome"])
        self.refused("log.xml", *self.sheet("pass", head="result\n"), *ON, says=["closure"])

    def test_a_sheet_with_nothing_filled_in(self):
        words = self.sheet("D1,,chalk,,,,,,,", "H1,,,,,,,2026-11-01,AB,later")
        self.refused("log.xml", *words, *ON, says=["sheet.csv", "filled in"])

    def test_how_many_rows_were_left_out_is_told(self):
        words = self.sheet("D1,,,,,,,,,", "H1,pass,,,,,,,,", "D1,,chalk,,,,,,,")
        told = json.loads(self.good("record", "log.xml", *words, *ON, "--format", "json"))
        self.assertEqual((told["skipped"], len(told["recorded"])), (2, 1))

    def test_a_sheet_with_a_closure_on_the_command_line(self):
        self.refused("log.xml", "D1", "chalk", "pass", *self.sheet("D1,pass,,,,,,,,"), status=USAGE)

    def test_a_sheet_that_is_missing_or_broken(self):
        self.refused("log.xml", "--sheet", "gone.csv", *ON, says=["gone.csv"])
        self.refused("log.xml", *self.sheet('D1,"pass'), *ON, says=["sheet.csv"])
        self.write("sheet.csv", self.HEAD.encode() + b"D1,pass,,,,,,,,\xff\n")
        self.refused("log.xml", "--sheet", "sheet.csv", *ON, says=["sheet.csv:2"])


class RoundTrip(Recording):
    """The sheet of a round, filled in and read back, on the demo."""
    AS_OF = ("--as-of", "2026-11-10")

    def setUp(self):
        super().setUp()
        self.write("log.xml", DEMO_LOG.read_bytes())

    def lark(self, command, *words, status=DONE):
        done = self.run_it(command, *self.AS_OF, DEMO, "--log", "log.xml", *words)
        self.assertEqual((done.returncode, done.stderr), (status, b""))
        return done.stdout.decode()

    def due(self, *words):
        """Rows by (closure, method)."""
        tests = json.loads(self.lark("due", "--format", "json", *words, status=FOUND))["tests"]
        return {(t["closure"], t["method"]): t for t in tests}

    def test_stops_are_the_closures_that_are_due_and_totals_add_up(self):
        for words in ((), ("--within", "40"), ("--start", "bridge"), ("--inside",)):
            walk = json.loads(self.lark("round", "--format", "json", *words))
            within = words if words[:1] == ("--within",) else ("--within", "0")
            due = self.due(*within)
            stops = [stop["closure"] for stop in walk["stops"]]
            self.assertEqual(len(stops), len(set(stops)))
            self.assertEqual({*stops, *walk["unreached"]}, {closure for closure, _ in due})
            self.assertFalse(set(stops) & set(walk["unreached"]))
            self.assertEqual([stop["stop"] for stop in walk["stops"]], [*range(1, len(stops) + 1)])
            legs = [*walk["stops"], walk["home"]]
            for key in ("walk_seconds", "walk_metres"):
                self.assertAlmostEqual(walk[key], sum(leg[key] for leg in legs), 6)
                self.assertTrue(all(leg[key] >= 0 for leg in legs))
            self.assertLessEqual(walk["bound_seconds"], walk["walk_seconds"] * (1 + 1e-9))
            told = ("method", "due", "overdue", "minutes")
            tests = [(stop["closure"], *(test[key] for key in told))
                     for stop in walk["stops"] for test in stop["tests"]]
            self.assertEqual(sorted(tests, key=str), sorted(
                ((closure, method, row["due"], row["overdue"], row["minutes"])
                 for (closure, method), row in due.items() if closure in stops), key=str))
            self.assertAlmostEqual(walk["test_minutes"], sum(test[4] for test in tests), 9)

    def test_the_sheet_has_a_line_for_each_test_in_the_order_of_the_walk(self):
        walk = json.loads(self.lark("round", "--format", "json"))
        lines = list(csv.DictReader(io.StringIO(self.lark("round", "--format", "csv"))))
        self.assertEqual([(line["stop"], line["closure"], line["method"]) for line in lines],
                         [(str(stop["stop"]), stop["closure"], test["method"])
                          for stop in walk["stops"] for test in stop["tests"]])

    def test_a_stop_with_nothing_due_goes_by_its_kind_and_a_valve_is_asked(self):
        """Named, and looked at yesterday: a valve's line must not say chalk."""
        valve, door = "V4", "D4"
        self.good("record", "log.xml", valve, "visual", "pass", "--ship", DEMO, "--date", "2026-11-09")
        self.good("record", "log.xml", door, "chalk", "pass", "--ship", DEMO, "--date", "2026-11-09")
        lines = list(csv.DictReader(io.StringIO(self.lark("round", "--format", "csv", valve, door))))
        self.assertEqual({line["closure"]: (line["method"], line["due"]) for line in lines},
                         {valve: ("", ""), door: ("chalk", "")})
        for line in lines:
            line["result"] = "pass"
        sheet = io.StringIO()
        writer = csv.DictWriter(sheet, lines[0].keys())
        writer.writeheader()
        writer.writerows(lines)
        self.write("sheet.csv", sheet.getvalue())
        self.refused("log.xml", "--sheet", "sheet.csv", "--ship", DEMO, "--date", "2026-11-10",
                     says=[f"closure {valve}: by which method"])

    def test_an_unfilled_sheet_records_nothing(self):
        self.write("sheet.csv", self.lark("round", "--format", "csv"))
        self.refused("log.xml", "--sheet", "sheet.csv", "--ship", DEMO, says=["filled in"])

    def fill(self, lines):
        """A third passes, a third fails with a gap, is adjusted and passes, a third is not done."""
        for i, line in enumerate(lines):
            line |= {"date": "2026-11-09", "by": "AB"}
            if i % 3 == 0:
                line["result"] = "pass"
            elif i % 3 == 1:
                line |= {"result": "fail", "gaps": "0.1:0.05 0.3:0.02:paint", "action": "dogs",
                         "retest": "pass", "note": 'taken up, "evenly"'}
        return lines

    def test_a_round_filled_in_and_read_back_is_no_longer_due(self):
        before = self.due("--within", "0")
        lines = self.fill(list(csv.DictReader(io.StringIO(self.lark("round", "--format", "csv")))))
        sheet = io.StringIO()
        writer = csv.DictWriter(sheet, lines[0].keys())
        writer.writeheader()
        writer.writerows(lines)
        self.write("sheet.csv", sheet.getvalue())
        old = len(self.entries())
        told = json.loads(self.good("record", "log.xml", "--sheet", "sheet.csv", "--ship", DEMO,
                                    "--format", "json"))
        passed, failed = lines[0::3], lines[1::3]
        self.assertEqual(len(told["recorded"]), len(passed) + 3 * len(failed))
        self.assertEqual(told["skipped"], len(lines[2::3]))
        self.assertEqual(len(self.entries()), old + len(told["recorded"]))
        after = self.due("--all")
        for line in passed + failed:
            key = (line["closure"], line["method"])
            if key in after:  # else a retest, which is done
                self.assertEqual((after[key]["last"], after[key]["reason"]),
                                 ("2026-11-09", "interval"), key)
        done = {line["closure"] for line in passed + failed}
        for (closure, method), row in before.items():
            if closure not in done:
                self.assertEqual(after[closure, method], row)
        self.assertGreater(len(done), 20)


if __name__ == "__main__":
    unittest.main()
