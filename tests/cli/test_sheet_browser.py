#!/usr/bin/python3
"""Sheets on paper: Chromium prints them, and each is one page of A4 with all of its text on it, also
with names of 200 letters, every door open and hundreds of spaces.

Needs Python 3.11, chromium, pdfinfo and pdftotext (poppler-utils).
Environment: COAMING, COAMING_ROOT. The ships here are invented.
"""

import html
import re
import subprocess
import sys
import tempfile
import unittest

sys.dont_write_bytecode = True  # leaves no files behind
from harness import AS_OF, BARGE, LOGGED, SHIP_NS, Case  # noqa: E402
from test_draw import hostile_ship  # noqa: E402
from test_draw_browser import CHROMIUM  # noqa: E402


class Printed(Case):
    def printed(self, *words):
        """What stands on each page of paper, and how many sheets there are."""
        done = self.run_it("casualty", *words, "--format", "html", *AS_OF)
        self.assertEqual(done.returncode, 0, done.stderr)
        self.write("sheets.html", done.stdout)
        paper = self.folder / "sheets.pdf"
        with tempfile.TemporaryDirectory(prefix="coaming-browser-") as folder:
            shown = subprocess.run([*CHROMIUM, f"--user-data-dir={folder}/profile", "--no-pdf-header-footer",
                                    f"--print-to-pdf={paper}", (self.folder / "sheets.html").as_uri()],
                                   stdout=subprocess.PIPE, stderr=subprocess.PIPE, timeout=600, check=False)
        self.assertEqual([line for line in shown.stderr.decode(errors="replace").split("\n") if "CONSOLE" in line], [])
        told = subprocess.run(["pdfinfo", paper], stdout=subprocess.PIPE, check=True).stdout.decode()
        self.assertIn("(A4)", re.search(r"Page size:.*", told)[0])
        text = subprocess.run(["pdftotext", "-raw", paper, "-"], stdout=subprocess.PIPE, check=True).stdout.decode()
        pages = text.split("\f")[:-1]
        self.assertEqual(len(pages), int(re.search(r"Pages:\s+(\d+)", told)[1]))
        return pages, done.stdout.decode().split('<section class="sheet">')[1:]

    def check(self, *words):
        pages, sheets = self.printed(*words)
        self.assertEqual(len(pages), len(sheets), words)
        for number, (page, sheet) in enumerate(zip(pages, sheets), 1):
            flat = re.sub(r"\s+", "", page)
            self.assertIn(f"Sheet{number}of{len(sheets)}.", flat)
            # the last words of each block, and of the foot below them, are on the page
            blocks = re.findall(r'<p class="(?:text|strong|detail|post|caution)">(.*?)</p>', sheet)
            self.assertGreater(len(blocks), 4)
            for block in blocks:
                words = re.sub(r"\s+", "", html.unescape(re.sub(r"<[^>]*>", "", block)).replace("\u00a0", ""))
                if words.isascii():
                    self.assertIn(words[-30:].replace("-", ""), flat.replace("-", ""))
            self.check_nothing_lies_over_another(number)
        return len(pages)

    def check_nothing_lies_over_another(self, number):
        """By the printer's own places: the foot begins below all that stands in the columns."""
        told = subprocess.run(["pdftotext", "-bbox-layout", "-f", str(number), "-l", str(number),
                               self.folder / "sheets.pdf", "-"], stdout=subprocess.PIPE, check=True).stdout.decode()
        lines = [(float(y), " ".join(re.findall(r">([^<\s]+)</word>", words))) for y, words in
                 re.findall(r'<line xMin="[^"]*" yMin="([^"]*)"[^>]*>(.*?)</line>', told, re.S)]
        foot = min(y for y, words in lines if words.startswith("Worked out from"))
        self.assertGreater(foot, 600)
        self.assertTrue(all(y < 841.9 - 28 for y, _ in lines))
        above = [y for y, words in lines if re.match(r"(Third line|With that she|As the doors)", words)]
        self.assertTrue(all(y < foot - 8 for y in above), number)

    def test_each_sheet_of_the_demo_and_the_barge_is_one_page(self):
        self.assertEqual(self.check(*LOGGED), 17)
        self.assertEqual(self.check(*LOGGED, "--condition", "port"), 17)
        self.assertEqual(self.check(BARGE, "--condition", "working"), 1)

    def test_many_places_and_all_doors_open_are_one_page(self):
        for words in (("--source", "engine,aux,motor,thruster,lobby", "--condition", "port"), ("--source", "sea"),
                      ("--source", "weather"), ("--source", "bridge", "--hazard", "air"),
                      ("--source", "engine", "--open", "D2,D7,D10,D11,D13,M2,H2,C2", "--failed", "M3,D1")):
            self.assertEqual(self.check(*LOGGED, *words), 1)

    def test_long_names_and_hundreds_of_spaces_are_one_page(self):
        self.write("hostile.xml", hostile_ship())
        self.assertEqual(self.check("hostile.xml", "--source", "f,c", "--level", "2"), 1)
        self.write("big.xml", self.big())
        self.assertEqual(self.check("big.xml", "--condition", "port", "--level", "4"), 8)

    @staticmethod
    def big():
        """300 spaces with long names and ids, most doors open, many failed; eight of them vital."""
        lines, links = [f'<arrangement xmlns="{SHIP_NS}" name="{"Drawn " * 12}"><ship length="120" beam="12" depth="13" '
                        'draft="5"/><condition id="sea" name="At sea"/><condition id="port" name="In port"/>'], []
        box = {(x, y, z): f"space-with-a-long-id-{x}-{y}-{z}" for x in range(20) for z in range(5) for y in range(3)}
        for k, ((x, y, z), name) in enumerate(box.items()):
            vital = ' vital="yes"' * (k % 40 == 7)
            lines.append(f'<space id="{name}" name="{"Wide and very long name of a space " * 2}{k}" people="1"{vital}><box '
                         f'x="{6 * x} {6 * x + 6}" y="{4 * y - 6} {4 * y - 2}" z="{2.6 * z} {2.6 * z + 2.6}"/></space>')
            links += [(name, box[to]) for to in ((x + 1, y, z), (x, y + 1, z), (x, y, z + 1)) if to in box]
        for k, (a, b) in enumerate(links):
            test = f'<test date="2026-0{1 + k % 9}-01" method="chalk" result="{"fail" if k % 5 == 4 else "pass"}"/>'
            lines.append(f'<closure id="closure-{k}" kind="door" between="{a} {b}" rating="watertight" '
                         f'shut-in="sea{" port" if k % 2 else ""}">{test * (k % 7 > 0)}</closure>')
        return "".join(lines) + "</arrangement>"


if __name__ == "__main__":
    unittest.main()
