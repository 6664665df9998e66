#!/usr/bin/python3
"""Floods of random box ships against scipy, which knows nothing of the program.

A box ship in compartments from side to side, so that she sinks and trims but does not heel as long as
water that is free to run across leaves her some metacentric height; that is told by the oracle too. The oracle
cuts hull and compartments in the plane of the keel by polygons, finds levels and position by root finding,
adds up the speed over each opening in strips, and lets scipy's LSODA go through time. Compared: the depth
of water in each space and the trim, at each minute until she is tender; that she is upright until then, and
that she lists wherever upright she would be unstable.

--bench BENCH_FLOOD: prints the time of the processor that both take at the same error, which is told by the oracle at
a much finer tolerance.

Needs Python 3.11, numpy and scipy. Usage: oracle_flood.py --coaming PROGRAM [--ships N], or COAMING.
"""

import argparse
import json
import os
import random
import resource
import subprocess
import sys
import tempfile

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

LENGTH, BREADTH, DEPTH, DRAUGHT, KG = 60.0, 12.0, 8.0, 3.0, 3.5
CD, G = 0.6, 9.81
MINUTES = 15
SAMPLE = 15.0  # s: how often the metacentric height is looked at
TENDER = 0.01  # m of it: nearer to nothing neither upright nor listing is claimed
UPRIGHT = 0.01  # degrees
SHALLOW = 0.05  # m: in the corner of a tilted room a little water is much depth


def below(x0, x1, z0, z1, slope, level):
    """Of a box under the line z = level + slope x: area, and its moments in x and z."""
    points, corners = [], [(x0, z0), (x1, z0), (x1, z1), (x0, z1)]
    for (ax, az), (bx, bz) in zip(corners, corners[1:] + corners[:1]):
        ha, hb = az - level - slope * ax, bz - level - slope * bx
        if ha <= 0:
            points.append((ax, az))
        if ha * hb < 0:
            points.append((ax + (bx - ax) * ha / (ha - hb), az + (bz - az) * ha / (ha - hb)))
    area = mx = mz = 0.0
    for (ax, az), (bx, bz) in zip(points, points[1:] + points[:1]):
        cross = ax * bz - bx * az
        area += cross / 2
        mx += cross * (ax + bx) / 6
        mz += cross * (az + bz) / 6
    return area, mx, mz


