#!/usr/bin/python3
"""Checks `coaming expose` and `coaming rank` against the plain definition, on random ships.

The claim: for every ship, condition, level and log, what the program answers for a closure c and
a source s is what the definition says when it is worked out in the dullest way there is:

    exposed(c, s)  = reach(s | c passes) minus reach(s | c holds), all other links in their state
    consequence(c) = sum over scenarios of weight * (loss(c passes) - loss(c holds))

Every reach is a fresh networkx graph of the passing links and its connected component; nothing is
reused from one closure or scenario to the next, and no code is shared with the program: this file
reads the same two XML files with its own reader.

What is compared: all rows and their order, the exposed sets and theirs, the sums over them, and
in `rank` the consequence and its parts, how each stands and by what, the order of the closures,
the worst source and what it exposes.  Numbers agree to 1e-9 relative.  The ships are invented;
each depends on nothing but --seed and its index, so `--start K --ships 1` repeats one alone.

Needs Python 3.11 and networkx 2.8 (Debian: python3-networkx).

Exit: 0 all ships agree; 1 some do not, or no row at all was compared; 2 wrong arguments.
"""

import argparse
import itertools
import json
import math
import os
import random
import shlex
import shutil
import subprocess
import sys
import tempfile
import xml.etree.ElementTree as ET
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path

import networkx as nx

import standing

SHIP_NS = "urn:coaming:arrangement:1"
LOG_NS = "urn:coaming:test-log:1"
AS_OF = "2026-11-01"
FOOT = 0.3048
TOLERANCE = 1e-9
OUTSIDE = "sea"  # for water the sea and the weather are this one node
NOT_SPACES = ("sea", "weather")
PERMEABILITY = {"stores": 0.60, "machinery": 0.85, "accommodation": 0.95, "void": 0.95}
HAZARDS = {"water": ("water",), "air": ("air",), "both": ("water", "air")}
MEASURES = ("worth", "volume", "people", "spaces")
LEVELS = ("still", "full", "number")


# ---------------------------------------------------------------- the ship, as the oracle sees it


@dataclass
class Space:
    """One space; parts are (area in m2, bottom in m, top in m), one for each box or prism."""

    id: str
    parts: list
    permeability: float = 0.95
    shell: bool = False
    people: float = 0
    worth: float = 1

    @property
    def bottom(self):
        return min(low for _, low, _ in self.parts)

    @property
    def top(self):
        return max(high for _, _, high in self.parts)

    def volume(self, plane=math.inf):
        """Permeable volume below the plane."""
        cut = (area * max(0.0, min(high, plane) - low) for area, low, high in self.parts)
        return self.permeability * math.fsum(cut)


@dataclass
class Link:
    """A closure, or a passage (rating None); shut_in None means shut in every condition."""

    id: str
    between: tuple
    edge: float
    rating: str = None
    shut_in: list = None
    tests: list = field(default_factory=list)  # date, method and result, in the order of entry

    @property
    def is_passage(self):
        return self.rating is None

    @property
    def standing(self):
        """By the rule of standing.py: result, result_date, result_method, looked_at."""
        return standing.stands(sorted(self.tests, key=lambda test: test["date"]))

    @property
    def result(self):
        return self.standing["result"]


@dataclass
class Ship:
    name: str
    draught: float
    spaces: dict
    links: list
    conditions: list
    given: list  # (hazard, source, weight)

    @property
    def closures(self):
        return [link for link in self.links if not link.is_passage]

    def in_file_order(self, ids):
        return [space for space in self.spaces if space in ids]


# ----------------------------------------------------------------------------- reading the files


class Reader:
    """Reads one arrangement and its logs."""

    def __init__(self, ship_text, log_texts=()):
        self.root = ET.fromstring(ship_text)
        self.logs = [ET.fromstring(text) for text in log_texts]
        self.scale = FOOT if self.root.get("units") == "ft" else None
        frames = self.root.find(self.tag("frames"))
        self.spacing, self.zero = None, None
        if frames is not None:
            self.spacing = self.length(frames.get("spacing"))
            self.zero = self.length(frames.get("zero"))

    @staticmethod
    def tag(name, namespace=SHIP_NS):
        return f"{{{namespace}}}{name}"

    def length(self, text):
        return float(text) if self.scale is None else float(text) * self.scale

    def station(self, text):
        """An x: a length, or fr20 or fr20+0.25 from the frames."""
        if not text.startswith("fr"):
            return self.length(text)
        number, _, offset = text[2:].partition("+")
        return self.zero + float(number) * self.spacing + self.length(offset or "0")

    def outline(self, element):
        if element.tag == self.tag("box"):
            x = [self.station(text) for text in element.get("x").split()]
            y = [self.length(text) for text in element.get("y").split()]
            return [(x[0], y[0]), (x[1], y[0]), (x[1], y[1]), (x[0], y[1])]
        corners = [corner.split(",") for corner in element.get("outline").split()]
        return [(self.station(x), self.length(y)) for x, y in corners]

    def parts(self, element):
        """What there is of a box or prism: the hull, a box here, cuts it up to her depth, and what
        stands above that is there as it is given."""
        low, high = (self.length(text) for text in element.get("z").split())
        outline, ship = self.outline(element), self.root.find(self.tag("ship"))
        length, beam, depth = (self.length(ship.get(of)) for of in ("length", "beam", "depth"))
        inside = within(outline, length, beam)
        found = [(inside, max(low, 0.0), min(high, depth)), (shoelace(outline), max(low, depth), high)]
        return [part for part in found if part[0] > 1e-9 and part[1] < part[2]]

    def space(self, element):
        default = PERMEABILITY.get(element.get("use"), 0.95)
        return Space(
            id=element.get("id"),
            parts=[part for e in element if e.tag in (self.tag("box"), self.tag("prism"))
                   for part in self.parts(e)],
            permeability=float(element.get("permeability", default)),
            shell=element.get("shell") == "yes",
            people=float(element.get("people", 0)),
            worth=float(element.get("worth", 1)),
        )

    def link(self, element):
        shut_in = element.get("shut-in")
        return Link(
            id=element.get("id"),
            between=tuple(element.get("between").split()),
            edge=self.length(element.find(self.tag("clear")).get("z")),
            rating=element.get("rating"),
            shut_in=None if shut_in is None else shut_in.split(),
            tests=[dict(t.attrib) for t in element.findall(self.tag("test"))],
        )

    def add_logs(self, links):
        by_id = {link.id: link for link in links}
        for log in self.logs:
            for test in log.findall(self.tag("test", LOG_NS)):
                link = by_id[test.get("closure")]
                link.tests.append(dict(test.attrib))

    def ship(self):
        spaces = [self.space(e) for e in self.root.findall(self.tag("space"))]
        kinds = (self.tag("closure"), self.tag("passage"))
        links = [self.link(e) for e in self.root if e.tag in kinds]
        self.add_logs(links)
        given = self.root.findall(self.tag("scenario"))
        return Ship(
            name=self.root.get("name"),
            draught=self.length(self.root.find(self.tag("ship")).get("draft")),
            spaces={space.id: space for space in spaces},
            links=links,
            conditions=[e.get("id") for e in self.root.findall(self.tag("condition"))],
            given=[(e.get("hazard"), e.get("source"), float(e.get("weight"))) for e in given],
        )


