#!/usr/bin/python3
"""Graphs and sheets for other programs say what the JSON documents say, whatever the names.

GraphML is read here by the rules of "The GraphML Primer" and the schema 1.0 (U. Brandes,
M. Eiglsperger, J. Lerner, graphml.graphdrawing.org): keys before the graph, data by key. DOT is read
by the grammar of "The DOT Language" (graphviz.org/doc/info/lang.html): in a quoted string only the
quote is escaped; that a backslash is doubled is ours (coaming-export(1)). graph_readers.py has the
same read by other programs.

Needs Python 3.11, its standard library only.
Environment: COAMING, the program; COAMING_ROOT, the source tree. The ships here are invented.
"""

import csv
import io
import json
import re
import subprocess
import unittest
import xml.etree.ElementTree as ElementTree

from graph_rows import IDS, NAMES, compare, expected, hostile_ship
from harness import AS_OF, BARGE, COAMING, DEMO, DEMO_LOG, USAGE, Folder, in_sheet, shown, slow

G = "{http://graphml.graphdrawing.org/xmlns}"
NMTOKEN = re.compile(r"[-.\w:\u00b7\u0300-\u036f\u203f\u2040]+")
ASKED = ((), ("--measure", "people", "--level", "still"), ("--level", "full", "--hazard", "water"))


class Case(Folder):
    TIMEOUT = 600

    def setUp(self):
        super().setUp()
        self.hostile = self.folder / self.write("hostile.xml", hostile_ship())

    def text(self, *words, status=0):
        done = self.run_it(*words)
        self.assertEqual(done.returncode, status, done.stderr)
        return done.stdout.decode("utf-8")

    def ships(self):
        """What is asked of each ship."""
        yield from (((BARGE, *AS_OF, *more)) for more in ASKED)
        yield (DEMO, "--log", DEMO_LOG, *AS_OF, "--condition", "sea")
        yield (self.hostile, *AS_OF)
        yield (self.hostile, *AS_OF, "--condition", "none")


def unescaped(token):
    """An XML name token as the id it was made from: _xHHHH_ is a code point."""
    return re.sub("_x([0-9A-F]{4,6})_", lambda code: chr(int(code[1], 16)), token)


class GraphML(Case):
    def read(self, *asked):
        """The graph's data, nodes and edges, checked for the order and types that the schema has."""
        root = ElementTree.fromstring(self.text("export", "--format", "graphml", *asked))
        self.assertEqual(root.tag, G + "graphml")
        self.assertEqual([child.tag for child in root],
                         [G + "key"] * (len(root) - 1) + [G + "graph"])
        keys = {key.get("id"): key for key in root.iter(G + "key")}
        self.assertEqual(len(keys), len(root) - 1)
        graph = root[-1]
        self.assertEqual(graph.get("edgedefault"), "undirected")

        def data(item, domain):
            values = {}
            for child in item.findall(G + "data"):
                key = keys[child.get("key")]
                name, text = key.get("attr.name"), child.text or ""
                self.assertEqual(key.get("for"), domain)
                self.assertNotIn(name, values)
                if key.get("attr.type") == "double":
                    float(text)
                elif key.get("attr.type") == "boolean":
                    self.assertIn(text, ("true", "false"))
                else:
                    self.assertEqual(key.get("attr.type"), "string")
                values[name] = text
            return values

        nodes, edges = {}, {}
        for item in graph:
            if item.tag == G + "node":
                nodes[unescaped(item.get("id"))] = data(item, "node")
            elif item.tag == G + "edge":
                ends = {unescaped(item.get(end)) for end in ("source", "target")}
                edges[unescaped(item.get("id"))] = (ends, data(item, "edge"))
            if item.get("id"):
                self.assertTrue(NMTOKEN.fullmatch(item.get("id")), item.get("id"))
        for token in ("source", "target"):
            self.assertTrue({e.get(token) for e in graph.iter(G + "edge")} <=
                            {n.get("id") for n in graph.iter(G + "node")})
        return data(graph, "graph"), nodes, edges, {k: v.get("attr.type") for k, v in keys.items()}

    def test_a_graph_has_the_nodes_edges_and_values_of_the_document(self):
        for asked in self.ships():
            with self.subTest(asked=asked[1:]):
                whole, nodes, edges = expected(json.loads(self.text("export", *asked)))
                found_whole, found_nodes, found_edges, _ = self.read(*asked)
                compare(self, whole, found_whole)
                self.assertEqual(list(nodes), list(found_nodes))
                self.assertEqual(list(edges), list(found_edges))
                for word, values in nodes.items():
                    compare(self, values, found_nodes[word])
                for word, (ends, values) in edges.items():
                    self.assertEqual(ends, found_edges[word][0])
                    compare(self, values, found_edges[word][1])

    def test_numbers_truths_and_texts_have_keys_of_their_type(self):
        types = self.read(DEMO, *AS_OF)[3]
        for key, kind in (("node.volume", "double"), ("node.vital", "boolean"),
                          ("node.name", "string"), ("edge.consequence", "double"),
                          ("edge.leak_probability", "double"), ("edge.shut", "boolean"),
                          ("edge.tested", "string"), ("graph.expected_loss", "double")):
            self.assertEqual(types[key], kind, key)

    def test_plain_ids_stand_as_they_are(self):
        text = self.text("export", "--format", "graphml", BARGE, *AS_OF)
        self.assertIn('<edge id="D2" source="hold-aft" target="hold-fwd">', text)

    def test_odd_ids_are_told_apart(self):
        nodes = self.read(self.hostile, *AS_OF)[1]
        self.assertEqual(set(nodes), {*IDS, "sea", "weather"})


