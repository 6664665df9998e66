#!/usr/bin/python3
"""Usage, bad input and the shape of what is written, from the outside.

Bad input ends with exit status 3 and one line for each fault on standard error, which names the
file, the line and the object; wrong usage with 2 and one line; what the machine cannot do with 4.
Whatever happens, no file is changed but the one that -o names, and that only as a whole.

Needs Python 3.11, its standard library only.
Environment: COAMING, the program; COAMING_ROOT, the source tree. The ships here are invented.
"""

import gzip
import json
import math
import os
import pty
import re
import resource
import signal
import stat
import subprocess
import unicodedata
import unittest
from pathlib import Path
from xml.sax.saxutils import quoteattr

from harness import (AS_OF, BARGE, COAMING, DEMO, DEMO_LOG, DONE, FOUND, INPUT, MACHINE,
                     SHIP_NS, SMALL, USAGE, Case, log, spoil, tested)


class NotAnArrangement(Case):
    def test_an_empty_file_is_said_to_be_empty(self):
        self.ship("")
        self.faults([(0, "file", "empty")], "ship.xml")

    def test_another_xml_document_is_refused_and_the_right_root_named(self):
        self.ship('<?xml version="1.0"?>\n<svg xmlns="http://www.w3.org/2000/svg"/>\n')
        self.faults([(2, "svg", "<arrangement", SHIP_NS)], "ship.xml")

    def test_an_arrangement_without_the_namespace_is_refused_and_the_namespace_told(self):
        text, at = spoil(f' xmlns="{SHIP_NS}"', "")
        self.ship(text)
        self.faults([(at, "arrangement", SHIP_NS)], "ship.xml")

    def test_a_log_in_place_of_the_arrangement_is_refused(self):
        self.ship(log())
        self.faults([(1, "test-log", "<arrangement")], "ship.xml")

    def test_truncated_xml_is_refused_at_its_last_line(self):
        text = SMALL[:SMALL.index("<passage")]
        self.ship(text.rstrip("\n"))
        self.faults([(text.count("\n"), "file", "not XML")], "ship.xml")

    def test_ten_megabytes_of_plain_text_are_refused(self):
        self.ship("no markup at all. " * 600_000)
        self.assertGreater((self.folder / "ship.xml").stat().st_size, 10_000_000)
        self.faults([(1, "file", "not XML")], "ship.xml")

    def test_a_gzipped_arrangement_is_refused_as_not_xml(self):
        self.ship(gzip.compress(SMALL.encode()))
        self.faults([(1, "file", "not XML")], "ship.xml")

    def test_bytes_that_are_not_utf8_are_refused_on_their_line(self):
        self.ship(SMALL.encode().replace(b'name="Mid"', b'name="Mid\xff\xfe"'))
        self.faults([(7, "file", "not XML", "UTF-8")], "ship.xml")

    def test_a_file_over_the_size_cap_is_refused(self):
        with open(self.folder / "ship.xml", "wb") as file:
            file.truncate(257 * 2**20)
        done = self.run_it("rank", "ship.xml")
        self.assertEqual((done.returncode, done.stdout), (INPUT, b""))
        self.assertRegex(done.stderr.decode(), r"\Aship\.xml: error: file: .*256 MiB[^\n]*\n\Z")

    def test_depth_beyond_256_is_refused(self):
        for levels, refused in ((250, False), (300, True), (30_000, True)):
            text, _ = spoil("<deck", "<x>\n" * levels + "</x>" * levels + "<deck")
            done = self.run_it("check", self.ship(text))
            self.assertEqual(done.returncode, INPUT)
            line = r"\Aship\.xml:2\d\d: error: file: [^\n]*[Dd](eep|epth)[^\n]*\n\Z"
            self.assertEqual(bool(re.search(line, done.stderr.decode())), refused, done.stderr)

    def test_what_is_too_deep_is_not_told_in_terms_of_a_library(self):
        self.ship("<x>" * 300 + "</x>" * 300)
        errors = self.run_it("check", "ship.xml").stderr
        self.assertIn(b"ship.xml:1: error: file:", errors)
        self.assertNotIn(b"XML_PARSE", errors)

    def test_a_folder_is_refused(self):
        self.one_line(INPUT, "rank", ".", says=["folder"])

    def test_a_file_that_is_not_there_is_named(self):
        for command in ("check", "rank", "export"):
            self.one_line(INPUT, command, "nowhere.xml", says=["nowhere.xml", "No such file"])


class Entities(Case):
    def doctype(self, declarations, use):
        body, _ = spoil('name="Mid"', f'name="{use}"')
        self.ship(f'<?xml version="1.0"?>\n<!DOCTYPE arrangement [\n{declarations}\n]>\n{body}')
        self.faults([(2, "file", "DOCTYPE")], "ship.xml")

    def test_a_doctype_is_refused_even_if_it_does_nothing(self):
        self.ship(f"<!DOCTYPE arrangement>\n{SMALL}")
        self.faults([(1, "file", "DOCTYPE")], "ship.xml")

    def test_nested_entities_are_refused_unexpanded(self):
        levels = "\n".join(f'<!ENTITY e{n} "{f"&e{n - 1};" * 10}">' for n in range(1, 12))
        self.doctype('<!ENTITY e0 "many">\n' + levels, "&e11;")

    def test_an_external_entity_does_not_leak_a_file(self):
        secret = "not-to-be-seen-4711"
        self.write("secret", secret)
        host = Path("/etc/hostname")
        hidden = [secret] + [host.read_text().strip()] * host.exists()
        for target in ("file:///etc/hostname", (self.folder / "secret").as_uri()):
            self.doctype(f'<!ENTITY e SYSTEM "{target}">', "&e;")
            for command in ("check", "rank", "export"):
                done = self.run_it(command, "ship.xml")
                for word in filter(None, hidden):
                    self.assertNotIn(word.encode(), done.stdout + done.stderr)

    def test_an_external_doctype_is_not_fetched(self):
        self.ship(f'<!DOCTYPE arrangement SYSTEM "http://127.0.0.1:9/x.dtd">\n{SMALL}')
        self.faults([(1, "file", "DOCTYPE")], "ship.xml")

    def test_an_inclusion_is_an_unknown_element(self):
        self.write("secret", "not-to-be-seen-4711")
        text, at = spoil("<deck", '<i:include xmlns:i="http://www.w3.org/2001/XInclude" '
                                  'href="secret" parse="text"/><deck')
        self.ship(text)
        message = self.faults([(at, "include")], "ship.xml")[0]
        self.assertNotIn("4711", message)


class WrongContent(Case):
    def test_an_unknown_attribute_is_named_and_the_nearest_suggested(self):
        self.fault('permeability="0.95"', 'permability="0.95"', "space fore", "'permability'",
                   "'permeability'")

    def test_an_unknown_element_is_named_and_the_nearest_suggested(self):
        self.fault('<deck id="low" z="0"/>', '<deck id="low" z="0"/><dek id="x" z="1"/>', "dek x",
                   "<dek>", "<deck>")

    def test_a_missing_attribute_is_named(self):
        self.fault(' rating="weathertight"', "", "closure H1", "'rating'")

    def test_text_between_elements_is_refused(self):
        text, _ = spoil("<deck", "stray words<deck")
        self.ship(text)
        self.faults([(1, "arrangement", "stray words")], "ship.xml")

    def test_an_unknown_word_is_told_with_those_that_may_stand_there(self):
        self.fault('kind="hatch"', 'kind="hach"', "closure H1", "'hach'", "door", "hatch", "cover")

    def test_an_arrangement_without_ship_and_spaces_says_both(self):
        self.ship(f'<arrangement xmlns="{SHIP_NS}" name="Bare"/>')
        self.faults([(1, "arrangement", "<ship"), (1, "arrangement", "<space>")], "ship.xml")

    def test_a_duplicate_id_is_told_with_both_lines(self):
        for first, again, thing in (('id="fore" name', '<space id="fore" name="F">'
                                     '<box x="0 1" y="0 1" z="5 6"/></space>', "space fore"),
                                    ('id="low"', '<deck id="low" z="9"/>', "deck low"),
                                    ('condition id="harbour"', '<condition id="harbour"/>',
                                     "condition harbour")):
            with self.subTest(thing):
                text, _ = spoil("<closure id=\"D1\"", again + "\n<closure id=\"D1\"")
                at = text[:text.index(again)].count("\n") + 1
                self.ship(text)
                one = SMALL[:SMALL.index(first)].count("\n") + 1
                self.faults([(at, thing, f"line {one};")], "ship.xml")

    def test_a_closure_and_a_passage_cannot_share_an_id(self):
        text, at = spoil('passage id="P1"', 'passage id="D1"')
        self.ship(text)
        self.faults([(at, "closure or passage D1", "line 9")], "ship.xml")

    def test_a_dangling_id_in_between_is_told_with_the_nearest(self):
        self.fault('between="fore mid"', 'between="fore midd"', "closure D1", "'midd'", "mid")
        self.fault('between="mid aft"', 'between="mid after"', "passage P1", "'after'", "aft")

    def test_a_dangling_deck_is_told_with_the_nearest(self):
        self.fault('deck="low"', 'deck="lowe"', "space fore", "'lowe'", "nearest is low")

    def test_a_dangling_condition_in_shut_in_is_told_with_the_nearest(self):
        self.fault('shut-in="harbour"', 'shut-in="harbor"', "closure D1", "'harbor'",
                   "nearest is harbour")

    def test_a_dangling_source_of_a_scenario_is_told(self):
        self.fault('source="sea"', 'source="engine"', "scenario", "'engine'")

    def test_the_sea_as_a_source_of_bad_air_is_refused(self):
        self.fault('hazard="water"', 'hazard="air"', "scenario", "sea")

    def test_a_closure_from_a_space_to_itself_is_refused(self):
        self.fault('between="fore mid"', 'between="mid mid"', "closure D1", "'mid'", "itself")

    def test_between_must_name_two_places(self):
        for between in ("fore", "fore mid aft", ""):
            self.fault('between="fore mid"', f'between="{between}"', "closure D1", "two places")

    def test_a_space_cannot_take_the_name_of_the_outside(self):
        text, at = spoil('id="fore" name', 'id="sea" name')
        text, _ = spoil('between="fore mid"', 'between="aft mid"', text)
        self.ship(text)
        self.faults([(at, "space sea", "outside")], "ship.xml")

    def test_an_id_of_two_words_is_refused(self):
        self.fault('passage id="P1"', 'passage id="P 1"', "passage P 1", "'P 1'", "blank")


