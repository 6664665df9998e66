#!/usr/bin/python3
"""Inputs that grow in one thing alone, each made anew: attack.py KIND SIZE > FILE.

attack.py --list names the kinds with the sizes that attacks.py asks. The ships are invented boxes;
where SIZE counts is said by each maker. Needs Python 3.11, its standard library only.
"""

import datetime
import sys

SHIP_NS, LOG_NS = "urn:coaming:arrangement:1", "urn:coaming:test-log:1"


def arrangement(*parts, length=100, kg=False, decks=True):
    """A box ship around these elements."""
    floats = ' kg="2"' if kg else ""
    yield f'<arrangement xmlns="{SHIP_NS}" name="Attack">\n'
    yield f'<ship length="{length}" beam="10" depth="6" draft="3"{floats}/>\n'
    if decks:
        yield '<deck id="low" name="Low" z="0"/>\n'
    for part in parts:
        yield from part
    yield "</arrangement>\n"


def space(number, x0, x1, more="", y=(-5, 5)):
    if "name=" not in more:
        more = f'name="S{number}" {more}'
    return (f'<space id="s{number}" deck="low" {more}><box x="{x0} {x1}" y="{y[0]} {y[1]}" z="0 6"/>'
            "</space>\n")


def closure(number, a, b, z=1, more="", inside="", x=1):
    return (f'<closure id="c{number}" name="C{number}" kind="door" between="{a} {b}" rating="watertight" {more}>'
            f'<clear x="{x}" y="0" z="{z}" width="0.7" height="1.7" lies="transverse"/>{inside}'
            "</closure>\n")


def row(count, length=100):
    """Spaces side by side over her length."""
    each = length / count
    return (space(k, k * each, (k + 1) * each, 'shell="yes"') for k in range(count))


def attributes(size):
    """SIZE attributes of one space."""
    many = " ".join(f'a{k}="1"' for k in range(size))
    return arrangement([space(0, 0, 50, many)])


def children(size):
    """SIZE elements that have no place in a space."""
    return arrangement([f'<space id="s0" name="S" deck="low">{"<b/>" * size}<box x="0 9" y="-5 5" z="0 6"/></space>\n'])


def faults(size):
    """SIZE spaces, each on a deck that there is not."""
    return arrangement((f'<space id="s{k}" name="S" deck="lov{k}"><box x="{k} {k + 1}" y="-5 5" z="0 6"/></space>\n'
                        for k in range(size)), length=size)


def same_ids(size):
    """SIZE spaces with one id."""
    return arrangement((space(0, k, k + 1) for k in range(size)), length=size)


def band(number, corners):
    """A zigzag along the ship between two lines that run side by side, each of half the corners."""
    half, low = corners // 2, -5 + 0.05 * number
    line = [(100 * k / (half - 1), low + 8 * (k % 2)) for k in range(half)]
    around = line + [(x, y + 0.04) for x, y in reversed(line)]
    return " ".join(f"{x:.9g},{y:.9g}" for x, y in around)


def teeth(size):
    """40 prisms of some SIZE corners, whose teeth stand between each other's."""
    return arrangement(
        f'<space id="s{k}" name="S" deck="low"><prism z="0 6" outline="{band(k, size)}"/></space>\n'
        for k in range(40))


