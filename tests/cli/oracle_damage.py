#!/usr/bin/python3
"""Checks the weights of damage cases against damage drawn at random, and no zones.

The regulation gives integrals (SOLAS II-1/7-1, text of MSC.216(82), read as French national law,
Division 221, article 221-II-1/07-1). Here damage is drawn from the densities that they come from:

- length, as a share of hers: b11 J + b12 up to Jk, b21 J + b22 from there to Jm;
- place: evenly where all of it lies within her (1 - J of all); over an end with half of that
  density (J/2 of all at each end), by how much of it lies within, evenly from 0 to J;
- depth from the shell: C(b) is the chance that it is no more, and never more than 15 B J;
- height above the water: v is the chance that it is no more; down without limit.

A space is opened if the box meets it: nothing of zones, groups, r or differences is here. Of random
box ships with wings, decks and inner spaces, 100,000 draws to a side; each set of opened spaces
must come as often as its weight says, within four standard errors, sets that are expected less than
25 times all together as one. Constants that the program works out are worked out anew.

A second law, that of MARPOL I/12A for oil tanks, is in published tables, as chances that damage
touches a box. Both must say alike how often damage touches a stretch of her length.

The ships are invented; each depends on nothing but --seed and its index. Needs numpy.

Exit: 0 all agree; 1 some do not; 2 wrong arguments.
"""

import argparse
import json
import os
import random
import subprocess
import sys
import tempfile

import numpy as np

DRAWS = 100_000
FEWEST = 25  # expected; below it a count is not nearly normal
NS = "urn:coaming:arrangement:1"


# --- the law, written anew ---

def law(length):
    """Jm, Jk and the four constants of the density."""
    jmax, jkn, pk = 10 / 33, 5 / 33, 11 / 12
    b0 = 2 * (pk / jkn - (1 - pk) / (jmax - jkn))
    short = min(length, 260)
    jm = min(jmax, 60 / short)
    jk = jm / 2 + (1 - np.sqrt(1 + (1 - 2 * pk) * b0 * jm + b0 ** 2 * jm ** 2 / 4)) / b0
    b12 = b0
    if length > 260:
        jm, jk = jm * 260 / length, jk * 260 / length
        b12 = 2 * (pk / jk - (1 - pk) / (jm - jk))
    b11 = 4 * (1 - pk) / ((jm - jk) * jk) - 2 * pk / jk ** 2
    b21 = -2 * (1 - pk) / (jm - jk) ** 2
    return jm, jk, b11, b12, b21, -b21 * jm


def draw_lengths(length, dice, count):
    """By the inverse of the distribution, on a net so fine that it does not show."""
    jm, jk, b11, b12, b21, b22 = law(length)
    j = np.concatenate([np.linspace(0, jk, 20001), np.linspace(jk, jm, 20001)[1:]])
    low = b11 * j ** 2 / 2 + b12 * j
    at_knee = b11 * jk ** 2 / 2 + b12 * jk
    high = at_knee + b21 * (j ** 2 - jk ** 2) / 2 + b22 * (j - jk)
    share = np.where(j <= jk, low, high)
    assert abs(share[-1] - 1) < 1e-12
    return np.interp(dice.random(count), share, j)


def draw_places(j, dice):
    """From where to where it reaches, as shares of her length."""
    u, t = dice.random(j.size), dice.random(j.size)
    inside = t * (1 - j)
    aft, fore = u < j / 2, u > 1 - j / 2
    start = np.where(aft, 0, np.where(fore, 1 - t * j, inside))
    end = np.where(aft, t * j, np.where(fore, 1, inside + j))
    return start, end


def draw_depths(j, dice):
    """In breadths of the ship: 12 (b/15) (4 - 45 b/15) turned round, at most 15 J."""
    u = dice.random(j.size)
    depth = 15 * (4 - np.sqrt(16 - 15 * u)) / 90  # u = 12 x (4 - 45 x), x = depth / 15
    return np.minimum(depth, 15 * j)