class WrongNumbers(Case):
    def test_what_is_not_a_number_is_refused_and_shown(self):
        for wrong in ("NaN", "nan", "INF", "-inf", "infinity", "0x10", "1,5", "0.95m", "zero", "1e",
                      "--1", "1 2", "\u0661"):
            with self.subTest(ascii(wrong)):
                self.fault('weight="1"', f'weight="{wrong}"', "scenario", f"'{wrong}'",
                           "not a number")

    def test_an_empty_number_is_refused(self):
        self.fault('weight="1"', 'weight=" "', "scenario", "not a number")

    def test_a_number_beyond_all_doubles_is_refused(self):
        self.fault('weight="1"', 'weight="1e999"', "scenario", "'1e999'", "too large")

    def test_a_permeability_out_of_bounds_is_refused_with_the_bounds(self):
        for wrong in ("-0.1", "1.01"):
            self.fault('permeability="0.95"', f'permeability="{wrong}"', "space fore", wrong,
                       "0 to 1")

    def test_a_length_with_rubbish_is_refused(self):
        self.fault('x="20"', 'x="20q"', "closure D1", "'20q'")
        self.fault('z="0.5"', 'z="half"', "closure D1", "'half'")

    def test_a_box_from_high_to_low_is_refused(self):
        self.fault('x="20 30"', 'x="30 20"', "space fore", "30 20")

    def test_an_outline_that_crosses_itself_is_refused(self):
        self.fault("0,-3 10,-3 10,3 0,3", "0,-3 10,3 10,-3 0,3", "space aft", "crosses")

    def test_a_frame_without_frames_is_refused(self):
        self.fault('x="20"', 'x="fr20"', "closure D1", "'fr20'", "<frames")

    def test_a_draught_beyond_the_depth_is_refused(self):
        self.fault('draft="2"', 'draft="5.5"', "ship", "draft", "depth")

    def test_sections_out_of_order_are_refused_at_the_later_one(self):
        for sections, at in ((("30", "0"), 1), (("0", "15", "15"), 2), (("0", "30", "15"), 2)):
            lines = [f'<section x="{x}"><offset z="0" y="3"/><offset z="5" y="3"/></section>'
                     for x in sections]
            text, first = spoil("<deck", "<hull>\n" + "\n".join(lines) + "\n</hull>\n<deck")
            self.ship(text)
            self.faults([(first + 1 + at, "section", "aft to forward")], "ship.xml")

    def test_offsets_that_fall_are_refused_and_level_ones_are_not(self):
        for heights, fault in ((("0", "4", "3"), True), (("0", "0", "5"), False)):
            offsets = "\n".join(f'<offset z="{z}" y="{y}"/>' for z, y in zip(heights, "233"))
            section = f'\n{offsets}\n</section>'
            text, first = spoil("<deck", f'<hull><section x="0">{section}<section x="30">'
                                         f'<offset z="0" y="3"/><offset z="5" y="3"/></section>'
                                         "</hull>\n<deck")
            self.ship(text)
            if fault:
                self.faults([(first + 3, "offset", "rise")], "ship.xml")
            else:
                done = self.run_it("check", *AS_OF, "ship.xml")
                self.assertEqual(done.returncode, DONE, done.stderr)
                self.assertNotIn(b"error:", done.stderr)

    def test_a_hull_of_one_section_or_a_section_of_one_offset_is_refused(self):
        whole = '<offset z="0" y="3"/><offset z="5" y="3"/>'
        for one, other, thing in ((whole, None, "hull"), (whole[:21], whole, "section")):
            more = f'<section x="30">{other}</section>' if other else ""
            text, at = spoil("<deck", f'<hull><section x="0">{one}</section>{more}</hull><deck')
            self.ship(text)
            self.faults([(at, thing, "two or more")], "ship.xml")

    def test_a_half_breadth_below_0_is_refused(self):
        text, at = spoil("<deck", '<hull><section x="0"><offset z="0" y="-1"/><offset z="5" y="3"/>'
                                  '</section><section x="30"><offset z="0" y="3"/>'
                                  '<offset z="5" y="3"/></section></hull><deck')
        self.ship(text)
        self.faults([(at, "offset", "-1")], "ship.xml")

    def test_a_negative_length_is_refused(self):
        self.fault('length="30"', 'length="-30"', "ship", "-30")


class WrongDates(Case):
    def test_a_day_that_is_in_no_calendar_is_refused(self):
        for wrong in ("2026-02-30", "2026-13-01", "2023-02-29", "2026-1-31", "31.01.2026",
                      "0000-01-01", "2026-01-31T10:00"):
            self.fault("2026-01-31", wrong, "closure D1", f"'{wrong}'", "2026-09-30")

    def test_a_leap_day_is_accepted(self):
        text, _ = spoil("2026-01-31", "2024-02-29")
        rows = self.document("rank", self.ship(text))["closures"]
        self.assertIn("2024-02-29", [row["tested"] for row in rows if row["closure"] == "D1"])

    def test_a_date_to_come_is_refused(self):
        self.fault("2026-01-31", "2999-12-31", "closure D1", "2999-12-31", "to come")


class Logs(Case):
    def result(self, *words, closure="D1"):
        rows = self.document("rank", *words)["closures"]
        return next((r["result"], r["tested"]) for r in rows if r["closure"] == closure)

    def test_a_log_of_another_ship_is_refused_with_both_names(self):
        self.ship()
        self.write("log.xml", log(tested("D1", "2026-05-01", "fail"), ship="Large"))
        self.faults([(1, "test-log", "'Large'", "'Small'")], "--log", "log.xml", "ship.xml",
                    name="log.xml")

    def test_a_dangling_closure_in_a_log_is_told_in_the_log_with_the_nearest(self):
        self.ship()
        self.write("log.xml", log(tested("D1", "2026-05-01", "pass"),
                                  tested("D12", "2026-05-02", "pass")))
        self.faults([(3, "closure D12", "'D12'", "nearest is D1")], "--log", "log.xml", "ship.xml",
                    name="log.xml")

    def test_a_passage_cannot_be_tested(self):
        self.ship()
        self.write("log.xml", log(tested("P1", "2026-05-01", "pass")))
        self.faults([(2, "closure P1", "passage")], "--log", "log.xml", "ship.xml", name="log.xml")

    def test_a_log_that_has_grown_beyond_ten_megabytes_is_read(self):
        self.ship()
        entries = [tested("D1", "2026-05-01", "pass")] * 150000
        note = "x" * 700  # at the end, where a parser's own limit would strike
        entries.append(tested("D1", "2026-05-02", "fail").replace("/>", f' note="{note}"/>'))
        self.write("log.xml", log(*entries))
        self.assertEqual(self.result("--log", "log.xml", "ship.xml"), ("fail", "2026-05-02"))

    def test_faults_of_every_log_are_told_though_the_first_is_not_xml(self):
        self.ship()
        self.write("one.xml", "<x")
        self.write("two.xml", log(tested("D9", "2026-05-01", "pass")))
        done = self.run_it("check", *AS_OF, "--log", "one.xml", "--log", "two.xml", "ship.xml")
        errors = done.stderr.decode()
        self.assertEqual(done.returncode, INPUT)
        self.assertRegex(errors, r"one\.xml:1: error: file: not XML")
        self.assertRegex(errors, r"two\.xml:2: error: closure D9: ")
        self.assertIn(b"cannot be used with these logs", done.stdout)

    def test_wrong_entries_of_a_log_are_all_told(self):
        self.ship()
        self.write("log.xml", log(
            '<test closure="D1" date="2026-02-30" method="chalk" result="pass"/>',
            '<test closure="D1" date="2026-05-01" method="chalk" result="good"/>',
            '<repair closure="D1" date="2026-05-01" action="paint"/>',
            '<entry closure="D1"/>'))
        self.faults([(2, "closure D1", "'2026-02-30'"), (3, "closure D1", "'good'"),
                     (4, "closure D1", "'paint'"), (5, "closure D1", "<entry>")],
                    "--log", "log.xml", "ship.xml", name="log.xml")

    def test_a_log_that_is_not_there_is_named(self):
        self.ship()
        self.one_line(INPUT, "rank", "--log", "nowhere.xml", "ship.xml", says=["nowhere.xml"])

    def test_the_latest_date_counts_wherever_it_stands(self):
        self.ship()
        self.write("log.xml", log(tested("D1", "2026-06-01", "fail"),
                                  tested("D1", "2025-06-01", "pass")))
        self.assertEqual(self.result("ship.xml"), ("pass", "2026-01-31"))
        self.assertEqual(self.result("--log", "log.xml", "ship.xml"), ("fail", "2026-06-01"))
        self.write("old.xml", log(tested("D1", "2026-01-30", "fail")))
        self.assertEqual(self.result("--log", "old.xml", "ship.xml"), ("pass", "2026-01-31"))

    def test_on_one_date_the_later_entry_counts(self):
        self.ship()
        self.write("log.xml", log(tested("D1", "2026-06-01", "fail"),
                                  tested("D1", "2026-06-01", "pass")))
        self.assertEqual(self.result("--log", "log.xml", "ship.xml"), ("pass", "2026-06-01"))
        self.write("same.xml", log(tested("D1", "2026-01-31", "fail")))
        self.assertEqual(self.result("--log", "same.xml", "ship.xml"), ("fail", "2026-01-31"))

    def test_of_two_logs_the_one_named_later_is_the_later(self):
        self.ship()
        self.write("a.xml", log(tested("D1", "2026-06-01", "fail")))
        self.write("b.xml", log(tested("D1", "2026-06-01", "pass")))
        self.assertEqual(self.result("--log", "a.xml", "--log", "b.xml", "ship.xml")[0], "pass")
        self.assertEqual(self.result("--log", "b.xml", "--log", "a.xml", "ship.xml")[0], "fail")

    def test_as_of_counts_the_day_itself_and_nothing_later(self):
        for day, expected in (("2025-05-09", ("untested", None)),
                              ("2025-05-10", ("pass", "2025-05-10")),
                              ("2026-05-11", ("pass", "2025-05-10")),
                              ("2026-05-12", ("fail", "2026-05-12"))):
            with self.subTest(day):
                self.assertEqual(self.result("--as-of", day, BARGE), expected)

    def test_as_of_says_how_many_entries_are_not_counted(self):
        self.assertIn("1 entry later", self.good("check", "--as-of", "2026-01-30", self.ship()))

    def test_a_repair_does_not_change_the_last_result(self):
        self.ship()
        self.write("log.xml", log(tested("D1", "2026-06-01", "fail"),
                                  '<repair closure="D1" date="2026-06-02" action="dogs"/>'))
        self.assertEqual(self.result("--log", "log.xml", "ship.xml"), ("fail", "2026-06-01"))


