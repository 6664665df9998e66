#!/usr/bin/python3
"""Checks `coaming float` on random box ships against hydrostatics worked out in another way.

The claim: the floating position, its stability and the righting arms that the program answers are
those of lost buoyancy at constant displacement.  With G fixed, the plane n.p = d (n a unit vector,
wet where n.p < d) is sought for which

    hull volume below it - sum of permeability * volume of each flooded space below it = V0
    and the centre B of that net volume is on the line through G along n,

where V0 is the hull's volume below the intact draught at even keel, and of all such planes the one
to which she settles from her intact position: the nearest minimum of the height of G over B.  Where
nothing decides to which side she heels, both are followed: she is lost if she is so to one of them,
else she lies where that height is less.  Lost is also what heels beyond 60 degrees.

Of some ships the draught, trim and centre of gravity are those of a loading with liquids in her spaces.
Then G is that of the liquids too, each cut level at its volume by columns like those below; a flooded
space has lost its content, from V0 and from G.

Grades (include/coaming/grade.h says them in words) are worked out anew: righting arms in steps of one
degree to the first zero and to the first opening that goes under, the greatest arm by a bounded
search, the limits and the factor s of SOLAS II-1/7-2 from these.

The way: the plane is written z = c + a x + b y, x from amidships, so trim is a * length and heel
is atan b.  Every box and prism is a set of vertical columns over its outline in plan; the outline
is a signed fan of triangles, a triangle cut by the line where the plane meets the bottom or the
top of the prism is again a triangle or a triangle less a triangle, and over each the integrand is
a polynomial of degree two at most, for which the mid-edge rule is exact.  No polyhedron is ever
built and no section is cut.  scipy.optimize.root finds the plane with the exact derivatives; the
branch is found by walking in heel, trim balanced at every step, until the righting lever changes
sign.  No code is shared with the program, and the XML is read by this file's own reader.

Choices where a word could mean two things:
- Along the ship in the water's plane is the projection of the x axis.  With the heel held, the
  trim for which the lever of B over G vanishes in that direction is also the one of least energy.
- In `righting_arms` the heel has the sign that `heel` has: negative where she heels to starboard.
- A symmetric ship without stability upright lies to either side; both are accepted, and said.
- What only dips under, or loses its arm, between two of the angles of 5 degrees is not looked for by
  the program: such cases are left out of the grades.
- Flooding a space that stays dry changes nothing at rest, but may change the righting arms, for
  the space gets wet when she heels: they are left out of that property.

Also reads <hull> sections, for --time alone: half-breadths go straight from section to section at
each height, and the cut sections are integrated along the length by Gauss-Legendre.

The ships are invented; each depends on nothing but --seed and its index.

Needs Python 3.11, numpy 1.24 and scipy 1.10 (Debian: python3-numpy, python3-scipy).

Exit: 0 all ships agree; 1 some do not, or nothing was compared, or a third or more was skipped;
2 wrong arguments.
"""

import argparse
import json
import math
import os
import random
import shutil
import subprocess
import sys
import tempfile
import time
import xml.etree.ElementTree as ET
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from scipy import optimize, spatial

SHIP_NS = "urn:coaming:arrangement:1"
FOOT = 0.3048
PERMEABILITY = {"stores": 0.60, "machinery": 0.85, "accommodation": 0.95, "void": 0.95}
ANGLES = range(0, 61, 5)
UPRIGHT = 1e-6  # degrees: nearer than this counts as upright

# Tolerances.  Both sides solve smooth equations in double precision.  The levers, some 1e1 to 1e2 m
# before they cancel, carry rounding of 1e-14 to 1e-12 m; divided by the least GM compared (0.02 m)
# that is 5e-11 rad of heel and, over half the length, less than 1e-9 m of draught.  So these
# figures leave three orders for where the two iterations stop, and are still far finer than any
# mistake of method: a term forgotten shows in the third or fourth digit.
DRAUGHT = 1e-6  # m; trim also
HEEL = 1e-5  # degrees: a lever of 3.5e-9 m at GM 0.02 m
# The freeboard is taken at the deck's corners, up to 15 m off the middle: 1e-5 degrees there are
# 2.6e-6 m, with the draught's own 1e-6 m and the trim's half.
FREEBOARD = 5e-6
# Second moments and centres of a tilted body change with the plane: metres of GM per radian go up
# to some tens where an edge is near, times 1.7e-7 rad (1e-5 degrees).
STABILITY = 1e-5  # m; gm and gz
DISPLACEMENT = 1e-8  # relative: given by the file alone, but through one iteration's stop
FLOODED = 1e-6  # relative to the flooded volume, and m3 absolute for each m2 of its plan: see below
SAME = 1e-9  # properties: one program, one method, the same ship written in another way

# What is near an edge, where a small change changes the kind of answer.
HEEL_EDGE = 40.0  # degrees
LOST_HEEL = 60.0
ON_END = 45.0  # degrees of trim, from the program's own page
VOLUME_EDGE = 0.01  # of the displacement
GM_EDGE = 0.02  # m


# --------------------------------------------------------------------------------- the ship's file


@dataclass
class Part:
    """A prism: outline in plan ((x, y), ...), from low to high."""

    outline: tuple
    low: float
    high: float
    is_box: bool = False


@dataclass
class Space:
    id: str
    permeability: float
    parts: list


@dataclass
class Door:
    """A closure: where its lowest edge is, and whether it passes, fails or is protected."""

    id: str
    a: str
    b: str  # a space, sea or weather
    place: tuple  # x, y, z
    rating: str
    never_shut: bool
    result: str  # pass, fail or None
    protected: bool

    def passes(self):
        return (self.never_shut or self.rating in ("nontight", "weathertight")
                or self.result == "fail")


@dataclass
class Ship:
    name: str
    length: float
    beam: float
    depth: float
    draft: float
    kg: float
    density: float
    lcg: float = None
    tcg: float = None
    spaces: list = field(default_factory=list)
    sections: list = field(default_factory=list)  # (x, [(z, y), ...])
    doors: list = field(default_factory=list)
    bulkhead: float = None  # height of the bulkhead deck
    loaded: bool = False  # what stands above and below is said by a loading
    trim: float = 0.0
    contents: list = field(default_factory=list)  # (id of a space, fill, density)

    def hull(self):
        half = self.beam / 2
        return box_part((0, self.length), (-half, half), (0, self.depth))


def box_part(x, y, z):
    return Part(((x[0], y[0]), (x[1], y[0]), (x[1], y[1]), (x[0], y[1])), z[0], z[1], True)


class Reader:
    """Reads what bears on flotation from an arrangement."""

    def __init__(self, text):
        self.root = ET.fromstring(text)
        self.unit = FOOT if self.root.get("units", "m") == "ft" else 1.0
        frames = self.find("frames")
        self.frames = None
        if frames is not None:
            self.frames = float(frames.get("spacing")), float(frames.get("zero", "0"))

    def find(self, name):
        return self.root.find(f"{{{SHIP_NS}}}{name}")

    def length(self, text):
        if text.startswith("fr"):
            number, sign, more = text[2:], 1, "0"
            for mark, value in (("+", 1), ("-", -1)):
                if mark in number[1:]:
                    cut = number.index(mark, 1)
                    number, sign, more = number[:cut], value, number[cut + 1:]
            spacing, zero = self.frames
            return (zero + float(number) * spacing + sign * float(more)) * self.unit
        return float(text) * self.unit

    def lengths(self, text):
        return [self.length(word) for word in text.replace(",", " ").split()]

    def part(self, element):
        z = self.lengths(element.get("z"))
        if element.tag.endswith("}box"):
            return box_part(self.lengths(element.get("x")), self.lengths(element.get("y")), z)
        flat = self.lengths(element.get("outline"))
        return Part(tuple(zip(flat[0::2], flat[1::2])), z[0], z[1])

    def space(self, element):
        given = element.get("permeability")
        share = float(given) if given else PERMEABILITY.get(element.get("use"), 0.95)
        kinds = (f"{{{SHIP_NS}}}box", f"{{{SHIP_NS}}}prism")
        parts = [self.part(child) for child in element if child.tag in kinds]
        return Space(element.get("id"), share, parts)

    def door(self, element):
        clear, test = (element.find(f"{{{SHIP_NS}}}{name}") for name in ("clear", "test"))
        place = tuple(self.length(clear.get(key)) for key in "xyz")
        return Door(element.get("id"), *element.get("between").split(), place, element.get("rating"),
                    element.get("shut-in") == "", None if test is None else test.get("result"),
                    element.get("protected") == "yes")

    def ship(self):
        data = self.find("ship")
        sizes = [self.length(data.get(key)) for key in ("length", "beam", "depth", "draft", "kg")]
        ship = Ship(self.root.get("name"), *sizes, float(data.get("density", "1.025")))
        ship.lcg, ship.tcg = (
            self.length(data.get(key)) if data.get(key) else None for key in ("lcg", "tcg"))
        ship.spaces = [self.space(e) for e in self.root.iter(f"{{{SHIP_NS}}}space")]
        deck = self.find("deck")
        ship.bulkhead = self.length(deck.get("z")) if data.get("bulkhead-deck") else None
        ship.doors = [self.door(e) for e in self.root.iter(f"{{{SHIP_NS}}}closure")]
        loading = self.find("loading")
        if loading is not None:
            ship.loaded, ship.trim = True, self.length(loading.get("trim"))
            ship.contents = [(e.get("space"), float(e.get("fill")), float(e.get("density"))) for e in loading]
        hull = self.find("hull")
        for section in hull if hull is not None else ():
            offsets = [(self.length(o.get("z")), self.length(o.get("y"))) for o in section]
            ship.sections.append((self.length(section.get("x")), offsets))
        return ship


def number(value):
    return repr(round(value, 4) + 0.0)


def part_xml(part):
    heights = f'z="{number(part.low)} {number(part.high)}"'
    if part.is_box:
        (x0, y0), (x1, y1) = part.outline[0], part.outline[2]
        return (f'<box x="{number(x0)} {number(x1)}" y="{number(y0)} {number(y1)}" {heights}/>')
    corners = " ".join(f"{number(x)},{number(y)}" for x, y in part.outline)
    return f'<prism {heights} outline="{corners}"/>'


def door_xml(door):
    x, y, z = (number(value) for value in door.place)
    more = ' shut-in=""' * door.never_shut + ' protected="yes"' * door.protected
    test = f'<test date="2020-01-31" method="chalk" result="{door.result}"/>' if door.result else ""
    return (f'  <closure id="{door.id}" kind="door" between="{door.a} {door.b}" '
            f'rating="{door.rating}"{more}><clear x="{x}" y="{y}" z="{z}" width="0.6" height="1.2" '
            f'lies="transverse"/>{test}</closure>')


