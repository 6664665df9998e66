#!/usr/bin/python3
"""An independent solution of air in time (`coaming air`), in scipy, on random small ships.

Written from the manual page alone: leaks by their recorded areas, openings by their clear size, pressures by
scipy.optimize.root on the balance of mass with openings cut into strips, shares and doses by
scipy.integrate.solve_ivp (Radau). Closures are opened, shut and fail, fans start and stop and sources end
at random moments; at each the balance is solved anew. Compared are pressures, flows, concentrations, doses,
fractional effective doses and the moments at which limits are passed.

Needs Python 3.11, numpy and scipy.
Arguments: --coaming, the program; --ships, how many; --first, the number of the first.
The ships here are invented.
"""

import argparse
import copy
import json
import math
import random
import resource
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy
from scipy.integrate import solve_ivp
from scipy.optimize import root

GRAVITY, GAS, ATMOSPHERE, KELVIN, AIR = 9.80665, 287.05, 101325.0, 273.15, 0.028964
MOLAR = 8.314462618 * 298.15 / ATMOSPHERE
CREEPS, STRIPS, WEIGHTS = 1e-3, 400, {"co": 28.010, "co2": 44.009, "hcn": 27.026}
GROUND = (5.0, 4.0)  # of each space, m


def density(celsius):
    return ATMOSPHERE / (GAS * (celsius + KELVIN))