def shoelace(corners):
    """Area of a simple polygon, whichever way round it is given."""
    pairs = zip(corners, corners[1:] + corners[:1])
    return abs(math.fsum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in pairs)) / 2


def within(outline, length, beam):
    """Area of the outline over the waterline of a box hull: x from 0 to length, y half the beam.

    Past each of its four sides the outline is cut off by keeping, of every edge, what is on the near
    side of the line; what runs along the line then has no area.
    """
    for axis, sign, end in ((0, -1, 0.0), (0, 1, length), (1, -1, beam / 2), (1, 1, beam / 2)):
        kept = []
        for one, two in zip(outline, outline[1:] + outline[:1]):
            before, after = (end - sign * corner[axis] for corner in (one, two))
            if before >= 0:
                kept.append(one)
            if before * after < 0:
                share = before / (before - after)
                kept.append(tuple(a + share * (b - a) for a, b in zip(one, two)))
        outline = kept
    return shoelace(outline)


# --------------------------------------------------------------------------- the plain definition


def stands_open(closure, condition):
    if closure.shut_in is None:
        return False
    if condition is None:
        return closure.shut_in == []
    return condition not in closure.shut_in


def passes(link, hazard, condition, untested_leak):
    """Whether the link's own state lets the hazard through; the level is not asked here."""
    if link.is_passage or stands_open(link, condition):
        return True
    if link.rating == "nontight" or link.result == "fail":
        return True
    if hazard == "water" and link.rating == "weathertight":
        return True  # once immersed, and above the level nothing passes anyhow
    return link.result == "untested" and untested_leak


def states(ship, hazard, condition, untested_leak=False):
    return {link.id: passes(link, hazard, condition, untested_leak) for link in ship.links}


def plane_of(ship, level, source):
    if level == "still":
        return ship.draught
    if level == "full":
        return ship.spaces[source].top if source in ship.spaces else ship.draught
    return float(level)


def water_graph(ship, plane, state):
    """The outside, the spaces with a part below the plane, and the links that let water through."""
    graph = nx.Graph()
    graph.add_node(OUTSIDE)
    graph.add_nodes_from(s.id for s in ship.spaces.values() if s.bottom < plane)
    for link in ship.links:
        one, two = (OUTSIDE if end in NOT_SPACES else end for end in link.between)
        if state[link.id] and link.edge < plane and one in graph and two in graph:
            graph.add_edge(one, two)
    return graph


def air_graph(ship, source, state):
    """The spaces; the weather only as the source, since nothing comes back from it; never the sea.

    What gets out into the weather reaches no space by it, and the weather is not counted as
    reached, so leaving it out is the same as not carrying on from it.
    """
    graph = nx.Graph()
    graph.add_nodes_from(ship.spaces)
    if source == "weather":
        graph.add_node("weather")
    for link in ship.links:
        if state[link.id] and link.between[0] in graph and link.between[1] in graph:
            graph.add_edge(*link.between)
    return graph


def reach(ship, hazard, source, plane, state):
    """The spaces that the hazard reaches from the source (for water: and from the outside)."""
    if hazard == "water":
        graph = water_graph(ship, plane, state)
        starts = {OUTSIDE, OUTSIDE if source in NOT_SPACES else source}
    else:
        graph = air_graph(ship, source, state)
        starts = {source}
    reached = set()
    for start in starts:
        if start in graph:
            reached |= nx.node_connected_component(graph, start)
    return reached - set(NOT_SPACES)


def exposed(ship, closure, hazard, source, plane, state):
    if_passes = reach(ship, hazard, source, plane, {**state, closure.id: True})
    if_holds = reach(ship, hazard, source, plane, {**state, closure.id: False})
    assert if_holds <= if_passes, "opening a closure cannot shield a space"
    return ship.in_file_order(if_passes - if_holds)


def sums(ship, ids, hazard, plane):
    """Every measure, summed over the spaces."""
    spaces = [ship.spaces[name] for name in ids]
    below = plane if hazard == "water" else math.inf
    return {
        "spaces": len(spaces),
        "volume": math.fsum(space.volume(below) for space in spaces),
        "people": math.fsum(space.people for space in spaces),
        "worth": math.fsum(space.worth for space in spaces),
    }


def scenarios(ship, hazard):
    """The (source, weight) of a hazard: as given, else the defaults."""
    given = [(source, weight) for of, source, weight in ship.given if of == hazard]
    if given:
        return given
    if hazard == "water":
        breached = [space.id for space in ship.spaces.values() if space.shell]
        return [(OUTSIDE, 1.0)] + [(name, 1 / len(breached)) for name in breached]
    return [("weather", 1.0)] + [(name, 1 / len(ship.spaces)) for name in ship.spaces]


# ------------------------------------------------------------------------------- what is expected