def ship_xml(ship):
    keys = ["length", "beam", "depth", "draft", "kg", "density", "lcg", "tcg"]
    values = [(key, getattr(ship, key)) for key in keys]
    words = " ".join(f'{key}="{number(value)}"' for key, value in values if value is not None)
    deck = []
    if ship.bulkhead is not None:
        words += ' bulkhead-deck="bulkhead"'
        deck = [f'  <deck id="bulkhead" z="{number(ship.bulkhead)}"/>']
    lines = ['<?xml version="1.0" encoding="UTF-8"?>',
             f'<arrangement xmlns="{SHIP_NS}" name="{ship.name}" units="m">', f"  <ship {words}/>",
             *deck]
    for space in ship.spaces:
        lines.append(f'  <space id="{space.id}" name="Space {space.id}" use="void" shell="yes" '
                     f'permeability="{number(space.permeability)}">')
        lines += [f"    {part_xml(part)}" for part in space.parts]
        lines.append("  </space>")
    lines += [door_xml(door) for door in ship.doors]
    if ship.loaded:
        given = " ".join(f'{key}="{number(value)}"' for key, value in values
                         if key in ("draft", "kg", "lcg", "tcg") and value is not None)
        lines.append(f'  <loading id="L" trim="{number(ship.trim)}" {given}>')
        lines += [f'    <content space="{space}" fill="{number(fill)}" density="{number(density)}"/>'
                  for space, fill, density in ship.contents]
        lines.append("  </loading>")
    return "\n".join([*lines, "</arrangement>", ""])


# -------------------------------------------------------------------- what is below z = c + ax + by


@dataclass
class Below:
    """Volume, its moments, and the water's plane seen from above: area and moments."""

    v: float
    mx: float
    my: float
    mz: float
    area: float
    sx: float
    sy: float
    sxx: float
    sxy: float
    syy: float


def cut_triangles(corners, above):
    """Where a linear function with the values `above` at the corners is positive.

    Gives triangles (m, 3, 2), their share of the whole triangle with a sign, and whose they are.
    One corner positive: the small triangle there.  Two: the whole less the small one at the third.
    """
    count = (above > 0).sum(axis=1)
    whole = np.flatnonzero(count >= 2)
    small = np.flatnonzero((count == 1) | (count == 2))
    lone = count[small] == 1
    first = np.where(lone, np.argmax(above[small], axis=1), np.argmin(above[small], axis=1))
    turn = (first[:, None] + np.arange(3)) % 3
    u = np.take_along_axis(above[small], turn, axis=1)
    p = np.take_along_axis(corners[small], turn[:, :, None], axis=1)
    t = u[:, :1] / (u[:, :1] - u[:, 1:])
    p[:, 1:] = p[:, :1] + t[:, :, None] * (p[:, 1:] - p[:, :1])
    share = np.where(lone, 1.0, -1.0) * t[:, 0] * t[:, 1]
    return (np.concatenate([corners[whole], p]), np.concatenate([np.ones(len(whole)), share]),
            np.concatenate([whole, small]))


def mid_edges(corners):
    """The three points of the rule that is exact to degree two on a triangle."""
    return (corners + corners[:, [1, 2, 0]]) / 2


def fan(outline):
    """Triangles from the first corner, and their signed areas, adding up to a positive area."""
    points = np.asarray(outline, dtype=float)
    triangles = np.stack([np.broadcast_to(points[0], points[1:-1].shape), points[1:-1],
                          points[2:]], axis=1)
    one, two = triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0]
    areas = (one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0]) / 2
    return triangles, areas if areas.sum() > 0 else -areas


class Columns:
    """Weighted prisms, as columns over triangles: up from each bottom, less up from each top."""

    def __init__(self, weighted, middle):
        corners, areas, levels = [np.zeros((0, 3, 2))], [np.zeros(0)], [np.zeros(0)]
        for weight, part in weighted:
            triangles, signed = fan([(x - middle, y) for x, y in part.outline])
            for level, sign in ((part.low, weight), (part.high, -weight)):
                corners.append(triangles)
                areas.append(sign * signed)
                levels.append(np.full(len(signed), level))
        self.corners, self.areas = np.concatenate(corners), np.concatenate(areas)
        self.levels = np.concatenate(levels)

    def below(self, c, a, b):
        above = c + self.corners @ (a, b) - self.levels[:, None]
        triangles, share, owner = cut_triangles(self.corners, above)
        points = mid_edges(triangles)
        x, y = points[:, :, 0], points[:, :, 1]
        w = ((self.areas[owner] * share) / 3)[:, None]
        level = self.levels[owner][:, None]
        h = c + a * x + b * y
        column = w * (h - level)
        wx, wy = w * x, w * y
        return Below(column.sum(), (x * column).sum(), (y * column).sum(),
                     (column * (h + level)).sum() / 2, 3 * w.sum(), wx.sum(), wy.sum(),
                     (wx * x).sum(), (wx * y).sum(), (wy * y).sum())


class Sections:
    """A hull given by sections, less the flooded prisms: volume and moments alone."""

    STATIONS = 4  # Gauss-Legendre points between two sections

    def __init__(self, ship, flooded, middle):
        self.lost = Columns(flooded, middle)
        heights = sorted({z for _, offsets in ship.sections for z, _ in offsets})
        table = [np.interp(heights, *zip(*offsets), left=0, right=0)
                 for _, offsets in ship.sections]
        corners, areas, where = [], [], []
        nodes, weights = np.polynomial.legendre.leggauss(self.STATIONS)
        for index in range(len(table) - 1):
            start, end = ship.sections[index][0], ship.sections[index + 1][0]
            for node, weight in zip((nodes + 1) / 2, weights / 2):
                half = table[index] * (1 - node) + table[index + 1] * node
                for side in (1, -1):
                    outline = [(0, heights[0]), *zip(side * half, heights), (0, heights[-1])]
                    triangles, signed = fan(outline)
                    corners.append(triangles)
                    areas.append(signed * weight * (end - start))
                    where.append(np.full(len(signed), start + node * (end - start) - middle))
        self.corners, self.areas = np.concatenate(corners), np.concatenate(areas)
        self.where = np.concatenate(where)

    def below(self, c, a, b):
        deep = c + a * self.where[:, None] + self.corners @ (b, -1.0)
        triangles, share, owner = cut_triangles(self.corners, deep)
        points = mid_edges(triangles)
        w = ((self.areas[owner] * share) / 3)[:, None]
        lost = self.lost.below(c, a, b)
        values = (w.sum() * 3, (w * self.where[owner][:, None]).sum() * 3,
                  (w * points[:, :, 0]).sum(), (w * points[:, :, 1]).sum())
        nothing = [math.nan] * 6
        return Below(*(v + o for v, o in zip(values, (lost.v, lost.mx, lost.my, lost.mz))),
                     *nothing)


# -------------------------------------------------------------------------------------- she settles


class NoBalance(Exception):
    """The equations were not solved."""


class Liquid:
    """The content of a space, level in any attitude. weight: m3 of sea water that weigh as much."""

    def __init__(self, space, fill, density, middle):
        self.columns = Columns([(space.permeability, part) for part in space.parts], middle)
        self.low, self.high = min(p.low for p in space.parts), max(p.high for p in space.parts)
        self.reach = max(abs(self.columns.corners).max(), 1.0)
        whole = self.columns.below(self.high + 1, 0.0, 0.0)
        self.volume = fill * whole.v
        self.density = density
        self.moves = 0 < fill < 1
        self.at, self.height, self.found = None, self.low + fill * (self.high - self.low), None
        self.weight = self.volume * density
        below = self.below(0.0, 0.0) if self.moves else whole
        self.centre = np.array([below.mx, below.my, below.mz]) / below.v

    def below(self, a, b):
        """Of the plane with these slopes under which the volume lies."""
        if self.at != (a, b):
            away = self.reach * (abs(a) + abs(b)) + 1
            low, high, c = self.low - away, self.high + away, self.height
            for _ in range(200):
                found = self.columns.below(c, a, b)
                miss = found.v - self.volume
                if abs(miss) <= 1e-14 * self.volume:
                    break
                low, high = (low, c) if miss > 0 else (c, high)
                better = c - miss / found.area if found.area > 0 else low
                better = better if low < better < high else (low + high) / 2
                if better == c:
                    break
                c = better
            self.at, self.height, self.found = (a, b), c, found
        return self.found

    def moments(self, a, b):
        """First moments of the liquid, and their slopes by a and b, the volume kept."""
        w = self.below(a, b)
        sh, sxh, syh = Floater.with_height(w, self.height, a, b)
        rows = ((w.sx, w.sxx, w.sxy), (w.sy, w.sxy, w.syy), (sh, sxh, syh))
        slopes = [[by_a - by_c * w.sx / w.area, by_b - by_c * w.sy / w.area] for by_c, by_a, by_b in rows]
        return np.array([w.mx, w.my, w.mz]), np.array(slopes)