class Ship:
    """A row of rooms on two decks, each with doors, leaks and hatches to its neighbours and outside."""

    def __init__(self, number):
        dice = random.Random(number)
        self.count = dice.randint(2, 6)
        self.heights = [dice.choice((2.2, 2.6)) for _ in range(self.count)]
        self.bottoms = [2.7 * (i % 2) for i in range(self.count)]
        self.links = []  # (a, b, area, low, high, facing, opened)
        for i in range(self.count):
            for j in range(i + 1, self.count):
                if dice.random() < 0.5:
                    self.add(dice, i, j)
            for _ in range(dice.randint(0 if i else 1, 2)):
                self.add(dice, i, None)
        self.fan = (dice.randrange(self.count), round(dice.uniform(0.02, 0.4), 3),
                    round(dice.uniform(20, 300))) if dice.random() < 0.5 else None
        self.outside = dice.choice((20, round(dice.uniform(-20, 35), 1)))
        self.inside = [dice.choice((20, round(dice.uniform(0, 90), 1))) for _ in range(self.count)]
        self.wind, self.bearing = dice.choice((0, round(dice.uniform(1, 20), 1))), dice.randrange(360)
        self.sources = [(dice.randrange(self.count), "co", round(dice.uniform(0.05, 5), 3))]
        if dice.random() < 0.6:
            self.sources.append((dice.randrange(self.count), "co2", round(dice.uniform(1, 300), 3)))
        if dice.random() < 0.3:
            self.sources.append((dice.randrange(self.count), "hcn", round(dice.uniform(0.001, 0.2), 4)))
        self.outside_co = self.outside_now = round(dice.uniform(50, 2000)) if dice.random() < 0.3 else 0
        self.filtered = dice.random() < 0.5
        self.until = dice.choice((600, 3600, 7200))
        self.changes = sorted(self.draw_change(dice) for _ in range(dice.choice((0, 0, 1, 2, 3))))
        self.changes = [c for i, c in enumerate(self.changes) if i == 0 or c[0] != self.changes[i - 1][0]]

    def draw_change(self, dice):
        """(t, option, id, number)"""
        t = dice.choice((0, dice.randrange(1, self.until), dice.randrange(1, self.until)))
        option = dice.choice(("open", "shut", "shut", "fail", "end") + (("fan", "stop") if self.fan else ()))
        if option == "end":
            place = dice.choice([s for s, _, _ in self.sources] + ([None] if self.outside_co else []))
            return t, option, self.place(place), place if place is not None else -1
        number = 0 if option in ("fan", "stop") else dice.randrange(len(self.links))
        return t, option, "f" if option in ("fan", "stop") else f"c{number}", number

    def at(self, t):
        """The same as it is from t on."""
        then = copy.deepcopy(self)
        fans = [option for _, option, _, _ in self.changes if option in ("fan", "stop")]
        runs = not fans or fans[0] == "stop"
        for _, option, _, number in [c for c in self.changes if c[0] <= t]:
            if option in ("fan", "stop"):
                runs = option == "fan"
            elif option == "end":
                then.sources = [(s, a, 0 if s == number else rate) for s, a, rate in then.sources]
                then.outside_now = 0 if number < 0 else then.outside_now
            elif option == "fail":
                then.links[number]["failed"] = True
            else:
                then.links[number]["opened"] = option == "open"
        then.fan = then.fan if runs else None
        return then

    def add(self, dice, a, b):
        opened = dice.random() < 0.4
        lies = dice.choice(("transverse", "longitudinal", "deck"))
        width, height = round(dice.uniform(0.3, 1.2), 2), round(dice.uniform(0.4, 1.9), 2)
        leak = round(10 ** dice.uniform(-3.5, -1), 6)
        low = self.bottoms[a] + round(dice.uniform(0, 0.3), 2)
        side = dice.choice((-1, 1))
        self.links.append({"a": a, "b": b, "opened": opened, "lies": lies, "width": width, "height": height,
                           "leak": leak, "failed": False, "low": low, "side": side,
                           "high": low + (0 if lies == "deck" else height)})

    def place(self, i):
        return f"s{i}" if i is not None else "weather"

    def text(self):
        lines = ['<arrangement xmlns="urn:coaming:arrangement:1" name="Invented">',
                 '<ship length="80" beam="20" depth="8" draft="0.1"/>']
        for i in range(self.count):
            lines.append(f'<space id="s{i}" name="S{i}" permeability="1"><box x="{6 * i + 1} {6 * i + 6}" y="1 5" '
                         f'z="{self.bottoms[i]} {self.bottoms[i] + self.heights[i]}"/></space>')
        for k, link in enumerate(self.links):
            x, y = 6 * link["a"] + 3.5, 3.0
            if link["b"] is None:  # at the side that it looks to
                x += 2.5 * link["side"] if link["lies"] == "transverse" else 0
                y += 2 * link["side"] if link["lies"] == "longitudinal" else 0
            lines.append(f'<closure id="c{k}" name="C{k}" kind="door" between="{self.place(link["a"])} '
                         f'{self.place(link["b"])}" rating="airtight" leak-area="{link["leak"]}"><clear x="{x}" y="{y}" '
                         f'z="{link["low"]}" width="{link["width"]}" height="{link["height"]}" '
                         f'lies="{link["lies"]}"/></closure>')
        if self.fan:
            lines.append(f'<fan id="f" supplies="s{self.fan[0]}" flow="{self.fan[1]}" pressure="{self.fan[2]}"/>')
        return "\n".join((*lines, "</arrangement>\n"))

    def words(self):
        opened = ",".join(f"c{k}" for k, link in enumerate(self.links) if link["opened"])
        words = [f"--source=s{s}:{rate}g/s:{agent}" for s, agent, rate in self.sources]
        words += [f"--source=weather:{self.outside_co}ppm:co"] if self.outside_co else []
        words += [f"--inside=s{i}:{t}" for i, t in enumerate(self.inside)]
        words += [f"--open={opened}"] if opened else []
        words += ["--filtered"] if self.filtered else []
        words += [f"--{option}={name}@{t}" for t, option, name, _ in self.changes]
        return [*words, f"--outside={self.outside}", f"--wind={self.wind}@{self.bearing}",
                f"--until={self.until}", f"--every={self.until / 6}"]


def area(link):
    """m2 of the orifice that it is like; failed: a tenth of its run stands off by 2 mm."""
    clear = link["width"] * link["height"]
    gap = 0.1 * 2 * (link["width"] + link["height"]) * 0.002 if link["failed"] else 0
    return clear if link["opened"] else min(link["leak"] + gap, clear)


