#!/usr/bin/python3
"""Drawings from the outside: what stands in the SVG against the arrangement's own XML, read anew.

Every space once on each deck that it meets, in its true place and size; every closure once, on a
plan or in the list; labels inside their spaces and apart; each overlay as the command that it shows
answers in JSON; hostile names as text. What a browser makes of it is in test_draw_browser.py.

Needs Python 3.11, its standard library only.
Environment: COAMING, the program; COAMING_ROOT, the source tree. The ships here are invented.
"""

import itertools
import json
import math
import random
import re
import unittest
import xml.etree.ElementTree as ElementTree

from ship_geometry import Ship, inside
from harness import AS_OF, BARGE, DEMO, DEMO_LOG, DONE, INPUT, LOGGED, SHIP_NS, SMALL, USAGE, Case

SVG = "{http://www.w3.org/2000/svg}"
POINT = 25.4 / 72  # mm
SMALLEST = 7  # points
HOSTILE = {
    "a": "<script>document.title='taken'</script>",
    "b": "\"quoted\" & 'single' --> ]]> &amp;",
    "c": "long " * 39 + "name!",
    "d": "\u05de\u05d7\u05e1\u05df \u05e7\u05d3\u05de\u05d9",
    "e": "\U0001f6a2 \u2693 store",
    "f": "W" * 200,
    "g": "turned \u202eright\u202c",
    "h": "%s%n%d",
}


# What rings mean, by the weight of their stroke.
RINGS = {"ring": "1.5", "first": "2.4", "second": "1.3", "third": "0.6"}
EDGES = ("edge-first", "edge-second", "edge-third")


class Drawing:
    """An SVG taken apart."""

    def __init__(self, text):
        self.text = text
        self.root = ElementTree.fromstring(text)
        self.scale = float(self.root.get("data-scale"))
        self.decks = {d.get("data-name"): d for d in self.all("g", "deck")}
        self.profiles = list(self.all("g", "profile"))

    def all(self, tag, kind, under=None):
        return (e for e in (under if under is not None else self.root).iter(SVG + tag)
                if e.get("class") == kind)

    def spaces(self, view):
        return [e.get("data-space") for e in self.all("g", "space", view)]

    def marks(self, view=None):
        return {e.get(f"data-{kind}"): e for kind in ("closure", "passage")
                for e in self.all("g", kind, view)}

    def states(self):
        """Of each space, the states in which it is drawn."""
        found = {}
        for e in self.all("g", "space"):
            found.setdefault(e.get("data-space"), set()).add(e.get("data-state"))
        return found

    def warnings(self):
        """Sentences that stand out: bold, large, in the colour of a failed test."""
        return [" ".join(t.text for t in g.iter(f"{SVG}text")) for g in self.root.iter(f"{SVG}g")
                if g.get("fill") == "#a82e08" and float(g.get("font-size", 0)) > 9
                and all(t.get("font-weight") == "bold" for t in g.iter(f"{SVG}text"))]

    def words(self):
        return re.sub(r"\s+", " ", " ".join(t.text for t in self.root.iter(f"{SVG}text")))

    def items(self):
        """The rows of lists, each with the lines it was broken into put together."""
        return [" ".join(t.text for t in g.iter(f"{SVG}text")) for g in self.root.iter(f"{SVG}g")
                if g.get("font-size") == "7"]

    def place(self, view, x, y):
        return (float(view.get("data-x0")) + x * self.scale,
                float(view.get("data-y0")) - y * self.scale)


def sinks(row):
    """Does she not stay afloat because the closure fails?"""
    return row["hazard"] == "water" and row["level"] is None and bool(row["exposed"])


def numbers(text):
    return [float(n) for n in re.findall(r"-?[0-9.]+", text)]


def off(x, y, x0, y0, x1, y1):
    """How far a place is off a piece of a line."""
    square = (x1 - x0) ** 2 + (y1 - y0) ** 2
    along = min(max(((x - x0) * (x1 - x0) + (y - y0) * (y1 - y0)) / square, 0), 1) if square else 0
    return math.hypot(x - x0 - along * (x1 - x0), y - y0 - along * (y1 - y0))


def corners(path):
    flat = numbers(path.get("d"))
    return list(zip(flat[::2], flat[1::2]))


def glyph_place(mark):
    """Where the sign of a mark stands."""
    circle = mark.find(f"{SVG}circle")
    diamond = [p for p in mark.findall(f"{SVG}path") if "l4.2 4.2" in p.get("d")]
    if diamond:
        x, y = numbers(diamond[0].get("d"))[:2]
        return x, y + 4.2
    return float(circle.get("cx")), float(circle.get("cy"))


def text_of(element):
    return "".join(element.itertext())


def width_of(text):
    """A fair guess, points (the browser test measures)."""
    classes = (("ijl.,:;'|()", 0.3), ("ftr -", 0.38), ("mwMW", 0.9), ("ABCDEFGHIJKLNOPQRSTUVXYZ", 0.68))
    return 7 * sum(next((w for letters, w in classes if c in letters), 0.6) for c in text)


def label_boxes(drawing, view):
    """(kind, of, text, box) of every label of a view that is not turned."""
    found = []
    for kind in ("name", "id"):
        for group in drawing.all("g", kind, view):
            if group.find(f"{SVG}g[@transform]") is not None:
                continue
            for text in group.iter(f"{SVG}text"):
                x, y, width = float(text.get("x")), float(text.get("y")), width_of(text.text)
                left = x - width / 2 if text.get("text-anchor") == "middle" else x
                found.append((kind, group.get("data-of"), text.text,
                              (left, y - 5.5, left + width, y + 0.5)))
    return found


def meet(a, b):
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


class Drawn(Case):
    def draw(self, ship, *words, status=DONE):
        done = self.run_it("draw", ship, *AS_OF, *words)
        self.assertEqual((done.returncode, done.stderr), (status, b""))
        return Drawing(done.stdout.decode("utf-8"))

    def answer(self, *words):
        done = self.run_it(*words, "--format", "json", *AS_OF)
        return json.loads(done.stdout)


