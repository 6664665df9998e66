#!/usr/bin/python3
"""Checks the expected loss and the importance of closures in `coaming rank`, on random ships.

The ships are those of oracle_networkx.py, with a probability of leaking given for each closure: a
few uncertain, the others 0 or 1. Every state of the uncertain ones is looked at, and in each of
them who is reached in each scenario, with a fresh networkx graph. Compared are the expected loss,
and for each uncertain closure its Birnbaum importance, its risk, what its repair gains and its
Fussell-Vesely share, all to 1e-9. For the last the sources of a scenario are made one node and each
closure a node of its own: it is on a way to a place, without meeting one twice, if and only if it is
in one biconnected part with the two once they are joined by an edge more.

Needs Python 3.11 and networkx 2.8 (Debian: python3-networkx).
Exit: 0 all ships agree; 1 some do not, or too little was compared; 2 wrong arguments.
"""

import argparse
import itertools
import json
import math
import random
import subprocess
import sys
import tempfile
from pathlib import Path

import networkx as nx

from oracle_networkx import (AS_OF, HAZARDS, MEASURES, NOT_SPACES, OUTSIDE, Maker, Reader, as_text, plane_of, reach,
                             scenarios, stands_open, sums)

UNCERTAIN = 7
LIKELY = (0.01, 0.1, 0.3, 0.5, 0.75, 0.98)


def with_probabilities(root, rng):
    """Gives each closure one; by id. Fewer of them and of the passages are open whatever happens."""
    closures = root.findall("closure")
    for passage in root.findall("passage"):
        if rng.random() < 0.6:
            root.remove(passage)
    for closure in closures:
        if rng.random() < 0.6:
            closure.set("rating", "watertight")
            closure.attrib.pop("shut-in", None)
    some = [c for c in closures if c.get("rating") != "nontight" and c.get("shut-in") != ""]
    uncertain = rng.sample(some, min(len(some), UNCERTAIN))
    given = {}
    for closure in closures:
        p = rng.choice(LIKELY) if closure in uncertain else rng.choice((0,) * 9 + (1,))
        closure.set("leak-probability", str(p))
        given[closure.get("id")] = p
    return given


def passes_anyway(link, hazard, condition):
    return (link.is_passage or stands_open(link, condition) or link.rating == "nontight"
            or (hazard == "water" and link.rating == "weathertight"))


def loss(ship, case, leaks):
    """Over all scenarios, in one state of the closures."""
    total = []
    for hazard in HAZARDS[case["hazard"]]:
        state = {link.id: passes_anyway(link, hazard, case["condition"]) or leaks.get(link.id)
                 for link in ship.links}
        for source, weight in scenarios(ship, hazard):
            plane = plane_of(ship, case["level"], source)
            reached = reach(ship, hazard, source, plane, state)
            total.append(weight * sums(ship, reached, hazard, plane)[case["measure"]])
    return math.fsum(total)


def expectation(table, names, given):
    terms = [value * math.prod(given[n] if leaks else 1 - given[n]
                               for n, leaks in zip(names, state))
             for state, value in table.items()]
    return math.fsum(terms)


def links_of(ship, hazard, source, plane, state):
    """Of the links that pass: the link and its two ends, of those that the hazard can act on."""
    for link in ship.links:
        ends = [OUTSIDE if hazard == "water" and end in NOT_SPACES else end
                for end in link.between]
        there = all(e == OUTSIDE or (e in ship.spaces and ship.spaces[e].bottom < plane)
                    if hazard == "water" else e in ship.spaces or e == source for e in ends)
        if state[link.id] and there and (hazard == "air" or link.edge < plane):
            yield link, ends


def by_way(ship, case, hazard, source, state):
    """What comes by some way through each closure, in one scenario and state."""
    plane = plane_of(ship, case["level"], source)
    starts = {source}
    if hazard == "water":
        starts = {OUTSIDE} | {s for s in starts if s in ship.spaces
                              and ship.spaces[s].bottom < plane}
    joined, ways = nx.Graph(), nx.Graph()
    joined.add_nodes_from((*ship.spaces, *starts))
    passing = list(links_of(ship, hazard, source, plane, state))
    joined.add_edges_from(ends for link, ends in passing if link.is_passage)
    place = {n: i for i, part in enumerate(nx.connected_components(joined)) for n in part}
    merged = {place[s] for s in starts}
    place = {n: "start" if i in merged else i for n, i in place.items()}
    ways.add_nodes_from((*place.values(), "start"))
    for link, ends in passing:
        if not link.is_passage and place[ends[0]] != place[ends[1]]:
            ways.add_edges_from((place[end], link.id) for end in ends)
    came = {}
    for node in nx.node_connected_component(ways, "start") & set(place.values()) - {"start"}:
        lost = sums(ship, [s for s in ship.spaces if place[s] == node], hazard,
                    plane)[case["measure"]]
        ways.add_edge("start", node)
        for part in nx.biconnected_components(ways) if lost else ():
            if "start" in part and node in part:
                for name in part - {"start", node}:
                    came[name] = came.get(name, 0) + lost
        ways.remove_edge("start", node)
    return came


