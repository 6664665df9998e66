#!/usr/bin/python3
"""A casualty: what is reached, in which order, what to shut and what cannot be shut, against a search of
its own here; the lines, how she floats and who is exposed, against hold, float and expose asked one by
one; and the page that is read aloud, against the document.

What passes is written here from the manual page coaming(1), "What passes and what holds", alone.

Needs Python 3.11, its standard library only.
Environment: COAMING, COAMING_ROOT. The ships here are invented, the random ones from fixed seeds.
"""

import csv
import io
import json
import random
import re
import sys
import unittest
import xml.etree.ElementTree as ET
from pathlib import Path

sys.dont_write_bytecode = True  # leaves no files behind
sys.path.insert(0, str(Path(__file__).resolve().parent))
from harness import AS_OF, BARGE, DEMO, INPUT, LOGGED, SHIP_NS, USAGE, Case, slow  # noqa: E402

PAGE = 60  # lines, at 80 columns
CROWDED = 2 * PAGE  # a page for each hazard, where nearly every door stands open
RATINGS = ("watertight", "watertight", "airtight", "weathertight", "nontight")


class Ship:
    """A random one: boxes in two rows and two tiers, and links between neighbours and to the outside."""

    def __init__(self, seed):
        self.draw = draw = random.Random(seed)
        self.columns = draw.randint(2, 3)
        self.draft = draw.choice((0.9, 1.3, 1.8, 3.5))
        self.spaces = {}  # id: its bottom
        self.links = {}   # id: what is known of it
        for i in range(self.columns):
            for side in "ps":
                for tier in range(2):
                    self.spaces[f"{side}{i}{tier}"] = 2.5 * tier
        names = list(self.spaces)
        for a in names:
            for b in names:
                if a < b and self.near(a, b) and draw.random() < 0.75:
                    self.add(a, b)
        for a in names:
            if draw.random() < 0.3:
                self.add(a, draw.choice(("sea", "weather")))

    @staticmethod
    def near(a, b):
        return sum(x != y for x, y in zip(a, b)) == 1 and abs(int(a[1]) - int(b[1])) < 2

    def add(self, a, b):
        draw, number = self.draw, len(self.links)
        high = max(self.spaces.get(a, 0), self.spaces.get(b, 0))
        outside = b in ("sea", "weather")
        passage = draw.random() < (0.1 if outside else 0.2)
        self.links[f"{'P' if passage else 'D'}{number}"] = {
            "ends": (a, b), "z": round(high + draw.uniform(0, 2), 2), "passage": passage,
            "rating": "watertight" if outside and draw.random() < 0.7 else draw.choice(RATINGS),
            "shut_in": "sea port" if outside and draw.random() < 0.7 else draw.choice(("sea port", "sea", "sea", "")),
            "result": draw.choice(("pass", "pass", "fail", None)) if not outside else draw.choice(("pass", None))}

    def xml(self):
        lines = [f'<arrangement xmlns="{SHIP_NS}" name="Drawn"><ship length="{10 * self.columns}" beam="8" '
                 f'depth="5" draft="{self.draft}" kg="1.4"/><condition id="sea" name="At sea"/>'
                 '<condition id="port" name="In port"/>']
        for name, bottom in self.spaces.items():
            x, y = 10 * int(name[1]), (0, 4) if name[0] == "p" else (-4, 0)
            lines.append(f'<space id="{name}" name="{name}" worth="{1 + len(lines) % 4}" people="{len(lines) % 3}">'
                         f'<box x="{x} {x + 10}" y="{y[0]} {y[1]}" z="{bottom} {bottom + 2.5}"/></space>')
        for name, k in sorted(self.links.items(), key=lambda item: item[1]["passage"]):
            clear = f'<clear x="{10 * int(k["ends"][0][1]) + 5}" y="0" z="{k["z"]}" width="0.5" height="0.4" lies="deck"/>'
            between = " ".join(k["ends"])
            if k["passage"]:
                lines.append(f'<passage id="{name}" kind="duct" between="{between}">{clear}</passage>')
                continue
            test = f'<test date="2026-03-01" method="chalk" result="{k["result"]}"/>' if k["result"] else ""
            lines.append(f'<closure id="{name}" kind="door" between="{between}" rating="{k["rating"]}" '
                         f'shut-in="{k["shut_in"]}">{clear}{test}</closure>')
        return "".join(lines) + "</arrangement>"

    def seen(self):
        """Some closures as they are seen, by option."""
        doors = [name for name, k in self.links.items() if not k["passage"]]
        tight = [name for name in doors if self.links[name]["rating"] != "nontight"]
        some = {"--open": self.draw.sample(doors, min(2, len(doors))), "--failed": self.draw.sample(doors, min(1, len(doors)))}
        some["--shut"] = [name for name in self.draw.sample(tight, min(2, len(tight))) if name not in some["--open"]]
        return {option: names for option, names in some.items() if names}