class Geometry(Drawn):
    def test_every_space_stands_once_on_each_deck_that_it_meets(self):
        for path in (DEMO, BARGE):
            ship, drawing = Ship(path), self.draw(path)
            for name, low, high in ship.slabs():
                expected = sorted(s for s in ship.spaces if ship.on(s, low, high))
                shown = sorted(drawing.spaces(drawing.decks[name])) if expected else []
                self.assertEqual(shown, expected, name)
            self.assertEqual(sorted(drawing.spaces(drawing.profiles[0])), sorted(ship.spaces))

    def test_spaces_lie_where_they_lie_at_the_scale_that_is_said(self):
        for path in (DEMO, BARGE):
            ship, drawing = Ship(path), self.draw(path)
            said = int(re.search(r"Scale 1:([0-9]+) where this page is 297 mm", drawing.text)[1])
            points = float(drawing.root.get("viewBox").split()[2])
            self.assertAlmostEqual(points * POINT, 297, delta=0.01)
            self.assertAlmostEqual(drawing.scale * POINT * said, 1000, delta=0.5)
            for name, low, high in ship.slabs():
                view = drawing.decks.get(name)
                for space in drawing.all("g", "space", view) if view is not None else ():
                    drawn = corners(space.find(f"{SVG}path"))
                    true = [drawing.place(view, *p)
                            for o in ship.on(space.get("data-space"), low, high) for p in o]
                    for axis in (0, 1):
                        for end in (min, max):
                            self.assertAlmostEqual(end(p[axis] for p in drawn),
                                                   end(p[axis] for p in true), delta=0.02)
                    self.assertEqual(len(drawn), len(true))

    def test_the_outline_of_a_space_runs_where_inside_ends(self):
        """A step to either side of each drawn edge: one lies in the space, the other does not."""
        ship, drawing = Ship(DEMO), self.draw(DEMO)
        for name, low, high in ship.slabs():
            view = drawing.decks[name]
            for space in drawing.all("g", "space", view):
                outlines = [[drawing.place(view, *p) for p in o]
                            for o in ship.on(space.get("data-space"), low, high)]
                d = space.findall(f"{SVG}path")[-1].get("d")
                for run in d.split("M")[1:]:
                    flat = numbers(run)
                    points = list(zip(flat[::2], flat[1::2]))
                    for (ax, ay), (bx, by) in zip(points, points[1:]):
                        length = max(((bx - ax) ** 2 + (by - ay) ** 2) ** 0.5, 1e-9)
                        if length < 0.5:
                            continue
                        nx, ny = (by - ay) / length * 0.1, -(bx - ax) / length * 0.1
                        x, y = (ax + bx) / 2, (ay + by) / 2
                        self.assertNotEqual(inside(outlines, x + nx, y + ny),
                                            inside(outlines, x - nx, y - ny),
                                            (name, space.get("data-space"), x, y))

    def test_a_space_is_drawn_as_the_shell_leaves_it(self):
        """A hull of two sections 20 m apart, half-breadth 1 to 3 m over z 0 to 4 aft and 0.5 to 2 m over z 1 to 4
        forward; a space from 2 to 18 m to any breadth, up to 3 m, in two decks. By hand: the plan is cut at the top
        of what it shows (less 1 mm), the profile by the line of the keel."""
        def section(x, *offsets):
            return f'<section x="{x}">' + "".join(f'<offset z="{z}" y="{y}"/>' for z, y in offsets) + "</section>"

        path = self.ship(
            f'<arrangement xmlns="{SHIP_NS}" name="Cut"><ship length="20" beam="6" depth="4" draft="2"/><hull>'
            + section(0, (0, 1), (4, 3)) + section(20, (1, 0.5), (4, 2)) + '</hull><deck id="low" name="Low" z="0"/>'
            '<deck id="up" name="Up" z="4"/><space id="a" name="A"><box x="2 18" y="-3 3" z="0 4"/></space>'
            '<space id="h" name="House"><box x="2 18" y="-3 3" z="4 6"/></space></arrangement>')
        drawing = self.draw(path)
        view = drawing.decks["Low"]
        expected = [(2, -2.9), (18, -2.1), (18, 2.1), (2, 2.9)]
        self.compare(drawing, view, expected, 0.01)
        self.compare(drawing, drawing.profiles[0], [(2, 0.1), (18, 0.9), (18, 4), (2, 4)], 0.001)

    def compare(self, drawing, view, expected, metres):
        (space,) = [s for s in drawing.all("g", "space", view) if s.get("data-space") == "a"]
        drawn = corners(space.find(f"{SVG}path"))
        true = [drawing.place(view, *p) for p in expected]
        near = 0.02 + metres * drawing.scale
        for x, y in true:  # each corner is drawn, and nothing beyond them
            self.assertLess(min(max(abs(x - a), abs(y - b)) for a, b in drawn), near, (x, y, drawn))
        for axis in (0, 1):
            for end in (min, max):
                self.assertAlmostEqual(end(p[axis] for p in drawn), end(p[axis] for p in true), delta=near)

    def test_a_deck_that_is_asked_for_is_drawn_alone(self):
        drawing = self.draw(DEMO, "--deck", "lower,hold")
        self.assertEqual(list(drawing.decks), ["Lower deck", "Hold"])
        self.assertEqual(drawing.profiles, [])
        self.assertEqual(list(self.draw(DEMO, "--profile").decks), [])
        both = self.draw(DEMO, "--profile", "--deck", "lower")
        self.assertEqual((list(both.decks), len(both.profiles)), (["Lower deck"], 1))

    def test_decks_of_one_height_are_one_plan_and_thin_spaces_are_kept(self):
        text = SMALL.replace('<deck id="low" z="0"/>', '<deck id="low" name="Low" z="0"/>'
                             '<deck id="twin" name="Twin" z="0"/><deck id="up" name="Up" z="4"/>')
        text = text.replace('<space id="mid"', '<space id="flat" name="Flat"><box x="1 2" y="0 1" '
                            'z="3.995 4.005"/></space><space id="mid"')
        drawing = self.draw(self.ship(text))
        self.assertEqual(list(drawing.decks), ["Up", "Low / Twin"])
        self.assertEqual(sorted(drawing.spaces(drawing.decks["Low / Twin"])),
                         ["aft", "flat", "fore", "mid"])

    def test_a_ship_without_decks_is_one_plan(self):
        drawing = self.draw(self.ship(SMALL.replace('<deck id="low" z="0"/>', "").replace(
            ' deck="low"', "")))
        self.assertEqual(list(drawing.decks), ["All spaces"])
        self.assertEqual(sorted(drawing.spaces(drawing.decks["All spaces"])), ["aft", "fore", "mid"])
        self.assertEqual(set(drawing.marks(drawing.decks["All spaces"])), {"D1", "H1", "P1"})

    def test_without_decks_plans_begin_at_floors_a_man_s_height_apart(self):
        text = SMALL.replace('<deck id="low" z="0"/>', "").replace(' deck="low"', "")
        for i, (low, high) in enumerate(((4, 6), (5, 6), (6, 8), (6.5, 8))):
            text = text.replace('<space id="mid"', f'<space id="s{i}" name="S{i}"><box x="{i} '
                                f'{i + 1}" y="0 1" z="{low} {high}"/></space><space id="mid"')
        drawing = Drawing(self.run_it("draw", self.ship(text), *AS_OF).stdout.decode())
        self.assertEqual({name: sorted(drawing.spaces(view)) for name, view in drawing.decks.items()},
                         {"Spaces from 6.00 m up": ["s2", "s3"], "Spaces from 4.00 m up": ["s0", "s1"],
                          "Spaces from 0.00 m up": ["aft", "fore", "mid"]})

    def test_frames_are_numbered_where_they_are(self):
        ship, drawing = Ship(DEMO), self.draw(DEMO)
        for view in (*drawing.decks.values(), *drawing.profiles):
            shown = [t for g in drawing.all("g", "frames", view) for t in g.iter(f"{SVG}text")]
            self.assertEqual(shown.pop().text, "frame")
            self.assertEqual([t.text for t in shown], [str(n) for n in range(0, 97, 5)])
            for t in shown:
                x = drawing.place(view, ship.x(f"fr{t.text}"), 0)[0]
                self.assertAlmostEqual(float(t.get("x")), x, delta=0.02)

    def test_the_scale_bar_is_as_long_as_it_says(self):
        drawing = self.draw(DEMO)
        bar = next(drawing.all("path", "scale-bar"))
        run = re.search(r"h([0-9.]+)", bar.get("d"))
        self.assertAlmostEqual(float(run[1]), int(bar.get("data-metres")) * drawing.scale, delta=0.02)