def dot_tokens(text):
    """Words, signs and strings (with what stands between the quotes)."""
    at, token = 0, re.compile(r'\s*(?:"((?:[^"\\]|\\.)*)"|([A-Za-z_]\w*)|(--|[\[\]{}=,;]))', re.S)
    while text[at:].strip():
        match = token.match(text, at)
        assert match, text[at:at + 80]
        at = match.end()
        if match[1] is not None:
            yield re.sub(r'\\(["\\])', r"\1", match[1]), "string"
        else:
            yield (match[2], "word") if match[2] else (match[3], "sign")


class Dot(Case):
    def read(self, *asked):
        tokens = list(dot_tokens(self.text("export", "--format", "dot", *asked)))
        self.assertEqual([t[0] for t in tokens[:3]], ["graph", "ship", "{"])
        self.assertEqual(tokens[-1], ("}", "sign"))
        whole, nodes, edges, statement = None, {}, {}, []
        for token in tokens[3:-1]:
            if token != (";", "sign"):
                statement.append(token)
                continue
            begin = statement.index(("[", "sign"))
            values, rest = {}, statement[begin + 1:-1]
            while rest:
                self.assertEqual((rest[0][1], rest[1], rest[2][1]),
                                 ("word", ("=", "sign"), "string"))
                values[rest[0][0]] = rest[2][0]
                self.assertIn(rest[3:4], ([], [(",", "sign")]))
                rest = rest[4:]
            head, statement = statement[:begin], []
            if head == [("graph", "word")]:
                whole = values
            elif len(head) == 3:
                self.assertEqual(head[1], ("--", "sign"))
                edges[values["key"]] = ({head[0][0], head[2][0]}, values)
            elif head != [("node", "word")]:
                nodes[head[0][0]] = values
        return whole, nodes, edges

    def test_a_graph_has_the_nodes_edges_and_values_of_the_document(self):
        looks = ("label", "style", "key")
        for asked in self.ships():
            with self.subTest(asked=asked[1:]):
                whole, nodes, edges = expected(json.loads(self.text("export", *asked)))
                found_whole, found_nodes, found_edges = self.read(*asked)
                compare(self, whole | {"label": whole["ship"].replace("&", "&amp;")}, found_whole, as_text=shown)
                self.assertEqual(list(nodes), list(found_nodes))
                self.assertEqual(list(edges), list(found_edges))
                for word, values in nodes.items():
                    compare(self, values, {k: v for k, v in found_nodes[word].items()
                                           if k not in looks}, as_text=shown)
                for word, (ends, values) in edges.items():
                    self.assertEqual(ends, found_edges[word][0])
                    compare(self, values, {k: v for k, v in found_edges[word][1].items()
                                           if k not in looks}, as_text=shown)

    def test_no_string_is_markup(self):
        text = self.text("export", "--format", "dot", self.hostile, *AS_OF)
        outside = re.sub(r'"(?:[^"\\]|\\.)*"', "", text, flags=re.S)
        self.assertNotRegex(outside, "[<>\\\\]")

    def test_what_failed_and_what_is_untested_is_drawn_apart(self):
        edges = self.read(BARGE, *AS_OF)[2]
        styles = {values["result"]: values.get("style") for _, values in edges.values()
                  if "result" in values}
        self.assertEqual(styles, {"pass": None, "fail": "bold", "untested": "dashed"})
        self.assertEqual(edges["P1"][1]["style"], "dotted")


