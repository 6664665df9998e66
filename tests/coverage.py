"""What gcovr counted, as a table by folder, and of src/analyse every branch that is not covered.

Needs Python 3.11, its standard library only.
Usage: coverage.py COUNTED.json REASONS

Two figures of branches. "of all" leaves nothing out. "but memory" leaves out the lines, whatever was counted
there, on which memory is asked for or the want of it is answered, by one rule on the text of a statement (see
of_memory): those ways are walked by unit_memory, which the quick tier runs in large steps, and by
tests/cli/memory_out.py, where each allocation of each command fails in turn.

REASONS has what cannot be covered: a line "file: text of the source line", and below it, set in, why. A reason
counts nothing as covered. One that fits no uncovered branch is an error: it is to be taken out.
"""
import collections
import json
import re
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
WANTED = 95.0
ASKS = r"(?:memory_new|memory_resize|arena_new|arena_text)"
GOT = re.compile(rf"([\w.\[\]>-]+) = {ASKS}\(")
TELLS = re.compile(r"\b(?:error_memory|COAMING_MEMORY)\b")


def blank(text):
    """Without comments, line by line."""
    return re.sub(r"/\*.*?\*/", lambda comment: re.sub(r"[^\n]", " ", comment[0]), text, flags=re.S)


def statements(text):
    """First and last line and text of each. What an if decides upon is one with it; the head of a loop, and an
    else, is one of its own."""
    depth, start, kept, line = 0, None, "", 1
    for sign in blank(text):
        if start is None and not sign.isspace():
            start = line
        kept += sign
        depth += (sign == "(") - (sign == ")")
        head = re.match(r"\s*(?:(?:for|while|switch) \(.*\)|else\s)$", kept, re.S)
        if depth == 0 and start is not None and (sign in "{};" or head):
            yield start, line, " ".join(kept.split())
            start, kept = None, ""
        line += sign == "\n"


def condition(words):
    """Of an if, of a choice, or what is returned or given a name; and that name."""
    name = None
    if words.startswith("if ("):
        ends = [at for at in range(len(words)) if words[:at].count("(") == words[:at].count(")") > 0]
        return words[4:ends[0] - 1], None
    if found := re.fullmatch(r"(?:return|(?:bool )?([\w>.-]+) =) (.*);", words):
        name, words = found.groups()
        return words.split(" ? ")[0], name
    return "", None


def whether_got(asked, got, telling):
    """Is it nothing but whether these were got? Where the want of memory is told, also whether what makes
    something (a call) did."""
    asked = re.sub(rf"\b{ASKS}\(.*", "", asked)
    if not telling and not any(name in asked for name in got):
        return False
    while telling and (shorter := re.sub(r"\b\w+\([^()]*\)", "", asked)) != asked:
        asked = shorter
    for name in sorted(got, key=len, reverse=True):
        asked = re.sub(rf"(?<![\w.>]){re.escape(name)}(?![\w.\[(]|->)", "", asked)
    left = re.sub(r"\bNULL\b|!= |[!&|() ]" + (r"|\b[a-z]\w*(?:(?:\.|->)\w+)*\b" if telling else ""), "", asked)
    return not left


def of_memory(text):
    """The lines of statements whose condition is nothing but whether memory was got."""
    found, got, lines = set(), set(), text.splitlines()
    for first, last, words in statements(text):
        if lines[last - 1].startswith("}"):
            got = set()
        asked, name = condition(words.replace("MEMORY_ROOM(", "memory_new("))
        telling = TELLS.search(words)
        if asked and whether_got(asked, got, telling):
            found.update(range(first, last + 1))
            got.update({name} - {None} if not telling else ())
        got.update(GOT.findall(words))
    return found


class Sum:
    def __init__(self):
        self.lines, self.branches, self.but_memory = [0, 0], [0, 0], [0, 0]

    def add(self, kind, covered):
        kind[0] += covered
        kind[1] += 1


def share(kind):
    return f"{100 * kind[0] / kind[1]:6.1f} %" if kind[1] else "     - "


def read_reasons(path):
    reasons, head = {}, None
    for number, line in enumerate(path.read_text().splitlines(), 1):
        if not line.strip() or line.startswith("#"):
            continue
        if line[0].isspace() and head:
            reasons[head] = f"{reasons[head]} {line.strip()}".strip()
        elif ": " in line and not line[0].isspace():
            head = tuple(line.split(": ", 1))
            reasons[head] = ""
        else:
            sys.exit(f"{path}:{number}: neither 'file: text' nor a reason set in below it")
    for file, text in (head for head, why in reasons.items() if not why):
        sys.exit(f"{path}: no reason stands below '{file}: {text}'")
    return reasons


def reason_of(reasons, file, text):
    return next((head for head in reasons if head[0] == file and head[1] in text), None)


def folders(file):
    parts = Path(file).parts
    return ["/".join(parts[:2])] + (["/".join(parts[:3])] if parts[1] == "analyse" else [])


def main():
    counted, path = json.loads(Path(sys.argv[1]).read_text()), Path(sys.argv[2])
    reasons, met = read_reasons(path), set()
    sums, bare = collections.defaultdict(Sum), []
    for file in counted["files"]:
        name = file["file"]
        source = (ROOT / name).read_text()
        text, asking = source.splitlines(), of_memory(source)
        for line in file["lines"]:
            if line["gcovr/noncode"]:
                continue
            number = line["line_number"]
            memory = number in asking
            missed = sum(branch["count"] == 0 for branch in line["branches"])
            for folder in folders(name):
                one = sums[folder]
                one.add(one.lines, line["count"] > 0)
                for branch in line["branches"]:
                    one.add(one.branches, branch["count"] > 0)
                    if not memory:
                        one.add(one.but_memory, branch["count"] > 0)
            if not missed or memory or not name.startswith("src/analyse/"):
                continue
            why = reason_of(reasons, name, text[number - 1])
            met.add(why)
            if not why:
                bare.append(f"{name}:{number}: {missed} of {len(line['branches'])}: {text[number - 1].strip()}")
    for line in bare:
        print(line)
    print(f"\n{'folder':24}{'lines':>16}{'branches of all':>20}{'but memory':>20}")
    for folder, one in sorted(sums.items()):
        print(f"{'  ' * (folder.count('/') - 1) + folder:24}" + "".join(
            f"{kind[0]:>{wide}}/{kind[1]:<5}{share(kind)}" for wide, kind in
            ((5, one.lines), (7, one.branches), (7, one.but_memory))))
    explained = len(met - {None})
    print(f"\nOf src/analyse {len(bare)} lines have an uncovered branch without a reason; "
          f"{explained} reasons explain others.")
    gone = [head for head in reasons if head not in met]
    for file, line in gone:
        print(f"{path.name}: '{file}: {line}' fits no uncovered branch any more; take it out", file=sys.stderr)
    all_of_it = sums["src/analyse"].but_memory
    if 100 * all_of_it[0] < WANTED * all_of_it[1]:
        print(f"src/analyse: {share(all_of_it).strip()} of the branches, under {WANTED:g} %", file=sys.stderr)
        sys.exit(1)
    sys.exit(1 if gone else 0)


main()