@dataclass
class Question:
    """One run of the program, and what the oracle works out from the same options."""

    command: str
    level: str
    hazard: str
    condition: str = None
    logged: bool = False
    measure: str = None

    def arguments(self, program, ship_file, log_files):
        line = [program, self.command, str(ship_file), "--format", "json", "--as-of", AS_OF]
        line += ["--level", self.level]
        line += ["--all"] if self.command == "expose" else ["--measure", self.measure]
        if not (self.command == "expose" and self.hazard == "both"):  # there it is the default
            line += ["--hazard", self.hazard]
        if self.condition is not None:
            line += ["--condition", self.condition]
        for log_file in log_files if self.logged else ():
            line += ["--log", str(log_file)]
        return line


def expected_expose(ship, question):
    """The rows of `expose --all`, in order."""
    rows = []
    for closure in ship.closures:
        for hazard in HAZARDS[question.hazard]:
            for source in closure.between:
                rows.append(expose_row(ship, question, closure, hazard, source))
    return rows


def expose_row(ship, question, closure, hazard, source):
    plane = plane_of(ship, question.level, source)
    holding = states(ship, hazard, question.condition)
    leaking = states(ship, hazard, question.condition, untested_leak=True)
    first = exposed(ship, closure, hazard, source, plane, holding)
    second = exposed(ship, closure, hazard, source, plane, leaking)
    row = {"closure": closure.id, "hazard": hazard, "source": source}
    row |= {"exposed": first, "exposed_if_untested_leak": second}
    return row | sums(ship, first, hazard, plane)


def expected_rank(ship, question):
    """What `rank` must say of each closure, by id, in file order."""
    return {closure.id: rank_row(ship, question, closure) for closure in ship.closures}


def rank_row(ship, question, closure):
    parts = {
        hazard: scenario_losses(ship, question, closure, hazard)
        for hazard in HAZARDS[question.hazard]
    }
    row = {hazard: math.fsum(loss for _, _, loss in part) for hazard, part in parts.items()}
    everything = [
        (hazard, source, ids, loss)
        for hazard, part in parts.items()
        for source, ids, loss in part
    ]
    consequence = math.fsum(row.values())
    worst = worst_scenarios(everything) if consequence else []
    stands = closure.standing
    return row | stands | {
        "consequence": consequence, "tested": stands["result_date"], "worst": worst
    }


def scenario_losses(ship, question, closure, hazard):
    """(source, exposed, weighted loss) of each scenario of the hazard."""
    state = states(ship, hazard, question.condition)
    losses = []
    for source, weight in scenarios(ship, hazard):
        plane = plane_of(ship, question.level, source)
        ids = exposed(ship, closure, hazard, source, plane, state)
        losses.append((source, ids, weight * sums(ship, ids, hazard, plane)[question.measure]))
    return losses


def worst_scenarios(losses):
    """The (source, exposed) that may be named as the worst: all that tie for the largest loss."""
    largest = max(loss for _, _, _, loss in losses)
    worst = []
    for hazard, source, ids, loss in losses:
        if same(loss, largest):
            outside = hazard == "water" and source in NOT_SPACES
            worst += [(name, ids) for name in (NOT_SPACES if outside else (source,))]
    return worst


# --------------------------------------------------------------------------------------- comparing


def same(one, two):
    return math.isclose(one, two, rel_tol=TOLERANCE, abs_tol=1e-12)


def is_number(value):
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def agree(expected, got):
    if is_number(expected):
        return is_number(got) and same(expected, got)
    return expected == got


def compare_keys(where, expected, got, keys):
    """(where, key, expected, got) for each key that differs."""
    absent = "(absent)"
    pairs = ((key, expected[key], got.get(key, absent)) for key in keys)
    return [(where, key, want, have) for key, want, have in pairs if not agree(want, have)]


def compare_head(ship, question, document):
    head = {"format": f"coaming/{question.command}/1", "ship": ship.name, "as_of": AS_OF}
    if question.condition is not None:
        head["condition"] = question.condition
    return compare_keys("document", head, document, head)


def compare_expose(ship, question, document):
    """The mismatches, and how many rows were compared."""
    expected, got = expected_expose(ship, question), document.get("results")
    wrong = compare_head(ship, question, document)
    if not is_rows(got):
        return wrong + [("document", "results", "a list of rows", got)], 0
    if len(got) != len(expected):
        wrong.append(("document", "number of results", len(expected), len(got)))
    for number, (want, have) in enumerate(zip(expected, got)):
        where = f"row {number}: {want['closure']} {want['hazard']} from {want['source']}"
        wrong += compare_keys(where, want, have, want)
    return wrong, min(len(expected), len(got))


def compare_rank(ship, question, document):
    """The mismatches, and how many rows were compared."""
    expected, got = expected_rank(ship, question), document.get("closures")
    wrong = compare_head(ship, question, document)
    if not is_rows(got):
        return wrong + [("document", "closures", "a list of rows", got)], 0
    ids = [row.get("closure") for row in got]
    if sorted(map(str, ids)) != sorted(expected):
        return wrong + [("document", "closures named", list(expected), ids)], 0
    for row in got:
        wrong += compare_rank_row(question, expected[row["closure"]], row)
    return wrong + compare_order(list(expected), expected, got), len(got)


def is_rows(value):
    return isinstance(value, list) and all(isinstance(row, dict) for row in value)


def compare_rank_row(question, want, have):
    where = f"closure {have['closure']}"
    keys = ("consequence", *HAZARDS[question.hazard], "result", "result_date",
            "result_method", "looked_at", "tested")
    wrong = compare_keys(where, want, have, keys)
    named = (have.get("worst_source", "(absent)"), have.get("exposes"))
    allowed = want["worst"] or [(None, [])]
    if named not in allowed:
        wrong.append((where, "worst_source and exposes", allowed, named))
    return wrong


