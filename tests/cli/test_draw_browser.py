#!/usr/bin/python3
"""Drawings in a browser: no errors, hostile names as text, labels apart by the browser's own
measure, and colours at places that are worked out from the arrangement.

A page that holds the drawing measures it with a script of the page's own and leaves what it found in
the document, which Chromium writes out (--dump-dom). Screenshots are compared with a raster of the
arrangement's own outlines that this test makes; nothing is compared with a stored picture.

Needs Python 3.11, chromium, xmllint.
Environment: COAMING, the program; COAMING_ROOT, the source tree. The ships here are invented.
"""

import html
import itertools
import json
import re
import struct
import subprocess
import tempfile
import types
import unittest
import zlib

from ship_geometry import Ship, inside
from harness import AS_OF, BARGE, DEMO, DEMO_LOG, SMALL
from test_draw import HOSTILE, Drawn, hostile_ship

CHROMIUM = ("/usr/bin/chromium", "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic",
            "--no-first-run", "--disable-background-networking", "--disable-component-update",
            "--disable-sync", "--hide-scrollbars", "--force-device-scale-factor=1",
            "--enable-logging=stderr", "--v=0")
OVERLAYS = {"none": (), "due": ("--overlay", "due"),
            "rank": ("--overlay", "rank", "--level", "still"),
            "expose": ("--overlay", "expose", "--closure", "D1", "--hazard", "air"),
            "hold": ("--overlay", "hold", "--source", "aux", "--hazard", "air")}
# Inserted into the page after the drawing; writes what it measures as text.
MEASURE = """<script>
const found = [];
for (const view of document.querySelectorAll('svg > g.deck, svg > g.profile'))
  for (const g of view.querySelectorAll('g.name, g.id'))
    for (const t of g.querySelectorAll('text')) {
      const b = t.getBoundingClientRect();
      found.push([view.dataset.name, g.dataset.of, g.getAttribute('class'), t.textContent,
                  b.left, b.top, b.right, b.bottom]);
    }
const all = [];
for (const t of document.querySelectorAll('svg text')) {
  let page = t.ownerSVGElement;
  while (page.ownerSVGElement)
    page = page.ownerSVGElement;
  const edge = page.getBoundingClientRect();
  const b = t.getBoundingClientRect();
  all.push([t.textContent, b.left - edge.left, edge.right - b.right, b.top - edge.top,
            edge.bottom - b.bottom]);
}
const out = document.createElement('pre');
out.id = 'measured';
out.textContent = JSON.stringify({found, all, title: document.title,
                                  scripts: document.querySelectorAll('svg script').length});
document.body.append(out);
</script>"""


def png_pixels(data):
    """Rows of (red, green, blue) of a PNG of 8 bits, not interlaced, as Chromium writes it
    (Portable Network Graphics specification, second edition, clauses 5, 7 and 9)."""
    at, packed = 8, b""
    while at < len(data):
        length, kind = struct.unpack(">I4s", data[at:at + 8])
        if kind == b"IHDR":
            width, height, bits, colour, _, _, interlaced = struct.unpack(
                ">IIBBBBB", data[at + 8:at + 21])
            assert bits == 8 and colour in (2, 6) and not interlaced
        elif kind == b"IDAT":
            packed += data[at + 8:at + 8 + length]
        at += 12 + length
    size = 3 if colour == 2 else 4
    raw, rows, before = zlib.decompress(packed), [], bytes(width * size)
    for y in range(height):
        start = y * (width * size + 1)
        before = unfilter(raw[start], bytearray(raw[start + 1:start + 1 + width * size]), before, size)
        rows.append([tuple(before[x:x + 3]) for x in range(0, width * size, size)])
    return rows