class Solved:
    """The same, worked out anew, from one change to the next."""

    def __init__(self, ship):
        self.ship, n = ship, ship.count
        self.rho = numpy.array([density(t) for t in ship.inside] + [density(ship.outside)])
        self.volume = numpy.array([GROUND[0] * GROUND[1] * h for h in ship.heights])
        self.middle = numpy.array([b + h / 2 for b, h in zip(ship.bottoms, ship.heights)])
        self.agents = sorted({a for _, a, _ in ship.sources} | ({"co"} if ship.outside_co else set()))
        self.sealed = self.find_sealed()
        self.given = {a: numpy.zeros(n) for a in self.agents}  # mol/s
        for s, agent, rate in ship.sources:
            self.given[agent][s] += rate / WEIGHTS[agent]
        self.supply = AIR * sum(self.given.values())
        self.supply[self.sealed] = 0
        self.pressure = self.balance()
        self.flow = [self.through(link, self.pressure) for link in ship.links]
        self.blown = self.fan_flow(self.pressure)

    def find_sealed(self):
        out, more = set(), True
        while more:
            more = False
            for link in self.ship.links:
                pair = {link["a"], link["b"]}
                if (None in pair or pair & out) and not pair - {None} <= out:
                    out |= pair - {None}
                    more = True
        return numpy.array([i not in out for i in range(self.ship.count)])

    def held(self, space):
        """Of a part that is sealed off the last space keeps the pressure that it has."""
        part, more = {space}, bool(self.sealed[space])
        while more:
            more = False
            for link in self.ship.links:
                pair = {link["a"], link["b"]}
                if None not in pair and pair & part and not pair <= part:
                    part, more = part | pair, True
        return self.sealed[space] and space == max(part)

    def push(self, link):
        """Pa of the wind outside."""
        if link["b"] is not None or link["lies"] == "deck" or not self.ship.wind:
            return 0.0
        to = {"transverse": (180, 0), "longitudinal": (90, 270)}[link["lies"]][link["side"] > 0]
        on = math.cos(math.radians(self.ship.bearing - to))
        return self.rho[-1] * self.ship.wind ** 2 / 2 * on * (0.8 if on > 0 else 0.5)

    def through(self, link, p):
        a, b = link["a"], len(self.rho) - 1 if link["b"] is None else link["b"]
        strips = STRIPS if link["high"] > link["low"] else 1
        z = link["low"] + (link["high"] - link["low"]) * (numpy.arange(strips) + 0.5) / strips
        dp = p[a] - p[b] - self.push(link) - (self.rho[a] - self.rho[b]) * GRAVITY * z
        law = numpy.where(abs(dp) > CREEPS, numpy.sqrt(abs(dp)), abs(dp) / math.sqrt(CREEPS))
        kg = 0.83 * area(link) * law * numpy.sqrt(1.2 * self.rho[numpy.where(dp > 0, a, b)]) / strips
        return kg[dp > 0].sum(), kg[dp <= 0].sum()

    def fan_flow(self, p):
        blown = numpy.zeros(self.ship.count)
        if not self.ship.fan or self.sealed[self.ship.fan[0]]:
            return blown
        s, flow, most = self.ship.fan
        over = p[s] - (self.rho[s] - self.rho[-1]) * GRAVITY * self.middle[s]
        blown[s] = flow * self.rho[-1] * min(1, max(0, 1 - (over - most) / (0.05 * most)))
        return blown

    def lost(self, p):
        net = -self.supply - self.fan_flow(p)
        for link in self.ship.links:
            forth, back = self.through(link, p)
            net[link["a"]] += forth - back
            if link["b"] is not None:
                net[link["b"]] -= forth - back
        return net

    def balance(self):
        """From several beginnings, for the roots of pressures are steep."""
        free = [i for i in range(self.ship.count) if not self.held(i)]

        def off(x):
            p = numpy.zeros(self.ship.count + 1)
            p[free] = x
            return self.lost(p)[free] if len(free) else x

        best = None
        for scale in (1, 30, 300, 3000, 30000):
            for method in ("hybr", "lm"):
                for sign in (1, -1):
                    found = root(off, numpy.full(len(free), sign * scale * 0.7), method=method, options={"xtol": 1e-13})
                    size = abs(off(found.x)).max() if len(free) else 0
                    if best is None or size < best[0]:
                        best = (size, found.x)
            if best[0] < 1e-9:
                break
        p = numpy.zeros(self.ship.count + 1)
        p[free] = best[1]
        self.off = best[0]
        return p

    def rates(self, share):
        n = self.ship.count
        mol = self.rho[:n] * self.volume / AIR
        out = {}
        for agent in self.agents:
            x = numpy.append(share[agent], self.ship.outside_now * 1e-6 if agent == "co" else 0)
            change = self.given[agent].copy()
            change += self.blown / AIR * (0 if self.ship.filtered else x[-1])
            for link, (forth, back) in zip(self.ship.links, self.flow):
                a, b = link["a"], -1 if link["b"] is None else link["b"]
                net = (forth * x[a] - back * x[b]) / AIR
                change[a] -= net
                if b >= 0:
                    change[b] += net
            pushed = AIR * sum(self.given.values()) * self.sealed / AIR
            out[agent] = (change - pushed * share[agent]) / mol
        return out

    @staticmethod
    def harm(share):
        """Two doses a second, of all but CO2 and of CO2."""
        co, co2, hcn = (numpy.minimum(numpy.maximum(share.get(a, 0), 0), 1) for a in ("co", "co2", "hcn"))
        oxygen = 20.9 * numpy.maximum(0, 1 - co - co2 - hcn)
        toxic = (3.317e-5 * (1e6 * co) ** 1.036 * 25 / 30 + (1e6 * hcn) ** 2.36 / 1.2e6) * numpy.exp(100 * co2 / 5)
        want = numpy.where(oxygen < 19.5, 1 / numpy.exp(8.13 - 0.54 * (20.9 - oxygen)), 0)
        fall = numpy.where(co2 < 0.03, 0, numpy.exp(51.89 * co2 - 6.1623))
        return numpy.minimum(1, (toxic + want) / 60), numpy.minimum(1, fall / 60) + 0 * co

    def change(self, _, y):
        n, k = self.ship.count, len(self.agents)
        share = {a: y[i * n:(i + 1) * n] for i, a in enumerate(self.agents)}
        rates = self.rates(share)
        toxic, fall = self.harm(share)
        return numpy.concatenate([rates[a] for a in self.agents] + [share[a] for a in self.agents]
                                 + [toxic + numpy.zeros(n), fall + numpy.zeros(n)])


