#!/usr/bin/python3
"""How long the lists of expose are: in full for a closure that is named, in part for all at once.

Needs Python 3.11, its standard library only.
Environment: COAMING, the program; COAMING_ROOT, the source tree. The ships here are invented.
"""

import re
import unittest

from harness import AS_OF, SHIP_NS, Case

NAMED = 100  # at most, of a list of --all; coaming-expose(1)
UNTESTED = "if untested closures leak, also: "


def row(spaces, untested):
    """Spaces one behind the other. c0 stands between the first two; beyond it the ways are open, or
    shut by closures nobody has tested."""
    between = [f'between="s{k} s{k + 1}"><clear x="{k + 1}" y="0" z="0" width="1" height="1" lies="transverse"/>'
               for k in range(spaces - 1)]
    links = [f'<closure id="c{k}" name="C{k}" kind="door" rating="watertight" {at}</closure>' if not k or untested
             else f'<passage id="p{k}" name="P{k}" kind="arch" {at}</passage>' for k, at in enumerate(between)]
    each = "".join(f'<space id="s{k}" name="S{k}"><box x="{k} {k + 1}" y="-3 3" z="0 3"/></space>\n'
                   for k in range(spaces))
    return (f'<arrangement xmlns="{SHIP_NS}" name="Row"><ship length="{spaces}" beam="6" depth="5" draft="2"/>\n'
            f'{each}{"".join(links)}</arrangement>')


class Lists(Case):
    def told(self, text, *closures):
        """What water from s0 does if c0 fails."""
        out = self.good("expose", self.ship(text), *closures, "--hazard=water", *AS_OF)
        return " ".join(out[out.index("Water from s0"):].split("\n  Water", 1)[0].split())

    def assert_list(self, said, first, last, more):
        ids = ", ".join(f"s{k}" for k in range(first, last + 1))
        self.assertIn(ids + (f" and {more} more" if more else ""), said)
        self.assertNotIn(f"s{last + 1}", said)
        self.assertEqual(" more" in said, more > 0)

    def test_of_all_closures_the_first_hundred_spaces_are_named(self):
        for over in (0, 1, 50):
            spaces = NAMED + over
            self.assert_list(self.told(row(spaces + 1, False), "--all"), 1, NAMED, over)
            said = self.told(row(spaces + 2, True), "--all")
            self.assertIn(f"{UNTESTED}s2,", said)
            self.assert_list(said, 2, NAMED + 1, over)

    def test_of_a_named_closure_all_are(self):
        spaces = NAMED + 50
        said = self.told(row(spaces + 1, False), "c0")
        self.assertEqual(re.findall(r"\bs(\d+) S\1\b", said), [str(k) for k in range(1, spaces + 1)])
        self.assert_list(self.told(row(spaces + 2, True), "c0"), 2, spaces + 1, 0)

    def test_programs_get_all(self):
        spaces = NAMED + 50
        rows = self.document("expose", self.ship(row(spaces + 1, False)), "--all", "--hazard=water")["results"]
        self.assertEqual(len(rows[0]["exposed"]), spaces)


if __name__ == "__main__":
    unittest.main()
