"""Finds what can be changed in a file of C, by the tree that libclang makes of it, and writes the file with
some of the changes in it, each asleep until the program is told its number.

Left alone is what fails memory (a pointer asked for, and given up where there is none), what frees,
what the compiler wants constant, and what prints.

Needs python3-clang of Debian.
"""

import hashlib
import re
import shlex
from dataclasses import dataclass
from pathlib import Path

from clang.cindex import CursorKind as K, Index, TypeKind

OTHER = {"<": "<=", "<=": "<", ">": ">=", ">=": ">", "==": "!=", "!=": "==", "+": "-", "-": "+", "*": "/",
         "/": "*", "&&": "||", "||": "&&", "+=": "-=", "-=": "+=", "*=": "/=", "/=": "*="}
KINDS = {"<": "relation", "<=": "relation", ">": "relation", ">=": "relation", "==": "relation",
         "!=": "relation", "&&": "logic", "||": "logic"}
MEMORY = re.compile(r"MEMORY_ROOM|memory_|arena_|out_of_memory|malloc|calloc")
NO_LOSS = re.compile(r"(\w*(free|close|fprintf|printf|assert)\w*)\s*\(")
COMMENT = re.compile(r"/\*.*?\*/", re.S)


@dataclass
class Site:
    """One change: of the bytes from start to end, which are `before`, to `after`."""
    path: str
    line: int
    text: str  # of the line
    kind: str
    before: str
    after: str
    start: int
    end: int
    statement: bool = False

    def key(self):
        return (self.path, self.text, self.before, self.after)

    def lot(self, seed):
        """A number that stays as long as the line does."""
        said = "\0".join((str(seed), *self.key(), self.kind)).encode()
        return int.from_bytes(hashlib.sha1(said).digest()[:6], "big")


def one_line(text):
    return " ".join(COMMENT.sub(" ", text).split())


def flags_of(command):
    """Those of a line of the compilation database that libclang needs too."""
    words, flags = shlex.split(command), []
    for i, word in enumerate(words):
        if word.startswith(("-I", "-D", "-std")):
            flags.append(word)
        elif word == "-isystem":
            flags += [word, words[i + 1]]
    return flags


