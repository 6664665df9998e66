#!/usr/bin/python3
"""How likely closures leak, what that costs, parts of a sampling and plans, from the outside.

Likelihoods are worked out anew from the entries, losses by looking at every state of the closures
of random small ships; the rules stand in the design of the model and nothing is shared with the
program. Needs Python 3.11, its standard library only.
Environment: COAMING, the program; COAMING_ROOT, the source tree. The ships here are invented.
"""

import datetime
import itertools
import json
import math
import random
import re
import unittest

import leaking as history
import standing
from harness import AS_OF, BARGE, DEMO, DEMO_LOG, INPUT, LOG_NS, SHIP_NS, USAGE, WHOLE, Case, slow

KINDS = ("door", "hatch", "scuttle", "manhole", "ventilator", "valve", "sidescuttle", "cover")
METHODS = ("chalk", "hose", "air", "ultrasonic", "light", "smoke", "visual")
ACTIONS = ("dogs", "gasket", "knife-edge", "hinge", "replaced")
TODAY = datetime.date(2026, 11, 10)
OUTSIDE = ("sea", "weather")


def space(id, worth=1, bottom=0, shell=False):
    on_shell = ' shell="yes"' if shell else ""
    return (f'<space id="{id}" name="{id}" worth="{worth}"{on_shell}>'
            f'<box x="0 1" y="0 1" z="{bottom} {bottom + 2}"/></space>\n')


def closure(id, between, more="", inside="", kind="door", rating="watertight", z=1):
    return (f'<closure id="{id}" kind="{kind}" between="{between}" rating="{rating}" {more}>'
            f'<clear x="1" y="0" z="{z}" width="0.6" height="1" lies="deck"/>{inside}</closure>\n')


def arrangement(*parts, name="Risky"):
    return (f'<arrangement xmlns="{SHIP_NS}" name="{name}">\n'
            '<ship length="30" beam="6" depth="7" draft="3"/>\n' + "".join(parts) +
            "</arrangement>\n")


def leaking(p):
    return f'leak-probability="{p}"'


# ------------------------------------------------------------------------- every state of a ship