class Reach:
    """Where one hazard gets to at a plane: breadth first from all sources at once."""

    def __init__(self, ship, hazard, level, condition, seen, sources):
        self.ship, self.hazard, self.level, self.condition, self.seen = ship, hazard, level, condition, seen
        self.sources = sources
        self.order = self.search(None)
        self.over = [name for name in ship.links if self.carries(name)]

    def is_seen(self, name, how):
        return name in self.seen.get(how, ())

    def passes(self, name):
        k = self.ship.links[name]
        if k["passage"] or k["rating"] == "nontight" or (self.hazard == "water" and k["rating"] == "weathertight"):
            return True
        shut = self.condition in k["shut_in"].split() if self.condition else bool(k["shut_in"])
        shut = not self.is_seen(name, "--open") and (shut or self.is_seen(name, "--shut"))
        return not shut or k["result"] == "fail" or self.is_seen(name, "--failed")

    def helps(self, name):
        """Would shutting it keep the hazard back, as far as is known?"""
        k = self.ship.links[name]
        return not (k["passage"] or k["rating"] == "nontight" or (self.hazard == "water" and k["rating"] == "weathertight")
                    or self.is_seen(name, "--failed") or self.is_seen(name, "--shut"))

    def wet(self, place):
        """Can it be there? The outside as one place."""
        if place in ("sea", "weather"):
            return self.hazard == "water" or (place == "weather" and "weather" in self.sources)
        return self.hazard == "air" or self.ship.spaces[place] < self.level

    def carries(self, name):
        k = self.ship.links[name]
        at = k["z"] < self.level if self.hazard == "water" else "sea" not in k["ends"]
        return at and self.passes(name) and all(map(self.wet, k["ends"]))

    def search(self, without):
        outside = self.hazard == "water" or "weather" in self.sources
        order = {place: 0 for place in self.sources if place in self.ship.spaces}
        if outside:
            order |= {"sea": 0, "weather": 0}
        front = list(order)
        while front:
            behind = []
            for place in front:
                for name, k in self.ship.links.items():
                    if place not in k["ends"] or name == without or not self.carries(name):
                        continue
                    other = k["ends"][k["ends"][0] == place]
                    if other not in order:
                        order[other] = order[place] + 1
                        behind.append(other)
            front = behind
        return {place: hops for place, hops in order.items() if place in self.ship.spaces}

    def by_design(self):
        """Open to the sea by passages alone, at the waterline at rest."""
        ship, open_to = self.ship, {"sea", "weather"}
        more = True
        while more:
            more = False
            for k in ship.links.values():
                a, b = k["ends"]
                inner = b if a in open_to else a
                if k["passage"] and (a in open_to) != (b in open_to) and k["z"] < ship.draft \
                        and ship.spaces[inner] < ship.draft:
                    open_to.add(inner)
                    more = True
        return open_to - set(self.sources) if self.hazard == "water" else set()

    def by(self, place):
        order = self.order | {"sea": 0, "weather": 0}
        found = [(self.ship.links[name]["z"] if self.hazard == "water" else 0, index, name)
                 for index, name in enumerate(sorted(self.ship.links, key=lambda n: self.ship.links[n]["passage"]))
                 if name in self.over and place in self.ship.links[name]["ends"]
                 and order[self.ship.links[name]["ends"][self.ship.links[name]["ends"][0] == place]]
                 == self.order[place] - 1]
        return [name for _, _, name in sorted(found)] if self.order[place] else []


def options_of(seen):
    return [word for option, names in seen.items() for word in (option, ",".join(names))]


class Casualty(Case):
    def asked(self, *words):
        done = self.run_it("casualty", *words, "--format", "json", *AS_OF)
        self.assertEqual(done.returncode, 0, (words, done.stderr))
        self.assertRegex(done.stderr, rb"\A(coaming: ship.xml: \d+ warnings?; [^\n]*\n)?\Z")
        return json.loads(done.stdout)

    def answers(self, *words):
        return {answer["hazard"]: answer for answer in self.asked(*words)["answers"]}

    def other(self, command, *words):
        done = self.run_it(command, *words, "--format", "json", *AS_OF)
        self.assertIn(done.returncode, (0, 1), (command, words, done.stderr))
        return json.loads(done.stdout)


