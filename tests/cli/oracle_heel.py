#!/usr/bin/python3
"""Floods of random ships that are not alike on both sides against scipy: heel and draughts in time.

Boxes: some compartments are divided lengthwise, off the centreline, some by a deck with a hatch in it, and the
centre of gravity lies off the middle, so that she heels, trims and sinks from the start on. She is stiff enough that
one position follows from the water in her; from where she is not, nothing is claimed.

The oracle knows nothing of the program. It cuts boxes by planes with Gauss's points between the places where an
edge goes under (which is exact for these), finds levels and position by Newton's method, adds up the speed over
each opening in strips, and lets scipy's LSODA go through time with the ship at rest under her water at every moment.
The program lets her follow with a lag of 0.05 s (COAMING_FLOOD_LAG in coaming/flood.h), which the oracle has as
well, knowingly: what is told at a moment is compared with where she comes to rest under the water of 0.05 s before.
Without it nothing may differ by more than she moves in that time, which is looked at too.

Needs Python 3.11, numpy and scipy. Usage: oracle_heel.py --coaming PROGRAM [--ships N], or COAMING.
"""

import argparse
import os
import random
import sys
import tempfile

import numpy as np
from scipy.integrate import solve_ivp

from oracle_flood import ask

LENGTH, BREADTH, DEPTH, DRAUGHT = 60.0, 12.0, 8.0, 3.0
CD, G, LAG = 0.6, 9.81, 0.05
MINUTES = 10
STIFF = 0.3  # m of metacentric height with free surfaces: below it nothing is claimed
SHALLOW = 0.05  # m: in the corner of a tilted room a little water is much depth
WITHIN = {"draught": 2e-4, "draught_aft": 4e-4, "draught_fwd": 4e-4, "heel": 1e-3, "depth": 5e-4}  # m, degrees
X_POINTS, X_WEIGHTS = np.polynomial.legendre.leggauss(3)
Y_POINTS, Y_WEIGHTS = np.polynomial.legendre.leggauss(2)


def pieces(breaks, points, weights):
    """Gauss's points and weights between neighbours of the last axis."""
    low, wide = breaks[..., :-1, None], np.diff(breaks, axis=-1)[..., None]
    return low + wide * (points + 1) / 2, wide * weights / 2


def below(boxes, c, p, q):
    """Of boxes, rows of x0 x1 y0 y1 z0 z1, what is under the planes z = c + p x + q y: volume and its moments,
    and by how much the volume changes with c."""
    x0, x1, y0, y1, z0, z1 = boxes.T[..., None]
    p, q, c = p or 1e-30, q or 1e-30, np.asarray(c)[..., None]
    crossing = np.concatenate([(z - c - q * y) / p for z in (z0, z1) for y in (y0, y1)], axis=-1)
    x, wx = pieces(np.concatenate([x0, np.sort(np.minimum(np.maximum(crossing, x0), x1)), x1], axis=-1), X_POINTS, X_WEIGHTS)
    flat = (len(boxes), -1)
    x, wx = x.reshape(flat), wx.reshape(flat)
    over = c + p * x
    ends = [np.broadcast_to(y, x.shape) for y in (y0, y1)]
    crossing = np.stack([(z - over) / q for z in (z0, z1)], axis=-1)
    crossing = np.sort(np.minimum(np.maximum(crossing, y0[..., None]), y1[..., None]))
    y, wy = pieces(np.concatenate([ends[0][..., None], crossing, ends[1][..., None]], axis=-1), Y_POINTS, Y_WEIGHTS)
    y, wy = y.reshape(*x.shape, -1), wy.reshape(*x.shape, -1) * wx[..., None]
    floor, high = z0[..., None], (z1 - z0)[..., None]
    depth = np.minimum(np.maximum(over[..., None] + q * y - floor, 0), high)
    part = wy * depth
    volume = part.sum((1, 2))
    moments = [(part * along).sum((1, 2)) for along in (x[..., None], y, floor + depth / 2)]
    return volume, np.stack(moments, axis=-1), (wy * ((depth > 0) & (depth < high))).sum((1, 2))


