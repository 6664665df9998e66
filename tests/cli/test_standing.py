#!/usr/bin/python3
"""How closures stand and how likely they leak, by every command.

Histories at random against standing.py and leaking.py, which work out the rules anew; a door that
failed its chalk test and was looked at afterwards, in every answer; what looking alone proves; what
a failed retest says; gaskets of unknown age.

Needs Python 3.11, its standard library only.
Environment: COAMING, the program; COAMING_ROOT, the source tree. The ships here are invented.
"""

import csv
import datetime
import io
import json
import math
import random
import unittest

import leaking
import standing
from harness import AS_OF, SHIP_NS, Case, log

KINDS = tuple(leaking.AGEING)
DAY = datetime.timedelta(1)
TODAY = datetime.date(2026, 11, 10)

# A door between two spaces under water, and one more that nothing is said of.
SHIP = f"""<arrangement xmlns="{SHIP_NS}" name="Looked at">
<ship length="30" beam="6" depth="5" draft="2"/>{{given}}
<space id="a" name="A" worth="3" people="2" shell="yes"><box x="0 10" y="-3 3" z="0 5"/></space>
<space id="b" name="B" worth="2" shell="yes"><box x="10 20" y="-3 3" z="0 5"/></space>
<closure id="D1" name="Door" kind="door" between="a b" rating="watertight" hours="2">\
<clear x="10" y="0" z="0.5" width="1" height="2" lies="transverse"/>{{door}}</closure>
</arrangement>
"""
CHALK = '<test closure="D1" date="2026-03-09" method="chalk" result="fail">' \
        '<gap at="1.4" length="0.2"/></test>'
LOOK = '<test closure="D1" date="2026-03-10" method="visual" result="pass"/>'
FAILED = {"result": "fail", "result_date": "2026-03-09", "result_method": "chalk",
          "looked_at": "2026-03-10"}
SAID = "FAILED 2026-03-09 by chalk; looked at 2026-03-10"


def test(date, method, result):
    return f'<test closure="D1" date="{date}" method="{method}" result="{result}"/>'


def repair(date, action):
    return f'<repair closure="D1" date="{date}" action="{action}"/>'


class Small(Case):
    def make(self, *entries, door="", given=""):
        self.write("ship.xml", SHIP.format(door=door, given=given))
        self.write("log.xml", log(*entries, ship="Looked at"))

    def json(self, command, *words, as_of=str(TODAY), status=0):
        done = self.run_it(command, "ship.xml", "--log", "log.xml", "--as-of", as_of, *words)
        self.assertEqual(done.returncode, status, done.stderr)
        return json.loads(done.stdout)

    def text(self, command, *words, status=0):
        done = self.run_it(command, "ship.xml", "--log", "log.xml", *AS_OF, *words)
        self.assertEqual(done.returncode, status, done.stderr)
        return " ".join(done.stdout.decode().split())

    def leaks(self, as_of=str(TODAY)):
        [row] = self.json("rank", "--format", "json", as_of=as_of)["closures"]
        return row["leak_probability"]