def unfilter(kind, line, before, size):
    for i, value in enumerate(line):
        a = line[i - size] if i >= size else 0
        b, c = before[i], before[i - size] if i >= size else 0
        if kind == 1:
            add = a
        elif kind == 2:
            add = b
        elif kind == 3:
            add = (a + b) // 2
        elif kind == 4:
            p = a + b - c
            add = min((abs(p - a), 0, a), (abs(p - b), 1, b), (abs(p - c), 2, c))[2]
        else:
            add = 0
        line[i] = (value + add) & 255
    return bytes(line)


def rgb(hexed):
    return tuple(int(hexed[i:i + 2], 16) for i in (1, 3, 5))


class Browsed(Drawn):
    def browse(self, page, *words):
        """Loads a page; returns what is written out. Complains of any console message."""
        with tempfile.TemporaryDirectory(prefix="coaming-browser-") as folder:
            done = subprocess.run([*CHROMIUM, f"--user-data-dir={folder}/profile", *words,
                                   (self.folder / page).as_uri()], stdout=subprocess.PIPE,
                                  stderr=subprocess.PIPE, timeout=600, check=False)
        console = [line for line in done.stderr.decode(errors="replace").split("\n")
                   if "CONSOLE" in line]
        self.assertEqual(console, [])
        self.assertEqual(done.returncode, 0)
        return done.stdout.decode("utf-8")

    def measured(self, drawing):
        body = drawing.text.split("?>", 1)[1] if drawing.text.startswith("<?xml") else drawing.text
        self.write("page.html", "<!DOCTYPE html><html><head><meta charset='utf-8'><title>kept</title>"
                   f"</head><body>{body}{MEASURE}</body></html>")
        dumped = self.browse("page.html", "--dump-dom")
        return json.loads(html.unescape(re.search(r'<pre id="measured">(.*?)</pre>', dumped, re.S)[1]))

    def shot(self, drawing, width):
        """A screenshot of the SVG itself, and pixels a point."""
        _, _, w, h = map(float, drawing.root.get("viewBox").split())
        height = round(width * h / w)
        text = re.sub(r'width="[0-9.]+mm" height="[0-9.]+mm"', f'width="{width}" height="{height}"',
                      drawing.text, count=1)
        self.write("drawing.svg", text)
        picture = self.folder / "shot.png"
        self.browse("drawing.svg", f"--screenshot={picture}", f"--window-size={width},{height}")
        return png_pixels(picture.read_bytes()), width / w


class Console(Browsed):
    def test_a_console_message_would_be_seen(self):
        self.write("bad.html", "<script>console.error('seen')</script>")
        with self.assertRaises(AssertionError):
            self.browse("bad.html", "--dump-dom")

    def test_every_overlay_parses_with_libxml2_and_loads_without_a_word(self):
        for name, words in OVERLAYS.items():
            drawing = self.draw(DEMO, "--log", DEMO_LOG, *words)
            self.write(f"{name}.svg", drawing.text)
            subprocess.run(["xmllint", "--noout", "--nonet", f"{name}.svg"], cwd=self.folder,
                           check=True)
            dumped = self.browse(f"{name}.svg", "--dump-dom")
            self.assertIn("Fathom Lark", dumped)
            self.assertNotIn("parsererror", dumped)


