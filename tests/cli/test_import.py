#!/usr/bin/python3
"""`coaming import` and the lists that `coaming export --format csv` writes.

What cannot be placed ends with exit status 1, a line for each reason, and the rest written; what
makes a list unreadable with 3 and nothing written. Whatever is written loads. Boxes from numbers are
worked out by hand below, before the program is asked.

Needs Python 3.11, its standard library only.
Environment: COAMING, the program; COAMING_ROOT, the source tree. The ships here are invented.
"""

import csv
import io
import json
import os
import random
import re
import sys
import unittest
import xml.etree.ElementTree as ET
from pathlib import Path

sys.dont_write_bytecode = True
sys.path.insert(0, str(Path(__file__).parent))
import oracle_networkx  # noqa: E402  its random ships

from harness import (AS_OF, DONE, EXAMPLES, FOUND, INPUT, MACHINE, USAGE, WHOLE,  # noqa: E402
                     Folder)

NS = "{urn:coaming:arrangement:1}"
PARTICULARS = ("--name", "Test ship", "--size", "40x8x5", "--draft", "2", "--kg", "3")
DECKS = ("--deck", "3:tanktop:0", "--deck", "2:lower:1.5:Lower deck", "--deck", "1:main:5")
FRAMES = ("--frames", "0.5:2")

SPACES = """id,name,number,deck,use,shell,people,x0,x1,y0,y1,z0,z1
aft,After space,2-36-0-E,lower,machinery,yes,2,0,20,-4,4,1.5,5
fore,Fore space,2-76-0-A,lower,stores,yes,0,20,40,-4,4,1.5,5
"""
CLOSURES = """id,name,kind,from,to,rating,x,y,z,width,height,lies
D1,Door,door,aft,fore,watertight,20,0,2,0.7,1.7,transverse
H1,Hatch,hatch,fore,weather,weathertight,30,0,5.5,1,1,deck
"""


class Case(Folder):
    def asks(self, spaces, closures, options=(), passages=None, particulars=PARTICULARS, **more):
        words = ["import", "--spaces", self.write("s.csv", spaces),
                 "--closures", self.write("c.csv", closures)]
        if passages is not None:
            words += ["--passages", self.write("p.csv", passages)]
        for name, text in more.items():
            words += ["--" + name, self.write(name + ".csv", text)]
        return self.run_it(*words, *particulars, *AS_OF, *options)

    def told(self, done):
        """The faults on standard error, and the lines of the program itself."""
        lines = done.stderr.decode("utf-8").splitlines()
        return ([line for line in lines if not line.startswith("coaming: ")],
                [line for line in lines if line.startswith("coaming: ")])

    def imports(self, status, spaces=SPACES, closures=CLOSURES, options=DECKS, passages=None, **more):
        """(root, faults): the arrangement, which must load, and what was told."""
        done = self.asks(spaces, closures, options, passages, **more)
        faults, _ = self.told(done)
        self.assertEqual(done.returncode, status, done.stderr.decode())
        self.assertEqual(status == FOUND, any(re.search(": not placed: |: without its |tests are not read", fault)
                                              for fault in faults), faults)
        self.loads(done.stdout)
        return ET.fromstring(done.stdout), faults

    def loads(self, text):
        check = self.run_it("check", "-", *AS_OF, input=text)
        self.assertEqual(check.returncode, DONE, check.stderr.decode())

    def refused(self, spaces, closures, options=DECKS, says=()):
        """The errors of lists that cannot be used; nothing may be written."""
        done = self.asks(spaces, closures, (*options, "-o", "out.xml"))
        self.assertEqual((done.returncode, done.stdout), (INPUT, b""), done.stderr.decode())
        self.assertEqual(sorted(p.name for p in self.folder.iterdir()), ["c.csv", "s.csv"])
        errors = "\n".join(line for line in self.told(done)[0] if ": error: " in line)
        for word in says:
            self.assertIn(word, errors)
        return errors

    def ids(self, root, kind):
        return [e.get("id") for e in root.iter(NS + kind)]

    def one(self, root, ident):
        return next(e for e in root.iter() if e.get("id") == ident)


def metres(word, spacing=0.5, zero=2):
    match = re.fullmatch(r"fr(-?[0-9.]+)", word)
    return zero + spacing * float(match[1]) if match else float(word)


def boxes(root):
    """{id: (x0, x1, y0, y1, z0, z1)} of the spaces with one box that is marked as derived."""
    found = {}
    for space in root.iter(NS + "space"):
        (box,) = space
        assert box.get("derived") == "yes", ET.tostring(space)
        found[space.get("id")] = tuple(round(metres(w), 9) for a in "xyz" for w in box.get(a).split())
    return found


def numbered(*numbers):
    return "number,name\n" + "".join(f"{n},Space {n}\n" for n in numbers)


NO_CLOSURES = "id,kind,from,to,rating\n"


class Numbers(Case):
    """Frame f lies at 2 + f/2 m; she is 40 m long and 8 m broad; decks at 0, 1.5, 5 and 7.5 m."""
    LIST = numbered("2-10-0-V", "2-30-1-E", "2-30-2-E", "2-50-0-L", "2-50-1-F", "2-50-2-F",
                    "2-50-3-F", "2-60-2-Q", "2-70-1-Q", "2-80-0-V", "3-20-0-W", "1-40-0-C",
                    "01-40-0-C")
    OPTIONS = (*DECKS, "--deck", "01:boat:7.5", *FRAMES)
    # abreast at frame 50: two to starboard, one to port, so 5 strips of 1.6 m; centre 0.8 m each way
    ACROSS = {"2-50-0-L": (-0.8, 0.8), "2-50-1-F": (-2.4, -0.8), "2-50-3-F": (-4, -2.4),
              "2-50-2-F": (0.8, 4)}

    def test_forward_ends_worked_out_by_hand(self):
        low = (1.5, 5)  # deck 2 to deck 1
        expected = {
            "2-10-0-V": (0, 7, -4, 4, *low),     # to the ship's end
            "2-30-1-E": (7, 17, -4, 0, *low),    # aft to the centre one at frame 10
            "2-30-2-E": (7, 17, 0, 4, *low),
            "2-60-2-Q": (27, 32, 0, 4, *low),
            "2-70-1-Q": (27, 37, -4, 0, *low),   # past frame 60, which is to port
            "2-80-0-V": (37, 40, -4, 4, *low),   # frame 80 is at 42 m: cut at the ship's end
            "3-20-0-W": (0, 12, -4, 4, 0, 1.5),
            "1-40-0-C": (0, 22, -4, 4, 5, 7.5)}  # on the depth: up to the deck above
        for number, (starboard, port) in self.ACROSS.items():
            expected[number] = (17, 27, starboard, port, *low)
        root, faults = self.imports(FOUND, self.LIST, NO_CLOSURES, self.OPTIONS)
        self.assertEqual(boxes(root), expected)
        self.assertEqual(faults, ["s.csv:14: warning: space 01-40-0-C: not placed: no deck above deck "
                                  "01 is given, so its box has no top (--deck)"])
        self.assertEqual({s.get("deck") for s in root.iter(NS + "space")}, {"lower", "main", "tanktop"})

    def test_after_ends_worked_out_by_hand(self):
        low = (1.5, 5)
        expected = {
            "2-10-0-V": (7, 17, -4, 4, *low),
            "2-30-1-E": (17, 27, -4, 0, *low),
            "2-30-2-E": (17, 27, 0, 4, *low),
            "2-50-0-L": (27, 32, -0.8, 0.8, *low),   # forward to frame 60, port
            "2-50-1-F": (27, 37, -2.4, -0.8, *low),  # to frame 70, starboard
            "2-50-3-F": (27, 37, -4, -2.4, *low),
            "2-50-2-F": (27, 32, 0.8, 4, *low),
            "2-60-2-Q": (32, 40, 0, 4, *low),
            "2-70-1-Q": (37, 40, -4, 0, *low),
            "3-20-0-W": (12, 40, -4, 4, 0, 1.5),
            "1-40-0-C": (22, 40, -4, 4, 5, 7.5)}
        root, faults = self.imports(FOUND, self.LIST, NO_CLOSURES,
                                    (*self.OPTIONS, "--number-frame", "aft"))
        self.assertEqual(boxes(root), expected)
        self.assertEqual(len(faults), 2)
        self.assertIn("s.csv:11: warning: space 2-80-0-V: not placed: its number 2-80-0-V leaves no "
                      "room: the box comes to nothing", faults[0])

    def test_frames_that_count_from_forward_are_written_as_lengths(self):
        # frame f at 40 - f/2: frame 10 at 35, frame 30 at 25
        root, _ = self.imports(DONE, numbered("2-10-0-V", "2-30-0-V"), NO_CLOSURES,
                               (*DECKS, "--frames", "-0.5:40"))
        self.assertEqual(boxes(root), {"2-10-0-V": (25, 35, -4, 4, 1.5, 5),
                                       "2-30-0-V": (0, 25, -4, 4, 1.5, 5)})
        self.assertEqual(list(root.iter(NS + "frames")), [])
        self.assertNotIn(b"fr", ET.tostring(root).split(b"derived")[0])

    def test_feet_give_the_same_ship_in_feet(self):
        root, _ = self.imports(DONE, numbered("2-10-0-V"), NO_CLOSURES,
                               (*DECKS, *FRAMES, "--units", "ft"))
        self.assertEqual(root.get("units"), "ft")
        self.assertEqual(boxes(root), {"2-10-0-V": (0, 7, -4, 4, 1.5, 5)})

    def test_a_deck_below_the_depth_ends_at_the_depth(self):
        root, _ = self.imports(DONE, numbered("2-10-0-V"), NO_CLOSURES,
                               ("--deck", "2:low:1", "--deck", "1:high:6", *FRAMES))
        self.assertEqual(boxes(root)["2-10-0-V"][4:], (1, 5))

    def test_a_measured_space_counts_but_keeps_its_box(self):
        spaces = "number,name,boxes\n2-10-0-V,A,\n2-30-0-V,B,6 18/-3 3/1.5 5\n2-50-0-V,C,\n"
        root, _ = self.imports(DONE, spaces, NO_CLOSURES, (*DECKS, *FRAMES))
        box = self.one(root, "2-30-0-V")[0]
        self.assertEqual((box.get("x"), box.get("derived")), ("6 18", None))
        self.assertEqual(self.one(root, "2-50-0-V")[0].get("x"), "fr30 fr50")
        self.assertEqual(self.one(root, "2-10-0-V")[0].get("x"), "0 fr10")

    def test_twice_the_same_place_is_not_placed(self):
        root, faults = self.imports(FOUND, numbered("2-10-0-V", "2-30-1-E", "2-30-1-F"), NO_CLOSURES,
                                    (*DECKS, *FRAMES))
        self.assertEqual(self.ids(root, "space"), ["2-10-0-V"])
        for line, other, fault in ((3, 4, faults[0]), (4, 3, faults[1])):
            self.assertRegex(fault, rf"s\.csv:{line}: .*not placed: .*same deck, frame and side as line {other}")

    def test_what_a_number_cannot_give_is_told(self):
        options = (*DECKS, *FRAMES)
        for spaces, given, says in (
                (numbered("7-10-0-V"), options, "deck 7 of its number 7-10-0-V is not given"),
                (numbered("B deck 4"), options, "its number 'B deck 4' is not deck-frame-side-use"),
                (numbered("2-10-0-V"), DECKS, "without the frame spacing (--frames)"),
                (numbered("2-999999999-0-V"), options, ""),
                ("id,name,number\nA,A,\n", options, "neither a box nor a number")):
            with self.subTest(says=says):
                errors = self.asks(spaces + "2-20-0-V,Good\n" * (spaces[:2] == "nu"), NO_CLOSURES, given)
                self.assertIn(errors.returncode, (DONE, FOUND, INPUT))
                self.assertIn(says, errors.stderr.decode())

    def test_check_counts_the_spaces_that_were_worked_out(self):
        done = self.asks(numbered("2-10-0-V", "2-30-0-V"), NO_CLOSURES, (*DECKS, *FRAMES))
        text = self.run_it("check", "-", *AS_OF, input=done.stdout).stdout.decode()
        self.assertIn("  2 spaces with boxes worked out from their numbers, not measured\n", text)
        got = self.run_it("check", "-", "--format", "json", *AS_OF, input=done.stdout).stdout
        self.assertEqual(json.loads(got)["derived"], 2)
        model = json.loads(self.run_it("export", "-", *AS_OF, input=done.stdout).stdout)
        self.assertTrue(all(s["derived"] and s["solids"][0]["derived"] for s in model["spaces"]))
        self.assertIn("2 of 2 spaces (2 with boxes worked out from numbers)", done.stderr.decode())

    def test_worked_out_boxes_stay_so_on_the_way_out_and_in(self):
        done = self.asks(numbered("2-10-0-V"), NO_CLOSURES, (*DECKS, *FRAMES))
        sheet = self.run_it("export", "-", "--format", "csv", "--table", "spaces", *AS_OF,
                            input=done.stdout).stdout.decode()
        self.assertIn("0 7/-4 4/1.5 5/derived", sheet)
        root, _ = self.imports(DONE, sheet, NO_CLOSURES)
        self.assertEqual(root.find(NS + "space")[0].get("derived"), "yes")