class LookedAt(Small):
    """Failed by chalk, with the place of the gap, and looked at a day later."""

    def setUp(self):
        super().setUp()
        self.make(CHALK, LOOK)

    def has(self, row, expected):
        self.assertEqual({key: row[key] for key in expected}, expected)

    def test_every_document_says_so(self):
        documents = {
            ("expose", "D1"): ("results", 0), ("rank",): ("closures", 0),
            ("hold", "--source", "a", "--protect", "b", "--hazard", "water"): (None, 0),
            ("adjust",): ("closures", 0), ("due",): ("tests", 1), ("round", "--start", "a"): ("stops", 0),
            ("export",): ("closures", 0), ("plan", "--hours", "4"): ("repairs", 0)}
        for (command, *words), (rows, status) in documents.items():
            with self.subTest(command=command):
                told = self.json(command, *words, "--format", "json", status=status)
                row = told[rows][0] if rows else told["answers"][0]["lines"][0]["closures"][0]
                self.has(row, FAILED)
                if "tested" in row:
                    self.assertEqual(row["tested"], FAILED["result_date"])
        self.has(self.json("history", "D1", "--format", "json"), FAILED)
        self.has(self.json("rank", "--explain", "D1", "--format", "json"), FAILED)
        self.assertEqual(self.json("check", "--format", "json")["closures"],
                         {"pass": 0, "fail": 1, "untested": 0})

    def test_every_text_says_so(self):
        for words in (("expose", "D1"), ("adjust",), ("round", "--start", "a"), ("history", "D1"),
                      ("hold", "--source", "a", "--protect", "b", "--hazard", "water")):
            with self.subTest(command=words[0]):
                self.assertIn(SAID, self.text(*words))
        told = self.text("rank")
        self.assertIn("FAILED 2026-03-09", told)
        self.assertIn("by chalk; looked at 2026-03-10", told)
        self.assertIn("0 pass, 1 fail, 0 untested", self.text("check"))

    def test_what_is_to_be_adjusted_goes_by_the_print(self):
        [row] = self.json("adjust", "--format", "json")["closures"]
        self.assertEqual([(g["at"], g["length"]) for g in row["gaps"]], [(1.4, 0.2)])
        self.assertEqual(row["advice"], "dogs")

    def test_the_retest_stays_due(self):
        rows = self.json("due", "--all", "--format", "json", status=1)["tests"]
        self.assertEqual([(r["method"], r["reason"], r["due"]) for r in rows],
                         [("chalk", "failed", "2026-03-09"), ("visual", "interval", "2026-03-17")])

    def test_water_and_air_pass(self):
        for hazard in ("water", "air"):
            row = self.json("expose", "D1", "--hazard", hazard, "--level", "still", "--format", "json")
            self.assertEqual([r["exposed"] for r in row["results"]], [["b"], ["a"]])
        self.make(CHALK, LOOK, test("2026-03-11", "chalk", "pass"))
        self.has(self.json("rank", "--format", "json")["closures"][0],
                 {"result": "pass", "result_date": "2026-03-11", "looked_at": "2026-03-10"})

    def test_a_repair_after_it_waits_for_a_test_through_any_looks(self):
        self.make(CHALK, repair("2026-03-10", "dogs"), LOOK)
        self.has(self.json("adjust", "--format", "json")["closures"][0], FAILED | {"advice": "retest"})
        [row] = [r for r in self.json("due", "--format", "json", status=1)["tests"] if r["method"] == "chalk"]
        self.assertEqual((row["reason"], row["due"]), ("repaired", "2026-03-10"))

    def test_a_drawing_and_a_table_and_the_report(self):
        self.assertIn(SAID, self.text("draw"))
        self.assertIn(SAID, self.text("report"))
        rows = list(csv.DictReader(io.StringIO(self.run_it(
            "export", "ship.xml", "--log", "log.xml", *AS_OF, "--format", "csv", "--table",
            "closures").stdout.decode())))
        self.assertEqual((rows[0]["last-test-date"], rows[0]["last-test-result"])
                         if "last-test-date" in rows[0] else
                         (rows[0]["test-date"], rows[0]["test-result"]), ("2026-03-09", "fail"))

    def test_what_is_recorded_is_answered_so(self):
        """The sheet of a round has the look before the chalk test; and a look recorded alone after a
        failed test answers what stands."""
        self.make()
        sheet = self.run_it("round", "ship.xml", "--start", "a", *AS_OF, "--format", "csv").stdout.decode()
        rows = list(csv.DictReader(io.StringIO(sheet)))
        self.assertEqual([r["method"] for r in rows], ["visual", "chalk"])
        self.make(CHALK)
        told = json.loads(self.good("record", "log.xml", "D1", "pass", "visual", "--ship", "ship.xml",
                                    "--date", "2026-03-10", "--format", "json"))
        self.has(told["closures"][0], FAILED)


class GasketSince(Small):
    """A gasket that the arrangement says was fitted after the last test: it was never tried."""
    DOOR = '<gasket fitted="2021-03-01"/><dogs count="6"/>'

    def stands(self, door, *entries):
        self.make(*entries, door=door)
        text = " ".join(self.good("expose", "ship.xml", "--log", "log.xml", "D1", *AS_OF).split())
        reading = self.json("adjust", "--format", "json", "D1")["closures"][0]
        due = [row["due"] for row in self.json("due", "--all", "--format", "json", status=1)["tests"]
               if row["reason"] == "repaired"]
        return "repaired 2021-03-01 (gasket), not tested since" in text, reading["advice"], due

    def test_a_pass_of_the_gasket_before_asks_for_a_retest(self):
        passed = test("2020-05-01", "chalk", "pass")
        self.assertEqual(self.stands(self.DOOR, passed), (True, "retest", ["2021-03-01"]))
        self.assertEqual(self.stands("", passed), (False, "none", []))

    def test_a_print_of_the_gasket_before_is_not_adjusted_by(self):
        failed = CHALK.replace("2026-03-09", "2020-05-01")
        self.assertEqual(self.stands(self.DOOR, failed), (True, "retest", ["2021-03-01"]))
        self.assertEqual(self.stands("", failed)[:2], (False, "dogs"))

    def test_one_that_was_tested_since_is_tried(self):
        passed = test("2021-03-01", "chalk", "pass")
        self.assertEqual(self.stands(self.DOOR, passed), (False, "none", []))

    def test_a_later_repair_is_the_one_that_is_told(self):
        self.make(test("2020-05-01", "chalk", "pass"), repair("2022-01-01", "dogs"),
                  door=self.DOOR)
        text = " ".join(self.good("expose", "ship.xml", "--log", "log.xml", "D1", *AS_OF).split())
        self.assertIn("repaired 2022-01-01 (dogs), not tested since", text)

    def test_before_it_was_fitted_nothing_is_said_of_it(self):
        self.make(test("2020-05-01", "chalk", "pass"), door=self.DOOR)
        self.assertEqual(self.json("adjust", "--format", "json", "D1", as_of="2020-12-31")["closures"][0]["advice"],
                         "none")