class Ship:
    def __init__(self, number):
        dice = random.Random(number)
        count = dice.randint(2, 4)
        cuts = sorted(dice.sample(range(6, 55), count - 1))
        ends = [0, *cuts, 60]
        self.rooms = [(a, b, 0.0, DEPTH, dice.choice((0.7, 0.85, 1.0)))
                      for a, b in zip(ends, ends[1:])]
        self.doors = [(i, ends[i + 1], round(dice.uniform(0.2, 1.5), 2), round(dice.uniform(0.1, 0.8), 2),
                       round(dice.uniform(0.3, 1.8), 2)) for i in range(count - 1)]
        self.holed = dice.randrange(count)
        self.area = dice.choice((0.02, 0.05, 0.1))
        self.hole = round(dice.uniform(0.5, 1.5), 2)

    def write(self, path):
        spaces = "".join(
            f'<space id="s{i}" name="S" permeability="{mu}"><box x="{a} {b}" y="-6 6" z="{z0} {z1}"/></space>'
            for i, (a, b, z0, z1, mu) in enumerate(self.rooms))
        doors = "".join(
            f'<passage id="p{i}" kind="arch" between="s{i} s{i + 1}"><clear x="{x}" y="0" z="{z}" '
            f'width="{w}" height="{h}" lies="transverse"/></passage>' for i, x, z, w, h in self.doors)
        with open(path, "w", encoding="utf-8") as out:
            out.write('<?xml version="1.0"?><arrangement xmlns="urn:coaming:arrangement:1" name="Box" '
                      f'units="m"><ship length="{LENGTH}" beam="{BREADTH}" depth="{DEPTH}" '
                      f'draft="{DRAUGHT}" kg="{KG}"/>{spaces}{doors}</arrangement>')

    def water(self, i, volume, slope):
        """Height at x = 0 of the surface of so much water, and its moments."""
        a, b, z0, z1, mu = self.rooms[i]
        area = max(volume, 0) / (BREADTH * mu)
        full = (b - a) * (z1 - z0)
        if area >= full:
            return z1 - slope * (b if slope < 0 else a) + 1e3 * (area - full), below(a, b, z0, z1, 0, z1 + 1)
        low = min(z0 - slope * a, z0 - slope * b)
        high = max(z1 - slope * a, z1 - slope * b)
        level = brentq(lambda h: below(a, b, z0, z1, slope, h)[0] - area, low - 1e-9, high + 1e-9, xtol=1e-12)
        return level, below(a, b, z0, z1, slope, level)

    def lie(self, volumes, guess):
        """Slope and height at x = 0 of the sea where she floats with the water."""
        weight = LENGTH * BREADTH * DRAUGHT

        def sea(slope, total):
            least = -abs(slope) * LENGTH
            return brentq(lambda h: BREADTH * below(0, LENGTH, 0, DEPTH, slope, h)[0] - total,
                          least - 1e-9, DEPTH - least + 1e-9, xtol=1e-12)

        def lever(slope):
            total, mx, mz = weight, weight * LENGTH / 2, weight * KG
            for i, volume in enumerate(volumes):
                _, (_, wx, wz) = self.water(i, volume, slope)
                mu = self.rooms[i][4] * BREADTH
                total, mx, mz = total + max(volume, 0), mx + mu * wx, mz + mu * wz
            height = sea(slope, total)
            _, bx, bz = below(0, LENGTH, 0, DEPTH, slope, height)
            return (mx - BREADTH * bx) + slope * (mz - BREADTH * bz)

        low, high = guess - 0.01, guess + 0.01
        while lever(low) * lever(high) > 0:
            low, high = low - 0.02, high + 0.02
            if high > 0.3:
                raise ArithmeticError("she goes down by one end")
        slope = brentq(lever, low, high, xtol=1e-13)
        total = weight + sum(max(v, 0) for v in volumes)
        return slope, sea(slope, total)

    def metacentric(self, volumes):
        """Height over the centre of gravity of the transverse metacentre, upright: second moments of what is
        cut of hull and water across the ship, b^3/12 for each metre of length, and heights of their volumes."""
        slope, sea = self.lie(volumes, 0.0)

        def cut(a, b, z0, z1, level):
            if slope == 0:
                return b - a if z0 < level < z1 else 0.0
            low, high = sorted(((z0 - level) / slope, (z1 - level) / slope))
            return max(0.0, min(b, high) - max(a, low))

        total, weights = LENGTH * BREADTH * DRAUGHT, LENGTH * BREADTH * DRAUGHT * KG
        surface = cut(0, LENGTH, 0, DEPTH, sea)
        for i, volume in enumerate(volumes):
            if volume <= 0:
                continue
            a, b, z0, z1, mu = self.rooms[i]
            level, (_, _, wz) = self.water(i, volume, slope)
            total, weights = total + volume, weights + mu * BREADTH * wz
            surface -= mu * cut(a, b, z0, z1, level)
        buoyancy = BREADTH * below(0, LENGTH, 0, DEPTH, slope, sea)[2]
        return (BREADTH ** 3 / 12 * surface + buoyancy - weights) / total

    def rates(self, volumes):
        slope, sea = self.lie(volumes, getattr(self, "guess", 0.0))
        self.guess = slope
        upright = 1 / np.hypot(1, slope)
        levels = [self.water(i, v, slope)[0] for i, v in enumerate(volumes)]
        gain = np.zeros(len(volumes))

        def through(level_a, level_b, x, sill, width, height):
            a = (level_a + slope * x - sill) * upright
            b = (level_b + slope * x - sill) * upright
            z = (np.arange(400) + 0.5) * height * upright / 400
            head = np.maximum(a - z, 0) - np.maximum(b - z, 0)
            return CD * width * np.sum(np.sign(head) * np.sqrt(2 * G * np.abs(head))) * height * upright / 400

        for i, x, sill, width, height in self.doors:
            flow = through(levels[i], levels[i + 1], x, sill, width, height)
            gain[i] -= flow
            gain[i + 1] += flow
        a, b = self.rooms[self.holed][:2]
        side = np.sqrt(self.area)
        gain[self.holed] += through(sea, levels[self.holed], (a + b) / 2, self.hole - side / 2, side, side)
        return gain

    def solve(self, tolerance, every=60.0):
        self.guess = 0.0
        moments = every * np.arange(round(60 * MINUTES / every) + 1)
        found = solve_ivp(lambda t, y: self.rates(y), (0, moments[-1]), np.zeros(len(self.rooms)),
                          method="LSODA", t_eval=moments, rtol=tolerance, atol=tolerance * 100)
        if not found.success:
            raise ArithmeticError(found.message)
        return found.y


def depth(ship, i, volume, slope):
    """Over the lowest corner, across the surface."""
    a, b, z0, z1, _ = ship.rooms[i]
    if volume <= 0:
        return 0.0
    level = ship.water(i, volume, slope)[0]
    most = max(z1 - z0 + abs(slope) * (b - a), 0)
    return min(max(level + slope * a - z0, level + slope * b - z0), most) / np.hypot(1, slope)


def ask(coaming, path, ship, minutes=MINUTES):
    told = subprocess.run(
        (coaming, "flood", path, "--format=json", f"--breach=s{ship.holed}:{ship.area}m2@{ship.hole}",
         f"--until={minutes}min", "--every=1min"), capture_output=True, text=True, check=False)
    if told.returncode > 1:
        raise SystemExit(told.stderr)
    return json.loads(told.stdout)