class Marks(Drawn):
    def test_every_closure_stands_once_on_the_deck_of_its_lowest_edge_or_is_listed(self):
        for path in (DEMO, BARGE):
            ship, drawing = Ship(path), self.draw(path)
            seen = []
            for name, low, high in ship.slabs():
                view = drawing.decks.get(name)
                marks = drawing.marks(view) if view is not None else {}
                for link, mark in marks.items():
                    kind, x, y, z = ship.clears[link]
                    self.assertTrue(low - 0.01 <= z < high, (link, name))
                    px, py = drawing.place(view, x, y)
                    self.assertAlmostEqual(float(mark.get("data-x")), px, delta=0.02)
                    self.assertAlmostEqual(float(mark.get("data-y")), py, delta=0.02)
                    self.assertEqual(mark.get("class"), kind)
                seen += marks
            self.assertEqual(sorted(seen), sorted(ship.clears))
            profile = set(drawing.marks(drawing.profiles[0]))
            self.assertEqual(profile | set(self.left_out(drawing)), set(ship.clears))

    def left_out(self, drawing):
        return re.findall(r">(\S+) \(Profile, seen from starboard\)<", drawing.text)

    def test_a_closure_without_a_place_is_listed_beside_the_drawing(self):
        text = SMALL.replace('<clear x="20" y="0" z="0.5" width="0.7" height="1.7" '
                             'lies="transverse"/>\n', "")
        text = text.replace('<clear x="5" y="0"', '<clear x="5000" y="0"')
        drawing = Drawing(self.run_it("draw", self.ship(text), *AS_OF).stdout.decode())
        listed = text_of(next(drawing.all("g", "unplaced")))
        self.assertRegex(listed, r"D1 .*fore to mid: pass 2026-01-31")
        self.assertRegex(listed, r"H1 .*aft to weather: untested")
        self.assertEqual(set(drawing.marks()), {"P1"})

    def test_state_is_the_last_result_by_shape_as_well_as_by_word(self):
        drawing = self.draw(DEMO, "--log", DEMO_LOG)
        rows = self.answer("rank", DEMO, "--log", DEMO_LOG, "--level", "still")["closures"]
        results = {row["closure"]: row["result"] for row in rows}
        self.assertEqual(set(results.values()), {"pass", "fail", "untested"})
        for view in drawing.decks.values():
            for link, mark in drawing.marks(view).items():
                if mark.get("class") == "passage":
                    continue
                self.assertEqual(mark.get("data-state"), results[link])
                circle = mark.find(f"{SVG}circle")
                shape = ("fail" if circle is None else
                         "untested" if circle.get("fill") == "#ffffff" else "pass")
                self.assertEqual(shape, results[link], link)

    def test_marks_do_not_hide_each_other_and_those_moved_have_a_line(self):
        crowd = "".join(
            f'<closure id="X{i}" kind="valve" between="fore mid" rating="watertight">'
            f'<clear x="20" y="{i * 0.05}" z="1" width="0.1" height="0.1" lies="transverse"/>'
            '</closure>' for i in range(12))
        crowded = Drawing(self.run_it("draw", self.ship(SMALL.replace("<passage", crowd + "<passage")),
                                      *AS_OF).stdout.decode())
        for drawing in (crowded, self.draw(DEMO), self.draw(DEMO, "--overlay", "due")):
            for view in (*drawing.decks.values(), *drawing.profiles):
                at = {link: glyph_place(m) for link, m in drawing.marks(view).items()
                      if m.get("class") == "closure"}
                for (a, p), (b, q) in itertools.combinations(at.items(), 2):
                    self.assertGreater(max(abs(p[0] - q[0]), abs(p[1] - q[1])), 6, (a, b))
        moved = [m for m in crowded.marks(next(iter(crowded.decks.values()))).values()
                 if m.get("class") == "closure" and max(
                     abs(glyph_place(m)[0] - float(m.get("data-x"))),
                     abs(glyph_place(m)[1] - float(m.get("data-y")))) > 0.1]
        self.assertGreaterEqual(len(moved), 10)
        for m in moved:
            start = f'M{m.get("data-x")} {m.get("data-y")}L'
            self.assertTrue(any(p.get("d").startswith(start) for p in m.findall(f"{SVG}path")))

    def test_what_stands_open_in_the_condition_is_said(self):
        shut = self.draw(BARGE).marks()["D2"]
        opened = self.draw(BARGE, "--condition", "working").marks()["D2"]
        self.assertNotIn("not shut", text_of(shut.find(f"{SVG}title")))
        self.assertIn("not shut", text_of(opened.find(f"{SVG}title")))


class Labels(Drawn):
    OVERLAYS = ((), ("--overlay", "due"), ("--overlay", "rank", "--level", "still"),
                ("--overlay", "expose", "--closure", "D1", "--hazard", "air"),
                ("--overlay", "hold", "--source", "aux", "--hazard", "air"))

    def test_labels_do_not_overlap(self):
        for words in self.OVERLAYS:
            drawing = self.draw(DEMO, "--log", DEMO_LOG, *words)
            for view in (*drawing.decks.values(), *drawing.profiles):
                boxes = label_boxes(drawing, view)
                for (_, a, s, p), (_, b, t, q) in itertools.combinations(boxes, 2):
                    if a != b:
                        self.assertFalse(meet(p, q), (words, view.get("data-name"), s, t))

    def test_names_lie_inside_their_spaces_and_off_the_signs(self):
        ship, drawing = Ship(DEMO), self.draw(DEMO, "--log", DEMO_LOG)
        inside_count = 0
        for name, low, high in ship.slabs():
            view = drawing.decks[name]
            signs = [glyph_place(m) for m in drawing.marks(view).values()
                     if m.get("class") == "closure"]
            for kind, of, text, box in label_boxes(drawing, view):
                for x, y in signs:
                    self.assertFalse(meet(box, (x - 2, y - 2, x + 2, y + 2)), (name, text))
                if kind != "name" or text.isdigit():
                    continue
                outlines = [[drawing.place(view, *p) for p in o] for o in ship.on(of, low, high)]
                for x in (box[0], box[2]):
                    for y in (box[1], box[3]):
                        self.assertTrue(inside(outlines, x, y), (name, text))
                inside_count += 1
        self.assertGreater(inside_count, 60)

    def test_every_space_is_named_or_in_the_key(self):
        ship, drawing = Ship(DEMO), self.draw(DEMO)
        for view in drawing.decks.values():
            for group in drawing.all("g", "name", view):
                of, words = group.get("data-of"), " ".join(t.text for t in group.iter(f"{SVG}text"))
                if words == ship.names[of]:
                    continue
                key = (f"{words}  {ship.names[of]} ({of})" if words.isdigit()
                       else rf"{of}: {ship.names[of]}")
                plain = key.replace("'", "&#39;")
                numbered = rf">[0-9]+  ?{re.escape(ship.names[of])} \({re.escape(of)}\)<".replace(
                    "'", "&#39;")
                self.assertTrue(f">{plain}<" in drawing.text or
                                re.search(numbered, drawing.text), (of, words))
        self.assertIn("Spaces shown by number or id", drawing.text)

    def test_no_text_is_smaller_than_seven_points(self):
        for words in ((), ("--width", "120", "--compact")):
            drawing = self.draw(DEMO, *words)
            for e in drawing.root.iter():
                if e.get("font-size"):
                    self.assertGreaterEqual(float(e.get("font-size")), SMALLEST)
                self.assertNotIn("scale", e.get("transform", ""))
            mm = float(drawing.root.get("width")[:-2])
            self.assertAlmostEqual(float(drawing.root.get("viewBox").split()[2]) * POINT, mm, delta=0.01)

    def test_there_is_a_legend_always(self):
        for words in self.OVERLAYS:
            drawing = self.draw(DEMO, *words)
            legend = text_of(next(drawing.all("g", "legend")))
            for said in ("passed", "FAILED", "untested", " m"):
                self.assertIn(said, legend)


def pile(number):
    """A ship of boxes at any height, so that many lie under others, all joined and open to the sea."""
    dice = random.Random(number)
    parts = []
    for i in range(12):
        x, y, z = dice.randrange(0, 40), dice.randrange(-6, 4), dice.randrange(0, 5)
        parts.append(f'<space id="s{i}" name="Space {i}"><box x="{x} {x + dice.randrange(1, 20)}" '
                     f'y="{y} {min(6, y + dice.randrange(1, 9))}" z="{z} {z + dice.randrange(1, 4)}"/></space>')
    parts += [f'<passage id="p{i}" kind="pipe" between="s{dice.randrange(i)} s{i}">'
              f'<clear x="{dice.randrange(50)}" y="{dice.randrange(-6, 7)}" z="0.1" width="1" height="1" '
              'lies="transverse"/></passage>' for i in range(1, 12) if dice.random() < 0.8]
    return (f'<arrangement xmlns="{SHIP_NS}" name="Pile"><ship length="60" beam="12" depth="8" draft="7.5"/>'
            '<deck id="low" name="Low" z="0"/><deck id="up" name="Up" z="4"/>' + "".join(parts) +
            '<closure id="V" kind="valve" between="s0 sea" rating="watertight"><clear x="1" y="0" z="0" '
            'width="0.2" height="0.2" lies="transverse"/></closure></arrangement>')