def compare_order(file_order, expected, got):
    """Greatest first; equal to the last bit: by file order; equal to 1e-9: either way round."""
    wrong = []
    for number, row in enumerate(got):
        if row.get("rank") != number + 1:
            wrong.append((f"closure {row['closure']}", "rank", number + 1, row.get("rank")))
    for one, two in zip(got, got[1:]):
        first, second = (expected[row["closure"]]["consequence"] for row in (one, two))
        swapped = file_order.index(one["closure"]) > file_order.index(two["closure"])
        tied = one.get("consequence") == two.get("consequence")
        if (first < second and not same(first, second)) or (tied and swapped):
            names = [two["closure"], one["closure"]]
            wrong.append(("document", "order of rows", names, names[::-1]))
    return wrong


COMPARE = {"expose": compare_expose, "rank": compare_rank}


# ---------------------------------------------------------------------------------- random ships

THEMES = (
    "plain", "one space", "no closures", "disconnected", "parallel", "outside", "all failed",
    "all untested", "untested nontight", "never shut", "partly shut", "high and dry", "plain too",
    "past the shell",
)
CONDITIONS = ("sea", "harbour", "action-state")
RATINGS = ("watertight", "weathertight", "airtight", "nontight")
CLOSURES = ("door", "hatch", "scuttle", "manhole", "ventilator", "valve", "sidescuttle", "cover")
PASSAGES = ("arch", "duct", "drain", "stair", "cable", "pipe")
METHODS = ("chalk", "hose", "air", "ultrasonic", "light", "smoke", "visual")
ACTIONS = ("dogs", "gasket", "knife-edge", "hinge", "replaced")
DATES = ("2024-02-29", "2025-12-31", "2026-01-01", "2026-09-30", "2026-10-31")
USES = (None, "stores", "machinery", "accommodation", "void")
WEIGHTS = ("0.05", "0.2", "0.35", "1", "1.5", "2")