class Sheets(Case):
    def test_two_plain_lists(self):
        root, faults = self.imports(DONE)
        self.assertEqual(faults, [])
        self.assertEqual(self.ids(root, "space"), ["aft", "fore"])
        self.assertEqual([c.get("between") for c in root.iter(NS + "closure")],
                         ["aft fore", "fore weather"])
        self.assertEqual(self.one(root, "D1")[0].attrib, {
            "x": "20", "y": "0", "z": "2", "width": "0.7", "height": "1.7", "lies": "transverse"})

    def test_semicolons_a_mark_tabs_and_quotes_are_the_same_list(self):
        plain, _ = self.imports(DONE)
        for change in (lambda t: "\ufeff" + t.replace(",", ";").replace("\n", "\r\n"),
                       lambda t: t.replace(",", "\t"),
                       lambda t: "\n".join(",".join(f'" {w} "' if w and i > 1 and w != "Door" else w
                                                     for i, w in enumerate(line.split(",")))
                                           if n else line
                                           for n, line in enumerate(t.splitlines()))):
            root, _ = self.imports(DONE, change(SPACES), CLOSURES)
            self.assertEqual(ET.tostring(root), ET.tostring(plain))

    def test_headings_of_a_spreadsheet_by_map(self):
        spaces = SPACES.replace("id,name,number", "Kennung,NAME,Compartment_No.").replace("people", "Crew")
        closures = CLOSURES.replace("id,name,kind,from,to", "Mark;,Description,Type,Leads from,Leads to")
        root, faults = self.imports(DONE, spaces, closures, (
            *DECKS, "--map", "spaces.id=kennung", "--map", "spaces.people=Crew",
            "--map", "closures.id=Mark;", "--map", "closures.name=description",
            "--map", "closures.kind=TYPE", "--map", "closures.from=Leads-from",
            "--map", "closures.to=leads to"))
        self.assertEqual(faults, [])
        self.assertEqual(self.one(root, "aft").get("people"), "2")
        self.assertEqual(self.one(root, "aft").get("number"), "2-36-0-E")
        self.assertEqual(self.one(root, "D1").get("name"), "Door")

    def test_columns_that_are_not_read_are_told_and_a_map_to_nothing_makes_one(self):
        root, faults = self.imports(DONE, SPACES.replace("people", "Insurance class"))
        self.assertEqual(faults, ["s.csv: warning: spaces: column not read: 'Insurance class'"])
        self.assertIsNone(self.one(root, "aft").get("people"))
        root, faults = self.imports(DONE, closures=CLOSURES, options=(*DECKS, "--map", "closures.x="))
        self.assertEqual(faults, ["c.csv: warning: closures: columns not read: 'x', 'y', 'z', 'width', "
                                  "'height', 'lies'"])
        self.assertEqual(len(self.one(root, "D1")), 0)

    def test_columns_that_are_missing_or_could_be_two(self):
        for spaces, closures, options, says in (
                (SPACES.replace("id,", "Key,").replace("number", "No"), CLOSURES, DECKS,
                 ("s.csv: error: spaces: there is no column 'id', nor 'number'", "'Key', 'name', 'No'")),
                (SPACES, CLOSURES.replace("kind", "sort").replace("rating", "class"), DECKS,
                 ("c.csv: error: closures: there is no column 'kind'", "there is no column 'rating'",
                  "The headings are 'id', 'name', 'sort', 'from'")),
                (SPACES, CLOSURES.replace("from,to", "a,b"), DECKS, ("no column 'from' and 'to'",)),
                (SPACES, CLOSURES.replace("from,to", "from,b"), DECKS, ("no column 'to'",)),
                (SPACES.replace("number", "Identifier"), CLOSURES, DECKS,
                 ("'id' and 'Identifier' could both be the column 'id'",)),
                (SPACES, CLOSURES, (*DECKS, "--map", "spaces.id=Nothing"),
                 ("s.csv: error: spaces: there is no column 'Nothing'",)),
                (SPACES.replace("id,name", 'id,"name'), CLOSURES, DECKS, ("s.csv", "quotes that do not match")),
                (SPACES, 'id,kind,from,to,rating\nD1,"do"or,aft,fore,watertight\n', DECKS,
                 ("c.csv:2: error: sheet: quotes",)),
                (SPACES + "a,b,c,d,e,f,g,h,i,j,k,l,m,n\n", CLOSURES, DECKS, ("s.csv:4: error: sheet: a row of 14",)),
                (b"id,name\n\xff,x\n", CLOSURES, DECKS, ("s.csv:2: error: sheet: not UTF-8",)),
                ("", CLOSURES, DECKS, ("s.csv: error: sheet: empty",)),
                (SPACES.splitlines()[0] + "\n", CLOSURES, DECKS, ("there is no row under the headings",)),
                (SPACES.replace("20,", "20m,"), CLOSURES, DECKS, ("not one space could be placed",))):
            with self.subTest(says=says):
                self.refused(spaces, closures, options, says)

    def test_the_faults_of_both_lists_are_told_at_once(self):
        errors = self.refused("", "")
        self.assertEqual(errors.splitlines(), ["s.csv: error: sheet: empty; a line of headings is expected",
                                               "c.csv: error: sheet: empty; a line of headings is expected"])

    def test_a_list_without_closures_and_one_from_standard_input(self):
        self.imports(DONE, SPACES, NO_CLOSURES)
        done = self.run_it("import", "--spaces", "-", "--closures", self.write("c.csv", CLOSURES),
                           *PARTICULARS, *DECKS, input=SPACES.replace("20,", "2o,", 1).encode())
        self.assertEqual(done.returncode, FOUND)
        self.assertIn(b"standard input:2: warning: space aft: not placed: x1 '2o' is not a number",
                      done.stderr)