class Small:
    """A random ship: spaces as (worth, bottom, shell), closures as (ends, rating, z, p)."""

    def __init__(self, number, hazards=("water", "air"), most=9):
        dice = random.Random(number)
        names = [f"s{i}" for i in range(dice.randint(2, 5))]
        self.spaces = {n: (dice.randint(0, 8), dice.choice((0, 0, 0, 4)), dice.random() < 0.5)
                       for n in names}
        self.closures = {}
        for i in range(dice.randint(2, most)):
            one = dice.choice(names)
            ends = (one, dice.choice([n for n in (*names, *OUTSIDE) if n != one]))
            rating = dice.choice(("watertight",) * 4 + ("airtight", "weathertight", "nontight"))
            self.closures[f"c{i}"] = (ends, rating, dice.choice((1, 1, 1, 3, 5)),
                                      dice.choice((0, 0.01, 0.2, 0.5, 0.9, 1)))
        self.hazards = hazards

    def text(self):
        return arrangement(*(space(n, *s) for n, s in self.spaces.items()),
                           *(closure(n, " ".join(ends), leaking(p), rating=rating, z=z)
                             for n, (ends, rating, z, p) in self.closures.items()))

    def passes_anyway(self, name, hazard):
        rating = self.closures[name][1]
        return rating == "nontight" or (hazard == "water" and rating == "weathertight")

    def edges(self, hazard, weather):
        """The closures that the hazard can act on; the outside is one place, or none."""
        for name, (ends, _, z, _) in self.closures.items():
            if hazard == "water":
                if z < 3 and all(e in OUTSIDE or self.spaces[e][1] < 3 for e in ends):
                    yield name, ["out" if e in OUTSIDE else e for e in ends]
            elif "sea" not in ends and (weather or "weather" not in ends):
                yield name, ["out" if e == "weather" else e for e in ends]

    def lost(self, hazard, sources, weather, leaks):
        reached = set(sources)
        edges = [ends for name, ends in self.edges(hazard, weather)
                 if leaks[name] or self.passes_anyway(name, hazard)]
        while True:
            more = {e for ends in edges if reached & set(ends) for e in ends} - reached
            if not more:
                return sum(self.spaces[s][0] for s in reached if s != "out")
            reached |= more

    def loss(self, leaks):
        total = 0.0
        if "water" in self.hazards:
            shell = [n for n, s in self.spaces.items() if s[2]]
            total += self.lost("water", {"out"}, True, leaks)
            for n in shell:
                wet = {n} if self.spaces[n][1] < 3 else set()
                total += self.lost("water", {"out"} | wet, True, leaks) / len(shell)
        if "air" in self.hazards:
            total += self.lost("air", {"out"}, True, leaks)
            for n in self.spaces:
                total += self.lost("air", {n}, False, leaks) / len(self.spaces)
        return total

    def by_way(self, hazard, sources, weather, leaks):
        """Of what these sources lose in a state: by closure, what comes by some way through it that
        meets no place twice and no second source."""
        edges = [(name, ends) for name, ends in self.edges(hazard, weather)
                 if leaks[name] or self.passes_anyway(name, hazard)]
        came = {}  # by place: closures on some way to it

        def walk(at, met, used):
            came.setdefault(at, set()).update(used)
            for name, ends in edges:
                for one, other in (ends, ends[::-1]):
                    if one == at and other not in met:
                        walk(other, met | {other}, used | {name})

        for source in sources:
            walk(source, set(sources), set())
        return {name: sum(self.spaces[place][0] for place, used in came.items()
                          if place != "out" and place not in sources and name in used)
                for name in self.closures}

    def scenarios(self):
        """Hazard, sources, is the weather there, weight."""
        if "water" in self.hazards:
            shell = [n for n, s in self.spaces.items() if s[2]]
            yield "water", {"out"}, True, 1
            for n in shell:
                yield "water", {"out"} | ({n} if self.spaces[n][1] < 3 else set()), True, \
                    1 / len(shell)
        if "air" in self.hazards:
            yield "air", {"out"}, True, 1
            for n in self.spaces:
                yield "air", {n}, False, 1 / len(self.spaces)

    def shares(self):
        """Fussell-Vesely by closure, over all states and scenarios."""
        names, sums = list(self.closures), dict.fromkeys(self.closures, 0.0)
        for state in itertools.product((False, True), repeat=len(names)):
            leaks = dict(zip(names, state))
            chance = math.prod(self.closures[n][3] if leaks[n] else 1 - self.closures[n][3]
                               for n in names)
            for hazard, sources, weather, weight in self.scenarios() if chance else ():
                for name, lost in self.by_way(hazard, sources, weather, leaks).items():
                    sums[name] += chance * weight * lost
        loss = self.expected()
        return {name: lost / loss if loss else 0 for name, lost in sums.items()}

    def expected(self, forced=None):
        """Over all states; forced: closure to pass whatever (True) or hold whatever (False)."""
        names = list(self.closures)
        terms = []
        for state in itertools.product((False, True), repeat=len(names)):
            weight = 1.0
            for name, leaks in zip(names, state):
                p = {**{n: c[3] for n, c in self.closures.items()}, **(forced or {})}[name]
                weight *= p if leaks else 1 - p
            if weight:
                terms.append(weight * self.loss(dict(zip(names, state))))
        return math.fsum(terms)


class Risk(Case):
    WARNED = re.compile(rb"coaming: [a-z.]+: \d+ warnings?; 'coaming check' shows (it|them)\n")

    def run_it(self, *words, **how):
        """As it is, but for the note that the random ships have warnings."""
        done = super().run_it(*words, **how)
        done.stderr = self.WARNED.sub(b"", done.stderr)
        return done

    def rank(self, text, *words):
        self.write("ship.xml", text)
        return self.document("rank", "ship.xml", *words)

    def near(self, a, b, about=1e-9):
        self.assertLessEqual(abs(a - b), about * (1 + abs(b)), (a, b))

    def identities(self, told, one_plane=True):
        loss = told["expected_loss"]
        for row in told["closures"]:
            p, b = row["pass_probability"], row["birnbaum"]
            if one_plane:
                self.near(row["risk"], p * b)
                without, certain = loss - row["risk"], loss + (1 - p) * b
                if loss:
                    self.near(row["achievement"], certain / loss)
                if without > 1e-9 * loss:
                    self.near(row["reduction"], loss / without)
                elif loss and without < 1e-13 * loss:
                    self.assertIsNone(row["reduction"], row)
            if loss:
                self.near(row["criticality"], row["risk"] / loss)
            self.assertLessEqual(row["repair_gain"], row["risk"] + 1e-9)
            self.assertLessEqual(row["leak_probability"], row["pass_probability"])