class Measured(Browsed):
    def test_labels_do_not_overlap_by_the_browser_s_measure(self):
        for words in OVERLAYS.values():
            told = self.measured(self.draw(DEMO, "--log", DEMO_LOG, *words))
            self.assertGreater(len(told["found"]), 150)
            by_view = {}
            for view, of, kind, text, *box in told["found"]:
                by_view.setdefault(view, []).append(((kind, of), text, box))
            for view, labels in by_view.items():
                for (a, s, p), (b, t, q) in itertools.combinations(labels, 2):
                    # a line's box is taller than its letters by a fifth at each end
                    thin = [(x0, y0 + 0.22 * (y1 - y0), x1, y1 - 0.22 * (y1 - y0))
                            for x0, y0, x1, y1 in (p, q)]
                    apart = (thin[0][2] <= thin[1][0] + 0.5 or thin[1][2] <= thin[0][0] + 0.5 or
                             thin[0][3] <= thin[1][1] + 0.5 or thin[1][3] <= thin[0][1] + 0.5)
                    self.assertTrue(apart or a == b, (words, view, s, t))

    def test_no_text_leaves_the_page(self):
        for ship, words in ((DEMO, ()), (BARGE, ()), (DEMO, ("--width", "100", "--compact")),
                            (DEMO, ("--width", "190", "--overlay", "expose", "--closure", "D1"))):
            for text, *gaps in self.measured(self.draw(ship, *words))["all"]:
                self.assertGreaterEqual(min(gaps), -0.5, (words, text))

    def test_no_text_leaves_a_page_of_what_goes_on_in_time(self):
        """Also where ids are as long as they may be, which stand beside lines, marks and plans."""
        self.write("long.xml", re.sub(r'(id|between|deck|shut-in)="([^"]*)"', lambda m: f'{m[1]}="' + " ".join(
            w if w in ("sea", "weather") else w + "-" + "Wm" * 30 for w in m[2].split()) + '"',
            SMALL.replace('draft="2"', 'draft="2" kg="2"')))
        fore, aft = (f"{w}-" + "Wm" * 30 for w in ("fore", "aft"))
        for ship, *words in ((DEMO, "flood", "--breach", "engine:0.5,motor:0.5,aux:0.5"),
                             (DEMO, "air", "--source", "aux:0.05g/s:cl2", "--source", "aux:30g/s:co2", "--until", "3h"),
                             ("long.xml", "flood", "--breach", f"{fore}:0.05,{aft}:0.05"),
                             ("long.xml", "air", "--source", f"{aft}:2g/s:co", "--limit", "co:" + "0" * 25 + "200ppm")):
            text = self.good(words[0], ship, *words[1:], *AS_OF, "--format", "svg")
            self.inside(words, text)
        report = self.good("report", "long.xml", *AS_OF, "--breach", f"{fore}:0.05", "--source", f"{aft}:2g/s:co")
        for section in ("water", "air"):
            body = re.search(rf'<section aria-labelledby="{section}">.*?</section>', report, re.S)[0]
            self.assertIn('class="plot"', body)
            self.inside(section, body)

    def inside(self, words, text):
        """Every text of a page lies within its own drawing."""
        told = self.measured(types.SimpleNamespace(text=text))["all"]
        self.assertGreater(len(told), 50)
        for of, *gaps in told:
            self.assertGreaterEqual(min(gaps), -0.5, (words, of))

    def test_hostile_names_are_shown_as_text(self):
        drawing = self.draw(self.ship(hostile_ship()))
        told = self.measured(drawing)
        self.assertEqual((told["title"], told["scripts"]), ("kept", 0))
        shown = re.sub(r"\s", "", "".join(row[0] for row in told["all"]))
        for name in HOSTILE.values():
            plain = name.replace("\u202e", "<U+202E>").replace("\u202c", "<U+202C>")
            self.assertIn(re.sub(r"\s", "", plain), shown)
        for text, *gaps in told["all"]:
            self.assertGreaterEqual(min(gaps), -0.5, text)


