#!/usr/bin/python3
"""What seals spaces off (`coaming boundary`), against plain enumeration.

Of random ships every answer is worked out anew from the arrangement's own XML: which links have one
end in the set, what each keeps back, whether it is open, how it stands (standing.py), and who can
work it. The walks are those that `round` finds in a ship in which nobody walks in the set, and in the
ship as she is; the water stands where `float` puts it with the set open to the sea; chances are those
of `rank`. Then what is sealed lets nothing out, and the boundary of the rest is the same.

Needs Python 3.11, its standard library only.
Environment: COAMING, COAMING_ROOT; COAMING_BOUNDARY_SHIPS, how many ships. The ships are invented.
"""

import csv
import io
import json
import math
import os
import random
import re
import sys
import unittest
import xml.etree.ElementTree as ET
from pathlib import Path

sys.dont_write_bytecode = True  # leaves no files behind
sys.path.insert(0, str(Path(__file__).resolve().parent))
import standing  # noqa: E402
from harness import AS_OF, BARGE, DEMO, DEMO_LOG, DONE, FOUND, INPUT, SHIP_NS, USAGE, Case  # noqa: E402

SHIPS = int(os.environ.get("COAMING_BOUNDARY_SHIPS", "40"))
OUTSIDE = ("sea", "weather")
CONDITIONS = ("harbour", "passage")
CLOSURES = ("door", "door", "door", "hatch", "manhole", "valve", "ventilator", "scuttle")
PASSAGES = ("arch", "duct", "pipe", "stair")
LONG, WIDE, HIGH = 42, 10, 7


# ---------------------------------------------------------------- random ships


def spot(rng, a, b, boxes):
    """An opening between two boxes, or in the top or side of one."""
    x, y, z = ([max(boxes[p][i][0] for p in (a, b) if p in boxes), min(boxes[p][i][1] for p in (a, b) if p in boxes)]
               for i in range(3))
    lies = "transverse" if x[0] == x[1] else "longitudinal" if y[0] == y[1] else "deck"
    if "weather" in (a, b):
        return rng.uniform(*x), rng.uniform(*y), z[1], "deck"
    if "sea" in (a, b):
        return rng.uniform(*x), y[1], rng.uniform(z[0], (z[0] + z[1]) / 2), "longitudinal"
    low = z[0] if z[0] == z[1] else rng.uniform(z[0], z[0] + 1.5)
    return rng.uniform(*x), rng.uniform(*y), low, lies


