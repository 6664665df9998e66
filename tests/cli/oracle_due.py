#!/usr/bin/python3
"""What is due and the history of every closure of random ships, worked out anew and compared.

The rules are those of include/coaming/due.h and history.h; how closures stand: standing.py. Ships, arrangements' tests and one or
two logs with repairs and entries taken back are random; prints are whole millimetres, so that a
share is counted exactly. Prints what it compared.

Needs Python 3.11, its standard library only. Usage: oracle_due.py --coaming PROGRAM [--ships N]
"""

import argparse
import csv
import datetime
import io
import json
import math
import random
import subprocess
import sys
import tempfile
from pathlib import Path

import standing

KINDS = ("door", "hatch", "scuttle", "manhole", "ventilator", "valve", "sidescuttle", "cover")
RATINGS = ("watertight", "weathertight", "airtight", "nontight")
METHODS = ("chalk", "hose", "air", "ultrasonic", "light", "smoke", "visual")
ACTIONS = ("dogs", "gasket", "knife-edge", "hinge", "replaced")
# Minutes that are assumed where the arrangement gives none.
MINUTES = dict(zip(METHODS, (15, 30, 30, 10, 10, 30, 2)))
# As-of days at which calendars go wrong, beside random ones.
DAYS = ("2024-02-29", "2024-03-01", "2023-03-01", "2000-02-29", "2000-03-01", "2025-12-31",
        "2026-01-01", "2001-01-01", "1999-12-31", "2024-12-31", "2020-02-28")
DAY = datetime.timedelta(1)


# Making a ship.