class Importance(Risk):
    def test_identities_and_every_state(self):
        seen = 0
        for number in range(8):
            for hazard in ("water", "air", "both"):
                ship = Small(number, ("water", "air") if hazard == "both" else (hazard,), 6)
                told = self.rank(ship.text(), "--hazard", hazard, "--risk", "exact")
                self.assertEqual((told["method"], told["standard_error"]), ("exact", 0))
                self.near(told["expected_loss"], ship.expected())
                mixed = hazard == "both" and any(c[1] == "weathertight"
                                                 for c in ship.closures.values())
                self.identities(told, not mixed)
                for row in told["closures"]:
                    name = row["closure"]
                    self.assertEqual(row["leak_probability"], ship.closures[name][3])
                    sound = ship.expected({name: False})
                    self.near(row["repair_gain"], told["expected_loss"] - sound)
                    if not any(ship.passes_anyway(name, h) for h in ship.hazards):
                        self.near(row["birnbaum"], ship.expected({name: True}) - sound)
                        seen += row["birnbaum"] > 0
        self.assertGreater(seen, 30)

    def test_ways_from_every_source(self):
        seen = 0
        for number in range(20):
            ship = Small(number, ("water",) if number % 2 else ("water", "air"), 7)
            hazard = "water" if number % 2 else "both"
            told = self.rank(ship.text(), "--hazard", hazard)
            shares = ship.shares()
            for row in told["closures"]:
                if told["samples"] == 0:
                    self.near(row["fussell_vesely"], shares[row["closure"]])
                    seen += 0 < row["fussell_vesely"] < 1
        self.assertGreater(seen, 25)

    def test_water_that_starts_in_a_space_and_the_sea(self):
        told = self.rank(arrangement(
            space("a", 0), space("b", 1), closure("D", "a b", leaking(0.5)),
            closure("V", "b sea", leaking(0.5)),
            '<scenario hazard="water" source="a" weight="1"/>'), "--hazard", "water")
        self.near(told["expected_loss"], 0.75)
        for row in told["closures"]:
            self.near(row["fussell_vesely"], 2 / 3)

    def test_none_leaves_risk_out_and_nothing_else(self):
        text = arrangement(space("a", 1), space("b", 2), closure("V", "a sea", leaking(0.1)),
                           closure("D", "a b", leaking(0.5)))
        whole, bare = self.rank(text), self.rank(text, "--risk", "none")
        self.assertGreater(whole["expected_loss"], 0)
        for key in ("risk_level", "expected_loss", "method", "standard_error", "samples"):
            self.assertIsNone(bare[key])
        for with_risk, row in zip(whole["closures"], bare["closures"], strict=True):
            self.assertIsNone(row["risk"])
            for key in ("closure", "consequence", "exposes", "leak_probability"):
                self.assertEqual(row[key], with_risk[key])
        for more in (("--by-risk",), ("--explain", "D"), ("--seed", "3"), ("--samples", "200"),
                     ("--within", "1%"), ("--share", "1/2")):
            self.one_line(USAGE, "rank", "ship.xml", *AS_OF, "--risk", "none", *more,
                          says=("--risk=none",))

    def test_all_that_is_lost_comes_through_it(self):
        """No reduction worth, whatever rounding has left; and never an error of 0 of samples."""
        dice = random.Random(4)
        for length in range(2, 12):
            names = [f"s{i}" for i in range(length)]
            doors = [closure(f"D{i}", f"s{i} s{dice.randrange(i)}", leaking(dice.random()))
                     for i in range(1, length)]
            text = arrangement(*(space(n, dice.random()) for n in names),
                               closure("V", "s0 sea", leaking(dice.random())), *doors,
                               '<scenario hazard="water" source="sea" weight="1"/>')
            for more in ((), ("--risk", "sampled", "--samples", "200")):
                told = self.rank(text, "--hazard", "water", *more)
                rows = {row["closure"]: row for row in told["closures"]}
                self.assertIsNone(rows["V"]["reduction"])
                self.assertNotEqual(told["standard_error"] == 0, bool(more))
                for row in rows.values():
                    self.assertNotEqual(row["risk_error"] == 0, bool(more))
                    self.assertEqual(row["risk_error"] is None, row["risk_limit"] is not None)

    def test_what_passes_for_sure_passes_with_1(self):
        """Also where it joins nothing: beside a passage, or above the water that it lets in."""
        text = arrangement(
            space("a"), space("b"), space("c", 1, 4), '<passage id="P" kind="arch" between="a b"><clear x="1" '
            'y="0" z="1" width="0.6" height="1" lies="deck"/></passage>',
            closure("N", "a b", leaking(0.25), rating="nontight"),
            closure("T", "a b", leaking(0.25)),
            closure("W", "a b", leaking(0.25), rating="weathertight"),
            closure("H", "c weather", leaking(0.25), rating="weathertight", z=5))
        for hazard, passes in (("water", "NW"), ("air", "N"), ("both", "NW")):
            rows = self.rank(text, "--hazard", hazard)["closures"]
            self.assertEqual({row["closure"]: row["pass_probability"] for row in rows},
                             {c: 1 if c in passes else 0.25 for c in "NTWH"}, hazard)
            self.assertEqual({row["leak_probability"] for row in rows}, {0.25})

    def test_ten_uncertain_closures(self):
        for number in (2, 3):
            names = ["s0", "s1", "s2", "s3", "s4"]
            ship = Small(number)
            dice = random.Random(number)
            ship.spaces = {n: (dice.randint(1, 8), 0, n == "s1") for n in names}
            others = (*names, "weather", "sea")
            ends = [(names[i % 5], others[(i % 5 + 1 + i // 2) % 7]) for i in range(10)]
            self.assertTrue(all(one != other for one, other in ends))
            ship.closures = {f"c{i}": (both, "watertight", 1, dice.uniform(0.05, 0.9))
                             for i, both in enumerate(ends)}
            told = self.rank(ship.text(), "--risk", "exact")
            self.near(told["expected_loss"], ship.expected())
            self.identities(told)
            for row in told["closures"][:3]:
                self.near(row["birnbaum"], ship.expected({row["closure"]: True}) -
                          ship.expected({row["closure"]: False}))

    def test_sampled_agrees_and_depends_on_the_seed(self):
        far = rows = 0
        for number in range(100, 105):
            text = Small(number).text()
            exact = self.rank(text, "--risk", "exact")
            sampled = [self.rank(text, "--risk", "sampled", "--samples", "5000", "--seed", seed)
                       for seed in ("1", "1", "2")]
            self.assertEqual(sampled[0], sampled[1])
            by_id = {row["closure"]: row for row in exact["closures"]}
            for told in sampled[1:]:
                self.assertEqual((told["method"], told["samples"]), ("sampled", 5000))
                self.assertLessEqual(abs(told["expected_loss"] - exact["expected_loss"]),
                                     4 * (told["standard_error"] or 0) + 1e-9)
                for row in told["closures"]:
                    rows += 1
                    off = abs(row["risk"] - by_id[row["closure"]]["risk"])
                    self.assertLessEqual(off, 4 * (row["risk_error"] or 0) + 1e-3)
            far += sampled[1]["closures"] != sampled[2]["closures"]
        self.assertGreater(far, 2)
        self.assertGreater(rows, 30)

    def test_by_risk_orders_by_what_a_repair_gains(self):
        for number in (3, 4, 5):
            told = self.rank(Small(number).text(), "--by-risk")
            gains = [row["repair_gain"] for row in told["closures"]]
            self.assertEqual(gains, sorted(gains, reverse=True))


# --------------------------------------------------------------------------- plans


class Plan(Risk):
    def planned(self, text, *words):
        self.write("ship.xml", text.replace(" leak-probability=", ' hours="2" leak-probability='))
        return self.document("plan", "ship.xml", *words)

    def test_a_repair_leaves_what_it_may_fail_to_mend(self):
        """A door needs dogs, gasket, knife edge or hinge, or a new door: the least sure counts."""
        given = ('<repairing action="hinge" success="0.5"/>', '<repairing action="gasket" success="0.6"/>'
                 '<repairing action="replaced" success="0.99"/>', "")
        seen = 0
        for number, (repairing, success) in itertools.product(range(8), zip(given, (0.5, 0.6, 0.9))):
            ship = Small(number)
            told = self.planned(ship.text().replace("</arrangement>", repairing + "</arrangement>"),
                                "--hours", "8")
            forced, before = {}, ship.expected()
            self.near(told["expected_loss"], before)
            for row in told["repairs"]:
                self.assertEqual(row["repair_success"], success)
                self.assertIs(told["repairs_assumed"], not repairing)
                forced[row["closure"]] = row["leak_probability"] * (1 - success)
                after = ship.expected(forced)
                self.near(row["gain"], before - after)
                before = after
                seen += 1
            self.near(told["expected_after"], before)
        self.assertGreater(seen, 30)

    def test_the_words_name_the_chance(self):
        ship = arrangement(space("a", 4, 0, True), closure("A", "weather a", leaking(0.5)))
        for repairing, says in (("", "here 90 %, assumed."),
                                ('<repairing action="dogs" success="0.75"/>', "here 75 %.")):
            self.planned(ship.replace("</arrangement>", repairing + "</arrangement>"), "--hours", "4")
            told = " ".join(self.good("plan", "ship.xml", "--hours", "4").split())
            self.assertIn(says, told)
            self.assertNotIn("make good", told)


# --------------------------------------------------------------------------- how likely it leaks


class Likelihood(Risk):
    def test_random_logs(self):
        kept = 0
        for number in range(20):
            dice = random.Random(number)
            kind = dice.choice(KINDS)
            given = dice.random() < 0.5
            ageing = (f'<ageing kind="{kind}" eta-years="{dice.uniform(2, 20):.3f}" '
                      f'beta="{dice.uniform(0.7, 3):.3f}"/>\n' if given else "")
            own = {m: (round(dice.uniform(0.5, 0.99), 3), round(dice.uniform(0.7, 0.99), 3))
                   for m in METHODS if dice.random() < 0.4}
            rows = "".join(f'<method name="{m}" sensitivity="{a}" specificity="{b}"/>\n'
                           for m, (a, b) in own.items())
            day = lambda: datetime.date(2018, 1, 1) + datetime.timedelta(days=dice.randint(0, 3200))
            fitted = day() if dice.random() < 0.6 else None
            entries = []
            for when in sorted(day() for _ in range(dice.randint(0, 8))):
                entries.append((when, dice.choice(ACTIONS), None) if dice.random() < 0.3 else
                               (when, dice.choice(METHODS), dice.choice(("pass", "pass", "fail"))))
            log = "".join(f'<repair closure="c" date="{d}" action="{w}"/>\n' if r is None else
                          f'<test closure="c" date="{d}" method="{w}" result="{r}"/>\n'
                          for d, w, r in entries)
            self.write("log.xml", f'<test-log xmlns="{LOG_NS}" arrangement="Risky">\n{log}'
                                  "</test-log>\n")
            self.write("ship.xml", arrangement(
                ageing, rows, space("a", 2), space("b", 3),
                closure("c", "a b", kind=kind,
                        inside=f'<gasket fitted="{fitted}"/>' if fitted else "")))
            words = ("ship.xml", "--log", "log.xml")
            told = self.document("rank", *words, "--explain", "c")
            methods = {s["method"]: (s["sensitivity"], s["specificity"]) for s in told["steps"]
                       if s["step"] == "test"}
            for name in set(methods) & set(own):
                self.assertEqual(methods[name], own[name])
            self.assertEqual(told["ageing_assumed"], not given)
            self.assertEqual(told["methods_assumed"], bool(set(methods) - set(own)))
            self.assertEqual(told["age_assumed"], fitted is None and not any(
                e[1] in history.RENEWS for e in entries if e[0] <= TODAY))
            events = [{"date": d, "kind": "test", "method": w, "result": r} if r else
                      {"date": d, "kind": "repair", "action": w} for d, w, r in entries if d <= TODAY]
            c = {"kind": kind, "fitted": None, "gasket": fitted, "events": events}
            quality = {m: (*methods.get(m, q[:2]), q[2]) for m, q in standing.METHODS.items()}
            leak, _ = history.leaks(c, [c], TODAY, {kind: (told["eta_years"], told["beta"])},
                                    quality)
            [row] = self.document("rank", *words)["closures"]
            self.near(row["leak_probability"], leak)
            self.near(told["steps"][-1]["after"], leak)
            self.assertEqual(told["importance"]["leak_probability"], row["leak_probability"])
            kept += len(methods) > 1
        self.assertGreater(kept, 3)

    def test_explain_says_what_its_importance_is_of(self):
        """With the same words as rank's row of the closure, and the same figures."""
        self.write("ship.xml", Small(3).text())
        asked = {(): ("still", "worth"), ("--level", "full", "--measure", "people"):
                 ("full", "people"), ("--level", "1.5", "--measure", "volume"): (1.5, "volume")}
        for words, (level, measure) in asked.items():
            told = self.document("rank", "ship.xml", *words, "--explain", "c0")
            self.assertEqual((told["level"], told["measure"]), (level, measure))
            [row] = [r for r in self.document("rank", "ship.xml", *words)["closures"]
                     if r["closure"] == "c0"]
            for key in ("birnbaum", "criticality", "fussell_vesely", "risk"):
                self.assertEqual(told["importance"][key], row[key])

    def test_explain_names_the_nearest(self):
        self.write("ship.xml", arrangement(space("a"), space("b"), closure("door-1", "a b")))
        self.one_line(INPUT, "rank", "ship.xml", *AS_OF, "--explain", "dor-1",
                      says=("dor-1", "nearest", "door-1"))

    def test_entries_before_the_closure_was_there(self):
        text = arrangement(space("a"), space("b"), "\n",
                           closure("c", "a b", 'fitted="2022-05-01"'))
        self.write("ship.xml", text)
        for entry in ('<test closure="c" date="2022-04-30" method="chalk" result="pass"/>',
                      '<repair closure="c" date="2022-04-30" action="dogs"/>'):
            self.write("log.xml", f'<test-log xmlns="{LOG_NS}" arrangement="Risky">\n\n{entry}\n'
                                  "</test-log>\n")
            self.fault_in("log.xml:3", "rank", "ship.xml", "--log", "log.xml", *AS_OF,
                          says=("2022-04-30", "2022-05-01"))
            self.write("log.xml", (self.folder / "log.xml").read_text().replace("-04-30",
                                                                                "-05-01"))
            self.good("rank", "ship.xml", "--log", "log.xml", *AS_OF)


# ------------------------------------------------------------------------------- bad input, usage


class Bad(Risk):
    def test_numbers_of_the_arrangement(self):
        age = '<ageing kind="door" eta-years="{}" beta="{}"/>\n'
        way = '<method name="chalk" sensitivity="{}" specificity="{}"/>\n'
        for head, more in (("", leaking("1.1")), ("", leaking("-0.1")), ("", leaking("nan")),
                           (age.format(0, 1), ""), (age.format(-1, 1), ""), (age.format(8, 0), ""),
                           (age.format("inf", 1), ""), (way.format(1.5, 0.9), ""),
                           (way.format(0.9, -1), ""), (way.format("x", 0.9), "")):
            self.write("ship.xml", arrangement(head, space("a"), space("b"),
                                               closure("c", "a b", more)))
            self.fault_in(f"ship.xml:{3 if head else 5}", "rank", "ship.xml", *AS_OF)

    def test_words(self):
        self.write("ship.xml", Small(3).text())
        for words in (("--samples", "0"), ("--samples", "99"), ("--samples", "1e3"),
                      ("--samples", "16777217"), ("--seed", "-1"), ("--seed", "x"),
                      ("--seed", "18446744073709551616"),
                      *(("--samples", "9000", "--share", s)
                        for s in ("3/2", "0/2", "x", "1", "1/", "/2", "1/2/3", "-1/2", "1/0")),
                      *(("--within", w) for w in ("0%", "101%", "abc", "5", "-1%", "%", "nan%")),
                      ("--share", "1/2"), ("--share", "1/9", "--samples", "1024"), ("--merge",),
                      ("--risk", "guess"), ("--measure", "gm", "--by-risk"),
                      ("--measure", "freeboard", "--explain", "c0"),
                      ("--explain", "c0", "--top", "3"), ("--explain", "c0", "--by-risk"),
                      ("--share", "1/1", "--samples", "9000", "--top", "3"),
                      ("--share", "1/1", "--samples", "9000", "--explain", "c0")):
            self.one_line(USAGE, "rank", "ship.xml", *AS_OF, *words)
        for words in ((), *(("--hours", h) for h in ("0", "-1", "nan", "inf", "x", "", "1h"))):
            self.one_line(USAGE, "plan", "ship.xml", *AS_OF, *words, says=("hours",))
        for measure in ("gm", "freeboard"):
            self.one_line(USAGE, "plan", "ship.xml", *AS_OF, "--hours", "3", "--measure", measure,
                          says=("worth, volume, people, spaces or survival",))


class Parts(Risk):
    SAMPLED = ("--risk", "sampled")

    def setUp(self):
        super().setUp()
        self.write("ship.xml", Small(5).text())

    def ask(self, *words, ship="ship.xml"):
        how = () if "--merge" in words else self.SAMPLED
        return self.good("rank", "--format", "json", *AS_OF, ship, *how, *words)

    def part(self, name, share, *words, seed=7, samples=4000, ship="ship.xml"):
        return self.write(name, self.ask("--share", share, "--seed", seed, "--samples", samples,
                                         *words, ship=ship))

    def refused(self, *parts, says=(), words=()):
        return self.one_line(INPUT, "rank", "ship.xml", *AS_OF, *words, "--merge",
                             *parts, says=says)

    def test_any_order_gives_the_same_bytes_as_one_run(self):
        whole = self.ask("--seed", "7", "--samples", "4000")
        parts = [self.part(f"p{k}", f"{k}/3") for k in (1, 2, 3)]
        for order in itertools.permutations(parts):
            self.assertEqual(self.ask("--merge", *order), whole)
        self.assertEqual(self.ask("--merge", self.part("all", "1/1")), whole)
        self.assertNotEqual(self.ask("--seed", "8", "--samples", "4000"), whole)

    def test_parts_that_do_not_fit(self):
        one, two, three = (self.part(f"p{k}", f"{k}/3") for k in (1, 2, 3))
        self.write("other.xml", Small(6).text())
        self.write("tested.xml", Small(5).text().replace('leak-probability="0.2"',
                                                         'leak-probability="0.21"'))
        self.assertNotEqual((self.folder / "tested.xml").read_text(), Small(5).text())
        self.refused(one, two, self.part("a", "3/3", ship="other.xml"), says=("a: made",))
        self.refused(one, self.part("b", "2/3", ship="tested.xml"), three, says=("b: made",))
        self.refused(one, two, self.part("c", "3/3", seed=8), says=("c: of seed 8, but p1 of seed 7",))
        self.refused(one, two, self.part("d", "3/3", samples=4001), says=("d: of 3 shares of 4001 samples",))
        self.refused(one, self.part("e", "2/2"), says=("e: of 2 shares",))
        self.refused(one, two, two, says=("p2: is share 2 of 3, and so is p2",))
        self.refused(one, two, three, three, says=("p3: is share 3 of 3",))
        self.refused(one, three, says=("missing", "2/3"))
        auto = self.write("auto", self.good("rank", *AS_OF, "ship.xml", "--share", "2/3", "--seed",
                                            "7", "--samples", "4000"))
        self.refused(one, auto, three, says=("auto: asked for --risk auto, but p1 for --risk sampled",))
        self.one_line(USAGE, "rank", "ship.xml", *AS_OF, "--risk", "sampled", "--merge", one, two,
                      three, says=("--risk",))
        self.refused(one, two, three, words=("--hazard", "air"))
        self.refused(one, two, "nowhere", says=("nowhere",))

    def test_damaged_parts(self):
        one, two = (self.part(f"p{k}", f"{k}/2") for k in (1, 2))
        text = (self.folder / two).read_text()
        self.ask("--merge", one, two)
        sums = json.loads(text)["sums"]
        damages = {"truncated": text[:len(text) // 2], "no JSON": "parts\n", "empty": "",
                   "a list": "[]\n", "fewer": text.replace(f'"{sums[-1]}"]', f'"{sums[-1]}","0"]'),
                   "samples": text.replace(f'"{sums[0]}"', '"1"', 1),
                   "huge": text.replace(f'"{sums[1]}"', '"7' + "f" * 31 + '"', 1),
                   "digest": re.sub('"digest": "..', '"digest": "zz', text),
                   "share": text.replace('"share": 2', '"share": 3'),
                   "none": text.replace('"share": 2', '"share": 0'),
                   "method": text.replace('"risk": "sampled"', '"risk": "tea"'),
                   "no method": text.replace('"risk": "sampled"', '"risk": 2'),
                   "seed": text.replace('"seed": "7"', '"seed": "7f"'),
                   "no seed": text.replace('"seed": "7"', '"seed": ""'),
                   "seed a number": text.replace('"seed": "7"', '"seed": 7'),
                   "how many": text.replace('"samples": 4000', '"samples": "4000"'),
                   "sum": text.replace(f'"{sums[1]}"', '"zz"', 1),
                   "sum a number": text.replace(f'"{sums[1]}"', "5", 1),
                   "no sums": re.sub(r'"sums": *\[[^]]*\]', '"sums": 5', text),
                   "ship": self.ask("--seed", "7", "--samples", "4000")}
        unread = ("method", "no method", "seed", "no seed", "seed a number", "how many", "sum", "sum a number", "no sums")
        for what, damaged in damages.items():
            self.assertNotEqual(damaged, text, what)
            self.write("bad", damaged)
            with self.subTest(what):
                self.refused(one, "bad", says=("is no part",) if what in unread else ("bad",))


class SettledParts(Risk):
    """Shares of a risk at equilibrium: of the rests that the scenarios come to."""
    ASKED = ("rank", DEMO, "--log", DEMO_LOG, *AS_OF, "--hazard", "water")

    def part(self, name, share, *words):
        return self.write(name, self.good(*self.ASKED, *words, "--samples", "3072", "--share", share))

    def test_together_they_are_one_run(self):
        for words in ((), ("--hazard", "both"), ("--loading", "passage", "--measure", "volume"))[:3 if WHOLE else 1]:
            parts = [self.part(f"p{k}", f"{k}/3", *words) for k in (3, 1, 2)]
            for form in ("text", "json"):
                whole = self.good(*self.ASKED, *words, "--samples", "3072", "--format", form)
                self.assertIn("sampled", whole)
                self.assertEqual(self.good(*self.ASKED, *words, "--format", form, "--merge", *parts), whole)

    def test_shares_that_need_no_samples_say_none(self):
        asked = ("rank", BARGE, *AS_OF, "--hazard", "water")
        parts = [self.write(f"b{k}", self.good(*asked, "--samples", "3072", "--share", f"{k}/2")) for k in (1, 2)]
        whole = self.document(*asked, "--samples", "3072")
        self.assertEqual((whole["method"], whole["samples"]), ("exact", 0))
        self.assertEqual(self.document(*asked, "--merge", *parts), whole)

    @slow
    def test_as_many_samples_as_asked_for(self):
        """The scenarios share them; each of the demo's has its 4 from 1000 on, and no more is drawn."""
        for hazard in ("water", "both"):
            for count in (1000, 1001, 4096):
                with self.subTest(hazard=hazard, count=count):
                    told = self.document(*self.ASKED, "--hazard", hazard, "--samples", count)
                    self.assertEqual((told["method"], told["samples"]), ("sampled", count))
        self.assertGreaterEqual(self.document(*self.ASKED, "--samples", "100")["samples"], 100)

    @slow
    def test_no_count_beside_an_error_of_all(self):
        """The error is of what is drawn of water and of air, of which each has a count of its own."""
        for words in ((), ("--explain", "D1")):
            for hazard in ("water", "both"):
                asked = (*self.ASKED, *words, "--hazard", hazard)
                told = self.document(*asked)
                text = " ".join(self.good(*asked).split())
                said = re.search(r"\(sampled, standard error ([\d.]+), surely ([\d.]+) to ([\d.]+)\)", text)
                with self.subTest(words=words, hazard=hazard):
                    self.assertTrue(said, text[:1000])
                    for value, key in zip(said.groups(), ("standard_error", "expected_loss_low",
                                                          "expected_loss_high")):
                        self.assertAlmostEqual(float(value) / told[key], 1, delta=2e-3)
                    self.assertNotRegex(text, r"\d samples")
                    if words:  # the loss's own error stands beside it, and the risk's beside that
                        self.assertRegex(text, rf"expected loss of [\d.]+ worth {re.escape(said.group())}")
                        error = re.search(r", risk [\d.]+ \(standard error ([\d.]+)\),", text)
                        self.near(float(error[1]), told["importance"]["risk_error"], 2e-3)

    @slow
    def test_what_a_repair_of_an_open_closure_gains(self):
        """Nothing, at any level, though what its holding is worth may not be known."""
        for level, known in (("equilibrium", False), ("still", True)):
            asked = (*self.ASKED, "--explain", "D1", "--open", "D1", "--level", level)
            with self.subTest(level):
                told = self.document(*asked)["importance"]
                self.assertEqual((told["repair_gain"], told["risk"] is not None), (0, known))
                text = " ".join(self.good(*asked).split())
                self.assertIn("whatever its gasket", text)
                self.assertIn("a repair gains nothing", text)
                self.assertEqual("reduction worth not known" in text, not known)
        self.assertNotIn("a repair gains", self.good(*self.ASKED, "--explain", "D1"))

    @slow
    def test_what_is_of_another_question_is_refused(self):
        one = self.part("p1", "1/2")
        for words in (("--level", "still"), ("--level", "3.4"), ("--loading", "passage"), ("--measure", "people"),
                      ("--condition", "sea"), ("--as-of", "2026-11-12"), ("--hazard", "both")):
            with self.subTest(words):
                other = self.part("other", "2/2", *words)
                self.one_line(INPUT, *self.ASKED, "--merge", one, other, says=("other: ",))
        damaged = json.loads((self.folder / one).read_text())
        damaged["sums"][0] = "2"  # rests
        self.write("bad", json.dumps(damaged))
        self.one_line(INPUT, *self.ASKED, "--merge", "bad", self.part("p2", "2/2"), says=("bad: ",))


class Demo(Risk):
    WORDS = (DEMO, "--log", DEMO_LOG)

    def test_exact_and_quick(self):
        before = datetime.datetime.now()
        told = self.document("rank", *self.WORDS, "--level", "still")
        self.assertLess((datetime.datetime.now() - before).total_seconds(), 20)
        self.assertEqual((told["method"], told["standard_error"]), ("exact", 0))
        self.identities(told, one_plane=False)

    @slow
    def test_plan_within_its_hours(self):
        told = self.document("plan", *self.WORDS, "--level", "still", "--hours", "6")
        self.assertLessEqual(told["hours_used"], 6)
        self.assertAlmostEqual(told["hours_used"], sum(r["hours"] for r in told["repairs"]))
        self.assertTrue(told["repairs"])
        gain = told["expected_loss"] - told["expected_after"]
        self.near(sum(r["gain"] for r in told["repairs"]), gain)
        self.assertGreaterEqual(told["bound"], gain)
        hours = dict(re.findall(r'<closure id="(\w+)"[^>]* hours="([\d.]+)"', DEMO.read_text()))
        ranked = self.document("rank", *self.WORDS, "--level", "still")
        self.near(told["expected_loss"], ranked["expected_loss"])
        for row in told["repairs"]:
            self.assertEqual(float(hours[row["closure"]]), row["hours"])


if __name__ == "__main__":
    unittest.main()
