#!/usr/bin/python3
"""What is due on which day, what a closure has been through, and the calendar of it.

Random ships against the rules worked out anew: oracle_due.py, of which a few run here too. The
calendar is read by python3-icalendar, which has nothing in common with what writes it.

Needs Python 3.11 and python3-icalendar.
Environment: COAMING, the program; COAMING_ROOT, the source tree. The ships here are invented.
"""

import csv
import datetime
import io
import json
import os
import re
import subprocess
import unittest
from xml.sax.saxutils import quoteattr

import icalendar

import oracle_due
from harness import AS_OF, COAMING, DEMO, DEMO_LOG, DONE, INPUT, LOG_NS, SHIP_NS, USAGE, Case

FOUND = 1


def ship_of(*closures, name="Days", intervals=""):
    return (f'<arrangement xmlns="{SHIP_NS}" name={quoteattr(name)}>\n'
            f'<ship length="30" beam="6" depth="5" draft="2"/>{intervals}\n'
            '<space id="a" name="A"><box x="0 10" y="-3 3" z="0 5"/></space>\n'
            '<space id="b" name="B"><box x="10 20" y="-3 3" z="0 5"/></space>\n' +
            "".join(closures) + "</arrangement>\n")


def closure(id="H1", tests="", kind="hatch", rating="weathertight", name="Hatch", gasket=""):
    return (f'<closure id={quoteattr(id)} name={quoteattr(name, {chr(10): "&#10;"})} kind="{kind}" '
            f'between="a b" rating="{rating}"><clear x="10" y="0" z="0.5" width="0.8" height="1.6" '
            f'lies="transverse"/>{gasket}{tests}</closure>\n')


def chalked(*days, result="pass"):
    return "".join(f'<test date="{day}" method="chalk" result="{result}"/>' for day in days)


def log_of(*entries):
    head = f'<test-log xmlns="{LOG_NS}" arrangement="Days">\n'
    return head + "\n".join(entries) + "</test-log>\n"


class Dated(Case):
    def due(self, text, as_of="2026-11-10", *words, status=None):
        self.write("ship.xml", text)
        done = self.run_it("due", "--format", "json", "--as-of", as_of, "ship.xml", "--all", *words)
        told = json.loads(done.stdout)
        self.assertEqual(done.stderr, b"")
        self.assertEqual(done.returncode, FOUND if told["overdue"] else DONE)
        if status is not None:
            self.assertEqual(done.returncode, status)
        return told["tests"]

    def days(self, last, interval, as_of):
        """The due day of one hatch, and how late it is."""
        every = f'<interval kind="hatch" method="chalk" days="{interval}"/>'
        [row] = self.due(ship_of(closure(tests=chalked(last)), intervals=every), as_of)
        self.assertEqual((row["last"], row["days"]), (last, interval))
        return row["due"], row["late"], row["overdue"]


