"""The geometry of an arrangement, read from its XML alone: for tests of drawings.

Needs Python 3.11, its standard library only.
"""

import re
import xml.etree.ElementTree as ElementTree

NS = "{urn:coaming:arrangement:1}"
THIN = 0.01  # m, as draw.h says


class Ship:
    def __init__(self, path):
        root = ElementTree.parse(path).getroot()
        frames = root.find(f"{NS}frames")
        self.spacing = float(frames.get("spacing")) if frames is not None else 1
        self.zero = float(frames.get("zero", 0)) if frames is not None else 0
        self.decks = {d.get("id"): (float(d.get("z")), d.get("name", d.get("id")))
                      for d in root.findall(f"{NS}deck")}
        self.spaces = {s.get("id"): self.solids(s) for s in root.findall(f"{NS}space")}
        self.names = {s.get("id"): s.get("name") for s in root.findall(f"{NS}space")}
        self.clears = {}
        for kind in ("closure", "passage"):
            for link in root.findall(NS + kind):
                clear = link.find(f"{NS}clear")
                self.clears[link.get("id")] = None if clear is None else (
                    kind, self.x(clear.get("x")), float(clear.get("y")), float(clear.get("z")))

    def x(self, text):
        frame = re.fullmatch(r"fr(-?[0-9.]+)([+-][0-9.]+)?", text)
        if not frame:
            return float(text)
        return self.zero + float(frame[1]) * self.spacing + float(frame[2] or 0)

    def solids(self, space):
        """(outline, z0, z1) of each box and prism."""
        found = []
        for solid in space:
            if solid.tag == f"{NS}box":
                (x0, x1), (y0, y1), (z0, z1) = (
                    [self.x(w) for w in solid.get(axis).split()] for axis in "xyz")
                found.append(([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], z0, z1))
            elif solid.tag == f"{NS}prism":
                outline = [tuple(map(self.x, pair.split(",")))
                           for pair in solid.get("outline").split()]
                found.append((outline, *map(float, solid.get("z").split())))
        return found

    def slabs(self):
        """(name, from, to) of each deck plan, the lowest first."""
        heights = sorted({z for z, _ in self.decks.values()})
        slabs = []
        for i, z in enumerate(heights):
            name = " / ".join(n for height, n in self.decks.values() if height == z)
            slabs.append((name, z if i else float("-inf"),
                          heights[i + 1] if i + 1 < len(heights) else float("inf")))
        return slabs

    def on(self, space, low, high):
        """The outlines of a space on a deck."""
        return [outline for outline, z0, z1 in self.spaces[space]
                if min(z1, high) - max(z0, low) > THIN]


def inside(outlines, x, y):
    """Is the point in any of the outlines?"""
    for outline in outlines:
        hit = False
        for (ax, ay), (bx, by) in zip(outline, outline[1:] + outline[:1]):
            if (ay > y) != (by > y) and x < ax + (y - ay) / (by - ay) * (bx - ax):
                hit = not hit
        if hit:
            return True
    return False