class Lines(Case):
    def test_all_faults_of_a_file_are_told_in_one_pass_in_order_of_lines(self):
        text = SMALL
        expected = []
        for old, new, thing, word in (
                ('deck id="low" z="0"', 'deck id="low" z="NaN"', "deck low", "'NaN'"),
                ('weight="1"', 'weight="-1"', "scenario", "-1"),
                ('permeability="0.95"', 'permeability="2"', "space fore", "2"),
                ('y="-3 3" z="0 4"/></space>\n<space id="aft"',
                 'y="3 -3" z="0 4"/></space>\n<space id="aft"', "space mid", "3 -3"),
                ('rating="watertight"', 'rating="tight"', "closure D1", "'tight'"),
                ('lies="deck"', 'lies="flat"', "closure H1", "'flat'"),
                ('kind="duct"', 'kind="tube"', "passage P1", "'tube'"),
                ('width="0.5" height', 'width="0.5" hight', "passage P1", "'hight'")):
            text, at = spoil(old, new, text)
            expected.append((at, thing, word))
        expected.append((expected[-1][0], "passage P1", "'height'"))
        self.ship(text)
        self.assertEqual([at for at, *_ in expected], sorted(at for at, *_ in expected))
        self.faults(expected, "ship.xml")

    def test_a_start_tag_of_many_lines_is_told_at_its_first(self):
        text, at = spoil(' kind="hatch" between="aft weather" rating="weathertight">',
                         '\n\n kind="hatch"\n between="aft >"\n rating="weathertight"\n>')
        self.ship(text)
        self.faults([(at, "closure H1", "'>'")], "ship.xml")

    def long(self, before_end):
        """SMALL with 70,000 lines more, and a line put in near the end."""
        comments = "<!-- one -->\n" * 35_000 + "\n" * 35_000
        text, at = spoil("</arrangement>", comments + before_end + "\n\n\n</arrangement>")
        self.ship(text)
        self.assertGreater(text.count("\n"), 70_000)
        return at + 70_000

    def test_a_loader_fault_beyond_line_65535_is_told_at_its_line(self):
        at = self.long('<closure id="D9" kind="door" between="fore engine" rating="watertight"/>')
        self.faults([(at, "closure D9", "'engine'")], "ship.xml")

    def test_a_duplicate_id_beyond_line_65535_is_told_with_both_lines(self):
        at = self.long('<deck id="x" z="1"/>\n<deck id="x" z="2"/>')
        self.faults([(at + 1, "deck x", f"line {at};")], "ship.xml")

    def test_a_syntax_fault_beyond_line_65535_is_told_at_its_line(self):
        at = self.long('<deck id="x" z="1" z="2"/>')
        self.faults([(at, "file", "not XML")], "ship.xml")


class Asking(Case):
    def test_an_unknown_condition_is_refused_with_the_nearest(self):
        self.ship()
        for command in (("rank",), ("export",), ("expose", "--all")):
            self.one_line(INPUT, *command, "--condition", "harbor", "ship.xml",
                          says=["ship.xml", "condition harbor", "nearest is harbour"])

    def test_an_unknown_closure_is_refused_with_the_nearest(self):
        self.ship()
        self.one_line(INPUT, "expose", "ship.xml", "D11",
                      says=["ship.xml", "closure D11", "nearest is D1"])

    def test_a_closure_unlike_any_is_refused_without_a_suggestion(self):
        self.ship()
        errors = self.one_line(INPUT, "expose", "ship.xml", "galley-skylight",
                               says=["galley-skylight"])
        self.assertNotIn("nearest", errors)

    def test_a_passage_asked_for_as_a_closure_is_refused(self):
        self.ship()
        self.one_line(INPUT, "expose", "ship.xml", "P1", says=["ship.xml", "P1", "passage"])

    def test_every_unknown_closure_is_told(self):
        done = self.run_it("expose", self.ship(), "X1", "D1", "X2")
        self.assertEqual((done.returncode, done.stdout), (INPUT, b""))
        self.assertEqual(len(done.stderr.splitlines()), 2)
        for name in (b"X1", b"X2"):
            self.assertIn(name, done.stderr)

    def test_the_ship_is_read_from_standard_input(self):
        self.ship()
        for command in (("rank",), ("expose", "--all"), ("export",)):
            self.assertEqual(self.good(*command, *AS_OF, "-", input=SMALL.encode()),
                             self.good(*command, *AS_OF, "ship.xml"))

    def test_a_fault_from_standard_input_names_it(self):
        text, at = spoil('deck="low"', 'deck="lowe"')
        self.faults([(at, "space fore", "'lowe'")], "-", name="standard input", input=text.encode())

    def test_a_log_is_read_from_standard_input(self):
        entries = log(tested("D1", "2026-06-01", "fail")).encode()
        rows = self.document("rank", "--log", "-", self.ship(), input=entries)["closures"]
        self.assertEqual([r["result"] for r in rows if r["closure"] == "D1"], ["fail"])

    def test_standard_input_cannot_be_both_ship_and_log(self):
        self.one_line(USAGE, "rank", "--log", "-", "-", says=["standard input"])

    def test_a_log_given_twice_is_refused_by_whatever_name(self):
        self.ship()
        self.write("log.xml", log(tested("D1", "2026-06-01", "fail")))
        self.write("other.xml", log(tested("D1", "2026-06-01", "fail")))
        (self.folder / "link.xml").symlink_to("log.xml")
        os.link(self.folder / "log.xml", self.folder / "hard.xml")
        for name in ("log.xml", "./log.xml", "link.xml", "hard.xml"):
            self.one_line(USAGE, "plan", "ship.xml", "--hours", "4", "--log", "log.xml", "--log", "other.xml",
                          "--log", name, says=["more than once"])
        with open(self.folder / "log.xml", "rb") as read:
            self.one_line(USAGE, "check", "ship.xml", "--log", "log.xml", "--log", "-", stdin=read,
                          says=["more than once"])
        self.good("check", "ship.xml", "--log", "log.xml", "--log", "other.xml")

    def test_two_dashes_end_the_options(self):
        text, _ = spoil('closure id="D1"', 'closure id="--all"')
        self.ship(text)
        rows = self.document("expose", "ship.xml", "--", "--all")["results"]
        self.assertEqual({row["closure"] for row in rows}, {"--all"})
        self.write("-ship.xml", text)
        self.assertEqual(len(self.document("expose", "--all", "--", "-ship.xml")["results"]), 8)
        self.assertEqual(self.document("expose", "--", "-ship.xml", "--all")["results"], rows)

    def test_options_may_stand_after_the_ship(self):
        self.ship()
        self.assertEqual(self.good("rank", "ship.xml", "--top", "1", *AS_OF),
                         self.good("rank", "--top=1", *AS_OF, "ship.xml"))

    def test_feet_are_metres_times_0_3048_to_the_last_digit(self):
        def number(match):
            return repr(float(match.group()) * 0.3048)

        def metres(match):
            return match.group(1) + re.sub(r"-?\d+(\.\d+)?", number, match.group(2)) + '"'
        lengths = r'(\b(?:length|beam|depth|draft|x|y|z|outline|width|height)=")([^"]*)"'
        text, _ = spoil('name="Small"', 'name="Small" units="ft"')
        self.write("feet.xml", text)
        converted = re.sub(lengths, metres, SMALL)
        self.assertNotEqual(converted, SMALL)
        self.write("metres.xml", converted)
        for level in ("still", "full", "3ft"):
            asked = ("export", "--measure", "volume", *AS_OF)
            metric = repr(3 * 0.3048) if level == "3ft" else level
            self.assertEqual(self.good(*asked, "--level", level, "feet.xml"),
                             self.good(*asked, "--level", metric, "metres.xml"))

    def test_the_same_command_twice_gives_the_same_bytes(self):
        for command in (("check",), ("check", "--format", "json"), ("expose", "--all"),
                        ("expose", "--all", "--format", "json"), ("rank",),
                        ("rank", "--format", "json"), ("export",), ("survival",),
                        ("float", "--flooded", "machinery,hold-aft", "--format", "json")):
            asked = (*command, *AS_OF, BARGE)
            self.assertEqual(self.good(*asked), self.good(*asked))
        # sampled, and threads: the demo's
        asked = ("rank", "--hazard", "water", "--format", "json", "--log", DEMO_LOG, *AS_OF, DEMO)
        self.assertEqual(self.good(*asked), self.good(*asked))


COMMANDS = ("check", "expose", "rank", "plan", "export", "float", "flood", "hold", "boundary", "casualty", "air", "draw", "report",
            "record", "due", "round", "adjust", "history", "import")


