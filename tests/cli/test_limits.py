"""Limits: each row of the table of coaming(1) is tried at what it says and beyond.

The table is read from the page, so that a row without a trial fails, and a trial without a row.
Needs Python 3.11, its standard library only.
Environment: COAMING, the program; COAMING_ROOT, the source tree. The ships are invented.
"""

import json
import sys
import unittest
from pathlib import Path

sys.dont_write_bytecode = True
sys.path.insert(0, str(Path(__file__).resolve().parent))
from harness import AS_OF, DONE, INPUT, LOG_NS, ROOT, SHIP_NS, SMALL, USAGE, WHOLE, Case, log, slow, spoil, tested  # noqa: E402

CLOSURES = "id,kind,rating,from,to,x,y,z,width,height,lies\nD1,door,watertight,fore,aft,5,0,1,1,2,transverse\n"
SPACES = "id,name,x0,x1,y0,y1,z0,z1\nfore,Fore,5,10,-3,3,0,4\naft,Aft,0,5,-3,3,0,4\n"


def table():
    """At most, and what is beyond, by what is limited."""
    page = (ROOT / "man" / "coaming.1").read_text(encoding="utf-8")
    section = page[page.index("\n.SH LIMITS\n"):]
    lines = section[section.index("\n.nf\n") + 5:section.index("\n.fi\n")].splitlines()
    lines = [line.replace("\\-", "-") for line in lines]
    at, then = lines[0].index("at most"), lines[0].index("beyond")
    return {line[:at].strip(): (int(line[at:then]), line[then:].strip()) for line in lines[1:]}


