#!/usr/bin/python3
"""Checks spaces that end at the shell, on random hulls of sections, by quadrature.

Two claims, both written from the manual pages coaming-format(5) and coaming-float(1):

- the volume of a space is that of what lies inside the hull or above its top;
- where `float` says that she comes to rest, what still carries her has her displacement, and its
  centre lies on the line through the centre of gravity, square to the water.

The way: a fine net of points over the ship's profile. At each the half-breadth comes from the
panel's four triangles round its middle point, by areas; the hull there is the strip -Y to Y, a
box's part of it an interval, and what is wet of an interval follows from the plane. Volumes and
moments are sums over the net. No body is built and nothing is cut. A net of 700 x 350 is off by
about a cell's edge where an interval begins or ends: 2e-3 of the volume of the box, and in the
levers 5e-3 m; now and then more. So a ship that differs is looked at again over a net three times as
fine each way, and must then be within a third of the tolerance: what is the net's own error falls
away, what is the program's stays.

The ships are invented; each depends on nothing but --seed and its index. Needs numpy.

Exit: 0 all agree; 1 some do not, or fewer than half could be compared; 2 wrong arguments.
"""

import argparse
import json
import math
import os
import random
import subprocess
import sys
import tempfile

import numpy as np

LONG, HIGH = 700, 350
FINER = 3
NS = "urn:coaming:arrangement:1"


class Hull:
    """Sections (x, [(z, y), ...]), all with rising z; the bottom and the top may rise and fall."""

    def __init__(self, sections):
        self.sections = sections
        self.heights = sorted({z for _, offsets in sections for z, _ in offsets})

    def corner(self, section, z):
        x, offsets = section
        zs, ys = zip(*offsets)
        at = min(max(z, zs[0]), zs[-1])
        return np.array([x, at, float(np.interp(at, zs, ys))])

    def breadth(self, x, z):
        """Half-breadths at arrays of places; -1 outside."""
        found = np.full(x.shape, -1.0)
        for aft, fore in zip(self.sections, self.sections[1:]):
            for low, high in zip(self.heights, self.heights[1:]):
                p, r = self.corner(aft, low), self.corner(fore, low)
                q, s = self.corner(aft, high), self.corner(fore, high)
                m = (p + q + r + s) / 4
                for a, b in ((p, r), (r, s), (s, q), (q, p)):
                    self.over_triangle(found, x, z, a, b, m)
        return found

    def over_triangle(self, found, x, z, a, b, c):
        def area(p, q, u, w):
            return (q[0] - p[0]) * (w - p[1]) - (q[1] - p[1]) * (u - p[0])

        whole = area(a, b, c[0], c[1])
        if whole <= 1e-12:
            return
        near = tuple(slice(np.searchsorted(line, min(a[k], b[k], c[k])),
                           np.searchsorted(line, max(a[k], b[k], c[k]), "right"))
                     for k, line in ((1, z[:, 0]), (0, x[0])))
        x, z, found = x[near], z[near], found[near]
        u, v, w = area(b, c, x, z), area(c, a, x, z), area(a, b, x, z)
        inside = (u >= 0) & (v >= 0) & (w >= 0)
        value = (u * a[2] + v * b[2] + w * c[2]) / whole
        np.copyto(found, np.maximum(found, value), where=inside)

    def top(self, x):
        return np.interp(x, [s[0] for s in self.sections], [s[1][-1][0] for s in self.sections])

    def xml(self):
        rows = "".join(f'<section x="{x!r}">' + "".join(f'<offset z="{z!r}" y="{y!r}"/>' for z, y in offsets)
                       + "</section>" for x, offsets in self.sections)
        return f"<hull>{rows}</hull>"


def net(x0, x1, z0, z1, fine):
    long, high = LONG * fine, HIGH * fine
    x = x0 + (np.arange(long) + 0.5) / long * (x1 - x0)
    z = z0 + (np.arange(high) + 0.5) / high * (z1 - z0)
    grid = np.meshgrid(x, z)
    return grid[0], grid[1], (x1 - x0) * (z1 - z0) / (long * high)