class Drawn(Casualty):
    SHIPS = range(40)

    def each(self, ships=SHIPS):
        for seed in ships:
            ship = Ship(seed)
            self.write("ship.xml", ship.xml())
            draw = random.Random(1000 + seed)
            yield seed, ship, draw

    def test_what_is_reached_and_in_which_order(self):
        told = closures = cannot = 0
        for seed, ship, draw in self.each():
            sources = draw.sample(list(ship.spaces), draw.randint(1, 2)) + ["weather"] * (draw.random() < 0.1)
            seen, condition = ship.seen() if seed % 2 else {}, draw.choice((None, "sea", "port"))
            level = draw.choice((1.2, 2.6, 3.4, 6))
            answers = self.answers("ship.xml", "--source", ",".join(sources), "--level", level,
                                   *(("--condition", condition) if condition else ()), *options_of(seen))
            for hazard, answer in answers.items():
                with self.subTest(seed=seed, hazard=hazard):
                    own = Reach(ship, hazard, level, condition, seen, sources)
                    hidden = own.by_design()
                    places = sorted((space for space in own.order if space not in hidden),
                                    key=lambda s: (own.order[s], ship.links[own.by(s)[0]]["z"]
                                                   if own.order[s] and hazard == "water" else 0,
                                                   list(ship.spaces).index(s)))
                    self.assertEqual([(r["space"], r["order"], r["by"]) for r in answer["reached"]],
                                     [(s, own.order[s], own.by(s)) for s in places])
                    for r in answer["reached"]:
                        self.assertEqual(r["sill"], ship.links[r["by"][0]]["z"] if r["by"] and hazard == "water" else None)
                    self.check_shutting(own, answer)
                    ways = {name for place in places for name in own.by(place) if not own.helps(name)}
                    self.assertEqual(set(answer["cannot_be_shut"]), ways)
                    told += len(places) - len(sources)
                    closures += len(answer["shut_now"])
                    cannot += len(ways)
        self.assertTrue(told > 100 and closures > 20 and cannot > 50, (told, closures, cannot))

    def check_shutting(self, own, answer):
        """Each named one shut alone saves what is told, and no other saves anything."""
        found = {}
        for name in own.over:
            saves = set(own.order) - set(own.search(name))
            if saves and own.helps(name):
                found[name] = saves
        rows = {row["closure"]: row for row in answer["shutting"]}
        self.assertEqual({name: set(row["saves"]) for name, row in rows.items()}, found)
        self.assertEqual([row["closure"] for row in answer["shutting"]], answer["shut_now"])
        files = list(own.ship.links)  # of what saves as much the one that comes first there
        saved = [(row["saved"], len(row["saves"]), -files.index(row["closure"])) for row in answer["shutting"]]
        self.assertEqual(saved, sorted(saved, reverse=True))
        for name, row in rows.items():
            self.assertEqual({row["from"], row["against"]}, set(own.ship.links[name]["ends"]))
            self.assertIn(row["from"], row["saves"])
            self.assertNotIn(row["against"], row["saves"])

    @slow
    def test_the_rest_is_what_hold_and_float_say(self):
        lines = lost = 0
        for seed, ship, draw in self.each(range(25)):
            first, second = draw.sample(list(ship.spaces), 2)
            how = (*options_of(ship.seen()), "--condition", draw.choice(("sea", "port")))
            for sources in ((first,), (first, second)):
                where = ("ship.xml", "--source", ",".join(sources), *how)
                held = {a["hazard"]: a for a in self.other("hold", *where)["answers"]}
                for answer in self.asked(*where)["answers"]:
                    with self.subTest(seed=seed, sources=sources, hazard=answer["hazard"]):
                        for key in ("lines", "lost", "source_dry", "level"):
                            self.assertEqual(answer[key], held[answer["hazard"]][key])
                        lines += len(answer["lines"])
                with self.subTest(seed=seed, sources=sources):
                    water = self.answers("ship.xml", "--source", ",".join(sources), *how)["water"]
                    alone = self.other("float", "ship.xml", "--flooded", ",".join(sources), "--spread", *how)
                    self.assertEqual(water["floats"], {key: alone[key] for key in water["floats"]})
                    rest = held["water"]["as_tested"]
                    self.assertEqual({key: rest[key] for key in ("afloat", "grade", "limits")},
                                     {key: alone[key] for key in ("afloat", "grade", "limits")})
                    if alone["afloat"]:
                        self.assertEqual(rest["spread"], alone["spread"])
                    lost += not alone["afloat"]
                    if alone["afloat"]:
                        self.assertEqual({r["space"] for r in water["reached"]},
                                         set(sources) | {way["to"] for way in alone["spread"]})
                        self.check_order(ship, water, alone, sources)
        self.assertTrue(lines > 60 and 0 < lost < 40, (lines, lost))

    def test_the_sea_is_let_in_first_and_a_source_is_open_however_high(self):
        """V1 would come out of the water if she trimmed by the bow first; U lies above the water."""
        self.write("ship.xml", f"""<arrangement xmlns="{SHIP_NS}" name="First">
<ship length="40" beam="10" depth="6" draft="3" kg="3"/>
<space id="aft" name="Aft" shell="yes" permeability="1"><box x="0 4" y="-5 5" z="0 6"/></space>
<space id="up" name="Up" permeability="1"><box x="4 34" y="-5 5" z="3.5 6"/></space>
<space id="fwd" name="Fwd" shell="yes" permeability="1"><box x="34 40" y="-5 5" z="0 6"/></space>
<closure id="V1" kind="valve" between="aft sea" rating="watertight">
<clear x="1" y="-5" z="2.7" width="0.2" height="0.2" lies="longitudinal"/>
<test date="2026-05-01" method="air" result="fail"/></closure></arrangement>""")
        for source in ("fwd", "up"):
            floats = self.other("float", "ship.xml", "--flooded", source, "--spread")
            water = self.answers("ship.xml", "--source", source, "--hazard", "water")["water"]
            rest = self.other("hold", "ship.xml", "--source", source, "--hazard", "water")["answers"][0]["as_tested"]
            self.assertEqual(floats["spread"], [{"closure": "V1", "to": "aft"}])
            self.assertEqual(rest["spread"], floats["spread"])
            self.assertEqual({r["space"] for r in water["reached"]}, {source, "aft"})
            self.assertEqual(water["floats"]["draught"], floats["draught"])
            self.assertEqual((rest["grade"], water["floats"]["grade"]), (floats["grade"], floats["grade"]))

    def check_order(self, ship, water, alone, sources):
        """Of a position at rest: what is under there and passes joins places whose orders are next."""
        order = {r["space"]: r["order"] for r in water["reached"]}
        self.assertEqual({s for s, hops in order.items() if hops == 0}, set(sources))
        for row in water["reached"]:
            for name in row["by"]:
                ends = ship.links[name]["ends"]
                other = ends[ends[0] == row["space"]]
                if other in order:
                    self.assertEqual(order[other], row["order"] - 1)
                elif other in ("sea", "weather"):
                    self.assertEqual(row["order"], 1)
        for way in alone["spread"]:
            ends = ship.links[way["closure"]]["ends"]
            a, b = (0 if end in ("sea", "weather") else order.get(end) for end in ends)
            if a is not None and b is not None:
                self.assertLessEqual(abs(a - b), 1)

    @slow
    def test_at_equilibrium_what_is_shut_saves_what_floats_say(self):
        """Open closures that are sound: with --shut she floats as if it held."""
        tried = kept = 0
        for seed, ship, draw in self.each(range(30)):
            sound = [n for n, k in ship.links.items() if not k["passage"] and k["result"] == "pass"
                     and k["rating"] in ("watertight", "airtight")]
            opened = draw.sample(sound, min(3, len(sound)))
            how = ("--open", ",".join(opened)) if opened else ()
            low = [s for n in opened for s in ship.links[n]["ends"] if ship.spaces.get(s) == 0]
            source = draw.choice(low or list(ship.spaces))
            water = self.answers("ship.xml", "--source", source, "--hazard", "water", *how)["water"]
            before = {way["to"] for way in water["floats"]["spread"]}
            rows = {row["closure"]: row for row in water["shutting"]}
            for name in opened:
                rest = [n for n in opened if n != name]
                shut = self.other("float", "ship.xml", "--flooded", source, "--spread", "--shut", name,
                                  *(("--open", ",".join(rest)) if rest else ()))
                with self.subTest(seed=seed, closure=name):
                    row = rows.get(name)
                    tried += 1
                    if water["floats"]["afloat"]:
                        saves = before - {way["to"] for way in shut["spread"]}
                        self.assertEqual(set(row["saves"]) if row else set(), saves)
                        kept += len(saves)
                    else:
                        self.assertEqual(bool(row and row["keeps_afloat"]), shut["afloat"])
                        kept += shut["afloat"]
                        again = self.answers("ship.xml", "--source", source, "--hazard", "water", "--shut", name,
                                             *(("--open", ",".join(rest)) if rest else ()))["water"]
                        reached = {r["space"] for r in again["reached"]}
                        self.assertFalse(row and row["lost_anyhow"] and reached & set(row["saves"]))
        self.assertTrue(tried > 40 and kept > 10, (tried, kept))

    def test_the_only_way_is_not_said_of_what_fills_another_way_once_it_is_shut(self):
        """Holed in a, all open: by D1 she fills forward and is lost at once. With D1 shut g fills by D6 and puts her
        stern down until D4 and D3, 3.9 m up, are under: by these aft fills, then f, c and b from forward."""
        sills = (("D1", "a b", 1), ("D2", "b c", 1), ("D3", "aft f", 3.9), ("D4", "g aft", 3.9), ("D5", "c f", 1), ("D6", "a g", 1))
        boxes = (("aft", 0, 15), ("g", 15, 20), ("a", 20, 30), ("b", 30, 40), ("c", 40, 50), ("f", 50, 60))
        self.write("ship.xml", f'<arrangement xmlns="{SHIP_NS}" name="Round"><ship length="60" beam="10" depth="6" draft="3" kg="2"/>'
                   + "".join(f'<space id="{i}" name="{i}"><box x="{x} {end}" y="-5 5" z="0 6"/></space>' for i, x, end in boxes)
                   + "".join(f'<closure id="{i}" kind="door" between="{ends}" rating="watertight" shut-in=""><clear x="15" y="0" '
                             f'z="{z}" width="1" height="1" lies="transverse"/></closure>' for i, ends, z in sills) + "</arrangement>")
        shut_now = {s["closure"]: s for s in self.answers("ship.xml", "--source", "a", "--hazard", "water")["water"]["shutting"]}
        self.assertTrue(all(s["lost_anyhow"] for s in shut_now.values()))
        self.assertEqual({name: s["saves"] for name, s in shut_now.items()}, {"D5": ["f"], "D6": ["g"]})
        for name, ends, _ in sills:
            again = self.answers("ship.xml", "--source", "a", "--hazard", "water", "--shut", name)["water"]
            self.assertFalse({r["space"] for r in again["reached"]} & set(shut_now.get(name, {"saves": ()})["saves"]), name)

    def test_several_sources_are_one_set(self):
        for seed, ship, draw in self.each(range(20)):
            a, b = draw.sample(list(ship.spaces), 2)
            one, other, both = (self.answers("ship.xml", "--source", s, "--level", "3.4", "--condition", "port")
                                for s in (a, b, f"{a},{b}"))
            for hazard in ("water", "air"):
                with self.subTest(seed=seed, hazard=hazard):
                    found = [{r["space"]: r["order"] for r in answers[hazard]["reached"]}
                             for answers in (one, other, both)]
                    union = {s: min(found[0].get(s, 99), found[1].get(s, 99)) for s in {**found[0], **found[1]}}
                    self.assertEqual(found[2], union)
                    for line in both[hazard]["lines"]:
                        self.assertLessEqual({a, b}, set(line["given_up"]))
            again = self.asked("ship.xml", "--source", a, "--source", f"{b},{a}", "--level", "3.4",
                               "--condition", "port")
            self.assertEqual(again["sources"], [a, b])
            self.assertEqual({x["hazard"]: x for x in again["answers"]}, both)

    def test_who_is_exposed_by_a_closure_beside_the_source_is_saved_by_it(self):
        compared = 0
        for seed, ship, draw in self.each(range(25)):
            source = draw.choice(list(ship.spaces))
            how = ("--level", "3.4", "--condition", "port", *options_of(ship.seen()))
            for hazard, answer in self.answers("ship.xml", "--source", source, *how).items():
                for row in answer["shutting"]:
                    if row["against"] != source:
                        continue
                    rows = self.other("expose", "ship.xml", row["closure"], "--hazard", hazard, *how)["results"]
                    exposed = [r["exposed"] for r in rows if r["source"] == source]
                    with self.subTest(seed=seed, closure=row["closure"]):
                        self.assertEqual([row["saves"]], exposed)
                        compared += 1
        self.assertGreater(compared, 10)