class Seen(Drawn):
    """What the legend names is there to be seen, and what the overlay fills is seen or named."""

    def wet(self, ship, *words):
        """A drawing of a pile, whose spaces overlap, which is warned of."""
        done = self.run_it("draw", ship, *AS_OF, "--overlay", "expose", "--closure", "V", "--level", "7.5", *words)
        self.assertEqual(done.returncode, DONE, done.stderr)
        return Drawing(done.stdout.decode("utf-8"))

    def shows(self, view, space):
        """Is a point of the space in this view under no space that is drawn later?"""
        groups = [g for g in view.iter(f"{SVG}g") if g.get("class") == "space"]
        shapes = [self.rings(g) for g in groups]
        at = next(i for i, g in enumerate(groups) if g.get("data-space") == space)
        xs = [x for ring in shapes[at] for x, _ in ring]
        ys = [y for ring in shapes[at] for _, y in ring]
        later = [s for s in shapes[at + 1:] if all(
            min(p[k] for ring in s for p in ring) < max(own) and min(own) < max(p[k] for ring in s for p in ring)
            for k, own in enumerate((xs, ys)))]
        for i in range(60):
            for j in range(60):
                x = min(xs) + (i + 0.5) / 60 * (max(xs) - min(xs))
                y = min(ys) + (j + 0.5) / 60 * (max(ys) - min(ys))
                if inside(shapes[at], x, y) and not any(inside(s, x, y) for s in later):
                    return True
        return False

    @staticmethod
    def rings(group):
        path = group.find(f"{SVG}path").get("d")
        return [list(zip(flat[::2], flat[1::2])) for flat in map(numbers, path.split("z")) if flat]

    @staticmethod
    def pieces(path):
        """Each piece of a path of straight lines: x0, y0, x1, y1."""
        found = []
        for run in path.split("M")[1:]:
            flat = numbers(run)
            points = list(zip(flat[::2], flat[1::2]))
            found += [(*a, *b) for a, b in zip(points, points[1:])]
        return found

    def signs(self, drawing):
        """The signs that stand in the views, by the names that the legend has for them."""
        found = {}
        for view in (*drawing.decks.values(), *drawing.profiles):
            for mark in drawing.marks(view).values():
                title = mark.find(f"{SVG}title").text
                bar = len(mark.findall(f"{SVG}rect")) + sum(
                    p.get("stroke-width") == "2.6" for p in mark.findall(f"{SVG}path"))
                found.setdefault(mark.get("data-state"), []).append(mark)
                for sign, there in (
                        ("open", bar and "not shut in this condition" in title),
                        ("nontight", bar and ": nontight" in title),
                        *((name, any(c.get("r") == "6" and c.get("stroke-width") == weight
                                     for c in mark.findall(f"{SVG}circle")))
                          for name, weight in RINGS.items()),
                        ("leader", any(p.get("stroke-width") == "0.5" for p in mark.findall(f"{SVG}path")))):
                    if there:
                        found.setdefault(sign, []).append(mark)
                for path in mark.findall(f"{SVG}path"):
                    if "m-5.8 -5.8h11.6" in path.get("d"):
                        found.setdefault("dashed" if path.get("stroke-dasharray") else "square", []).append(mark)
            for path in view.iter(f"{SVG}path"):
                kind = {"rise": path.get("data-rise")}.get(path.get("class"), path.get("class"))
                if kind == "edge":
                    kind = f"edge-{path.get('data-line')}"
                if kind in ("up", "down", "way", "under", "flooded-under", *EDGES) and path.get("d"):
                    found.setdefault(kind, []).append(path)
            for circle in view.iter(f"{SVG}circle"):
                if circle.get("r") == "5.6":
                    found.setdefault("badge", []).append(circle)
            for group in drawing.all("g", "space", view):
                if group.get("data-state") != "plain" and self.shows(view, group.get("data-space")):
                    found.setdefault(group.get("data-state"), []).append(group)
        return set(found)

    def check_legend(self, drawing, *words):
        legend = next(drawing.all("g", "legend"))
        told = {e.get("data-state") or e.get("data-sign") or e.get("data-fill") for e in legend.iter()
                if e.get("class") == "sample"}
        self.assertEqual(told, self.signs(drawing), words)

    def check_fills(self, drawing):
        """Counts the spaces named as hidden."""
        named = 0
        children = list(drawing.root)
        for i, view in enumerate(children):
            if view.get("class") != "deck":
                continue
            below = text_of(children[i + 1]) if children[i + 1].get("class") == "hidden" else ""
            for group in drawing.all("g", "space", view):
                space, state = group.get("data-space"), group.get("data-state")
                if state != "plain" and not self.shows(view, space):
                    self.assertRegex(below, rf"(: |; ){space}: ")
                    named += 1
        for profile in drawing.profiles:
            for group in drawing.all("g", "space", profile):
                if group.get("data-state") != "plain" and not self.shows(profile, group.get("data-space")):
                    self.assertTrue([i for i in drawing.items() if i.startswith(group.get("data-space") + ": ")])
                    named += 1
        return named

    def test_every_entry_of_the_legend_has_its_sign_and_every_sign_its_entry(self):
        for words in Labels.OVERLAYS + (("--deck", "main"), ("--deck", "hold", "--overlay", "expose", "--closure", "V1"),
                                      ("--deck", "main", "--overlay", "expose", "--closure", "V1", "--level", "still")):
            self.check_legend(self.draw(DEMO, "--log", DEMO_LOG, *words), words)
        for words in ((), ("--overlay", "due"), ("--overlay", "hold", "--source", "hold-aft", "--hazard", "water"),
                      ("--overlay", "expose", "--closure", "D1"), ("--deck", "main")):
            self.check_legend(self.draw(BARGE, *words), words)

    def test_what_floods_under_others_is_named(self):
        hidden = 0
        for number in range(20):
            drawing = self.wet(self.ship(pile(number)))
            hidden += self.check_fills(drawing)
            self.check_legend(drawing, number)
        self.assertGreater(hidden, 20)

    def test_a_sliver_is_named_as_hidden_too(self):
        for out, named in ((0.1, True), (3, False)):  # of 10 m
            ship = self.ship(
                f'<arrangement xmlns="{SHIP_NS}" name="Pile"><ship length="60" beam="12" depth="8" draft="7.5"/>'
                '<space id="tank" name="Tank"><box x="10 20" y="-4 4" z="0 1"/></space>'
                f'<space id="hold" name="Hold"><box x="5 {20 - out}" y="-6 6" z="1 8"/></space>'
                '<closure id="V" kind="valve" between="tank sea" rating="watertight"><clear x="12" y="0" z="0" '
                'width="0.2" height="0.2" lies="deck"/></closure></arrangement>')
            told = [text_of(g).strip() for g in self.wet(ship).all("g", "hidden")]
            self.assertEqual(told, ["Hidden under others: tank: floods"] if named else [])

    def test_what_floods_on_no_deck_drawn_is_named(self):
        ship = self.ship(pile(3))
        whole = self.wet(ship)
        drawing = self.wet(ship, "--deck", "up")
        drawn = {s for v in drawing.decks.values() for s in drawing.spaces(v)}
        wet = {s for s, states in whole.states().items() if states == {"water"}}
        self.assertTrue(wet - drawn)
        unseen = text_of(next(drawing.all("g", "unseen")))
        self.assertEqual(set(re.findall(r"(s\d+): floods", unseen)), wet - drawn)