class Days(Dated):
    def test_leap_years_and_ends_of_years(self):
        # counted by hand on the calendar
        for last, interval, due in (
                ("2024-02-28", 1, "2024-02-29"), ("2024-02-28", 2, "2024-03-01"),
                ("2024-02-29", 365, "2025-02-28"), ("2024-02-29", 366, "2025-03-01"),
                ("2023-02-28", 1, "2023-03-01"), ("2000-02-28", 1, "2000-02-29"),
                ("1900-02-28", 1, "1900-03-01"), ("2025-12-31", 1, "2026-01-01"),
                ("2023-12-31", 366, "2024-12-31"), ("1999-12-31", 60, "2000-02-29")):
            self.assertEqual(self.days(last, interval, "2026-11-10")[0], due, (last, interval))

    def test_a_retest_is_owed_since_the_first_repair(self):
        """A gasket that the arrangement tells of, and other work after it or before."""
        ship = ship_of(closure(tests=chalked("2026-05-12"), gasket='<gasket fitted="2026-10-01"/>'))
        for repair, due in (("2026-10-15", "2026-10-01"), ("2026-09-15", "2026-09-15"), (None, "2026-10-01")):
            self.write("log.xml", log_of(f'<repair closure="H1" date="{repair}" action="dogs"/>' * bool(repair)))
            rows = self.due(ship, "2026-11-10", *(("--log", "log.xml") if repair else ()))
            self.assertEqual([r["due"] for r in rows if r["reason"] == "repaired"], [due])

    def test_the_years_to_come(self):
        for last, interval, due in (
                ("2100-02-28", 1, "2100-03-01"), ("2096-02-28", 1, "2096-02-29"),
                ("2099-12-31", 60, "2100-03-01"), ("2400-02-28", 1, "2400-02-29")):
            self.assertEqual(self.days(last, interval, "2400-12-31")[0], due, (last, interval))

    def test_due_on_the_day_is_not_overdue(self):
        self.assertEqual(self.days("2026-10-01", 30, "2026-10-30"), ("2026-10-31", -1, False))
        self.assertEqual(self.days("2026-10-01", 30, "2026-10-31"), ("2026-10-31", 0, False))
        self.assertEqual(self.days("2026-10-01", 30, "2026-11-01"), ("2026-10-31", 1, True))

    def test_status_1_exactly_if_something_is_overdue(self):
        text = ship_of(closure(tests=chalked("2026-10-01")))
        self.due(text, "2027-04-01", status=DONE)
        self.due(text, "2027-04-02", status=FOUND)
        self.due(ship_of(closure()), status=FOUND)
        self.due(ship_of(closure(rating="nontight")), status=DONE)
        self.due(ship_of(), status=DONE)

    def test_within_keeps_what_falls_due_on_its_last_day(self):
        self.write("ship.xml", ship_of(closure(tests=chalked("2026-10-01"))))  # due 2027-04-01
        for as_of, within, rows in (("2027-03-30", "1", 0), ("2027-03-30", "2", 1),
                                    ("2027-04-01", "0", 1), ("2027-03-01", None, 0),
                                    ("2027-03-02", None, 1)):
            words = ("--within", within) if within else ()
            told = json.loads(self.run_it("due", "ship.xml", "--as-of", as_of, "--format", "json",
                                          *words).stdout)
            self.assertEqual(len(told["tests"]), rows, (as_of, within))

    def test_a_retest_is_due_from_the_day_of_the_failure_and_of_the_repair(self):
        failed = ship_of(closure(tests=chalked("2026-10-01", result="fail")))
        [row] = self.due(failed)
        self.assertEqual((row["reason"], row["due"], row["days"], row["late"]),
                         ("failed", "2026-10-01", None, 40))
        self.write("log.xml", log_of('<repair closure="H1" date="2026-10-05" action="dogs"/>'))
        [row] = self.due(failed, "2026-11-10", "--log", "log.xml")
        self.assertEqual((row["reason"], row["due"]), ("repaired", "2026-10-05"))

    def test_the_retest_of_what_was_never_tested_goes_by_its_kind(self):
        for kind, intervals, method in (
                ("valve", "", "visual"), ("manhole", "", "chalk"),
                ("valve", '<interval kind="valve" method="air" days="400"/>', "air"),
                ("hatch", '<interval kind="hatch" method="visual" days="9"/>'
                          '<interval kind="hatch" method="hose" days="400"/>', "hose")):
            self.write("log.xml", log_of('<repair closure="H1" date="2026-10-05" action="dogs"/>'))
            text = ship_of(closure(), intervals=intervals).replace('kind="hatch" between',
                                                                   f'kind="{kind}" between')
            rows = self.due(text, "2026-11-10", "--log", "log.xml")
            self.assertEqual([row["method"] for row in rows if row["reason"] == "repaired"], [method])

    def test_which_tests_count_for_which_interval(self):
        """As the page says: any for a look; any but a look for an assumed chalk test; else its own."""
        methods = ("chalk", "hose", "air", "ultrasonic", "light", "smoke", "visual")
        for interval in (*methods, None):
            every = f'<interval kind="hatch" method="{interval}" days="30"/>' if interval else ""
            for method in methods:
                test = f'<test date="2026-11-01" method="{method}" result="pass"/>'
                [row] = self.due(ship_of(closure(tests=test), intervals=every))
                counts = method != "visual" if not interval else interval in ("visual", method)
                self.assertEqual((row["method"], row["last"]),
                                 (interval or "chalk", "2026-11-01" if counts else None))

    def test_an_entry_taken_back_does_not_count(self):
        self.write("log.xml", log_of(
            '<test closure="H1" date="2026-10-05" method="chalk" result="fail"/>',
            '<undo closure="H1" date="2026-10-06" of="test" of-date="2026-10-05"/>'))
        [row] = self.due(ship_of(closure(tests=chalked("2026-10-01"))), "2026-11-10", "--log",
                         "log.xml")
        self.assertEqual((row["reason"], row["last"]), ("interval", "2026-10-01"))

    def test_on_a_day_before_it_was_taken_back_the_entry_still_stood(self):
        """--as-of is what was known on that day."""
        self.write("log.xml", log_of(
            '<test closure="H1" date="2026-10-05" method="chalk" result="fail"/>',
            '<undo closure="H1" date="2026-10-20" of="test" of-date="2026-10-05"/>'))
        [row] = self.due(ship_of(closure(tests=chalked("2026-10-01"))), "2026-10-10", "--log",
                         "log.xml")
        self.assertEqual((row["reason"], row["last"]), ("failed", "2026-10-05"))

    def test_a_second_repair_does_not_put_off_the_retest(self):
        """It is due from the day of the first, until it is tested."""
        self.write("log.xml", log_of('<repair closure="H1" date="2026-10-05" action="hinge"/>',
                                     '<repair closure="H1" date="2026-11-09" action="dogs"/>'))
        [row] = self.due(ship_of(closure(tests=chalked("2026-10-01"))), "2026-11-10", "--log",
                         "log.xml")
        self.assertEqual((row["reason"], row["due"]), ("repaired", "2026-10-05"))

    def test_wrong_usage(self):
        self.write("ship.xml", ship_of(closure()))
        for words in (("--within", "-1"), ("--within", "x"), ("--within", "1.5"), ("H1",),
                      ("--as-of", "2025-02-29"), ("--format", "xml")):
            self.one_line(USAGE, "due", "ship.xml", *words)

    def test_intervals_that_are_wrong(self):
        for text, says in (('kind="hatch" method="chalk" days="0"', "days"),
                           ('kind="hatch" method="chalk" days="-7"', "days"),
                           ('kind="hatch" method="chalk" days="1.5"', "days"),
                           ('kind="lid" method="chalk" days="7"', "lid"),
                           ('kind="hatch" method="feel" days="7"', "feel"),
                           ('kind="hatch" method="chalk"', "days"),
                           ('kind="hatch" method="chalk" days="7" minutes="-1"', "minutes")):
            self.write("ship.xml", ship_of(closure(), intervals=f"<interval {text}/>"))
            done = self.run_it("due", *AS_OF, "ship.xml")
            self.assertEqual(done.returncode, INPUT, text)
            self.assertIn(says, done.stderr.decode())

    def test_random_ships(self):
        comparison = oracle_due.compare(COAMING, 6, 4000)
        self.assertGreater(comparison.rows, 100)
        self.assertGreater(comparison.histories, 10)