class Floater:
    """A ship with some spaces open to the sea.  Inside, x counts from amidships."""

    def __init__(self, ship, flooded=()):
        unknown = set(flooded) - {space.id for space in ship.spaces}
        if unknown:
            raise ValueError(f"no space {', '.join(sorted(unknown))}")
        self.ship = ship
        self.flooded = tuple(flooded)
        self.middle = ship.length / 2
        lost = [(-space.permeability, part) for space in ship.spaces if space.id in flooded
                for part in space.parts]
        self.lost = Columns([(-weight, part) for weight, part in lost], self.middle)
        if ship.sections:
            hull = Sections(ship, [], self.middle)
            self.net = Sections(ship, lost, self.middle)
            low = ship.sections[0][1][0][0]
        else:
            hull = Columns([(1.0, ship.hull())], self.middle)
            self.net = Columns([(1.0, ship.hull()), *lost], self.middle)
            low = 0.0
        self.exact = not ship.sections
        slope = ship.trim / ship.length
        intact = hull.below(ship.draft, slope, 0.0)
        self.volume = intact.v
        spaces = {space.id: space for space in ship.spaces}
        contents = [(space, Liquid(spaces[space], fill, density / ship.density, self.middle))
                    for space, fill, density in ship.contents if fill > 0]
        self.liquids = [liquid for _, liquid in contents if liquid.moves]
        shift = self.pull(slope, 0.0)[0] / self.volume
        up = ship.kg + shift[2] - intact.mz / intact.v
        lcg = intact.mx / intact.v - slope * up - shift[0]
        lcg = lcg if ship.lcg is None else ship.lcg - self.middle
        tcg = ship.tcg if ship.tcg is not None else intact.my / intact.v - shift[1]
        self.g = np.array([lcg, tcg, ship.kg])  # liquids as on even keel
        for space, liquid in contents:
            if space in flooded:
                self.g = self.g * self.volume - liquid.weight * liquid.centre
                self.volume -= liquid.weight
                self.g /= self.volume
        self.liquids = [liquid for space, liquid in contents if liquid.moves and space not in flooded]
        self.most = self.net.below(2 * ship.depth + low, 0.0, 0.0).v

    def pull(self, a, b):
        """How far the liquids move the moments of the weight, and the slopes of that by a and b."""
        moved, slopes = np.zeros(3), np.zeros((3, 2))
        for liquid in self.liquids:
            at, by = liquid.moments(a, b)
            moved += liquid.density * (at - liquid.volume * liquid.centre)
            slopes += liquid.density * by
        return moved, slopes

    def gravity(self, a, b):
        return self.g + self.pull(a, b)[0] / self.volume

    # The equations, in metres: the volume over the intact waterplane's scale, and the two levers.

    def balance(self, unknown):
        """Volume, and B on the line through G along n; unknown: c, a, b."""
        c, a, b = unknown
        below, v = self.net.below(c, a, b), self.volume
        moved, by = self.pull(a, b)
        gx, gy, gz = self.g + moved / v
        up = below.mz - v * gz
        miss = np.array([(below.v - v) * self.ship.draft, below.mx - v * gx + a * up,
                         below.my - v * gy + b * up]) / v
        if not self.exact:
            return miss
        sh, sxh, syh = self.with_height(below, c, a, b)
        slope = np.array([
            [below.area * self.ship.draft, below.sx * self.ship.draft, below.sy * self.ship.draft],
            [below.sx + a * sh, below.sxx + up + a * sxh, below.sxy + a * syh],
            [below.sy + b * sh, below.sxy + b * sxh, below.syy + up + b * syh]]) / v
        slope[1, 1:] -= (by[0] + a * by[2]) / v
        slope[2, 1:] -= (by[1] + b * by[2]) / v
        return miss, slope

    @staticmethod
    def with_height(below, c, a, b):
        return (c * below.area + a * below.sx + b * below.sy,
                c * below.sx + a * below.sxx + b * below.sxy,
                c * below.sy + a * below.sxy + b * below.syy)

    def held(self, unknown, b):
        """Volume, and no lever along the projection of the x axis, heel held; unknown: c, a.

        That projection is along (1 + bb, -ab, a): x less its part along n = (-a, -b, 1) / |..|.
        """
        c, a = unknown
        below, v, k = self.net.below(c, a, b), self.volume, 1 + b * b
        moved, by = self.pull(a, b)
        gx, gy, gz = self.g + moved / v
        x, y, up = below.mx - v * gx, below.my - v * gy, below.mz - v * gz
        miss = np.array([(below.v - v) * self.ship.draft, x + (a * up - a * b * y) / k]) / v
        sh, sxh, _ = self.with_height(below, c, a, b)
        slope = np.array([
            [below.area * self.ship.draft, below.sx * self.ship.draft],
            [below.sx + (a * sh - a * b * below.sy) / k,
             below.sxx + (up - b * y + a * sxh - a * b * below.sxy) / k]]) / v
        slope[1, 1] -= (by[0, 0] + (a * by[2, 0] - a * b * by[1, 0]) / k) / v
        return miss, slope

    @staticmethod
    def solve(function, start, arguments=(), exact=True):
        """The root near `start`; the residual, in metres, must be rounding and no more."""
        options = {"xtol": 1e-14, "maxfev": 200}
        if exact:  # where Newton's steps end well, and close to it, that is the same root at less cost
            x = np.array(start, dtype=float)
            for _ in range(6):
                miss, slope = function(x, *arguments)
                try:
                    step = np.linalg.solve(slope, miss)
                except np.linalg.LinAlgError:
                    break
                if np.abs(step).max() > 0.5:
                    break
                x = x - step
                if np.abs(step).max() < 1e-13 and np.abs(miss).max() < 1e-10:
                    return x
        try:
            found = optimize.root(function, start, arguments, jac=exact, options=options)
            x = found.x
            for _ in range(2 if exact else 0):  # the last digits, where hybr stops early
                miss, slope = function(x, *arguments)
                x = x - np.linalg.solve(slope, miss)
        except (np.linalg.LinAlgError, FloatingPointError) as error:
            raise NoBalance(str(error)) from error
        miss = function(x, *arguments)
        miss = miss[0] if exact else miss
        if not np.all(np.abs(miss) < (1e-10 if exact else 1e-9)):
            raise NoBalance(f"residual {np.abs(miss).max():.1e} m")
        return x

    @staticmethod
    def axes(a, b):
        """n; along the ship in the plane; to port in the plane."""
        n = np.array([-a, -b, 1.0]) / math.sqrt(1 + a * a + b * b)
        along = np.array([1.0, 0.0, 0.0]) - n[0] * n
        along /= np.linalg.norm(along)
        return n, along, np.cross(n, along)

    def centre(self, c, a, b):
        below = self.net.below(c, a, b)
        return np.array([below.mx, below.my, below.mz]) / below.v

    def lever(self, heel, start):
        """How far B is to port of G at this heel (radians, to port), trim balanced; and c, a."""
        b = math.tan(heel)
        c, a = self.solve(self.held, start, (b,))
        return (self.centre(c, a, b) - self.gravity(a, b)) @ self.axes(a, b)[2], (c, a)

    def level(self):
        """c, a with no heel; flooded by steps, so that the trim is followed from the intact one."""
        net, at = self.net, (self.ship.draft, 0.0)
        whole = net.areas.copy()
        try:
            for step in (0.25, 0.5, 0.75, 1.0):
                net.areas = whole.copy()
                net.areas[4:] *= step  # the hull's box is two triangles, bottom and top
                at = self.solve(self.held, at, (0.0,))
        except NoBalance as error:
            raise NoBalance("no trim balances her without heel: plunges by an end") from error
        finally:
            net.areas = whole
        return at

    def settle(self, heel=0.0, at=None, chance=1):
        """Walks downhill in heel to the first minimum: (c, a, b), and whether chance decides the
        side (it is `chance` then: 1 port, -1 starboard).

        Radians.  None if she turns over: the lever keeps its sign up to 88 degrees.
        """
        at = self.level() if at is None else at
        lever, at = self.lever(heel, at)
        step, both, side = math.radians(1), False, -math.copysign(1, lever)
        if abs(lever) < 1e-9:
            little = math.radians(0.01)
            if self.lever(heel + little, at)[0] > self.lever(heel - little, at)[0]:
                return self.solve(self.balance, (*at, math.tan(heel))), False
            both, side, heel = True, chance, heel + chance * little
            lever, at = self.lever(heel, at)
        last = heel, at
        while side * lever < 0:
            last, heel = (heel, at), heel + side * step
            if abs(heel) > math.radians(88):
                return None, both
            lever, at = self.lever(heel, at)
        return self.land(last, (heel, at)), both

    def land(self, one, two):
        """The plane between two heels where the lever changes its sign."""
        low, high = sorted((one[0], two[0]))
        middle = (*(np.add(one[1], two[1]) / 2), math.tan((low + high) / 2))
        try:
            found = self.solve(self.balance, middle)
            if low - 1e-9 <= math.atan(found[2]) <= high + 1e-9:
                return found
        except NoBalance:
            pass
        heel = optimize.brentq(lambda angle: self.lever(angle, one[1])[0], low, high, xtol=1e-13)
        return self.solve(self.balance, (*self.lever(heel, one[1])[1], math.tan(heel)))

    def gm(self, c, a, b):
        n, _, port = self.axes(a, b)

        def moment(below):
            x, y = port[0] + a * port[2], port[1] + b * port[2]  # p . port = x px + y py + ...
            second = x * x * below.sxx + 2 * x * y * below.sxy + y * y * below.syy
            first = x * below.sx + y * below.sy
            return (second - first * first / below.area) / n[2]

        free = sum(liquid.density * moment(liquid.below(a, b)) for liquid in self.liquids)
        height = n @ (self.gravity(a, b) - self.centre(c, a, b))
        return (moment(self.net.below(c, a, b)) - free) / self.volume - height

    def freeboard(self, c, a, b):
        n, half = self.axes(a, b)[0], self.ship.beam / 2
        ends = ((x, y) for x in (-self.middle, self.middle) for y in (-half, half))
        return min(n[2] * (self.deck() - c - a * x - b * y) for x, y in ends)

    def deck(self):
        return min(self.ship.depth, self.ship.bulkhead or math.inf)

    def crossed(self, c, a, b):
        """Is the deck under water from side to side at an end?"""
        half = self.ship.beam / 2
        return any(max(self.deck() - c - a * x - b * y for y in (-half, half)) < 0
                   for x in (-self.middle, self.middle))

    def height(self, c, a, b):
        """Of G over B."""
        return self.axes(a, b)[0] @ (self.gravity(a, b) - self.centre(c, a, b))

    def above(self, door, c, a, b):
        x, y, z = door.place
        return self.axes(a, b)[0][2] * (z - c - a * (x - self.middle) - b * y)

    def arms(self, c, a, b, side=None):
        """Righting arms to the side of her heel: degrees, and the lever back to upright."""
        degrees = math.degrees(math.atan(b))
        side = side or (-1 if degrees < -UPRIGHT else 1)
        at, rows = self.level(), []
        for angle in ANGLES:
            lever, at = self.lever(math.radians(side * angle), at)
            rows.append({"heel": side * angle, "gz": side * lever})
        return rows

    def is_symmetric(self):
        """Whether heel to either side makes the same body, seen at a few planes."""
        if self.ship.tcg:
            return False
        for share, b in ((0.3, 0.1), (0.6, 0.4), (0.9, 0.05)):
            one, two = (self.net.below(share * self.ship.depth, 0.013, s * b) for s in (1, -1))
            if not (math.isclose(one.v, two.v, rel_tol=1e-12) and
                    math.isclose(one.my, -two.my, abs_tol=1e-9 * one.v)):
                return False
        return True

    def quick(self):
        """The plane, straight from the even keel: what --time times."""
        start = (self.ship.draft, 0.0, 0.0)
        return self.solve(self.balance, start, exact=self.exact)


def answer(floater, c, a, b):
    """What the program should say of this plane, but for the righting arms."""
    half = floater.middle
    return {"afloat": True, "draught": c, "draught_aft": c - a * half, "draught_fwd": c + a * half,
            "trim": 2 * a * half, "heel": math.degrees(math.atan(b)), "gm": floater.gm(c, a, b),
            "displacement": floater.ship.density * floater.volume,
            "freeboard": floater.freeboard(c, a, b),
            "flooded_volume": floater.lost.below(c, a, b).v}


@dataclass
class Expected:
    """Either a reason to skip, or the answer; `both`: the mirrored answer is as good.

    grade: what is known of the grade, or None if it is too near an edge."""

    skip: str = None
    values: dict = None
    plane: tuple = None
    both: bool = False
    kind: str = "afloat"
    grade: dict = None


def turned_over(floater, start):
    """She turns over, beyond doubt: the lever away from upright is 0.02 m at least all the way."""
    lever, at = floater.lever(start, floater.level())
    side, angle = -math.copysign(1, lever), start
    while abs(angle) < math.radians(87):
        if side * lever > -GM_EDGE:
            return False
        angle += side * math.radians(1)
        lever, at = floater.lever(angle, at)
    return True