class Ship:
    def __init__(self, number):
        dice = random.Random(1000 + number)
        count = dice.randint(2, 3)
        ends = [0, *sorted(dice.sample(range(12, 49, 4), count - 1)), 60]
        self.boxes, self.mu, self.ways = [], [], []
        self.kg = round(dice.uniform(1.6, 2.6), 2)
        self.tcg, self.lcg = round(dice.uniform(-0.25, 0.25), 3), round(dice.uniform(29.6, 30.4), 2)
        before = None
        for a, b in zip(ends, ends[1:]):
            here = self.divide(dice, a, b)
            if before:
                self.door(dice, dice.choice(before), dice.choice(here), a)
            before = here
        self.boxes, self.mu = np.array(self.boxes, float), np.array(self.mu)
        self.full = self.mu * np.prod(self.boxes[:, 1::2] - self.boxes[:, ::2], axis=1)
        self.holed = dice.choice([i for i, box in enumerate(self.boxes) if box[4] == 0])
        self.area, self.hole = dice.choice((0.02, 0.05, 0.1)), round(dice.uniform(0.5, 1.5), 2)
        self.weight = LENGTH * BREADTH * DRAUGHT
        self.place, self.last = np.array([DRAUGHT, 0.0, 0.0]), np.zeros(len(self.boxes))

    def room(self, dice, *box):
        self.boxes.append(box)
        self.mu.append(dice.choice((0.7, 0.85, 1.0)))
        return len(self.boxes) - 1

    def divide(self, dice, a, b):
        """The compartment from a to b in one, two or three; those on the bottom, from starboard."""
        middle = dice.choice((-2, -1, 1, 3)) if dice.random() < 0.7 else None
        sides = [(-6, 6)] if middle is None else [(-6, middle), (middle, 6)]
        deck = dice.random() < 0.4
        here = [self.room(dice, a, b, *side, 0, 4 if deck else DEPTH) for side in sides]
        if len(sides) == 2 and dice.random() < 0.8:
            sill, x = round(dice.uniform(0.2, 1.2), 2), round(dice.uniform(a + 2, b - 2), 2)
            self.ways.append((here[0], here[1], (x, middle, sill), round(dice.uniform(0.1, 0.5), 2), 1.2, "longitudinal"))
        if deck:
            over = self.room(dice, a, b, -6, 6, 4, DEPTH)
            side = dice.randrange(len(sides))
            self.ways.append((here[side], over, ((a + b) / 2, sum(sides[side]) / 2, 4), 0.8, 0.6, "deck"))
        return here

    def door(self, dice, one, two, x):
        low, high = max(self.boxes[one][2], self.boxes[two][2]), min(self.boxes[one][3], self.boxes[two][3])
        if low < high:
            self.ways.append((one, two, (x, (low + high) / 2, round(dice.uniform(0.2, 1.2), 2)),
                              round(dice.uniform(0.1, 0.8), 2), round(dice.uniform(0.5, 1.5), 2), "transverse"))

    def write(self, path):
        def pair(one, two):
            return f"{one} {two}"
        spaces = "".join(
            f'<space id="s{i}" name="S" permeability="{mu}"><box x="{pair(*box[:2])}" y="{pair(*box[2:4])}" '
            f'z="{pair(*box[4:])}"/></space>' for i, (box, mu) in enumerate(zip(self.boxes, self.mu)))
        ways = "".join(
            f'<passage id="p{k}" kind="arch" between="s{i} s{j}"><clear x="{x}" y="{y}" z="{z}" width="{w}" '
            f'height="{h}" lies="{lies}"/></passage>' for k, (i, j, (x, y, z), w, h, lies) in enumerate(self.ways))
        with open(path, "w", encoding="utf-8") as out:
            out.write('<?xml version="1.0"?><arrangement xmlns="urn:coaming:arrangement:1" name="Box" units="m">'
                      f'<ship length="{LENGTH}" beam="{BREADTH}" depth="{DEPTH}" draft="{DRAUGHT}" kg="{self.kg}" '
                      f'tcg="{self.tcg}" lcg="{self.lcg}"/>{spaces}{ways}</arrangement>')

    # --- how she lies ---

    def corners(self, p, q):
        """Lowest of the floor and highest of the roof along z - p x - q y."""
        x0, x1, y0, y1, z0, z1 = self.boxes.T
        return z0 - np.maximum(p * x0, p * x1) - np.maximum(q * y0, q * y1), \
            z1 - np.minimum(p * x0, p * x1) - np.minimum(q * y0, q * y1)

    def levels(self, volumes, p, q):
        """c of the surface in each room, and moments of the water."""
        low, high = self.corners(p, q)
        least, most = low.copy(), high.copy()
        c = np.clip(self.last, low, high)
        wanted = np.clip(volumes, 0, self.full) / self.mu
        for _ in range(80):
            volume, moments, area = below(self.boxes, c, p, q)
            off = volume - wanted
            if np.all(np.abs(off) < 1e-12 * self.full):
                break
            least, most = np.where(off < 0, c, least), np.where(off > 0, c, most)
            with np.errstate(divide="ignore", invalid="ignore"):
                step = c - off / area
            c = np.where((step > least) & (step < most), step, (least + most) / 2)
        self.last = c
        c = np.where(volumes <= 0, low, np.where(volumes >= self.full, high, c))
        return c, moments * self.mu[:, None]

    def pull(self, volumes, place):
        """What is 0 where she lies at rest: weight and levers across and along, by the weight."""
        c, p, q = place
        total = self.weight + np.clip(volumes, 0, self.full).sum()
        moment = self.weight * np.array([self.lcg, self.tcg, self.kg]) + self.levels(volumes, p, q)[1].sum(0)
        volume, bears, _ = below(HULL, [c], p, q)
        off = moment - bears[0]
        return np.array([(total - volume[0]) / 100, off[0] + p * off[2], off[1] + q * off[2]]) / self.weight

    def slope(self, volumes, place):
        """Changes of the pull with the position, by differences."""
        step = 1e-6 * np.array([1, 0.02, 0.1])
        return np.stack([(self.pull(volumes, place + e) - self.pull(volumes, place - e)) / (2 * e.sum())
                         for e in np.diag(step)], axis=-1)

    def lie(self, volumes):
        """c, p, q of the sea, from where she lay the last time it was asked."""
        place, slope = self.place.copy(), getattr(self, "kept", None)
        for turn in range(40):
            off = self.pull(volumes, place)
            if np.max(np.abs(off)) < 3e-9:
                break
            if slope is None or turn % 8 == 7:
                slope = self.slope(volumes, place)
            place = place - np.linalg.solve(slope, off)
        else:
            raise ArithmeticError("no position")
        self.place, self.kept = place, slope
        return place

    def metacentric(self, volumes, place):
        """Height of it, with free surfaces: how the lever across grows with heel, level and trim following."""
        slope = self.slope(volumes, place)
        total = self.weight + np.clip(volumes, 0, self.full).sum()
        follow = np.linalg.solve(slope[:2, :2], slope[:2, 2])
        return -(slope[2, 2] - slope[2, :2] @ follow) * self.weight / total

    # --- time ---

    def rates(self, volumes):
        c, p, q = self.lie(volumes)
        upright = 1 / np.sqrt(1 + p * p + q * q)
        levels = self.levels(volumes, p, q)[0] + 1e3 * np.maximum(volumes - self.full, 0) / self.full
        gain = np.zeros(len(volumes))

        def heads(level_a, level_b, x, y, z):
            return [(level + p * x + q * y - z) * upright for level in (level_a, level_b)]

        def side(a, b, width, height):
            z = (np.arange(400) + 0.5) * height * upright / 400
            head = np.maximum(a - z, 0) - np.maximum(b - z, 0)
            return CD * width * np.sum(np.sign(head) * np.sqrt(2 * G * np.abs(head))) * height * upright / 400

        def deck(a, b, width, height):
            sign, a, b = (1, a, b) if a >= b else (-1, b, a)
            b = max(b, 0)
            if a <= 0:
                return 0.0
            hole = width * height * np.sqrt(a - b)
            weir = 2 * (width + height) * (2 / 3 * (a - b) ** 1.5 + b * np.sqrt(a - b))
            return sign * CD * np.sqrt(2 * G) * min(hole, weir)

        for i, j, (x, y, z), width, height, lies in self.ways:
            through = deck if lies == "deck" else side
            flow = through(*heads(levels[i], levels[j], x, y, z), width, height)
            gain[i] -= flow
            gain[j] += flow
        box, wide = self.boxes[self.holed], np.sqrt(self.area)
        y = box[3] if box[2] >= 0 else box[2] if box[3] <= 0 else (box[2] + box[3]) / 2
        gain[self.holed] += side(*heads(c, levels[self.holed], (box[0] + box[1]) / 2, y, self.hole - wide / 2), wide, wide)
        return gain

    def room_left(self, volumes):
        """Above 0 as long as something is claimed of her: she is stiff, her hull takes more, and she is not far over."""
        place = self.lie(volumes)
        hull = LENGTH * BREADTH * DEPTH - self.weight
        return min(self.metacentric(volumes, place) / STIFF - 1, 0.9 - volumes.sum() / hull, 0.4 - abs(place[2]))

    def solve(self, tolerance):
        """Water at each minute and LAG before it, as long as something is claimed."""
        minutes = 60.0 * np.arange(1, MINUTES + 1)
        times = np.sort(np.concatenate([[0.0], minutes, minutes - LAG]))
        def ends(_, volumes):
            return self.room_left(volumes)

        ends.terminal = True
        found = solve_ivp(lambda t, y: self.rates(y), (0, times[-1]), np.zeros(len(self.boxes)), method="LSODA",
                          t_eval=times, rtol=tolerance, atol=tolerance * 100, events=ends)
        if not found.success:
            raise ArithmeticError(found.message)
        return found.y[:, ::2], np.concatenate([found.y[:, :1], found.y[:, 1::2]], axis=1)


