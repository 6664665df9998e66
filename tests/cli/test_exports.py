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

import json
import os
import re
import subprocess
import tempfile
import unittest
import xml.etree.ElementTree as ElementTree
from pathlib import Path

from graph_rows import IDS, compare, expected, hostile_ship

COAMING = os.environ["COAMING"]
EXAMPLES = Path(os.environ["COAMING_ROOT"]) / "examples"
DEMO, DEMO_LOG, BARGE = (EXAMPLES / name for name in
                         ("fathom-lark.xml", "fathom-lark-log.xml", "barge.xml"))
AS_OF = ("--as-of", "2026-11-10")
G = "{http://graphml.graphdrawing.org/xmlns}"
NMTOKEN = re.compile(r"[-.\w:\u00b7\u0300-\u036f\u203f\u2040]+")
ASKED = ((), ("--measure", "people", "--level", "still"), ("--level", "full", "--hazard", "water"))


class Case(unittest.TestCase):
    def setUp(self):
        temporary = tempfile.TemporaryDirectory(prefix="coaming-exports-")
        self.addCleanup(temporary.cleanup)
        self.folder = Path(temporary.name)
        self.hostile = self.folder / "hostile.xml"
        self.hostile.write_text(hostile_ship(), "utf-8")

    def run_it(self, *words, status=0):
        done = subprocess.run([COAMING, *map(str, words)], capture_output=True, check=False,
                              cwd=self.folder, timeout=300, stdin=subprocess.DEVNULL)
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
        root = ElementTree.fromstring(self.run_it("export", "--format", "graphml", *asked))
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
                whole, nodes, edges = expected(json.loads(self.run_it("export", *asked)))
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
        text = self.run_it("export", "--format", "graphml", BARGE, *AS_OF)
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
        tokens = list(dot_tokens(self.run_it("export", "--format", "dot", *asked)))
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
                whole, nodes, edges = expected(json.loads(self.run_it("export", *asked)))
                found_whole, found_nodes, found_edges = self.read(*asked)
                compare(self, whole | {"label": whole["ship"].replace("&", "&amp;")}, found_whole)
                self.assertEqual(list(nodes), list(found_nodes))
                self.assertEqual(list(edges), list(found_edges))
                for word, values in nodes.items():
                    compare(self, values, {k: v for k, v in found_nodes[word].items()
                                           if k not in looks})
                for word, (ends, values) in edges.items():
                    self.assertEqual(ends, found_edges[word][0])
                    compare(self, values, {k: v for k, v in found_edges[word][1].items()
                                           if k not in looks})

    def test_no_string_is_markup(self):
        text = self.run_it("export", "--format", "dot", self.hostile, *AS_OF)
        outside = re.sub(r'"(?:[^"\\]|\\.)*"', "", text, flags=re.S)
        self.assertNotRegex(outside, "[<>\\\\]")

    def test_what_failed_and_what_is_untested_is_drawn_apart(self):
        edges = self.read(BARGE, *AS_OF)[2]
        styles = {values["result"]: values.get("style") for _, values in edges.values()
                  if "result" in values}
        self.assertEqual(styles, {"pass": None, "fail": "bold", "untested": "dashed"})
        self.assertEqual(edges["P1"][1]["style"], "dotted")


if __name__ == "__main__":
    unittest.main()