class Rows(Case):
    """One row spoilt: what hangs on it is lost, the row or less, told with line and object, and the
    other is placed."""

    def spoilt(self, old, new, says, line=2, spaces=SPACES, closures=CLOSURES, options=DECKS, lost="not placed: "):
        text = closures if old in closures else spaces
        self.assertIn(old, text)
        changed = text.replace(old, new, 1)
        mine = "c.csv" if text is closures else "s.csv"
        root, faults = self.imports(FOUND, *((spaces, changed) if text is closures else (changed, closures)),
                                    options)
        first = next(f for f in faults if f.startswith(f"{mine}:{line}: ") and lost in f)
        self.assertRegex(first, rf"\A{mine}:{line}: warning: (space|closure)[^:]*: {re.escape(lost)}")
        self.assertIn(says, "\n".join(faults))
        return root, faults

    def test_values_of_spaces(self):
        for old, new, says in (
                ("0,20,-4", "0,0,-4", "x0 x1 '0 0': the first number must be less"),
                ("0,20,-4", "0,2e9,-4", "x1 is more than 1e+06 m off"),
                ("0,20,-4", "0,fr20,-4", "x1 'fr20' is a frame, but no frame spacing is given"),
                ("0,20,-4", "0,,-4", "x0, x1, y0, y1, z0, z1 are given in part only"),
                ("0,20,-4,4", "0,20,400,404", "it lies wholly outside the hull"),
                ("0,20,-4,4", "-20,0,-4,4", "it lies wholly outside the hull"),
                ("aft,After", "weather,After", "'weather' names the outside"),
                ("aft,After", "a" * 1000 + ",After", "its id is too long"),
                ("aft,After", "a\x01ft,After", "id holds a control character"),
                ("aft,After space,2-36-0-E", ",After space,", "space After space: not placed: it has neither an id")):
            with self.subTest(new=new):
                root, faults = self.spoilt(old, new, says)
                self.assertEqual(self.ids(root, "space"), ["fore"])
                if "weather" not in new:  # a door to it is now one from outside
                    self.assertTrue(any(f.startswith("c.csv:2: warning: closure D1: not placed: from: ")
                                        for f in faults), faults)

    def test_a_value_that_is_not_needed_for_its_place_does_not_lose_the_space(self):
        whole, _ = self.imports(DONE)
        for old, new, lost, says, gone in (
                ("yes,2,", "ja,2,", "shell (no is taken)", "shell 'ja' is not known; it must be yes (y, true, 1, x) or no (", "shell"),
                ("yes,2,", 'yes,"2,5",', "people (0 is taken)", "people '2,5' is not a number: a comma may part decimals or thousands", "people"),
                ("yes,2,", "yes,-1,", "people (0 is taken)", "people '-1' is out of bounds; it must lie in 0 to 1000000000", "people"),
                ("yes,2,", "yes,1e999,", "people (0 is taken)", "too large", "people"),
                ("yes,2,", "yes,nan,", "people (0 is taken)", "people 'nan' is not a number", "people"),
                ("lower", "Lowest", "deck", "deck 'Lowest' is not given (--deck NUMBER:ID:Z); the nearest is lower", "deck"),
                ("machinery", "a\x01b", "use", "use holds a control character", "use"),
                ("2-36-0-E", "2\x01", "number", "number holds a control character", "number"),
                ("aft,After", "aft,\x01", "name (its id is taken)", "name holds a control character", "name")):
            with self.subTest(new=new):
                root, faults = self.spoilt(old, new, says, lost=f"without its {lost}: ")
                expected = dict(self.one(whole, "aft").attrib)
                del expected[gone]
                if gone == "name":
                    expected["name"] = "aft"
                self.assertEqual(dict(self.one(root, "aft").attrib), expected)
                self.assertEqual(self.ids(root, "closure"), ["D1", "H1"])
                self.assertEqual(len(faults), 1)

    def test_boxes_and_prisms(self):
        spaces = "id,name,boxes,prisms\naft,A,0 20/-4 4/1.5 5,\nfore,F,,\"1.5 5/20,-4 40,0 20,4\"\n"
        root, _ = self.imports(DONE, spaces)
        self.assertEqual(self.one(root, "fore")[0].get("outline"), "20,-4 40,0 20,4")
        for old, new, says in (
                ("0 20/", "0 20/1 2/", "a box is three pairs"), ("0 20/", "0 20 30/", "not two numbers"),
                ("0 20/", "20 0/", "must be less"), ("4/1.5 5", "4/1.5 5/guessed", "a box is three pairs"),
                ("0 20/", "0 x/", "'x' is not a number")):
            self.spoilt(old, new, says, spaces=spaces)
        for old, new, says in (
                ("20,4", "20", "is not followed by a comma"), (" 20,4", "", "prisms: an outline of 2 corners; it needs 3 to 1000"),
                ("40,0 20,4", "40,4 40,-4 20,4", "crosses or touches itself"),
                ("1.5 5/2", "2", "a prism is two heights"), ("40,0", "40,zero", "is not a number")):
            self.spoilt(old, new, says, line=3, spaces=spaces)

    def test_values_of_closures(self):
        closures = CLOSURES.splitlines()
        closures = "\n".join((closures[0] + ",shut-in,hours,leak-probability,gasket-fitted,dogs,"
                              "test-date,test-method,test-result",
                              closures[1] + ",sea harbour,3,0.1,2020-01-02,8,2026-05-12,chalk,fail",
                              closures[2] + ",,,,,,,,")) + "\n"
        root, _ = self.imports(DONE, closures=closures)
        self.assertEqual(self.ids(root, "condition"), ["sea", "harbour"])
        self.assertEqual([e.tag[len(NS):] for e in self.one(root, "D1")], ["clear", "gasket", "dogs", "test"])
        for old, new, says in (
                ("door,aft", "gate,aft", "kind 'gate' is not known; it must be door, hatch, scuttle"),
                ("door,aft", ",aft", "it has no kind"),
                ("watertight", "tight", "rating 'tight' is not known; it must be watertight, weathertight, "
                                        "airtight or nontight"),
                ("watertight", "", "it has no rating"),
                ("D1,", ",", "closure Door: not placed: it has no id"),
                ("door,aft,", "door,,", "it does not say from what it leads"),
                ("aft,fore", "aft,AFT", "it joins 'aft' to itself"),
                ("aft,fore", "aft,fort", "to: 'fort' is no space, nor sea or weather; the nearest is fore")):
            with self.subTest(new=new):
                root, _ = self.spoilt(old, new, says, closures=closures)
                self.assertEqual(self.ids(root, "closure"), ["H1"])

    def test_the_side_a_closure_is_worked_from(self):
        def closures(side):
            head, door, *rest = CLOSURES.splitlines()
            return "\n".join((head + ",worked-from", f"{door},{side}", *(row + "," for row in rest))) + "\n"
        for side, written in (("fore", "fore"), ("Fore Space", "fore"), ("both", None), ("", None)):
            root, _ = self.imports(DONE, closures=closures(side))
            side = self.one(root, "D1").find(NS + "from")
            self.assertEqual(side.get("side") if side is not None else None, written)
        for side, says in (("weather", "worked-from 'weather' is neither of the places that it joins"),
                           ("nowhere", "worked-from: 'nowhere' is no space, nor sea or weather")):
            root, faults = self.imports(FOUND, closures=closures(side))
            self.assertIn("without its worked-from (both sides are taken): " + says, " ".join(faults))
            self.assertIsNone(self.one(root, "D1").find(NS + "from"))
            self.assertEqual(self.ids(root, "closure"), ["D1", "H1"])

    def test_enclosed_and_walkable(self):
        head, *rows = SPACES.splitlines()
        spaces = "\n".join((head + ",enclosed,walkable", *(row + ",yes,n" for row in rows))) + "\n"
        root, _ = self.imports(DONE, spaces)
        self.assertEqual({(s.get("enclosed"), s.get("walkable")) for s in root.iter(NS + "space")}, {("yes", "no")})
        # where it cannot be read, what keeps people out of harm is taken
        root, faults = self.imports(FOUND, spaces.replace(",yes,n", ",?,?"))
        self.assertEqual({(s.get("enclosed"), s.get("walkable")) for s in root.iter(NS + "space")}, {("yes", "no")})
        self.assertIn("s.csv:2: warning: space aft: without its enclosed (yes is taken): enclosed '?' is not known; it must be yes",
                      faults[0])

    LAST = ("fitted,shut-in,hours,leak-probability,gasket-fitted,gasket-section,gasket-joints,dogs,"
            "test-date,test-method,test-result,test-gaps,test-by,test-note")

    def test_a_value_that_is_not_needed_for_its_place_does_not_lose_the_door(self):
        """A missing door is a bulkhead; so it is placed, and loses what cannot be read and no more."""
        closures = CLOSURES.splitlines()
        closures = "\n".join((closures[0] + "," + self.LAST, closures[1] +
                              ",2019-01-02,sea harbour,3,0.1,2020-01-02,25 mm,0.4;2,8,2026-05-12,chalk,fail,0.5:0.1,AB,cold",
                              closures[2] + ",,,,,,,,,,,,,,")) + "\n"
        whole, _ = self.imports(DONE, closures=closures)
        said = lambda root: {(e.tag[len(NS):], k): v for e in self.one(root, "D1").iter() for k, v in e.attrib.items()}
        test, opening = {"test", "gap"}, {"clear"}
        for old, new, lost, says, gone in (
                ("transverse,", "across,", "opening", "lies 'across' is not known", opening),
                ("0.7,1.7", ",1.7", "opening", "given in part only: without width", opening),
                ("0.7,1.7", "-0.7,1.7", "opening", "width '-0.7' is out of bounds; it must be 0 or more", opening),
                (",3,0.1", ",x,0.1", "hours", "hours 'x' is not a number", ("closure", "hours")),
                (",3,0.1", ",3,1.1", "leak-probability", "'1.1' is out of bounds", ("closure", "leak-probability")),
                ("2019-01-02", "2019", "fitted", "fitted '2019' is not a date", ("closure", "fitted")),
                ("2020-01-02", "02.01.2020", "gasket-fitted", "it is 2020-01-02 by --date-format D.M.Y", ("gasket", "fitted")),
                ("2020-01-02", "2020-02-30", "gasket-fitted", "is not a date", ("gasket", "fitted")),
                ("2020-01-02", "2018-02-03", "gasket-fitted", "is before the closure was fitted, 2019-01-02", ("gasket", "fitted")),
                ("25 mm", "25\x01", "gasket-section", "control character", ("gasket", "section")),
                ("0.4;2", "0.4;-2", "gasket-joints", "'-2' is out of bounds", ("gasket", "joints")),
                ("2026-05-12", "2999-05-12", "last test", "test-date 2999-05-12 is still to come", test),
                ("2026-05-12", "2018-05-12", "last test", "is before the closure was fitted, 2019-01-02", test),
                ("2026-05-12", "12.05.26", "last test", "test-date '12.05.26' is not a date", test),
                ("2026-05-12,chalk", ",chalk", "last test", "given in part only: without test-date", test),
                ("chalk,fail", ",fail", "last test", "given in part only: without test-method", test),
                ("chalk,fail", "chalk,", "last test", "given in part only: without test-result", test),
                ("chalk,fail", "chalk,untested", "last test", "given in part only: without test-result", test),
                ("chalk,fail", "feel,fail", "last test", "test-method 'feel' is not known", test),
                ("chalk,fail", "chalk,maybe", "last test", "test-result 'maybe' is not known; it must be pass (passed, ok", test),
                ("0.5:0.1", "0.5", "test-gaps", "gap '0.5' must be AT:LENGTH", {"gap"}),
                (",AB,", ",A\x01,", "test-by", "control character", ("test", "by")),
                (",8,", ",8.5,", "dogs", "neither a whole number nor a list of places", {"dogs"}),
                (",8,", ",8;x,", "dogs", "dogs 'x' is not a number", {"dogs"}),
                (",8,", ",1001,", "dogs", "dogs '1001' is out of bounds", {"dogs"}),
                ("sea harbour", '", ,"', "shut-in (never is taken)", "names no condition", ("closure", "shut-in"))):
            with self.subTest(new=new):
                root, faults = self.spoilt(old, new, says, closures=closures, lost=f"without its {lost}: ")
                self.assertEqual(self.ids(root, "closure"), ["D1", "H1"])
                expected = {k: v for k, v in said(whole).items() if k != gone and not (isinstance(gone, set) and k[0] in gone)}
                if "never" in lost:
                    expected["closure", "shut-in"] = ""
                self.assertEqual(said(root), expected)
                self.assertEqual(len(faults), 1)

    def test_how_much_was_lost_is_counted_and_what_it_means(self):
        closures = CLOSURES.replace("0.7,1.7", "x,1.7") + "D2,,gate,aft,fore,watertight,,,,,,\n"
        told = self.told(self.asks(SPACES, closures, DECKS))[1]
        self.assertIn("coaming: 1 row was placed without something that could not be read, told above", told)
        self.assertIn("coaming: 1 closure or passage was not placed: the arrangement has an unbroken bulkhead or "
                      "deck there", told)

    def test_all_reasons_of_a_row_are_told(self):
        closures = CLOSURES.replace("door,aft,fore,watertight,20", "gate,oft,,tight,2O")
        _, faults = self.imports(FOUND, closures=closures)
        self.assertEqual(len(faults), 4)  # kind, rating, opening, no to

    def test_words_in_any_letters_and_ways_to_say_yes(self):
        spaces = SPACES.replace("machinery", "MACHINERY").replace("yes,2", "X,2").replace("yes,0", "False,0")
        root, faults = self.imports(DONE, spaces, CLOSURES.replace("door", "Door").replace("watertight", "WaterTight"))
        self.assertEqual(faults, [])
        self.assertEqual([s.get("shell") for s in root.iter(NS + "space")], ["yes", "no"])
        self.assertEqual(self.one(root, "aft").get("use"), "machinery")

    def test_values_as_people_fill_them_in(self):
        closures = ("Door,Type,Leads from,Leads to,Tightness,Last tested,Method,Result\n"
                    "D1, DOOR ,aft,fore,Water-tight,5.3.2026, Chalk,PASS \n"
                    "D2,door,aft,fore,watertight,05.03.2026,chalk,ok\n"
                    "D3,door,aft,fore,watertight,2026-03-05,HOSE,Not OK\n"
                    "D4,door,aft,fore,watertight,\u00a0,chalk,untested\n"
                    "D5,door,aft,fore,watertight,,chalk,-\n"
                    "D6,door,aft,fore,watertight,,chalk,\n")
        root, faults = self.imports(DONE, closures=closures, options=(*DECKS, "--date-format", "D.M.Y"))
        self.assertEqual(faults, [])
        tests = {c.get("id"): [(t.get("date"), t.get("method"), t.get("result")) for t in c.iter(NS + "test")]
                 for c in root.iter(NS + "closure")}
        self.assertEqual(tests, {"D1": [("2026-03-05", "chalk", "pass")], "D2": [("2026-03-05", "chalk", "pass")],
                                 "D3": [("2026-03-05", "hose", "fail")], "D4": [], "D5": [], "D6": []})

    def test_dates_are_never_guessed(self):
        closures = "id,kind,from,to,rating,test-date,test-method,test-result\nD1,door,aft,fore,watertight,{},chalk,pass\n"
        both = "fits more than one way of writing dates: it is 2026-05-03 by --date-format D/M/Y or 2026-03-05 by " \
               "--date-format M/D/Y"
        for written, how, day in (
                ("2026-03-05", None, "2026-03-05"), ("2026-03-05", "D.M.Y", "2026-03-05"), ("5.3.2026", "D.M.Y", "2026-03-05"),
                ("05/03/2026", "D/M/Y", "2026-03-05"), ("05/03/2026", "M/D/Y", "2026-05-03"), ("2026-3-5", "Y-M-D", "2026-03-05"),
                ("29.02.2024", "D.M.Y", "2024-02-29")):
            options = (*DECKS, "--date-format", how) if how else DECKS
            root, _ = self.imports(DONE, closures=closures.format(written), options=options)
            self.assertEqual([t.get("date") for t in root.iter(NS + "test")], [day], written)
        for written, how, says in (
                ("3/5/2026", None, both), ("25/12/2025", None, "it is 2025-12-25 by --date-format D/M/Y"),
                ("12/25/2025", None, "it is 2025-12-25 by --date-format M/D/Y"), ("2026-3-5", None, "by --date-format Y-M-D"),
                ("25.12.2025", None, "it is 2025-12-25 by --date-format D.M.Y"), ("5 March", None, "is not a date; write year"),
                ("3/5/2026", "D.M.Y", "is not a date by --date-format D.M.Y, nor one such as 2026-09-30"),
                ("25/12/2025", "M/D/Y", "is not a date by --date-format M/D/Y"), ("29.02.2026", "D.M.Y", "is not a date by"),
                ("5.3.26", "D.M.Y", "is not a date by"), ("5.3.2026.", "D.M.Y", "is not a date by"),
                ("005.3.2026", "D.M.Y", "is not a date by"), ("5.3.", "D.M.Y", "is not a date by")):
            options = (*DECKS, "--date-format", how) if how else DECKS
            root, faults = self.imports(FOUND, closures=closures.format(written), options=options)
            self.assertIn(says, faults[0])
            self.assertEqual([*root.iter(NS + "test")], [], written)

    def test_last_tests_without_their_method_are_not_read(self):
        closures = "Door,kind,from,to,rating,Last tested,Result\nD1,door,aft,fore,watertight,2026-03-05,pass\n"
        root, faults = self.imports(FOUND, closures=closures)
        self.assertEqual([*root.iter(NS + "test")], [])
        self.assertIn("there is no column 'test-method', and whether somebody looked or tested by chalk is not guessed",
                      faults[0])
        self.imports(DONE, closures=closures, options=(*DECKS, "--map", "closures.test-date=", "--map", "closures.test-result="))

    def test_a_common_heading_gives_way_to_the_very_one(self):
        closures = "id,door,kind,from,to,rating\nD1,Engine door,door,aft,fore,watertight\n"
        root, faults = self.imports(DONE, closures=closures)
        self.assertEqual((self.ids(root, "closure"), faults), (["D1"], ["c.csv: warning: closures: column not read: 'door'"]))
        self.refused(SPACES, closures.replace("id,", "Mark,"), says=["'Mark' and 'door' could both be the column 'id'"])

    def test_every_heading_of_the_page_is_read(self):
        page = (Path(os.environ["COAMING_ROOT"]) / "man/coaming-import.1").read_text()
        table = re.search(r"^\.SS Headings\n(.*?)^\.S[SH] ", page, re.M | re.S)[1]
        rows = re.findall(r"^\.TP\n\.B (.*)\n(.*)\n", table, re.M)
        self.assertGreater(len(rows), 15)
        values = {"kind": "hatch", "from": "aft", "to": "fore", "rating": "airtight", "hours": "3", "test-method": "hose",
                  "test-result": "fail", "people": "7", "shell": "yes", "width": "0.55", "height": "1.25", "number": "9-9",
                  "capacity": "61", "flow": "0.75", "pressure": "55", "space": "fore", "test-gaps": "0.1:0.2", "boxes": "0 20/-4 4/1.5 5", "prisms": "1.5 5/20,-4 40,0 20,4"}
        for own, others in rows:
            lists, field = own.replace("\\-", "-").split(": ") if ": " in own else ("closures", own.replace("\\-", "-"))
            value = values.get(field, "2020-02-02" if "date" in field or "fitted" in field else "Something")
            for heading in others.rstrip(".").split(", "):
                with self.subTest(list=lists, heading=heading):
                    spaces, closures = SPACES.splitlines(), (
                        "id,kind,from,to,rating,x,y,z,width,height,lies,test-date,test-method,test-result",
                        "D1,door,aft,fore,watertight,20,0,2,0.7,1.7,transverse,2020-01-01,chalk,pass")
                    plant = {"pumps": ("id,space,capacity,serves", "P1,aft,60,aft"), "fans": ("id,supplies,flow", "F1,aft,1")}
                    text = spaces if lists == "spaces" else plant.get(lists, closures)
                    names, cells = text[0].split(","), text[1].split(",")
                    if field in names:
                        at = names.index(field)
                        names[at], cells[at] = heading, value
                    else:
                        names.append(heading), cells.append(value)
                    changed = ",".join(names) + "\n" + ",".join(f'"{c}"' for c in cells) + "\n"
                    if lists in plant:
                        done = self.asks(SPACES, NO_CLOSURES, DECKS, **{lists: changed})
                    else:
                        done = self.asks(*((changed, NO_CLOSURES) if lists == "spaces" else (SPACES, changed)), DECKS)
                    self.assertNotIn("not read", done.stderr.decode())
                    shown = {"boxes": 'x="0 20"', "prisms": 'outline="20,-4 ', "test-gaps": 'length="0.2"'}
                    self.assertIn(shown.get(field, value), done.stdout.decode())

    def test_ids_are_made_fit_and_that_is_told(self):
        root, faults = self.imports(DONE, SPACES.replace("aft,", '" Aft,  peak ",', 1),
                                    CLOSURES.replace("aft,fore", "Aft-peak,fore"))
        self.assertEqual(self.ids(root, "space"), ["Aft-peak", "fore"])
        self.assertEqual(faults, ["s.csv:2: warning: space Aft,  peak: its id 'Aft,  peak' is written as "
                                  "Aft-peak: ids have no blanks and commas"])

    def test_spaces_by_number_name_and_other_letters_are_told_once(self):
        closures = CLOSURES.replace("aft,fore", "2-36-0-e,Fore Space") + "D2,Again,door,2-36-0-e,FORE,nontight\n"
        root, faults = self.imports(DONE, closures=closures)
        self.assertEqual(self.one(root, "D2").get("between"), "aft fore")
        self.assertEqual(faults, [
            "c.csv:2: warning: closure D1: from '2-36-0-e' is taken as space aft (line 2), here and below",
            "c.csv:2: warning: closure D1: to 'Fore Space' is taken as space fore (line 3), here and below",
            "c.csv:4: warning: closure D2: to 'FORE' is taken as space fore (line 3), here and below"])

    def test_a_name_of_two_spaces_is_not_guessed(self):
        _, faults = self.imports(FOUND, SPACES.replace("Fore space", "After space"),
                                 CLOSURES.replace("aft,fore", "after space,fore"))
        self.assertEqual(faults, ["c.csv:2: warning: closure D1: not placed: from: 'after space' could be aft "
                                  "(line 2) or fore (line 3) of s.csv"])

    def test_a_name_of_a_space_and_of_a_row_without_an_id_is_not_guessed(self):
        aft, fore = SPACES.splitlines()[1:3]
        bare = aft.replace("aft,", ",", 1).replace("2-36-0-E", "")
        for spaces, told in ((SPACES + bare, "aft (line 2) or After space (line 4)"),
                             (SPACES.replace(aft, bare) + fore.replace("fore,Fore space", "peak,After space"),
                              "After space (line 2) or peak (line 4)")):
            _, faults = self.imports(FOUND, spaces + "\n", CLOSURES.replace("aft,fore", "after space,fore"))
            self.assertIn(f"c.csv:2: warning: closure D1: not placed: from: 'after space' could be {told} of s.csv", faults)

    def test_between_in_place_of_from_and_to(self):
        closures = "id,kind,between,rating\nD1,door,aft fore,watertight\nD2,door,After space; WEATHER,nontight\n"
        root, faults = self.imports(DONE, closures=closures)
        self.assertEqual([c.get("between") for c in root.iter(NS + "closure")], ["aft fore", "aft weather"])
        self.assertEqual(len(faults), 2)
        for bad in ("aft", "aft fore aft", "aft;fore;aft", ";fore"):
            self.imports(FOUND, closures=closures.replace("aft fore", bad))

    def test_the_same_id_twice_places_the_first_and_guesses_nothing(self):
        again = SPACES + SPACES.splitlines()[1].replace("0,20,", "0,10,") + "\n"
        root, faults = self.imports(FOUND, again)
        self.assertEqual(self.ids(root, "space"), ["aft", "fore"])
        self.assertIn("s.csv:4: warning: space aft: not placed: its id aft is already taken at line 2 of s.csv", faults)
        self.assertTrue(any("'aft' could be aft (line 2) or aft (line 4)" in f for f in faults), faults)
        root, faults = self.imports(FOUND, passages="id,kind,from,to\nD1,arch,aft,fore\n")
        self.assertEqual(faults, ["p.csv:2: warning: passage D1: not placed: its id D1 is already taken at line 2 of c.csv"])

    def test_shut_in_says_all_some_or_never(self):
        closures = ("id,kind,from,to,rating,shut-in\nA,door,aft,fore,watertight,\nB,door,aft,fore,watertight,Never\n"
                    'C,door,aft,fore,watertight,"sea, towed"\nD,door,aft,fore,watertight,never never\n')
        root, _ = self.imports(DONE, closures=closures)
        self.assertEqual([c.get("shut-in") for c in root.iter(NS + "closure")], [None, "", "sea towed", "never never"])
        self.assertEqual(self.ids(root, "condition"), ["sea", "towed", "never"])

    def test_what_was_taken_is_counted(self):
        done = self.asks("id,name,use,boxes\nA,,stores,0 1/0 1/0 1\nB,Bee,odd,1 2/0 1/0 1\n", NO_CLOSURES)
        self.assertIn("placed 2 of 2 spaces (0 with boxes worked out from numbers), 0 of 0 closures",
                      done.stderr.decode())
        self.assertIn("taken where the lists say nothing: name from id 1, permeability by use 1, permeability "
                      "0.95 without a known use 1, shell no 2, people 0 2, worth 1 2, vital no 2", done.stderr.decode())

    def test_hostile_names_come_through_as_they_are(self):
        names = ["<script>alert(1)</script>", "\"quo'ted\" & 'more' ]]> -->", "n" * 200, "שלום مرحبا",
                 "\u202eback", "🚢⚓", "=1+1", "&lt;&#9;", "line\nbreak"]
        out = io.StringIO()
        writer = csv.writer(out)
        writer.writerow(["id", "name", "boxes"])
        for i, name in enumerate(names):
            writer.writerow([name, name, f"{i} {i + 1}/0 1/0 1"])
        done = self.asks(out.getvalue(), NO_CLOSURES, ("--name", names[0] + names[3]))
        self.assertEqual(done.returncode, DONE, done.stderr.decode())
        self.assertNotIn("\u202e", done.stderr.decode())
        self.loads(done.stdout)
        root = ET.fromstring(done.stdout)
        self.assertEqual([s.get("name") for s in root.iter(NS + "space")], names)
        self.assertEqual(root.get("name"), names[0] + names[3])
        self.assertEqual(self.ids(root, "space")[1], names[1].replace(" ", "-"))


