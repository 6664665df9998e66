#!/usr/bin/python3
"""The shape of the house, by what the objects call and the sources include: floors know only those under
them, the rooms of present only those before them, present asks nothing, no circles between files, each
third party in one folder.

Needs Python 3.11, its standard library, and nm.
Environment: COAMING_ROOT, the source tree; COAMING_BUILD, where it was built.
"""

import os
import re
import subprocess
import unittest
from pathlib import Path

SOURCE = Path(os.environ["COAMING_ROOT"]) / "src"
BUILT = Path(os.environ["COAMING_BUILD"]) / "CMakeFiles"
FLOORS = ("base", "csv", "json", "ode", "ship", "read", "graph", "analyse", "present")
ROOMS = ("form", "tell", "draw", "report")
# Where things are written down whatever they are: neither ship nor question is known.
PLAIN = {"csv/": ("base/",), "json/": ("base/", "csv/"), "ode/": ("base/",), "present/form/": ("base/",)}
# What works an answer out: its makers, and those that fill in what the caller gives.
ASKS = re.compile(r"coaming_(\w+_new(_\w+)?|likelihood_all|let_in|come_to_rest)$|unfilled_make$")
OWN = re.compile(r'^#include "([^"]+)"', re.M)
COMMENT = re.compile(r"/\*.*?\*/", re.S)
LITERAL = re.compile(r'"((?:[^"\\\n]|\\.)*)"')
BREAK = re.compile(r"<[^>]*>|%[-+0-9.*]*[a-z]+|\\.|[.:;]")  # of a sentence: a tag, a value, a sign
RUN = 6  # so many words in the same order are no accident
# The C library's calls for memory, to which src/cli/memory_out.c gives the program's own answer.
MEMORY = {"malloc", "calloc", "realloc", "aligned_alloc", "memalign", "posix_memalign"}
FOREIGN = re.compile(r"^#include <([^>]+)>", re.M)
THIRD = re.compile(r"(libxml|igraph|cJSON|cjson|libical|csv\.h|libcsv|cvode|nvector|sunlinsol|sunmatrix|sundials|klu)")


def sources():
    return sorted(p.relative_to(SOURCE).as_posix() for p in SOURCE.rglob("*.[ch]"))


def object_of(name):
    """Where it is built, below BUILT."""
    return f"coaming{'' if name.startswith('cli/') else '_objects'}.dir/src/{name}.o"


def called():
    """Of each file the files whose functions or data it uses, with the names."""
    owner, wanted = {}, {}
    objects = [o for o in map(object_of, sources()) if (BUILT / o).exists()]
    told = subprocess.run(("nm", "-A", *objects), cwd=BUILT, capture_output=True, text=True,
                          check=True).stdout
    for line in told.splitlines():
        name, _, rest = line.partition("/src/")[2].partition(".o:")
        kind, symbol = rest.split()[-2:]
        if kind == "U":
            wanted.setdefault(name, set()).add(symbol)
        elif kind in "TDRBC" and symbol not in MEMORY:
            owner[symbol] = name
    return {name: {(owner[s], s) for s in symbols if s in owner and owner[s] != name}
            for name, symbols in wanted.items()}


def runs(source):
    """Every run of words that the texts of a file have, RUN of them each. Texts side by side are one."""
    found = set()
    for text in re.findall(r'(?:"(?:[^"\\\n]|\\.)*"\s*)+', COMMENT.sub("", source)):
        for part in BREAK.split("".join(LITERAL.findall(text))):
            words = re.findall(r"[a-z']+", part.lower())
            found |= {" ".join(words[i:i + RUN]) for i in range(len(words) - RUN + 1)}
    return found


def circles(arrows):
    """Sets of two or more that lead to each other (Tarjan 1972)."""
    number, low, stack, found = {}, {}, [], []

    def visit(v):
        number[v] = low[v] = len(number)
        stack.append(v)
        for w in sorted(arrows.get(v, ())):
            if w not in number:
                visit(w)
                low[v] = min(low[v], low[w])
            elif w in stack:
                low[v] = min(low[v], number[w])
        if low[v] == number[v]:
            at = stack.index(v)
            if len(stack) - at > 1:
                found.append(sorted(stack[at:]))
            del stack[at:]

    for v in sorted(arrows):
        if v not in number:
            visit(v)
    return found