class Maker:
    """Makes one ship; z and y are whole hundredths of a unit, x counts frames."""

    def __init__(self, seed, index):
        self.rng = random.Random(f"{seed}:{index}")
        self.index = index
        self.theme = THEMES[index % len(THEMES)]
        self.draught = self.rng.randrange(200, 501)
        self.depth = self.draught + 250
        self.frames = self.rng.random() < 0.4
        count = self.rng.randint(1, 12)
        self.spaces = self.names("s", 1 if self.theme == "one space" else count)
        many = 0 if index % 7 == 3 else self.rng.randint(1, 3)
        self.conditions = self.rng.sample(CONDITIONS, many)
        self.heights = sorted({
            0, 90, self.draught - 150, self.draught - 1, self.draught, self.draught + 1,
            self.draught + 60, self.depth, self.depth + 240,
        })

    def names(self, letter, count):
        """Ids whose order in the file is not their own order."""
        return [f"{letter}{n}" for n in self.rng.sample(range(1, count + 1), count)]

    def chance(self, probability):
        return self.rng.random() < probability

    def number(self, hundredths):
        """A decimal text, now and then without its last zeros."""
        text = f"{hundredths / 100:.2f}"
        return text.rstrip("0").rstrip(".") if self.chance(0.5) else text

    def stations(self, frames):
        """Texts of x, ascending with the frames: all from the frames, or all plain."""
        if self.frames and self.chance(0.6):
            return [f"fr{n}" + self.rng.choice(("", "", "+0.25")) for n in frames]
        return [self.number(60 * n) for n in frames]

    # -- the arrangement

    def ship(self):
        root = ET.Element("arrangement", {"xmlns": SHIP_NS, "name": self.name()})
        if self.chance(0.6):
            root.set("units", self.rng.choice(("m", "ft")))
        self.head(root)
        for name in self.spaces:
            self.space(root, name)
        pairs = self.pairs(self.closure_count())
        for name, ends in zip(self.names("c", len(pairs)), pairs):
            self.closure(root, name, ends)
        pairs = self.pairs(self.rng.randint(0, 5))
        for name, ends in zip(self.names("p", len(pairs)), pairs):
            self.passage(root, name, ends)
        return root

    def name(self):
        return f"Invented hull {self.index}" + self.rng.choice(("", " & tender", " Ærø", ' "B"'))

    def head(self, root):
        ET.SubElement(root, "ship", {
            "length": "58", "beam": "11.2", "depth": self.number(self.depth),
            "draft": self.number(self.draught), "kg": "1.9", "density": "1.025",
        })
        if self.frames:
            zero = self.rng.choice(("0", "0", "1.2"))
            ET.SubElement(root, "frames", {"spacing": "0.6", "zero": zero})
        ET.SubElement(root, "deck", {"id": "deck1", "name": "Hold", "z": "0.9"})
        for name in self.conditions:
            ET.SubElement(root, "condition", {"id": name, "name": f"State {name}"})
        hazards = self.rng.choice(((), (), ("water",), ("air",), ("water", "air")))
        for hazard in hazards:
            self.scenarios(root, hazard)

    def scenarios(self, root, hazard):
        outside = self.rng.choice(NOT_SPACES) if hazard == "water" else "weather"
        sources = self.rng.sample(self.spaces, self.rng.randint(0, min(4, len(self.spaces))))
        if not sources or self.chance(0.6):
            sources.insert(self.rng.randint(0, len(sources)), outside)
        for source in sources:
            weight = self.rng.choice(WEIGHTS)
            ET.SubElement(root, "scenario", {"hazard": hazard, "source": source, "weight": weight})

    def space(self, root, name):
        space = ET.SubElement(root, "space", {"id": name, "name": f"Space {name}"})
        use = self.rng.choice(USES)
        optional = {
            "use": use,
            "deck": "deck1" if self.chance(0.3) else None,
            "permeability": self.maybe(0.4, ("0.5", "0.85", "0.97", "1", "0.05")),
            "shell": self.maybe(0.6, ("yes", "yes", "no")),
            "people": self.maybe(0.5, ("0", "1", "2", "7", "12")),
            "worth": self.maybe(0.6, ("0", "2", "5", "0.5", "3.25")),
            "vital": self.maybe(0.2, ("yes", "no")),
        }
        for key, value in optional.items():
            if value is not None:
                space.set(key, value)
        self.shapes(space)

    def maybe(self, probability, values):
        return self.rng.choice(values) if self.chance(probability) else None

    def shapes(self, space):
        """One to three boxes or prisms, one before the other, so they do not overlap."""
        count = self.rng.choice((1, 1, 1, 2, 3))
        cuts = sorted(self.rng.sample(range(2, 90, 4), count + 1))
        if self.theme == "past the shell":  # no wholly outside space: its first part reaches her
            cuts = [self.rng.choice((-18, -6, 42)), *range(98, 98 + 8 * count, 8)]
        height_of = self.rng.choice(("any", "any", "any", "above", "top at draught"))
        for start, end in zip(cuts, cuts[1:]):
            low, high = self.low_and_high(height_of)
            z = f"{self.number(low)} {self.number(high)}"
            if self.chance(0.6):
                self.box(space, start, end, z)
            else:
                self.prism(space, start, end, z)

    def low_and_high(self, height_of):
        if self.theme == "high and dry" or height_of == "above":
            high_ones = [z for z in self.heights if z >= self.draught]
            return sorted(self.rng.sample(high_ones, 2))
        if height_of == "top at draught":
            return self.rng.choice((0, 90, self.draught - 150)), self.draught
        return sorted(self.rng.sample(self.heights, 2))

    def sides(self):
        if self.theme == "past the shell":  # half the beam is 560, and some reach past both
            left = self.rng.randrange(-700, 400)
            return left, left + self.rng.randrange(150, 1500)
        left = self.rng.randrange(-560, 300)
        return left, left + self.rng.randrange(120, 261)

    def box(self, space, start, end, z):
        x = " ".join(self.stations((start, end)))
        y = " ".join(map(self.number, self.sides()))
        ET.SubElement(space, "box", {"x": x, "y": y, "z": z})

    def prism(self, space, start, end, z):
        low, high = self.sides()
        outline = self.rng.choice((self.trapezium, self.triangle, self.ell))
        frames, ys = zip(*outline(start, end, low, high))
        corners = [f"{x},{self.number(y)}" for x, y in zip(self.stations(frames), ys)]
        if self.chance(0.5):
            corners.reverse()
        ET.SubElement(space, "prism", {"z": z, "outline": " ".join(corners)})

    @staticmethod
    def trapezium(start, end, low, high):
        return (start, low), (end, low + 30), (end, high - 45), (start, high)

    @staticmethod
    def triangle(start, end, low, high):
        return (start, low), (end, low), (start, high)

    @staticmethod
    def ell(start, end, low, high):
        return (
            (start, low), (end, low), (end, low + 55), (start + 2, low + 55),
            (start + 2, high), (start, high),
        )

    # -- closures and passages

    def closure_count(self):
        return 0 if self.theme == "no closures" else self.rng.randint(0, 24)

    def pairs(self, count):
        pairs = []
        for _ in range(count):
            again = pairs and self.theme == "parallel" and self.chance(0.7)
            pairs.append(self.rng.choice(pairs) if again else self.ends())
        return pairs

    def ends(self):
        """Two different ends, at least one of them a space."""
        one = self.rng.choice(self.spaces)
        others = [name for name in self.spaces if name != one]
        if self.theme == "disconnected":
            parity = self.spaces.index(one) % 3
            others = [name for name in others if self.spaces.index(name) % 3 == parity]
        outside = {"outside": 0.75, "disconnected": 0.08}.get(self.theme, 0.2)
        other = self.rng.choice(others if others and not self.chance(outside) else NOT_SPACES)
        return (one, other) if self.chance(0.5) else (other, one)

    def clear(self, link):
        near = [self.draught - 1, self.draught, self.draught, self.draught, self.draught + 1]
        edge = self.rng.choice(near + self.heights + [self.rng.randrange(0, self.depth)] * 3)
        ET.SubElement(link, "clear", {
            "x": self.stations([self.rng.randrange(2, 90)])[0],
            "y": self.number(self.rng.randrange(-500, 500)), "z": self.number(edge),
            "width": "0.66", "height": self.rng.choice(("0.7", "1.68")),
            "lies": self.rng.choice(("transverse", "longitudinal", "deck")),
        })

    def closure(self, root, name, ends):
        nontight = self.theme == "untested nontight"
        closure = ET.SubElement(root, "closure", {
            "id": name, "name": f"Closure {name}", "kind": self.rng.choice(CLOSURES),
            "between": " ".join(ends),
            "rating": "nontight" if nontight else self.rng.choice(RATINGS[:3] * 3 + RATINGS[3:]),
        })
        shut_in = self.shut_in()
        if shut_in is not None:
            closure.set("shut-in", shut_in)
        if self.chance(0.4):
            closure.set("hours", self.rng.choice(("3", "0.5", "16")))
        self.clear(closure)
        if self.chance(0.3):
            ET.SubElement(closure, "gasket", {"fitted": "2019-04-02"})
        if self.chance(0.3):
            ET.SubElement(closure, "dogs", {"count": "8"})
        self.tests(closure)

    def shut_in(self):
        """None: shut in all conditions; "": in none; else some of them."""
        if self.theme == "never shut":
            return ""
        some = {"partly shut": 0.9}.get(self.theme, 0.3)
        if self.conditions and self.chance(some):
            many = self.rng.randint(1, len(self.conditions))
            return " ".join(self.rng.sample(self.conditions, many))
        return "" if self.chance(0.12) else None

    def passage(self, root, name, ends):
        passage = ET.SubElement(root, "passage", {
            "id": name, "name": f"Passage {name}", "kind": self.rng.choice(PASSAGES),
            "between": " ".join(ends),
        })
        self.clear(passage)

    # -- tests and logs

    def outcome(self):
        if self.theme == "all failed":
            return "fail"
        return "pass" if self.chance(0.7) else "fail"

    def test(self, parent, attributes):
        result, method = self.outcome(), self.rng.choice(METHODS)
        made = {"date": self.rng.choice(DATES), "method": method, "result": result, "by": "AB"}
        test = ET.SubElement(parent, "test", attributes | made)
        if result == "fail" and method == "chalk":
            ET.SubElement(test, "gap", {"at": "0.5", "length": "0.18"})

    def tests(self, closure):
        """None to three tests, their dates in no order."""
        if self.theme in ("all untested", "untested nontight"):
            return
        least = 1 if self.theme == "all failed" else 0
        for _ in range(max(least, self.rng.choice((0, 0, 1, 1, 2, 3)))):
            self.test(closure, {})

    def logs(self, root):
        """One log or, now and then, two; one may be empty.  A repair is no result."""
        closures = [e.get("id") for e in root if e.tag == "closure"]
        return [self.log(root.get("name"), closures) for _ in range(2 if self.chance(0.2) else 1)]

    def log(self, name, closures):
        log = ET.Element("test-log", {"xmlns": LOG_NS, "arrangement": name})
        tested = self.theme not in ("all untested", "untested nontight")
        for _ in range(self.rng.randint(0, 2 * len(closures))):
            of = {"closure": self.rng.choice(closures)}
            if self.chance(0.15):
                done = {"date": self.rng.choice(DATES), "action": self.rng.choice(ACTIONS)}
                ET.SubElement(log, "repair", of | done | {"by": "AB", "note": "invented"})
            elif tested:
                self.test(log, of)
        return log