class Limits(Case):
    """One trial a row: at the limit, and one beyond."""

    def loads(self, text, name="ship.xml", says=()):
        """The file is sound but for what is said of it; says: words of the one error."""
        self.write(name, text)
        done = self.run_it("check", "ship.xml", *(("--log", name) if name != "ship.xml" else ()), *AS_OF)
        errors = [line for line in done.stderr.decode().splitlines() if ": error: " in line]
        self.assertEqual(done.returncode, INPUT if says else DONE, errors[:3])
        self.assertEqual(len(errors), 1 if says else 0, errors[:3])
        for word in says:
            self.assertIn(word, errors[0])

    def with_in(self, old, new):
        return spoil(old, new)[0]

    def trial_bytes_of_a_file(self, most):
        tail = SMALL.encode()
        for size, says in ((most, ()), (most + 1, ("256 MiB",)))[0 if WHOLE else 1:]:
            self.loads(b"\n" * (size - len(tail)) + tail, says=says)

    def trial_elements_in_elements(self, most):
        for depth, deep in ((most, False), (most + 1, True)):
            inside = depth - 1  # the arrangement is one
            self.write("ship.xml", self.with_in("<deck", "<x>" * inside + "</x>" * inside + "\n<deck"))
            done = self.run_it("check", "ship.xml")
            self.assertEqual(done.returncode, INPUT)  # <x> has no place there
            self.assertEqual(f"nested more than {most} deep" in done.stderr.decode(), deep, done.stderr)

    def trial_attributes_of_an_element(self, most):
        own = 2  # id and kind of the deck
        for count, says in ((most, ()), (most + 1, ("ship.xml:3: error: deck: ", f"more than {most} attributes"))):
            many = " ".join(f'xmlns:n{k}="urn:n"' for k in range(count - own))
            for encoding in ("utf-8", "utf-16"):
                text = self.with_in('<deck id="low" z="0"/>', f'<deck id="low" z="0" {many}/>')
                # what only looks like a tag, and quotes that are no values, do not count
                text = text.replace("</arrangement>", f"<!-- <a {'b=' * 9}{chr(34) * 999} --></arrangement>")
                self.loads(text.encode(encoding) if encoding == "utf-8" else
                           f'<?xml version="1.0" encoding="utf-16"?>{text}'.encode(encoding), says=says)
        entry = tested("D1", "2026-05-01", "pass")
        for count, says in ((most, ()), (most + 1, ("error: test: has more than",))):
            many = " ".join(f'xmlns:n{k}="urn:n"' for k in range(count - 4))
            self.loads(SMALL)
            self.loads(log(entry.replace("/>", f" {many}/>")), "log.xml", says)

    def trial_prefixes_of_namespaces(self, most):
        """Of the whole file: who declares few on each element nests them, or has many elements."""
        for count, says in ((most, ()), (most + 1, ("ship.xml:7: error: space: ", f"more than {most} prefixes"))):
            text, left = SMALL, count
            for element in ('<deck id="low"', '<space id="fore"', '<space id="mid"'):
                some = min(left, 100)
                many = " ".join(f"xmlns:n{k}='urn:n'" for k in range(some))
                text, left = text.replace(element, f"{element} {many}"), left - some
            # what is no declaration, and those without a prefix, do not count
            text = text.replace('name="Mid"', 'name="Mid xmlns:a= xmlns:b="')
            text = text.replace("</arrangement>", f"<!-- <a {'xmlns:a=' * 300}> --></arrangement>")
            for encoding in ("utf-8", "utf-16"):
                self.loads(text if encoding == "utf-8" else
                           f'<?xml version="1.0" encoding="utf-16"?>{text}'.encode(encoding), says=says)
        entries = [tested("D1", f"20{k // 28:02}-05-{k % 28 + 1:02}", "pass") for k in range(most + 1)]
        self.loads(SMALL)
        self.loads(log(*(entry.replace("/>", f' xmlns="{LOG_NS}"/>') for entry in entries)), "log.xml")
        self.loads(log(*(entry.replace("/>", ' xmlns:n="urn:n"/>') for entry in entries)), "log.xml",
                   says=(f"log.xml:{most + 2}: error: test: ",))

    def trial_bytes_of_an_id(self, most):
        for size, says in ((most, ()), (most + 1, ("below 1000 bytes",))):
            self.loads(SMALL.replace('id="low"', f'id="{"x" * size}"').replace('deck="low"', f'deck="{"x" * size}"')
                       if not says else self.with_in('id="P1"', f'id="{"x" * size}"'), says=says)
            self.loads(self.with_in('id="P1"', f'id="{"x" * size}"'), says=says)

    def trial_signs_of_a_name(self, most):
        for sign in ("n", "\u5b57"):
            for count, says in ((most, ()), (most + 1, ("error: space fore: name ", f"more than {most}"))):
                self.loads(self.with_in('name="Fore"', f'name="{sign * count}"'), says=says)
        for count, says in ((most, ()), (most + 1, ("closure D1: by ",))):
            by = tested("D1", "2026-05-01", "pass").replace("/>", f' by="{"b" * count}"/>')
            self.loads(SMALL)
            self.loads(log(by), "log.xml", says)
        self.recorded("--by", "by", most)

    def trial_bytes_of_a_note(self, most):
        for count, says in ((most, ()), (most + 1, ("closure D1: note ",))):
            note = tested("D1", "2026-05-01", "pass").replace("/>", f' note="{"n" * count}"/>')
            self.loads(SMALL)
            self.loads(log(note), "log.xml", says)
        self.recorded("--note", "note", most)

    def recorded(self, option, what, most):
        """What record takes is read back; what would not be is refused."""
        self.write("ship.xml", SMALL)
        for count in (most, most + 1):
            done = self.run_it("record", "new.xml", "D1", "chalk", "pass", "--date", "2026-05-01", "--ship", "ship.xml",
                               option, "n" * count)
            if count == most:
                self.assertEqual(done.returncode, DONE, done.stderr)
                self.assertEqual(self.run_it("check", "ship.xml", "--log", "new.xml", *AS_OF).returncode, DONE)
                (self.folder / "new.xml").unlink()
                continue
            self.assertEqual(done.returncode, INPUT)
            self.assertRegex(done.stderr.decode(), rf"closure D1: {what} ")
            self.assertFalse((self.folder / "new.xml").exists())

    def imported(self, spaces, closures=CLOSURES):
        self.write("spaces.csv", spaces)
        self.write("closures.csv", closures)
        return self.run_it("import", "--spaces", "spaces.csv", "--closures", "closures.csv", "--name", "Small",
                           "--size", "10x6x5", "--draft", "2", "-o", "made.xml")

    def sheet(self, spaces, says=""):
        done = self.imported(spaces)
        errors = [line for line in done.stderr.decode().splitlines() if ": error: " in line]
        self.assertEqual(done.returncode, INPUT if says else DONE, done.stderr[:300])
        self.assertEqual(len(errors), 1 if says else 0, errors[:3])
        if says:
            self.assertRegex(errors[0], says)

    def trial_columns_of_a_sheet(self, most):
        head, *rows = SPACES.splitlines()
        for count, says in ((most, ""), (most + 1, rf"spaces\.csv:1: error: sheet: {most + 1} headings.*{most}")):
            more = "".join(f",more{k}" for k in range(count - 8))
            self.sheet("\n".join([head + more, *rows]) + "\n", says)
        self.sheet("\n".join([head + "," * 3 * most, *rows]) + "\n")  # empty, behind the last: they do not count

    def trial_signs_of_a_heading(self, most):
        head, *rows = SPACES.splitlines()
        for count, says in ((most, ""), (most + 1, rf"spaces\.csv:1: error: sheet: the heading '.*{most} signs")):
            self.sheet("\n".join([head + "," + "\u5b57" * count, *rows]) + "\n", says)

    def trial_corners_of_a_prism(self, most):
        for count, says in ((most, ()), (most + 1, ("space aft: ", f"{most}"))):
            steps = [(10 * k / (count - 3), -3) for k in range(count - 2)]
            outline = " ".join(f"{x:.9g},{y}" for x, y in [*steps, (10, 3), (0, 3)])
            self.loads(self.with_in("0,-3 10,-3 10,3 0,3", outline), says=says)

    def with_inside(self, element):
        return self.with_in('<test date="2026-01-31"', f'{element}<test date="2026-01-31"')

    def trial_joints_of_a_gasket(self, most):
        for count, says in ((most, ()), (most + 1, ("closure D1: ", f"more than {most}"))):
            at = " ".join(f"{k / 100}" for k in range(count))
            self.loads(self.with_inside(f'<gasket joints="{at}"/>'), says=says)

    def trial_dogs_of_a_closure(self, most):
        for count, says in ((most, ()), (most + 1, ("closure D1: ", f"{most}"))):
            self.loads(self.with_inside(f'<dogs count="{count}"/>'), says=says)

    def trial_closures_of_a_round(self, most):
        door = SMALL[SMALL.index("<closure id"):SMALL.index("<closure id=\"H1")]
        for count in (most, most + 1):
            doors = "".join(door.replace('id="D1"', f'id="D1-{k}"') for k in range(count - 1))
            self.write("ship.xml", SMALL.replace("<closure id=\"H1", doors + "<closure id=\"H1"))
            names = ["D1", *(f"D1-{k}" for k in range(count - 1))]
            if count == most:
                done = self.run_it("round", "ship.xml", "--start", "weather", *names, *AS_OF)
                self.assertEqual(done.returncode, DONE, done.stderr[:200])
                continue
            self.one_line(USAGE, "round", "ship.xml", *names, *AS_OF, says=[str(most)])

    def trial_bytes_of_a_line_of_follow(self, most):
        self.write("ship.xml", SMALL)
        report = b'{"open": "D1"}'
        for size in (most, most + 1):
            line = report + b" " * (size - len(report)) + b"\n"
            done = self.run_it("casualty", "ship.xml", "--level", "still", "--follow", "-", *AS_OF, input=line)
            self.assertEqual(f"longer than {most} bytes" in done.stdout.decode(), size > most, done.stdout[:200])

    def trial_overlaps_that_are_told(self, most):
        for count in (most, most + 1):
            places = "".join(f'<space id="o{k}" name="O"><box x="20 21" y="-3 3" z="{k} {k + 1}"/></space>'
                             f'<space id="u{k}" name="U"><box x="20 21" y="-3 3" z="{k} {k + 1}"/></space>'
                             for k in range(100, 100 + count))
            self.write("ship.xml", SMALL.replace("<closure id=\"D1", places + "<closure id=\"D1"))
            told = self.run_it("check", "ship.xml", *AS_OF).stderr.decode()
            self.assertEqual(told.count(" overlaps space "), most)
            self.assertIn(f"{most} overlaps are told; there may be more", told)

    CLEAR = '<clear x="1" y="0" z="0" width="1" height="1" lies="transverse"/>'

    def side_by_side(self, doors, spaces, joined=True, more=""):
        """A ship of spaces in a row, with so many doors from the first to the second, from which on they are open to
        each other or not."""
        row = [f'<space id="{k}" name="R"><box x="{k} {k + 1}" y="0 1" z="0 1"/></space>' for k in range(spaces)]
        row += [f'<passage id="p{k}" kind="arch" between="{k} {k + 1}">{self.CLEAR}</passage>'
                for k in range(1, spaces - 1) if joined]
        row += [f'<closure id="d{k}" kind="door" rating="watertight" between="0 1">{self.CLEAR}</closure>'
                for k in range(doors)]
        head = f'<arrangement xmlns="{SHIP_NS}" name="Row"><ship length="{spaces + 8}" beam="4" depth="4" ' \
               'draft="2" kg="1"/>'
        self.write("ship.xml", head + "".join(row) + more + "</arrangement>")

    def names_too_many(self, most, refused, command, *words):
        """refused: the id of the closure at which the count passes the limit; None: it is answered."""
        done = self.run_it(command, "ship.xml", *words, "--format", "json", "-o", "/dev/null", *AS_OF)
        said = done.stderr.decode()
        self.assertEqual(done.returncode, INPUT if refused else DONE, (command, words, said[:300]))
        self.assertEqual(str(most) in said, bool(refused), said[:300])
        if refused:
            self.assertIn(f"ship.xml:1: closure {refused}: ", said)
            self.assertIn("'coaming expose'", said)

    def trial_spaces_named(self, most):
        """Each door lets air in to the row, and from there into the one; and water as well, which is settled."""
        doors = 5000
        self.assertEqual(most % doors, 0)
        spaces, last = most // doors, f"d{doors - 1}"
        air, water = ("--hazard", "air"), ("--hazard", "water")
        if WHOLE:  # each takes seconds
            self.side_by_side(doors, spaces)
            self.names_too_many(most, None, "export", *air)
            # air has named all that may be; the first of water is one too many
            self.names_too_many(most, "d0", "export")
            self.names_too_many(most, "d0", "expose", "--all")
            self.names_too_many(most, None, "expose", "--all", *air)
            self.names_too_many(most, None, "expose", "--all", *water)
        self.side_by_side(doors, spaces, more=f'<space id="one" name="One"><box x="1 2" y="1 2" z="0 1"/></space>'
                          f'<passage id="last" kind="arch" between="1 one">{self.CLEAR}</passage>')
        if WHOLE:
            self.names_too_many(most, last, "export", *air)
            self.names_too_many(most, last, "expose", "--all", *air)
            self.names_too_many(most, last, "expose", "--all", *water)
        self.names_too_many(most, None, "expose", "d0", *water)

    @slow
    def test_what_is_not_named_does_not_count(self):
        """Of more closures times spaces than may be named, of which each closure exposes one or none."""
        most = table()["spaces named, closure by closure"][0]
        doors, spaces = 5100, 5000
        self.assertGreater(2 * doors * spaces, most)
        self.side_by_side(doors, spaces, joined=False)
        for command, *words in (("expose", "--all", "--hazard", "water"), ("expose", "--all"), ("export",)):
            self.names_too_many(most, None, command, *words)

    def takes(self, *words, says):
        """words: of the command at the limit, then beyond it; says: in the one line of the error."""
        self.write("ship.xml", SMALL.replace('draft="2"', 'draft="2" kg="2"'))
        at, beyond = words
        done = self.run_it(*at, *AS_OF)
        self.assertEqual(done.returncode, DONE, done.stderr[:300])
        self.one_line(USAGE, *beyond, *AS_OF, says=[says])
        return done.stdout

    @staticmethod
    def named_by_damage(decks, draft=3, depth=6):
        """Of a box of so many decks, a space on each, one zone long: damage opens from one deck up to another, its
        top above the water, and its bottom at the lowest or at a ceiling below the water."""
        z = [depth * k / decks for k in range(decks + 1)]
        tops = [k for k in range(1, decks) if z[k] > draft] + [decks]  # spaces below the top; the last without limit
        begins = [k for k in range(1, decks) if z[k] < draft]
        reach = {max(k + 1 for k in range(decks) if z[k] <= draft)}  # up to the water: up_to is the draught
        reach |= {max(j + 1 for j in range(decks) if z[j] <= z[k]) for k in tops if k < decks} | {decks}
        return sum(to - begin for to in reach for begin in [0, *begins] if begin < to)

    def trial_spaces_named_by_damage(self, most):
        decks = 250
        while self.named_by_damage(decks + 1) <= most:
            decks += 1
        sys.path.insert(0, str(ROOT / "tests" / "fuzz"))
        import attack
        at = decks if WHOLE else decks // 4  # at the limit it takes ten seconds
        for count, status in ((at, DONE), (decks + 1, INPUT)):
            self.write("ship.xml", "".join(attack.decks(count)).replace('draft="3"', 'draft="3" kg="2"'))
            done = self.run_it("survival", "ship.xml", *AS_OF)
            self.assertEqual(done.returncode, status, (count, done.stderr[:300]))
            self.assertEqual(str(most) in done.stderr.decode(), status == INPUT)

    def trial_moments_of_a_flood(self, most):
        flood = "flood", "ship.xml", "--breach", "mid:0.0001", "--every", "1s", "--format", "json", "--until"
        told = self.takes((*flood, f"{most - 1}s"), (*flood, f"{most}s"), says=str(most))
        self.assertEqual(len(json.loads(told)["times"]), most)

    def trial_steps_of_the_air(self, most):
        air = "air", "ship.xml", "--source", "mid:0.01m3/s", "--every", "1s", "--until"
        self.takes((*air, f"{most}s"), (*air, f"{most + 1}s"), says=str(most))

    def trial_states_of_likely(self, most):
        flood = "flood", "ship.xml", "--breach", "mid:0.01", "--until", "1s", "--likely"
        self.one_line(USAGE, *flood, str(most + 1), says=[str(most)])
        done = self.run_it("flood", "not-there.xml", *flood[2:], str(most))  # for on a ship it takes a minute
        self.assertEqual(done.returncode, INPUT)
        self.assertNotIn("likely", done.stderr.decode())

    def trial_samples(self, most):
        rank = "rank", "ship.xml", "--level", "still", "--risk", "sampled", "--share", "1/4096", "--samples"
        self.takes((*rank, str(most)), (*rank, str(most + 1)), says=str(most))

    def trial_shares_of_a_study(self, most):
        study = "survival", str(ROOT / "examples" / "fathom-lark.xml"), "--share"
        self.takes((*study, f"1/{most}"), (*study, f"1/{most + 1}"), says="--share")

    def trial_decks_of_an_import(self, most):
        self.write("spaces.csv", SPACES)
        self.write("closures.csv", CLOSURES)
        words = ["import", "--spaces", "spaces.csv", "--closures", "closures.csv", "--name", "Small",
                 "--size", "10x6x5", "--draft", "2"]
        decks = [word for k in range(most + 1) for word in ("--deck", f":d{k}:{k / 1000}")]
        done = self.run_it(*words, *decks[2:])
        self.assertEqual(done.returncode, DONE, done.stderr[:300])
        self.assertEqual(done.stdout.decode().count("<deck "), most)
        self.one_line(USAGE, *words, *decks, says=[str(most)])

    def trial_bytes_looked_through(self, most):
        """The last closure ends at the last byte that is looked at, or one behind it."""
        element = SMALL[SMALL.index('<closure id="H1"'):SMALL.index("</closure>", SMALL.index('<closure id="H1"')) + 10]
        start = SMALL.index(element) + element.index(">") + 1  # of its tag
        for more in (0, 1):
            self.write("ship.xml", "<!--" + " " * (most - start - 7 + more) + "-->" + SMALL)
            done = self.run_it("__complete", "history", "ship.xml", "")
            self.assertEqual(done.returncode, DONE)
            self.assertIn("D1", done.stdout.decode())
            self.assertEqual("H1" in done.stdout.decode(), not more)

    TRIALS = {
        "bytes of a file": trial_bytes_of_a_file,
        "elements in elements": trial_elements_in_elements,
        "attributes of an element": trial_attributes_of_an_element,
        "prefixes of namespaces": trial_prefixes_of_namespaces,
        "bytes of an id": trial_bytes_of_an_id,
        "signs of a name or other text": trial_signs_of_a_name,
        "bytes of a note": trial_bytes_of_a_note,
        "columns of a sheet": trial_columns_of_a_sheet,
        "signs of a heading": trial_signs_of_a_heading,
        "corners of a prism": trial_corners_of_a_prism,
        "joints of a gasket": trial_joints_of_a_gasket,
        "dogs of a closure": trial_dogs_of_a_closure,
        "closures of a round": trial_closures_of_a_round,
        "bytes of a line of --follow": trial_bytes_of_a_line_of_follow,
        "overlaps that are told": trial_overlaps_that_are_told,
        "spaces named, closure by closure": trial_spaces_named,
        "spaces named, by sets of damage": trial_spaces_named_by_damage,
        "moments of a flood": trial_moments_of_a_flood,
        "steps of the air": trial_steps_of_the_air,
        "states of --likely": trial_states_of_likely,
        "samples": trial_samples,
        "shares of a study": trial_shares_of_a_study,
        "decks of an import": trial_decks_of_an_import,
        "bytes looked through for a word": trial_bytes_looked_through,
    }

    def test_every_row_has_a_trial_and_every_trial_a_row(self):
        self.assertEqual(list(table()), list(self.TRIALS))

    def test_at_and_beyond_every_limit(self):
        for what, (most, _) in table().items():
            with self.subTest(what):
                self.TRIALS[what](self, most)