def expect(ship, flooded):
    floater = Floater(ship, flooded)
    room = floater.most / floater.volume - 1
    if abs(room) < VOLUME_EDGE:
        return Expected(skip="volume near the edge")
    if room < 0:
        return Expected(values={"afloat": False}, kind="too little volume")
    try:
        return expect_afloat(floater)
    except NoBalance as error:
        return Expected(skip=str(error) if "trim" in str(error) else "no balance found")


def lie(floater):
    """Where she lies: the plane or None, whether either side is as good, and how she turned over."""
    intact, loose = Floater(floater.ship).settle()
    start = math.atan(intact[2])
    plane, both = floater.settle(start)
    if not (loose or both):
        return plane, False, start
    other, _ = floater.settle(-start, chance=-1)
    if plane is None or other is None:
        return None, False, start if plane is None else -start
    if np.allclose((plane[0], plane[1], plane[2]), (other[0], other[1], -other[2]), atol=1e-8):
        return plane, bool(abs(plane[2]) > 1e-6), start
    down = floater.height(*plane) - floater.height(*other)
    if abs(down) < 1e-6 and abs(plane[2] - other[2]) > 1e-6:
        raise NoBalance("both sides nearly as low")
    return plane if down <= 0 else other, False, start


def expect_afloat(floater):
    plane, both, start = lie(floater)
    if plane is None:
        if turned_over(floater, start):
            return Expected(values={"afloat": False}, kind="turned over")
        return Expected(skip="turns over, but nearly balanced on the way")
    values = answer(floater, *plane)
    slope = abs(math.degrees(math.atan(plane[1])))
    if abs(slope - ON_END) < 1:
        return Expected(skip="near 45 degrees of trim")
    if slope > ON_END:
        return Expected(values={"afloat": False}, kind="by one end")
    if abs(values["heel"]) > LOST_HEEL + 0.1:
        return Expected(values={"afloat": False}, kind="beyond 60 degrees")
    if abs(values["heel"]) > HEEL_EDGE:
        return Expected(skip="heel above 40 degrees")
    little = math.radians(0.01)
    heel = math.radians(values["heel"])
    rise = (floater.lever(heel + little, plane[:2])[0] - floater.lever(heel - little, plane[:2])[0])
    if min(values["gm"], rise / (2 * little)) < GM_EDGE:
        return Expected(skip="GM below 0.02 m")
    values["righting_arms"] = floater.arms(*plane)
    if abs(values["heel"]) <= UPRIGHT:  # upright the worse side is wanted
        values["arms_to_starboard"] = floater.arms(*plane, side=-1)
    values["either_side"] = both
    at = floater.level()
    slope = floater.lever(little, at)[0] - floater.lever(-little, at)[0]
    values["loll"] = abs(values["heel"]) if slope < 0 else None
    if abs(slope) / (2 * little) < 1e-3:
        values.pop("loll")
    return Expected(values=values, plane=tuple(plane), both=both, grade=worse_grade(floater, plane, both))


# ------------------------------------------------------------------------------------------ grades

LIMITS = {"deck": "deck edge under water", "bulkhead": "bulkhead deck under water",
          "opening": "an opening that lets water on under water", "heel": "heel over 15 degrees",
          "range": "range of righting arms under 7 degrees",
          "arm": "greatest righting arm under 0.05 m"}


class Edge(Exception):
    """Too near to where the answer changes."""


def openings(ship, flooded):
    """Doors by which water gets from where it is to where it is not.  Every space of these ships is
    part of the hull."""
    wet = {"sea", "weather", *flooded}
    return [door for door in ship.doors if door.passes() and (door.a in wet) != (door.b in wet)
            and not (door.protected and door.result != "fail")]


def curve_to(floater, plane, side, doors):
    """Range and greatest arm to a side, up to the first door that goes under, its angle and id."""
    degrees = side * math.degrees(math.atan(plane[2]))
    start = max(degrees, 0.0)
    track, arms = {start: tuple(plane[:2])}, {}

    def arm(angle):
        if angle not in arms:
            near_by = min(track, key=lambda known: abs(known - angle))
            lever, track[angle] = floater.lever(math.radians(side * angle), track[near_by])
            arms[angle] = side * lever
        return arms[angle]

    def lowest(angle):
        arm(angle)
        b = math.tan(math.radians(side * angle))
        return min(((floater.above(door, *track[angle], b), door.id) for door in doors),
                   default=(math.inf, None))

    steps = [start] + [float(k) for k in range(61) if k > start + 1e-6]
    flood, which = None, None
    if lowest(start)[0] < 0:
        flood, which = start, lowest(start)[1]
    for low, high in zip(steps, steps[1:]):
        if flood is None and lowest(high)[0] < 0:
            flood = optimize.brentq(lambda angle: lowest(angle)[0], low, high, xtol=1e-10)
            which = min((floater.above(d, *track[high], math.tan(math.radians(side * high))), d.id)
                        for d in doors)[1]
            if lowest(min(60.0, 5 * math.ceil(high / 5)))[0] >= 0:
                raise Edge
    limit = 60.0 if flood is None else flood
    end, zero = limit, None
    for low, high in zip(steps, steps[1:]):
        if low < limit and arm(high) <= 0:
            base = low if low > start else start + 1e-6
            zero = optimize.brentq(arm, base, high, xtol=1e-10) if arm(base) > 0 else start
            if arm(min(60.0, 5 * math.ceil(high / 5))) > 0:
                raise Edge
            end = min(limit, zero)
            break
    grid = np.linspace(start, end, 60)
    values = [arm(angle) for angle in grid]
    best = int(np.argmax(values))
    greatest = max(0.0, values[best])
    if end > start:
        found = optimize.minimize_scalar(lambda angle: -arm(angle), method="bounded",
                                         bounds=(grid[max(best - 1, 0)],
                                                 grid[min(best + 1, len(grid) - 1)]),
                                         options={"xatol": 1e-9})
        greatest = max(greatest, -found.fun)
    return end - start, greatest, flood, which


def factor(heel, greatest, reach):
    heel = abs(heel)
    k = 1 if heel <= 25 else 0 if heel >= 30 else math.sqrt((30 - heel) / 5)
    return k * (min(greatest, 0.12) / 0.12 * min(reach, 16) / 16)**0.25


def grade(floater, plane):
    """Range, greatest arm, flooding angle and opening, s, limits and grade; None near an edge."""
    heel = math.degrees(math.atan(plane[2]))
    doors = openings(floater.ship, floater.flooded)
    try:
        sides = [-1 if heel < 0 else 1] if abs(heel) > UPRIGHT else [1, -1]
        ends = [curve_to(floater, plane, side, doors) for side in sides]
        if len(ends) == 2 and abs(ends[0][0] - ends[1][0]) > 1e-6:
            ends = [min(ends)]
        elif len(ends) == 2:
            ends = [min(ends, key=lambda row: (round(row[1], 7), row[2] or 90))]
        reach, greatest, flood, which = ends[0]
        under = [floater.above(door, *plane) for door in doors]
        board = floater.freeboard(*plane)
        near_edge = [*under, board, abs(heel) - 15, reach - 7, greatest - 0.05]
        if min(map(abs, near_edge)) < 1e-4:
            return None
    except (Edge, NoBalance, ValueError):
        return None
    passed = {"bulkhead" if floater.ship.bulkhead is not None else "deck": board < 0,
              "opening": any(height < 0 for height in under), "heel": abs(heel) > 15,
              "range": reach < 7, "arm": greatest < 0.05}
    s = 0 if passed["opening"] or floater.crossed(*plane) else factor(heel, greatest, reach)
    limits = [LIMITS[key] for key in LIMITS if passed.get(key)]
    if not limits and 1 - 1e-6 < s < 1:
        return None
    word = "not_surviving" if limits else "beyond" if s < 1 else "within"
    return {"range": reach, "greatest_arm": greatest, "flooding_angle": flood,
            "flooding_opening": which, "s": s, "limits": limits, "grade": word,
            "would_spread": sorted(onward(floater, plane))}


def worse_grade(floater, plane, both):
    """If she may lie to either side, the worse counts."""
    found = [grade(floater, plane)] + [grade(floater, (*plane[:2], -plane[2]))] * both
    if None in found:
        return None
    order = ("within", "beyond", "not_surviving")
    if both and (found[0]["grade"], found[0]["range"]) != (found[1]["grade"], found[1]["range"]):
        one, two = ((-order.index(row["grade"]), round(row["range"], 5)) for row in found)
        if one == two:
            return None
        return found[0] if one < two else found[1]
    return found[0]


def onward(floater, plane):
    """Spaces that water would get to at this attitude."""
    ship, wet = floater.ship, {"sea", "weather", *floater.flooded}
    c, a, b = plane
    low = {space.id: min(part.low - c - a * (x - floater.middle) - b * y
                         for part in space.parts for x, y in part.outline) for space in ship.spaces}
    more = True
    while more:
        more = False
        for door in ship.doors:
            if (door.a in wet) == (door.b in wet) or not door.passes():
                continue
            to = door.b if door.a in wet else door.a
            if floater.above(door, *plane) < 0 and low[to] < 0:
                wet.add(to)
                more = True
    return wet - {"sea", "weather", *floater.flooded}