def as_text(root):
    ET.indent(root)
    return ET.tostring(root, encoding="utf-8", xml_declaration=True) + b"\n"


# ------------------------------------------------------------------------ the questions to be put

PER_SHIP = 12  # runs of each command for each ship
EXPOSE_CASES = list(itertools.product(LEVELS, HAZARDS, (False, True), (False, True)))
RANK_CASES = list(itertools.product(LEVELS, HAZARDS, (False, True), (False, True), MEASURES))


def questions(ship, seed, index):
    """(case, question) pairs for one ship; the cases go round with the index.

    Both strides have no divisor in common with the number of cases, so all are met in turn.  A
    ship without conditions leaves out the cases that need one; those are every seventh only.
    """
    rng = random.Random(f"{seed}:{index}:questions")
    turns = range(index * PER_SHIP, (index + 1) * PER_SHIP)
    asked = [("expose", *EXPOSE_CASES[turn * 7 % len(EXPOSE_CASES)]) for turn in turns]
    asked += [("rank", *RANK_CASES[turn * 31 % len(RANK_CASES)]) for turn in turns]
    for case in asked:
        command, level, hazard, conditioned, logged, *measure = case
        if conditioned and not ship.conditions:
            continue
        yield case, Question(
            command=command, hazard=hazard, logged=logged,
            level=number_level(ship, rng) if level == "number" else level,
            condition=rng.choice(ship.conditions) if conditioned else None,
            measure=measure[0] if measure else None,
        )


def number_level(ship, rng):
    """A level in metres as text, mostly exactly at something of the ship's."""
    edges = [link.edge for link in ship.links]
    ends = [z for space in ship.spaces.values() for z in (space.bottom, space.top)]
    plain = [round(rng.uniform(0.0, 8.0), 2) for _ in range(4)]
    return repr(rng.choice([rng.choice(edges or ends), rng.choice(ends), rng.choice(plain)]))


# ----------------------------------------------------------------------------------------- the run


class Bad(Exception):
    """The program did not give a document."""


def refuse_constant(text):
    raise ValueError(f"{text} is no JSON number")


def ask(arguments):
    """Runs the program; its document, or Bad."""
    try:
        done = subprocess.run(arguments, capture_output=True, timeout=600, check=False,
                              stdin=subprocess.DEVNULL)
    except (OSError, subprocess.TimeoutExpired) as error:
        raise Bad(str(error)) from error
    if done.returncode != 0:
        complaint = done.stderr.decode("utf-8", "replace").strip()[-400:]
        raise Bad(f"exit {done.returncode}: {complaint}")
    try:
        document = json.loads(done.stdout.decode("utf-8"), parse_constant=refuse_constant)
    except ValueError as error:
        raise Bad(f"not JSON: {error}") from error
    if not isinstance(document, dict):
        raise Bad("not a JSON object")
    return document


class Run:
    """Counts over all ships."""

    SHOWN = 5  # mismatches printed in full for one command

    def __init__(self, options):
        self.options = options
        self.rows = Counter()
        self.cases = set()
        self.mismatches = 0
        self.passed = self.failed = 0

    def one_ship(self, index, folder):
        """Makes, asks and compares; the files are kept if anything differs."""
        ship_file, log_files = write_ship(self.options.seed, index, folder)
        bare = Reader(ship_file.read_bytes()).ship()
        logged = Reader(ship_file.read_bytes(), [log.read_bytes() for log in log_files]).ship()
        before = self.mismatches
        for case, question in questions(bare, self.options.seed, index):
            ship = logged if question.logged else bare
            arguments = question.arguments(self.options.coaming, ship_file, log_files)
            self.report(index, arguments, self.one_question(ship, case, question, arguments))
        if self.mismatches == before:
            self.passed += 1
        else:
            self.failed += 1
            self.keep(index, folder)

    def one_question(self, ship, case, question, arguments):
        try:
            document = ask(arguments)
        except Bad as error:
            return [("program", "document", "exit 0 and a JSON object", str(error))]
        wrong, rows = COMPARE[question.command](ship, question, document)
        self.rows[question.command] += rows
        if rows:
            self.cases.add(case)
        return wrong

    def report(self, index, arguments, wrong):
        if not wrong:
            return
        self.mismatches += len(wrong)
        print(f"MISMATCH ship {index} (--seed {self.options.seed} --start {index} --ships 1)")
        print(f"  command:  {shlex.join(arguments)}")
        for where, key, want, have in wrong[: self.SHOWN]:
            print(f"  {where}: {key}\n    expected: {want}\n    got:      {have}")
        if len(wrong) > self.SHOWN:
            print(f"  and {len(wrong) - self.SHOWN} more of this command")

    def keep(self, index, folder):
        if self.options.keep is None:
            return
        target = Path(self.options.keep) / f"seed{self.options.seed}-ship{index}"
        target.mkdir(parents=True, exist_ok=True)
        for file in folder.iterdir():
            shutil.copy(file, target)

    def close(self):
        """Prints the counts; the exit status."""
        asked = {(command, *case) for command, cases in
                 (("expose", EXPOSE_CASES), ("rank", RANK_CASES)) for case in cases}
        print(f"option combinations compared: {len(self.cases)} of {len(asked)}")
        print(f"ships {self.passed + self.failed}, expose rows {self.rows['expose']}, "
              f"rank rows {self.rows['rank']}, mismatches {self.mismatches}")
        self.refuse_nothing(asked)
        print(f"{self.passed} passed, {self.failed} failed")
        return 1 if self.failed else 0

    def refuse_nothing(self, asked):
        """No success without rows, nor for a full run that left a combination out."""
        ships = self.passed + self.failed
        if not self.rows["expose"] or not self.rows["rank"]:
            print("no success: no rows were compared")
            self.passed, self.failed = 0, ships
        elif ships >= 300 and self.cases != asked and not self.failed:
            print(f"no success: never compared: {sorted(asked - self.cases)}")
            self.passed, self.failed = ships - 1, 1