class Followed:
    """All of it in time."""

    def __init__(self, ship):
        starts = sorted({0, *(t for t, *_ in ship.changes if t < ship.until)})
        self.stretches = [(t, Solved(ship.at(t))) for t in starts]
        self.off = max(s.off for _, s in self.stretches)
        self.agents, self.count, self.until = self.stretches[0][1].agents, ship.count, ship.until
        self.courses = []

    def follow(self, relative=1e-9):
        """A dose that begins to count with a jump asks for short steps."""
        y = numpy.zeros((2 * len(self.agents) + 2) * self.count)
        ends = [t for t, _ in self.stretches[1:]] + [self.until]
        for (begin, solved), end in zip(self.stretches, ends):
            done = solve_ivp(solved.change, (begin, end), y, "Radau", rtol=relative, atol=1e-4 * relative,
                             dense_output=True)
            self.courses.append((end, done.sol))
            y = done.y[:, -1]

    def at(self, t):
        sol = next(sol for end, sol in self.courses if t <= end)
        return sol(t).reshape(2 * len(self.agents) + 2, self.count)


def near(what, is_, wanted, share, least):
    if abs(is_ - wanted) > share * abs(wanted) + least:
        raise AssertionError(f"{what}: {is_} is not {wanted}")


def compare_flows(solved, ship, said):
    largest = max(1.0, abs(solved.pressure).max())
    for i, row in enumerate(said["pressures"]):
        assert row["sealed"] == solved.sealed[i], i
        if not row["sealed"]:
            over = solved.pressure[i] - (solved.rho[i] - solved.rho[-1]) * GRAVITY * solved.middle[i]
            near(f"pressure of s{i}", row["pressure"], over, 1e-3, 1e-3 * largest)
    for row, (forth, back) in zip(said["links"], solved.flow):
        size = 1e-3 * (forth + back) / 1.2 + 1e-6
        near(row["link"], row["forth"], forth / 1.2, 3e-3, 5 * size)
        near(row["link"], row["back"], back / 1.2, 3e-3, 5 * size)