class Zones(Dated):
    """The day that is meant where none is said is the local day."""
    ZONES = ("<+14>-14", "<-12>12", "Pacific/Kiritimati", "Pacific/Pago_Pago", "UTC0",
             "<+1245>-12:45", "Asia/Kathmandu")

    def in_zone(self, zone, *words):
        environment = {"PATH": os.environ.get("PATH", ""), "LC_ALL": "C.UTF-8", "TZ": zone}
        return subprocess.run(words, env=environment, capture_output=True, text=True, timeout=600,
                              cwd=self.folder, check=False)

    def today(self, zone):
        return self.in_zone(zone, "/usr/bin/python3", "-c",
                            "import datetime; print(datetime.date.today())").stdout.strip()

    def test_the_day_of_due_and_record_is_the_local_day(self):
        seen = set()
        for zone in self.ZONES:
            before = self.today(zone)
            self.write("ship.xml", ship_of(closure()))
            told = self.in_zone(zone, COAMING, "due", "ship.xml", "--format", "json")
            recorded = self.in_zone(zone, COAMING, "record", "log.xml", "H1", "pass", "--ship",
                                    "ship.xml", "--format", "json")
            (self.folder / "log.xml").unlink()
            after = self.today(zone)
            self.assertEqual(recorded.returncode, DONE, recorded.stderr)
            self.assertIn(json.loads(told.stdout)["as_of"], (before, after), zone)
            self.assertIn(json.loads(recorded.stdout)["recorded"][0]["date"], (before, after), zone)
            seen.add(before)
        self.assertGreater(len(seen), 1, "on these zones it is never the same day everywhere")

    def test_tomorrow_is_still_to_come_by_the_local_day(self):
        self.write("ship.xml", ship_of(closure()))
        east = self.today("<+14>-14")
        words = ("record", "log.xml", "H1", "pass", "--ship", "ship.xml", "--date", east)
        if east != self.today("<-12>12"):
            self.assertEqual(self.in_zone("<-12>12", COAMING, *words).returncode, INPUT)
        self.assertEqual(self.in_zone("<+14>-14", COAMING, *words).returncode, DONE)