class Overlays(Drawn):
    def test_expose_shows_what_expose_answers(self):
        rows = self.answer("expose", BARGE, "--all", "--level", "still")["results"]
        for row in rows:
            drawing = self.draw(BARGE, "--overlay", "expose", "--closure", row["closure"],
                                "--hazard", row["hazard"], "--source", row["source"],
                                "--level", "still")
            states = drawing.states()
            self.check_states(states, row)
            self.assertIn("Caution:", drawing.text)

    def check_states(self, states, row):
        word = row["hazard"] if row["hazard"] == "water" else "air"
        for space, drawn in states.items():
            expected = ("source" if space == row["source"] else
                        word if space in row["exposed"] else
                        "perhaps" if space in row["exposed_if_untested_leak"] else "plain")
            self.assertEqual(drawn, {expected}, (row["closure"], row["source"], space))

    def test_expose_without_a_side_takes_a_loss_then_the_greatest_worth(self):
        """In the second ship the used oil tank, which bad air alone reaches by D10, is worth most."""
        text = re.sub(r'<space id="oil-tk"[^>]*>',
                      lambda m: re.sub(r' worth="[^"]*"', "", m[0])[:-1] + ' worth="1000">',
                      DEMO.read_text(encoding="utf-8"), count=1)
        for ship in (DEMO, self.ship(text)):
            rows = self.answer("expose", ship, "--log", DEMO_LOG, "D1", "D10", "D19")["results"]
            for closure in ("D1", "D10", "D19"):
                mine = [r for r in rows if r["closure"] == closure]
                best = max(mine, key=lambda r: (sinks(r), r["worth"], r["volume"], -mine.index(r)))
                drawing = self.draw(ship, "--log", DEMO_LOG, "--overlay", "expose", "--closure",
                                    closure)
                self.check_states(drawing.states(), best)
                self.assertEqual(any(w.startswith("SHE DOES NOT STAY AFLOAT in this case")
                                     for w in drawing.warnings()), sinks(best))
        self.assertGreater(max(r["worth"] for r in rows if r["closure"] == "D10"), 1000)

    def test_the_ways_in_have_arrows(self):
        drawing = self.draw(BARGE, "--overlay", "expose", "--closure", "D2", "--hazard", "water",
                            "--source", "hold-fwd", "--level", "still", "--deck", "bottom")
        arrows = {p.get("data-way"): numbers(p.get("d")) for p in drawing.all("path", "way")}
        self.assertEqual(set(arrows), {"D1", "D2"})
        for flat in arrows.values():  # aft, that is to the left, at one height
            self.assertLess(flat[2], flat[0])
            self.assertEqual(flat[1], flat[3])

    def test_rank_numbers_the_first_ten(self):
        words = (DEMO, "--log", DEMO_LOG, "--hazard", "water", "--level", "still")
        rows = self.answer("rank", *words, "--top", "10")["closures"]
        expected = {r["closure"]: str(r["rank"]) for r in rows if r["consequence"] > 0}
        drawing = self.draw(*words, "--overlay", "rank")
        shown = {}
        for view in drawing.decks.values():
            for group in drawing.all("g", "id", view):
                first = next(group.iter(f"{SVG}text")).text
                if first.isdigit():
                    shown[group.get("data-of")] = first
        self.assertEqual(shown, expected)

    def test_due_frames_what_is_due(self):
        rows = self.answer("due", DEMO, "--log", DEMO_LOG, "--within", "60")["tests"]
        overdue = {r["closure"] for r in rows if r["overdue"]}
        soon = {r["closure"] for r in rows} - overdue
        self.assertTrue(overdue and soon)
        drawing = self.draw(DEMO, "--log", DEMO_LOG, "--overlay", "due", "--within", "60")
        found = {"solid": set(), "dashed": set()}
        for view in drawing.decks.values():
            for link, mark in drawing.marks(view).items():
                for p in mark.findall(f"{SVG}path"):
                    if "m-5.8 -5.8" in p.get("d"):
                        found["dashed" if p.get("stroke-dasharray") else "solid"].add(link)
        self.assertEqual(found, {"solid": overdue, "dashed": soon})

    def test_hold_rings_the_line_and_marks_what_is_given_up(self):
        words = (DEMO, "--log", DEMO_LOG, "--source", "aux", "--protect", "shelter", "--hazard", "air")
        answer = self.answer("hold", *words)["answers"][0]
        drawing = self.draw(*words, "--overlay", "hold")
        ringed = {link for view in drawing.decks.values()
                  for link, m in drawing.marks(view).items()
                  if any(c.get("r") == "6" for c in m.findall(f"{SVG}circle"))}
        line = answer["lines"][0]
        self.assertEqual(ringed, {c["closure"] for c in line["closures"]})
        states = drawing.states()
        for space, drawn in states.items():
            expected = ("source" if space == "aux" else "keep" if space == "shelter" else
                        "given-up" if space in line["given_up"] else "plain")
            self.assertEqual(drawn, {expected}, space)

    def test_an_overlay_without_what_it_needs_is_refused(self):
        for words in (("--overlay", "expose"), ("--overlay", "hold", "--hazard", "air"),
                      ("--overlay", "hold", "--source", "aux"), ("--closure", "D1"),
                      ("--overlay", "due", "--hazard", "air"), ("--top", "3"), ("--width", "79"),
                      ("--overlay", "water"), ("--format", "json"), ("--deck", ",")):
            done = self.run_it("draw", DEMO, *AS_OF, *words)
            self.assertEqual((done.returncode, done.stdout), (USAGE, b""), words)
            self.assertEqual(done.stderr.count(b"\n"), 1)
        for words in (("--deck", "holds"), ("--overlay", "expose", "--closure", "D99"),
                      ("--overlay", "expose", "--closure", "D1", "--source", "nowhere")):
            self.assertEqual(self.run_it("draw", DEMO, *AS_OF, *words).returncode, INPUT, words)
        done = self.run_it("draw", DEMO, *AS_OF, "--overlay", "expose", "--closure", "D1",
                           "--source", "bridge")
        self.assertEqual(done.returncode, USAGE)
        self.assertIn(b"no side 'bridge'", done.stderr)


class Survival(Drawn):
    WORDS = (DEMO, "--log", DEMO_LOG, "--loading", "departure")  # not all loadings: another answer
    SHADES = (("most", 0.5), ("much", 0.25), ("some", 0.1), ("little", 0))

    @property
    def told(self):
        return self.kept("survival", lambda: self.answer("survival", *self.WORDS))

    @property
    def drawing(self):
        return self.kept("draw", lambda: self.draw(*self.WORDS, "--overlay", "survival"))

    KEPT = {}

    def kept(self, what, make):
        """Asked once for all cases: it takes seconds."""
        if what not in self.KEPT:
            self.KEPT[what] = make()
        return self.KEPT[what]

    @staticmethod
    def said(drawing):
        """All that is said over the drawing."""
        return next(drawing.root.iter(f"{SVG}desc")).text

    def cells(self, drawing, state):
        row = next(g for g in drawing.all("g", "zone-row") if g.get("data-state") == state)
        return {int(c.get("data-zone")): c for c in drawing.all("rect", "zone", row)}

    def test_zones_are_shaded_by_what_is_lost_there(self):
        drawing, used = self.drawing, set()
        for state in ("as-built", "as-tested"):
            cells = self.cells(drawing, state)
            self.assertEqual(list(cells), [z["zone"] for z in self.told["zones"]])
            for row in self.told["zones"]:
                zone, share = row["zone"], row["gone"][state.replace("-", "_")] / row["weight"]
                shade = next((w for w, least in self.SHADES if share > 0 and share >= least), "none")
                used.add(shade)
                self.assertEqual(cells[zone].get("data-shade"), shade, (state, zone, share))
                told = re.fullmatch(rf"zone {zone}, {state}: (.*) %", cells[zone][0].text)[1]
                self.assertAlmostEqual(float(told), 100 * share, delta=0.06)
        self.assertGreaterEqual(len(used), 4)
        legend = next(drawing.all("g", "legend"))
        self.assertEqual({r.get("data-shade") for r in legend.iter(f"{SVG}rect")
                          if r.get("data-shade")}, used)

    def test_zones_stand_under_where_they_are(self):
        answer, drawing = self.told, self.drawing
        zero = float(drawing.profiles[0].get("data-x0"))
        for state in ("as-built", "as-tested"):
            cells = self.cells(drawing, state)
            self.assertEqual(len(cells), len(answer["zones"]))
            for zone in answer["zones"]:
                cell = cells[zone["zone"]]
                self.assertAlmostEqual(float(cell.get("x")), zero + zone["from"] * drawing.scale,
                                       delta=0.02)
                self.assertAlmostEqual(float(cell.get("width")),
                                       (zone["to"] - zone["from"]) * drawing.scale, delta=0.02)
        self.assertEqual(len(list(drawing.all("g", "zones"))), 1)

    def test_the_closures_that_it_hangs_on_are_numbered(self):
        gains = {c["closure"]: c["tested_gain"] for c in self.told["closures"] if c["tested_gain"] > 0}
        order = sorted(gains, key=lambda c: -gains[c])
        self.assertGreater(len(order), 1)
        first = self.draw(*self.WORDS, "--overlay", "survival", "--top", "1")
        for top, drawing in ((1, first), (10, self.drawing)):
            shown = {g.get("data-of"): int(t.text) for v in drawing.decks.values()
                     for g in drawing.all("g", "id", v)
                     for t in g.iter(f"{SVG}text") if t.text.isdigit()}
            self.assertEqual(shown, {c: i + 1 for i, c in enumerate(order[:top])})

    def test_it_says_the_index_and_that_it_is_not_the_statutory_one(self):
        index, text = self.told["index"], self.said(self.drawing)
        told = re.search(r"Index of subdivision: ([0-9.]+) as built, ([0-9.]+) as last tested\.", text)
        self.assertAlmostEqual(float(told[1]), index["as_built"], delta=6e-5)
        self.assertAlmostEqual(float(told[2]), index["as_tested"], delta=6e-5)
        self.assertRegex(text, r"As last tested her closures cost her [0-9.]+ of the index as built\.")
        self.assertIn("This is not the statutory calculation", text)
        self.assertIn("Caution:", self.drawing.text)

    def test_of_a_ship_without_tests_both_rows_are_alike(self):
        """Untested closures count as sound in the answer as last tested."""
        text = re.sub(r"<test [^>]*/>|<test [^>]*>.*?</test>", "", DEMO.read_text(encoding="utf-8"),
                      flags=re.DOTALL)
        drawing = self.draw(self.ship(text), "--loading", "departure", "--overlay", "survival")
        built, tested = self.cells(drawing, "as-built"), self.cells(drawing, "as-tested")
        self.assertEqual([c[0].text.split(": ")[1] for c in built.values()],
                         [c[0].text.split(": ")[1] for c in tested.values()])
        self.assertGreater(len(built), 3)
        self.assertIn("As last tested she survives what she does as built.", self.said(drawing))
        self.assertFalse([i for i in drawing.items() if "gives back" in i or "as last tested" in i])

    def test_what_does_not_go_with_it_is_refused(self):
        for words in (("--hazard", "air"), ("--level", "still"), ("--measure", "worth"),
                      ("--within", "3"), ("--source", "sea")):
            done = self.run_it("draw", *self.WORDS, *AS_OF, "--overlay", "survival", *words)
            self.assertEqual((done.returncode, done.stdout), (USAGE, b""), words)
            self.assertIn(b"goes with --overlay", done.stderr)