def shares(ship, case, sure, names, given, expected):
    """Fussell-Vesely by closure, over all states."""
    total = dict.fromkeys(names, 0.0)
    for state in itertools.product((False, True), repeat=len(names)):
        leaks = {**sure, **dict(zip(names, state))}
        chance = math.prod(given[n] if leaks[n] else 1 - given[n] for n in names)
        for hazard in HAZARDS[case["hazard"]]:
            passing = {link.id: passes_anyway(link, hazard, case["condition"])
                       or leaks.get(link.id) for link in ship.links}
            for source, weight in scenarios(ship, hazard) if chance else ():
                for name, lost in by_way(ship, case, hazard, source, passing).items():
                    if name in total:
                        total[name] += chance * weight * lost
    return {n: t / expected if expected else 0 for n, t in total.items()}


def near(one, two):
    return abs(one - two) <= 1e-9 * (1 + abs(two))


def wrong_in(ship, case, given, told):
    """What does not agree, as text; and how many closures were compared."""
    sure = {n: bool(p) for n, p in given.items() if p in (0, 1)}
    names = [n for n in given if n not in sure]
    table = {state: loss(ship, case, {**sure, **dict(zip(names, state))})
             for state in itertools.product((False, True), repeat=len(names))}
    expected, wrong, seen = expectation(table, names, given), [], 0
    if told["method"] != "exact" or not near(told["expected_loss"], expected):
        wrong.append(f"expected loss {told['expected_loss']}, not {expected}")
    rows = {row["closure"]: row for row in told["closures"]}
    links = {link.id: link for link in ship.closures}
    ways = shares(ship, case, sure, names, given, expected) if told["samples"] == 0 else None
    for name in names:
        row = rows[name]
        sound = expectation(table, names, {**given, name: 0})
        certain = expectation(table, names, {**given, name: 1})
        pairs = [("repair_gain", expected - sound), ("leak_probability", given[name])]
        if ways:
            pairs.append(("fussell_vesely", ways[name]))
        hazards = HAZARDS[case["hazard"]]
        if not any(passes_anyway(links[name], h, case["condition"]) for h in hazards):
            pairs += [("birnbaum", certain - sound), ("risk", given[name] * (certain - sound))]
        wrong += [f"{name}: {key} {row[key]}, not {value}" for key, value in pairs
                  if not near(row[key], value)]
        seen += certain > sound
    return wrong, seen


def one_ship(options, index, folder):
    rng = random.Random(f"{options.seed}:risk:{index}")
    root = Maker(options.seed, index).ship()
    given = with_probabilities(root, rng)
    text = as_text(root)  # bytes
    (folder / "ship.xml").write_bytes(text)
    ship = Reader(text).ship()
    case = {"hazard": rng.choice((*HAZARDS, "both")), "measure": rng.choice((*MEASURES, "spaces")),
            "level": rng.choice(("still", "full", "4.5")),
            "condition": rng.choice((None, None, *ship.conditions))}
    words = [options.coaming, "rank", str(folder / "ship.xml"), "--format", "json", "--as-of",
             AS_OF, "--risk", "exact", "--samples", "100"]
    for key, value in case.items():
        words += [f"--{key}", value] if value is not None else []
    done = subprocess.run(words, capture_output=True, text=True, timeout=600, check=False)
    if done.returncode:
        return [f"status {done.returncode}: {done.stderr}"], 0
    return wrong_in(ship, case, given, json.loads(done.stdout))


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("--coaming", required=True)
    parser.add_argument("--ships", type=int, default=100)
    parser.add_argument("--start", type=int, default=0)
    parser.add_argument("--seed", default="1")
    options = parser.parse_args()
    bad = compared = 0
    for index in range(options.start, options.start + options.ships):
        with tempfile.TemporaryDirectory(prefix="oracle-") as folder:
            wrong, seen = one_ship(options, index, Path(folder))
        compared += seen
        bad += bool(wrong)
        for line in wrong:
            print(f"ship {index}: {line}")
    print(f"{options.ships} ships, {compared} closures of some importance, {bad} ships wrong")
    return 1 if bad or compared < options.ships else 0


if __name__ == "__main__":
    sys.exit(main())