class Pixels(Browsed):
    FILLS = {"plain": "#f6f4ee", "source": "#eab33f", "water": "#9ecbee", "air": "#cfa2ce",
             "perhaps": "#fdfdfb"}
    NEAR = 12  # of 255: antialiasing
    # The barge's sea valve is proved here: untested, it might have let the sea into the after half
    # before the door is asked about, and nothing of it would be that door's.
    LOG = ('<test-log xmlns="urn:coaming:test-log:1" arrangement="Learning barge"><test closure="V1" '
           'date="2026-05-13" method="air" result="pass"/></test-log>')

    def four_states(self):
        """Drawn with water in the forward hold: source, reached, perhaps reached, and neither."""
        log = self.folder / "valve.xml"
        log.write_text(self.LOG)
        return self.draw(BARGE, "--log", log, "--overlay", "expose", "--closure", "D2", "--hazard",
                         "water", "--source", "hold-fwd", "--level", "still", "--deck", "bottom")

    def test_spaces_have_their_colours_where_the_arrangement_has_them(self):
        """Of the pixels that by the arrangement lie well inside one space, nearly all that are not
        ink have the colour of its state; outside all spaces they are paper."""
        ship = Ship(BARGE)
        drawing = self.four_states()
        rows, points = self.shot(drawing, 1400)
        view = drawing.decks["Bottom"]
        states = {k: next(iter(v)) for k, v in drawing.states().items()}
        self.assertEqual(set(states.values()), {"plain", "source", "water", "perhaps"})
        for space in ship.spaces:
            outline = [drawing.place(view, *p) for p in ship.spaces[space][0][0]]
            (x0, x1), (y0, y1) = ((min(v), max(v)) for v in zip(*outline))
            wanted, hits, total = rgb(self.FILLS[states[space]]), 0, 0
            for i, j in itertools.product(range(1, 40), repeat=2):
                pixel = rows[round((y0 + j / 40 * (y1 - y0)) * points)][
                    round((x0 + i / 40 * (x1 - x0)) * points)]
                total += 1
                hits += max(abs(a - b) for a, b in zip(pixel, wanted)) <= self.NEAR
            self.assertGreater(hits / total, 0.6, space)

    def test_the_hull_of_the_demo_covers_what_the_arrangement_says(self):
        """Raster of the plan against the outlines themselves, pixel by pixel on a grid."""
        ship, drawing = Ship(DEMO), self.draw(DEMO, "--deck", "lower")
        rows, points = self.shot(drawing, 1400)
        view, (_, low, high) = drawing.decks["Lower deck"], ship.slabs()[2]
        outlines = [[drawing.place(view, *p) for p in o]
                    for s in ship.spaces for o in ship.on(s, low, high)]
        paper, fill, total = (255, 255, 255), rgb(self.FILLS["plain"]), 0
        wrong = {True: 0, False: 0}
        for i, j in itertools.product(range(120), range(40)):
            x, y = drawing.place(view, i * 58 / 120 + 0.2, j * 11.2 / 40 - 5.5)
            pixel = rows[round(y * points)][round(x * points)]
            if pixel not in (paper, fill):
                continue  # ink
            total += 1
            wrong[pixel == fill] += (pixel == fill) != inside(outlines, x, y)
        self.assertGreater(total, 3000)
        self.assertLess(wrong[True] / total, 0.002)  # filled beyond the spaces: rounding
        self.assertLess(wrong[False] / total, 0.05)  # paper in a space: the halos of labels

    def test_states_are_told_apart_in_grey(self):
        """Printed without colour, the states of the barge still differ: by hatch or by shade."""
        drawing = self.four_states()
        rows, points = self.shot(drawing, 1400)
        view, ship, looks = drawing.decks["Bottom"], Ship(BARGE), {}
        for space, states in drawing.states().items():
            outline = [drawing.place(view, *p) for p in ship.spaces[space][0][0]]
            x0, y0 = min(p[0] for p in outline) + 8, min(p[1] for p in outline) + 8
            greys = [0.2126 * r + 0.7152 * g + 0.0722 * b
                     for j in range(60) for i in range(60)
                     for r, g, b in [rows[round(y0 * points) + j][round(x0 * points) + i]]]
            mean = sum(greys) / len(greys)
            spread = (sum((g - mean) ** 2 for g in greys) / len(greys)) ** 0.5
            looks.setdefault(next(iter(states)), (mean, spread))
        for (a, p), (b, q) in itertools.combinations(looks.items(), 2):
            self.assertGreater(abs(p[0] - q[0]) + abs(p[1] - q[1]), 8, (a, b, p, q))


if __name__ == "__main__":
    unittest.main()