class House(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.calls = called()

    def test_the_search_for_circles_finds_them(self):
        self.assertEqual(circles({"a": {"b"}, "b": {"c"}, "c": {"b", "d"}, "d": {"d"}}), [["b", "c"]])

    def test_every_source_has_an_object(self):
        built = set(self.calls)
        self.assertGreater(len(built), 100)
        self.assertEqual([s for s in sources() if s.endswith(".c")
                          and not (BUILT / object_of(s)).exists()], [])

    def test_no_files_call_in_a_circle(self):
        self.assertEqual(circles({a: {b for b, _ in to} for a, to in self.calls.items()}), [])

    def test_floors_know_only_those_under_them(self):
        wrong = []
        for name in sources():
            floor = name.split("/")[0]
            if floor == "cli":  # a client of the public headers
                wrong += [(name, i) for i in OWN.findall((SOURCE / name).read_text())
                          if "/" in i and not i.startswith("coaming/")]
                continue
            for include in OWN.findall((SOURCE / name).read_text()):
                other = include.split("/")[0]
                if other in FLOORS and FLOORS.index(other) > FLOORS.index(floor):
                    wrong.append((name, include))
        self.assertEqual(wrong, [])

    def test_rooms_know_only_those_before_them(self):
        room = {f"present/{r}": i for i, r in enumerate(ROOMS)}

        def of(name):
            return room.get("/".join(name.split("/")[:2]))

        wrong = [(a, b, s) for a, to in self.calls.items() for b, s in to
                 if of(a) is not None and of(b) is not None and of(b) > of(a)]
        wrong += [(a, i) for a in sources() if of(a) is not None
                  for i in OWN.findall((SOURCE / a).read_text())
                  if of(i) is not None and of(i) > of(a)]
        self.assertEqual(sorted(wrong), [])

    def test_what_writes_things_down_knows_neither_ship_nor_question(self):
        for place, known in PLAIN.items():
            used = {(a, b, s) for a, to in self.calls.items() if a.startswith(place) for b, s in to}
            self.assertTrue(used, place)
            self.assertEqual(sorted(u for u in used if not u[1].startswith((place, *known))), [])

    def test_present_asks_nothing(self):
        self.assertEqual(sorted((a, s) for a, to in self.calls.items() if a.startswith("present/")
                                for b, s in to if not b.startswith("present/") and ASKS.match(s)), [])

    def test_runs_of_words_are_found(self):
        text = '/* "not in a comment at all, no" */ f("<p>One %s two three four five "\n  "six seven.");'
        self.assertEqual(runs(text), {"two three four five six seven"})

    def test_each_sentence_stands_in_one_file(self):
        where = {}
        for name in sources():
            if name.startswith("present/"):
                for run in runs((SOURCE / name).read_text(encoding="utf-8")):
                    where.setdefault(run, []).append(name)
        self.assertGreater(len(where), 500)
        self.assertEqual({run: names for run, names in where.items() if len(names) > 1}, {})

    def test_public_headers_are_for_cpp_too(self):
        shown = [p for p in sorted((SOURCE.parent / "include/coaming").glob("*.h")) if "COAMING_API " in p.read_text()]
        self.assertGreater(len(shown), 20)
        self.assertEqual([p.name for p in shown if 'extern "C" {' not in p.read_text()], [])

    def test_each_third_party_is_of_one_folder(self):
        folders = {}
        for name in sources():
            for include in FOREIGN.findall((SOURCE / name).read_text()):
                found = THIRD.match(include)
                if found:
                    folders.setdefault(found[1].lower(), set()).add(name.split("/")[0])
        self.assertEqual({k: sorted(v) for k, v in folders.items() if len(v) != 1}, {})
        self.assertGreater(len(folders), 3)


if __name__ == "__main__":
    unittest.main()