class Plant(Case):
    """Pumps and fans, which a ship need not have."""
    PUMPS = "id,name,space,capacity (m3/h),serves,power,control\n"
    FANS = "fan no,supplies,flow (m3/s),pressure (Pa)\n"

    def attributes(self, root, kind):
        return [e.attrib for e in root.iter(NS + kind)]

    def test_rows_become_elements(self):
        root, _ = self.imports(DONE, pumps=self.PUMPS + 'P1,"Pump, aft",aft,60,aft fore,fore,aft\n'
                               "P2,,After space,1.5e1,After space; Fore space; aft,,\n", fans=self.FANS + "F1,fore,0.5,50\nF2,aft,0.25,\n")
        self.assertEqual(self.attributes(root, "pump"), [
            {"id": "P1", "name": "Pump, aft", "space": "aft", "capacity": "60", "serves": "aft fore", "power": "fore",
             "control": "aft"}, {"id": "P2", "space": "aft", "capacity": "15", "serves": "aft fore"}])
        self.assertEqual(self.attributes(root, "fan"), [
            {"id": "F1", "supplies": "fore", "flow": "0.5", "pressure": "50"}, {"id": "F2", "supplies": "aft", "flow": "0.25"}])

    def test_how_many_were_placed_is_told_where_there_is_a_list(self):
        done = self.asks(SPACES, CLOSURES, DECKS, pumps=self.PUMPS + "P1,,aft,60,aft,,\nP2,,aft,0,aft,,\n")
        self.assertEqual(done.returncode, FOUND)
        self.assertIn("0 of 0 passages, 1 of 2 pumps\n", done.stderr.decode())
        self.assertNotIn("bulkhead", done.stderr.decode())
        self.assertNotIn("pumps", self.asks(SPACES, CLOSURES, DECKS).stderr.decode())

    def test_a_pump_without_what_it_needs_is_not_placed(self):
        for row, says in (("P1,,aft,0,aft,,", "capacity '0' is out of bounds; it must be greater than 0"),
                          ("P1,,aft,-5,aft,,", "must be greater than 0"), ("P1,,aft,x,aft,,", "capacity 'x'"),
                          ("P1,,aft,,aft,,", "it has no capacity"), ("P1,,aft,60,,,", "it has no serves"),
                          ("P1,,,60,aft,,", "it has no space"), (",,aft,60,aft,,", "it has no id"),
                          ("P1,,bilge,60,aft,,", "space: 'bilge' is no space"), ("P1,,sea,60,aft,,", "space: 'sea' is no space"),
                          ("P1,,aft,60,bilge,,", "serves: 'bilge' is no space"), ("P1,,aft,60,;,,", "names no space"),
                          ("P1,,aft,nan,aft,,", "capacity 'nan'")):
            with self.subTest(row=row):
                root, faults = self.imports(FOUND, pumps=self.PUMPS + row + "\nP9,,aft,60,aft,,\n")
                self.assertEqual([e["id"] for e in self.attributes(root, "pump")], ["P9"])
                self.assertTrue(any("pumps.csv:2: warning: pump" in f and "not placed: " in f for f in faults), faults)
                self.assertIn(says, str(faults).replace('\\', ''))

    def test_what_a_pump_can_do_without_is_lost_alone(self):
        for row, kept in (("P1,,aft,60,aft bilge fore,,", {"serves": "aft fore"}), ("P1,,aft,60,aft,bilge,fore", {"control": "fore"}),
                          ("P1,,aft,60,aft,,weather", {"serves": "aft"})):
            with self.subTest(row=row):
                root, faults = self.imports(FOUND, pumps=self.PUMPS + row + "\n")
                (pump,) = self.attributes(root, "pump")
                self.assertEqual(pump, {**{"id": "P1", "space": "aft", "capacity": "60", "serves": "aft"}, **kept})
                self.assertIn("without its ", str(faults))

    def test_fans_that_blow_nothing(self):
        for row in ("F1,aft,0,50", "F1,aft,-1,50", "F1,aft,,50", "F1,bilge,1,50", "F1,weather,1,50", "F1,,1,50"):
            root, faults = self.imports(FOUND, fans=self.FANS + row + "\n")
            self.assertEqual(self.attributes(root, "fan"), [], row)
            self.assertIn("fans.csv:2: warning: fan F1: not placed: ", str(faults))
        root, faults = self.imports(FOUND, fans=self.FANS + "F1,aft,1,0\n")
        self.assertEqual(self.attributes(root, "fan"), [{"id": "F1", "supplies": "aft", "flow": "1"}])

    def test_one_id_twice_and_columns_that_are_missing(self):
        root, faults = self.imports(FOUND, pumps=self.PUMPS + "P1,,aft,60,aft,,\nP1,,fore,30,fore,,\n")
        self.assertEqual([e["space"] for e in self.attributes(root, "pump")], ["aft"])
        self.assertIn("already taken at line 2 of pumps.csv", str(faults))
        done = self.asks(SPACES, CLOSURES, DECKS, pumps="id,space,capacity\nP1,aft,60\n")
        self.assertEqual((done.returncode, done.stdout), (INPUT, b""))
        self.assertIn("pumps.csv: error: pumps: there is no column 'serves'", done.stderr.decode())
        root, _ = self.imports(DONE, options=(*DECKS, "--map=pumps.serves=Draws from"),
                               pumps="id,space,capacity,draws from\nP1,aft,60,fore\n")
        self.assertEqual([e["serves"] for e in self.attributes(root, "pump")], ["fore"])

    def test_in_feet_they_stay_in_m3(self):
        root, _ = self.imports(DONE, options=(*DECKS, "--units=ft"), pumps=self.PUMPS + "P1,,aft,60,aft,,\n")
        self.assertEqual(self.attributes(root, "pump")[0]["capacity"], "60")
        self.write("ft.xml", ET.tostring(root))
        told = json.loads(self.run_it("export", "ft.xml", *AS_OF).stdout)
        self.assertEqual([p["capacity"] for p in told["pumps"]], [60])