class Usage(Case):
    COMMANDS = COMMANDS

    def test_help_goes_to_standard_output_and_names_the_commands(self):
        for words in (("--help",), ("-h",), ("help",)):
            text = self.good(*words)
            for command in self.COMMANDS:
                self.assertIn(f"\n  {command} ", text)
        self.assertRegex(text, "Exit status: 0 .*1 .*2 .*3 (.|\n)*4 ")

    def test_help_of_a_command_is_the_same_by_each_way(self):
        for command in self.COMMANDS:
            text = self.good("help", command)
            self.assertIn(f"Usage: coaming {command} ", text)
            self.assertIn("--date" if command == "record" else "--as-of", text)
            self.assertEqual(self.good(command, "--help"), text)
            self.assertEqual(self.good(command, "--bogus", "-h"), text)

    def test_no_line_of_help_is_longer_than_80_columns(self):
        for words in (("--help",), *(("help", command) for command in self.COMMANDS)):
            for line in self.good(*words).splitlines():
                self.assertLessEqual(len(line), 80, line)

    def test_the_version_is_one_line(self):
        self.assertRegex(self.good("--version"), r"\Acoaming \d+\.\d+\.\d+\n\Z")

    def test_the_libraries_of_others_are_told(self):
        """Versions against what pkg-config says where there is a file for it; licences against SPDX's words."""
        first, heads, *rows = self.good("--version", "--verbose").splitlines()
        self.assertEqual(first + "\n", self.good("--version"))
        starts = [heads.index(word) for word in ("library", "built with", "running", "licence", "for")] + [None]
        told = {row[:starts[1]].strip(): [row[a:b].strip() for a, b in zip(starts[1:], starts[2:])] for row in rows}
        self.assertEqual(sorted(told), ["KLU", "SUNDIALS", "cJSON", "igraph", "libcsv", "libical", "libxml2"])
        for name, package in (("libxml2", "libxml-2.0"), ("igraph", "igraph"), ("cJSON", "libcjson")):
            found = subprocess.run(["pkg-config", "--modversion", package], capture_output=True, text=True, check=True)
            self.assertEqual(told[name][0], found.stdout.strip())
        for name, (built, running, licence, purpose) in told.items():
            self.assertRegex(running, rf"^({re.escape(built)}|\w+\.so\.[\d.]+)$", name)
            self.assertRegex(licence, r"^(MIT|BSD-3-Clause|L?GPL-[\d.]+-(only|or-later))( OR MPL-2.0)?$", name)
            self.assertTrue(purpose, name)
        self.assertTrue(all(len(row) <= 80 for row in rows), rows)
        self.assertEqual(self.good("__complete", "--version", "--v"), "words\n--verbose\tand the libraries in it\n")

    def test_no_command_is_misuse(self):
        self.one_line(USAGE, says=["--help"])

    def test_an_empty_command_is_misuse(self):
        self.one_line(USAGE, "")

    def test_an_unknown_command_is_misuse(self):
        self.one_line(USAGE, "expos", says=["'expos'"])
        self.one_line(USAGE, "help", "expos", says=["'expos'"])

    def test_an_unknown_option_is_misuse_and_named(self):
        self.ship()
        for command in self.COMMANDS:
            self.one_line(USAGE, command, "--colour", "ship.xml", says=["'--colour'", command])
            self.one_line(USAGE, command, "-q", "ship.xml", says=["'-q'"])
        self.one_line(USAGE, "check", "--top", "3", "ship.xml", says=["'--top'"])

    def test_an_unknown_letter_among_letters_is_named(self):
        self.ship()
        self.one_line(USAGE, "rank", "-qz", "ship.xml", says=["q"])

    def test_a_missing_value_is_misuse_and_named(self):
        self.ship()
        for option in ("--top", "--level", "--as-of", "--log", "--output", "-o", "--format"):
            self.one_line(USAGE, "rank", "ship.xml", option, says=[option])

    def test_a_value_for_an_option_without_one_is_misuse(self):
        self.one_line(USAGE, "expose", "--all=yes", self.ship(), says=["--all"])

    def test_a_missing_ship_is_misuse(self):
        for command in self.COMMANDS:
            what = "--spaces is missing" if command == "import" else "file is missing"
            self.one_line(USAGE, command, says=[what, command])

    def test_a_word_too_many_is_misuse(self):
        for command in ("check", "rank", "export", "float", "due"):
            self.one_line(USAGE, command, self.ship(), "D1", says=["'D1'"])

    def test_history_wants_one_closure(self):
        self.ship()
        for words in ((), ("D1", "H1")):
            self.one_line(USAGE, "history", "ship.xml", *words, says=["one closure"])

    def test_record_wants_a_closure_and_what_was_done_or_a_sheet_and_not_both(self):
        self.write("log.xml", log(tested("D1", "2026-01-31", "pass")))
        self.write("sheet.csv", "closure,result\nD1,pass\n")
        for words, says in (((), "closure"), (("D1",), "pass"), (("D1", "passed"), "'passed'"),
                            (("D1", "1:0.2"), "1:0.2"), (("D1", "dogs", "1:0.2"), "1:0.2"),
                            (("--sheet", "sheet.csv", "D1", "pass"), "--sheet"),
                            (("--sheet", "sheet.csv", "--undo"), "--sheet")):
            self.one_line(USAGE, "record", "log.xml", *words, says=[says])
        self.one_line(USAGE, "record", "-", "D1", "pass", says=["log"])

    def test_a_wrong_number_of_days_is_misuse(self):
        self.ship()
        for command in ("due", "round"):
            for value in ("-1", "1.5", "ten", "", "3d", "36526"):
                self.one_line(USAGE, command, "--within", value, "ship.xml",
                              says=[f"--within '{value}'"])

    def test_expose_wants_closures_or_all_and_not_both(self):
        self.ship()
        self.one_line(USAGE, "expose", "ship.xml", says=["--all"])
        self.one_line(USAGE, "expose", "--all", "ship.xml", "D1", says=["--all"])

    def wrong(self, option, values, *says):
        self.ship()
        for value in values:
            with self.subTest(value):
                self.one_line(USAGE, "rank", f"--{option}={value}", "ship.xml",
                              says=[f"--{option} '{value}'", *says])

    def test_a_wrong_level_is_misuse(self):
        self.wrong("level", ("high", "", "3,5", "3.5q", "nan", "inf", "1e999", "0x1", "3 ft", "ft"),
                   "equilibrium", "still", "full")

    def test_a_wrong_top_is_misuse(self):
        self.wrong("top", ("0", "-1", "1.5", "ten", "", "3x", "99999999999999999999"), "1 or more")

    def test_a_wrong_measure_is_misuse(self):
        self.wrong("measure", ("mass", "Worth", "", "worth ", "GM"), "worth", "volume", "people",
                   "spaces", "freeboard", "gm")

    def test_a_wrong_hazard_is_misuse(self):
        self.wrong("hazard", ("fire", "water,air", ""), "water", "air", "both")

    def test_a_wrong_format_is_misuse(self):
        self.wrong("format", ("xml", "JSON", ""), "text", "json")

    def test_a_wrong_as_of_is_misuse(self):
        self.wrong("as-of", ("2026-02-30", "today", "", "2026-11-1", "20261110", " 2026-11-10"),
                   "2026-09-30")

    def test_export_writes_no_text(self):
        self.one_line(USAGE, "export", "--format", "text", self.ship(),
                      says=["json, csv"])

    def test_misuse_is_told_before_the_file_is_read(self):
        self.one_line(USAGE, "rank", "--top", "0", "nowhere.xml", says=["--top"])


KG = ('draft="2"/>', 'draft="2" kg="1.5"/>')