class Consequence(Case):
    def test_the_order_is_that_of_what_a_failure_would_cost(self):
        for measure in ("worth", "people"):
            words = (*AS_OF, DEMO, "--log", DEMO_LOG, "--measure", measure, "--format", "json")
            ranked = json.loads(self.run_it("rank", *words).stdout)
            cost = {row["closure"]: row["consequence"] for row in ranked["closures"]}
            plain = json.loads(self.run_it("due", "--all", *AS_OF, DEMO, "--log", DEMO_LOG, "--format", "json").stdout)
            rows = plain["tests"]
            ship = {"as_of": datetime.date(2026, 11, 10)}
            told = json.loads(self.run_it("due", "--all", "--by-consequence", *words).stdout)
            oracle_due.same(told["tests"], oracle_due.weighed(ship, rows, cost), measure)
            # by what they are weighed is told, and of what is not weighed nothing
            self.assertEqual((told["measure"], told["level"]), (measure, ranked["level"]))
            self.assertEqual((plain["measure"], plain["level"]), (None, None))


class Calendar(Case):
    """RFC 5545, by an independent reader."""
    AS_OF = datetime.date(2026, 11, 10)

    def calendar(self, *words):
        done = self.run_it("due", *AS_OF, *words, "--all", "--format", "ical")
        self.assertIn(done.returncode, (DONE, FOUND))
        self.assertEqual(done.stderr, b"")
        self.lines(done.stdout)
        return icalendar.Calendar.from_ical(done.stdout)

    def lines(self, content):
        """Ends of lines, lengths in octets, and no character cut in two."""
        self.assertTrue(content.endswith(b"END:VCALENDAR\r\n"))
        self.assertEqual(content.count(b"\n"), content.count(b"\r\n"))
        self.assertEqual(content.count(b"\r"), content.count(b"\r\n"))
        for line in content.split(b"\r\n"):
            self.assertLessEqual(len(line), 75, line)
            line.decode("utf-8")

    def rows(self, *words):
        done = self.run_it("due", *AS_OF, *words, "--all", "--format", "json")
        return json.loads(done.stdout)["tests"]

    def check_events(self, *words):
        calendar, rows = self.calendar(*words), self.rows(*words)
        self.assertEqual(calendar["VERSION"], "2.0")
        self.assertTrue(calendar["PRODID"])
        events = calendar.walk("VEVENT")
        self.assertEqual(len(events), len(rows))
        self.assertEqual(len({str(event["UID"]) for event in events}), len(events))
        for event, row in zip(events, rows):
            due = self.AS_OF if row["overdue"] else datetime.date.fromisoformat(row["due"])
            self.assertIs(type(event["DTSTART"].dt), datetime.date)
            self.assertEqual(event["DTSTART"].params.get("VALUE"), "DATE")
            self.assertEqual(event["DTSTART"].dt, due)
            self.assertEqual(event["DTEND"].params.get("VALUE"), "DATE")
            self.assertEqual(event["DTEND"].dt, due + datetime.timedelta(1))
            self.assertIsInstance(event["DTSTAMP"].dt, datetime.datetime)
            self.assertEqual(event["DTSTAMP"].dt.utcoffset(), datetime.timedelta(0))
        return events, rows

    def test_the_demo(self):
        events, rows = self.check_events(DEMO, "--log", DEMO_LOG)
        self.assertGreater(len(events), 100)
        with_names = list(csv.DictReader(io.StringIO(self.run_it(
            "due", *AS_OF, DEMO, "--log", DEMO_LOG, "--all", "--format", "csv").stdout.decode())))
        for event, row, named in zip(events, rows, with_names):
            start = f"{row['method'].capitalize()} test: {row['closure']} {named['name']}"
            self.assertTrue(str(event["SUMMARY"]).startswith(start), (event["SUMMARY"], start))

    def test_the_same_question_gives_the_same_bytes_and_a_test_keeps_its_name(self):
        words = (DEMO, "--log", DEMO_LOG, "--format", "ical", "--all")
        one, two = (self.run_it("due", *AS_OF, *words).stdout for _ in range(2))
        self.assertEqual(one, two)
        later = self.run_it("due", "--as-of", "2026-12-24", *words).stdout
        names = [{str(e["UID"]) for e in icalendar.Calendar.from_ical(text).walk("VEVENT")}
                 for text in (one, later)]
        self.assertEqual(*names)

    def summary_of(self, name, tests=chalked("2026-11-01")):
        self.write("ship.xml", ship_of(closure(name=name, tests=tests), name=name))
        events, _ = self.check_events("ship.xml")
        self.assertEqual(len(events), 1)
        content = self.run_it("due", *AS_OF, "ship.xml", "--all", "--format", "ical").stdout
        summary = self.summary_by_the_letter(content.decode("utf-8"))
        if "\\" not in name:  # the reader takes back what stands for a backslash in the wrong order
            self.assertEqual(str(events[0]["SUMMARY"]), summary)
        return summary

    @staticmethod
    def summary_by_the_letter(content):
        """RFC 5545, 3.1 (unfolding) and 3.3.11 (what a backslash stands before)."""
        [value] = re.findall(r"^SUMMARY:(.*?)\r$", re.sub("\r\n[ \t]", "", content), re.M)
        return re.sub(r"\\(.)", lambda m: "\n" if m[1] in "nN" else m[1], value)

    def test_what_falls_due_after_the_year_3000_has_its_day(self):
        """libical takes no time after that year for one; the days are counted by hand."""
        every = '<interval kind="hatch" method="chalk" days="36525"/>'
        self.write("ship.xml", ship_of(closure(tests=chalked("2990-01-01")), intervals=every))
        text = self.run_it("due", "ship.xml", "--as-of", "2990-01-02", "--all", "--format",
                           "ical").stdout
        # to 3090-01-01 are 100 years with 24 leap days (3000 has none): 36524 days
        self.assertIn(b"DTSTART;VALUE=DATE:30900102\r\nDTEND;VALUE=DATE:30900103\r\n", text)

    def test_names_come_back_as_they_were_meant(self):
        for name in ("Door, forward; port", "back\\slash \\n \\, \\;", 'quoted "x" \'y\'',
                     "a:b=c;d", "漢字" * 20, "😀" * 30, "é" * 99, "שלום עולם, דלת; ימין",
                     "مرحبا", "e\u0301 " * 19 + "e", "BEGIN:VEVENT", "x" * 100, "%s%n%d"):
            self.assertEqual(self.summary_of(name), f"Chalk test: H1 {name}")

    def test_lines_of_every_length_are_folded_well(self):
        for letter in "x", "é", "漢":
            names = [letter * n for n in range(1, 100 // (1 + (letter == "漢")))]
            self.write("ship.xml", ship_of(*(closure(id=f"C{n}", name=name, tests=chalked(
                "2026-11-01")) for n, name in enumerate(names))))
            events, _ = self.check_events("ship.xml")
            for n, (event, name) in enumerate(zip(events, names)):
                self.assertEqual(str(event["SUMMARY"]), f"Chalk test: C{n} {name}")

    def test_names_of_tests_of_every_length_are_folded_well(self):
        self.write("ship.xml", ship_of(*(closure(id="x" * n) for n in range(1, 160))))
        self.check_events("ship.xml")

    def test_a_very_long_name_is_cut_between_characters(self):
        for name in ("word " * 39 + "end", "漢字😀é" * 50):
            summary = self.summary_of(name).removeprefix("Chalk test: H1 ").rstrip("~….")
            self.assertGreater(len(summary), 40)
            self.assertTrue(name.startswith(summary.rstrip()), summary)

    def test_ends_of_lines_in_a_name_make_no_line_of_their_own(self):
        summary = self.summary_of("Door\nEND:VEVENT\nBEGIN:VEVENT")
        self.assertTrue(summary.startswith("Chalk test: H1 Door"), summary)
        self.assertNotIn("\n", summary)

    def test_marks_that_turn_the_direction_of_writing_do_not_get_through(self):
        self.assertNotIn("\u202e", self.summary_of("abc\u202edef"))

    def test_names_of_tests_are_unique_however_ids_are_written(self):
        ids = ["D 1".replace(" ", "-"), "D.1", "D_1", "D@1", "D.2d1", "Ð1", "d1", "D1"]
        ids += ["x" * 300, "x" * 299 + "y", "漢" * 180, "漢" * 179 + "字"]
        self.write("ship.xml", ship_of(*(closure(id=i, kind="sidescuttle", rating="watertight")
                                         for i in ids)))
        events, rows = self.check_events("ship.xml")
        self.assertEqual(len(events), 2 * len(ids))
        self.assertEqual([row["closure"] for row in rows], [i for i in ids for _ in range(2)])

    def test_nothing_due_is_a_calendar_too(self):
        self.write("ship.xml", ship_of(closure(rating="nontight")))
        events, _ = self.check_events("ship.xml")
        self.assertEqual(events, [])


class History(Dated):
    def history(self, text, *entries, id="H1", as_of="2026-11-10"):
        self.write("ship.xml", text)
        self.write("log.xml", log_of(*entries))
        return json.loads(self.good("history", "ship.xml", id, "--log", "log.xml", "--as-of", as_of,
                                    "--format", "json"))

    @staticmethod
    def entry(date, result, length=0):
        gap = f'<gap at="1" length="{length}"/>' if length else ""
        return f'<test closure="H1" date="{date}" method="chalk" result="{result}">{gap}</test>'

    def test_failures_and_the_time_between_them(self):
        told = self.history(ship_of(closure(tests=chalked("2024-01-01"))),
                            self.entry("2024-02-01", "fail"), self.entry("2024-02-02", "fail"),
                            self.entry("2024-02-03", "pass"), self.entry("2024-03-01", "fail"),
                            self.entry("2024-03-02", "pass"), self.entry("2024-06-01", "fail"))
        # found on 1 February, 1 March (29 days later) and 1 June (92 days later)
        self.assertEqual((told["tests"], told["failures"]), (7, 3))
        self.assertEqual(told["days_between_failures"], (29 + 92) / 2)
        self.assertEqual([e["failure"] for e in told["events"]],
                         [False, True, False, False, True, False, True])

    def test_the_trend_of_a_straight_line(self):
        # 4.8 m round; gaps of 0.12 m more every 365 days: 2.5 points each, in a year of 365.25 days
        told = self.history(ship_of(closure()), self.entry("2021-01-01", "pass"),
                            self.entry("2022-01-01", "fail", 0.12),
                            self.entry("2023-01-01", "fail", 0.24))
        self.assertEqual((told["prints"], told["since"]), (3, "2021-01-01"))
        self.assertAlmostEqual(told["trend_per_year"], -0.025 * 365.25 / 365, 12)

    def test_prints_of_one_day_have_no_trend(self):
        told = self.history(ship_of(closure()), *(self.entry("2022-01-01", "fail", gap) for gap in (0.12, 0.24, 0.36)))
        self.assertEqual((told["prints"], told["since"], told["trend_per_year"]), (3, "2022-01-01", None))

    def test_of_an_opening_of_unknown_size_no_share_is_told(self):
        sizeless = re.sub(r"<clear[^>]*/>", "", closure())
        self.write("ship.xml", ship_of(sizeless))
        self.write("log.xml", log_of(self.entry("2022-01-01", "fail", 0.12)))
        told = json.loads(self.run_it("history", "ship.xml", "H1", "--log", "log.xml", *AS_OF, "--format",
                                      "json").stdout)
        self.assertEqual([(e["result"], e["printed"]) for e in told["events"]], [("fail", None)])

    def test_what_was_taken_back_under_an_earlier_day_is_not_told_before_its_own(self):
        entries = [self.entry("2024-05-01", "fail"),
                   '<undo closure="H1" date="2024-01-02" of="test" of-date="2024-05-01"/>']
        for as_of, told in (("2024-03-01", []), ("2024-06-01", ["2024-01-02"])):
            found = self.history(ship_of(closure()), *entries, as_of=as_of)
            self.assertEqual([e["undone"] for e in found["events"]], told, as_of)

    def test_a_new_gasket_begins_a_new_trend(self):
        told = self.history(ship_of(closure()), self.entry("2021-01-01", "fail", 1.2),
                            self.entry("2022-01-01", "fail", 1.2),
                            '<repair closure="H1" date="2022-02-01" action="gasket"/>',
                            self.entry("2022-03-01", "pass"), self.entry("2022-06-01", "pass"))
        self.assertEqual((told["prints"], told["since"], told["trend_per_year"]),
                         (2, "2022-03-01", None))

    def test_what_was_taken_back_is_shown_and_not_counted(self):
        told = self.history(ship_of(closure()), self.entry("2024-01-01", "fail"),
                            '<undo closure="H1" date="2024-01-02" of="test" of-date="2024-01-01"/>',
                            self.entry("2024-02-01", "fail"))
        self.assertEqual((told["tests"], told["failures"], told["days_between_failures"]),
                         (1, 1, None))
        self.assertEqual([(e["undone"], e["failure"]) for e in told["events"]],
                         [("2024-01-02", False), (None, True)])
        text = self.good("history", "ship.xml", "H1", "--log", "log.xml", *AS_OF)
        self.assertIn("2024-01-02", text)
        self.assertIn("1 test, 0 repairs, 1 failure found", text)

    def test_a_closure_without_a_history(self):
        told = self.history(ship_of(closure()))
        self.assertEqual((told["events"], told["tests"], told["trend_per_year"]), ([], 0, None))

    def test_notes_are_told_in_full(self):
        note = 'line, with "quotes"; and a comma'
        told = self.history(ship_of(closure()), f'<repair closure="H1" date="2024-01-01" '
                            f'action="dogs" by="AB" note={quoteattr(note)}/>')
        self.assertEqual((told["events"][0]["by"], told["events"][0]["note"]), ("AB", note))
        rows = list(csv.DictReader(io.StringIO(self.good(
            "history", "ship.xml", "H1", "--log", "log.xml", *AS_OF, "--format", "csv"))))
        self.assertEqual((rows[0]["by"], rows[0]["note"]), ("AB", note))

    def test_unknown_closures_and_too_many(self):
        self.write("ship.xml", ship_of(closure()))
        self.one_line(INPUT, "history", *AS_OF, "ship.xml", "H2", says=["H2", "H1"])
        self.one_line(USAGE, "history", *AS_OF, "ship.xml")
        self.one_line(USAGE, "history", *AS_OF, "ship.xml", "H1", "H1")


class Unproved(Dated):
    """What stands untested, and will for ever by the intervals that there are."""

    def unproved(self, intervals="", tests=""):
        self.write("ship.xml", ship_of(
            closure("V1", tests, kind="valve", rating="watertight"),
            closure("V2", kind="valve", rating="nontight"), closure("H1"), intervals=intervals))
        document = self.run_it("due", "ship.xml", "--format", "json", *AS_OF)
        text = self.run_it("due", "ship.xml", *AS_OF).stdout.decode()
        found = json.loads(document.stdout)["unproved"]
        self.assertEqual("no interval asks for a test that would prove" in " ".join(text.split()),
                         bool(found), text)
        return found

    def test_a_valve_that_is_only_looked_at(self):
        look = '<test date="2026-11-01" method="visual" result="pass"/>'
        self.assertEqual(self.unproved(), ["V1"])
        self.assertEqual(self.unproved(tests=look), ["V1"])
        self.assertEqual(self.unproved(tests=look.replace("visual", "hose")), [])

    def test_an_interval_may_ask(self):
        self.assertEqual(self.unproved('<interval kind="valve" method="hose" days="365"/>'), [])
        self.assertEqual(self.unproved('<interval kind="valve" method="visual" days="7"/>'), ["V1"])


class Dangers(Case):
    """A round on a box of 30 x 6 m: a room to which a hatch leads down, a void forward of it with a
    sea valve in it, and openings in her side."""
    SHIP = (f'<arrangement xmlns="{SHIP_NS}" name="Days">\n'
            '<ship length="30" beam="6" depth="5" draft="2"/>\n'
            '<space id="room" name="Room"><box x="0 10" y="-3 3" z="0 5"/></space>\n'
            '<space id="wet" name="Wet void" use="void"><box x="10 20" y="-3 3" z="0 5"/></space>\n'
            '<closure id="V" kind="valve" between="wet sea" rating="watertight">'
            '<clear x="15" y="3" z="1" width="0.1" height="0.1" lies="longitudinal"/></closure>\n'
            '<closure id="M" kind="manhole" between="wet room" rating="watertight">'
            '<clear x="10" y="0" z="1" width="0.5" height="0.6" lies="transverse"/></closure>\n'
            '<closure id="S" kind="scuttle" between="wet room" rating="watertight">'
            '<clear x="10" y="2" z="1" width="0.6" height="0.6" lies="transverse"/></closure>\n'
            '<closure id="W" kind="sidescuttle" between="weather room" rating="watertight">'
            '<clear x="5" y="3" z="4" width="0.3" height="0.3" lies="longitudinal"/></closure>\n'
            '<closure id="B" kind="cover" between="room weather" rating="watertight">'
            '<clear x="5" y="-3" z="4" width="0.5" height="0.5" lies="longitudinal"/>'
            '<from side="weather"/></closure>\n'
            '<closure id="K" kind="cover" between="room sea" rating="watertight">'
            '<clear x="7" y="-3" z="1" width="0.5" height="0.5" lies="longitudinal"/>'
            '<from side="sea"/></closure>\n'
            '<closure id="H" kind="hatch" between="room weather" rating="weathertight">'
            '<clear x="2" y="0" z="5" width="1" height="1" lies="deck"/></closure>\n'
            '</arrangement>\n')

    def test_enclosed_spaces_come_last_and_that_is_said(self):
        self.write("ship.xml", self.SHIP)
        told = self.document("round", "ship.xml")
        stops = {s["closure"]: s for s in told["stops"]}
        self.assertEqual([s["closure"] for s in told["stops"]][-1], "V")
        self.assertEqual({i: s["from"] for i, s in stops.items()},
                         {"H": "weather", "M": "room", "S": "room", "W": "room", "V": "wet"})
        self.assertEqual({i: s["enclosed"] for i, s in stops.items()},
                         {"H": [], "M": [], "S": [], "W": [], "V": ["wet"]})
        self.assertEqual(told["parts"]["permits"], ["wet"])
        self.assertIs(told["parts"]["gas_meter"], True)
        text = " ".join(self.good("round", *AS_OF, "ship.xml").split())
        self.assertIn("a gas meter and the permit for the enclosed space that is entered last: "
                      "Wet void.", text)
        self.assertIn("in Wet void. Enclosed: Wet void. Test the air and get a permit before going "
                      "in. Test: visual", text)
        self.assertEqual(text.count("Enclosed:"), 1)
        # without the valve nobody goes in, and nothing is said of it
        text = self.good("round", *AS_OF, "ship.xml", "M", "S", "W")
        self.assertNotIn("nclosed", text)
        self.assertNotIn("gas meter", text)

    def test_what_is_got_at_from_outside_only_is_marked(self):
        self.write("ship.xml", self.SHIP)
        told = self.document("round", "ship.xml")
        self.assertEqual([(o["closure"], o["from"]) for o in told["outside"]],
                         [("B", "weather"), ("K", "sea")])
        self.assertEqual(told["unreached"], [])
        text = " ".join(self.good("round", *AS_OF, "ship.xml").split())
        self.assertIn("B B Not on the walk; from outside: boat or stage.", text)
        self.assertIn("K K Not on the walk; from outside, under water: diver or dock.", text)
        rows = list(csv.DictReader(io.StringIO(
            self.good("round", *AS_OF, "ship.xml", "--format", "csv"))))
        self.assertEqual({(r["closure"], r["from"]) for r in rows if not r["stop"]},
                         {("B", "weather"), ("K", "sea")})
        self.assertEqual({r["closure"] for r in rows if r["enclosed"] == "wet"}, {"V"})

    def test_the_sheet_with_them_is_read_back(self):
        self.write("ship.xml", self.SHIP)
        rows = list(csv.DictReader(io.StringIO(
            self.good("round", *AS_OF, "ship.xml", "--format", "csv"))))
        for r in rows:
            r.update(result="pass", date="2026-11-10", by="AB")
        out = io.StringIO()
        sheet = csv.DictWriter(out, rows[0])
        sheet.writeheader()
        sheet.writerows(rows)
        self.write("sheet.csv", out.getvalue())
        done = self.run_it("record", "log.xml", "--sheet", "sheet.csv", "--ship", "ship.xml")
        self.assertEqual(done.returncode, DONE, done.stderr.decode())
        told = self.document("export", "ship.xml", "--log", "log.xml")
        self.assertTrue(all(c["events"] for c in told["closures"]))

    def test_a_walk_does_not_start_where_nobody_is_to_be(self):
        self.write("ship.xml", self.SHIP)
        self.one_line(USAGE, "round", *AS_OF, "ship.xml", "--start=wet", says=["'wet'", "enclosed"])
        self.write("ship.xml", self.SHIP.replace('use="void"', 'walkable="no"'))
        self.one_line(USAGE, "round", *AS_OF, "ship.xml", "--start=wet", says=["nobody walks"])
        told = self.document("round", "ship.xml")
        self.assertIn("V", [o["closure"] for o in told["outside"]])


if __name__ == "__main__":
    unittest.main()