class Usage(Case):
    def misuse(self, *options, says=(), drop=None):
        words = {"--spaces": "s.csv", "--closures": "c.csv", "--name": "N", "--size": "40x8x5", "--draft": "2"}
        words.pop(drop, None)
        self.write("s.csv", SPACES), self.write("c.csv", CLOSURES)
        done = self.run_it("import", *(w for pair in words.items() for w in pair), *options)
        errors = done.stderr.decode()
        self.assertEqual((done.returncode, done.stdout), (USAGE, b""), errors)
        self.assertRegex(errors, r"\Acoaming: [^\n]+\n\Z")
        for word in says:
            self.assertIn(word, errors)

    def test_what_is_needed_is_asked_for(self):
        for option in ("--spaces", "--closures", "--name", "--size", "--draft"):
            self.misuse(drop=option, says=[option, "is missing"])

    def test_values_that_cannot_be(self):
        for words, says in (
                (("--size", "40x8"), "--size"), (("--size", "40x8x5x"), "--size"), (("--size", "0x8x5"), "length, beam"),
                (("--size", "1e9x8x5"), "length, beam"), (("--draft", "6"), "draft is greater"), (("--draft", "2,5"), "--draft"),
                (("--draft", "0"), "length, beam"), (("--kg", "high"), "--kg"), (("--frames", "0"), "frame spacing"),
                (("--frames", "0.6:"), "--frames"), (("--units", "yd"), "m or ft"), (("--number-frame", "mid"), "fore or aft"),
                (("--deck", "2:lower"), "--deck"), (("--deck", "2::1"), "--deck"), (("--deck", "2:a b:1"), "without blanks"),
                (("--deck", "2:a:1", "--deck", "2:b:2"), "one number"), (("--deck", "2:a:1", "--deck", "3:a:2"), "one id"),
                (("--deck", "2:a:1", "--deck", "3:b:1"), "one height"), (("--deck", "2:a:1e9"), "not a length"),
                (("--map", "spaces.id"), "--map"), (("--map", "spaces=id"), "--map"), (("--map", "cabins.id=A"), "--map"),
                (("--map", "spaces.colour=A"), "spaces have no field 'colour'"), (("--map", "tests.date=A"), "tests are not read"),
                (("--date-format", "D.M.YY"), "--date-format 'D.M.YY' is not known; it must be D.M.Y, D/M/Y, M/D/Y or Y-M-D"),
                (("--date-format", ""), "--date-format"), (("--name", " "), "name is empty"), (("--name", os.fsdecode(b"\xff")), "name is empty or no UTF-8"),
                (("ship.xml",), "one word too many"), (("--format", "json"), "no option '--format'"),
                (("--spaces", "-", "--closures", "-"), "only once")):
            with self.subTest(words=words):
                self.misuse(*words, says=[says])

    def test_formats_and_tables_of_export(self):
        barge = EXAMPLES / "barge.xml"
        for words, says in ((("export", "--format", "csv", barge), "--table spaces, closures"),
                            (("export", "--table", "spaces", barge), "--format csv"),
                            (("export", "--format", "csv", "--table", "cabins", barge), "spaces, closures, passages, pumps, fans or tests"),
                            (("export", "--format", "ical", barge), "'coaming export' writes; it must be json, csv, graphml or dot"),
                            (("check", "--format", "dot", barge), "'coaming check' writes; it must be text, json or csv"),
                            (("import", "--format", "csv"), "no option '--format'")):
            done = self.run_it(*words)
            self.assertEqual((done.returncode, done.stdout), (USAGE, b""))
            self.assertIn(says, done.stderr.decode())

    def test_files_that_are_not_there_and_places_that_cannot_be_written(self):
        self.write("s.csv", SPACES), self.write("c.csv", CLOSURES)
        good = ("import", "--spaces", "s.csv", "--closures", "c.csv", *PARTICULARS, *DECKS)
        self.assertEqual(self.run_it("import", "--spaces", "no.csv", *good[3:]).returncode, INPUT)
        self.assertEqual(self.run_it(*good, "-o", "no/such/folder").returncode, MACHINE)
        self.assertEqual(self.run_it(*good, "-o", "/dev/full").returncode, MACHINE)
        with open("/dev/full", "wb") as full:
            self.assertEqual(self.run_it(*good, stdout=full).returncode, MACHINE)
        self.assertEqual(self.run_it(*good, "-o", "s.csv").returncode, USAGE)
        self.assertEqual((self.folder / "s.csv").read_text(), SPACES)
        self.assertEqual(self.run_it(*good, "-o", "ship.xml").returncode, DONE)
        self.loads((self.folder / "ship.xml").read_bytes())
        self.assertEqual(sorted(p.name for p in self.folder.iterdir()), ["c.csv", "s.csv", "ship.xml"])