def random_hull(dice):
    count = dice.randint(3, 6)
    stations = sorted(dice.sample(range(0, 41), count))
    low = [dice.choice((0, 0, 0, 0.4)) for _ in range(count)]
    high = [6 + dice.choice((0, 0, 0.5, 1)) for _ in range(count)]
    sections = []
    for i, x in enumerate(stations):
        zs = sorted({low[i], 1.0, 2.5, 4.0, high[i]})
        full = dice.uniform(2.5, 5.0) * (0.4 if i in (0, count - 1) else 1)
        ys = sorted(round(full * dice.uniform(0.3, 1), 3) for _ in zs)
        sections.append((float(x), list(zip(zs, ys))))
    return Hull(sections)


def random_box(dice, length):
    x = sorted(dice.sample(range(-2, 43), 2))
    y = sorted(dice.sample(range(-6, 7), 2))
    z = sorted(dice.sample(range(0, 9), 2))
    return [float(v) for v in x], [float(v) for v in y], [float(v) for v in z]


def run(program, *words):
    done = subprocess.run([program, *words], capture_output=True, text=True, check=False)
    return json.loads(done.stdout) if done.returncode == 0 else None


class Ship:
    def __init__(self, dice, index, fine=1):
        self.fine = fine
        self.hull = random_hull(dice)
        self.draft, self.kg = 2.5, dice.choice((1.0, 1.5, 2.0))
        self.boxes = [random_box(dice, 40) for _ in range(2)]
        self.share = [dice.choice((0.6, 0.85, 1.0)) for _ in self.boxes]
        spaces = "".join(
            f'<space id="s{i}" name="S{i}" permeability="{mu}"><box x="{b[0][0]} {b[0][1]}" '
            f'y="{b[1][0]} {b[1][1]}" z="{b[2][0]} {b[2][1]}"/></space>'
            for i, (b, mu) in enumerate(zip(self.boxes, self.share)))
        self.text = (f'<arrangement xmlns="{NS}" name="Shell {index}"><ship length="40" beam="10" depth="6" '
                     f'draft="{self.draft}" kg="{self.kg}" density="1"/>{self.hull.xml()}{spaces}</arrangement>')

    def extents(self):
        return self.hull.sections[0][0], self.hull.sections[-1][0]

    def volume(self, index):
        """Inside and above, m3."""
        (x0, x1), (y0, y1), (z0, z1) = self.boxes[index]
        x, z, cell = net(x0, x1, z0, z1, self.fine)
        breadth = self.hull.breadth(x, z)
        inside = np.clip(np.minimum(y1, breadth) - np.maximum(y0, -breadth), 0, None)
        inside[breadth < 0] = 0
        above = z > self.hull.top(x)
        inside[above] = 0
        return inside.sum() * cell, above.sum() * cell * (y1 - y0)

    def wet(self, plane, boxes):
        """Volume and moments below z = c + a x + b y of the hull less the shares of the boxes."""
        c, a, b = plane
        x0, x1 = self.extents()
        x, z, cell = net(x0, x1, self.hull.heights[0], self.hull.heights[-1], self.fine)
        breadth = self.hull.breadth(x, z)
        sums = np.zeros(4)
        for weight, low, high, held in [(1, -breadth, breadth, breadth >= 0)] + [
                (-self.share[i], np.maximum(self.boxes[i][1][0], -breadth),
                 np.minimum(self.boxes[i][1][1], breadth),
                 (breadth >= 0) & (x > self.boxes[i][0][0]) & (x < self.boxes[i][0][1])
                 & (z > self.boxes[i][2][0]) & (z < self.boxes[i][2][1])) for i in boxes]:
            edge = z - c - a * x  # wet where b y > edge
            if b > 1e-12:
                low = np.maximum(low, edge / b)
            elif b < -1e-12:
                high = np.minimum(high, edge / b)
            else:
                held = held & (edge < 0)
            width = np.where(held, np.clip(high - low, 0, None), 0) * cell * weight
            sums += [width.sum(), (width * x).sum(), (width * (low + high) / 2).sum(), (width * z).sum()]
        return sums

    def balance(self, found, flooded):
        """Relative lack of volume, and the levers of G over B along and athwart, m."""
        slope = (found["draught_fwd"] - found["draught_aft"]) / 40
        heel = math.radians(found["heel"])
        # n = (-sin t, -cos t sin h, cos t cos h); z = c + a x + b y has n ~ (-a, -b, 1)
        plane = (found["draught_aft"], slope, math.tan(heel))
        still = self.wet((self.draft, 0, 0), [])
        now = self.wet(plane, flooded)
        g = np.array([still[1] / still[0], still[2] / still[0], self.kg])
        arm = g - now[1:] / now[0]
        n = np.array([-plane[1], -plane[2], 1])
        off = arm - n * (arm @ n) / (n @ n)
        return now[0] / still[0] - 1, float(np.hypot(off[0], np.hypot(off[1], off[2])))