class Told(Drawn):
    """What the commands say in words is said in their drawings too."""

    VITAL = "steering,switch,shelter,emgen,bridge"  # but for the engine room

    def said(self, *words):
        done = self.run_it(*words, *AS_OF)
        return re.sub(r"\s+", " ", done.stdout.decode())

    def hold(self, *words):
        return (self.draw(*words, "--overlay", "hold"), self.answer("hold", *words)["answers"][0],
                self.said("hold", *words))

    def test_hold_warns_that_she_does_not_stay_afloat_behind_the_line(self):
        words = (*LOGGED, "--source", "engine", "--hazard", "water", "--protect", self.VITAL)
        drawing, answer, text = self.hold(*words)
        self.assertIs(answer["lines"][0]["afloat"], False)
        warning = re.search(r"WITH ALL FLOODED .*? nearer to it\.", text)[0]
        self.assertIn(warning, drawing.warnings())
        still = self.draw(*words, "--level", "still", "--overlay", "hold")
        self.assertNotIn("WITH ALL FLOODED", still.words().upper())

    def test_hold_tells_of_each_closure_how_far_it_can_be_trusted(self):
        seen = {"SHUT": 0, "FAIL": 0, "one": 0, "next": 0, "more": 0}
        vital, all_vital = ("--protect", self.VITAL), ("--protect", "engine," + self.VITAL)
        for source, more in (("engine", vital), ("engine", (*vital, "--condition", "port")),
                             ("void-aft", all_vital), ("forepeak", all_vital),
                             ("motor", ("--protect", "engine"))):
            drawing, answer, text = self.hold(*LOGGED, "--source", source, "--hazard", "air",
                                              *more)
            line, items = answer["lines"][0], drawing.items()
            for c in line["closures"]:
                row = [i for i in items
                       if re.match(f"(SHUT|keep shut) {c['closure']}: ", i)]
                self.assertEqual(len(row), 1, c)
                self.assertEqual(row[0].startswith("SHUT"), c["must_be_shut"])
                self.assertEqual("CANNOT BE TRUSTED" in row[0], c["result"] != "pass")
                self.assertIn(f"{c['result'].upper() if c['result'] == 'fail' else c['result']}",
                              row[0])
                self.assertEqual(row[0].endswith("; nothing behind it"), c["last"])
                holds = 100 - 100 * c["leak_probability"]
                if holds < 99.9:
                    percent = re.search(r"holds ([0-9.]+) ?%", row[0])
                    self.assertAlmostEqual(float(percent[1]), holds, delta=0.051)
                seen["SHUT"] += c["must_be_shut"]
                seen["FAIL"] += c["result"] == "fail"
            count = len(line["closures"])
            self.assertIn(f"{count} closure, which holds" if count == 1 else
                          f"{count} closures, which all hold", drawing.words())
            seen["one"] += count == 1
            self.assertEqual("There is no other line behind it." in drawing.words(),
                             "There is no other line behind it." in text)
            for c in answer["lines"][1]["closures"] if len(answer["lines"]) > 1 else ():
                self.assertRegex(drawing.words(), rf"The next line behind: .*\b{c['closure']}\b")
            seen["next"] += len(answer["lines"]) > 1
            seen["more"] += len(answer["lines"]) > 2
        self.assertTrue(all(seen.values()), seen)

    def test_lines_from_near_to_far_are_told_apart_by_weight_and_number(self):
        """Ring and number are those of the nearest of three lines that the closure is of."""
        weights, seen = {str(i): w for i, w in enumerate(RINGS.values())}, set()
        for words in (("--hazard", "water"), ("--hazard", "air"),
                      ("--hazard", "water", "--condition", "port", "--level", "still")):
            drawing, answer, text = self.hold(*LOGGED, "--source", "motor", *words)
            lines = answer["lines"]
            first = next(i for i, line in enumerate(lines) if line["recommended"])
            expected = {}
            for number, line in enumerate(lines[first:first + 3], 1):
                for c in line["closures"]:
                    expected.setdefault(c["closure"], (weights[str(number)], number))
            seen |= {n for _, n in expected.values()}
            rings = {}
            for view in drawing.decks.values():
                for link, m in drawing.marks(view).items():
                    for circle in m.findall(f"{SVG}circle"):
                        if circle.get("r") == "6":
                            number = re.search(r"; number (\d)", text_of(m.find(f"{SVG}title")))
                            rings[link] = (circle.get("stroke-width"), int(number[1]))
            self.assertEqual(rings, expected)
            shown = drawing.words()
            for number in range(first, first + 3):
                head = ("LINE TO HOLD", "Second line, behind it", "Third line, behind that")
                self.assertIn(f"{head[number - first]} ({number + 1} of {len(lines)}): ", shown)
                self.assertIn(f"{head[number - first]} ({number + 1} of {len(lines)}): ", text)
            given = {s for s, drawn in drawing.states().items() if drawn == {"given-up"}}
            self.assertEqual(given, set(lines[first]["given_up"]) - {"motor"})
        self.assertEqual(seen, {1, 2, 3})

    LINES = ((DEMO, "--log", DEMO_LOG, "--source", "engine", "--hazard", "water"),
             (DEMO, "--log", DEMO_LOG, "--source", "motor", "--hazard", "air"),
             (BARGE, "--source", "machinery", "--hazard", "water"))

    def three_lines(self, *words):
        drawing, answer, _ = self.hold(*words)
        first = next(i for i, line in enumerate(answer["lines"]) if line["recommended"])
        return drawing, answer["lines"][first:first + 3]

    def test_a_closure_shows_the_numbers_of_all_lines_that_it_is_of(self):
        shared = 0
        for words in self.LINES:
            drawing, lines = self.three_lines(*words)
            expected = {}
            for number, line in enumerate(lines, 1):
                for c in line["closures"]:
                    expected.setdefault(c["closure"], []).append(str(number))
            shown = {}
            for view in drawing.decks.values():
                for group in drawing.all("g", "id", view):
                    first = next(group.iter(f"{SVG}text")).text
                    if re.fullmatch("[123]( [123])*", first):
                        shown[group.get("data-of")] = first.split()
            self.assertEqual(shown, expected)
            shared += sum(len(of) > 1 for of in expected.values())
        self.assertGreater(shared, 8)

    def test_lines_run_round_all_that_each_gives_up_and_nowhere_else(self):
        """Against the outlines of the spaces themselves: a place on one of them is of the line if
        what it gives up lies on one side alone."""
        tried = {True: 0, False: 0}
        for words in self.LINES:
            drawing, lines = self.three_lines(*words)
            for view in (*drawing.decks.values(), *drawing.profiles):
                drawn = {e.get("data-line"): Seen.pieces(e.get("d")) for e in drawing.all("path", "edge", view)}
                weights = [float(re.search("stroke-width:([0-9.]+)", e.get("style"))[1])
                           for e in drawing.all("path", "edge", view)]
                self.assertEqual(weights, sorted(weights))  # the heaviest over the others
                self.assertEqual(len(set(weights)), len(weights))
                for name, line in zip(("first", "second", "third"), lines):
                    rings = [ring for g in drawing.all("g", "space", view)
                             if g.get("data-space") in line["given_up"] for ring in Seen.rings(g)]
                    self.assertEqual(bool(rings), bool(drawn.get(name)))
                    for a, b in (side for ring in rings for side in zip(ring, ring[1:] + ring[:1])):
                        for part in (0.07, 0.31, 0.59, 0.83):
                            of_line = self.parts(a, b, part, rings)
                            if of_line is None:
                                continue
                            x, y = (p + part * (q - p) for p, q in zip(a, b))
                            near = min(off(x, y, *piece) for piece in drawn[name])
                            self.assertEqual(near < 0.05, of_line, (words, view.get("data-name"), name, x, y))
                            tried[of_line] += 1
        self.assertGreater(min(tried.values()), 30, tried)

    @staticmethod
    def parts(a, b, part, rings):
        """Is what the rings have in common on one side of the place alone? None: too near to tell."""
        length = math.dist(a, b)
        if length < 3:
            return None
        x, y = (p + part * (q - p) for p, q in zip(a, b))
        nx, ny = (a[1] - b[1]) / length, (b[0] - a[0]) / length
        sides = [{any(inside([ring], x + s * far * nx, y + s * far * ny) for ring in rings)
                  for far in (0.1, 0.5)} for s in (1, -1)]
        return None if max(map(len, sides)) > 1 else sides[0] != sides[1]

    def test_no_line_to_a_label_runs_along_a_bulkhead(self):
        seen = 0
        for words in self.LINES:
            drawing, _ = self.three_lines(*words)
            for view in (*drawing.decks.values(), *drawing.profiles):
                for group in drawing.all("g", "id", view):
                    for path in group.iter(f"{SVG}path"):
                        x0, y0, x1, y1 = numbers(path.get("d"))
                        self.assertGreater(min(abs(x1 - x0), abs(y1 - y0)), 2, group.get("data-of"))
                        seen += 1
        self.assertGreater(seen, 3)

    def test_what_stands_on_no_deck_drawn_is_named_with_its_lines(self):
        words = self.LINES[0]
        _, lines = self.three_lines(*words)
        drawing = self.draw(*words, "--overlay", "hold", "--deck", "lower")
        told = text_of(next(drawing.all("g", "unseen")))
        there = set(drawing.marks(drawing.decks["Lower deck"]))
        away = {}
        for number, line in enumerate(lines, 1):
            for c in line["closures"]:
                if c["closure"] not in there:
                    away.setdefault(c["closure"], []).append(str(number))
        self.assertGreater(len(away), 5)
        for closure, of in away.items():
            self.assertIn(f"{closure} keep shut ({' '.join(of)})", told)
        for closure in there:
            self.assertNotIn(f"{closure} keep", told)
        whole = self.draw(*words, "--overlay", "hold")
        self.assertEqual(text_of(next(whole.all("g", "unseen"))).strip(), "")

    def test_numbers_of_spaces_do_not_look_like_those_of_lines(self):
        drawing, _ = self.three_lines(*self.LINES[0])
        slanting = [t.text for e in drawing.root.iter(f"{SVG}g") if e.get("font-style") == "italic"
                    for t in e.iter(f"{SVG}text")]
        alone = [t for g in drawing.all("g", "name") for t in g.iter(f"{SVG}text") if t.text.isdigit()]
        self.assertGreater(len(alone), 3)
        self.assertEqual(slanting, [t.text for t in alone])
        self.assertFalse([t.text for t in alone if t.get("font-weight")])

    def test_hold_tells_the_ways_as_the_text_does(self):
        for words in (("engine", "--hazard", "air"), ("engine", "--hazard", "water"),
                      ("lobby", "--hazard", "air")):
            vital = self.VITAL if words[0] == "engine" else "engine," + self.VITAL
            drawing, answer, text = self.hold(*LOGGED, "--protect", vital, "--source", *words)
            shown = drawing.words()
            way = re.search(r"Weakest way through: (.*?);", text)[1]
            self.assertIn(f"Weakest way through: {way};", shown)
            lost = re.findall(r"NO LINE can keep .*?\.(?= NO LINE| Line)", text)
            self.assertEqual(len(lost), len(answer["lost"]))
            for sentence in lost:
                self.assertIn(sentence, drawing.warnings())
            by = {s["by"] for lost in answer["lost"] for s in lost["way"]["steps"]}
            arrows = {p.get("data-way") for kind in ("way", "rise") for p in drawing.all("path", kind)}
            self.assertLessEqual(by | {s["by"] for s in answer["weakest_way"]["steps"]}, arrows)

    def test_hold_without_a_way_sends_to_look_for_one(self):
        cut = re.sub(r"<closure id=\"D1\".*?</closure>\n", "", SMALL, flags=re.S)
        drawing, answer, text = self.hold(self.ship(cut), "--source", "aft", "--protect", "fore",
                                          "--hazard", "air")
        self.assertEqual((answer["lines"], answer["lost"]), ([], []))
        sentence = re.search(r"No way is recorded .*? not recorded\.", text)[0]
        self.assertIn("Look for those that are not recorded", sentence)
        self.assertIn(sentence, drawing.words())

    def test_ways_through_decks_are_marked_on_the_plans(self):
        drawing, answer, _ = self.hold(*LOGGED, "--source", "engine", "--hazard", "air")
        rising = {}
        for by in (s["by"] for s in answer["weakest_way"]["steps"]):
            element = next(e for e in ElementTree.parse(DEMO).iter() if e.get("id") == by)
            clear = next(e for e in element if e.tag.endswith("clear"))
            if clear.get("lies") == "deck":
                rising[by] = "up"  # this way leads from the engine room to the bridge
        self.assertGreaterEqual(len(rising), 2)
        drawn = {p.get("data-way"): p.get("data-rise") for v in drawing.decks.values()
                 for p in drawing.all("path", "rise", v)}
        self.assertEqual(drawn, rising)
        for by in rising:
            labels = [text_of(g) for v in drawing.decks.values() for g in drawing.all("g", "id", v)
                      if g.get("data-of") == by]
            self.assertEqual(len(labels), 1)
            self.assertTrue(labels[0].endswith("(up)"), labels)
        self.assertIn("up through a deck", text_of(next(drawing.all("g", "legend"))))

    def test_up_and_down_are_as_the_spaces_lie(self):
        """Bad air through the motor room's hatch, from each side; z by the arrangement."""
        for source, into, word, sign in (("workshop", "motor", "down", 1),
                                         ("motor", "workshop", "up", -1)):
            drawing = self.draw(*LOGGED, "--overlay", "expose", "--closure", "H2", "--hazard",
                                "air", "--source", source)
            row = next(r for r in self.answer("expose", *LOGGED, "H2", "--hazard", "air")
                       ["results"] if r["source"] == source)
            self.assertEqual(dict(zip(row["exposed"], row["by"]))[into], "H2")
            drawn = {p.get("data-way"): p.get("data-rise") for p in drawing.all("path", "rise")}
            self.assertEqual(drawn["H2"], word)
            arrow = next(numbers(p.get("d")) for p in drawing.all("path", "way",
                                                                  drawing.profiles[0])
                         if p.get("data-way") == "H2")
            self.assertGreater(sign * (arrow[3] - arrow[1]), 0)

    def test_expose_says_whether_the_closure_makes_the_difference(self):
        words = (BARGE, "--overlay", "expose", "--closure", "D2", "--hazard", "water")
        rows = self.answer("expose", BARGE, "D2", "--hazard", "water")["results"]
        self.assertEqual({r["source"]: sinks(r) for r in rows if r["level"] is None},
                         {"hold-aft": True, "hold-fwd": False})
        aft = self.draw(*words, "--source", "hold-aft").warnings()
        fwd = self.draw(*words, "--source", "hold-fwd").warnings()
        self.assertIn("SHE DOES NOT STAY AFLOAT in this case, and would if it held.", aft)
        self.assertIn("SHE DOES NOT STAY AFLOAT in this case, whether it holds or not.", fwd)
        self.assertRegex(aft[1], r"either with water in hold-fwd \([^()]*\), whether it holds or not;")
        self.assertRegex(fwd[1], r"either with water in hold-aft \([^()]*\), and would if it held;")
        self.assertEqual((len(aft), len(fwd)), (2, 2))
        dry = self.draw(BARGE, "--overlay", "expose", "--closure", "H2", "--source",
                        "weather").warnings()
        self.assertEqual(len(dry), 1)  # of air: in what is drawn she is not lost
        self.assertRegex(dry[0], r"\ASHE DOES NOT STAY AFLOAT with water in hold-fwd ")

    def test_rank_names_what_she_does_not_survive(self):
        text = self.said("rank", *LOGGED)
        sentence = re.search(r"She does not stay afloat in some scenario .*?(?= To make)", text)[0]
        drawing = self.draw(*LOGGED, "--overlay", "rank")
        self.assertEqual(drawing.warnings(), [sentence + "."])
        self.assertNotIn("No closure loses anything", drawing.words())
        none = self.draw(self.ship(SMALL), "--overlay", "rank", "--level", "still", "--measure",
                         "people")
        self.assertIn("No closure loses anything by this measure", none.words())
        self.assertEqual(none.warnings(), [])

    def crowded_ship(self, count):
        """Closures at one place of the bulkhead, one over the other."""
        return self.ship(SMALL.replace("<passage", "".join(
            f'<closure id="valve-{i:03}" kind="valve" between="fore mid" rating="watertight">'
            f'<clear x="20" y="{3 - i * 0.02}" z="1" width="0.1" height="0.1" lies="transverse"/>'
            '</closure>' for i in range(count)) + "<passage", 1))

    def test_no_label_is_dropped_in_silence(self):
        for count in (20, 150):
            ship = self.crowded_ship(count)
            for words in ((), ("--overlay", "due")):
                drawing = self.draw(ship, "--width", "90", *words)
                listed = [i for g in drawing.all("g", "no-room") for i in
                          (text_of(t) for t in g.iter(f"{SVG}text"))]
                for view in (*drawing.decks.values(), *drawing.profiles):
                    for group in drawing.all("g", "id", view):
                        if not text_of(group).strip():
                            self.assertTrue(any(i.startswith(group.get("data-of")) and
                                                view.get("data-name")[:7] in i for i in listed),
                                            group.get("data-of"))
                if count == 150 and not words:
                    self.assertRegex(listed[0], "No room for the ids of [0-9]+ closures")

    def test_due_lists_its_tests(self):
        rows = self.answer("due", *LOGGED, "--within", "30")["tests"]
        items = self.draw(*LOGGED, "--overlay", "due").items()
        for row in rows:
            days = ("never done" if row["late"] is None else "today" if not row["late"] else
                    f"{row['late']} d over" if row["late"] > 0 else f"in {-row['late']} d")
            self.assertIn(f"{row['closure']} {row['method']}: {days}", items)

    def test_a_list_that_is_cut_says_so(self):
        ship = self.crowded_ship(230)
        count = len(self.answer("due", ship, "--within", "30")["tests"])
        items = self.draw(ship, "--overlay", "due").items()
        self.assertGreater(count, 200)
        self.assertIn(f"and {count - 200} more", items)

    def test_marks_and_labels_keep_off_the_headings_of_plans(self):
        for words in ((), ("--overlay", "due")):
            drawing = self.draw(self.crowded_ship(60), "--width", "120", *words)
            tops = []
            for heading in (e for e in drawing.root.iter(f"{SVG}text")
                            if e.get("class") == "deck-name"):
                tops.append((float(heading.get("y")) - 8, float(heading.get("y")) + 1.5))
            places = [(glyph_place(m)[1], 4) for v in (*drawing.decks.values(), *drawing.profiles)
                      for m in drawing.marks(v).values() if m.get("class") == "closure"]
            self.assertGreater(len(places), 12)
            for y, half in places:
                for top, bottom in tops:
                    self.assertFalse(y - half < bottom and top < y + half, (y, top, bottom))