class RoundTrip(Case):
    """Out as lists and in again gives the same spaces, boxes, closures, passages, pumps, fans and the tests that count. The
    lists do not carry tests before the last, repairs, names of conditions, conditions that no
    closure names, scenarios, estimates, hull and density."""

    def model(self, path):
        done = self.run_it("export", path, *AS_OF)
        self.assertEqual(done.returncode, DONE, done.stderr.decode())
        return json.loads(done.stdout)

    def carried(self, model):
        """What lists carry of a model. They carry no hull, so what of the demo's outlines stands a rounding
        (1e-8 of a space) out of its shell comes back."""
        spaces = [dict(s, volume=float("%.6g" % s["volume"]), outside=round(s["outside"], 6), solids=sorted(map(str, s["solids"])))
                  for s in model["spaces"]]
        closures = []
        for c in model["closures"]:
            tests = [e for e in c["events"] if e["event"] == "test"]
            last = [e for e in tests if (e["date"], e["method"], e["result"]) ==
                    (c["result_date"], c["result_method"], c["result"])][-1:] or tests[-1:]
            closures.append(dict(c, looked_at=None, shut_in=sorted(c["shut_in"]) if c["shut_in"] is not None else None,
                                 events=last))
        return {"spaces": spaces, "closures": closures, **{key: model[key] for key in ("passages", "pumps", "fans", "decks")}}

    def again(self, path):
        before = self.model(path)
        lists = []
        for table in ("spaces", "closures", "passages", "pumps", "fans"):
            done = self.run_it("export", path, "--format", "csv", "--table", table, *AS_OF, "-o", table + ".csv")
            self.assertEqual(done.returncode, DONE, done.stderr.decode())
            lists += ["--" + table, table + ".csv"]
        p = before["principal"]
        words = ["--name", before["ship"], "--size", "x".join(repr(p[k]) for k in ("length", "beam", "depth")),
                 "--draft", repr(p["draft"])]
        words += ["--kg", repr(p["kg"])] if p["kg"] is not None else []
        for deck in before["decks"]:
            words += ["--deck", f":{deck['id']}:{deck['z']!r}:{deck['name']}"]
        done = self.run_it("import", *lists, *words, *AS_OF, "-o", "again.xml")
        self.assertEqual((done.returncode, self.told(done)[0]), (DONE, []), done.stderr.decode())
        self.assertEqual(self.carried(self.model("again.xml")), self.carried(before))

    def test_the_demo_and_the_barge(self):
        self.again(EXAMPLES / "fathom-lark.xml")
        self.again(EXAMPLES / "barge.xml")

    def test_random_ships(self):
        ships, wanted = 0, 15 if WHOLE else 5
        for index in range(wanted):
            folder = self.folder / str(index)
            folder.mkdir()
            self.again(oracle_networkx.write_ship(7, index, folder)[0])
            ships += 1
        self.assertEqual(ships, wanted)

    def test_all_tests_and_repairs_go_out_as_a_list_and_into_a_log(self):
        """As the page says: the list of tests is a sheet for record, and then the last tests are left out."""
        lark = (EXAMPLES / "fathom-lark.xml", "--log", EXAMPLES / "fathom-lark-log.xml")
        for table in ("spaces", "closures", "passages", "tests"):
            self.run_it("export", *lark, "--format", "csv", "--table", table, *AS_OF, "-o", table + ".csv")
        before = json.loads(self.run_it("export", *lark, *AS_OF).stdout)
        words = ["--name", before["ship"], "--size", "100x20x20", "--draft", "3"]
        for deck in before["decks"]:
            words += ["--deck", f":{deck['id']}:{deck['z']!r}:{deck['name']}"]
        done = self.run_it("import", "--spaces", "spaces.csv", "--closures", "closures.csv", "--passages", "passages.csv",
                           *words, "--map", "closures.test-date=", "--map", "closures.test-result=", *AS_OF, "-o", "again.xml")
        self.assertEqual(done.returncode, DONE, done.stderr.decode())
        done = self.run_it("record", "again-log.xml", "--sheet", "tests.csv", "--ship", "again.xml")
        self.assertEqual(done.returncode, DONE, done.stderr.decode())
        after = json.loads(self.run_it("export", "again.xml", "--log", "again-log.xml", *AS_OF).stdout)
        events = {c["id"]: c["events"] for c in before["closures"]}
        self.assertEqual({c["id"]: c["events"] for c in after["closures"]}, events)
        self.assertGreater(sum(map(len, events.values())), 100)

    def test_tests_are_written_whole(self):
        done = self.run_it("export", EXAMPLES / "fathom-lark.xml", "--log", EXAMPLES / "fathom-lark-log.xml",
                           "--format", "csv", "--table", "tests", *AS_OF)
        rows = list(csv.DictReader(io.StringIO(done.stdout.decode("utf-8"), newline="")))
        model = json.loads(self.run_it("export", EXAMPLES / "fathom-lark.xml", "--log",
                                       EXAMPLES / "fathom-lark-log.xml", *AS_OF).stdout)
        events = [(c["id"], e) for c in model["closures"] for e in c["events"]]
        self.assertEqual(len(rows), len(events))
        self.assertTrue(any(row["gaps-m"] for row in rows) and any(row["action"] for row in rows))
        for row, (closure, e) in zip(rows, events):
            gaps = [tuple(map(float, g.split(":"))) for g in row["gaps-m"].split()]
            self.assertEqual((row["closure"], row["date"], row["entry"], row["method"] or None, row["result"] or None,
                              row["action"] or None, row["by"] or None, row["note"] or None, gaps),
                             (closure, e["date"], e["event"], e.get("method"), e.get("result"), e.get("action"),
                              e["by"], e["note"], [(g["at"], g["length"]) for g in e.get("gaps", [])]))