class Page(Casualty):
    def page(self, *words):
        done = self.run_it("casualty", *words, *AS_OF)
        self.assertEqual(done.returncode, 0, done.stderr)
        self.assertRegex(done.stderr, rb"\A(coaming: ship.xml: \d+ warnings; [^\n]*\n)?\Z")
        text = done.stdout.decode()
        for line in text.splitlines():
            self.assertLessEqual(len(line), 80)
        self.assertNotRegex(text, r"(?i)\bsafe\b")
        self.assertEqual(text.count("Caution: "), 1)
        return text

    def test_one_source_of_the_demo_takes_one_page(self):
        for source in ("engine", "aux", "motor", "lobby", "bridge", "void-aft", "galley", "sea"):
            for more, most in (((), PAGE), (("--condition", "port"), CROWDED),
                               (("--condition", "sea", "--open", "D1,D2"), CROWDED)):
                text = self.page(*LOGGED, "--source", source, *more)
                self.assertLessEqual(len(text.splitlines()), most, (source, more))

    def test_the_page_says_what_the_document_does(self):
        shown = 0
        for source in ("engine", "aux", "lobby", "engine,aux"):
            for hazard in ("water", "air"):
                for more in ((), ("--condition", "port", "--open", "D2,D10", "--failed", "D7")):
                    words = (*LOGGED, "--source", source, "--hazard", hazard, *more)
                    answer = self.answers(*words)[hazard]
                    flat = " ".join(self.page(*words).split())
                    goes = flat[flat.index("As the doors are it goes on"):]
                    names = [r["space"] for r in answer["reached"] if r["order"]]
                    self.assertEqual(f"; then to {len(names) - 12} space" in goes, len(names) > 12)
                    names = names[:12]
                    at = [re.search(rf"(to|,) {re.escape(name)} by", goes).start() for name in names]
                    self.assertEqual(at, sorted(at))
                    found = [re.search(rf" {row['closure']} (from {row['from']}\b|(from|FROM INSIDE) {row['against']}\b)", flat).start()
                             for row in answer["shutting"]]
                    self.assertEqual(found, sorted(found))
                    shown += len(found)
                    self.assertEqual("SHUT AT ONCE" in flat, bool(found or names))
                    self.assertEqual("no closure by itself keeps anything" in flat, bool(names and not found))
                    self.assertEqual("CANNOT BE SHUT" in flat, bool(answer["cannot_be_shut"]))
                    for line in answer["lines"]:
                        if not line["recommended"]:
                            continue
                        posts = flat[flat.index("LINE TO HOLD ("):]
                        self.assertIn(f"LINE TO HOLD ({line['line']} of {len(answer['lines'])}): ", posts)
                        for c in line["closures"]:
                            self.assertRegex(posts, rf"\b{c['closure']}( and \w+)* against " + (
                                "" if self.to_do(c) else rf"|from: ((inside )?\S+ \w+( and \w+)*; )*(inside )?\S+ (\w+ and )*{c['closure']}\b"))
                            if c["must_be_shut"]:
                                self.assertRegex(posts, rf"SHUT (\w+ and )*{c['closure']}\b")
        self.assertGreater(shown, 10)

    def test_two_ways_round_leave_no_closure_that_helps_by_itself(self):
        """Smoke in a, four spaces in a ring, every door open: shutting one leaves the way round."""
        boxes = (("a", "0 30", "0 5"), ("b", "30 60", "0 5"), ("c", "30 60", "-5 0"), ("d", "0 30", "-5 0"))
        self.write("ship.xml", f'<arrangement xmlns="{SHIP_NS}" name="Ring"><ship length="60" beam="10" depth="6" draft="2"/>'
                   '<condition id="open"/><condition id="sea"/>'
                   + "".join(f'<space id="{i}" name="{i}"><box x="{x}" y="{y}" z="0 6"/></space>' for i, x, y in boxes)
                   + "".join(f'<closure id="D{i}" kind="door" between="{ends}" rating="airtight" shut-in="sea"/>'
                             for i, ends in enumerate(("a b", "b c", "c d", "d a"))) + "</arrangement>")
        for more, told in ((("--condition", "open"), True), (("--condition", "sea"), False)):
            words = ("ship.xml", "--source", "a", "--hazard", "air", *more)
            self.assertEqual(self.answers(*words)["air"]["shutting"], [])
            says = "SHUT AT ONCE: the whole line to hold; no closure by itself keeps anything clean."
            self.assertEqual(says in " ".join(self.page(*words).split()), told)
            sheet = self.run_it("casualty", *words, "--format", "html", *AS_OF).stdout.decode()
            self.assertEqual(("NOTHING TO SHUT" in sheet, "the whole line to hold; no closure by itself" in re.sub(r"<[^>]*>|\s+", " ", sheet)),
                             (not told, told))

    def test_of_doors_that_save_as_much_the_first_of_the_file_comes_first(self):
        """Smoke in a, in the middle of three dead ends of the same worth."""
        boxes = (("a", "0 30", "0 5"), ("b", "30 60", "0 5"), ("c", "0 30", "-5 0"), ("d", "0 30", "5 8"))
        self.write("ship.xml", f'<arrangement xmlns="{SHIP_NS}" name="Star"><ship length="60" beam="16" depth="6" draft="2"/>'
                   + "".join(f'<space id="{i}" name="{i}"><box x="{x}" y="{y}" z="0 6"/></space>' for i, x, y in boxes)
                   + "".join(f'<closure id="{i}" kind="door" between="a {end}" rating="airtight" shut-in=""/>'
                             for i, end in (("D3", "b"), ("D1", "c"), ("D2", "d"))) + "</arrangement>")
        found = self.answers("ship.xml", "--source", "a", "--hazard", "air")["air"]
        self.assertEqual(found["shut_now"], ["D3", "D1", "D2"])

    def test_a_line_of_closures_of_the_line_before_names_them(self):
        flat = " ".join(self.page(BARGE, "--source", "machinery", "--condition", "working", "--hazard", "water").split())
        self.assertIn("Second line (3 of 3), holds 85.6 %: only D2, as before.", flat)
        lines = self.answers(*LOGGED, "--source", "aux", "--hazard", "air", "--condition", "port")["air"]["lines"]
        first, second = ({c["closure"] for c in line["closures"]} for line in lines[:2])
        self.assertTrue(lines[0]["recommended"] and second < first)
        flat = " ".join(self.page(*LOGGED, "--source", "aux", "--hazard", "air", "--condition", "port").split())
        self.assertRegex(flat, rf"Second line \(2 of {len(lines)}\), holds [0-9.]+ %: as before without {', '.join(first - second)}[.;]")

    def test_nobody_is_sent_into_a_tank_that_is_shut_from_the_other_side(self):
        """From where a closure of the line is worked boundary says too, of the spaces given up."""
        inside = 0
        for source, hazard in (("aux", "air"), ("engine", "air"), ("aux", "water"), ("thruster", "water")):
            how = (*LOGGED, "--hazard", hazard, "--condition", "port")
            line, = (l for l in self.answers(*how, "--source", source)[hazard]["lines"] if l["recommended"])
            bound = self.other("boundary", *how, ",".join(line["given_up"]))
            sides = {l["link"]: (l["side"], l["from_inside"]) for l in bound["links"]}
            done = self.run_it("casualty", *how, "--source", source, "--format", "csv", *AS_OF)
            rows = [r for r in csv.DictReader(io.StringIO(done.stdout.decode())) if r["what"] == "line_to_hold"]
            self.assertEqual({r["closure"]: r["from"] for r in rows if r["closure"] in sides},
                             {r["closure"]: sides[r["closure"]][0] for r in rows if r["closure"] in sides})
            flat = " ".join(self.page(*how, "--source", source).split())
            text = " ".join(self.run_it("hold", *how, "--source", source, *AS_OF).stdout.decode().split())
            for r in rows:
                if sides.get(r["closure"], (0, False))[1]:
                    inside += 1
                    self.assertRegex(flat, rf"{r['from']}: FROM INSIDE [^;:]*\b{r['closure']}( and \w+)* against|inside {r['from']} (\w+ and )*{r['closure']}\b")
                    self.assertRegex(text, rf"{r['closure']}, [^:]*FROM INSIDE {r['from']} against {r['against']}\b")
        self.assertGreater(inside, 4)

    @staticmethod
    def to_do(c):
        """Is there something to do there, or to doubt?"""
        return c["must_be_shut"] or c["slows"] or c["result"] != "pass"

    def test_what_is_lost_if_it_fails_is_what_the_line_behind_gives_up(self):
        behind = none = 0
        spaces = {s.get("id"): s for s in ET.parse(DEMO).getroot().iter(f"{{{SHIP_NS}}}space")}
        for source in ("engine", "aux", "lobby", "hangar", "forepeak", "sea"):
            for hazard in ("water", "air")[:1 + (source != "sea")]:
                words = (*LOGGED, "--source", source, "--hazard", hazard)
                lines = self.answers(*words)[hazard]["lines"]
                flat = " ".join(self.page(*words).split())
                if not lines:
                    self.assertNotIn("If it fails", flat)
                    continue
                first = next((i for i, line in enumerate(lines) if line["recommended"]), 0)
                behind_it = [line for line in lines[first + 1:] if line["not_held"] is None]
                lost = set(behind_it[0]["given_up"]) if behind_it else set(lines[first]["kept"])
                told = re.search(r"If it fails, (.*?)\. In all (\d+) spaces?(?:; vital: ([^;.]*))?"
                                 r"(?:; (\d+) (?:person|people) counted)?(?:; she is ([\w ]+))?\.", flat)
                self.assertEqual(int(told[2]), len(lost), (source, hazard, told[0]))
                vital = [name for name in spaces if name in lost and spaces[name].get("vital") == "yes"]
                self.assertEqual((told[3] or "").split(", ")[:len(vital)], vital or [])
                people = sum(int(spaces[name].get("people", 0)) for name in lost)
                self.assertEqual(int(told[4] or 0), people)
                if behind_it:
                    behind += 1
                    new = [n for n in behind_it[0]["given_up"] if n not in lines[first]["given_up"]]
                    self.assertIn(", ".join(new[:8]), told[1])
                    self.assertEqual(told[5], {"within": "within limits", "beyond": "beyond limits", "lost": "lost",
                                               "not_surviving": "not surviving"}.get(behind_it[0]["grade"]))
                else:
                    none += 1
                    self.assertEqual((told[1], told[5]),
                                     ("no line behind it is to be counted on: all that it kept may go", None))
        self.assertTrue(behind > 4 and none, (behind, none))

    @slow
    def test_two_thousand_spaces_take_one_page_a_hazard_and_nothing_is_cut_in_silence(self):
        """Five decks, three abreast; every third door stands open in port, every ninth has failed."""
        lines, links = [f'<arrangement xmlns="{SHIP_NS}" name="Drawn"><ship length="804" beam="12" depth="13" draft="5"'
                        ' kg="4"/><condition id="sea" name="At sea"/><condition id="port" name="In port"/>'], []
        box = {(x, y, z): f"s{x}-{y}-{z}" for x in range(134) for z in range(5) for y in range(3)}
        for (x, y, z), name in box.items():
            vital = ' vital="yes"' * (x % 3 == 0)
            lines.append(f'<space id="{name}" name="{name}" people="{x % 2}"{vital}><box x="{6 * x} {6 * x + 6}" '
                         f'y="{4 * y - 6} {4 * y - 2}" z="{2.6 * z} {2.6 * z + 2.6}"/></space>')
            links += [(name, box[to]) for to in ((x + 1, y, z), (x, y + 1, z), (x, y, z + 1)) if to in box]
        for k, (a, b) in enumerate(links):
            test = f'<test date="2026-0{1 + k % 9}-01" method="chalk" result="{"fail" if k % 9 == 4 else "pass"}"/>'
            lines.append(f'<closure id="c{k}" kind="door" between="{a} {b}" rating="watertight" '
                         f'shut-in="sea{"" if k % 3 == 0 else " port"}">{test * (k % 7 > 0)}</closure>')
        self.write("ship.xml", "".join(lines) + "</arrangement>")
        for source in ("s60-1-1", "s3-0-0,s100-2-2"):
            for hazard in ("water", "air"):
                words = ("ship.xml", "--source", source, "--condition", "port", "--hazard", hazard)
                text = self.page(*words)
                self.assertLessEqual(len(text.splitlines()), PAGE, (source, hazard))
                answer, flat = self.answers(*words)[hazard], " ".join(text.split())
                names = [r["space"] for r in answer["reached"] if r["order"]]
                goes = flat[flat.index("it goes on:"):]
                told = [name for name in names if f"to {name} by" in goes or f", {name} by" in goes]
                self.assertLess(len(told), len(names))
                self.assertIn(f"then to {len(names) - len(told)} spaces more.", goes)
                shut = re.findall(r"\b(c\d+) from s", flat[:flat.index("LINE TO HOLD" if "LINE TO HOLD" in flat else "Caution")])
                self.assertEqual(shut, answer["shut_now"][:len(shut)])
                if len(shut) < len(answer["shut_now"]):
                    self.assertIn(f" and {len(answer['shut_now']) - len(shut)} more ", flat)

    def test_what_holds_only_slowly_and_what_is_seen_says_so(self):
        text = " ".join(self.page(*LOGGED, "--source", "engine,aux", "--condition", "port", "--open", "D10",
                                  "--shut", "D1").split())
        self.assertRegex(text, r"D10 from workshop against engine: [^;]*; open \(as seen\)")
        self.assertRegex(text, r"CANNOT BE SHUT, or does not hold shut: [^.]*D1 \(FAILED 2026-09-14 by chalk\)")

        self.write("slow.xml", f"""<arrangement xmlns="{SHIP_NS}" name="Slow">
<ship length="40" beam="10" depth="6" draft="3" kg="2"/>
<space id="a" name="A" shell="yes"><box x="0 4" y="-5 5" z="0 6"/></space>
<space id="b" name="B"><box x="4 8" y="-5 5" z="0 6"/></space>
<closure id="W" kind="door" between="a b" rating="weathertight">
<clear x="4" y="0" z="1" width="0.7" height="1.7" lies="transverse"/>
<test date="2026-01-31" method="hose" result="pass"/></closure></arrangement>""")
        text = " ".join(self.page("slow.xml", "--source", "a").split())
        self.assertIn("W (weathertight only, under water: shut it: it slows, it may not hold)", text)