def random_ship(seed):
    rng = random.Random(seed)
    bays, sides, decks = rng.randint(2, 4), rng.randint(1, 2), 2
    cells = [(i, j, k) for i in range(bays) for j in range(sides) for k in range(decks)]
    ids = {cell: f"s{n}" for n, cell in enumerate(cells)}
    boxes = {ids[i, j, k]: ((LONG / bays * i, LONG / bays * (i + 1)),
                            (-5 + WIDE / sides * j, -5 + WIDE / sides * (j + 1)), (3.5 * k, 3.5 * (k + 1)))
             for i, j, k in cells}
    pairs = [(ids[a], ids[b]) for n, a in enumerate(cells) for b in cells[:n]
             if sum(abs(p - q) for p, q in zip(a, b)) == 1 and rng.random() < 0.8]
    pairs += [(s, "weather") for (_, _, k), s in ids.items() if k == 1 and rng.random() < 0.7]
    pairs += [(s, "sea") for (_, j, k), s in ids.items() if k == 0 and j == sides - 1 and rng.random() < 0.5]
    pairs += [rng.choice(pairs) for _ in range(rng.randint(0, 3))]
    lines = [f'<arrangement xmlns="{SHIP_NS}" name="Random {seed}">',
             f'<ship length="{LONG}" beam="{WIDE}" depth="{HIGH}" draft="2.6" kg="2.4"/>',
             *(f'<condition id="{name}"/>' for name in CONDITIONS)]
    for space, box in boxes.items():
        more = (' walkable="no"' if rng.random() < 0.1 else "") + (' enclosed="yes"' if rng.random() < 0.15 else "")
        lines.append(f'<space id="{space}" name="Space {space}"{more}><box ' +
                     " ".join(f'{axis}="{low} {high}"' for axis, (low, high) in zip("xyz", box)) + "/></space>")
    closures, passages = [], []
    for number, (a, b) in enumerate(pairs):
        x, y, z, lies = spot(rng, a, b, boxes)
        wide = rng.choice((0.3, 0.7, 0.9))
        clear = f'<clear x="{x}" y="{y}" z="{z}" width="{wide}" height="{wide + 0.8}" lies="{lies}"/>'
        ends = (a, b) if rng.random() < 0.5 else (b, a)
        if rng.random() < 0.12 and "sea" not in (a, b):
            passages.append(f'<passage id="P{number}" kind="{rng.choice(PASSAGES)}" between="{" ".join(ends)}">'
                            f"{clear}</passage>")
            continue
        shut_in = rng.choice((None, None, "harbour", "passage", "harbour passage", ""))
        kind = "valve" if "sea" in ends else rng.choice(CLOSURES)
        inner = [clear] + [f'<from side="{rng.choice(ends)}"/>'] * (rng.random() < 0.25)
        dates = sorted(f"2026-{rng.randint(1, 10):02}-{rng.randint(10, 28)}" for _ in range(rng.randint(0, 3)))
        inner += [f'<test date="{date}" method="{rng.choice(("chalk", "hose", "visual"))}" '
                  f'result="{rng.choice(("pass", "pass", "fail"))}"/>' for date in dates]
        closures.append(
            f'<closure id="C{number}" kind="{kind}" between="{" ".join(ends)}" '
            f'rating="{rng.choices(("watertight", "weathertight", "airtight", "nontight"), (6, 3, 1, 1))[0]}"'
            + (' remote="yes"' + "".join(f' {by}="{rng.choice(list(boxes))}"' for by in ("power", "control")
                                         if rng.random() < 0.5) if rng.random() < 0.4 else "")
            + (f' shut-in="{shut_in}"' if shut_in is not None else "") + ">" + "".join(sorted(inner, key=order_in))
            + "</closure>")
    spaces = list(boxes)
    chosen = sorted(rng.sample(spaces, rng.randint(1, max(1, len(spaces) // 2))), key=spaces.index)
    return rng, "\n".join([*lines, *closures, *passages, "</arrangement>\n"]), spaces, chosen


def order_in(element):
    return ("<clear", "<from", "<test").index(element[:5 if element[1] == "f" else 6].strip())


# ---------------------------------------------------------------- worked out anew


class Ship:
    """What the file says, read by a reader of its own."""

    def __init__(self, text):
        root = ET.fromstring(text)
        self.spaces = {s.get("id"): s for s in root if s.tag.endswith("}space")}
        self.links = [link for tag in ("closure", "passage") for link in root if link.tag.endswith("}" + tag)]
        self.tops = {name: max(float(box.get("z").split()[1]) for box in space)
                     for name, space in self.spaces.items()}

    @staticmethod
    def ends(link):
        return link.get("between").split()

    @staticmethod
    def child(link, tag):
        return next((e for e in link if e.tag.endswith("}" + tag)), None)

    def edge(self, link):
        return [float(self.child(link, "clear").get(axis)) for axis in "xyz"]

    @staticmethod
    def is_passage(link):
        return link.tag.endswith("}passage")

    @staticmethod
    def ever_shut(link):
        return link.get("shut-in") != ""

    def tight(self, link):
        return not self.is_passage(link) and self.ever_shut(link) and link.get("rating") != "nontight"

    def is_open(self, link, condition, seen):
        if self.is_passage(link) or link.get("id") in seen["open"]:
            return True
        if link.get("id") in seen["shut"]:
            return False
        named = link.get("shut-in")
        return not self.ever_shut(link) or not (condition is None or named is None or condition in named.split())

    def stands(self, link, seen):
        if self.is_passage(link):
            return {key: None for key in ("result", "result_date", "result_method", "looked_at")}
        tests = sorted(({"date": t.get("date"), "method": t.get("method"), "result": t.get("result")}
                        for t in link if t.tag.endswith("}test")), key=lambda t: t["date"])
        found = standing.stands(tests)
        if link.get("id") in seen["failed"]:
            found.update(result="fail", result_date=None, result_method=None)
        return found

    def stand_at(self, link, place):
        """Can somebody stand there, and does the file let the link be worked from there?"""
        side = self.child(link, "from")
        if side is not None and side.get("side") != place:
            return False
        return place == "weather" or (place != "sea" and self.spaces[place].get("walkable") != "no")

    def enclosed(self, place):
        return place not in OUTSIDE and self.spaces[place].get("enclosed") == "yes"

    def worked_from(self, link, inside, outside):
        """None: nobody can stand where it is worked."""
        outer, inner = self.stand_at(link, outside), self.stand_at(link, inside)
        if outer and not (inner and self.enclosed(outside) and not self.enclosed(inside)):
            return outside
        return inside if inner else outside if outer else None


def reach(links, start):
    """All that is joined to the start by these pairs of ends; nothing goes on from outside."""
    found, todo = set(start), list(start)
    while todo:
        here = todo.pop()
        for ends in links:
            if here in ends:
                other = ends[1] if ends[0] == here else ends[0]
                if other not in found:
                    found.add(other)
                    todo += [other] if other not in OUTSIDE else []
    return found


class RandomShips(Case):
    """Every part of the answer."""

    def told(self, *words, statuses=(DONE,)):
        done = self.run_it(*words, *AS_OF, "--format", "json")
        self.assertIn(done.returncode, statuses, (words, done.stderr))
        return json.loads(done.stdout), done.returncode

    def ask(self, seed):
        """The ship, the question and the answer."""
        rng, text, spaces, chosen = random_ship(seed)
        self.write("ship.xml", text)
        ship = Ship(text)
        condition = rng.choice((None, *CONDITIONS))
        seen = {kind: [] for kind in ("open", "shut", "failed")}
        for link in ship.links:
            if not ship.is_passage(link) and rng.random() < 0.25:
                tight = link.get("rating") != "nontight"
                seen[rng.choice(("open", "shut", "failed") if tight else ("open", "failed"))].append(link.get("id"))
        level = rng.choice(("equilibrium", "equilibrium", "still", "full", "1.75"))
        hazard = rng.choice(("water", "air", "both", "both"))
        start = rng.choice(("weather", *(s for s in spaces if s not in chosen and ship.spaces[s].get("walkable") != "no"
                                         and not ship.enclosed(s))))
        for name in seen["shut"]:  # what is seen shut can be shut
            link = next(x for x in ship.links if x.get("id") == name)
            if not ship.ever_shut(link):
                link.set("shut-in", "seen")
        words = [w for kind, ids in seen.items() if ids for w in ("--" + kind, ",".join(ids))]
        words += ["--condition", condition] if condition else []
        listed = chosen if rng.random() < 0.5 else [",".join(chosen)]
        answer, status = self.told("boundary", "ship.xml", *listed, *words, "--level", level, "--hazard", hazard,
                                   "--start", start, statuses=(DONE, FOUND))
        return {"ship": ship, "text": text, "spaces": spaces, "set": chosen, "condition": condition, "seen": seen,
                "words": words, "level": level, "hazard": hazard, "start": start, "answer": answer,
                "status": status, "rows": answer["links"]}

    def heights(self, q):
        """Of a place above the water, m, by float; None: she does not stay afloat."""
        ship, level = q["ship"], q["level"]
        if level != "equilibrium":
            plane = {"still": 2.6, "full": max([2.6, *(ship.tops[s] for s in q["set"])]), "1.75": 1.75}[level]
            return lambda x, y, z: z - plane
        wet = sorted({*q["set"], *(row["space"] for row in q["answer"]["let_in"])})
        at, _ = self.told("float", "ship.xml", "--flooded", ",".join(wet))
        if not at["afloat"]:
            return None
        aft, fore, heel = at["draught_aft"], at["draught_fwd"], math.radians(at["heel"])
        slope = math.tan(heel)
        steep = math.sqrt(1 + slope ** 2 + ((fore - aft) / LONG) ** 2)
        return lambda x, y, z: (z - (aft + (fore - aft) * x / LONG + slope * y)) / steep

    def expected(self, q, link, height):
        """What a row says of the link, but for walks and chances."""
        ship = q["ship"]
        ends = ship.ends(link)
        inside = next(e for e in ends if e in q["set"])
        outside = ends[1 - ends.index(inside)]
        tight, rating = ship.tight(link), link.get("rating")
        above = None if height is None else height(*ship.edge(link))
        water = ("not_reached" if above is not None and above >= 0 else "passes" if not tight
                 else "slows" if rating == "weathertight" else "holds") if q["hazard"] != "air" else None
        air = ("not_reached" if "sea" in ends else "holds" if tight else "passes") if q["hazard"] != "water" else None
        is_open = ship.is_open(link, q["condition"], q["seen"])
        keeps = {water, air}
        group = ("cannot_be_shut" if "passes" in keeps else "not_reached" if not keeps & {"holds", "slows"}
                 else "to_shut" if is_open else "shut")
        return {"link": link.get("id"), "kind": link.get("kind"), "rating": rating, "inside": inside,
                "outside": outside, "water": water, "air": air, "open": is_open, "group": group,
                "remote": link.get("remote") == "yes" and not {link.get("power"), link.get("control")} & set(q["set"]), **ship.stands(link, q["seen"])}, above

    def check_rows(self, q):
        ship = q["ship"]
        height = self.heights(q) if q["hazard"] != "air" else None
        across = [x for x in ship.links if sum(e in q["set"] for e in ship.ends(x)) == 1]
        self.assertEqual(sorted(row["link"] for row in q["rows"]), sorted(x.get("id") for x in across))
        for row in q["rows"]:
            link = next(x for x in across if x.get("id") == row["link"])
            wanted, above = self.expected(q, link, height)
            if above is None:
                self.assertIsNone(row["height"])
            else:
                self.assertAlmostEqual(row["height"], above, delta=1e-6)
                if abs(above) < 1e-6:  # rounding decides
                    continue
            self.assertEqual({key: row[key] for key in wanted}, wanted)

    def check_order(self, q):
        """Groups, doubt, files; the counts of the head; the status."""
        place = {x.get("id"): i for i, x in enumerate(q["ship"].links)}
        groups = ["cannot_be_shut", "to_shut", "shut", "not_reached"]
        doubt = ["fail", "untested", "pass"]
        keys = [(groups.index(r["group"]), 0 if r["group"] != "shut" else doubt.index(r["result"]),
                 0 if r["group"] == "to_shut" else place[r["link"]]) for r in q["rows"]]
        self.assertEqual(keys, sorted(keys))
        counts = q["answer"]["counts"]
        self.assertEqual([counts[g] for g in groups], [sum(r["group"] == g for r in q["rows"]) for g in groups])
        self.assertEqual(counts["slow"], sum("slows" in (r["water"], r["air"]) for r in q["rows"]
                                             if r["group"] in ("to_shut", "shut")))
        self.assertEqual(counts["sure_to_leak"], sum(r["link"] in q["seen"]["failed"] for r in q["rows"]
                                                     if r["group"] in ("to_shut", "shut")))
        self.assertEqual(q["status"], FOUND if counts["cannot_be_shut"] or counts["slow"] or counts["sure_to_leak"]
                         else DONE)

    def walked(self, q, name, closures):
        if not closures:
            return [], 0, 0
        found, _ = self.told("round", name, *closures, "--start", q["start"])
        return found["stops"], found["walk_metres"], found["walk_seconds"]

    def check_walk(self, q):
        """The two walks, one after the other, are those of `round`."""
        ship = q["ship"]
        shut = [r for r in q["rows"] if r["group"] == "to_shut"]
        closed = q["text"]
        for space in q["set"]:
            named = f'<space id="{space}" name="Space {space}"'
            closed = closed.replace(f'{named} walkable="no"', named)
            closed = closed.replace(named, f'{named} walkable="no"')
        self.write("closed.xml", closed)
        side = {}
        for row in q["rows"]:
            link = next(x for x in ship.links if x.get("id") == row["link"])
            worked = None if ship.is_passage(link) else ship.worked_from(link, row["inside"], row["outside"])
            side[row["link"]] = worked
            if row["group"] != "to_shut" or row["stop"] is None:
                self.assertEqual(row["side"], worked)
        place = [x.get("id") for x in ship.links]
        outer = sorted((r["link"] for r in shut if side[r["link"]] == r["outside"]), key=place.index)
        stops, metres, seconds = self.walked(q, "closed.xml", outer)
        self.assertAlmostEqual(q["answer"]["walk_metres"], metres, delta=1e-9)
        self.assertAlmostEqual(q["answer"]["walk_seconds"], seconds, delta=1e-9)
        reached = {s["closure"] for s in stops}
        inner = sorted((r["link"] for r in shut if side[r["link"]] and r["link"] not in reached), key=place.index)
        through, _, _ = self.walked(q, "ship.xml", inner)
        wanted = [(s["closure"], s["from"], s["walk_metres"], s["through"], s["enclosed"], False) for s in stops]
        wanted += [(s["closure"], s["from"], s["walk_metres"], s["through"], s["enclosed"], True) for s in through]
        told = [(r["link"], r["side"], r["walk_metres"], r["through"], r["enclosed"], r["through_set"])
                for r in shut if r["stop"] is not None]
        self.assertEqual(told, wanted)
        self.assertEqual([r["stop"] for r in shut if r["stop"]], list(range(1, len(wanted) + 1)))
        rest = [r["link"] for r in shut if r["stop"] is None]
        self.assertEqual(rest, [x for x in place if x in {r["link"] for r in shut} - {w[0] for w in wanted}])
        self.assertEqual([r["link"] for r in shut], [w[0] for w in wanted] + rest)  # each once
        for row in shut:
            if row["stop"] is not None and not row["through_set"]:
                self.assertFalse({row["side"], *row["enclosed"]} & set(q["set"]))
        return len(stops), len(through), len(rest)

    def check_chances(self, q):
        if not q["rows"]:
            return
        ranked, _ = self.told("rank", "ship.xml", "--level", "still", "--risk", "none", *q["words"])
        leaks = {c["closure"]: c["leak_probability"] for c in ranked["closures"]}
        chance = 1
        for row in q["rows"]:
            link = next(x for x in q["ship"].links if x.get("id") == row["link"])
            leak = leaks[row["link"]] if q["ship"].tight(link) else 1
            leak = max(leak, 0.5) if row["water"] == "slows" else leak
            self.assertEqual(row["leak_probability"], leak)
            chance *= 1 - leak if row["group"] != "not_reached" else 1
        self.assertAlmostEqual(q["answer"]["chance"], chance, delta=1e-12)

    def check_sealed(self, q):
        """With these links shut and all others open nothing gets out; and each of them is needed."""
        ship = q["ship"]
        rows = {r["link"] for r in q["rows"]}
        others = [ship.ends(x) for x in ship.links if x.get("id") not in rows]
        self.assertEqual(reach(others, q["set"]), set(q["set"]))
        for row in q["rows"]:
            self.assertIn(row["outside"], reach([*others, (row["inside"], row["outside"])], q["set"]))

    def check_rest(self, q):
        """The boundary of all other spaces has the same links between spaces."""
        rest = [s for s in q["spaces"] if s not in q["set"]]
        other, _ = self.told("boundary", "ship.xml", *rest, *q["words"], "--hazard", q["hazard"],
                             statuses=(DONE, FOUND))
        between = [{(r["link"], *sorted((r["inside"], r["outside"]))) for r in rows if r["outside"] not in OUTSIDE}
                   for rows in (q["rows"], other["links"])]
        self.assertEqual(*between)
        return len(between[0])

    def test_every_answer_is_that_of_plain_enumeration(self):
        met, parts, between = {}, [0, 0, 0], 0
        for seed in range(SHIPS):
            with self.subTest(seed=seed):
                q = self.ask(seed)
                self.check_rows(q)
                self.check_order(q)
                parts = [a + b for a, b in zip(parts, self.check_walk(q))]
                self.check_chances(q)
                self.check_sealed(q)
                between += self.check_rest(q)
                for row in q["rows"]:
                    for key in ("group", "water", "air", "result", "rating"):
                        met[key, row[key]] = met.get((key, row[key]), 0) + 1
        for key, values in {"group": ("cannot_be_shut", "to_shut", "shut", "not_reached"),
                            "water": ("holds", "slows", "passes", "not_reached", None),
                            "air": ("holds", "passes", "not_reached", None),
                            "result": ("pass", "fail", "untested", None)}.items():
            for value in values:
                self.assertGreater(met.get((key, value), 0), 0, (key, value))
        self.assertTrue(all(parts) and between, (parts, between))


# ---------------------------------------------------------------- words and refusals


class Words(Case):
    def page(self, *words, status=DONE):
        done = self.run_it("boundary", *words, *AS_OF)
        self.assertEqual(done.returncode, status, done.stderr)
        return done.stdout.decode()

    def test_the_first_sentence_says_how_many_to_shut_and_how_many_cannot_be(self):
        text = self.page(DEMO, "engine", "--condition", "port", "--log", DEMO_LOG, status=FOUND)
        answer = text.split("\n\n")[1].replace("\n  ", " ")
        self.assertTrue(answer.startswith("TO SEAL OFF Engine room: 2 to shut, 3 CANNOT BE SHUT, "), answer)
        self.assertLess(text.index("CANNOT BE SHUT\n"), text.index("TO SHUT, in walking order"))
        self.assertLess(text.index("TO SHUT, in walking order"), text.index("SHUT ALREADY"))
        self.assertTrue(all(len(line) <= 80 for line in text.splitlines()))
        self.assertEqual(text.count("Caution: "), 1)

    def test_many_spaces_are_counted_not_named(self):
        spaces = [s.get("id") for s in ET.parse(DEMO).getroot() if s.tag.endswith("}space")][:9]
        self.assertIn("TO SEAL OFF 9 spaces: ", self.page(DEMO, *spaces, status=FOUND))
        self.assertNotIn("TO SEAL OFF 8 spaces", self.page(DEMO, *spaces[:8], status=FOUND))

    def test_without_a_condition_nothing_is_said_to_be_shut(self):
        text = self.page(BARGE, "machinery")
        self.assertIn("3 taken as shut.", text.replace("\n  ", " "))
        self.assertIn("TAKEN AS SHUT, for no condition is named: see that they are", text)
        self.assertNotIn("SHUT ALREADY", text)

    def test_a_valve_in_her_side_is_worked_from_inside(self):
        text = self.page(BARGE, "machinery", "--open", "V1")
        self.assertIn("Only from inside, or by a way through these spaces:", text)
        self.assertIn("shut it FROM INSIDE, in Machinery space, against the sea.", " ".join(text.split()))

    def test_what_is_sure_to_leak_is_said_and_found(self):
        text = self.page(BARGE, "machinery", "--failed", "D1", status=FOUND)
        self.assertIn("What is sure to leak leaves a way open whatever else is done.", " ".join(text.split()))

    def test_a_weathertight_closure_that_would_be_under_water_slows(self):
        dry = self.run_it("boundary", BARGE, "hold-fwd", "--hazard", "air", *AS_OF)
        wet = self.page(BARGE, "hold-fwd", "--hazard", "water", "--level", "4", status=FOUND)
        self.assertIn("under water it SLOWS and may not hold", " ".join(wet.split()))
        self.assertEqual(dry.returncode, FOUND)  # the duct
        self.assertNotIn(b"SLOWS", dry.stdout)

    def test_the_sheet_has_the_rows_of_the_document(self):
        asked = (DEMO, "engine,motor", "--condition", "port", *AS_OF)
        rows = json.loads(self.run_it("boundary", *asked, "--format", "json").stdout)["links"]
        sheet = list(csv.DictReader(io.StringIO(self.run_it("boundary", *asked, "--format", "csv").stdout.decode())))
        self.assertEqual(len(sheet), len(rows))
        self.assertEqual(set(sheet[0]), set(rows[0]))
        for line, row in zip(sheet, rows):
            for key, value in row.items():
                if isinstance(value, bool) or value is None:
                    self.assertEqual(line[key], {True: "yes", False: "no", None: ""}[value])
                elif isinstance(value, (int, float)):
                    self.assertEqual(float(line[key]), value)
                else:
                    self.assertEqual(line[key], " ".join(value) if isinstance(value, list) else value)

    def test_of_both_hazards_it_says_which_the_water_does_not_reach(self):
        asked, seen = (DEMO, "engine", "--condition", "port", *AS_OF), set()
        rows = json.loads(self.run_it("boundary", *asked, "--format", "json").stdout)["links"]
        text = self.run_it("boundary", *asked).stdout.decode()
        parts = re.split(r"\n  (?:[0-9]+\. )?(?=[A-Z]+[0-9]+ )|\n\n", text)
        for row in rows:
            told = re.sub(r"\s+", " ", next(p for p in parts if p.startswith(row["link"] + " ")))
            dry = row["water"] == "not_reached"
            self.assertEqual("; the water does not reach it" in told, dry, told)
            both = row["group"] == "cannot_be_shut" and not dry
            self.assertEqual("; water and air go through" in told, both, told)
            seen |= {(row["group"], dry)}
        for one in ("water", "air"):
            text = self.run_it("boundary", *asked, "--hazard", one).stdout.decode()
            self.assertNotIn("the water does not", re.sub(r"\s+", " ", text).split("NOT REACHED")[0])
        self.assertLessEqual({("cannot_be_shut", True), ("cannot_be_shut", False), ("to_shut", True),
                              ("shut", False)}, seen)

    def test_what_cannot_be_asked_is_one_clear_error(self):
        every = "after-peak,machinery,hold-aft,hold-fwd,fore-peak"
        for status, words, says in (
                (USAGE, (), "name one or more spaces"),
                (USAGE, (",",), "name one or more spaces"),
                (USAGE, ("sea",), "'sea' is no space"),
                (USAGE, ("machinery", "weather"), "'weather' is no space"),
                (INPUT, ("machiner",), "nearest is machinery"),
                (INPUT, ("machinery,D1",), "space D1: there is none"),
                (USAGE, (every,), "all spaces are named"),
                (USAGE, ("machinery", "--start", "machinery"), "no round starts in space 'machinery'"),
                (INPUT, ("machinery", "--start", "nowhere"), "space nowhere"),
                (INPUT, ("machinery", "--condition", "nowhere"), "condition nowhere"),
                (INPUT, ("machinery", "--open", "D99"), "closure D99"),
                (USAGE, ("machinery", "--hazard", "fire"), "--hazard")):
            with self.subTest(words=words):
                self.one_line(status, "boundary", BARGE, *words, says=[says])


if __name__ == "__main__":
    unittest.main()
