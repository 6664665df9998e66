#!/usr/bin/python3
"""Other programs read the graphs, and find in them what the JSON document says.

GraphML by networkx and by igraph (its own reader on libxml2), DOT by Graphviz: 'dot -Tcanon' writes
it anew, gvpr tells every node, edge and attribute as Graphviz has understood it.

Needs python3-networkx, python3-igraph and graphviz.
Environment: COAMING, the program; COAMING_ROOT, the source tree. The ships here are invented.
"""

import json
import re
import subprocess
import unittest

import igraph
import networkx

from graph_rows import compare, expected, hostile_ship
from harness import AS_OF, BARGE, COAMING, DEMO, DEMO_LOG, Folder, shown


# Values end with the ASCII record separator, the parts of one with the unit separator.
GVPR = r"""
BEG_G { string a = fstAttr($G, "G");
  while (a != "") { printf("G\037\037%s\037%s\036", a, aget($G, a)); a = nxtAttr($G, "G", a); } }
N { string b = fstAttr($G, "N"); printf("N\037%s\037\037\036", $.name);
  while (b != "") { printf("N\037%s\037%s\037%s\036", $.name, b, aget($, b));
                    b = nxtAttr($G, "N", b); } }
E { string c = fstAttr($G, "E"); printf("E\037%s\037\037%s\037%s\036", $.name, $.tail.name, $.head.name);
  while (c != "") { printf("E\037%s\037%s\037%s\036", $.name, c, aget($, c));
                    c = nxtAttr($G, "E", c); } }
"""


def unescaped(token):
    return re.sub("_x([0-9A-F]{4,6})_", lambda code: chr(int(code[1], 16)), token)


def text_of(value):
    return str(value).lower() if isinstance(value, bool) else repr(value) if isinstance(
        value, float) else value


class Case(Folder):
    def setUp(self):
        super().setUp()
        hostile = self.folder / self.write("hostile.xml", hostile_ship())
        self.ships = ((BARGE, *AS_OF), (DEMO, "--log", DEMO_LOG, *AS_OF), (hostile, *AS_OF))

    def run_any(self, *words, text=None):
        """Of any program."""
        done = subprocess.run(list(map(str, words)), capture_output=True, check=False, timeout=600,
                              input=(text or "").encode(), cwd=self.folder)
        said = [line for line in done.stderr.splitlines() if b"'coaming check' shows" not in line]
        self.assertEqual((done.returncode, said), (0, []), words)
        return done.stdout.decode()

    def each(self, form):
        """For each ship the file of her graph and what it must hold."""
        for asked in self.ships:
            path = self.folder / f"graph.{form}"
            self.run_any(COAMING, "export", "--format", form, "-o", path, *asked)
            yield path, expected(json.loads(self.run_any(COAMING, "export", *asked)))


class GraphML(Case):
    def test_networkx_reads_it_with_types(self):
        for path, (whole, nodes, edges) in self.each("graphml"):
            graph = networkx.read_graphml(path, force_multigraph=True)
            self.assertFalse(graph.is_directed())
            found = {unescaped(word): values for word, values in graph.nodes(data=True)}
            self.assertEqual(list(found), list(nodes))
            for word, values in nodes.items():
                for key, value in values.items():
                    if isinstance(value, (bool, int, float)):
                        self.assertEqual(found[word][key], value)
                        self.assertIs(type(found[word][key]),
                                      bool if isinstance(value, bool) else float)
                compare(self, values, {k: text_of(v) for k, v in found[word].items()}, True)
            seen = {}
            for one, other, key, values in graph.edges(keys=True, data=True):
                values = {k: text_of(v) for k, v in values.items() if k != "id"}
                seen[unescaped(key)] = ({unescaped(one), unescaped(other)}, values)
            self.assertEqual(sorted(seen), sorted(edges))
            for word, (ends, values) in edges.items():
                self.assertEqual(seen[word][0], ends)
                compare(self, values, seen[word][1], True)

    def test_igraph_reads_it(self):
        for path, (whole, nodes, edges) in self.each("graphml"):
            graph = igraph.Graph.Read_GraphML(str(path))
            self.assertEqual([unescaped(v["id"]) for v in graph.vs], list(nodes))
            self.assertEqual([unescaped(e["id"]) for e in graph.es], list(edges))
            for vertex, values in zip(graph.vs, nodes.values()):
                for key, value in values.items():
                    if isinstance(value, (bool, int, float)) or isinstance(value, str):
                        self.assertEqual(vertex[key], value, key)
            for edge, (ends, values) in zip(graph.es, edges.values()):
                self.assertEqual({unescaped(graph.vs[v]["id"]) for v in edge.tuple}, ends)
                for key, value in values.items():
                    if isinstance(value, (bool, int, float)) or isinstance(value, str):
                        self.assertEqual(edge[key], value, key)