def compare_grade(given, expected):
    """Faults of the program's grade against the oracle's."""
    wanted = expected.grade
    wrong = []
    for key, tolerance in (("range", 1e-4), ("greatest_arm", STABILITY), ("s", 1e-5)):
        wrong += near(key, given.get(key), wanted[key], tolerance)
    if wanted["flooding_angle"] is None:
        wrong += [] if given.get("flooding_angle") is None else ["flooding_angle: none is wanted"]
    else:
        wrong += near("flooding_angle", given.get("flooding_angle"), wanted["flooding_angle"], 1e-4)
    count = 13 if wanted["flooding_angle"] is None else 1 + int(wanted["flooding_angle"] // 5)
    if len(given.get("righting_arms") or ()) != count:
        wrong.append(f"righting_arms: {count} rows are wanted")
    for key in ("flooding_opening", "limits", "grade"):
        if given.get(key) != wanted[key]:
            wrong.append(f"{key}: {given.get(key)!r}, {wanted[key]!r} is wanted")
    ways = sorted(way["to"] for way in given.get("would_spread", ()))
    if ways != wanted["would_spread"]:
        wrong.append(f"would_spread: {ways}, {wanted['would_spread']} is wanted")
    return wrong


# ------------------------------------------------------------------------------------ random ships


def split_cells(dice, cell, most, axes):
    """Cuts a box ((x0, x1), (y0, y1), (z0, z1)) into some that do not overlap."""
    cells = [cell]
    while len(cells) < most:
        index = dice.randrange(len(cells))
        axis = dice.choice(axes)
        low, high = cells[index][axis]
        if high - low < (0.8 if axis == 2 else 1.5):
            if dice.random() < 0.2:
                break
            continue
        at = round(low + (high - low) * dice.uniform(0.25, 0.75), 4)
        old = cells.pop(index)
        for part in ((low, at), (at, high)):
            cells.append(tuple(part if k == axis else old[k] for k in range(3)))
    return cells


def shape_in(dice, cell, plain):
    """A box, an L or a triangle that fills a cell or a part of it."""
    (x0, x1), (y0, y1), (z0, z1) = cell
    kind = "box" if plain else dice.choices(("box", "two", "ell", "triangle"), (5, 1, 2, 2))[0]
    if kind == "box":
        return [box_part(*cell)]
    xm = round(x0 + (x1 - x0) * dice.uniform(0.3, 0.7), 4)
    ym = round(y0 + (y1 - y0) * dice.uniform(0.3, 0.7), 4)
    if kind == "two":
        return [box_part((x0, xm), (y0, y1), (z0, z1)), box_part((xm, x1), (y0, ym), (z0, z1))]
    if kind == "ell":
        outline = [(x0, y0), (x1, y0), (x1, ym), (xm, ym), (xm, y1), (x0, y1)]
    else:
        outline = [(x0, y0), (x1, y0), (dice.choice((x0, xm)), y1)]
    if dice.random() < 0.5:
        outline.reverse()
    turn = dice.randrange(len(outline))
    return [Part(tuple(outline[turn:] + outline[:turn]), z0, z1)]


def random_ship(dice, index):
    length = round(dice.uniform(20, 120), 2)
    beam = round(length * dice.uniform(0.12, 0.25), 2)
    depth = round(beam * dice.uniform(0.35, 0.7), 2)
    draft = round(depth * dice.uniform(0.3, 0.75), 3)
    metacentre = draft / 2 + beam**2 / (12 * draft)
    gm = dice.uniform(0.1, min(1.5, 0.9 * metacentre))
    ship = Ship(f"Box {index}", length, beam, depth, draft, round(metacentre - gm, 4),
                dice.choice((1.0, 1.025, round(dice.uniform(1.0, 1.025), 4))))
    if dice.random() < 0.3:
        ship.lcg = round(length * (0.5 + dice.uniform(-0.01, 0.01)), 3)
    if dice.random() < 0.3:
        ship.tcg = round(gm * dice.uniform(-0.2, 0.2), 4)
    plain = dice.random() < 0.25  # spaces from side to side: symmetric, and sometimes lolling
    hull = ((0, length), (-beam / 2, beam / 2), (0, depth))
    if dice.random() < 0.6:  # something under the deck that stays dry
        at = round(dice.uniform(draft, depth) * 0.4 + depth * 0.6, 4)
        lower, upper = (*hull[:2], (0, at)), (*hull[:2], (at, depth))
    else:
        lower, upper = hull, None
    axes = (0, 0, 2) if plain else (0, 0, 1, 1, 2)
    cells = split_cells(dice, lower, dice.randint(4, 14), axes)
    if upper:
        extra = split_cells(dice, upper, dice.randint(3, 6), axes[:3] if plain else axes)
        cells = dice.sample(extra, min(2, len(extra))) + dice.sample(cells, min(6, len(cells)))
    chosen = dice.sample(cells, min(len(cells), dice.randint(1, 8)))
    for count, cell in enumerate(chosen):
        share = dice.choice((0.60, 0.85, 0.95, 1.0, round(dice.uniform(0.1, 1), 3)))
        ship.spaces.append(Space(f"s{count + 1}", share, shape_in(dice, cell, plain)))
    add_doors(random.Random(f"doors {index} {length}"), ship)
    if index % 5 == 1:
        add_loading(random.Random(f"loading {index} {length}"), ship)
    return Reader(ship_xml(ship)).ship()  # what the file says, to the digit


def add_loading(dice, ship):
    """A trim, and liquids in her spaces that weigh no more than 0.6 of her; kg is lowered by what the
    free surfaces take upright, so that most of these ships are stable. All of their surfaces together
    take at most half of what keeps her level along: beyond, more than one trim balances her at a heel,
    and which one is told is nobody's to say."""
    stiff = ship.length**2 / (24 * ship.draft)
    ship.loaded = True
    ship.trim = round(ship.length * dice.uniform(-0.01, 0.01), 3)
    volume, weight, middle = ship.length * ship.beam * ship.draft, 0.0, ship.length / 2
    for space in ship.spaces:
        fill = dice.choice((0.0, 1.0, *(round(dice.uniform(0.02, 0.98), 3) for _ in range(4))))
        density = round(dice.uniform(0.7, 1.3), 3)
        if fill == 0:
            ship.contents.append((space.id, fill, density))
            continue
        liquid = Liquid(space, fill, density / ship.density, middle)
        w = liquid.below(0.0, 0.0) if liquid.moves else None
        along = liquid.density * (w.sxx - w.sx**2 / w.area) / volume if w else 0
        if dice.random() < 0.3 or weight + liquid.weight > 0.6 * volume or along > stiff:
            continue
        stiff -= along
        weight += liquid.weight
        ship.contents.append((space.id, fill, density))
        if w:
            ship.kg = round(ship.kg - liquid.density * (w.syy - w.sy**2 / w.area) / volume, 4)


def add_doors(dice, ship):
    """Doors at all heights, most of them above the water; and sometimes a bulkhead deck."""
    names = [space.id for space in ship.spaces]
    if dice.random() < 0.3:
        ship.bulkhead = round(ship.draft + (ship.depth - ship.draft) * dice.uniform(0.3, 1.2), 4)
    for count in range(dice.choice((0, 1, 2, 4))):
        a = dice.choice(names)
        b = dice.choice(["weather", "weather", "sea", *[name for name in names if name != a]])
        low = 0.3 * ship.draft if dice.random() < 0.2 else 1.02 * ship.draft
        place = (dice.uniform(0, ship.length), dice.uniform(-0.5, 0.5) * ship.beam,
                 dice.uniform(low, 1.2 * ship.depth))
        ship.doors.append(Door(f"d{count + 1}", a, b, tuple(round(value, 4) for value in place),
                               dice.choice(("watertight", "weathertight", "nontight", "watertight")),
                               dice.random() < 0.2, dice.choice((None, "pass", "fail")),
                               dice.random() < 0.15))


def rough_heel(ship, flooded):
    """tan of the heel by the lost moment at the intact draught: a guess, to choose cases by."""
    floater = Floater(ship, flooded)
    lost = floater.lost.below(ship.draft, 0.0, 0.0)
    gm = ship.draft / 2 + ship.beam**2 / (12 * ship.draft) - ship.kg
    return abs(lost.my / floater.volume) / gm, lost.v / (floater.most + lost.v - floater.volume)


def random_cases(dice, ship, count=3):
    """Sets of flooded spaces; most of them mild, some not at all."""
    names = [space.id for space in ship.spaces]
    cases = [[]] if dice.random() < 0.15 else []
    for _ in range(12):
        if len(cases) >= count:
            break
        some = sorted(dice.sample(names, dice.randint(1, min(4, len(names)))))
        heel, share = rough_heel(ship, some)
        if some not in cases and (heel < 0.5 and share < 0.8 or dice.random() < 0.12):
            cases.append(some)
    return cases or [[]]


def mirrored(ship):
    turned = Ship(**{**ship.__dict__, "spaces": [], "doors": []})
    for door in ship.doors:
        x, y, z = door.place
        turned.doors.append(Door(**{**door.__dict__, "place": (x, -y, z)}))
    turned.tcg = None if ship.tcg is None else -ship.tcg
    for space in ship.spaces:
        parts = []
        for part in space.parts:
            if part.is_box:
                (x0, y0), (x1, y1) = part.outline[0], part.outline[2]
                parts.append(box_part((x0, x1), (-y1, -y0), (part.low, part.high)))
            else:
                outline = tuple((x, -y) for x, y in part.outline)
                parts.append(Part(outline, part.low, part.high))
        turned.spaces.append(Space(space.id, space.permeability, parts))
    return turned


def cut_up(dice, ship):
    """The same ship: every part cut in two or more, a prism only in height."""
    finer = Ship(**{**ship.__dict__, "spaces": []})
    for space in ship.spaces:
        parts = []
        for part in space.parts:
            if part.is_box:
                (x0, y0), (x1, y1) = part.outline[0], part.outline[2]
                cell = ((x0, x1), (y0, y1), (part.low, part.high))
                cells = split_cells(dice, cell, dice.randint(2, 5), (0, 1, 2))
                parts += [box_part(*cell) for cell in cells]
            else:
                at = round((part.low + part.high) / 2, 3)
                parts += [Part(part.outline, part.low, at), Part(part.outline, at, part.high)]
        finer.spaces.append(Space(space.id, space.permeability, parts))
    return finer


def dry_space(ship, flooded, plane):
    """A space that is not flooded, 1 mm or more above the final plane, and holds nothing that it could
    lose; None if there is none."""
    held = {name for name, fill, _ in ship.contents if fill > 0}
    c, a, b = plane
    for space in ship.spaces:
        gap = min(part.low - (c + a * (x - ship.length / 2) + b * y)
                  for part in space.parts for x, y in part.outline)
        if space.id not in flooded and gap > 1e-3 and space.id not in held:
            return space.id
    return None


# --------------------------------------------------------------------------------------- comparing


def is_number(value):
    return isinstance(value, (int, float)) and not isinstance(value, bool) and math.isfinite(value)


def near(name, value, wanted, tolerance):
    if not is_number(value):
        return [f"{name}: {value!r} is no number, {wanted!r} is wanted"]
    if abs(value - wanted) <= tolerance:
        return []
    return [f"{name}: {value!r}, {wanted!r} is wanted (off by {value - wanted:.3g})"]


def reflect(values):
    """The same afloat on the other side."""
    other = dict(values, heel=-values["heel"])
    if values.get("righting_arms"):
        other["righting_arms"] = [dict(row, heel=-row["heel"]) for row in values["righting_arms"]]
    return other


def compare_arms(rows, wanted, heel_tolerance, tolerance):
    if not isinstance(rows, list) or not rows or len(rows) > len(wanted):
        return [f"righting_arms: 1 to {len(wanted)} rows are wanted"]  # how many, the grade says
    wrong = []
    for row, right in zip(rows, wanted):
        if not isinstance(row, dict):
            return ["righting_arms: a row is no object"]
        at = f"righting_arms at {right['heel']}"
        wrong += near(f"{at}: heel", row.get("heel"), right["heel"], heel_tolerance)
        wrong += near(f"{at}: gz", row.get("gz"), right["gz"], tolerance)
    return wrong


def reach_of_arms(rows):
    """How many of the angles have a righting arm, up to the first that has none."""
    count = 0
    for row in rows[1:]:
        if row["gz"] <= 0:
            break
        count += 1
    return count


def wanted_side(given, wanted):
    """For an upright ship the arms of the side that the program chose, and faults of the choice: the
    other side must not have the shorter reach."""
    rows, starboard = given.get("righting_arms"), wanted.get("arms_to_starboard")
    if not starboard or not isinstance(rows, list) or not rows or not isinstance(rows[-1], dict):
        return wanted, []
    port = wanted["righting_arms"]
    chosen, other = (starboard, port) if rows[-1].get("heel", 0) < 0 else (port, starboard)
    faults = []
    if given.get("flooding_angle") is None and reach_of_arms(other) < reach_of_arms(chosen):
        faults.append("righting_arms: the other side is worse")
    return dict(wanted, righting_arms=chosen), faults


def compare(given, expected, plan_area):
    """Faults of the program's document against the oracle's."""
    wanted = expected.values
    if given.get("afloat") is not wanted["afloat"]:
        return [f"afloat: {given.get('afloat')!r}, {wanted['afloat']} is wanted"]
    if not wanted["afloat"]:
        return []
    if expected.both and is_number(given.get("heel")) and given["heel"] < 0:
        wanted = reflect(wanted)
    wanted, worse = wanted_side(given, wanted)
    # A draught of 1e-6 m more floods that much of the flooded spaces' plan.
    flooded = FLOODED * (wanted["flooded_volume"] + plan_area)
    tolerances = {"draught": DRAUGHT, "draught_aft": DRAUGHT, "draught_fwd": DRAUGHT,
                  "trim": DRAUGHT, "heel": HEEL, "gm": STABILITY, "freeboard": FREEBOARD,
                  "displacement": DISPLACEMENT * wanted["displacement"],
                  "flooded_volume": flooded}
    wrong = list(worse)
    for key, tolerance in tolerances.items():
        wrong += near(key, given.get(key), wanted[key], tolerance)
    arms = compare_arms(given.get("righting_arms"), wanted["righting_arms"], 1e-9, STABILITY)
    if "loll" in wanted and wanted["loll"] is None and given.get("loll") is not None:
        wrong.append(f"loll: {given['loll']!r}, none is wanted")
    elif wanted.get("loll") is not None:
        wrong += near("loll", given.get("loll"), wanted["loll"], HEEL)
    if given.get("either_side") is not wanted["either_side"]:
        wrong.append(f"either_side: {given.get('either_side')!r} is wrong")
    if expected.grade:
        wrong += compare_grade(given, expected)
    return wrong + arms


def same(given, wanted, with_arms=True):
    """Two answers of the program to the same question: 1e-9, relative where above one."""
    wrong = []
    if given.get("afloat") is not wanted.get("afloat"):
        return [f"afloat: {given.get('afloat')!r}, {wanted.get('afloat')!r} before"]
    for key in ("draught", "draught_aft", "draught_fwd", "trim", "heel", "gm", "displacement",
                "freeboard", "flooded_volume"):
        wrong += near(key, given.get(key), wanted[key], SAME * max(1.0, abs(wanted[key])))
    if with_arms:
        wrong += compare_arms(given.get("righting_arms"), wanted["righting_arms"], SAME, SAME)
    return wrong


class Broken(Exception):
    """The program gave no answer to compare."""


class Run:
    PROPERTIES = ("mirrored", "cut into more boxes", "dry space flooded")

    def __init__(self, options):
        self.options = options
        self.equilibria = self.compared = self.mismatches = 0
        self.passed = self.failed = 0
        self.skips = Counter()
        self.properties = Counter()
        self.outcomes = Counter()

    def ask(self, ship, flooded, path, dice):
        """The program's document for one ship; the list in one option or in several."""
        path.write_text(ship_xml(ship), encoding="utf-8")
        words = []
        if len(flooded) > 1 and dice.random() < 0.3:
            words = ["--flooded", flooded[0], "--flooded", ",".join(flooded[1:])]
        elif flooded:
            words = ["--flooded", ",".join(flooded)]
        words += ["--loading", "L"] if ship.loaded else []
        command = [self.options.coaming, "float", str(path), *words, "--format", "json"]
        try:
            done = subprocess.run(command, capture_output=True, timeout=600, check=False)
        except subprocess.TimeoutExpired as error:
            raise Broken("no answer within 60 s") from error
        try:
            document = json.loads(done.stdout) if done.returncode in (0, 1) else None
        except ValueError as error:
            raise Broken(f"no JSON: {error}") from error
        if not isinstance(document, dict):
            message = done.stderr.decode(errors="replace").strip().splitlines()
            raise Broken(f"status {done.returncode}: {message[0] if message else 'no message'}")
        if document.get("format") != "coaming/float/1":
            raise Broken(f"format: {document.get('format')!r}")
        if done.returncode == 1 and document.get("afloat") is not False:
            raise Broken("status 1, and afloat is not false")
        return document

    def one_case(self, ship, flooded, folder, dice):
        """Faults of one equilibrium, properties included."""
        self.equilibria += 1
        expected = expect(ship, flooded)
        given = self.ask(ship, flooded, folder / "ship.xml", dice)
        if expected.skip:
            self.skips[expected.skip] += 1
            return []
        self.compared += 1
        self.outcomes[expected.kind] += 1
        plan = sum(fan(part.outline)[1].sum() for space in ship.spaces if space.id in flooded
                   for part in space.parts)
        wrong = compare(given, expected, plan)
        if wrong or expected.plane is None:
            return wrong
        if abs(expected.values["heel"]) > 1:
            self.outcomes["heeled above 1 degree"] += 1
        if expected.both:
            self.outcomes["lolling"] += 1
        if ship.contents:
            self.outcomes["with liquids"] += 1
        if expected.grade:
            self.outcomes["graded"] += 1
            self.outcomes[f"graded {expected.grade['grade']}"] += 1
            self.outcomes["arms end at an opening"] += expected.grade["flooding_angle"] is not None
        return self.check_properties(ship, flooded, folder, dice, expected, given)

    def check_properties(self, ship, flooded, folder, dice, expected, given):
        wrong = []

        def check(name, faults):
            self.properties[name] += 1
            wrong.extend(f"{name}: {fault}" for fault in faults)

        finer = self.ask(cut_up(dice, ship), flooded, folder / "cut.xml", dice)
        if expected.both and is_number(finer.get("heel")) and finer["heel"] * given["heel"] < 0:
            finer = reflect(finer)  # to either side is right
        check("cut into more boxes", same(finer, given))
        if not expected.both:
            # Upright counts as to port in both: then the arms of the mirrored ship are others.
            tilted = abs(expected.values["heel"]) > UPRIGHT
            turned = self.ask(mirrored(ship), flooded, folder / "mirrored.xml", dice)
            check("mirrored", same(turned, reflect(given), tilted))
        dry = dry_space(ship, flooded, expected.plane) if not expected.both else None
        if dry:
            more = self.ask(ship, [*flooded, dry], folder / "dry.xml", dice)
            check("dry space flooded", same(more, given, with_arms=False))
        return wrong

    def one_ship(self, index, folder):
        dice = random.Random(f"float {self.options.seed} {index}")
        ship = random_ship(dice, index)
        good = True
        for number_, flooded in enumerate(random_cases(dice, ship)):
            try:
                wrong = self.one_case(ship, flooded, folder, dice)
            except Broken as error:
                wrong = [str(error)]
            if wrong:
                good = False
                self.mismatches += 1
                self.report(index, number_, flooded, wrong, folder)
        if good:
            self.passed += 1
        else:
            self.failed += 1

    def report(self, index, case, flooded, wrong, folder):
        print(f"ship {index}, flooded {','.join(flooded) or 'nothing'}:")
        for line in wrong[:6]:
            print(f"  {line}")
        if len(wrong) > 6:
            print(f"  and {len(wrong) - 6} more")
        if self.options.keep:
            keep = Path(self.options.keep) / f"ship-{index}-{case}"
            shutil.copytree(folder, keep, dirs_exist_ok=True)

    def close(self):
        skipped = sum(self.skips.values())
        for reason, count in self.skips.most_common():
            print(f"skipped, {reason}: {count}")
        print("compared: " + ", ".join(f"{k} {v}" for k, v in sorted(self.outcomes.items())))
        print("properties: " + ", ".join(f"{k} {self.properties[k]}" for k in self.PROPERTIES))
        print(f"ships {self.options.ships}, equilibria {self.equilibria}, "
              f"compared {self.compared}, skipped {skipped}, mismatches {self.mismatches}")
        bad = self.mismatches > 0
        if self.compared == 0:
            print("nothing was compared: that is no success")
            bad = True
        if 3 * skipped >= self.equilibria:
            print("a third or more was skipped: that is no success")
            bad = True
        missing = [name for name in self.PROPERTIES if self.properties[name] == 0]
        if missing and self.options.ships >= 50:
            print(f"never checked: {', '.join(missing)}: that is no success")
            bad = True
        print(f"{self.passed} passed, {self.failed} failed")
        return 1 if bad else 0


# ------------------------------------------------------------------------ the oracle's own checking
#
# Box examples: C. B. Barrass and D. R. Derrett, Ship Stability for Masters and Mates, chapter 21
# "Bilging and permeability", pp. 216-222.  The book prints two or three digits; what stands here
# are the same formulae worked out in full: x = mu v / (A - mu a), p. 219, and x = mu v / A for a
# compartment wholly below the waterline, p. 221.


def box_ship(length, beam, depth, draft, kg, spaces=(), **more):
    ship = Ship("Self-test", length, beam, depth, draft, kg, 1.025, **more)
    for index, (share, x, y, z) in enumerate(spaces):
        ship.spaces.append(Space(f"s{index + 1}", share, [box_part(x, y, z)]))
    return ship


def settled(ship):
    floater = Floater(ship, [space.id for space in ship.spaces])
    plane, both = floater.settle()
    return floater, answer(floater, *plane), plane, both


def close(value, wanted, tolerance=1e-9):
    assert abs(value - wanted) <= tolerance, f"{value!r}, {wanted!r} is wanted"


def check_amidships():
    """Barrass & Derrett, Example 2, pp. 218-219: 150 x 24 x 12 m, draught 5 m, GM 0.9 m, 20 m
    empty.

    Printed: rise 0.77, draught 5.77, KB 2.89, BM 8.32, KM 11.21, KG 11.20, GM +0.01 (the printed GM
    is the difference of rounded figures; in full 0.004615).
    """
    kg = 2.5 + 24**2 / (12 * 5) - 0.9
    _, found, _, _ = settled(
        box_ship(150, 24, 12, 5, kg, [(1, (65, 85), (-12, 12), (0, 12))]))
    close(found["draught"], 5 * 150 / 130)
    close(found["gm"], 5.769230769230769 / 2 + 8.32 - 11.2)
    close(found["gm"], 0.004615, 5e-7)
    close(found["trim"], 0)
    close(found["heel"], 0)
    close(found["displacement"], 150 * 24 * 5 * 1.025)
    close(found["flooded_volume"], 20 * 24 * 750 / 130, 1e-8)
    close(found["freeboard"], 12 - 750 / 130)


def check_permeability():
    """Barrass & Derrett, Examples 3 and 4 (p. 219, p. 221: .085 and 5.085 m), same chapter."""
    for length, beam, draft, part, share, wanted in ((64, 10, 3, 12, 0.25, 0.147541),
                                                     (150, 20, 5, 15, 1 / 6, 0.084746)):
        x = (length / 2 - part / 2, length / 2 + part / 2)
        ship = box_ship(length, beam, 2 * draft, draft, 2,
                        [(share, x, (-beam / 2, beam / 2), (0, 2 * draft))])
        rise = settled(ship)[1]["draught"] - draft
        close(rise, share * part * draft / (length - share * part))
        close(rise, wanted, 5e-7)


def check_below_waterline():
    """Barrass & Derrett, Example 5, pp. 221-222: TPC 20, draught 6 m, 20 x 10 x 4 m, permeability
    0.25, below the waterline: 205 t lost, 10.25 cm, draught 6.1025 m (exact)."""
    beam = 20 / 1.025  # TPC 20: waterplane 2000 / 1.025 m2, over 100 m
    _, found, _, _ = settled(
        box_ship(100, beam, 9, 6, 4, [(0.25, (40, 60), (-5, 5), (0, 4))]))
    close(found["draught"], 6.1025)
    close(found["flooded_volume"] * 1.025, 205)


def check_exercise():
    """An exercise of the same kind: 40 x 6 m, draught 2 m, 10 m amidships, GM 0.6 m.  Published
    answer 2.67 m and 0.559 m; in full 8/3 and 0.558333."""
    kg = 1 + 36 / 24 - 0.6
    _, found, _, _ = settled(box_ship(40, 6, 4, 2, kg, [(1, (15, 25), (-3, 3), (0, 4))]))
    close(found["draught"], 8 / 3)
    close(found["gm"], 4 / 3 + 30 * 6**3 / 12 / 480 - kg)
    close(found["gm"], 0.558333, 5e-7)


def check_under_flat():
    """64 x 10 x 6 m, draught 5 m, 6 m forward under a flat at 3.5 m, permeability 0.25.  Published
    answer: sinkage 8.20 cm, trim 44.60 cm (MCTC from BM); in full 0.082031, 0.446045, aft 4.859009,
    fwd 5.305054.

    That is linear in trim and neglects the height of G over B.  G is put at the height of B after
    the sinkage; what remains is B's rise aaI/2V, 2.4e-5 of BM, hence 1.1e-5 m of trim.
    """
    lost, mean = 6 * 10 * 3.5 * 0.25, 5 + 52.5 / 640
    kg = ((3200 + lost) * mean / 2 - lost * 1.75) / 3200
    _, found, _, _ = settled(box_ship(64, 10, 6, 5, kg, [(0.25, (58, 64), (-5, 5), (0, 3.5))]))
    close(found["draught"] - 5, 0.082031, 5e-7)
    close(found["trim"], 0.446045, 1.2e-5)
    close(found["draught_aft"], 4.859009, 6e-6 + 5e-7)
    close(found["draught_fwd"], 5.305054, 6e-6 + 5e-7)


def check_end_compartment():
    """75 x 10 m, draught 4.5 m, 5 m forward empty: aft 3.788265, fwd 6.002187.  From memory as an
    example; the closed form is provable: dm = dL/(L-l), slope 6 l dm/(L-l)^2 about the middle of
    the intact part, if B and G are equally high.  So kg is B's height there, dm/2 + aaI/2V."""
    mean = 4.5 * 75 / 70
    slope = 6 * 5 * mean / 70**2
    kg = mean / 2 + slope**2 * (10 * 70**3 / 12) / (2 * 3375)
    _, found, _, _ = settled(box_ship(75, 10, 7, 4.5, kg, [(1, (70, 75), (-5, 5), (0, 7))]))
    close(found["draught_aft"], mean - slope * 35, 1e-8)
    close(found["draught_fwd"], mean + slope * 40, 1e-8)
    close(found["draught_aft"], 3.788265, 5e-7)
    close(found["draught_fwd"], 6.002187, 5e-7)


def check_wall_sided():
    """GZ = sin(heel) (GM + BM tan^2(heel) / 2) while the sides are wall-sided; angle of loll
    tan^2 = -2 GM / BM (the usual wall-sided formulae; from memory).  With G off the centre by t
    to port, the lever is less by t cos(heel)."""
    length, beam, depth, draft, gm, offset = 60, 12, 9, 4.5, 0.5, 0.05
    bm = beam**2 / (12 * draft)
    ship = box_ship(length, beam, depth, draft, draft / 2 + bm - gm, tcg=offset)
    floater, found, plane, _ = settled(ship)
    t = math.tan(math.radians(found["heel"]))
    close(t * (gm + bm * t * t / 2), offset, 1e-12)
    assert found["heel"] > 0  # G to port: she heels to port
    close(found["freeboard"], (depth - draft - t * beam / 2) / math.hypot(1, t))
    for row in floater.arms(*plane):
        if row["heel"] <= 35:  # the deck's edge is wet, and the bilge dry, from 36.9 degrees
            angle = math.radians(row["heel"])
            wanted = (math.sin(angle) * (gm + bm * math.tan(angle)**2 / 2)
                      - offset * math.cos(angle))
            close(row["gz"], wanted)
    # GM along n for a heeled rectangle: I grows by 1/cos^3, and B and G are BM tan^2/2 apart more.
    low = box_ship(length, beam, depth, draft, draft / 2 + bm + 0.1)
    _, found, plane, both = settled(low)
    assert both and Floater(low).is_symmetric()
    t2 = 2 * 0.1 / bm
    close(math.tan(math.radians(found["heel"])), math.sqrt(t2))
    n_z = 1 / math.sqrt(1 + t2)
    close(found["gm"], bm / n_z**3 - (bm + 0.1 - bm * t2 / 2) / n_z)
    mirror = box_ship(length, beam, depth, draft, ship.kg, tcg=-offset)
    floater, other, plane, _ = settled(mirror)
    rows = floater.arms(*plane)
    assert other["heel"] < 0 and rows[3]["heel"] == -15 and rows[3]["gz"] > 0


def box_volume_formula(sizes, n, d):
    """Volume of 0 <= p <= sizes where n.p < d, all of n positive: the sum over the corners of
    +-(d - n.corner)_+^3 / (6 n1 n2 n3) (D. L. Barrow and P. W. Smith, Spline notation applied to a
    volume problem, American Mathematical Monthly 86, 1979; from memory, and inclusion and
    exclusion of the corners' tetrahedra proves it)."""
    total = 0.0
    for bits in range(8):
        on = [bits >> k & 1 for k in range(3)]
        rest = d - sum(o * s * m for o, s, m in zip(on, sizes, n))
        total += (-1)**sum(on) * max(0.0, rest)**3
    return total / (6 * n[0] * n[1] * n[2])


def check_cut_box():
    """A box cut by an inclined plane, by the formula and by its simplest cases."""
    sizes = (7.0, 4.0, 3.0)
    box = Columns([(1.0, box_part((0, 7), (0, 4), (0, 3)))], 0.0)
    dice = random.Random(1)
    for _ in range(300):
        n = [dice.uniform(0.05, 1) for _ in range(3)]
        d = dice.uniform(0, sum(s * m for s, m in zip(sizes, n)))
        wanted = box_volume_formula(sizes, n, d)
        close(box.below(d / n[2], -n[0] / n[2], -n[1] / n[2]).v, wanted, 1e-9 * 84)
    corner = box.below(1.5, -0.5, -0.75)  # a tetrahedron with edges 3, 2, 1.5 at the corner
    close(corner.v, 3 * 2 * 1.5 / 6)
    close(corner.mx / corner.v, 3 / 4)
    close(corner.my / corner.v, 2 / 4)
    close(corner.mz / corner.v, 1.5 / 4)
    close(corner.area, 3 * 2 / 2)
    close(corner.sxx, 3**3 * 2 / 12)
    close(corner.sxy, 3**2 * 2**2 / 24)
    for a, b in ((0.1, 0.2), (-0.3, 1.0), (0, -5)):  # a plane through the middle halves it
        close(box.below(1.5 - 3.5 * a - 2 * b, a, b).v, 42)


def polyhedron(part, c, a, b):
    """Volume and centre of a convex prism below the plane, by scipy.spatial; None if tiny."""
    points = np.array(part.outline)
    if fan(part.outline)[0].size and (np.cross(points[1] - points[0], points[2] - points[1]) < 0):
        points = points[::-1]
    rows = [[0, 0, -1, part.low], [0, 0, 1, -part.high], [-a, -b, 1, -c]]
    for one, two in zip(points, np.roll(points, -1, axis=0)):
        out = np.array([two[1] - one[1], one[0] - two[0]])
        rows.append([*out, 0, -out @ one])
    rows = np.array(rows, dtype=float)
    rows /= np.linalg.norm(rows[:, :3], axis=1)[:, None]
    room = optimize.linprog([0, 0, 0, -1], np.c_[rows[:, :3], np.ones(len(rows))], -rows[:, 3],
                            bounds=[(None, None)] * 4)
    if room.status != 0 or room.x[3] < 1e-2:
        return None
    corners = spatial.HalfspaceIntersection(rows, room.x[:3]).intersections
    hull = spatial.ConvexHull(corners)
    inside = corners.mean(axis=0)
    faces = corners[hull.simplices]
    volumes = np.abs(np.linalg.det(faces - inside)) / 6
    centres = (faces.sum(axis=1) + inside) / 4
    return volumes.sum(), (volumes[:, None] * centres).sum(axis=0) / volumes.sum()


def check_against_polyhedra():
    """The same volumes and centres as polyhedra built by scipy.spatial, for boxes and triangles."""
    dice, seen = random.Random(2), 0
    for _ in range(200):
        if dice.random() < 0.5:
            part = box_part((0, dice.uniform(2, 9)), (-3, dice.uniform(-2, 4)), (1, 4))
        else:
            outline = [(0, 0), (dice.uniform(2, 8), dice.uniform(-1, 1)), (3, dice.uniform(2, 5))]
            part = Part(tuple(outline if dice.random() < 0.5 else outline[::-1]), 1, 4)
        a, b = dice.uniform(-0.5, 0.5), math.tan(dice.uniform(-1.2, 1.2))
        c = 2.5 - a * 3 - b * 0.5 + dice.uniform(-2, 2)
        solid = polyhedron(part, c, a, b)
        if solid is None:
            continue
        seen += 1
        below = Columns([(1.0, part)], 0.0).below(c, a, b)
        close(below.v, solid[0], 1e-9 * (1 + solid[0]))
        for moment, centre in zip((below.mx, below.my, below.mz), solid[1]):
            close(moment / below.v, centre, 1e-8)
    assert seen > 100
    ell = ((0, 0), (4, 0), (4, 1), (1, 1), (1, 3), (0, 3))
    one = Columns([(1.0, Part(ell, 0, 2))], 0.0).below(0.6, 0.2, 0.3)
    for turn in range(6):  # the L from any corner, either way round, and as two boxes
        again = Columns([(1.0, Part((ell[turn:] + ell[:turn])[::-1], 0, 2))], 0.0)
        close(again.below(0.6, 0.2, 0.3).v, one.v, 1e-12)
    two = Columns([(1.0, box_part((0, 4), (0, 1), (0, 2))),
                   (1.0, box_part((0, 1), (1, 3), (0, 2)))], 0.0).below(0.6, 0.2, 0.3)
    for key in one.__dict__:
        close(getattr(one, key), getattr(two, key), 1e-12)


def energy(floater, a, b):
    """Height of G over B at this tilt, the volume kept: found by bisection, no derivative."""
    c = optimize.brentq(lambda z: floater.net.below(z, a, b).v - floater.volume, -200, 200,
                        xtol=1e-13)
    return floater.height(c, a, b)


def check_minimum():
    """On random ships the plane found is a minimum of the height of G over B, and a free search
    by Nelder and Mead from near it comes back; heel held, the trim found is one as well."""
    seen = 0
    for index in range(40):
        dice = random.Random(f"self {index}")
        ship = random_ship(dice, index)
        flooded = random_cases(dice, ship, 1)[0]
        expected = expect(ship, flooded)
        if expected.plane is None:
            continue
        seen += 1
        floater, (_, a, b) = Floater(ship, flooded), expected.plane
        least = energy(floater, a, b)
        for turn in range(8):
            da, db = 3e-4 * math.cos(turn * math.pi / 4), 3e-3 * math.sin(turn * math.pi / 4)
            assert energy(floater, a + da, b + db) > least
        if seen % 5 == 0:
            found = optimize.minimize(
                lambda x: energy(floater, x[0], x[1]), (a + 0.002, b + 0.02), method="Nelder-Mead",
                options={"xatol": 1e-9, "fatol": 1e-15, "maxiter": 400,
                         "initial_simplex": [(a + 0.002, b + 0.02), (a, b + 0.03), (a, b - 0.02)]})
            close(found.x[0], a, 1e-5)  # a minimum is flat: sqrt of the rounding of the height
            close(found.x[1], b, 1e-5)
            held = math.tan(math.radians(30))
            _, (_, trim) = floater.lever(math.radians(30), floater.level())
            for step in (1e-3, -1e-3):
                assert energy(floater, trim + step, held) > energy(floater, trim, held)
    assert seen >= 20, seen


def check_slopes():
    """The derivatives that the solver uses, against differences."""
    ship = box_ship(60, 12, 7, 4, 4, [(0.7, (5, 20), (-6, 1), (0, 3)),
                                       (0.9, (30, 55), (2, 6), (2, 7))])
    loaded = box_ship(60, 12, 7, 4, 4, [(0.7, (5, 20), (-6, 1), (0, 3)), (0.9, (30, 55), (2, 6), (2, 7))],
                      contents=[("s1", 0.4, 0.9), ("s2", 0.7, 1.1)])
    step = 1e-6
    empty, full = Floater(ship, ["s1", "s2"]), Floater(loaded, [])
    for function, start, rest in ((empty.balance, (4.2, 0.01, 0.2), ()), (empty.held, (4.4, -0.02), (0.6,)),
                                  (full.balance, (4.2, 0.01, 0.2), ()), (full.held, (4.4, -0.02), (0.6,))):
        _, slope = function(start, *rest)
        for k in range(len(start)):
            ahead, behind = (np.array(start) + sign * step * np.eye(len(start))[k]
                             for sign in (1, -1))
            change = (function(ahead, *rest)[0] - function(behind, *rest)[0]) / (2 * step)
            assert np.allclose(slope[:, k], change, rtol=1e-6, atol=1e-6), (slope[:, k], change)


def check_sections():
    """A hull of sections that is a box floats as the box; a wedge has a wedge's volume."""
    space = (0.8, (5, 20), (-5, 0), (0, 6))
    box = box_ship(60, 10, 6, 3, 3, [space])
    given = box_ship(60, 10, 6, 3, 3, [space],
                     sections=[(x, [(0, 5), (6, 5)]) for x in (0, 25, 60)])
    plane, again = settled(box)[2], Floater(given, ["s1"]).quick()
    assert np.allclose(plane, again, atol=1e-8), (plane, again)
    wedge = box_ship(60, 10, 6, 3, 3, sections=[(0, [(0, 0), (6, 5)]), (60, [(0, 0), (6, 5)])])
    close(Floater(wedge).volume, 60 * 3 * 2.5)


def check_comparing():
    """The comparison finds what is wrong, and only that."""
    ship = box_ship(60, 12, 9, 4.5, 4.0, [(0.9, (5, 20), (-6, 0), (0, 9))])
    expected = expect(ship, ["s1"])
    plan = 15 * 6
    right = {**json.loads(json.dumps(expected.values)), **expected.grade}
    for key, other in (("grade", "beyond"), ("limits", ["heel"]), ("range", right["range"] + 1e-3),
                       ("flooding_angle", 20.0), ("flooding_opening", "d1"), ("s", 0.5),
                       ("greatest_arm", 1.0), ("would_spread", [{"to": "s1"}]), ("loll", 3.0),
                       ("either_side", True)):
        assert other == right[key] or len(compare(dict(right, **{key: other}), expected, 90)) >= 1
    assert compare(right, expected, plan) == [] and right["heel"] < -1
    slips = {"draught": 2e-6, "draught_aft": 2e-6, "draught_fwd": 2e-6, "trim": 2e-6, "heel": 2e-5,
             "gm": 2e-5, "displacement": 1e-4, "freeboard": 1e-5, "flooded_volume": 1e-2}
    for key, slip in slips.items():
        for value in (right[key] + slip, right[key] - slip, None, math.nan, "1", True):
            assert len(compare(dict(right, **{key: value}), expected, plan)) == 1, key
        assert compare(dict(right, **{key: right[key] + slip / 100}), expected, plan) == []
        assert len(compare({k: v for k, v in right.items() if k != key}, expected, plan)) == 1
    assert compare(dict(right, afloat=False), expected, plan) != []
    arms = right["righting_arms"]
    assert [row["heel"] for row in arms] == [-angle for angle in ANGLES]
    for spoilt in (None, arms[:-1], arms[::-1], [dict(arms[0], gz=arms[0]["gz"] + 2e-5), *arms[1:]],
                   [dict(row, heel=-row["heel"]) for row in arms]):
        assert compare(dict(right, righting_arms=spoilt), expected, plan) != []
    assert same(right, right) == [] and same(reflect(right), right) != []
    assert same(dict(right, gm=right["gm"] + 3e-9), right) != []
    sunk = Expected(values={"afloat": False})
    assert compare({"afloat": False, "heel": None}, sunk, plan) == []
    assert compare(right, sunk, plan) != []
    assert expect(box_ship(60, 12, 5, 4, 4, [(1, (0, 30), (-6, 6), (0, 5))]),
                  ["s1"]).values == {"afloat": False}


def check_files():
    """What is written is read back, in metres or feet, with frames; and the two rewritings."""
    dice = random.Random(3)
    ship = random_ship(dice, 3)
    assert Reader(ship_xml(ship)).ship() == ship
    assert mirrored(mirrored(ship)) == ship
    names = [space.id for space in ship.spaces]
    whole, finer = Floater(ship, names), Floater(cut_up(dice, ship), names)
    for key, value in whole.net.below(ship.draft, 0.01, 0.2).__dict__.items():
        close(getattr(finer.net.below(ship.draft, 0.01, 0.2), key), value, 1e-12 * 1e7)
    text = ship_xml(box_ship(10, 4, 3, 1.5, 1, [(0.5, (2, 4), (-2, 2), (0, 3))]))
    feet = Reader(text.replace('units="m"', 'units="ft"')).ship()
    close(feet.length, 10 * FOOT)
    close(feet.spaces[0].parts[0].outline[2][0], 4 * FOOT)
    framed = text.replace("  <space", '  <frames spacing="0.5" zero="1"/>\n  <space')
    framed = framed.replace('x="2.0 4.0"', 'x="fr2 fr5+0.25"')
    outline = Reader(framed).ship().spaces[0].parts[0].outline
    assert (outline[0][0], outline[2][0]) == (2.0, 3.75)


CHECKS = (check_amidships, check_permeability, check_below_waterline, check_exercise,
          check_under_flat, check_end_compartment, check_wall_sided, check_cut_box,
          check_against_polyhedra, check_minimum, check_slopes, check_sections, check_comparing,
          check_files)


def self_test():
    if not __debug__:
        print("the self-test needs its assertions: run without -O", file=sys.stderr)
        return 1
    failed = 0
    for check in CHECKS:
        try:
            check()
        except (AssertionError, NoBalance) as error:
            failed += 1
            print(f"{check.__name__}: {error}")
    print(f"{len(CHECKS) - failed} passed, {failed} failed")
    return 1 if failed else 0


# -------------------------------------------------------------------------------- the command line


def time_it(options):
    """Reading and putting the columns together are not timed, only finding the plane; without a loading."""
    reader = Reader(Path(options.time).read_text(encoding="utf-8"))
    for loading in reader.root.findall(f"{{{SHIP_NS}}}loading"):
        reader.root.remove(loading)
    ship = reader.ship()
    flooded = [name for words in options.flooded for name in words.split(",") if name]
    try:
        floater = Floater(ship, flooded)
        c, a, b = floater.quick()
        if floater.exact and not np.allclose(floater.settle()[0], (c, a, b), atol=1e-7):
            print("the short way found another balance than the long way", file=sys.stderr)
            return 1
    except (NoBalance, ValueError, TypeError) as error:
        print(f"no equilibrium: {error}", file=sys.stderr)
        return 1
    start = time.perf_counter()
    for _ in range(options.repeat):
        floater.quick()
    spent = (time.perf_counter() - start) / options.repeat
    print(f"draught {c:.6f} trim {a * ship.length:.6f} heel {math.degrees(math.atan(b)):.6f}")
    print(f"seconds_per_equilibrium {spent:.9g}")
    return 0


def positive(text):
    value = int(text)
    if value < 1:
        raise argparse.ArgumentTypeError("at least 1 is wanted")
    return value


def parse_arguments(arguments):
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0], allow_abbrev=False)
    parser.add_argument("--coaming", metavar="PATH", help="the program to check")
    parser.add_argument("--ships", type=positive, default=200, metavar="N")
    parser.add_argument("--seed", type=int, default=1, metavar="S")
    parser.add_argument("--keep", metavar="DIR", help="where to save the files that disagree")
    parser.add_argument("--self-test", action="store_true", help="check the oracle alone")
    parser.add_argument("--time", metavar="SHIP.xml", help="only solve one ship, and time it")
    parser.add_argument("--flooded", action="append", default=[], metavar="A,B", help="for --time")
    parser.add_argument("--repeat", type=positive, default=20, metavar="K", help="for --time")
    options = parser.parse_args(arguments)
    if options.self_test or options.time:
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
    if options.time:
        return time_it(options)
    run = Run(options)
    for index in range(options.ships):
        with tempfile.TemporaryDirectory(prefix="oracle-") as folder:
            run.one_ship(index, Path(folder))
    return run.close()


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