class Floating(Case):
    """How she floats, and the level that follows from it."""

    NUMBERS = ("draught", "draught_aft", "draught_fwd", "trim", "heel", "gm", "freeboard",
               "flooded_volume")
    ALL_OF_BARGE = "after-peak,machinery,hold-aft,hold-fwd,fore-peak"

    def floats(self, *words):
        return self.document("float", *words)

    def test_the_barge_undamaged_floats_at_her_draught(self):
        # A box 24 x 6 x 3 at 1.5 m in fresh water: 216 t; KB 0.75, BM 6^2/(12 x 1.5) = 2, KG 1.2.
        # Up to where the deck edge dips (26.6 degrees) a box has GZ = sin(heel) x (GM +
        # BM/2 x tan(heel)^2).
        found = self.floats(BARGE)
        self.assertIs(found["afloat"], True)
        self.assertEqual((found["flooded"], found["result"]), ([], "afloat, within the limits of SOLAS II-1/7-2"))
        for key, value in (("draught", 1.5), ("draught_aft", 1.5), ("draught_fwd", 1.5),
                           ("trim", 0), ("heel", 0), ("gm", 0.75 + 2 - 1.2), ("freeboard", 1.5),
                           ("displacement", 216), ("flooded_volume", 0)):
            self.assertAlmostEqual(found[key], value, places=9, msg=key)
        self.assertEqual([arm["heel"] for arm in found["righting_arms"]],
                         [5 * step for step in range(13)])
        for arm in found["righting_arms"][:6]:
            heel = math.radians(arm["heel"])
            self.assertAlmostEqual(arm["gz"], math.sin(heel) * (1.55 + math.tan(heel) ** 2),
                                   places=8)
        self.assertEqual([opening["id"] for opening in found["openings"]], ["M2", "H1", "H2"])
        for opening, height in zip(found["openings"], (1.5, 2, 2)):
            self.assertAlmostEqual(opening["height"], height, places=9)

    def test_a_flooded_middle_sinks_her_evenly(self):
        # A box 30 x 6 x 5 at 2 m, the middle third flooded, permeability 0.95: the waterplane left
        # is 180 - 0.95 x 60 = 123 m2, the draught 360/123; 0.95 x 60 x 360/123 of water.
        text, _ = spoil(*KG)
        found = self.floats("--flooded", "mid", self.ship(text))
        self.assertAlmostEqual(found["draught"], 360 / 123, places=9)
        self.assertAlmostEqual(found["trim"], 0, places=9)
        self.assertAlmostEqual(found["flooded_volume"], 57 * 360 / 123, places=8)
        self.assertAlmostEqual(found["freeboard"], 5 - 360 / 123, places=9)
        self.assertAlmostEqual(found["displacement"], 360 * 1.025, places=9)

    def test_trim_is_by_the_end_that_is_flooded(self):
        text, _ = spoil(*KG)
        self.ship(text)
        for space, sign in (("fore", 1), ("aft", -1)):
            found = self.floats("--flooded", space, "ship.xml")
            self.assertGreater(sign * found["trim"], 0.1)
            self.assertAlmostEqual(found["trim"], found["draught_fwd"] - found["draught_aft"])
        self.assertRegex(self.good("float", *AS_OF, "--flooded", "fore", "ship.xml"), "by the bow")
        self.assertRegex(self.good("float", *AS_OF, "--flooded", "aft", "ship.xml"), "by the stern")

    def test_heel_is_positive_to_port(self):
        for tcg, sign, word in (("0.1", 1, "to port"), ("-0.1", -1, "to starboard")):
            text, _ = spoil('draft="2"/>', f'draft="2" kg="1.5" tcg="{tcg}"/>')
            self.ship(text)
            self.assertGreater(sign * self.floats("ship.xml")["heel"], 1)
            self.assertIn(word, self.good("float", *AS_OF, "ship.xml"))

    def test_flooded_may_be_given_in_one_list_or_several(self):
        listed = self.floats("--flooded", "machinery,hold-aft", BARGE)
        self.assertEqual(listed["flooded"], ["machinery", "hold-aft"])
        self.assertEqual(self.floats("--flooded=machinery", "--flooded", "hold-aft", BARGE), listed)

    def test_sinking_is_a_result(self):
        found = self.floats("--flooded", self.ALL_OF_BARGE, BARGE)
        self.assertIs(found["afloat"], False)
        self.assertEqual({found[key] for key in self.NUMBERS}, {None})
        self.assertEqual(found["result"], "does not stay afloat: not enough buoyancy is left")
        self.assertEqual((found["righting_arms"], found["openings"]), ([], []))
        self.assertAlmostEqual(found["displacement"], 216, places=9)
        text = self.good("float", *AS_OF, "--flooded", self.ALL_OF_BARGE, BARGE)
        self.assertIn("By this reckoning she does not stay afloat: not enough buoyancy is left.", text)
        self.assertNotIn("nan", text)
        self.assertNotRegex(text, r"draught (aft|mid|fwd)")

    def test_damage_opens_each_space_and_its_neighbours(self):
        found = self.document("survival", BARGE)
        names = self.ALL_OF_BARGE.split(",")
        for side in ("port", "starboard"):
            opened = [case["opened"] for case in found["cases"] if case["side"] == side]
            self.assertEqual([case for case in opened if len(case) == 1], [[space] for space in names])
            self.assertEqual([case for case in opened if len(case) == 2],
                             [list(pair) for pair in zip(names, names[1:])])
            self.assertAlmostEqual(sum(case["weight"] for case in found["cases"]
                                       if case["side"] == side), 1, places=12)
        for state in ("as_built", "as_tested", "if_untested_leak"):
            worth = sum(case["weight"] / 2 * case["s"][state] for case in found["cases"])
            self.assertAlmostEqual(found["index"][state], worth, places=12)
        self.assertGreaterEqual(found["index"]["as_tested"], found["index"]["if_untested_leak"])
        self.assertIn("survival of damage to her side", self.good("survival", *AS_OF, BARGE))

    def test_damage_of_one_space_is_its_flooding_with_what_it_goes_on_to(self):
        cases = self.document("survival", BARGE)["cases"]
        case = next(c for c in cases if c["opened"] == ["machinery"])
        # D1 failed its test: the after hold goes too.
        both = self.floats("--flooded", "machinery,hold-aft", BARGE)
        self.assertEqual(case["flooded_as_tested"], ["machinery", "hold-aft"])
        self.assertAlmostEqual(case["s"]["as_tested"], both["s"], places=9)
        self.assertEqual(case["grade"]["as_tested"], both["grade"])

    def test_an_unknown_space_is_refused_with_the_nearest(self):
        for asked in ("hold-aff", "machinery,hold-aff", "hold-aff,machinery"):
            self.one_line(INPUT, "float", "--flooded", asked, BARGE,
                          says=["barge.xml", "space hold-aff", "nearest is hold-aft"])
        for outside in ("sea", "weather", "D1"):
            self.one_line(INPUT, "float", "--flooded", outside, BARGE, says=[f"space {outside}"])

    def test_an_unknown_condition_is_refused(self):
        self.one_line(INPUT, "survival", "--condition", "towd", BARGE,
                      says=["condition towd", "nearest is towed"])

    def test_every_breach_is_asked_of_survival(self):
        self.one_line(USAGE, "float", "--all-breaches", "nowhere.xml",
                      says=["--all-breaches", "coaming survival"])

    def test_without_kg_how_she_floats_is_misuse(self):
        self.ship()
        for words in (("float",), ("float", "--flooded", "mid"), ("survival",),
                      ("rank", "--level", "equilibrium"),
                      ("rank", "--level", "equilibrium", "--measure", "gm"),
                      ("expose", "--all", "--level", "equilibrium")):
            self.one_line(USAGE, *words, "ship.xml", says=["ship.xml", "ship", "kg"])

    def test_a_ship_that_capsizes_undamaged_is_bad_input(self):
        text, line = spoil('draft="2"/>', 'draft="2" kg="9"/>')
        self.ship(text)
        for words in (("float",), ("float", "--flooded", "mid"), ("survival",),
                      ("rank",), ("rank", "--measure", "freeboard"), ("expose", "--all")):
            self.one_line(INPUT, *words, "ship.xml",
                          says=[f"ship.xml:{line}: ship:", "undamaged", "capsizes", "kg"])
        self.good("rank", "--level", "still", *AS_OF, "ship.xml")
        done = self.run_it("check", "ship.xml", *AS_OF)
        self.assertEqual(done.returncode, INPUT)
        self.assertRegex(done.stderr.decode(), rf"\Aship.xml:{line}: error: ship: undamaged [^\n]*capsizes[^\n]*\n\Z")

    def test_freeboard_and_gm_are_misuse_at_another_level(self):
        for measure in ("freeboard", "gm"):
            for level in ("still", "full", "2"):
                for command in ("rank", "export"):
                    done = self.run_it(command, "--measure", measure, "--level", level, BARGE)
                    self.assertEqual(done.returncode, USAGE)
                    self.assertRegex(done.stderr.decode(),
                                     rf"\Acoaming: {measure}\b[^\n]*equilibrium[^\n]*\n\Z")
            self.one_line(USAGE, "rank", "--measure", measure, self.ship(), says=[measure])

    def test_the_level_is_equilibrium_with_kg_and_still_without(self):
        text, _ = spoil(*KG)
        self.write("kg.xml", text)
        self.ship()
        for name, level, other in (("kg.xml", "equilibrium", "still"),
                                   ("ship.xml", "still", "full")):
            for words in (("rank",), ("expose", "--all"), ("export",)):
                with self.subTest(name=name, command=words):
                    default = self.document(*words, name)
                    self.assertEqual(default["level"], level)
                    self.assertEqual(default, self.document(*words, "--level", level, name))
                    named = self.document(*words, "--level", other, name)
                    self.assertEqual(named["level"], other)

    def test_at_equilibrium_water_rises_to_what_the_waterline_at_rest_leaves_dry(self):
        # With mid flooded the draught is 360/123 = 2.93 m: the duct P1 at 2.5 m then lets the water
        # on to aft. At rest, at 2 m, it is dry.
        text, _ = spoil(*KG)
        text = text.replace('</arrangement>', """<closure id="V1" kind="valve" between="mid sea"
            rating="watertight"><clear x="15" y="-3" z="0.2" width="0.1" height="0.1"
            lies="longitudinal"/><test date="2026-01-31" method="air" result="pass"/></closure>
            </arrangement>""")
        text, _ = spoil('x="10" y="0" z="1"', 'x="10" y="0" z="2.5"', text)
        self.ship(text)
        for level, exposed, plane in (("still", ["mid"], 2), (None, ["mid", "aft"], None)):
            asked = ["--level", level] if level else []
            rows = self.document("expose", "--hazard", "water", *asked, "ship.xml", "V1")["results"]
            row = next(row for row in rows if row["source"] == "sea")
            self.assertEqual(row["exposed"], exposed)
            if plane:
                self.assertEqual(row["level"], plane)
            else:
                aft = self.floats("--flooded", "mid,aft", "ship.xml")
                self.assertEqual(aft["draught"] is None, row["level"] is None)
                self.assertEqual(row["by"], ["V1", "P1"])

    def test_rank_by_freeboard_counts_what_the_ship_loses(self):
        # The one scenario is water from the sea, weight 1. The valve floods mid: the draught goes
        # from 2 m to 360/123 m, and as much freeboard is lost. P1 stays above it.
        text, _ = spoil(*KG)
        text = text.replace('</arrangement>', """<closure id="V1" kind="valve" between="mid sea"
            rating="watertight"><clear x="15" y="-3" z="0.2" width="0.1" height="0.1"
            lies="longitudinal"/><test date="2026-01-31" method="air" result="pass"/></closure>
            </arrangement>""")
        text, _ = spoil('x="10" y="0" z="1"', 'x="10" y="0" z="3.5"', text)
        found = self.document("rank", "--measure", "freeboard", "--hazard", "water",
                              self.ship(text))
        self.assertEqual((found["level"], found["measure"]), ("equilibrium", "freeboard"))
        first = found["closures"][0]
        self.assertEqual((first["closure"], first["worst_source"], first["exposes"]),
                         ("V1", "sea", ["mid"]))
        self.assertAlmostEqual(first["consequence"], 360 / 123 - 2, places=9)
        self.assertEqual(first["air"], 0)
        self.assertNotIn("afloat", first)
        self.assertIn("by freeboard lost", self.good("rank", "--measure", "freeboard", *AS_OF,
                                                     "ship.xml"))

    def test_rank_names_the_closures_whose_failure_she_does_not_survive(self):
        found = self.document("rank", BARGE)
        lost = {row["closure"] for row in found["closures"] if row.get("afloat") is False}
        self.assertIn("D2", lost)   # it alone parts the after half, leaking at D1, from the forward
        self.assertNotIn("H2", lost)
        text = " ".join(self.good("rank", *AS_OF, BARGE).split())
        named = re.search(r"does not stay afloat in some scenario if one of these fails: (.*?) "
                          r"To make good", text)
        self.assertEqual(set(named[1].split(", ")), lost)