class LooksAlone(Small):
    def test_it_is_untested(self):
        self.make(LOOK)
        row = self.json("rank", "--format", "json")["closures"][0]
        self.assertEqual({k: row[k] for k in FAILED},
                         {"result": "untested", "result_date": None, "result_method": None,
                          "looked_at": "2026-03-10"})
        self.assertIn("untested; looked at 2026-03-10", self.text("expose", "D1"))
        self.assertIn("Looked at, which proves nothing: test it.", self.text("adjust", "D1"))
        told = self.json("expose", "D1", "--hazard", "air", "--format", "json")["results"]
        self.assertEqual([r["exposed"] for r in told], [["b"], ["a"]])

    def test_the_arrangement_may_say_that_it_proves(self):
        self.make(LOOK, given='<method name="visual" sensitivity="0.4" specificity="0.98" proves="yes"/>')
        self.assertEqual(self.json("rank", "--format", "json")["closures"][0]["result"], "pass")

    def test_proves_is_yes_or_no(self):
        self.make(given='<method name="visual" sensitivity="0.4" specificity="0.98" proves="maybe"/>')
        self.fault_in("ship.xml:2", "rank", "ship.xml", *AS_OF, says=("proves", "maybe"))


class Repairs(Small):
    RETEST = (test("2026-03-09", "chalk", "fail"), repair("2026-03-09", "dogs"),
              test("2026-03-09", "chalk", "fail"))

    def test_fail_dogs_fail(self):
        """Not 0 %: by hand, 0.1 of Se p / (Se p + (1 - Sp)(1 - p)) is left, and fails again."""
        self.make(*self.RETEST, door='<gasket fitted="2022-01-01"/>')
        p = 1 - math.exp(-(1528 / 365.25 / 8) ** 1.5)  # 2022-01-01 to 2026-03-09
        for step in ("fail", "dogs", "fail"):
            p = p * 0.1 if step == "dogs" else 0.8 * p / (0.8 * p + 0.05 * (1 - p))
        self.assertAlmostEqual(self.leaks("2026-03-09"), p, places=12)
        self.assertGreater(p, 0.5)
        told = self.text("hold", "--source", "a", "--protect", "b", "--hazard", "water")
        self.assertIn("CANNOT BE TRUSTED: FAILED", told)
        self.assertNotIn("over 99.9", told)
        [row] = self.json("plan", "--hours", "4", "--format", "json")["repairs"]
        self.assertEqual(row["closure"], "D1")

    def test_explain_shows_the_chance(self):
        self.make(*self.RETEST, given='<repairing action="dogs" success="0.75"/>')
        steps = self.json("rank", "--explain", "D1", "--format", "json")["steps"]
        [made] = [s for s in steps if s["step"] == "repair"]
        self.assertEqual((made["success"], made["after"]), (0.75, 0.25 * made["before"]))
        self.assertIn("repaired (dogs), which works with 75 %:",
                      self.text("rank", "--explain", "D1"))

    def test_what_success_may_be(self):
        for success in ("1", "1.5", "-0.1", "often", "nan"):
            with self.subTest(success=success):
                self.make(given=f'<repairing action="dogs" success="{success}"/>')
                self.fault_in("ship.xml:2", "rank", "ship.xml", *AS_OF, says=("success",))
        self.make(given='<repairing action="dogs" success="0"/><repairing action="dogs" success="0"/>')
        self.fault_in("ship.xml:2", "rank", "ship.xml", *AS_OF, says=("second",))
        self.make(given='<repairing action="paint" success="0.5"/>')
        self.fault_in("ship.xml:2", "rank", "ship.xml", *AS_OF, says=("paint",))

    def test_before_the_date_of_the_gasket_it_is_another_one(self):
        """A new gasket on 1 November; on 30 October the door had failed, its gasket of unknown age:
        half of 8 years."""
        self.make(test("2026-10-28", "chalk", "fail"), door='<gasket fitted="2026-11-01"/>')
        p = 1 - math.exp(-((4 - 2 / 365.25) / 8) ** 1.5)
        p = 0.8 * p / (0.8 * p + 0.05 * (1 - p))
        p += (1 - p) * (1 - math.exp(((4 - 2 / 365.25) / 8) ** 1.5 - 0.5 ** 1.5))
        self.assertAlmostEqual(self.leaks("2026-10-30"), p, places=12)
        self.assertGreater(p, 0.8)
        told = self.json("rank", "--explain", "D1", "--format", "json", as_of="2026-10-30")
        self.assertEqual((told["age_assumed"], told["supposed_age"]), (True, 4))
        self.assertGreater(self.leaks("2026-11-01"), 0.04)  # 0.05 of it: a failure that still stands