def draw_heights(count, dice):
    """m above the water."""
    u = dice.random(count)
    return np.where(u <= 0.8, u / 0.8 * 7.8, 7.8 + (u - 0.8) / 0.2 * 4.7)


# --- ships of boxes ---

class Ship:
    def __init__(self, dice):
        self.length = dice.uniform(60, 320)
        self.breadth = dice.uniform(10, 30)
        self.depth = dice.uniform(8, 18)
        self.draft = self.depth * dice.uniform(0.35, 0.65)
        self.boxes = []
        x = 0.0
        holds = dice.randint(2, 6)
        for i in range(holds):
            to = self.length if i + 1 == holds else x + (self.length - x) * dice.uniform(0.1, 0.5)
            self.hold(dice, round(x, 3), round(to, 3))
            x = to

    def hold(self, dice, x0, x1):
        half, decks = self.breadth / 2, [0.0]
        port, starboard = (half * dice.choice((1, dice.uniform(0.3, 0.9))) for _ in range(2))
        while decks[-1] < self.depth:
            up = decks[-1] + dice.uniform(1.5, self.depth)
            decks.append(self.depth if up > self.depth - 1 else up)
        for low, high in zip(decks, decks[1:]):
            self.boxes.append((x0, x1, -starboard, port, low, high))
            if port < half:
                self.boxes.append((x0, x1, port, half, low, high))
            if starboard < half:
                self.boxes.append((x0, x1, -half, -starboard, low, high))

    def text(self):
        rows = "".join(
            f'<space id="s{i}" name="S" shell="yes" permeability="0.01"><box x="{b[0]!r} {b[1]!r}" '
            f'y="{b[2]!r} {b[3]!r}" z="{b[4]!r} {b[5]!r}"/></space>\n'
            for i, b in enumerate(self.boxes))
        return (f'<arrangement xmlns="{NS}" name="Boxes">\n<ship length="{self.length!r}" '
                f'beam="{self.breadth!r}" depth="{self.depth!r}" draft="{self.draft!r}" '
                f'kg="{0.3 * self.depth!r}"/>\n{rows}</arrangement>\n')

    def opened(self, side, draws, dice):
        """How often which set of spaces, as a dictionary of tuples."""
        j = draw_lengths(self.length, dice, draws)
        start, end = draw_places(j, dice)
        depth = draw_depths(j, dice) * self.breadth
        top = self.draft + draw_heights(draws, dice)
        b = np.array(self.boxes)
        outer = np.maximum(side * b[:, 2], side * b[:, 3])  # towards the damaged side
        distance = self.breadth / 2 - outer
        met = ((start[:, None] * self.length < b[None, :, 1])
               & (end[:, None] * self.length > b[None, :, 0])
               & (depth[:, None] > distance[None, :]) & (outer[None, :] > 0)
               & (top[:, None] > b[None, :, 4]))
        rows, counts = np.unique(met, axis=0, return_counts=True)
        return {tuple(np.flatnonzero(row)): int(n) for row, n in zip(rows, counts)}


def weights(program, ship, folder):
    """By side and set, as the program says."""
    path = os.path.join(folder, "ship.xml")
    with open(path, "w", encoding="utf-8") as out:
        out.write(ship.text())
    found = subprocess.run([program, "survival", path, "--format", "json"], check=True,
                           stdout=subprocess.PIPE, timeout=600)
    sides = {"port": {}, "starboard": {}}
    for case in json.loads(found.stdout)["cases"]:
        key = tuple(sorted(int(space[1:]) for space in case["opened"]))
        rows = sides[case["side"]]
        rows[key] = rows.get(key, 0) + case["weight"]
    return sides