class Writing(Case):
    ASK = ("rank", *AS_OF)

    def setUp(self):
        super().setUp()
        self.ship()
        self.text = self.good(*self.ASK, "ship.xml")

    def test_a_file_gets_what_standard_output_would(self):
        for option in (("-o", "out"), ("-oout",), ("--output", "out"), ("--output=out",)):
            self.assertEqual(self.good(*self.ASK, *option, "ship.xml"), "")
            self.assertEqual((self.folder / "out").read_text(), self.text)
            self.assertEqual(sorted(self.state()), ["out", "ship.xml"])
            (self.folder / "out").unlink()

    def test_a_dash_is_standard_output(self):
        self.assertEqual(self.good(*self.ASK, "-o", "-", "ship.xml"), self.text)
        self.assertEqual(sorted(self.state()), ["ship.xml"])

    def test_no_answer_takes_the_place_of_what_it_was_worked_out_from(self):
        self.write("log.xml", log(tested("D1", "2026-06-01", "fail")))
        before = self.state()
        for taken, words in (("ship.xml", ("rank", *AS_OF, "-")),
                             ("log.xml", ("check", "ship.xml", "--log", "-"))):
            with open(self.folder / taken, "rb") as read:
                self.one_line(USAGE, *words, "-o", taken, stdin=read, says=[taken, "is an input"])
            self.assertEqual(self.state(), before)
        with open("/dev/null", "rb") as nothing:  # nothing is lost of a device
            done = self.run_it("rank", *AS_OF, "-", "-o", "/dev/null", stdin=nothing)
        self.assertEqual((done.returncode, done.stderr), (INPUT, b"standard input: error: file: empty; an XML file is expected\n"))

    def test_a_folder_that_is_not_there_is_a_failure_of_the_machine(self):
        self.one_line(MACHINE, *self.ASK, "-o", "nowhere/out", "ship.xml",
                      says=["nowhere/out", "No such file"])

    def test_a_folder_cannot_be_written_over(self):
        self.one_line(MACHINE, *self.ASK, "-o", ".", "ship.xml", says=["."])

    def test_a_full_disk_is_a_failure_of_the_machine(self):
        for command in (("check",), ("check", "--format", "json"), ("rank",), ("export",),
                        ("expose", "--all")):
            self.one_line(MACHINE, *command, "-o", "/dev/full", "ship.xml",
                          says=["/dev/full", "No space left"])
            with open("/dev/full", "wb") as full:
                self.one_line(MACHINE, *command, "ship.xml", stdout=full,
                              says=["standard output", "No space left"])

    def test_help_and_version_to_a_full_disk_are_a_failure_too(self):
        for words in (("--help",), ("--version",), ("help", "rank")):
            with open("/dev/full", "wb") as full:
                self.one_line(MACHINE, *words, stdout=full, says=["standard output"])

    def test_a_fault_leaves_an_existing_file_as_it_was(self):
        self.write("out", "as it was")
        text, _ = spoil('deck="low"', 'deck="lowe"')
        self.write("bad.xml", text)
        before = self.state()
        for words in (("rank", "bad.xml"), ("export", "bad.xml"), ("expose", "ship.xml", "D11"),
                      ("rank", "--condition", "x", "ship.xml"), ("rank", "--top", "0", "ship.xml"),
                      ("check", "nowhere.xml")):
            done = self.run_it(*words, "-o", "out")
            self.assertIn(done.returncode, (USAGE, INPUT))
            self.assertEqual(self.state(), before, words)

    def test_the_answer_of_check_on_a_faulty_file_goes_to_the_file(self):
        text, _ = spoil('deck="low"', 'deck="lowe"')
        self.write("bad.xml", text)
        done = self.run_it("check", "--format", "json", "-o", "out", "bad.xml")
        self.assertEqual((done.returncode, done.stdout), (INPUT, b""))
        self.assertIs(json.loads((self.folder / "out").read_bytes())["ok"], False)

    def test_a_write_that_fails_half_way_leaves_an_existing_file_as_it_was(self):
        def no_room():
            signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
            resource.setrlimit(resource.RLIMIT_FSIZE, (4096, 4096))
        self.write("out", "as it was")
        before = self.state()
        done = self.run_it("export", "-o", "out", DEMO, preexec_fn=no_room)
        self.assertEqual(done.returncode, MACHINE)
        self.assertRegex(done.stderr.decode(),
                         r"\Acoaming: [^\n]*\bout: cannot be written: [^\n]+\n\Z")
        self.assertEqual(self.state(), before)

    def test_an_existing_file_keeps_its_permissions(self):
        for mode in (0o640, 0o600, 0o666):
            self.write("out", "old")
            (self.folder / "out").chmod(mode)
            self.good(*self.ASK, "-o", "out", "ship.xml")
            self.assertEqual(stat.S_IMODE((self.folder / "out").stat().st_mode), mode)
            self.assertEqual((self.folder / "out").read_text(), self.text)

    def test_a_new_file_gets_the_permissions_of_the_mask(self):
        for mask in (0o022, 0o077):
            self.good(*self.ASK, "-o", f"out{mask}", "ship.xml", umask=mask)
            mode = stat.S_IMODE((self.folder / f"out{mask}").stat().st_mode)
            self.assertEqual(mode, 0o666 & ~mask)

    def test_a_symbolic_link_is_followed_and_stays(self):
        self.write("target", "old")
        (self.folder / "link").symlink_to("target")
        self.good(*self.ASK, "-o", "link", "ship.xml")
        self.assertTrue((self.folder / "link").is_symlink())
        self.assertEqual((self.folder / "target").read_text(), self.text)
        self.assertEqual(sorted(self.state()), ["link", "ship.xml", "target"])

    def test_a_symbolic_link_to_a_file_to_come_is_followed_and_stays(self):
        (self.folder / "link").symlink_to("target")
        self.good(*self.ASK, "-o", "link", "ship.xml")
        self.assertTrue((self.folder / "link").is_symlink())
        self.assertEqual((self.folder / "target").read_text(), self.text)