class Ages(Small):
    """What the dates of gaskets would change, against the same ship with those dates."""

    KNOWN = "".join(f'<closure id="K{i}" kind="door" between="b weather" rating="watertight" hours="1">'
                    f'<gasket fitted="{TODAY - DAY * days}"/></closure>'
                    for i, days in enumerate((400, 1000, 1900)))

    def made(self, days, known):
        gasket = "" if days is None else f'<gasket fitted="{TODAY - DAY * days}"/>'
        self.make(test("2026-10-01", "chalk", "pass"), door=gasket)
        text = (self.folder / "ship.xml").read_text()
        self.write("ship.xml", text.replace("</arrangement>", known + "</arrangement>"))

    def expected(self):
        return self.json("rank", "--format", "json", "--level", "still", "--risk", "exact")["expected_loss"]

    def test_a_date_changes_what_it_says(self):
        for known, ages in ((self.KNOWN, (400, 1900)), ("", (40, 2922))):
            self.made(None, known)  # 2026-10-01 is 40 days before: at least as old as that
            plan = self.json("plan", "--hours", "4", "--level", "still", "--format", "json")
            self.assertEqual(plan["ages_assumed"], 1)
            [date] = plan["dates"]
            self.assertEqual(date["closure"], "D1")
            for key, days in zip(("youngest", "oldest"), ages):
                if known:
                    self.assertAlmostEqual(date[key], days / 365.25, places=9)
                self.made(days, known)
                self.assertEqual(self.json("check", "--format", "json")["ages_assumed"], 0)
                self.assertAlmostEqual(date[f"expected_{key}"], self.expected(), places=9)
                self.assertAlmostEqual(date[f"leaks_{key}"], self.json(
                    "rank", "--explain", "D1", "--format", "json")["steps"][-1]["after"], places=9)

    def test_check_and_plan_say_of_how_many(self):
        self.made(None, self.KNOWN)
        self.assertIn("age of the gasket not known of 1 closure,", self.text("check"))
        self.assertIn("Of 1 closure the age of the gasket is not known and is assumed. Dates that would "
                      "change most", self.text("plan", "--hours", "4"))
        self.made(400, self.KNOWN)
        self.assertNotIn("age of the gasket", self.text("check") + self.text("plan", "--hours", "4"))