class Costs(Case):
    """Each command's page says by what its time is bounded."""

    def test_every_page_of_a_command_says_what_time_grows_with(self):
        said = self.run_it("--help").stdout.decode()
        pages = sorted((ROOT / "man").glob("coaming-*.1"))
        for page in pages:
            name = page.stem.removeprefix("coaming-")
            with self.subTest(name):
                self.assertRegex(said, rf"(?m)^ +{name} ")
                text = page.read_text(encoding="utf-8")
                self.assertEqual(text.count("\n.SH COST\nTime grows "), 1)
                cost, after = text[text.index("\n.SH COST\n") + 10:].split("\n.SH ", 1)
                self.assertTrue(after.startswith("SEE ALSO"))
                self.assertTrue(cost.rstrip().endswith("."))
        commands = [line.split()[0] for line in said.splitlines() if line.startswith("  ") and line[2:3].isalpha()]
        for name in commands:
            self.assertIn(f"coaming-{name}.1", [page.name for page in pages])


class LongTexts(Limits):
    """What lists make is what loads."""

    test_every_row_has_a_trial_and_every_trial_a_row = test_at_and_beyond_every_limit = None
    test_what_is_not_named_does_not_count = None

    def test_an_id_longer_than_a_name_gives_a_name_that_loads(self):
        done = self.imported(SPACES.replace("fore,Fore", "f" * 999 + ",").replace("name", "nothing", 1), CLOSURES.replace("fore", "f" * 999))
        self.assertEqual(done.returncode, DONE, done.stderr[:300])
        self.assertEqual(self.run_it("check", "made.xml").returncode, DONE)

    def test_a_name_that_is_too_long_costs_the_name_alone(self):
        done = self.imported(SPACES.replace("Fore", "N" * 201))
        self.assertEqual(done.returncode, 1, done.stderr[:300])
        self.assertIn("without its name (its id is taken): name 'NNN", done.stderr.decode())
        self.assertEqual(self.run_it("check", "made.xml").returncode, DONE)

    def test_equal_headings_are_told_once(self):
        self.sheet(",".join(["ID", "id"] * 400) + "\n", r"two columns are headed 'id'")


if __name__ == "__main__":
    unittest.main()