def compare(ship, said):
    followed, n = Followed(ship), ship.count
    if followed.off > 1e-7:
        return False  # scipy did not find it
    told_of = [{"t": 0, "pressures": said["pressures"], "links": said["links"]}, *said["later"]]
    assert [row["t"] for row in told_of] == [t for t, _ in followed.stretches], told_of
    for row, (_, solved) in zip(told_of, followed.stretches):
        compare_flows(solved, ship, row)
    followed.follow()
    k, told = len(followed.agents), 0
    found = [followed.at(t) for t in said["times"]]
    for row in said["spaces"]:
        agent, space = followed.agents.index(row["agent"]), int(row["space"][1:])
        for t in range(len(said["times"])):
            near(f"{row['agent']} in {row['space']}", row["concentration"][t], 1e6 * found[t][agent, space], 6e-3,
                 0.05)
            near(f"dose in {row['space']}", row["dose"][t], 1e6 / 60 * found[t][k + agent, space], 6e-3, 0.5)
            told += 1
    for row in said["effects"]:
        space = int(row["space"][1:])
        for t in range(len(said["times"])):
            near(f"effects in {row['space']}", row["fed"][t], found[t][2 * k:, space].max(), 3e-2, 1e-3)
    for event in said["events"]:
        space = int(event["space"][1:])
        y = followed.at(event["t"])
        if event["limit"] == "co-idlh":
            near("co-idlh", 1e6 * y[followed.agents.index("co"), space], 1200, 6e-3, 0.5)
        if event["limit"].startswith("fed"):
            near(event["limit"], y[2 * k:, space].max(), float(event["limit"][4:]), 3e-2, 1e-3)
    assert said["unbalanced"] < 1e-8
    return told > 0


def spent(who):
    used = resource.getrusage(who)
    return used.ru_utime + used.ru_stime


def bench(coaming, path, number):
    """Time of the processor of the whole program, and of scipy's integration alone at the first tolerance at
    which its shares are off by no more than those of the program."""
    global STRIPS  # so many that what is off is of the integration, not of the flows
    STRIPS = 40000
    ship = Ship(number)
    path.write_text(ship.text(), "utf-8")
    words = [coaming, "air", str(path), "--format", "json", *ship.words()]
    taken = []
    for _ in range(5):
        before = spent(resource.RUSAGE_CHILDREN)
        said = json.loads(subprocess.run(words, capture_output=True, check=True).stdout)
        taken.append(spent(resource.RUSAGE_CHILDREN) - before)
    exact, rough = Followed(ship), Followed(ship)
    exact.follow(1e-11)
    found = [exact.at(t) for t in said["times"]]
    off = max((abs(1e-6 * c - f[exact.agents.index(row["agent"]), int(row["space"][1:])])
               for row in said["spaces"] for c, f in zip(row["concentration"], found)), default=0.0)
    shares = len(exact.agents)
    for tolerance in 10.0 ** -numpy.arange(3, 11):
        rough.courses = []
        before = spent(resource.RUSAGE_SELF)
        rough.follow(tolerance)
        mine = spent(resource.RUSAGE_SELF) - before
        if max(abs(rough.at(t) - f)[:shares].max() for t, f in zip(said["times"], found)) <= off:
            break
    return min(taken), mine, off


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--coaming", required=True)
    parser.add_argument("--ships", type=int, default=60)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--bench", action="store_true", help="times instead, of three ships")
    asked, compared = parser.parse_args(), 0
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "ship.xml"
        if asked.bench:
            program, scipy, off = map(sum, zip(*(bench(asked.coaming, path, n) for n in (1, 4, 6))))
            print(f"three small ships: {program:.3f} s, the whole program; scipy at the same error (off by "
                  f"{off / 3:.1g} of the air) {scipy:.2f} s, its integration alone, ratio {scipy / program:.0f}")
            return
        for number in range(asked.first, asked.first + asked.ships):
            ship = Ship(number)
            path.write_text(ship.text(), "utf-8")
            done = subprocess.run([asked.coaming, "air", str(path), "--format", "json", *ship.words()],
                                  capture_output=True, check=False, timeout=600)
            if done.returncode:
                sys.exit(f"ship {number}: {done.stderr.decode()}{ship.words()}")
            try:
                compared += compare(ship, json.loads(done.stdout))
            except AssertionError as wrong:
                sys.exit(f"ship {number}: {wrong}\n{ship.words()}")
    print(f"{compared} of {asked.ships} ships agree; of the others scipy found no pressures")
    if compared < 0.8 * asked.ships:
        sys.exit("too few were compared")


if __name__ == "__main__":
    main()