class Histories(Small):
    """Closures of all kinds with histories at random."""

    lengths = (0, 1, 2, 4, 8)

    def entry(self, dice, last):
        date = last + DAY * dice.choice((0, 0, 1, 30, 200))
        if dice.random() < 0.35:
            return {"kind": "repair", "date": date, "action": dice.choice(tuple(leaking.SUCCESS))}
        return {"kind": "test", "date": date, "method": dice.choice(tuple(standing.METHODS)),
                "result": dice.choice(("pass", "fail"))}

    def closure(self, dice):
        kind, events = dice.choice(KINDS), []
        last = datetime.date(2020, 1, 1) + DAY * dice.randrange(2000)
        fitted = last - DAY * dice.choice((0, 100, 9000)) if dice.random() < 0.2 else None
        for _ in range(dice.choice(self.lengths)):
            events.append(self.entry(dice, last))
            last = min(events[-1]["date"], TODAY)
            events[-1]["date"] = last
        gasket = None
        if dice.random() < 0.5:
            gasket = dice.choice([e["date"] for e in events] or [last]) if dice.random() < 0.3 else \
                datetime.date(2018, 1, 1) + DAY * dice.randrange(3200)
        gasket = max(gasket, fitted) if gasket and fitted else gasket
        return {"kind": kind, "fitted": fitted, "gasket": gasket, "events": events}

    @staticmethod
    def inside(closure):
        text = f'<gasket fitted="{closure["gasket"]}"/>' if closure["gasket"] else ""
        return text

    def ship(self, dice, count):
        """The closures, and what the arrangement says of methods, repairs and ageing."""
        methods = standing.METHODS | {m: (dice.choice((0.5, 0.8, 1.0)), dice.choice((0.9, 1.0)),
                                          dice.random() < 0.5)
                                      for m in standing.METHODS if dice.random() < 0.3}
        success = leaking.SUCCESS | {a: dice.choice((0.3, 0.99))
                                     for a in leaking.SUCCESS if dice.random() < 0.3}
        ageing = {k: (dice.choice((3, 12)), dice.choice((1, 2))) for k in KINDS if dice.random() < 0.3}
        closures = [self.closure(dice) for _ in range(count)]
        rows = [f'<method name="{m}" sensitivity="{q[0]}" specificity="{q[1]}" proves='
                f'"{"yes" if q[2] else "no"}"/>' for m, q in methods.items() if q != standing.METHODS[m]]
        rows += [f'<repairing action="{a}" success="{s}"/>' for a, s in success.items()
                 if s != leaking.SUCCESS[a]]
        rows += [f'<ageing kind="{k}" eta-years="{e}" beta="{b}"/>' for k, (e, b) in ageing.items()]
        for i, c in enumerate(closures):
            fitted = f' fitted="{c["fitted"]}"' if c["fitted"] else ""
            rows.append(f'<closure id="C{i}" kind="{c["kind"]}" between="a b" rating="watertight"'
                        f'{fitted}>{self.inside(c)}</closure>')
        text = SHIP.format(door="", given="").replace("<closure", "\n".join(rows) + "\n<!-- <closure") \
            .replace("</closure>\n</arr", "</closure> -->\n</arr")
        self.write("ship.xml", text)
        words = {"test": 'method="{method}" result="{result}"', "repair": 'action="{action}"'}
        self.write("log.xml", log(*(
            f'<{e["kind"]} closure="C{i}" date="{e["date"]}" {words[e["kind"]].format(**e)}/>'
            for i, c in enumerate(closures) for e in c["events"]), ship="Looked at"))
        return closures, {"methods": methods, "success": success, "ageing": ageing}

    def compare(self, seed, count):
        dice = random.Random(seed)
        closures, given = self.ship(dice, count)
        counts = {"pass": 0, "fail": 0, "untested": 0}
        for as_of in (TODAY, TODAY - DAY * dice.randrange(2500)):
            known = [c | {"events": [e for e in c["events"] if e["date"] <= as_of]} for c in closures]
            rows = {r["closure"]: r for r in self.json(
                "rank", "--format", "json", "--level", "still",
                as_of=str(as_of))["closures"]}
            for i, c in enumerate(known):
                row, where = rows[f"C{i}"], f"seed {seed} C{i} as of {as_of}"
                tests = [e for e in c["events"] if e["kind"] == "test"]
                told = standing.stands(tests, given["methods"])
                self.assertEqual({k: row[k] for k in told}, told, where)
                p, failed = leaking.leaks(c, known, as_of, **given)
                self.assertTrue(math.isclose(row["leak_probability"], p, rel_tol=1e-9, abs_tol=1e-12),
                                f"{where}: {row['leak_probability']} instead of {p}")
                for before, after in failed:
                    self.assertTrue(after > before or before == 1, where)
                counts[row["result"]] += 1
        return counts, closures

    def test_random_histories(self):
        for seed in range(4):
            counts, _ = self.compare(seed, 120)
            self.assertGreater(min(counts.values()), 10)

    def test_a_failed_retest_raises_it_in_every_history(self):
        """Step by step as the program tells it, for closures repaired and failed again."""
        retests, self.lengths = 0, (8, 12)
        for seed in (100, 101):
            _, closures = self.compare(seed, 20)
            for i in range(len(closures)):
                steps = self.json("rank", "--explain", f"C{i}", "--format", "json",
                                  "--level", "still")["steps"]
                repaired = False
                for step in steps:
                    if step["step"] == "repair":
                        repaired = True
                    if step["step"] == "test":
                        if repaired and step["result"] == "fail":
                            self.assertGreater(step["after"], step["before"], f"seed {seed} C{i}")
                            retests += 1
                        repaired = False
        self.assertGreater(retests, 25)


if __name__ == "__main__":
    unittest.main()
