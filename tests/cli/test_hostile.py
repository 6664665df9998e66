#!/usr/bin/python3
"""Text that lies to the eye: a ship all of whose names, ids, notes and signatures hold signs that turn the
direction of writing, cannot be seen or do something to a terminal goes through every command in every
form.

Which signs those are is worked out here from the Unicode database of Python, by general category, and not
from the program. Shown as text, each stands as its number, <U+202E>; as data (JSON, XML) it is escaped and
read back as it was; and the columns of text lie as they do where words of the same width stand instead.

Needs Python 3.11, its standard library only.
Environment: COAMING, COAMING_ROOT. The ships are the examples, spoilt here.
"""

import csv
import io
import json
import re
import unittest
import xml.etree.ElementTree as ET

from harness import AS_OF, BARGE, DEMO, DEMO_LOG, DONE, FOUND, INPUT, SMALL, USAGE, OneFolder, deceives, run, shown, slow

SIGNS = ("\u202e", "\u202a", "\u202b", "\u202c", "\u202d", "\u2066", "\u2067", "\u2068", "\u2069", "\u200e", "\u200f",
         "\u061c", "\u200b", "\u200c", "\u200d", "\u2060", "\ufeff", "\u007f", "\u0080", "\u009b", "\u009d", "\u2028",
         "\u2029", "\u00ad", "\u180e", "\u206a", "\ufff9", "\ufdd0", "\U000e0041", "\U0001d173")
BLANKS = ("\t", "\n", "\r", "\u0085")
FORMULAS = ("=HYPERLINK(A1)", "+1+cmd|' /C calc'!A0", "-2+A3", "@SUM(A1)", "\uff1d1+A1")
NAMES = {"name", "note", "by", "use"}
REFERENCES = {"id", "between", "source", "shut-in", "deck", "space", "closure", "serves", "power", "control", "supplies",
              "side", "arrangement"}
ENDS = {"csv": "\r\n", "ical": "\r\n", "graphml": "\n\t"}


def word_for(sign):
    """Letters as wide as its number is."""
    return f"q{ord(sign):04x}qqqqq"[:len(f"<U+{ord(sign):04X}>")]