def write_ship(seed, index, folder):
    maker = Maker(seed, index)
    root = maker.ship()
    ship_file = folder / "ship.xml"
    ship_file.write_bytes(as_text(root))
    log_files = []
    for number, log in enumerate(maker.logs(root)):
        log_files.append(folder / f"log{number + 1}.xml")
        log_files[-1].write_bytes(as_text(log))
    return ship_file, log_files


# --------------------------------------------------------------------------------------- self-test

HAND_MADE = f"""<arrangement xmlns="{SHIP_NS}" name="Three" units="m">
  <ship length="30" beam="6" depth="5" draft="2" kg="2" density="1.025"/>
  <frames spacing="0.5" zero="0"/>
  <condition id="port" name="In port"/>
  <space id="a" name="A" use="stores" shell="yes" people="1" worth="2">
    <box x="fr0 fr20" y="-3 3" z="0 4"/></space>
  <space id="b" name="B" permeability="0.5" people="4">
    <prism z="1 3" outline="10,0 14,0 14,1 12,1 12,3 10,3"/></space>
  <space id="c" name="C"><box x="14 24" y="-1 1" z="2 4"/></space>
  <closure id="ab" name="AB" kind="door" between="a b" rating="watertight" shut-in="port">
    <clear x="10" y="0" z="1.2" width="0.6" height="1" lies="transverse"/>
    <test date="2026-01-02" method="chalk" result="pass" by="AB"/>
    <test date="2026-01-01" method="chalk" result="fail" by="AB"/></closure>
  <closure id="bc" name="BC" kind="door" between="b c" rating="weathertight">
    <clear x="14" y="0" z="2" width="0.6" height="1" lies="transverse"/></closure>
  <closure id="aw" name="AW" kind="hatch" between="weather a" rating="airtight">
    <clear x="5" y="0" z="4" width="0.6" height="1" lies="deck"/></closure>
  <closure id="as" name="AS" kind="valve" between="a sea" rating="watertight" shut-in="">
    <clear x="5" y="3" z="0.5" width="0.2" height="0.2" lies="longitudinal"/></closure>
</arrangement>"""
HAND_LOG = f"""<test-log xmlns="{LOG_NS}" arrangement="Three">
  <repair closure="ab" date="2026-10-01" action="dogs" by="AB"/>
  <test closure="ab" date="2026-01-02" method="hose" result="fail" by="AB"/></test-log>"""


def rows_of(ship, level, hazard="both", condition=None):
    """{(closure, hazard, source): row} of `expose`."""
    rows = expected_expose(ship, Question("expose", level, hazard, condition))
    return {(row["closure"], row["hazard"], row["source"]): row for row in rows}


def check_reading(ship):
    areas = [part[0] for space in ship.spaces.values() for part in space.parts]
    assert areas == [60.0, 8.0, 20.0]
    assert [ship.spaces[name].permeability for name in "abc"] == [0.60, 0.5, 0.95]
    assert ship.spaces["a"].volume(2.0) == 72.0 and ship.spaces["c"].volume(2.0) == 0
    assert [link.result for link in ship.closures] == ["pass", "untested", "untested", "untested"]
    assert ship.closures[0].standing["result_date"] == "2026-01-02"
    feet = Reader(HAND_MADE.replace('units="m"', 'units="ft"')).ship()
    assert feet.draught == 2 * FOOT and math.isclose(feet.spaces["a"].parts[0][0], 60 * FOOT**2)
    assert list(Reader(HAND_MADE, [HAND_LOG]).ship().closures[0].standing.values()) == \
        ["fail", "2026-01-02", "hose", None]


def check_shell(_ship):
    """Three's hull is 30 x 6 x 5 m: what is past a side or an end is none, what is above is all."""
    assert within([(-1, -9), (31, -9), (31, 1), (-1, 1)], 30, 6) == 30 * 4
    assert within([(0, 3), (4, 7), (8, 3), (4, -1)], 30, 6) == 32 - 16  # a square on its corner
    assert within([(31, 0), (33, 0), (33, 2)], 30, 6) == 0
    ell = [(28, 2), (32, 2), (32, 4), (30, 4), (30, 6), (28, 6)]
    assert within(ell, 30, 6) == 2 * 1
    out = HAND_MADE.replace('y="-1 1" z="2 4"', 'y="-1 7" z="-1 8"')
    space = Reader(out).ship().spaces["c"]
    assert space.parts == [(10 * 4, 0, 5), (10 * 8, 5, 8)]
    assert (space.bottom, space.top) == (0, 8)
    assert math.isclose(space.volume(6), 0.95 * (40 * 5 + 80))
    gone = Reader(out.replace('y="-1 7" z="-1 8"', 'y="4 7" z="0 5"')).ship().spaces["c"]
    assert gone.parts == []