class HostileText(Case):
    """Ids and names are the file's: they must not steer a terminal nor change in JSON."""

    NAMES = {
        "markup": "<b>&amp; ]]> <!-- x -->",
        "quotes": "\"'`\\ \\n %s %n {} $(x)",
        "long": "L" * 200,
        "right-to-left": "\u05d3\u05dc\u05ea \u202e\u2066turned\u2069 \u0628\u0627\u0628",
        "emoji": "door \U0001f6aa\ufe0f \U0001f468\u200d\U0001f527",
        "C1 controls": "a\u009b31mred\u0085next\u0090x\u009c",
        "blanks": "tab\there\nand a new line\rand another",
        "delete": "a\u007fb",
    }

    def hostile(self):
        """A ship whose spaces, closures and passage bear those names, as id too where one may."""
        lines = [f'<arrangement xmlns="{SHIP_NS}" name={self.quoted(self.NAMES["C1 controls"])}>',
                 '<ship length="90" beam="6" depth="5" draft="2"/>']
        self.ids = []
        for number, name in enumerate(self.NAMES.values()):
            word = re.sub(r"[ \t\r\n,]", "_", name)
            self.ids.append(word)
            lines.append(f'<space id={self.quoted(f"s{word}")} name={self.quoted(name)}>'
                         f'<box x="{10 * number} {10 * number + 10}" y="-3 3" z="0 4"/></space>')
        named = list(zip(self.ids, self.NAMES.values()))
        for number, (word, name) in enumerate(named[1:], start=1):
            between = f"s{self.ids[number - 1]} s{word}"
            lines.append(f'<closure id={self.quoted(f"c{word}")} name={self.quoted(name)} '
                         f'kind="door" between={self.quoted(between)} rating="watertight">'
                         f'<clear x="{10 * number}" y="0" z="0.5" width="0.7" height="1.7" '
                         'lies="transverse"/></closure>')
        return "\n".join((*lines, "</arrangement>", ""))

    @staticmethod
    def quoted(text):
        return quoteattr(text, {"\t": "&#9;", "\n": "&#10;", "\r": "&#13;"})

    def whole(self, output):
        """The text, which must be UTF-8 throughout."""
        try:
            return output.decode("utf-8")
        except UnicodeDecodeError as error:
            return self.fail(f"{error}: {output[-200:]!r}")

    def assert_harmless(self, output):
        text = self.whole(output)
        for character in text.replace("\n", ""):
            name = f"U+{ord(character):04X}"
            self.assertNotEqual(unicodedata.category(character), "Cc", name)
            self.assertNotIn(character, "\u2028\u2029\u202a\u202b\u202c\u202d\u202e"
                                        "\u2066\u2067\u2068\u2069", name)

    def test_no_text_has_control_characters(self):
        self.ship(self.hostile())
        for command in (("check",), ("rank",), ("expose", "--all"), ("expose", "--level", "full")):
            ids = [f"c{word}" for word in self.ids[1:]] if "--level" in command else []
            done = self.run_it(*command, "ship.xml", *ids)
            self.assertEqual(done.returncode, DONE, done.stderr)
            self.assertGreater(len(done.stdout), 100)
            self.assert_harmless(done.stdout)
            self.assert_harmless(done.stderr)

    def test_no_text_of_rounds_of_tests_has_control_characters(self):
        self.ship(self.hostile())
        ids = [f"c{word}" for word in self.ids[1:]]
        for command in (("due",), ("due", "--format", "ical"), ("due", "--by-consequence"),
                        ("round",), ("round", "--inside"), ("adjust",)):
            words = ids if command[0] == "adjust" else ()
            output = self.good(*command, *AS_OF, "ship.xml", *words).replace("\r\n", "\n")
            self.assertGreater(len(output), 100)
            self.assert_harmless(output.encode())
        for number, closure in enumerate(ids):
            note = self.NAMES["right-to-left"] + "\n\t" + self.NAMES["quotes"]
            text = self.good("record", "log.xml", closure, "fail", "1:0.2", "dogs", "--date",
                             "2020-01-31", "--by", self.NAMES["emoji"], "--note", note, "--ship",
                             "ship.xml")
            self.assert_harmless(text.encode())
            entries = self.document("history", "--log", "log.xml", "ship.xml", closure)["events"]
            self.assertEqual([entry["note"] for entry in entries], [note, note])
            self.assert_harmless(self.good("history", *AS_OF, "--log", "log.xml", "ship.xml",
                                           closure).encode())
            self.assertEqual(self.document("check", "--log", "log.xml", "ship.xml")["ok"], True,
                             number)

    def floating(self):
        """The same with kg, and the first space to be breached and flooded, by its hostile id."""
        text, _ = spoil('draft="2"/>', 'draft="2" kg="1.5"/>', self.hostile())
        self.ship(text.replace("<space ", '<space shell="yes" '))

    def test_no_text_of_how_she_floats_has_control_characters(self):
        self.floating()
        for flooding in ((), *(("--flooded", f"s{word}") for word in self.ids)):
            done = self.run_it("float", *flooding, *AS_OF, "ship.xml")
            self.assertEqual(done.returncode, DONE, done.stderr)
            self.assertIn(b"how she floats", done.stdout)
            self.assert_harmless(done.stdout)
        for command in (("survival",), ("rank",), ("expose", "--all")):
            text = self.good(*command, *AS_OF, "ship.xml").encode()
            self.assertIn(b"where she settles", text)
            self.assert_harmless(text)

    def test_a_space_with_any_id_can_be_flooded(self):
        self.floating()
        for word in self.ids:
            document = self.document("float", "--flooded", f"s{word}", "ship.xml")
            self.assertEqual(document["flooded"], [f"s{word}"])
        cases = self.document("survival", "ship.xml")["cases"]
        self.assertEqual({space for case in cases for space in case["opened"]},
                         {f"s{word}" for word in self.ids})

    def test_a_complaint_about_a_space_asked_for_has_no_control_characters(self):
        self.floating()
        for asked in ("sa31mred", "s\x1b[31m", "x\u202e", "s\u009b,sdelete"):
            with self.subTest(ascii(asked)):
                done = self.run_it("float", "ship.xml", "--flooded", asked)
                self.assertEqual((done.returncode, done.stdout), (INPUT, b""))
                self.assertEqual(len(done.stderr.splitlines()), 1)
                self.assert_harmless(done.stderr)

    def test_json_has_every_name_and_id_exactly(self):
        self.ship(self.hostile())
        document = self.document("export", "ship.xml")
        names = list(self.NAMES.values())
        self.assertEqual(document["ship"], self.NAMES["C1 controls"])
        self.assertEqual([space["name"] for space in document["spaces"]], names)
        self.assertEqual([space["id"] for space in document["spaces"]], [f"s{i}" for i in self.ids])
        self.assertEqual([c["name"] for c in document["closures"]], names[1:])
        self.assertEqual([c["id"] for c in document["closures"]], [f"c{i}" for i in self.ids[1:]])

    def test_a_closure_with_any_id_can_be_asked_for(self):
        self.ship(self.hostile())
        for word in self.ids[1:]:
            rows = self.document("expose", "ship.xml", f"c{word}")["results"]
            self.assertEqual({row["closure"] for row in rows}, {f"c{word}"})

    def fault_lines(self, old, new, count, *, text=SMALL):
        spoilt, _ = spoil(old, new, text)
        done = self.run_it("check", self.ship(spoilt))
        self.assert_harmless(done.stderr)
        lines = done.stderr.decode("utf-8").splitlines()
        self.assertEqual(len(lines), count, lines)
        for line in lines:
            self.assertRegex(line, r"\Aship\.xml:\d+: (error|warning): ")

    def test_a_fault_that_quotes_the_file_is_one_line_without_control_characters(self):
        evil = "x\u009b31m\u202e"
        for old, new in (
                ('weight="1"', f'weight="{evil}"'), ('weight="1"', 'weight="1&#10;2"'),
                ('kind="hatch"', f'kind="{evil}&#10;"'), ("2026-01-31", f"{evil}&#10;"),
                ('deck="low"', f'deck="{evil}"'), ('shut-in="harbour"', f'shut-in="{evil}"'),
                ('between="fore mid"', f'between="fore {evil}"'),
                ('between="fore mid"', 'between="fore&#10;mid aft"'),
                ('between="fore mid"', f'between="{evil}&#10;{evil}&#10;{evil}"'),
                ('x="20 30"', 'x="20&#10;25 30"'), ('x="20"', 'x="20&#10;x"'),
                ('x="20"', f'x="fr{evil}"'), ('z="0 4"/></space>\n<space id="mid"',
                                              f'z="{evil} 4&#10;5"/></space>\n<space id="mid"'),
                ("0,-3 10,-3", f"0,-3 {evil} 10,-3"),
                ('deck id="low"', f'deck id="low&#10;{evil}"'),
                ('source="sea"', f'source="{evil}"')):
            with self.subTest(ascii(new)):
                self.fault_lines(old, new, 2 if new.startswith("deck id") else 1)

    def test_a_warning_that_quotes_the_file_is_one_line_without_control_characters(self):
        self.fault_lines('deck="low"', 'deck="low" use="odd&#10;use\u009b31m"', 1,
                         text=SMALL.replace(' permeability="0.95"', ""))

    def test_a_long_word_is_not_cut_inside_a_character(self):
        for letters in range(4):
            wide = "a" * letters + "\u0416" * 100
            for old, new in (('deck="low"', f'deck="{wide}"'),
                             ('between="fore mid"', f'between="{wide}"'),
                             ('weight="1"', f'weight="{wide}"'),
                             ('shut-in="harbour"', f'shut-in="{wide}"')):
                with self.subTest(ascii(new)):
                    text, _ = spoil(old, new)
                    errors = self.whole(self.run_it("check", self.ship(text)).stderr)
                    self.assertIn("\u0416\u0416", errors)
                    self.assertNotIn("\ufffd", errors)

    def test_a_file_name_that_is_not_utf8_still_gives_json(self):
        name = b"\xff\x1b[31m.xml"
        text, _ = spoil('deck="low"', 'deck="x"')
        (self.folder / os.fsdecode(name)).write_bytes(text.encode())
        done = self.run_it("check", "--format", "json", os.fsdecode(name))
        self.assertEqual(done.returncode, INPUT)
        document = json.loads(self.whole(done.stdout))
        self.assertTrue(document["file"].endswith(".xml"))
        self.assertEqual(document["faults"][0]["line"], 6)

    def test_a_complaint_about_an_id_asked_for_has_no_control_characters(self):
        text, _ = spoil('closure id="D1"', 'closure id="Door\u009b1"')
        text, _ = spoil('passage id="P1"', 'passage id="P\u009b1"', text)
        self.ship(text)
        for asked in ("Door1", "P\u009b1", "D\x1b[31m", "x\u202e"):
            with self.subTest(ascii(asked)):
                done = self.run_it("expose", "ship.xml", asked)
                self.assertEqual(done.returncode, INPUT)
                self.assertEqual(len(done.stderr.splitlines()), 1)
                self.assert_harmless(done.stderr)