HULL = np.array([[0, LENGTH, -BREADTH / 2, BREADTH / 2, 0, DEPTH]], float)


def position(place):
    c, p, q = place
    return {"draught": c + p * LENGTH / 2, "draught_aft": c, "draught_fwd": c + p * LENGTH,
            "heel": np.degrees(np.arctan(q))}


def compare(ship, told, now, before):
    """Greatest differences by what they are of, how far she heeled, and moments compared."""
    worst, heels, still = dict.fromkeys(WITHIN, 0.0), [], 0.0
    wet = {s["space"]: s["depths"] for s in told["spaces"]}
    # The last moment is no whole minute where she is lost or at rest.
    moments = len(told["times"]) - (told["at_rest"] or not told["end"]["afloat"])
    for k in range(min(moments, now.shape[1], before.shape[1])):
        still_lies = position(ship.lie(now[:, k]))
        place = ship.lie(before[:, k])
        lies = position(place)
        heels.append(lies["heel"])
        for key, value in lies.items():
            worst[key] = max(worst[key], abs(told["positions"][k][key] - value))
        still = max(still, abs(told["positions"][k]["heel"] - still_lies["heel"]))
        _, p, q = place
        low, high = ship.corners(p, q)
        depths = (np.minimum(ship.levels(now[:, k], p, q)[0], high) - low) / np.sqrt(1 + p * p + q * q)
        for i, mine in enumerate(depths):
            if now[i, k] > 0 and mine > SHALLOW:
                theirs = wet[f"s{i}"][k] if f"s{i}" in wet else 0.0
                worst["depth"] = max(worst["depth"], abs(theirs - mine))
    return worst, still, heels


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--coaming", default=os.environ.get("COAMING"))
    parser.add_argument("--ships", type=int, default=20)
    options = parser.parse_args()
    worst, still, compared, moved = dict.fromkeys(WITHIN, 0.0), 0.0, 0, 0
    for number in range(options.ships):
        ship = Ship(number)
        with tempfile.NamedTemporaryFile(suffix=".xml") as file:
            ship.write(file.name)
            told = ask(options.coaming, file.name, ship, MINUTES)
        try:
            now, before = ship.solve(1e-6)
            off, without, heels = compare(ship, told, now, before)
        except (ArithmeticError, np.linalg.LinAlgError):
            continue  # she goes over or down, and the oracle ends
        compared += len(heels)
        moved += max(heels, default=0) - min(heels, default=0) > 0.5
        still = max(still, without)
        worst = {key: max(worst[key], off[key]) for key in worst}
        for key, value in off.items():
            if value > WITHIN[key]:
                print(f"ship {number}: {key} differs by {value:.5f}")
                return 1
    told = ", ".join(f"{key} {value:.2g}" for key, value in worst.items())
    print(f"{compared} moments compared, in {moved} ships heel changes by more than half a degree; within {told} "
          f"(m, degrees); without the lag heel within {still:.2g} degrees")
    return 0 if compared >= 6 * options.ships and 2 * moved >= options.ships else 1


if __name__ == "__main__":
    sys.exit(main())