class Dot(Case):
    def understood(self, path):
        """Of the whole graph, nodes and edges by name, as gvpr tells them."""
        script = self.folder / "tell.gvpr"
        script.write_text(GVPR, "utf-8")
        whole, nodes, edges = {}, {}, {}
        for record in self.run_any("gvpr", "-f", script, path).split("\036")[:-1]:
            kind, name, key, value, *more = record.split("\037")
            name, value = (text.replace("\\\\", "\\") for text in (name, value))
            if kind == "G":
                whole[key] = value
            elif kind == "N":
                nodes.setdefault(name, {}).update({key: value} if key else {})
            elif more:  # an edge is called TAIL--HEAD[KEY]
                ends = (value, more[0].replace("\\\\", "\\"))
                begin = "--".join(ends) + "["
                self.assertTrue(name.startswith(begin) and name.endswith("]"), name)
                values = {}
                edges[name[len(begin):-1]] = (set(ends), values)
            else:
                values[key] = value
        return whole, nodes, edges

    def test_graphviz_understands_it(self):
        looks = ("label", "style", "key", "shape", "")
        for path, (whole, nodes, edges) in self.each("dot"):
            found_whole, found_nodes, found_edges = self.understood(path)
            compare(self, whole, {k: v for k, v in found_whole.items() if k not in looks}, True, shown)
            self.assertEqual(sorted(found_nodes), sorted(nodes))
            self.assertEqual(sorted(found_edges), sorted(edges))
            for word, values in nodes.items():
                compare(self, values, {k: v for k, v in found_nodes[word].items()
                                       if k not in looks}, True, shown)
            for word, (ends, values) in edges.items():
                self.assertEqual(found_edges[word][0], ends)
                compare(self, values, {k: v for k, v in found_edges[word][1].items()
                                       if k not in looks}, True, shown)

    def test_graphviz_writes_it_anew_with_the_same_meaning(self):
        for path, (_, nodes, edges) in self.each("dot"):
            again = self.folder / "again.dot"
            again.write_bytes(self.run_any("dot", "-Tcanon", path).encode())
            before, after = self.understood(path), self.understood(again)
            self.assertEqual(len(before[1]), len(nodes))
            self.assertEqual(len(before[2]), len(edges))
            self.assertEqual(before[1:], after[1:])

    def test_names_are_drawn_as_they_are(self):
        hostile = self.ships[2]
        dot = self.run_any(COAMING, "export", "--format", "dot", *hostile)
        picture = self.run_any("dot", "-Tsvg", text=dot)
        self.assertNotIn("<script", picture)
        self.assertIn("&lt;script&gt;alert(1)&lt;/script&gt;", picture)
        self.assertIn("&amp;amp;", picture)  # the five letters &amp; of a name
        self.assertIn("ends in \\<", picture)
        self.assertIn("\\N \\G \\l<", picture)


if __name__ == "__main__":
    unittest.main()