class Shape(Case):
    # Of the barge, who answers in no time; widths of the demo's longer names: test_terminal.py.
    COMMANDS = (("expose", "--all"), ("rank",), ("check",), ("float", "--flooded", "machinery"),
                ("survival",), ("due",), ("due", "--by-consequence", "--all"),
                ("round",), ("adjust",), ("hold", "--source", "hold-aft"), ("casualty", "--source", "hold-aft,machinery"),
                ("flood", "--breach", "machinery:0.1@1", "--until", "10min", "--every", "2min", "--condition", "working"),
                ("hold", "--source", "hold-aft", "--protect", "fore-peak,machinery",
                 "--condition", "towed"))

    @staticmethod
    def every_space(ship):
        return ",".join(re.findall('<space id="([^"]*)"', ship.read_text("utf-8")))

    def test_a_closure_without_consequence_is_not_called_harmless(self):
        # V1 floods Mid, where nobody is: by people it has no consequence, but it lets water in.
        self.ship(SMALL.replace("</arrangement>", '''<closure id="V1" kind="valve" between="mid sea"
            rating="watertight"><clear x="15" y="-3" z="0.2" width="0.1" height="0.1"
            lies="longitudinal"/></closure></arrangement>'''))
        text = self.good("rank", "--hazard", "water", "--measure", "people", *AS_OF, "ship.xml")
        self.assertRegex(text, r"(?s)[Ww]ithout loss by this measure.*V1")
        self.assertNotRegex(text, r"(?i)nothing|harmless|safe\b")
        self.assertIn("floods", self.good("expose", "--hazard", "water", *AS_OF, "ship.xml", "V1"))

    def test_an_empty_list_of_flooded_spaces_is_refused(self):
        # an empty shell variable must not read as a ship that nothing has happened to
        self.ship(SMALL)
        for empty in ("", ",", ",,"):
            self.one_line(USAGE, "float", *AS_OF, "--flooded", empty, "ship.xml", says=["--flooded"])

    def test_amounts_are_written_without_exponents(self):
        self.ship(SMALL.replace('x="10 20" y="-3 3"', 'x="10 20000" y="-3 300"'))
        for command in ("rank", "expose --all"):
            text = self.run_it(*command.split(), *AS_OF, "ship.xml").stdout.decode()
            self.assertNotRegex(text, r"[0-9]e[+-]?[0-9]")

    def on_a_terminal(self, *words, **environment):
        """What a run writes to standard output where that is a terminal."""
        ours, theirs = pty.openpty()
        surroundings = {"PATH": os.environ.get("PATH", ""), "TERM": "xterm", **environment}
        with subprocess.Popen([COAMING, *map(str, words)], stdin=subprocess.DEVNULL, stdout=theirs,
                              stderr=subprocess.PIPE, env=surroundings, cwd=self.folder) as running:
            os.close(theirs)
            pieces = []
            while True:
                try:
                    piece = os.read(ours, 65536)
                except OSError:  # the other end is closed
                    piece = b""
                if not piece:
                    break
                pieces.append(piece)
            errors = running.stderr.read()
        os.close(ours)
        self.assertEqual((running.returncode, errors), (self.status(words[0]), b""))
        return b"".join(pieces)

    def check_width(self, ship, cases):
        for case in cases:
            lines = self.good(*case, *(() if ship in case else (ship,)), *AS_OF).splitlines()
            with self.subTest(ship=ship, words=case[:6]):
                self.assertGreater(len(lines), 3)
                self.assertEqual([line for line in lines if len(line) > 80], [])

    def test_no_line_of_text_is_longer_than_80_columns(self):
        """Every way of asking on the barge, one of each of the long names of the demo."""
        self.write("barge.xml", BARGE.read_bytes())  # check writes the name that it was given
        cases = [(command, *more) for command in ("expose --all", "rank") for more in (
            (), ("--level", "full"), ("--level", "1.2", "--condition", "working"),
            ("--level", "still"), ("--hazard", "water", "--condition", "towed"),
            ("--hazard", "air"))]
        cases = [(*words[0].split(), *words[1:]) for words in cases]
        cases += [("rank", "--measure", measure) for measure in ("volume", "people", "spaces",
                                                                 "freeboard", "gm")]
        cases += [("survival", "--condition", "working"),
                  ("float", "--flooded", self.every_space(BARGE))]
        self.check_width("barge.xml", (*self.COMMANDS, *cases))

        self.write("demo.xml", DEMO.read_bytes())
        log = ("--log", DEMO_LOG)
        closures = re.findall('<closure id="([^"]*)"', DEMO.read_text("utf-8"))
        cases = [("check", *log), ("expose", "--all", "--level", "full", *log),
                 ("expose", "--hazard", "water", *log, "demo.xml", *closures[::9]),
                 ("rank", "--level", "still", *log), ("rank", "--hazard", "water", *log),
                 ("float", "--flooded", "engine,motor"), ("float", "--flooded", "thruster"),
                 ("float", "--flooded", self.every_space(DEMO)), ("due", "--by-consequence", *log),
                 ("round", "--inside", *log), ("adjust", *log, "demo.xml", *closures),
                 ("hold", "--source", "thruster", "--protect", "provisions,cold,sounder",
                  "--condition", "port"),
                 ("casualty", "--source", "thruster,engine", "--condition", "port", *log),
                 ("flood", "--breach", "thruster:0.2,engine:0.1", "--condition", "port", "--every", "20min", *log)]
        cases += [("history", *log, "demo.xml", closure) for closure in closures[::5]]
        self.check_width("demo.xml", cases)

    def test_piped_text_has_no_escape_and_ends_with_a_new_line(self):
        for command in self.COMMANDS:
            text = self.good(*command, *AS_OF, BARGE)
            self.assertNotIn("\033", text)
            self.assertTrue(text.endswith("\n"))

    def test_a_file_has_no_escape(self):
        self.good("rank", *AS_OF, "-o", "out", DEMO)
        self.assertNotIn(b"\033", (self.folder / "out").read_bytes())

    def test_a_terminal_gets_colour(self):
        for command in (("expose", "--all"), ("rank",)):
            self.assertIn(b"\033[", self.on_a_terminal(*command, *AS_OF, BARGE))

    def test_colour_is_all_that_a_terminal_gets_more(self):
        for command in self.COMMANDS:
            seen = self.on_a_terminal(*command, *AS_OF, BARGE).replace(b"\r\n", b"\n")
            plain = re.sub(rb"\033\[[0-9;]*m", b"", seen)
            self.assertEqual(plain.decode(), self.good(*command, *AS_OF, BARGE))

    def test_no_colour_where_it_is_not_wanted(self):
        for environment in ({"NO_COLOR": "1"}, {"TERM": "dumb"}):
            for command in self.COMMANDS:
                seen = self.on_a_terminal(*command, *AS_OF, BARGE, **environment)
                self.assertNotIn(b"\033", seen)
                self.assertGreater(len(seen), 100)

    def test_an_empty_no_color_does_not_count(self):
        self.assertIn(b"\033[", self.on_a_terminal("rank", *AS_OF, BARGE, NO_COLOR=""))

    def test_json_on_a_terminal_has_no_escape(self):
        seen = self.on_a_terminal("rank", "--format", "json", *AS_OF, BARGE)
        self.assertEqual(json.loads(seen)["format"], "coaming/rank/1")
        self.assertNotIn(b"\033", seen)

    def test_every_answer_for_people_says_what_it_does_not_tell(self):
        for command in (("expose", "--all"), ("rank",), ("expose", "--format", "json", "--all"),
                        ("rank", "--format", "json"), ("export",), *(
                            (command, "--format", form) for form in ("text", "json")
                            for command in ("due", "round", "adjust"))):
            self.assertIn("contact, not tightness",
                          " ".join(self.good(*command, *AS_OF, BARGE).split()))
        self.write("small.xml", SMALL)
        self.write("log.xml", log(tested("D1", "2019-01-31", "pass")))
        for form in ("text", "json"):
            for command in (("history", *AS_OF, "small.xml", "D1"),
                            ("record", "log.xml", "D1", "pass", "--date", "2020-01-31", "--again",
                             "--ship", "small.xml")):
                self.assertIn("contact, not tightness",
                              " ".join(self.good(*command, "--format", form).split()))
        for flooding in ("float",), ("float", "--flooded", self.every_space(BARGE)), ("survival",):
            for form in ("text", "json"):
                text = self.good(*flooding, "--format", form, *AS_OF, BARGE)
                text = " ".join(text.split())
                for words in ("no wind and no waves", "nothing shifting", "licensed practice"):
                    self.assertIn(words, text)


class Hold(Case):
    """What is most likely to hold: statuses, words and what is refused."""

    def test_a_space_that_no_line_can_keep_is_told_by_the_status(self):
        asked = ("--source", "machinery", *AS_OF, BARGE)
        self.good("hold", "--protect", "hold-fwd", *asked)
        done = self.run_it("hold", "--protect", "hold-fwd,machinery", *asked)
        self.assertEqual(done.returncode, FOUND)
        text = done.stdout.decode()
        self.assertIn("NO LINE can keep machinery dry: the water is in it.", text)
        self.assertIn("NO LINE can keep machinery clean: the smoke or bad air is in it.", text)
        self.assertIn("keep shut D2, Hold door, hold-aft to hold-fwd: holds 85.6 %", text)

    def test_what_is_not_shut_in_the_condition_must_be_shut(self):
        ship = self.ship(SMALL.replace(' shut-in="harbour"', ' shut-in=""', 1).replace(
            '<condition id="harbour" name="In harbour"/>',
            '<condition id="harbour" name="In harbour"/><condition id="sea" name="At sea"/>'))
        never = self.run_it("hold", "--source", "fore", "--protect", "mid", *AS_OF, ship)
        self.assertEqual(never.returncode, FOUND)
        self.assertIn(b"by D1 (never shut) to mid", never.stdout)
        ship = self.ship(SMALL.replace(
            '<condition id="harbour" name="In harbour"/>',
            '<condition id="harbour" name="In harbour"/><condition id="sea" name="At sea"/>'))
        for condition, words in (("sea", "    SHUT D1, fore to mid: holds "),
                                 ("harbour", "    keep shut D1, fore to mid: holds ")):
            self.assertIn(words, self.good("hold", "--source", "fore", "--protect", "mid", "--hazard",
                                           "air", "--condition", condition, *AS_OF, ship))

    def test_a_failed_test_and_none_cannot_be_trusted(self):
        failed = SMALL.replace('result="pass"', 'result="fail"')
        untested = SMALL.replace('<test date="2026-01-31" method="chalk" result="pass"/>', "")
        for text, words in ((failed, "CANNOT BE TRUSTED: FAILED 2026-01-31 by chalk"),
                            (untested, "CANNOT BE TRUSTED: untested")):
            found = " ".join(self.good("hold", "--source", "fore", "--protect", "mid", *AS_OF,
                                       self.ship(text)).split())
            self.assertIn(words, found)
            self.assertNotRegex(found, r"(?i)\bsafe\b|\b100 ?%|certain")

    def test_a_ship_without_a_way_is_not_called_clean(self):
        ship = self.ship(SMALL.replace('between="fore mid"', 'between="fore weather"'))
        done = self.run_it("hold", "--source", "fore", "--protect", "mid", "--hazard", "air", *AS_OF,
                           ship)
        self.assertEqual(done.returncode, DONE)
        text = done.stdout.decode()
        self.assertIn("No way is recorded", text)
        self.assertIn("Look for those that", text)
        wet = self.run_it("hold", "--source", "fore", "--protect", "mid", "--hazard", "water", "--level", "0.1", *AS_OF,
                          ship)
        self.assertEqual(wet.returncode, DONE)
        self.assertIn("at this level. Look for those that are not recorded. Others may come under water as more "
                      "floods.", " ".join(wet.stdout.decode().split()))

    def test_without_spaces_to_protect_none_need_be_vital(self):
        """The lines from near to far are of the source alone."""
        ship = self.ship()
        text = self.good("hold", "--source", "fore", *AS_OF, ship)
        self.assertIn("LINE TO HOLD (1 of 1): 1 closure, which holds with a chance of ", text)
        self.assertIn("keep shut D1, from mid against fore: holds ", text)
        self.assertNotIn("Weakest way", text)

    def test_misuse_is_told(self):
        self.ship()
        self.one_line(USAGE, "hold", "ship.xml", says=["--source"])
        self.one_line(USAGE, "hold", "--source", "fore", "--protect", ",", "ship.xml",
                      says=["--protect"])
        self.one_line(INPUT, "hold", "--source", "for", "--protect", "mid", "ship.xml",
                      says=["nearest is fore"])
        self.one_line(INPUT, "hold", "--source", "fore", "--protect", "mid,mud", "ship.xml",
                      says=["mid"])
        self.one_line(USAGE, "hold", "--source", "fore", "--protect", "mid", "--level",
                      "equilibrium", "ship.xml", says=["kg"])


if __name__ == "__main__":
    unittest.main()