def stands(ship, told, samples):
    """How many moments she is stiff, how many she lists, and what is wrong with her heel, if anything is."""
    moments = min(len(told["times"]), MINUTES + 1)
    if told["at_rest"] or not told["end"]["afloat"]:
        moments -= 1
    each = round(60 / SAMPLE)
    least, stiff, lists = np.inf, 0, 0
    for k in range(moments):
        heights = [ship.metacentric(samples[:, s]) for s in range(max(0, (k - 1) * each + 1), k * each + 1)]
        least, heel = min(least, *heights, np.inf), abs(told["positions"][k]["heel"])
        stiff += least > TENDER
        lists += heights[-1] < -TENDER
        if (least > TENDER and heel > UPRIGHT) or (heights[-1] < -TENDER and heel < UPRIGHT):
            return stiff, lists, f"minute {k}: heel {heel:.4f} at a metacentric height of {heights[-1]:.3f} m"
    return stiff, lists, None


def differences(ship, told, volumes, moments):
    """Greatest of depths (m) and of trim (m)."""
    worst = trim = 0.0
    wet = {s["space"]: s["depths"] for s in told["spaces"]}
    for k in range(moments):
        slope = ship.lie(volumes[:, k], 0.0)[0]
        trim = max(trim, abs(told["positions"][k]["trim"] - slope * LENGTH))
        for i in range(len(ship.rooms)):
            mine = depth(ship, i, volumes[i, k], slope)
            if mine > SHALLOW:
                worst = max(worst, abs(wet.get(f"s{i}", [0.0] * moments)[k] - mine))
    return worst, trim


def spent(who):
    used = resource.getrusage(who)
    return used.ru_utime + used.ru_stime


def bench(coaming, timer, number):
    """Time of the processor for one flood by the library, told by the benchmark, and by scipy at the first
    tolerance at which it is off by no more than the program is."""
    ship = Ship(number)
    with tempfile.NamedTemporaryFile(suffix=".xml") as file:
        ship.write(file.name)
        program = min(float(subprocess.run(
            (timer, "--one", file.name, str(ship.holed), str(ship.area), str(ship.hole), str(60 * MINUTES)),
            capture_output=True, text=True, check=True).stdout) for _ in range(5))
        told = ask(coaming, file.name, ship)
    exact = ship.solve(1e-10)
    off = max((abs(v - exact[int(s["space"][1:]), k]) for s in told["spaces"]
               for k, v in enumerate(s["volumes"][:-1])), default=0.0)
    for tolerance in 10.0 ** -np.arange(3, 10):
        before = spent(resource.RUSAGE_SELF)
        rough = ship.solve(tolerance)
        mine = spent(resource.RUSAGE_SELF) - before
        if np.max(np.abs(rough - exact)) <= off:
            break
    return program, mine, off


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--coaming", default=os.environ.get("COAMING"))
    parser.add_argument("--ships", type=int, default=30)
    parser.add_argument("--bench", metavar="BENCH_FLOOD")
    options = parser.parse_args()
    if options.bench:
        program, scipy, off = map(sum, zip(*(bench(options.coaming, options.bench, n) for n in (0, 2, 5))))
        print(f"three box ships: {program:.4f} s; scipy at the same error (off by {off / 3:.1g} m3): "
              f"{scipy:.2f} s, ratio {scipy / program:.0f}")
        return 0
    worst, compared, listing, loose = [0.0, 0.0], 0, 0, 0
    for number in range(options.ships):
        ship = Ship(number)
        with tempfile.NamedTemporaryFile(suffix=".xml") as file:
            ship.write(file.name)
            told = ask(options.coaming, file.name, ship)
        try:
            samples = ship.solve(1e-8, SAMPLE)
        except ArithmeticError:
            continue  # she goes down, and the oracle ends
        moments, lists, wrong = stands(ship, told, samples)
        if wrong:
            print(f"ship {number}: {wrong}")
            return 1
        depths, trim = differences(ship, told, samples[:, ::round(60 / SAMPLE)], moments)
        compared, listing, loose = compared + moments, listing + lists, loose + (lists > 0)
        worst = [max(worst[0], depths), max(worst[1], trim)]
        if depths > 0.002 or trim > 0.002:
            print(f"ship {number}: depths differ by {depths:.4f} m, trim by {trim:.4f} m")
            return 1
    print(f"{compared} moments compared; depths within {worst[0]:.5f} m, trim within {worst[1]:.5f} m; "
          f"{listing} more of {loose} ships in which she lists, and must")
    return 0 if compared >= 10 * options.ships and 3 * loose <= options.ships else 1


if __name__ == "__main__":
    sys.exit(main())
