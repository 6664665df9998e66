#!/usr/bin/python3
"""Water in time, from the outside: bad input, and one answer in every form: text, document, sheet, plots.

What the flows themselves are is tested in tests/unit and against scipy; here what the command makes of
them: that what is asked for acts when it is to act, and that the forms agree.

Needs Python 3.11, its standard library only.
Environment: COAMING, COAMING_ROOT. The ships here are invented.
"""

import csv
import io
import re
import sys
import unittest
import xml.etree.ElementTree as ET
from pathlib import Path

sys.dont_write_bytecode = True  # leaves no files behind
sys.path.insert(0, str(Path(__file__).resolve().parent))
from harness import AS_OF, BARGE, DEMO, INPUT, SHIP_NS, USAGE, Case  # noqa: E402

# Three rooms in a row in a box 30 m long; the doors between them stand open unless it is said otherwise.
THREE = f"""<arrangement xmlns="{SHIP_NS}" name="Three">
<ship length="30" beam="6" depth="4" draft="1.5" kg="1.5"/>
<condition id="open" name="Doors open"/>
<condition id="sea" name="At sea"/>
<space id="aft" name="Aft room" shell="yes"><box x="0 10" y="-3 3" z="0 4"/></space>
<space id="mid" name="Middle room" shell="yes"><box x="10 20" y="-3 3" z="0 4"/></space>
<space id="fore" name="Fore room" shell="yes"><box x="20 30" y="-3 3" z="0 4"/></space>
<closure id="D1" name="After door" kind="door" between="aft mid" rating="watertight" shut-in="sea">
<clear x="10" y="0" z="0.2" width="0.8" height="1.8" lies="transverse"/>
<test date="2026-01-31" method="chalk" result="pass"/></closure>
<closure id="D2" name="Fore door" kind="door" between="mid fore" rating="watertight" shut-in="sea">
<clear x="20" y="0" z="0.2" width="0.8" height="1.8" lies="transverse"/>
<test date="2026-01-31" method="chalk" result="pass"/></closure>
<closure id="H1" kind="hatch" between="mid weather" rating="nontight" shut-in="">
<clear x="15" y="0" z="4" width="1" height="1" lies="deck"/></closure>
<passage id="P1" kind="duct" between="aft weather">
<clear x="5" y="0" z="4" width="0.5" height="0.5" lies="deck"/></passage>
<pump id="W1" space="fore" capacity="30" serves="mid"/>
</arrangement>
"""
HOLED = ("--breach", "aft:0.02@0.5")


class Asking(Case):
    def setUp(self):
        super().setUp()
        self.ship(THREE)

    def flood(self, *words, ship="ship.xml"):
        return self.document("flood", ship, *words)

    def shape(self, document):
        """What a document tells of the water, without what was asked of it."""
        return {k: v for k, v in document.items()
                if k in ("times", "positions", "spaces", "events", "ended", "at_rest", "end")}


class BadInput(Asking):
    """One clear error each, that names option and object."""

    def refused(self, status, *words, says=()):
        self.one_line(status, "flood", "ship.xml", *words, *AS_OF, says=says)

    def test_breaches(self):
        for word in ("aft", "aft:", ":0.05", "aft:wide", "aft:0", "aft:-1", "aft:0.05@", "aft:0.05@low", "aft:1e999",
                     "aft:nan", "aft:inf", "aft:0.05@nan", "aft:0.05@1e9", "aft:0.05kg"):
            self.refused(USAGE, "--breach", word, says=("--breach", f"'{word}'", "engine:0.05@1.2"))
        self.refused(USAGE, "--breach", "aft:0.05,mid:0", says=("'mid:0'",))
        self.refused(USAGE, "--breach", ",", says=("--breach names nothing",))
        self.refused(INPUT, "--breach", "aftt:0.05", says=("aftt", "aft"))
        self.refused(INPUT, "--breach", "D1:0.05", says=("D1",))

    def test_inflows(self):
        for word in ("mid", "mid:20", "mid:0m3/h", "mid:-5l/s", "mid:l/s", "mid:5kn", "mid:nanl/s", ":5l/s"):
            self.refused(USAGE, "--inflow", word, says=("--inflow", f"'{word}'", "engine:60m3/h"))
        self.refused(INPUT, "--inflow", "midd:5l/s", says=("midd", "mid"))

    def test_what_happens_when(self):
        for option in ("open", "shut", "fail", "pump"):
            for word in ("D1@-1", "D1@soon", "D1@", "@5", "D1@1e999", "D1@nan", "D1@5d"):
                self.refused(USAGE, *HOLED, f"--{option}={word}", says=(f"--{option}", f"'{word}'", "D3@10min"))
        for option in ("open", "shut", "fail"):
            self.refused(INPUT, *HOLED, f"--{option}=D9@60", says=("D9",))
            self.refused(INPUT, *HOLED, f"--{option}=aft@60", says=("aft", "that is a space"))
            self.refused(INPUT, *HOLED, f"--{option}=P1@60", says=("P1", "passage"))
        self.refused(INPUT, *HOLED, "--pump=W9@60", says=("pump W9",))
        self.refused(INPUT, *HOLED, "--pump=D1", says=("pump D1",))
        self.refused(INPUT, *HOLED, "--open=D9", says=("D9",))
        self.refused(USAGE, *HOLED, "--shut=D1@2h", says=("--shut D1@2h", "after the end", "--until"))
        self.refused(USAGE, *HOLED, "--shut=D1@60", "--open=D1@1min", says=("D1", "at the same moment"))
        self.refused(USAGE, *HOLED, "--shut=D1", "--open=D1", says=("D1",))

    def test_times(self):
        for option in ("every", "until"):
            for word in ("0", "-5", "soon", "", "inf", "nan", "1e999", "5 min", "721h" if option == "until" else "1e9"):
                self.refused(USAGE, *HOLED, f"--{option}={word}", says=(f"--{option}", f"'{word}'"))
        self.refused(USAGE, *HOLED, "--every=0.001", says=("--every", "too often"))
        for word in ("0", "1", "-3", "many", "10001"):
            self.refused(USAGE, *HOLED, f"--likely={word}", says=("--likely", f"'{word}'"))


if __name__ == "__main__":
    unittest.main()