def hostile_ship():
    spaces, closures = [], []
    for i, (space, name) in enumerate(HOSTILE.items()):
        shown = (name.replace("&", "&amp;").replace("<", "&lt;").replace('"', "&quot;"))
        spaces.append(f'<space id="{space}" name="{shown}"><box x="{i * 6} {i * 6 + 6}" y="-4 4" '
                      'z="0 3"/></space>')
        if i:
            closures.append(
                f'<closure id="K{i}" name="{shown}" kind="door" between="{chr(96 + i)} {space}" '
                f'rating="watertight"><clear x="{i * 6}" y="0" z="0.3" width="0.8" height="1.8" '
                'lies="transverse"/></closure>')
    name = HOSTILE["a"].replace("<", "&lt;")
    return (f'<arrangement xmlns="{SHIP_NS}" name="{name}"><ship length="48" beam="8" depth="3" '
            f'draft="1"/><deck id="k" name="&lt;/text&gt;&lt;script&gt;" z="0"/>'
            + "".join(spaces) + "".join(closures) + "</arrangement>\n")


class Hostile(Drawn):
    def shown(self, name):
        return name.replace("\u202e", "<U+202E>").replace("\u202c", "<U+202C>")

    def test_names_are_text_and_nothing_else(self):
        path = self.ship(hostile_ship())
        drawing = self.draw(path)
        titles = {e.get("data-space"): text_of(e.find(f"{SVG}title"))
                  for e in drawing.all("g", "space")}
        for space, name in HOSTILE.items():
            self.assertEqual(titles[space], f"{space} {self.shown(name)}")
        tags = {e.tag for e in drawing.root.iter()}
        self.assertLessEqual(tags, {SVG + t for t in (
            "svg", "title", "desc", "defs", "pattern", "path", "rect", "circle", "g", "text")})

    def test_nothing_runs_and_nothing_is_fetched(self):
        for drawing in (self.draw(self.ship(hostile_ship())), self.draw(DEMO)):
            for e in drawing.root.iter():
                for name, value in e.attrib.items():
                    self.assertFalse(name.startswith("on") or name.endswith("href"), name)
                    if "url(" in value:
                        self.assertRegex(value, r"^url\(#c-[a-z-]+\)$")

    def test_every_name_stands_in_the_drawing_whole_or_in_the_key(self):
        drawing = self.draw(self.ship(hostile_ship()))
        words = "".join(t.text for t in drawing.root.iter(f"{SVG}text"))
        joined = re.sub(r"\s", "", words)
        for name in HOSTILE.values():
            self.assertIn(re.sub(r"\s", "", self.shown(name)), joined)

    def test_places_far_off_do_no_harm(self):
        far = (f'<arrangement xmlns="{SHIP_NS}" name="Far"><ship length="48" beam="8" depth="3" '
               'draft="1"/><space id="a" name="A"><box x="0 900000" y="-900000 5" z="0 3"/></space>'
               '<space id="b" name="B"><box x="0 0.001" y="0 0.001" z="0 0.001"/></space>'
               '</arrangement>')
        drawing = Drawing(self.run_it("draw", self.ship(far), *AS_OF).stdout.decode())
        height = float(drawing.root.get("viewBox").split()[3])
        self.assertLess(height, 8000)
        self.assertEqual(sorted(drawing.spaces(drawing.decks["All spaces"])), ["a", "b"])


if __name__ == "__main__":
    unittest.main()