def check(program, seed, index, tally, fine=1):
    ship = Ship(random.Random(f"{seed}/{index}"), index, fine)
    with tempfile.TemporaryDirectory(prefix="oracle-") as folder:
        path = os.path.join(folder, "ship.xml")
        with open(path, "w", encoding="utf-8") as out:
            out.write(ship.text)
        model = run(program, "export", path)
        if model is None:
            lost = [i for i in range(2) if sum(ship.volume(i)) == 0]
            tally["refused"] += bool(lost)
            return [] if lost else ["refused, although something of each space is left"]
        told = []
        for i, row in enumerate(model["spaces"]):
            (x0, x1), (y0, y1), (z0, z1) = ship.boxes[i]
            given, expected = (x1 - x0) * (y1 - y0) * (z1 - z0), sum(ship.volume(i)) * ship.share[i]
            tally["volumes"] += 1
            if abs(row["volume"] - expected) > 4e-3 / fine * given:
                told.append(f"volume of s{i}: {row['volume']}, by quadrature {expected}")
            if abs(row["volume"] / ship.share[i] + row["outside"] - given) > 1e-9 * given:
                told.append(f"s{i}: inside and outside do not make up {given}")
        for flooded in ([], [0], [0, 1]):
            words = ["--flooded", ",".join(f"s{i}" for i in flooded)] if flooded else []
            found = run(program, "float", path, "--format", "json", *words)
            if found is None or not isinstance(found.get("heel"), (int, float)):
                continue
            tally["positions"] += 1
            lack, lever = ship.balance(found, flooded)
            if abs(lack) > 5e-3 / fine or lever > 1e-2 / fine:
                told.append(f"flooded {flooded}: displacement off by {lack:.2e}, lever {lever:.2e} m")
        return told


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--coaming", required=True)
    parser.add_argument("--ships", type=int, default=60)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    tally, bad = {"volumes": 0, "positions": 0, "refused": 0, "finer": 0}, 0
    for index in range(options.ships):
        told = check(options.coaming, options.seed, index, tally)
        if told:
            tally["finer"] += 1
            told = check(options.coaming, options.seed, index, dict(tally), FINER)
        for line in told:
            print(f"ship {index}: {line}")
            bad += 1
    print(f"{options.ships} ships: {tally['volumes']} volumes, {tally['positions']} positions of rest, "
          f"{tally['refused']} refused as they should be, {tally['finer']} looked at over a finer net; "
          f"{bad} disagree")
    return 1 if bad or tally["positions"] < options.ships / 2 or tally["volumes"] < options.ships else 0


if __name__ == "__main__":
    sys.exit(main())