class Wording(Case):
    """One fault has one wording: what is wrong with a value is said of an attribute, of a list and of
    a sheet of tests in the same words, behind the name of each."""

    SHIP = ('<arrangement xmlns="urn:coaming:arrangement:1" name="N"><ship length="40" beam="8" depth="5" draft="2"/>'
            '<space id="aft" name="A"><box x="0 20" y="-4 4" z="1 5"/></space>'
            '<space id="fore" name="F"><box x="20 40" y="-4 4" z="1 5"/></space>%s</arrangement>')
    OPENING = '<clear x="20" y="0" z="2" width="0.7" height="1.7" lies="transverse"/>'
    DOOR = '<closure id="D1" name="Door" kind="door" between="aft fore" rating="watertight">%s</closure>'

    def behind(self, errors, name):
        """What is said behind the name of the value, of which there is one line."""
        found = re.findall(rf"closure D1: (?:without its [^:]*: |not placed: )?{name} (.*)", errors)
        self.assertEqual(len(found), 1, errors)
        return found[0]

    def of_attribute(self, name, value, within=None):
        door = self.DOOR % ((f'<{within} {{}}/>' if within not in (None, "clear") else "") + self.OPENING)
        pair = f'{name}="{value}"'
        if within == "clear" or name in ("kind", "rating"):
            door = re.sub(rf' {name}="[^"]*"', " " + pair, door)
        elif within:
            door = door.format(pair)
        else:
            door = door.replace("<closure", "<closure " + pair)
        self.write("ship.xml", self.SHIP % door)
        done = self.run_it("check", "ship.xml", *AS_OF)
        self.assertEqual(done.returncode, INPUT)
        errors = [line for line in done.stderr.decode().splitlines() if ": error: " in line and "schema:" not in line]
        return self.behind("\n".join(errors), name)

    def of_list(self, column, value, **others):
        rows = list(csv.DictReader(io.StringIO(CLOSURES)))
        rows[0].update({**others, column: value})
        text = io.StringIO()
        table = csv.DictWriter(text, list(rows[0]), restval="")
        table.writeheader(), table.writerows(rows)
        done = self.asks(SPACES, text.getvalue(), DECKS)
        self.assertEqual(done.returncode, FOUND, done.stderr.decode())
        return self.behind(done.stderr.decode(), column)

    def test_attributes_and_lists(self):
        for within, name, column, values in (
                (None, "hours", "hours", ("x", "4,5", "1e999", "-1", "nan")),
                (None, "leak-probability", "leak-probability", ("1.5", "-0.1")),
                (None, "collapse-head", "collapse-head", ("0", "-2", "2e9")),
                (None, "kind", "kind", ("gate",)), (None, "rating", "rating", ("tight",)),
                (None, "fitted", "fitted", ("2026-02-30", "2019", "2999-01-01")),
                ("gasket", "fitted", "gasket-fitted", ("2026-13-01",)),
                ("clear", "x", "x", ("frx", "fr20+", "1e7", "twenty")),
                ("clear", "width", "width", ("-0.7",)), ("clear", "lies", "lies", ("across",))):
            for value in values:
                with self.subTest(name=name, value=value, within=within):
                    told = self.of_attribute(name, value, within)
                    if value.startswith("fr"):  # each says in its own terms what is not known
                        self.assertEqual(told, f"'{value}' is a frame, but the file has no <frames spacing=...>")
                        told = told.replace("the file has no <frames spacing=...>", "no frame spacing is given (--frames)")
                    self.assertEqual(self.of_list(column, value), told)

    def test_sheets_and_lists(self):
        """Results and dates, as people write them."""
        self.write("ship.xml", self.SHIP % (self.DOOR % self.OPENING))
        for column, name, values in (("test-date", "date", ("3/5/2026", "March 5", "2026-02-30", "05.03.2026")),
                                     ("test-result", "result", ("maybe",)), ("test-method", "method", ("feel",))):
            for value in values:
                with self.subTest(column=column, value=value):
                    row = {"date": "2026-05-12", "result": "pass", "method": "chalk", name: value}
                    self.write("sheet.csv", "closure,date,result,method\nD1,{date},{result},{method}\n".format(**row))
                    done = self.run_it("record", "log.xml", "--sheet", "sheet.csv", "--ship", "ship.xml", "--date", "2026-05-12")
                    self.assertEqual(done.returncode, INPUT, done.stderr.decode())
                    test = {"test-" + k: v for k, v in row.items()}
                    self.assertEqual(self.behind(done.stderr.decode(), name), self.of_list(column, value, **test))