def fringed(size):
    """Two prisms of some SIZE corners, whose teeth lie along the ship and overlap crosswise."""
    teeth_of, one, other = max(size // 4 - 1, 1), [(0, -5)], [(0, 5)]
    for k in range(teeth_of):
        low = -4.9 + 9 * k / teeth_of
        one += [(0.1, low), (99, low), (99, low + 4 / teeth_of), (0.1, low + 4 / teeth_of)]
        x = 0.2 + 99 * k / teeth_of
        other += [(x, 4.9), (x, -4.8), (x + 40 / teeth_of, -4.8), (x + 40 / teeth_of, 4.9)]
    one, other = one + [(0.1, 5), (0, 5)], other + [(100, 4.9), (100, 5)]
    shapes = [" ".join(f"{x:.9g},{y:.9g}" for x, y in shape) for shape in (one, other)]
    return arrangement(f'<space id="s{k}" name="S" deck="low"><prism z="0 6" outline="{shape}"/></space>\n'
                       for k, shape in enumerate(shapes))


def name(size):
    """One name of SIZE letters."""
    return arrangement([space(0, 0, 50, f'name="{("long " * size)[:size]}"'), space(1, 50, 100),
                        closure(0, "s0", "s1", x=50)])


def one_id(size):
    """One id of SIZE letters."""
    return arrangement([space("x" * size, 0, 50, 'name="Long"'), space(1, 50, 100)])


def clique(size):
    """SIZE spaces, each joined to each by a closure of unknown standing, the first to the sea."""
    pairs = ((a, b) for a in range(size) for b in range(a))
    return arrangement(row(size), (closure(k, f"s{a}", f"s{b}", more='hours="1"', x=50)
                                   for k, (a, b) in enumerate(pairs)),
                       [closure("x", "s0", "sea", more='hours="1"', x=1)], kg=size <= 100)


def chain(size):
    """SIZE spaces one behind the other, joined by closures, the first to the sea."""
    return arrangement(row(size, size), (closure(k, f"s{k}", f"s{k + 1}", more='hours="1"', x=k + 1)
                                         for k in range(size - 1)),
                       [closure("x", "s0", "sea", more='hours="1"', x=0)], length=size)


def star(size):
    """SIZE spaces, each joined to the first."""
    return arrangement(row(size, size), (closure(k, "s0", f"s{k}", more='hours="1"', x=k)
                                         for k in range(1, size)), length=size)


def parallel(size):
    """SIZE closures between two spaces."""
    return arrangement(row(2), (closure(k, "s0", "s1", more='hours="1"', x=50) for k in range(size)),
                       [closure("x", "s0", "sea", more='hours="1"')], kg=True)


def passages(size):
    """A chain of SIZE spaces that is open throughout."""
    return arrangement(row(size, size), (
        f'<passage id="p{k}" name="P" kind="arch" between="s{k} s{k + 1}"><clear x="{k + 1}" y="0" z="0" width="1" '
        'height="1" lies="transverse"/></passage>\n' for k in range(size - 1)), length=size)


def gaps(size):
    """SIZE gaps in one print."""
    noted = "".join(f'<gap at="{k * 4 / size:.9g}" length="{2 / size:.9g}"/>' for k in range(size))
    test = f'<test date="2026-01-01" method="chalk" result="fail">{noted}</test>'
    return arrangement(row(2), [closure(0, "s0", "s1", inside=test, x=50)])


def tests(size):
    """SIZE tests of one closure, in the arrangement."""
    many = "".join(f'<test date="20{k % 20:02}-01-{k % 28 + 1:02}" method="chalk" result="pass"/>\n'
                   for k in range(size))
    return arrangement(row(2), [closure(0, "s0", "s1", inside=many, x=50)])


def scenarios(size):
    """SIZE scenarios from ten spaces."""
    return arrangement((f'<scenario hazard="{("water", "air")[k % 2]}" source="s{k % 10}" weight="1"/>\n'
                        for k in range(size)), row(10),
                       (closure(k, f"s{k}", f"s{k + 1}", more='hours="1"', x=10 * k + 10) for k in range(9)),
                       kg=True)


def conditions(size):
    """SIZE conditions, and ten closures that are shut in all of them."""
    words = " ".join(f"k{k}" for k in range(size))
    return arrangement((f'<condition id="k{k}" name="K{k}"/>\n' for k in range(size)), row(11),
                       (closure(k, f"s{k}", f"s{k + 1}", more=f'shut-in="{words}"', x=9 * k + 9)
                        for k in range(10)), kg=True)


def decks(size):
    """SIZE decks, a space on each."""
    return arrangement((f'<deck id="d{k}" name="D{k}" z="{k * 6 / size:.9g}"/>\n' for k in range(size)),
                       (f'<space id="s{k}" name="S" deck="d{k}"><box x="0 100" y="-5 5" z="{k * 6 / size:.9g} '
                        f'{(k + 1) * 6 / size:.9g}"/></space>\n' for k in range(size)), decks=False)


def loadings(size):
    """SIZE loadings."""
    return arrangement((f'<loading id="l{k}" draft="3" kg="2"/>\n' for k in range(size)), row(3))


def overlapping(size):
    """SIZE spaces that all lie in one place."""
    return arrangement(space(k, 0, 50) for k in range(size))


def boxes(size):
    """One space of SIZE boxes, side by side."""
    each = 100 / size
    inside = "".join(f'<box x="{k * each:.9g} {(k + 1) * each:.9g}" y="-5 5" z="0 6"/>' for k in range(size))
    return arrangement([f'<space id="s0" name="S" deck="low">{inside}</space>\n'])


def nested(size):
    """SIZE elements in each other."""
    return arrangement(["<a>" * size, "</a>" * size])


def comment(size):
    """A comment of SIZE bytes, then an unknown entity."""
    return arrangement([f"<!-- {'- ' * (size // 2)}-->\n", "<space>&nothing;</space>"])


def namespaces(size):
    """SIZE namespaces declared on one element."""
    many = " ".join(f'xmlns:n{k}="urn:n{k}"' for k in range(size))
    return arrangement([space(0, 0, 50, many)])


def scopes(size):
    """SIZE elements in each other of 250 prefixes of namespaces each, in them SIZE of 250 attributes with the first."""
    opening = (f"<a {' '.join(f'xmlns:n{k}q{i}={chr(34)}urn:n{chr(34)}' for i in range(250))}>\n" for k in range(size))
    inside = f"<b {' '.join(f'n0q{i}:b={chr(34)}1{chr(34)}' for i in range(250))}/>\n"
    return arrangement(opening, (inside for _ in range(size)), ["</a>" * size])


def logged(*lines):
    """A log of these, for the chain of 10."""
    yield f'<test-log xmlns="{LOG_NS}" arrangement="Attack">\n'
    for part in lines:
        yield from part
    yield "</test-log>\n"


def log(size):
    """A log of SIZE entries, for the chain of 10."""
    return logged(f'<test closure="c{k % 9}" date="20{k * 20 // size + 5:02}-{k % 12 + 1:02}-{k % 28 + 1:02}" '
                  'method="chalk" result="pass"/>\n' for k in range(size))


def day(number):
    return (datetime.date(1900, 1, 1) + datetime.timedelta(number)).isoformat()


def undos(size):
    """SIZE tests of one closure, one a day, and SIZE undos of them, the oldest first."""
    return logged((f'<test closure="c0" date="{day(k)}" method="chalk" result="pass"/>\n' for k in range(size)),
                  (f'<undo closure="c0" date="2026-01-01" of="test" of-date="{day(k)}"/>\n' for k in range(size)))


def repairs(size):
    """SIZE repairs of one closure, one a day, SIZE tests of one date, and SIZE undos of the repairs."""
    return logged((f'<repair closure="c0" date="{day(k)}" action="dogs"/>\n' for k in range(size)),
                  ('<test closure="c0" date="2025-01-01" method="chalk" result="pass"/>\n' for _ in range(size)),
                  (f'<undo closure="c0" date="2026-01-01" of="repair" of-date="{day(k)}"/>\n' for k in range(size)))


def doubled(size):
    """A sheet of some SIZE bytes of headings, all alike."""
    yield ",".join(["id"] * (size // 3)) + "\n"


def heading(size):
    """A sheet with one heading of SIZE bytes."""
    yield "id," + "x" * size + "\ns0,1\n"


def headings(size):
    """A sheet of SIZE headings, all unlike."""
    yield "id," + ",".join(f"h{k}" for k in range(size)) + "\ns0\n"


def rows(size):
    """A list of SIZE spaces."""
    yield "id,x0,x1,y0,y1,z0,z1\n"
    for k in range(size):
        yield f"s{k},{k},{k + 1},-5,5,0,6\n"


# The largest size that is asked of each; attacks.py asks half and a quarter of it besides.
KINDS = {
    attributes: 25_000, children: 100_000, faults: 100_000, same_ids: 100_000, teeth: 1_000, fringed: 1_000,
    name: 125_000, one_id: 125_000, clique: 12, chain: 100_000, star: 100_000, parallel: 100_000,
    passages: 100_000, gaps: 10_000, tests: 100_000, scenarios: 100_000, conditions: 8_000, decks: 4_000,
    loadings: 8_000, overlapping: 8_000, boxes: 8_000, nested: 100_000, comment: 1_000_000, namespaces: 25_000,
    scopes: 200,
    log: 1_000_000, undos: 40_000, repairs: 40_000, doubled: 8_000, heading: 169_000, headings: 25_000, rows: 50_000,
}
BY_NAME = {maker.__name__.replace("_", "-"): maker for maker in KINDS}


def main():
    if sys.argv[1:] == ["--list"]:
        for kind, maker in BY_NAME.items():
            print(f"{kind:12} {KINDS[maker]:9}  {maker.__doc__}")
        return
    if len(sys.argv) != 3 or sys.argv[1] not in BY_NAME or not sys.argv[2].isdigit():
        sys.exit("usage: attack.py KIND SIZE, or attack.py --list")
    sys.stdout.writelines(BY_NAME[sys.argv[1]](int(sys.argv[2])))


if __name__ == "__main__":
    main()