def check_water(ship):
    """At 2 m space C is dry and the edge of BC is at the level, so both carry nothing."""
    still = rows_of(ship, "still")
    row = still["ab", "water", "a"]
    assert (row["exposed"], row["volume"], row["people"]) == (["b"], 4.0, 4)
    assert still["ab", "water", "b"]["exposed"] == []  # the sea has A by AS already, and B floods
    assert still["as", "water", "sea"]["exposed"] == ["a"]
    assert still["as", "water", "a"]["exposed"] == []
    assert still["bc", "water", "b"]["exposed"] == []
    assert still["aw", "water", "weather"]["exposed"] == []
    high = rows_of(ship, "2.5")
    assert high["ab", "water", "a"]["exposed"] == ["b", "c"]  # BC is weathertight and immersed
    assert high["ab", "water", "a"]["volume"] == 0.5 * 8 * 1.5 + 0.95 * 20 * 0.5
    full = rows_of(ship, "full")
    assert full["ab", "water", "a"]["volume"] == 0.5 * 8 * 2 + 0.95 * 20 * 2  # 4 m, top of A
    assert full["as", "water", "sea"]["exposed"] == ["a"]  # the outside: 2 m


def check_air(ship):
    still = rows_of(ship, "still")
    assert still["ab", "air", "a"]["exposed"] == ["b"]
    assert still["ab", "air", "a"]["exposed_if_untested_leak"] == ["b", "c"]
    assert still["ab", "air", "a"]["volume"] == 8.0
    assert still["aw", "air", "weather"]["exposed"] == ["a"]
    assert still["aw", "air", "a"]["exposed"] == []
    assert still["as", "air", "sea"]["exposed"] == []
    assert still["as", "air", "a"]["exposed"] == []


def check_conditions(ship):
    """No condition or port: AB is shut; another condition would leave it open; AS is never shut."""
    ab, valve = ship.closures[0], ship.closures[3]
    assert not stands_open(ab, None) and not stands_open(ab, "port") and stands_open(ab, "sea")
    assert stands_open(valve, None) and stands_open(valve, "port")
    assert not stands_open(ship.closures[1], "port")
    opened = rows_of(ship, "still", "water", "sea")
    assert opened["as", "water", "sea"]["exposed"] == ["a", "b"]


def check_rank(ship):
    """Water: the outside with 1 and a breach of A with 1; air: the weather, and 1/3 each space."""
    assert scenarios(ship, "water") == [("sea", 1.0), ("a", 1.0)]
    rank = expected_rank(ship, Question("rank", "still", "both", measure="people"))
    assert rank["ab"]["water"] == 8 and same(rank["ab"]["air"], 5 / 3)  # A to B 4/3, B to A 1/3
    assert same(rank["ab"]["consequence"], 8 + 5 / 3)
    assert rank["ab"]["worst"] == [("sea", ["b"]), ("weather", ["b"]), ("a", ["b"])]
    assert rank["as"]["consequence"] == 1 and rank["as"]["worst"][0] == ("sea", ["a"])
    assert rank["bc"]["water"] == 0 and same(rank["bc"]["air"], 4 / 3)  # C to B
    assert rank["bc"]["worst"] == [("c", ["b"])]
    quiet = expected_rank(ship, Question("rank", "still", "water", measure="people"))
    assert quiet["bc"]["consequence"] == 0 and quiet["bc"]["worst"] == []
    only = HAND_MADE.replace("<space", '<scenario hazard="water" source="b" weight="3"/><space', 1)
    given = expected_rank(Reader(only).ship(), Question("rank", "still", "water", measure="worth"))
    assert given["as"]["water"] == 6 and given["ab"]["water"] == 0


def check_comparing():
    """The comparison itself finds what is wrong, and only that."""
    assert agree(1.0, 1 + 1e-11) and not agree(1.0, 1 + 1e-8) and not agree(0, None)
    assert not agree(["a", "b"], ["b", "a"])
    values = {"x": {"consequence": 2.0}, "y": {"consequence": 2.0}, "z": {"consequence": 5.0}}

    def order(*names):
        rows = [{"closure": name, "rank": number + 1, **values[name]}
                for number, name in enumerate(names)]
        return compare_order(list(values), values, rows)

    assert order("z", "x", "y") == []
    assert order("z", "y", "x") != [] and order("x", "z", "y") != []


def self_test():
    if not __debug__:
        print("the self-test needs its assertions: run without -O", file=sys.stderr)
        return 1
    ship = Reader(HAND_MADE).ship()
    checks = (check_reading, check_shell, check_water, check_air, check_conditions, check_rank)
    for check in checks:
        check(ship)
    check_comparing()
    print(f"{len(checks) + 1} passed, 0 failed")
    return 0


# -------------------------------------------------------------------------------- the command line


def at_least(least):
    def convert(text):
        value = int(text)
        if value < least:
            raise argparse.ArgumentTypeError(f"at least {least} is wanted")
        return value

    convert.__name__ = "number"
    return convert


def parse_arguments(arguments):
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0], allow_abbrev=False)
    parser.add_argument("--coaming", metavar="PATH", help="the program to check")
    parser.add_argument("--ships", type=at_least(1), default=500, metavar="N")
    parser.add_argument("--seed", type=int, default=1, metavar="S")
    parser.add_argument("--start", type=at_least(0), default=0, metavar="K", help="first index")
    parser.add_argument("--keep", metavar="DIR", help="where to save the files that disagree")
    parser.add_argument("--self-test", action="store_true", help="check the oracle alone")
    options = parser.parse_args(arguments)
    if options.self_test:
        return options
    if options.coaming is None:
        parser.error("--coaming is missing")
    options.coaming = os.path.abspath(options.coaming)
    if not (os.path.isfile(options.coaming) and os.access(options.coaming, os.X_OK)):
        parser.error(f"--coaming: {options.coaming} is no program")
    return options


def main(arguments):
    options = parse_arguments(arguments)
    if options.self_test:
        return self_test()
    run = Run(options)
    for index in range(options.start, options.start + options.ships):
        with tempfile.TemporaryDirectory(prefix="oracle-") as folder:
            run.one_ship(index, Path(folder))
    return run.close()


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