class Lines(Casualty):
    def test_csv_has_a_line_for_each_thing_in_the_document(self):
        for words in ((*LOGGED, "--source", "engine", "--condition", "port"), (BARGE, "--source", "sea,machinery")):
            done = self.run_it("casualty", *words, "--format", "csv", *AS_OF)
            self.assertEqual((done.returncode, done.stderr), (0, b""))
            rows = list(csv.DictReader(io.StringIO(done.stdout.decode(), newline="")))
            wanted = []
            for hazard, a in self.answers(*words).items():
                wanted += [("reached", hazard, str(r["order"]), r["space"], " ".join(r["by"])) for r in a["reached"]]
                wanted += [("shut_now", hazard, str(k), r["closure"], r["from"], r["against"], r["saved"])
                           for k, r in enumerate(a["shutting"], 1)]
                wanted += [("cannot_be_shut", hazard, str(k), name) for k, name in enumerate(a["cannot_be_shut"], 1)]
                wanted += [("line_to_hold" if line["recommended"] else "line", hazard, str(line["line"]), c["closure"],
                            "yes" if c["must_be_shut"] else "no", c["result"], c["tested"] or "")
                           for line in a["lines"] for c in line["closures"]]
            found = [(r["what"], r["hazard"], r["rank"], *(
                (r["space"], r["closure"]) if r["what"] == "reached" else
                (r["closure"], r["from"], r["against"], float(r["saved"])) if r["what"] == "shut_now" else
                (r["closure"],) if r["what"] == "cannot_be_shut" else
                (r["closure"], r["must_be_shut"], r["result"], r["tested"]))) for r in rows]
            self.assertEqual(found, wanted)
            kept = {line["line"]: set(line["given_up"]) for line in self.answers(*words)["air"]["lines"]}
            for r in rows:
                if r["hazard"] == "air" and r["what"].startswith("line"):
                    self.assertEqual(len({r["from"], r["against"]} & kept[int(r["rank"])]), 1, r)