class Spoiler:
    """Spoils an arrangement or a log: every id and every name gets the next of the signs; the same id the same."""

    def __init__(self, signs, blanks=(), formulas=()):
        """Without blanks the names are made so short that no table cuts them."""
        self.signs, self.blanks, self.formulas = signs, blanks, formulas
        self.ids, self.turn = {}, 0

    def id(self, text):
        if text not in self.ids:
            base = text if self.blanks else f"{len(self.ids):x}"
            self.ids[text] = base + self.signs[len(self.ids) % len(self.signs)]
        return self.ids[text]

    def name(self, text):
        self.turn += 1
        t = self.turn
        if not self.blanks:
            return text[:3] + self.signs[t % len(self.signs)] + text[3:6]
        middle = len(text) // 2
        start = self.formulas[t // 3 % len(self.formulas)] + " " if t % 3 == 0 else ""
        blank = self.blanks[t % len(self.blanks)] if t % 5 == 0 else ""
        return (start + text[:middle] + self.signs[t % len(self.signs)] + blank + text[middle:]
                + self.signs[(t + 7) % len(self.signs)])

    def attribute(self, element, name, value, known):
        if name in NAMES and element != "method":
            return self.name(value)
        if name in REFERENCES:
            return " ".join(self.id(w) if w in known else w for w in value.split(" ")) if name != "arrangement" else value
        return value

    def spoil(self, path, known=()):
        root = ET.parse(path).getroot()
        known = (set(known) | {e.get("id") for e in root.iter() if e.get("id")}) - {"sea", "weather"}
        for e in root.iter():
            for name, value in list(e.attrib.items()):
                e.set(name, self.attribute(e.tag.split("}")[1], name, value, known))
        return root, known


def spoilt(spoiler, ship, log=None):
    ET.register_namespace("", "urn:coaming:arrangement:1")
    root, known = spoiler.spoil(ship)
    texts = [ET.tostring(root, "unicode")]
    if log:
        logged = spoiler.spoil(log, known)[0]
        if "arrangement" in logged.attrib:
            logged.set("arrangement", root.get("name"))
        texts.append(ET.tostring(logged, "unicode"))
    return texts


class Ships(OneFolder):
    @classmethod
    def setUpClass(cls):
        super().setUpClass()
        cls.bad = Spoiler(SIGNS, BLANKS, FORMULAS)
        cls.signs, cls.words = Spoiler(SIGNS[:-2]), Spoiler([word_for(s) for s in SIGNS[:-2]])
        for name in ("bad", "signs", "words"):
            spoiler = getattr(cls, name)
            ship, log = spoilt(spoiler, DEMO, DEMO_LOG)
            cls.write(f"{name}.xml", ship), cls.write(f"{name}-log.xml", log)
            cls.write(f"{name}-barge.xml", spoilt(spoiler, BARGE)[0])

    def asked(self, which, words):
        """The words of a run: @x is the id that x became, and the ship stands for SHIP."""
        spoiler = getattr(self, which)
        ship, log, barge = (str(self.folder / f"{which}{end}") for end in (".xml", "-log.xml", "-barge.xml"))
        out = []
        for word in words:
            if word == "SHIP":
                out += [ship, "--log", log, *AS_OF]
            elif word == "BARGE":
                out += [barge, *AS_OF]
            else:
                out.append(re.sub(r"@([\w.-]+)", lambda m: spoiler.ids[m[1]], word.replace("LOG", log)))
        return out

    def run_on(self, which, words):
        done = run(*self.asked(which, words))
        self.assertIn(done.returncode, (DONE, FOUND), (words, done.stderr))
        return done.stdout.decode("utf-8"), done.stderr.decode("utf-8")

    def assert_clean(self, text, allowed, words):
        found = sorted({f"{ord(c):04X}" for c in text if deceives(c) and c not in allowed})
        self.assertEqual(found, [], words)


ASKED = (
    ("text json csv", "check", "SHIP"), ("text json csv", "expose", "SHIP", "--all"),
    ("text", "rank", "SHIP"), ("text json csv", "rank", "BARGE"), ("text json", "rank", "BARGE", "--explain", "@D1"),
    ("text json csv", "plan", "BARGE", "--hours", "9"),
    ("json graphml dot", "export", "BARGE"), ("csv", "export", "SHIP", "--table", "spaces"),
    ("csv", "export", "SHIP", "--table", "closures"), ("csv", "export", "SHIP", "--table", "passages"),
    ("csv", "export", "SHIP", "--table", "pumps"), ("csv", "export", "SHIP", "--table", "fans"),
    ("text json csv", "float", "SHIP", "--flooded", "@engine,@motor"),
    ("text json csv svg", "flood", "BARGE", "--breach", "@machinery:0.02", "--until", "10min"),
    ("text json csv", "survival", "BARGE"),
    ("text json csv", "hold", "SHIP", "--source", "@aux"),
    ("text json csv", "boundary", "SHIP", "@engine", "--condition", "@port"),
    ("text json csv html", "casualty", "BARGE", "--source", "@machinery"),
    ("text json csv", "air", "BARGE", "--source", "@machinery:20g/s:co"),
    ("svg", "draw", "SHIP"), ("svg", "draw", "SHIP", "--overlay", "due"),
    ("svg", "draw", "SHIP", "--overlay", "expose", "--closure", "@D1"),
    ("html", "report", "BARGE"),
    ("text json csv ical", "due", "SHIP", "--all"), ("text json csv", "round", "SHIP"), ("text json csv", "adjust", "SHIP"),
    ("text json csv", "history", "SHIP", "@D1"),
)


class EveryCommand(Ships):
    def test_nothing_deceives_in_any_form(self):
        numbers = 0
        for forms, *words in ASKED:
            for form in forms.split():
                with self.subTest(words=words, form=form):
                    out, err = self.run_on("bad", (*words, "--format", form))
                    self.assert_clean(out + err, ENDS.get(form, "\n"), (words, form))
                    self.told_whole(form, out)
                    numbers += len(re.findall(r"<U\+[0-9A-F]{4,6}>|&lt;U\+[0-9A-F]{4,6}&gt;", out))
        self.assertGreater(numbers, 2000)

    def told_whole(self, form, out):
        """The signs are there: as numbers in text, as they were in data."""
        if form == "json":
            self.assertTrue(any(deceives(c) for c in json.dumps(json.loads(out), ensure_ascii=False)))
        elif form in ("svg", "html", "graphml"):
            told = "".join(v for e in ET.fromstring(out).iter() for v in (e.text or "", *e.attrib.values()))
            self.assertEqual(any(deceives(c) and c != "\n" for c in told), form == "graphml")
            self.assertTrue(form == "graphml" or re.search(r"<U\+[0-9A-F]{4,6}>", told))
        else:
            self.assertRegex(out.replace("\r\n ", ""), r"<U\+[0-9A-F]{4,6}>")

    @slow
    def test_columns_lie_as_with_words_of_that_width(self):
        numbers = {word_for(s): shown(s) for s in SIGNS}
        pattern = re.compile("|".join(sorted(numbers, key=len, reverse=True)))
        for forms, *words in ASKED:
            if "text" in forms:
                with self.subTest(words=words):
                    expected = pattern.sub(lambda m: numbers[m[0]], self.run_on("words", words)[0])
                    self.assertEqual(self.run_on("signs", words)[0], expected.replace("words", "signs"))

    def test_no_field_of_a_sheet_is_a_formula(self):
        marked = 0
        for forms, *words in ASKED:
            if "csv" in forms:
                text = self.run_on("bad", (*words, "--format", "csv"))[0]
                for field in (f for row in csv.reader(io.StringIO(text, newline="")) for f in row):
                    marked += field[:2] in ("'=", "'+", "'-", "'@", "'\uff1d")
                    self.assertFalse(re.match(r"[=+@\t\r\uff1d\uff0b\uff0d\uff20]|-(?![\d.,;/+ e-]*$)", field), (words, field))
        self.assertGreater(marked, 100)


class Data(Ships):
    def test_json_and_graphs_have_names_as_they_were(self):
        root = ET.parse(self.folder / "bad.xml").getroot()
        names = [e.get("name") for e in root if e.tag.endswith("}space")]
        ids = [e.get("id") for e in root if e.tag.endswith("}space")]
        document = json.loads(self.run_on("bad", ("export", "SHIP"))[0])
        self.assertEqual([s["name"] for s in document["spaces"]], names)
        self.assertEqual([s["id"] for s in document["spaces"]], ids)
        graph = ET.fromstring(self.run_on("bad", ("export", "SHIP", "--format", "graphml"))[0])
        told = {d.text for d in graph.iter("{http://graphml.graphdrawing.org/xmlns}data")}
        self.assertLessEqual(set(names), told)

    def test_lists_lose_nothing(self):
        """Written as lists and read again it is the same ship, in names of the worst kind."""
        lists = {}
        for table in ("spaces", "closures"):
            text = self.run_on("bad", ("export", "BARGE", "--format", "csv", "--table", table))[0]
            lists[table] = self.write(f"{table}.csv", text.encode())
        done = run("import", "--name", "Again", "--size", "30x6x5", "--draft", "2", *(w for t in lists for w in (f"--{t}", lists[t])))
        self.assertEqual(done.returncode, FOUND, done.stderr)  # the decks are not among the lists
        text = done.stdout.decode()
        self.assert_clean(text + done.stderr.decode(), "\n", "import")
        again, before = ET.fromstring(text), ET.parse(self.folder / "bad-barge.xml").getroot()
        for tag in ("space", "closure"):
            told = [[(e.get("id"), e.get("name")) for e in root if e.tag.endswith("}" + tag)] for root in (again, before)]
            self.assertGreater(len(told[0]), 3)
            self.assertEqual(*told)

    def test_the_log_keeps_a_signature_and_hides_nothing(self):
        log = self.write("new-log.xml", '<test-log xmlns="urn:coaming:test-log:1" arrangement="Small"/>')
        note = "see\u202e\u200b= over\u009b31m"
        ship = self.write("plain.xml", SMALL)
        done = run("record", log, "--ship", ship, "D1", "chalk", "pass", "--by", "A\u2067B", "--note", note, "--date", "2026-03-01")
        self.assertEqual((done.returncode, done.stderr), (DONE, b""))
        self.assert_clean(done.stdout.decode(), "\n", "record")
        text = (self.folder / "new-log.xml").read_text("utf-8")
        self.assert_clean(text, "\n", "the log")
        entry = next(e for e in ET.fromstring(text) if e.tag.endswith("}test"))
        self.assertEqual((entry.get("by"), entry.get("note")), ("A\u2067B", note))


class Complaints(Ships):
    """Standard error: what was typed, the names of files and what stands in them."""

    def told(self, status, *words, **how):
        done = run(*words, **how)
        self.assertEqual(done.returncode, status, (words, done.stderr))
        text = done.stderr.decode("utf-8")
        self.assert_clean(text + done.stdout.decode("utf-8"), "\n", words)
        self.assertRegex(text, r"<U\+001B>|<U\+202E>|<0xFF>|<U\+0007>|<U\+009B>")
        return text

    def test_words_of_the_command_line(self):
        ship = self.write("small.xml", SMALL)
        for words in (("rank\x1b[2J", ship), ("rank", ship, "--form\x1b[2J", "x"), ("rank", ship, "--format", "\x1b[31mjson"),
                      ("expose", ship, "D\u202e1"), ("history", ship, "\x1b]0;x\x07"), ("boundary", ship, "fore\u202e"),
                      ("hold", ship, "--source", "mid\x1b[A"), ("float", ship, "--flooded", "\u202e"),
                      ("draw", ship, "--deck", "\x1b[1m"), ("flood", ship, "--breach", "\x1b:0.1"),
                      ("air", ship, "--source", "mid:1g/s:\x1bco"), ("plan", ship, "--hours", "\x1b3"),
                      ("due", ship, "--as-of", "2026\x1b"), ("check", ship, "more\x1b"), ("import", "\x1b"),
                      ("survival", ship, "--share", "\x1b1/2"), ("casualty", ship, "--source", "\u202emid"),
                      ("round", ship, "D1\x1b"), ("adjust", ship, "\x1b"), ("record", ship, "D1", "chalk\x1b", "pass")):
            with self.subTest(words=words):
                done = run(*words)
                self.assertIn(done.returncode, (USAGE, INPUT))
                self.told(done.returncode, *words)

    def test_names_of_files_and_bytes_that_are_no_text(self):
        for name in (b"gone\x1b[2J.xml", b"gone\xff.xml", "gone\u202e.xml".encode()):
            path = bytes(self.folder) + b"/" + name
            done = run("check", path.decode("utf-8", "surrogateescape"))
            self.assert_clean(done.stdout.decode() + done.stderr.decode(), "\n", name)
            self.assertRegex(done.stdout.decode() + done.stderr.decode(), r"<U\+001B>|<0xFF>|<U\+202E>")

    def test_what_stands_in_a_sheet(self):
        spaces = self.write("s.csv", "id,name,box\na,\"A\x1b[2J\",0 1/0 1/0 1\nb\x07,B,0 1/0 1/0 1\n")
        closures = self.write("c.csv", "id,kind,from,to,rating\nD1,do\u202eor,a,b,watertight\n")
        self.told(FOUND, "import", "--name", "X", "--size", "30x6x5", "--draft", "2", "--spaces", spaces, "--closures", closures)

    def test_what_stands_in_a_ship_and_a_log(self):
        self.told(INPUT, "check", self.write("e.xml", SMALL.replace('kind="door"', 'kind="do\u202eor"')))
        self.told(INPUT, "check", self.write("f.xml", SMALL.replace('between="fore mid"', 'between="fore\u202e mid"')))
        self.told(INPUT, "check", self.write("g.xml", SMALL.replace('id="D1"', 'id="D\u009b1" x\u00e9="&#x202e;"')))

    def test_lines_that_are_reported(self):
        ship = self.write("small2.xml", SMALL)
        done = run("casualty", ship, "--source", "mid", "--follow", "-", *AS_OF,
                   input='{"open": "D\u202e1"}\n{"op\u202een": "D1"}\n{"open": "\x1b[2J"}\n{"open": "D1\\u001b"}\n'.encode())
        self.assert_clean(done.stdout.decode() + done.stderr.decode(), "\n", "follow")
        self.assertIn(b"4 lines are no reports", done.stderr)

    def test_what_a_shell_is_offered(self):
        out = run("__complete", "expose", str(self.folder / "bad.xml"), "").stdout.decode()
        self.assert_clean(out, "\n\t", "__complete")


if __name__ == "__main__":
    unittest.main()