class Schema(Case):
    """Whatever the schema lets a space, a closure or a passage say comes out of the lists and in
    again: the attributes are read from the schema itself, so that a new one cannot be forgotten."""

    RNG = "{http://relaxng.org/ns/structure/1.0}"
    DATES = {("closure", "fitted"): "2001-02-03", ("closure/gasket", "fitted"): "2002-03-04",
             ("closure/test", "date"): "2003-04-05"}
    # what the schema only calls an id or a text must be one that the ship knows
    GIVEN = {("space", "id"): "aft", ("space", "deck"): "low", ("closure", "between"): "aft fore",
             ("passage", "between"): "aft fore", ("closure", "shut-in"): "harbour sea",
             ("space", "number"): "2-36-0-E", ("space/box", "x"): "0 10", ("space/box", "y"): "-4 4",
             ("space/box", "z"): "1 5", ("space/prism", "z"): "1 5", ("space/box", "derived"): "yes",
             ("space/prism", "outline"): "10,-4 20,-4 20,4 10,4", ("closure/clear", "x"): "20",
             ("passage/clear", "x"): "20", ("closure/gasket", "joints"): "0.4 1.6",
             ("closure/test", "set"): "0.0035", ("closure/test", "hinge-play"): "0.006",
             ("closure/dogs", "count"): "2", ("closure/from", "side"): "aft", ("space", "walkable"): "no",
             ("closure", "power"): "fore", ("closure", "control"): "aft", ("closure/test", "method"): "air",
             ("closure/test", "space"): "fore", ("closure/test", "start-pressure"): "2000.5",
             ("closure/test", "end-pressure"): "1500.25", ("closure/test", "duration"): "600.5",
             ("closure/test", "volume"): "41.5", ("pump", "space"): "fore", ("pump", "serves"): "aft fore",
             ("pump", "power"): "fore", ("pump", "control"): "aft", ("fan", "supplies"): "fore"}

    def setUp(self):
        super().setUp()
        root = ET.parse(Path(os.environ["COAMING_ROOT"]) / "src/read/arrangement.rng").getroot()
        self.defines = {d.get("name"): d for d in root.iter(self.RNG + "define")}
        self.seen = 0

    def value(self, path, name, of):
        """A value of an attribute that differs from every other and from the default."""
        if (path, name) in {**self.GIVEN, **self.DATES}:
            return {**self.GIVEN, **self.DATES}[path, name]
        choices = [v.text for v in of.iter(self.RNG + "value")]
        refs = [r.get("name") for r in of.iter(self.RNG + "ref")]
        while refs and not choices:
            inner = self.defines[refs[0]]
            choices = [v.text for v in inner.iter(self.RNG + "value")]
            types = [d.get("type") for d in inner.iter(self.RNG + "data")]
            if types == ["double"]:
                self.seen += 1
                return f"0.{2 * self.seen + 101}"  # never with a 0 behind
            refs = [r.get("name") for r in inner.iter(self.RNG + "ref")]
        if choices:
            return choices[0] if choices[0] != "no" else choices[1]
        self.seen += 1
        return f"text-{self.seen}"

    def fill(self, element, pattern, path):
        """Puts every attribute and child of a pattern on an element."""
        for part in pattern:
            if part.tag == self.RNG + "attribute":
                element.set(part.get("name"), self.value(path, part.get("name"), part))
            elif part.tag == self.RNG + "element":
                child = ET.SubElement(element, NS + part.get("name"))
                self.fill(child, part, f"{path}/{part.get('name')}")
            elif part.tag == self.RNG + "ref":
                self.fill(element, self.defines[part.get("name")], path)
            else:
                self.fill(element, part, path)

    def made(self, kind):
        element = ET.Element(NS + kind)
        self.fill(element, self.defines[kind].find(self.RNG + "element"), kind)
        return element

    def arrangement(self):
        root = ET.fromstring(
            '<arrangement xmlns="urn:coaming:arrangement:1" name="All">'
            '<ship length="40" beam="8" depth="5" draft="2"/><deck id="low" z="1"/>'
            '<condition id="harbour"/><condition id="sea"/><condition id="yard"/></arrangement>')
        fore = '<space xmlns="urn:coaming:arrangement:1" id="fore" name="F"><box x="20 40" y="-4 4" z="1 5"/></space>'
        closure = self.made("closure")
        dog = closure.find(f"{NS}dogs/{NS}dog")
        ET.SubElement(closure.find(NS + "dogs"), NS + "dog", at="0.9")
        self.assertIsNotNone(dog)
        root.extend([self.made("space"), ET.fromstring(fore), closure,
                     *(self.made(kind) for kind in ("passage", "pump", "fan"))])
        return root

    def said(self, root):
        """[(path, attribute, value)] of the five; numbers as numbers."""
        found = []

        def walk(element, path):
            for name, value in element.attrib.items():
                words = [float(w) if re.fullmatch(r"-?[0-9.]+", w) else w for w in re.split("[ ,]", value)]
                found.append((path, name, words))
            for child in element:
                walk(child, f"{path}/{child.tag[len(NS):]}")

        for kind in ("space", "closure", "passage", "pump", "fan"):
            for element in root.findall(NS + kind):
                walk(element, kind)
        return sorted(found, key=str)

    def test_lists_out_and_in_lose_no_attribute(self):
        root = self.arrangement()
        self.write("all.xml", ET.tostring(root))
        self.assertEqual(self.run_it("check", "all.xml", *AS_OF).returncode, DONE,
                         self.run_it("check", "all.xml", *AS_OF).stderr.decode())
        lists = []
        for table in ("spaces", "closures", "passages", "pumps", "fans"):
            self.run_it("export", "all.xml", "--format", "csv", "--table", table, *AS_OF, "-o", table + ".csv")
            lists += ["--" + table, table + ".csv"]
        done = self.run_it("import", *lists, "--name", "All", "--size", "40x8x5", "--draft", "2", "--deck",
                           ":low:1", *AS_OF, "-o", "again.xml")
        self.assertEqual((done.returncode, self.told(done)[0]), (DONE, []), done.stderr.decode())
        # a default that is said aloud is nothing lost or made up, nor is a count of dogs that are placed
        implied = {("space", "people"), ("space", "worth"), ("space", "shell"), ("space", "vital"),
                   ("space", "permeability"), ("space", "enclosed"), ("space", "walkable"),
                   ("closure", "protected"), ("closure", "remote"), ("closure/dogs", "count")}
        before, after = (
            [s for s in self.said(r) if s[:2] not in implied] for r in
            (root, ET.parse(self.folder / "again.xml").getroot()))
        self.assertEqual(after, before)
        self.assertGreater(len(before), 40)
        again = ET.parse(self.folder / "again.xml").getroot()
        self.assertEqual(self.one(again, "text-1").get("protected"), "yes")
        for name in ("people", "worth", "shell", "vital", "permeability", "enclosed", "walkable"):
            self.assertEqual(self.one(again, "aft").get(name), self.one(root, "aft").get(name), name)

    WITHIN = {"clear": lambda row, name: row["clear"][name], "from": lambda row, name: row["from"],
              "gasket": lambda row, name: row["gasket_" + name],
              "dogs": lambda row, name: row["dog_count"], "dogs/dog": lambda row, name: row["dogs"],
              "test": lambda row, name: row["events"][0][name],
              "test/gap": lambda row, name: row["events"][0]["gaps"][0][name]}

    def test_a_drop_of_pressure_is_whole_or_lost_alone(self):
        head, door, hatch = CLOSURES.splitlines()[:3]
        columns = ("test-date", "test-method", "test-result", "test-space", "test-start-pressure", "test-end-pressure",
                   "test-duration", "test-volume")
        kept = [c for c in head.split(",") if c not in columns]
        rows = [dict(zip(head.split(","), line.split(","))) for line in (door, hatch)]
        good = dict(zip(columns, ("2026-05-12", "air", "pass", rows[0]["from"], "2000", "1500", "600", "40")))

        def imported(**changed):
            test = {**good, **{k.replace("_", "-"): v for k, v in changed.items()}}
            lines = [",".join([*kept, *columns])] + [",".join([row.get(c, "") for c in kept] + [test[c] for c in columns])
                                                     for row in rows[:1]]
            return self.imports(FOUND if changed else DONE, closures="\n".join(lines) + "\n")

        names = [c.removeprefix("test-") for c in columns[3:]]
        root, faults = imported()
        self.assertEqual([self.one(root, "D1").find(NS + "test").get(n) for n in names], [good[c] for c in columns[3:]])
        for changed, says in (({"test_end_pressure": "2001"}, "cannot end higher"), ({"test_duration": ""}, "without test-duration"),
                              ({"test_method": "hose"}, "is of a test by air"), ({"test_duration": "0"}, "test-duration '0'"),
                              ({"test_space": ""}, "which of the two spaces"), ({"test_space": "sea"}, "'sea' is no space"),
                              ({"test_space": "nowhere"}, "'nowhere' is no space"), ({"test_volume": "-1"}, "test-volume '-1'"),
                              ({"test_start_pressure": "", "test_end_pressure": "", "test_duration": ""},
                               "a drop of pressure has a start-pressure")):
            with self.subTest(says=says):
                root, faults = imported(**changed)
                test = self.one(root, "D1").find(NS + "test")
                self.assertEqual(test.get("result"), "pass")
                self.assertIn(says, str(faults))
                self.assertIn("without its drop of pressure", str(faults))
                if "test_volume" not in changed:
                    self.assertEqual([test.get(n) for n in names], [None] * 5)

    def test_a_head_that_it_holds_is_more_than_none(self):
        """As a length, in feet too; a door without one says so by null, never by 0."""
        door = '<closure id="D" kind="door" between="aft fore" rating="watertight"'
        whole = ET.tostring(self.arrangement()).decode().replace("ns0:", "").replace(":ns0", "")
        text = whole[:whole.index("<closure")] + door + "/>" + whole[whole.index("<passage"):]
        self.write("ship.xml", text)
        row = json.loads(self.run_it("export", "ship.xml", *AS_OF).stdout)["closures"][0]
        self.assertEqual((row["collapse_head"], row["remote"]), (None, False))
        self.write("ship.xml", text.replace(door, door + ' collapse-head="12.5" remote="yes"')
                   .replace('name="All"', 'name="All" units="ft"').replace('length="40"', 'length="60"'))
        row = json.loads(self.run_it("export", "ship.xml", *AS_OF).stdout)["closures"][0]
        self.assertEqual((row["collapse_head"], row["remote"]), (12.5 * 0.3048, True))
        for head, says in (("0", "'0' is out of bounds; it must be greater than 0"), ("-2", "it must be greater than 0"),
                           ("x", "'x' is not a number")):
            with self.subTest(head=head):
                self.write("ship.xml", text.replace(door, f'{door} collapse-head="{head}"'))
                done = self.run_it("check", "ship.xml", *AS_OF)
                self.assertEqual(done.returncode, 3)
                self.assertRegex(done.stderr.decode(), f"ship.xml:[0-9]+: error: closure D: collapse-head .*{re.escape(says)}")
                lines = CLOSURES.splitlines()
                spoilt = f"{lines[0]},collapse-head\n{lines[1]},{head}\n{lines[2]},4.5\n"
                root, faults = self.imports(FOUND, closures=spoilt)
                self.assertEqual([self.one(root, c).get("collapse-head") for c in ("D1", "H1")], [None, "4.5"])
                self.assertIn(says, faults[0])
                self.assertIn("closure D1: without its collapse-head: ", faults[0])

    def test_the_document_has_every_attribute(self):
        """As the schema has them: a new one that the document leaves out is found here."""
        root, seen = self.arrangement(), 0
        self.write("all.xml", ET.tostring(root))
        document = json.loads(self.run_it("export", "all.xml", "--format", "json", *AS_OF).stdout)
        rows = {row["id"]: row for kind in ("spaces", "closures", "passages", "pumps", "fans")
                for row in document[kind]}

        def told(value):
            if isinstance(value, list):
                return " ".join(map(told, value))
            return {True: "yes", False: "no"}.get(value, str(value)) if isinstance(value, bool) else str(value)

        def walk(element, path, row):
            nonlocal seen
            for name, text in element.attrib.items():
                key = name.replace("-", "_")
                value = self.WITHIN[path](row, key) if path else row[key]
                if path == "dogs/dog":
                    self.assertIn(float(text), value)
                elif isinstance(value, float):
                    self.assertEqual(value, float(text), (path, name))
                else:
                    self.assertEqual(told(value), text, (path, name))
                seen += 1
            for child in element:
                name = child.tag[len(NS):]
                if name not in ("box", "prism"):
                    walk(child, path + "/" * bool(path) + name, row)

        for kind in ("space", "closure", "passage", "pump", "fan"):
            for element in root.findall(NS + kind):
                walk(element, "", rows[element.get("id")])
        self.assertGreater(seen, 45)


class Bent(Case):
    """Lists bent at random: whatever comes, a status of the page, and what is written loads."""

    def test_bent_lists(self):
        chance, statuses = random.Random(5), set()
        pieces = ["", ",", ";", '"', "\n", "0", "-1", "1e999", "fr3", "nan", "yes", "2-1-0-E", "sea", "\u202e", "/",
                  "2026-01-01", "12 24/0 1/0 1", "'", "\t", "id", "number"]
        for _ in range(60):
            lists = [SPACES, CLOSURES]
            for _ in range(chance.randint(1, 4)):
                which = chance.randrange(2)
                at, gone = chance.randrange(len(lists[which]) + 1), chance.randrange(6)
                lists[which] = lists[which][:at] + chance.choice(pieces) + lists[which][at + gone:]
            done = self.asks(*lists, (*DECKS, *FRAMES))
            statuses.add(done.returncode)
            self.assertIn(done.returncode, (DONE, FOUND, INPUT), (lists, done.stderr.decode()))
            if done.returncode == INPUT:
                self.assertEqual(done.stdout, b"")
            else:
                self.loads(done.stdout)
        self.assertEqual(statuses, {DONE, FOUND, INPUT})


if __name__ == "__main__":
    unittest.main()