class Refused(Casualty):
    def test_one_error_and_no_answer(self):
        self.one_line(USAGE, "casualty", BARGE, says=("--source",))
        self.one_line(INPUT, "casualty", BARGE, "--source", "machinry", says=("machinry", "machinery"))
        self.one_line(INPUT, "casualty", BARGE, "--source", "machinery,nowhere", says=("nowhere",))
        self.one_line(USAGE, "casualty", BARGE, "--source", ",", says=("--source", "place"))
        self.one_line(USAGE, "casualty", BARGE, "--source", "machinery", "--measure", "gm", says=("gm",))
        self.one_line(USAGE, "casualty", BARGE, "--source", "machinery", "--measure", "survival",
                      says=("it must be worth, volume, people or spaces",))
        self.assertNotIn("survival", self.good("__complete", "casualty", "--measure="))
        self.one_line(USAGE, "casualty", BARGE, "--source", "machinery", "--format", "ical", says=("ical",))
        self.one_line(INPUT, "casualty", BARGE, "--source", "machinery", "--open", "D99", says=("D99",))

    def test_the_sea_is_no_source_of_bad_air(self):
        for words in ((), ("--format", "html")):
            self.one_line(USAGE, "casualty", BARGE, "--source", "sea", "--hazard", "air", *words, says=("no source of bad air",))
        self.assertEqual(list(self.answers(BARGE, "--source", "sea")), ["water"])
        self.assertNotIn("SMOKE", self.good("casualty", BARGE, "--source", "sea", "--format", "html", *AS_OF))
        self.assertEqual(list(self.answers(BARGE, "--source", "sea,weather")), ["water", "air"])

    def test_the_weather_carries_only_where_it_is_the_source(self):
        for source, carried in (("weather", True), ("machinery", False)):
            air = self.answers(BARGE, "--source", source, "--level", "still", "--condition", "working")["air"]
            weather = {name for r in air["reached"] for name in r["by"]}
            self.assertEqual(bool(weather & {"H1", "V2"}), carried, weather)


if __name__ == "__main__":
    unittest.main()