def make_gaps(dice, run):
    """Gaps (at, length) in millimetres that do not go past the end of the run."""
    gaps = []
    for _ in range(dice.choice((0, 1, 1, 2, 4))):
        at = dice.randrange(run - 10)
        gaps.append((at, dice.randint(1, min(run - at, run // 4))))
    return gaps


def make_event(dice, closure, as_of, later):
    date = as_of - DAY * dice.choice((0, 1, 7, 91, 182, 365, dice.randrange(1200)))
    if later and dice.random() < 0.05:
        date = as_of + DAY * dice.randint(1, 60)
    event = {"closure": closure, "date": date, "undone": None}
    if dice.random() < 0.3 and later:
        return event | {"kind": "repair", "action": dice.choice(ACTIONS), "gaps": []}
    result = dice.choice(("pass", "pass", "fail"))
    gaps = make_gaps(dice, closure["run"]) if result == "fail" else []
    return event | {"kind": "test", "method": dice.choice(METHODS), "result": result, "gaps": gaps}


def take_back(log, closure, kind, date):
    """The latest entry of the log that stands and is of this closure, sort and date."""
    for entry in reversed(log):
        if entry["kind"] == kind and entry["closure"] is closure and entry["date"] == date \
                and not entry["undone"]:
            return entry
    return None


def make_log(dice, closures, as_of):
    log = []
    for _ in range(dice.choice((0, 5, 30, 60))):
        kept = [e for e in log if e["kind"] != "undo" and not e["undone"]]
        if kept and dice.random() < 0.2:
            like = dice.choice(kept)
            found = take_back(log, like["closure"], like["kind"], like["date"])
            found["undone"] = as_of - DAY * dice.randrange(30)
            log.append({"kind": "undo", "closure": like["closure"], "date": found["undone"],
                        "of": like["kind"], "of-date": like["date"], "undone": None})
        else:
            log.append(make_event(dice, dice.choice(closures), as_of, True))
    return log


def make_ship(dice):
    as_of = datetime.date.fromisoformat(dice.choice(DAYS)) if dice.random() < 0.5 else \
        datetime.date(1998, 1, 1) + DAY * dice.randrange(10_000)
    closures = []
    for i in range(dice.choice((1, 2, 4, 10))):
        width, height = 10 * dice.randint(40, 120), 10 * dice.randint(50, 200)
        closures.append({"id": f"C{i}", "kind": dice.choice(KINDS), "rating": dice.choice(RATINGS),
                         "width": width, "height": height, "run": 2 * (width + height),
                         "fitted": dice.choice((None, as_of - DAY * dice.randrange(900)))})
    intervals = []
    for kind in KINDS:
        if dice.random() < 0.3:
            for method in dice.sample(METHODS, dice.randint(1, 3)):
                intervals.append({"kind": kind, "method": method,
                                  "days": dice.choice((1, 7, 30, 182, 365, dice.randint(1, 900))),
                                  "minutes": dice.choice((None, 0, 12.5, 45))})
    own = [make_event(dice, closure, as_of, False) for closure in closures
           for _ in range(dice.choice((0, 0, 1, 2)))]
    logs = [make_log(dice, closures, as_of) for _ in range(dice.randint(0, 2))]
    methods = standing.METHODS | {
        method: (dice.choice((0.2, 0.5, 0.8, 0.9, 1.0)), 0.9, dice.random() < 0.6)
        for method in METHODS if dice.random() < 0.2}
    return {"as_of": as_of, "closures": closures, "intervals": intervals, "own": own, "logs": logs,
            "methods": methods}


# Writing it.

def gaps_text(event):
    return "".join(f'<gap at="{at / 1000}" length="{length / 1000}"/>'
                   for at, length in event["gaps"])


def event_text(event, name=True):
    head = f'closure="{event["closure"]["id"]}" ' if name else ""
    head += f'date="{event["date"]}"'
    if event["kind"] == "undo":
        return f'<undo {head} of="{event["of"]}" of-date="{event["of-date"]}"/>\n'
    if event["kind"] == "repair":
        return f'<repair {head} action="{event["action"]}"/>\n'
    return (f'<test {head} method="{event["method"]}" result="{event["result"]}">'
            f'{gaps_text(event)}</test>\n')


def closure_text(closure, tests):
    fitted = f'<gasket fitted="{closure["fitted"]}"/>' if closure["fitted"] else ""
    return (f'<closure id="{closure["id"]}" kind="{closure["kind"]}" between="a b" '
            f'rating="{closure["rating"]}"><clear x="10" y="0" z="0.5" '
            f'width="{closure["width"] / 1000}" height="{closure["height"] / 1000}" '
            f'lies="transverse"/>{fitted}{tests}</closure>\n')


def interval_text(interval):
    minutes = "" if interval["minutes"] is None else f' minutes="{interval["minutes"]}"'
    return (f'<interval kind="{interval["kind"]}" method="{interval["method"]}" '
            f'days="{interval["days"]}"{minutes}/>\n')


def method_text(item):
    """Nothing for what is as assumed."""
    method, (sensitivity, specificity, proves) = item
    if standing.METHODS[method] == item[1]:
        return ""
    return (f'<method name="{method}" sensitivity="{sensitivity}" specificity="{specificity}" '
            f'proves="{"yes" if proves else "no"}"/>\n')


def write_ship(ship, folder):
    """The words that name the files."""
    text = ('<arrangement xmlns="urn:coaming:arrangement:1" name="Random">\n'
            '<ship length="30" beam="6" depth="5" draft="2"/>\n')
    text += "".join(map(method_text, ship["methods"].items()))
    text += "".join(map(interval_text, ship["intervals"]))
    text += ('<space id="a" name="A" worth="3"><box x="0 10" y="-3 3" z="0 5"/></space>\n'
             '<space id="b" name="B" worth="2"><box x="10 20" y="-3 3" z="0 5"/></space>\n')
    for closure in ship["closures"]:
        tests = "".join(event_text(e, False) for e in ship["own"] if e["closure"] is closure)
        text += closure_text(closure, tests)
    (folder / "ship.xml").write_text(text + "</arrangement>\n")
    words = [str(folder / "ship.xml"), "--as-of", str(ship["as_of"])]
    for i, log in enumerate(ship["logs"]):
        (folder / f"log{i}.xml").write_text(
            '<test-log xmlns="urn:coaming:test-log:1" arrangement="Random">\n' +
            "".join(map(event_text, log)) + "</test-log>\n")
        words += ["--log", str(folder / f"log{i}.xml")]
    return words


# Working it out.

def events_of(ship, closure, undone=False):
    """Tests and repairs of a closure up to the as-of day, by date and then as they were entered;
    what bears a later date was not known then, taken back or not."""
    entered = ship["own"] + [e for log in ship["logs"] for e in log]
    mine = [e for e in entered if e["closure"] is closure and e["kind"] != "undo"]
    return sorted((e for e in mine if e["date"] <= ship["as_of"] and (undone or not e["undone"])),
                  key=lambda e: e["date"])


def rules_of(ship, closure):
    """(method, days, basis, minutes or None), in the order of the answer."""
    given = [(v["method"], v["days"], "arrangement", v["minutes"]) for v in ship["intervals"]
             if v["kind"] == closure["kind"]]
    if given:
        return given
    rules, kind = [], closure["kind"]
    if closure["rating"] == "watertight" and kind in ("door", "sidescuttle", "valve"):
        rules.append(("visual", 7, "SOLAS II-1/21", None))
    if kind in ("door", "hatch", "scuttle", "sidescuttle"):
        rules.append(("chalk", 182, "assumption", None))
    elif kind in ("manhole", "cover"):
        rules.append(("chalk", 365, "assumption", None))
    elif not rules:
        rules.append(("visual", 91, "assumption", None))
    return rules


def counts(rule, method):
    return rule[0] in ("visual", method) or \
        (rule[2] == "assumption" and rule[0] == "chalk" and method != "visual")


def row(ship, closure, rule, reason, last, due):
    method, days, basis, minutes = rule
    return {"closure": closure["id"], "method": method, "reason": reason, "basis": basis,
            "days": days, "last": last and str(last), "due": due and str(due),
            "overdue": due is None or due < ship["as_of"],
            "late": None if due is None else (ship["as_of"] - due).days,
            "minutes": MINUTES[method] if minutes is None else minutes,
            "minutes_assumed": minutes is None, "consequence": None, "urgency": None}


def known_since(ship, closure):
    """The day of the gasket that is there on the as-of day, as the arrangement has it."""
    fitted = closure["fitted"]
    return fitted if fitted and fitted <= ship["as_of"] else None


def rows_of(ship, closure):
    if closure["rating"] == "nontight":
        return []
    rules, events, rows = rules_of(ship, closure), events_of(ship, closure), []
    tests = [e for e in events if e["kind"] == "test"]
    last = standing.decided(tests, ship["methods"]) or (tests[-1] if tests else None)
    since, retest = standing.untried(events, ship["methods"], known_since(ship, closure)), None
    if since or standing.failures_that_stand(tests, ship["methods"]):
        proving = [rule for rule in rules if ship["methods"][rule[0]][2]]
        usual = min(proving, key=lambda rule: rule[1]) if proving else rules[0]
        retest = last["method"] if last else usual[0]
        minutes = next((r[3] for r in rules if r[0] == retest), None)
        rows.append(row(ship, closure, (retest, None, "retest", minutes),
                        "repaired" if since else "failed", last and last["date"],
                        (since[0] if since else last)["date"]))
    for rule in rules:
        if rule[0] == retest:
            continue
        by = [t["date"] for t in tests if counts(rule, t["method"])]
        if by:
            rows.append(row(ship, closure, rule, "interval", by[-1], by[-1] + DAY * rule[1]))
        else:
            rows.append(row(ship, closure, rule, "never", None, None))
    return rows


def all_rows(ship):
    rows = [r for closure in ship["closures"]
            for r in sorted(rows_of(ship, closure), key=lambda r: r["method"])]
    return sorted(rows, key=lambda r: r["due"] or "")


def within(ship, rows, days):
    return [r for r in rows if r["overdue"] or -r["late"] <= days]


def weighed(ship, rows, consequence):
    """With what a failure costs, in the order of --by-consequence."""
    found = []
    for r in rows:
        cost, gone_by = consequence[r["closure"]], 2.0
        if r["reason"] == "interval":
            gone_by = (ship["as_of"] - datetime.date.fromisoformat(r["last"])).days / r["days"]
        found.append(r | {"consequence": cost, "urgency": cost * gone_by})
    return sorted(found, key=lambda r: (not r["overdue"], -r["urgency"], r["due"] or ""))


def share(closure, event):
    """Printed share of the run; None: not known."""
    if event["kind"] != "test" or not (event["gaps"] or (event["method"], event["result"]) ==
                                       ("chalk", "pass")):
        return None
    bare = {at + k for at, length in event["gaps"] for k in range(length)}
    return 1 - len(bare) / closure["run"]


def failures(ship, events):
    """The tests that found one: failed where no failure stood."""
    tests = [e for e in events if e["kind"] == "test" and not e["undone"]]
    return [t for i, t in enumerate(tests) if t["result"] == "fail" and
            not standing.failures_that_stand(tests[:i], ship["methods"])]


def prints_since_gasket(closure, events):
    prints = []
    for event in events:
        if event["undone"]:
            continue
        if event["kind"] == "repair" and event["action"] in ("gasket", "replaced"):
            prints = []
        if closure["fitted"] and event["date"] < closure["fitted"]:
            continue
        if share(closure, event) is not None:
            prints.append((event["date"], share(closure, event)))
    return prints


def slope(prints):
    """Change a year of 365.25 days by least squares; None: fewer than three, or all on one day."""
    days = [(date - prints[0][0]).days for date, _ in prints]
    if len(prints) < 3 or len(set(days)) < 2:
        return None
    mean_day, mean = sum(days) / len(days), sum(y for _, y in prints) / len(prints)
    up = math.fsum((d - mean_day) * (y - mean) for d, (_, y) in zip(days, prints))
    return 365.25 * up / math.fsum((d - mean_day) ** 2 for d in days)


def history(ship, closure):
    events = events_of(ship, closure, True)
    kept = [e for e in events if not e["undone"]]
    found, prints = failures(ship, events), prints_since_gasket(closure, events)
    between = (found[-1]["date"] - found[0]["date"]).days / (len(found) - 1) \
        if len(found) > 1 else None
    rows = [{"event": e["kind"], "date": str(e["date"]), "method": e.get("method"),
             "result": e.get("result"), "action": e.get("action"), "gaps": len(e["gaps"]),
             "printed": share(closure, e), "failure": any(e is f for f in found),
             "undone": e["undone"] and str(e["undone"]), "by": None, "note": None} for e in events]
    return {"closure": closure["id"],
            "gasket_fitted": closure["fitted"] and str(closure["fitted"]),
            "tests": sum(e["kind"] == "test" for e in kept),
            "repairs": sum(e["kind"] == "repair" for e in kept), "failures": len(found),
            "days_between_failures": between, "trend_per_year": slope(prints),
            "prints": len(prints), "since": str(prints[0][0]) if prints else None, "events": rows}


# Comparing.

class Differs(Exception):
    pass


def same(found, expected, where):
    """Equal all the way down; numbers that are not whole to nine places."""
    if isinstance(expected, dict):
        for key in expected:
            same(found[key], expected[key], f"{where}.{key}")
    elif isinstance(expected, list):
        if len(found) != len(expected):
            raise Differs(f"{where}: {len(found)} instead of {len(expected)}")
        for i, (one, other) in enumerate(zip(found, expected)):
            same(one, other, f"{where}[{i}]")
    elif isinstance(expected, float) and isinstance(found, (int, float)):
        if not math.isclose(found, expected, rel_tol=1e-9, abs_tol=1e-9):
            raise Differs(f"{where}: {found!r} instead of {expected!r}")
    elif found != expected or isinstance(found, bool) != isinstance(expected, bool):
        raise Differs(f"{where}: {found!r} instead of {expected!r}")


class Comparison:
    def __init__(self, program):
        self.program = program
        self.rows = self.overdue = self.quiet = self.histories = self.events = self.trends = 0

    def run(self, command, *words, status=0):
        done = subprocess.run([self.program, command, *words], capture_output=True, text=True,
                              timeout=600, check=False)
        if done.returncode != status:
            raise Differs(f"{command}: status {done.returncode} instead of {status}: {done.stderr}")
        return done.stdout

    def due(self, ship, words, expected, *more):
        status = int(any(r["overdue"] for r in expected))
        document = json.loads(self.run("due", "--format", "json", *more, *words, status=status))
        same(document["tests"], expected, " ".join(("due", *more)))
        same(document["overdue"], sum(r["overdue"] for r in expected), "overdue")
        self.rows += len(expected)
        self.overdue += status
        self.quiet += not status

    def due_csv(self, words, expected):
        told = list(csv.DictReader(io.StringIO(
            self.run("due", "--all", "--format", "csv", *words,
                     status=int(any(r["overdue"] for r in expected))))))
        same([(r["closure"], r["method"], r["reason"], r["last"], r["due"], r["overdue"])
              for r in told],
             [(r["closure"], r["method"], r["reason"], r["last"] or "", r["due"] or "",
               "yes" if r["overdue"] else "no") for r in expected], "due as CSV")

    def history(self, ship, words, closure):
        expected = history(ship, closure)
        document = json.loads(self.run("history", "--format", "json", *words, closure["id"]))
        same(document, expected, f"history {closure['id']}")
        told = list(csv.DictReader(io.StringIO(
            self.run("history", "--format", "csv", *words, closure["id"]))))
        same([self.csv_event(r) for r in told],
             [self.csv_event({k: "" if v is None else v for k, v in r.items()})
              for r in document["events"]], f"history {closure['id']} as CSV")
        self.histories += 1
        self.events += len(expected["events"])
        self.trends += expected["trend_per_year"] is not None

    @staticmethod
    def csv_event(r):
        truth = {True: "yes", False: "no"}
        return [r["event"], r["date"], r["method"], r["result"], r["action"], int(r["gaps"]),
                r["printed"] if r["printed"] == "" else float(r["printed"]),
                truth.get(r["failure"], r["failure"]), r["undone"]]

    def ship(self, dice, folder):
        ship = make_ship(dice)
        words = write_ship(ship, folder)
        rows = all_rows(ship)
        self.due(ship, words, rows, "--all")
        self.due_csv(words, rows)
        days = dice.choice((0, 1, 7, 200))
        self.due(ship, words, within(ship, rows, days), "--within", str(days))
        self.due(ship, words, within(ship, rows, 30))
        ranked = json.loads(self.run("rank", "--format", "json", *words))["closures"]
        cost = {r["closure"]: r["consequence"] for r in ranked}
        self.due(ship, words, weighed(ship, rows, cost), "--all", "--by-consequence")
        for closure in dice.sample(ship["closures"], min(3, len(ship["closures"]))):
            self.history(ship, words, closure)


def compare(program, ships, seed):
    comparison = Comparison(program)
    with tempfile.TemporaryDirectory(prefix="coaming-due-") as folder:
        for i in range(ships):
            try:
                comparison.ship(random.Random(seed + i), Path(folder))
            except Differs as difference:
                raise Differs(f"seed {seed + i}: {difference}") from None
    return comparison


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--coaming", required=True)
    parser.add_argument("--ships", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    try:
        c = compare(asked.coaming, asked.ships, asked.seed)
    except Differs as difference:
        sys.exit(f"oracle_due: {difference}")
    print(f"{asked.ships} ships: {c.rows} rows of what is due in {c.overdue} answers with and "
          f"{c.quiet} without something overdue, {c.histories} histories of {c.events} events, "
          f"{c.trends} with a trend: all as worked out anew")
    if not (c.quiet and c.trends and c.overdue):
        sys.exit("oracle_due: a kind of answer was not met")


if __name__ == "__main__":
    main()