def compare(drawn, weight):
    """What is off by more than four standard errors."""
    wrong, few, few_drawn = [], 0.0, 0
    for key in set(drawn) | set(weight):
        share, count = weight.get(key, 0.0), drawn.get(key, 0)
        if share * DRAWS < FEWEST:
            few, few_drawn = few + share, few_drawn + count
            continue
        error = np.sqrt(DRAWS * share * (1 - min(share, 1)))
        if abs(count - DRAWS * share) > 4 * error + 1e-6:
            wrong.append((key, count, DRAWS * share))
    if abs(few_drawn - DRAWS * few) > 4 * np.sqrt(DRAWS * max(few, 1 / DRAWS)):
        wrong.append(("rare ones", few_drawn, DRAWS * few))
    return wrong


# --- MARPOL I/12A ---

PA = (0, .023, .068, .117, .167, .217, .267, .317, .367, .417, .467, .517, .567, .617, .667, .717,
      .767, .817, .867, .917, .967)
PL = (0, 0, .001, .003, .007, .013, .021, .034, .055, .085, .123, .172, .226, .285, .347, .413,
      .482, .553, .626, .700, .775)
PU = (.968, .952, .931, .905, .873, .836, .789, .733, .670, .599, .525, .452, .383, .317, .255,
      .197, .143, .092, .046, .013, 0)
AT = np.linspace(0, 1, 21)


def py(e):
    """Share of damage that does not reach a wing of breadth e (in breadths of the ship)."""
    if e <= .05:
        return (24.96 - 199.6 * e) * e
    if e <= .1:
        return .749 + (5 - 44.4 * (e - .05)) * (e - .05)
    return min(.888 + .56 * (e - .1), 1)


def touched(x, z, e):
    """Chance that damage touches a box: x and z in shares of length and depth, e from the shell."""
    along = 1 - np.interp(x[0], AT, PA) - np.interp(1 - x[1], AT, PA)
    up = 1 - np.interp(z[1], AT, PU) - np.interp(z[0], AT, PL)
    return along * up * (1 - py(e))


def marpol():
    """The tables against figures worked out from them (article 213-1-12-a); and the law of the cases
    against the tables: how often damage touches a stretch of her length. Depth and height have other
    laws there, but along her the two are one, as nearly as three decimals and the draws tell."""
    wrong = []
    for found, known in ((touched((.4, .6), (.1, 1), .1), .029762208),
                         (touched((.25, .35), (0, .5), .05), .019791350)):
        if abs(found - known) > 1e-8:
            wrong.append(("MARPOL", found, known))
    rng = np.random.default_rng(1)
    start, end = draw_places(draw_lengths(100, rng, DRAWS), rng)
    for x in ((0, .1), (.1, .3), (.4, .6), (.45, .5), (.7, 1)):
        here = float(np.mean((start < x[1]) & (end > x[0])))
        there = touched(x, (0, 1), 0) / touched((0, 1), (0, 1), 0)
        if abs(here - there) > 0.001 + 4 * np.sqrt(there * (1 - there) / DRAWS):
            wrong.append(("length", x, here, there))
    return wrong


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--coaming", required=True)
    parser.add_argument("--ships", type=int, default=12)
    parser.add_argument("--seed", type=int, default=1)
    arguments = parser.parse_args()
    wrong, sets = marpol(), 0
    with tempfile.TemporaryDirectory() as folder:
        for index in range(arguments.ships):
            ship = Ship(random.Random(f"{arguments.seed} {index}"))
            found = weights(arguments.coaming, ship, folder)
            for side, sign in (("port", 1), ("starboard", -1)):
                rng = np.random.default_rng([arguments.seed, index, sign + 1])
                drawn = ship.opened(sign, DRAWS, rng)
                sets += len(drawn)
                wrong += [(index, side, *row) for row in compare(drawn, found[side])]
    for row in wrong:
        print(*row)
    print(f"{arguments.ships} ships, {DRAWS} draws a side, {sets} sets drawn, {len(wrong)} off")
    return 1 if wrong or not sets else 0


if __name__ == "__main__":
    sys.exit(main())