def cell(value):
    """A value of the document as it stands in a sheet."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        if any(isinstance(item, (dict, list)) or " " in str(item) for item in value):
            return json.dumps(value, separators=(",", ":"))
        return " ".join("-" if item is None else cell(item) for item in value)
    return str(value)


def value_in(row, column):
    """Of a column: the value, or object_value of an object in the row."""
    if column in row:
        return row[column]
    for key, inner in row.items():
        if isinstance(inner, dict) and column.startswith(key + "_"):
            return value_in(inner, column.removeprefix(key + "_"))
    return None


class Sheets(Case):
    """Lines of a sheet are the rows of the document: numbers to the last digit, and none is lost."""

    CASES = (
        (("expose", BARGE, "--all"), ("results",)),
        (("rank", BARGE), ("closures",)),
        (("rank", BARGE, "--measure", "gm", "--hazard", "water"), ("closures",)),
        (("rank", BARGE, "--explain", "D1"), ("steps",)),
        (("plan", BARGE, "--hours", "8"), ("repairs", "not_afloat", "tests", "dates")),
        (("survival", BARGE), ("cases",)),
        (("rank", DEMO, "--log", DEMO_LOG, "--by-risk", "--top", "20"), ("closures",)),
        (("expose", DEMO, "--log", DEMO_LOG, "D1", "D3", "H1"), ("results",)),
    )
    # what a sheet leaves out of the rows, because it stands there in columns of its own
    LEFT = {"gaps"}

    def sheet(self, *asked, status=0):
        text = self.text(*asked, "--format", "csv", *AS_OF, status=status)
        self.assertTrue(text.endswith("\r\n"))
        lines = list(csv.reader(io.StringIO(text, newline=""), strict=True))
        self.assertEqual({len(line) for line in lines}, {len(lines[0])})
        self.assertEqual(len(set(lines[0])), len(lines[0]))
        return [dict(zip(lines[0], line)) for line in lines[1:]], lines[0]

    def document(self, *asked, status=0):
        return json.loads(self.text(*asked, "--format", "json", *AS_OF, status=status))

    def names(self, ship):
        root = ElementTree.parse(ship).getroot()
        return {item.get("id"): item.get("name", item.get("id")) for item in root}

    def same(self, line, row, where, ship, beside=()):
        """Is this line that row, and nothing of the row left out?"""
        for column, found in line.items():
            value = value_in(row, column)
            if column == "table":
                self.assertEqual(found, where)
            elif column == "name" and value is None and "closure" in row:
                self.assertEqual(found, self.names(ship)[row["closure"]])
            elif column not in beside:
                if isinstance(value, (int, float)) and not isinstance(value, bool):
                    self.assertEqual(float(found), value, column)
                else:
                    self.assertEqual(found, cell(value), column)
        keys = {f"{key}_{inner}" if isinstance(value, dict) else key for key, value in row.items()
                for inner in (value if isinstance(value, dict) else " ")}
        self.assertLessEqual(keys - self.LEFT, set(line))

    def test_lines_are_the_rows_of_the_document(self):
        for asked, tables in self.CASES:
            with self.subTest(asked=asked[0], more=asked[2:]):
                document = self.document(*asked)
                lines, _ = self.sheet(*asked)
                rows = [(table, row) for table in tables for row in document[table]]
                self.assertEqual(len(lines), len(rows))
                self.assertGreater(len(rows), 0)
                for line, (table, row) in zip(lines, rows):
                    self.same(line, row, table, asked[1])

    def test_prints_have_a_line_for_each_gap(self):
        document = self.document("adjust", DEMO, "--log", DEMO_LOG)
        lines, _ = self.sheet("adjust", DEMO, "--log", DEMO_LOG)
        rows = [(row, gap) for row in document["closures"] for gap in row["gaps"] or [{}]]
        self.assertEqual(len(lines), len(rows))
        self.assertGreater(max(len(row["gaps"]) for row in document["closures"]), 1)
        for line, (row, gap) in zip(lines, rows):
            inner = {column for column in line if column.startswith("gaps_")}
            self.same(line, row, "closures", DEMO, inner)
            self.assertEqual({column[5:]: line[column] for column in inner if line[column]},
                             {key: cell(value) for key, value in gap.items() if cell(value)})

    def test_how_she_floats_is_one_value_on_a_line(self):
        document = self.document("float", DEMO, "--flooded", "engine,motor")
        lines, head = self.sheet("float", DEMO, "--flooded", "engine,motor")
        self.assertEqual(head, ["table", "of", "value"])
        tables = {}
        for line in lines:
            tables.setdefault(line["table"], {})[line["of"]] = line["value"]
        for of, value in tables["position"].items():
            self.assertEqual(value, cell(document[of]), of)
        self.assertLessEqual({"afloat", "draught", "heel", "trim", "gm", "freeboard", "range",
                              "greatest_arm"}, set(tables["position"]))
        self.assertEqual({float(k): float(v) for k, v in tables["righting_arms"].items()},
                         {arm["heel"]: arm["gz"] for arm in document["righting_arms"]})
        self.assertEqual({k: float(v) for k, v in tables["openings"].items()},
                         {row["id"]: row["height"] for row in document["openings"]})

    def test_a_ship_that_is_lost_has_no_righting_arms(self):
        lines, _ = self.sheet("float", BARGE, "--flooded", "hold-fwd,fore-peak")
        self.assertEqual({line["table"] for line in lines}, {"position"})
        self.assertIn({"table": "position", "of": "afloat", "value": "no"}, lines)

    def test_lines_that_hold_and_ways_through_have_a_line_for_each_closure(self):
        for ship, source, *protect in ((BARGE, "machinery", "--protect", "hold-fwd"),
                                       (DEMO, "aux", "--protect", "shelter"), (DEMO, "motor")):
            asked = ("hold", ship, "--source", source, *protect)
            expected_lines = []
            document = self.document(*asked)
            for answer in document["answers"]:
                begin = (answer["hazard"], answer["source"])
                settles = document["level"] == "equilibrium" and answer["hazard"] == "water"
                for i, line in enumerate(answer["lines"]):
                    expected_lines += [("line", *begin, i + 1, line["holds"], c["closure"], None,
                                        c["leak_probability"], c["must_be_shut"], c["result"],
                                        c["tested"], line["afloat"], line["expected_loss"],
                                        line["recommended"], line["not_held"],
                                        c["closure"] in line["lost_if"] if settles else None)
                                       for c in line["closures"]]
                ways = [("weakest_way", 0, answer["weakest_way"])] if answer["weakest_way"] else []
                ways += [("lost", i, lost["way"]) for i, lost in enumerate(answer["lost"])]
                for table, i, way in ways:
                    expected_lines += [(table, *begin, i + 1, way["probability"], step["by"],
                                        step["to"], step["leak_probability"], *[None] * 8)
                                       for step in way["steps"]]
            lines, _ = self.sheet(*asked)
            self.assertGreater(len(lines), 2)
            self.assertEqual([tuple(value for key, value in line.items() if key != "name")
                              for line in lines], [tuple(map(cell, row)) for row in expected_lines])
            names = self.names(ship)
            for line in lines:
                self.assertEqual(line["name"], names[line["closure"]])

    def test_faults_are_lines(self):
        for ship in (self.hostile, DEMO):
            document = self.document("check", ship)
            lines, _ = self.sheet("check", ship)
            self.assertEqual(len(lines), len(document["faults"]))
            for line, row in zip(lines, document["faults"]):
                self.same(line, row, "faults", ship)
        self.assertGreater(len(self.sheet("check", self.hostile)[0]), 3)

    def test_entries_that_are_recorded_are_lines(self):
        line = ("D1", "fail", "1.4:0.2", "--ship", BARGE, "--date", "2026-11-10", "--note", "=1+1")
        text = self.text("record", "one.xml", *line, "--format", "csv")
        found = list(csv.DictReader(io.StringIO(text, newline="")))
        self.assertEqual([(row["entry"], row["closure"], row["name"], row["gaps"], row["note"])
                          for row in found],
                         [("test", "D1", "Machinery space door, forward", "1.4:0.2", "'=1+1")])

    def test_names_stand_in_every_sheet_so_that_they_deceive_nobody(self):
        # also one that a spreadsheet takes for a formula; that what is read back is as it was, is in test_hostile.py
        closures = {attribute: in_sheet(name) for attribute, name in zip(
            ("c" + word for word in IDS[:-1]), NAMES)}
        for asked in (("rank", self.hostile), ("expose", self.hostile, "--all"),
                      ("due", self.hostile, "--all"), ("adjust", self.hostile, *closures)):
            lines, _ = self.sheet(*asked, status=1 if asked[0] == "due" else 0)
            self.assertEqual({line["closure"]: line["name"] for line in lines}, closures, asked[0])
        listed = self.sheet("export", self.hostile, "--table", "closures")[0]
        self.assertEqual({line["id"]: line["name"] for line in listed}, closures)

    def test_a_part_of_a_sample_is_no_sheet(self):
        done = subprocess.run([COAMING, "rank", BARGE, "--share", "1/2", "--format", "csv"],
                              capture_output=True, check=False)
        self.assertEqual((done.returncode, done.stdout), (2, b""))
        self.assertIn(b"not as CSV", done.stderr)


class SameNumbers(Case):
    """Rank, export and the graphs tell one run: not a digit differs."""

    ASKED = ((), ("--hazard", "water", "--level", "still"), ("--measure", "people"))
    HEAD = ("risk_level", "expected_loss", "method", "standard_error", "expected_loss_limit",
            "expected_loss_low", "expected_loss_high", "samples")

    def test_rank_and_export(self):
        for asked in self.ASKED:
            words = (DEMO, "--log", DEMO_LOG, *AS_OF, *asked)
            rank, whole = (json.loads(self.text(command, *words, "--format", "json"))
                           for command in ("rank", "export"))
            with self.subTest(asked=asked):
                self.assertGreater(len(rank["closures"]), 100)
                self.assertEqual([rank[key] for key in self.HEAD],
                                 [whole[key] for key in self.HEAD])
                for ours, theirs in zip(rank["closures"], whole["rank"], strict=True):
                    self.assertEqual(ours, theirs)
            # else both could draw as much as they like: a figure of samples has an error
            self.assertTrue(any(row["fussell_vesely_error"] or row["risk_error"]
                                for row in rank["closures"]))

    @slow
    def test_export_is_asked_of_risk_as_rank_is(self):
        words = (DEMO, "--log", DEMO_LOG, *AS_OF)
        seen = []
        for asked in (("--risk", "exact", "--level", "still"), ("--risk", "sampled", "--seed", "2"),
                      ("--risk", "sampled", "--seed", "2", "--within", "2%")):
            rank, whole = (json.loads(self.text(command, *words, *asked, "--format", "json"))
                           for command in ("rank", "export"))
            self.assertEqual(rank["closures"], whole["rank"])
            self.assertEqual([rank[key] for key in self.HEAD], [whole[key] for key in self.HEAD])
            seen.append([whole[key] for key in self.HEAD])
        self.assertEqual(len({tuple(head) for head in seen}), len(seen))

    def test_what_has_no_risk_is_asked_none(self):
        for asked, says in ((("--measure", "gm", "--samples", "400"), "risk is counted"),
                            (("--format", "csv", "--table", "spaces", "--seed", "4"), "--table")):
            done = self.run_it("export", DEMO, *AS_OF, *asked)
            self.assertEqual((done.returncode, done.stdout), (USAGE, b""))
            self.assertRegex(done.stderr.decode(), rf"\Acoaming: [^\n]*{says}[^\n]*\n\Z")

    def test_rank_and_graph(self):
        words = (DEMO, "--log", DEMO_LOG, *AS_OF)
        rank = json.loads(self.text("rank", *words, "--format", "json"))
        root = ElementTree.fromstring(self.text("export", *words, "--format", "graphml"))
        names = {key.get("id"): key.get("attr.name") for key in root.iter(G + "key")}
        edges = {edge.get("id"): {names[data.get("key")]: data.text for data in edge}
                 for edge in root.iter(G + "edge")}
        told = {unescaped(name): values for name, values in edges.items()}
        for row in rank["closures"]:
            for name in ("risk", "birnbaum", "fussell_vesely", "risk_error", "consequence"):
                if row[name] is not None:
                    self.assertEqual(row[name], float(told[row["closure"]][name]), name)


if __name__ == "__main__":
    unittest.main()