class Finder:
    def __init__(self, root, path, flags):
        self.path = path
        self.full = str(Path(root) / path)
        self.bytes = Path(self.full).read_bytes()
        self.lines = self.bytes.decode().splitlines()
        self.sites = []
        tree = Index.create().parse(self.full, args=flags)
        bad = [str(d) for d in tree.diagnostics if d.severity >= 3]
        if bad:
            raise RuntimeError(f"{path}: {bad[0]}")
        for top in tree.cursor.get_children():
            if top.kind == K.FUNCTION_DECL and top.is_definition() and self.here(top):
                # Of what a comparison for qsort returns only the sign counts.
                self.compares = [a.type.spelling for a in top.get_arguments()] == ["const void *"] * 2
                self.returns_bool = top.result_type.spelling in ("bool", "_Bool")
                self.walk(top)

    def here(self, node):
        where = node.location.file
        return where is not None and where.name == self.full

    def span(self, node):
        return node.extent.start.offset, node.extent.end.offset

    def raw(self, start, end):
        return self.bytes[start:end].decode()

    def text(self, node):
        return self.raw(*self.span(node))

    def add(self, kind, start, end, after, statement=False, before=None):
        line = self.bytes.count(b"\n", 0, start)
        before = one_line(self.raw(start, end)) if before is None else before
        self.sites.append(Site(self.path, line + 1, self.lines[line].strip(), kind, before,
                               one_line(after), start, end, statement))

    def walk(self, node):
        if node.kind == K.VAR_DECL and (node.storage_class.name == "STATIC" or
                                        node.type.kind == TypeKind.CONSTANTARRAY):
            return
        children = list(node.get_children())
        if node.kind == K.IF_STMT and self.is_memory(children):
            return
        if node.kind == K.CASE_STMT:
            children = children[1:]
        if node.kind == K.CALL_EXPR and MEMORY.search(node.spelling or ""):
            return
        if node.kind == K.INIT_LIST_EXPR and self.text(node) in ("{0}", "{{0}}"):
            return
        if node.kind == K.FOR_STMT:
            children = self.rounds(children)
        if node.kind in (K.COMPOUND_STMT, K.IF_STMT, K.FOR_STMT, K.WHILE_STMT):
            self.statements(node, children)
        self.here_too(node, children)
        for child in children:
            if child.kind not in (K.ENUM_DECL, K.STRUCT_DECL, K.STATIC_ASSERT,
                                  K.CXX_UNARY_EXPR):  # the last is sizeof
                self.walk(child)

    def here_too(self, node, children):
        if node.kind in (K.BINARY_OPERATOR, K.COMPOUND_ASSIGNMENT_OPERATOR) and len(children) == 2:
            self.operator(node, *children)
        elif node.kind in (K.IF_STMT, K.CONDITIONAL_OPERATOR) and children:
            self.negated(children[0])
        elif node.kind in (K.INTEGER_LITERAL, K.FLOATING_LITERAL):
            self.constant(node)
        elif node.kind == K.RETURN_STMT and self.returns_bool and children:
            self.returned(children[0])

    def rounds(self, children):
        """Of `i < n` in the head of a loop there is one change: a round less. One more would read beyond what
        there is, which is memory's to tell."""
        rest = []
        for child in children:
            inside = list(child.get_children())
            sign = self.sign(*inside)[0] if child.kind == K.BINARY_OPERATOR and len(inside) == 2 else None
            if child is children[-1] or sign not in ("<", "&&"):
                rest.append(child)
            elif sign == "&&":
                self.operator(child, *inside)
                rest += self.rounds([*inside, children[-1]])[:-1]
            else:
                (start, end), behind = self.span(child), inside[0].extent.end.offset
                self.add("relation", start, end, self.raw(start, behind) + " + 1" + self.raw(behind, end))
                rest += [i for i in inside if i.kind != K.INTEGER_LITERAL]
        return rest

    def is_memory(self, children):
        """Is it `if (!made) return`, or the same by a call that makes room?"""
        condition, then = self.text(children[0]), children[1] if len(children) == 2 else None
        if MEMORY.search(condition) or (then is not None and "error_memory(" in self.text(then)):
            return True
        leaves = then is not None and re.match(r"\{?\s*(return|goto)\b", self.text(then))
        return bool(leaves) and self.asks_pointers(children[0])

    def asks_pointers(self, node):
        """Whether nothing is asked but whether there is one."""
        inside = list(node.get_children())
        if node.kind in (K.UNEXPOSED_EXPR, K.PAREN_EXPR) and len(inside) == 1:
            return self.asks_pointers(inside[0])
        if node.kind == K.UNARY_OPERATOR:
            return self.text(node).startswith("!") and inside[0].type.get_canonical().kind == TypeKind.POINTER
        return node.kind == K.BINARY_OPERATOR and len(inside) == 2 and all(map(self.asks_pointers, inside))

    def sign(self, left, right):
        """The operator that stands between, and where."""
        start, end = left.extent.end.offset, right.extent.start.offset
        if start > end:
            return None, 0, 0
        between = self.raw(start, end)
        bare = COMMENT.sub(lambda m: " " * len(m.group()), between)
        sign = bare.strip()
        at = start + len(bare[:bare.find(sign)].encode()) if sign else start
        return sign, at, at + len(sign)

    def operator(self, node, left, right):
        sign, at, behind = self.sign(left, right)
        if sign not in OTHER or any(c.type.get_canonical().kind in (TypeKind.POINTER, TypeKind.CONSTANTARRAY)
                                    for c in (left, right)):
            return
        if MEMORY.search(self.text(node)):
            return
        start, end = self.span(node)
        after = self.raw(start, at) + OTHER[sign] + self.raw(behind, end)
        self.add(KINDS.get(sign, "arithmetic"), start, end, after)

    def negated(self, condition):
        start, end = self.span(condition)
        text = self.raw(start, end)
        inside = list(condition.get_children())
        if len(inside) == 2 and self.sign(*inside)[0] in ("==", "!="):
            return  # done as a relation
        self.add("negation", start, end, f"!({text})")

    def constant(self, node):
        start, end = self.span(node)
        text = self.raw(start, end)
        if self.compares and self.bytes[start - 1:start] != b"[":
            return
        if not re.fullmatch(r"[0-9][0-9.eE+-]*", text):
            return
        self.add("constant", start, end, f"({text} + 1)", before=text)

    def returned(self, value):
        start, end = self.span(value)
        if MEMORY.search(self.raw(start, end)):
            return
        self.add("return", start, end, f"!({self.raw(start, end)})")

    def statements(self, node, children):
        """Those that may be left out: assignments, steps, calls that return nothing."""
        body = children if node.kind == K.COMPOUND_STMT else [c for c in children[1:]]
        if node.kind == K.FOR_STMT:
            body = children[-1:]
        for child in body:
            if self.may_go(child):
                start, end = self.span(child)
                end = self.bytes.find(b";", end - 1) + 1
                if end > 0:
                    self.add("deletion", start, end, ";", statement=True)

    def may_go(self, node):
        text = self.text(node)
        if MEMORY.search(text) or NO_LOSS.match(text):
            return False
        if node.kind == K.CALL_EXPR:
            return node.type.get_canonical().kind == TypeKind.VOID
        if node.kind == K.COMPOUND_ASSIGNMENT_OPERATOR:
            return True
        if node.kind == K.UNARY_OPERATOR:
            return "++" in text or "--" in text
        inside = list(node.get_children())
        return node.kind == K.BINARY_OPERATOR and len(inside) == 2 and self.sign(*inside)[0] == "="


def find(root, path, command):
    """All changes of a file, in the order of their places; and the file as it was read."""
    finder = Finder(root, path, flags_of(command))
    seen, once = set(), []
    for site in sorted(finder.sites, key=lambda s: (s.start, -s.end, s.after)):
        if (site.start, site.end, site.after) not in seen:
            seen.add((site.start, site.end, site.after))
            once.append(site)
    return once, finder.bytes


def written(source, numbered):
    """The file with changes in it: [(number, site)]. What is changed is written from the original, what is
    not is made of its parts, so that the text grows by its depth only."""
    def piece(start, end, sites):
        out, at, i = [], start, 0
        while i < len(sites):
            number, site = sites[i]
            inner = [s for s in sites[i + 1:] if s[1].end <= site.end]
            out += [source[at:site.start].decode(), woven(number, site, inner)]
            at, i = site.end, i + 1 + len(inner)
        return "".join(out) + source[at:end].decode()

    def woven(number, site, inner):
        same = piece(site.start, site.end, inner)
        if site.statement:
            return f"{{ if (!mutant_is({number})) {{ {same} }} }}"
        # Lines stay as they are: what is told twice is told in one line.
        return f"(mutant_is({number}) ? ({site.after}) : ({same}))"

    return piece(0, len(source), sorted(numbered, key=lambda s: (s[1].start, -s[1].end, s[0])))
