#!/usr/bin/python3
"""Checks that every JSON document that the program writes is valid by its published schema.

The schemas stand in src/present/schema. A schema that allows anything would pass every document, so
documents with one thing spoilt (a key taken out or put in, a wrong type, word, date or sign) must
fail, at every object of a document that holds every kind of row. Numbers must read back as the
doubles that were given, and be written no longer than by %.17g, which always suffices.

The random ships come from oracle_networkx.py beside this file. Ships and numbers are invented.

Needs Python 3.11, jsonschema 4.10 and networkx 2.8 (Debian: python3-jsonschema, python3-networkx).
Environment: COAMING, the program; COAMING_ROOT, the source tree.
"""

import copy
import itertools
import json
import math
import random
import sys
import unittest
from pathlib import Path

from jsonschema import Draft202012Validator, FormatChecker, RefResolver

sys.dont_write_bytecode = True  # leaves no files behind
sys.path.insert(0, str(Path(__file__).resolve().parent))
import oracle_networkx  # noqa: E402

import harness  # noqa: E402
from harness import AS_OF, ROOT, OneFolder  # noqa: E402
EXAMPLES = ROOT / "examples"
COMMANDS = ("check", "expose", "rank", "export", "float", "flood", "record", "due", "round", "adjust",
            "history", "hold", "boundary", "casualty", "air", "air-drop", "survival", "plan", "rank-explain", "risk-part",
            "survival-part", "casualty-follow")
# Documents that a command writes if an option asks for them.
WRITTEN_BY = {"air-drop": "air", "rank-explain": "rank", "risk-part": "rank", "survival-part": "survival"}
DEMO, BARGE = str(EXAMPLES / "fathom-lark.xml"), str(EXAMPLES / "barge.xml")
DEMO_LOG = ("--log", str(EXAMPLES / "fathom-lark-log.xml"))

# Numbers that may be negative: positions, heights of the water, and how she floats.
SIGNED = {"x", "y", "z", "kg", "lcg", "tcg", "zero", "level", "risk_level", "outline", "offsets", "draught",
          "draught_aft", "draught_fwd", "trim", "heel", "gm", "freeboard", "gz", "height", "late",
          "trend_per_year", "from", "to", "tested_gain", "index_gain", "index_gain_low", "index_gain_high",
          "lost_gain", "lost_gain_low", "lost_gain_high", "gain", "alone", "wind_from", "outside", "inside", "pressure",
          "needed_flow", "clean_flow", "flow", "sound", "drop"}
# The numbers of a floating position: all null if she does not stay afloat.
FLOATING = {"draught", "draught_aft", "draught_fwd", "trim", "heel", "gm", "freeboard",
            "flooded_volume"}
BARGE_SPACES = ("after-peak", "machinery", "hold-aft", "hold-fwd", "fore-peak")
COUNTS = {"joints", "spaces", "rank", "dog_count", "line", "days", "late", "stop", "adjustments", "prints",
          "failures", "repairs", "log_entries", "skipped", "of_unknown_size", "samples", "share",
          "shares"}
DATES = {"as_of", "tested", "date", "gasket_fitted", "last", "due", "renewed", "since", "undone",
         "of_date", "fitted"}
WORDS = {"format", "level", "risk_level", "measure", "hazard", "kind", "rating", "lies", "method", "result",
         "action", "severity", "note", "event", "worst_hazard", "reason", "basis", "advice", "side",
         "corner", "entry", "of", "step", "digest", "seed"}
WRONG_DATES = ("2026-02-30", "2026-04-31", "2026-13-01", "2026-00-10", "2026-1-1", "1899-12-31",
               "10.11.2026", "never", "", "2026-11-10T00:00:00")

# Every kind of row and every optional thing of the format at least once. Invented.
FULL_SHIP = """<arrangement xmlns="urn:coaming:arrangement:1" name="All of it">
  <ship length="30" beam="6" depth="5" draft="2" kg="1.5" lcg="15" tcg="0.01" density="1.025"/>
  <hull>
    <section x="0"><offset z="0" y="1"/><offset z="5" y="3"/></section>
    <section x="30"><offset z="0" y="1"/><offset z="5" y="3"/></section>
  </hull>
  <frames spacing="0.5" zero="0.25"/>
  <deck id="low" name="Lower" z="0"/>
  <condition id="sea" name="At sea"/>
  <condition id="port"/>
  <ageing kind="door" eta-years="12.5" beta="1.5"/>
  <method name="chalk" sensitivity="0.8" specificity="0.9"/>
  <scenario hazard="water" source="a" weight="0.25"/>
  <space id="a" name="A" number="2-10-0-E" deck="low" use="stores" shell="yes" people="1.5"
         worth="3" vital="yes" enclosed="yes" walkable="no"><box x="0 10" y="-3 3" z="0 4"/></space>
  <space id="b" name="B"><prism z="0 4" outline="10,-3 20,-3 20,3 10,3"/></space>
  <space id="c" name="C"><box x="20 30" y="-3 3" z="0 4"/></space>
  <closure id="D1" name="One" kind="door" between="a b" rating="watertight" shut-in="sea" remote="yes"
           power="a" control="c" hours="2.5" leak-probability="0.125" leak-area="0.002">
    <clear x="10" y="0.5" z="0.5" width="0.7" height="1.7" lies="transverse"/>
    <gasket fitted="2020-02-29"/>
    <dogs><dog at="0.5"/><dog at="1.25"/></dogs>
    <test date="2026-01-31" method="chalk" result="fail" by="AB" note="lower edge">
      <gap at="0.1" length="0.2"/>
    </test>
  </closure>
  <closure id="D2" kind="door" between="b c" rating="watertight"/>
  <closure id="D3" kind="hatch" between="c weather" rating="weathertight" shut-in="">
    <clear x="25" y="0" z="4" width="1" height="1" lies="deck"/>
  </closure>
  <closure id="D4" kind="valve" between="c sea" rating="watertight"><dogs count="2"/><from side="c"/>
    <clear x="25" y="3" z="1" width="0.1" height="0.1" lies="longitudinal"/>
    <test date="2026-05-05" method="air" result="pass" start-pressure="2000" end-pressure="1500" duration="600"/>
  </closure>
  <closure id="D5" kind="cover" between="sea weather" rating="nontight"/>
  <passage id="P1" name="Duct" kind="duct" between="b c">
    <clear x="20" y="0" z="3" width="0.5" height="0.5" lies="transverse"/>
  </passage>
  <passage id="P2" kind="pipe" between="a c"/>
  <pump id="W1" name="Bilge" space="a" capacity="60" serves="a b" power="c" control="b"/>
  <pump id="W2" space="c" capacity="12.5" serves="b"/>
  <fan id="F1" supplies="b" flow="0.5" pressure="50"/>
  <fan id="F2" name="Two" supplies="a" flow="0.25"/>
</arrangement>
"""
FULL_LOG = """<test-log xmlns="urn:coaming:test-log:1" arrangement="All of it">
  <repair closure="D1" date="2026-02-01" action="knife-edge" by="CD" note="dressed"/>
</test-log>
"""

# Rounds of tests: due by each kind of interval, prints of each kind, entries taken back. It lies
# years back, for the clock of no machine may stand before an entry that is recorded.
TESTED_SHIP = """<arrangement xmlns="urn:coaming:arrangement:1" name="Tested">
  <ship length="40" beam="6" depth="5" draft="2" kg="1.5"/>
  <interval kind="hatch" method="hose" days="30" minutes="12.5"/>
  <space id="a" name="A" shell="yes"><box x="0 10" y="-3 3" z="0 4"/></space>
  <space id="b" name="B"><box x="10 20" y="-3 3" z="0 4"/></space>
  <space id="c" name="C"><box x="20 30" y="-3 3" z="0 4"/></space>
  <space id="d" name="D"><box x="30 40" y="-3 3" z="0 4"/></space>
  <space id="v" name="V" use="void"><box x="0 40" y="-3 3" z="4 5"/></space>
  <closure id="D1" kind="door" between="a b" rating="watertight">
    <clear x="10" y="0" z="0.5" width="1" height="2" lies="transverse"/>
    <gasket fitted="2015-03-01" section="P 20" joints="2.5"/><dogs count="6"/>
    <test date="2016-01-10" method="chalk" result="pass"/>
    <test date="2017-01-10" method="chalk" result="fail" by="AB" note="lower edge">
      <gap at="0.2" length="0.2"/></test>
    <test date="2018-01-10" method="chalk" result="pass"/>
    <test date="2019-01-10" method="chalk" result="fail">
      <gap at="0.2" length="0.2"/><gap at="0.95" length="0.1"/><gap at="2.45" length="0.1"/>
      <gap at="3.2" length="0.1" seen="damage"/><gap at="3.5" length="0.2" seen="paint"/>
      <gap at="4.1" length="1.8"/></test>
  </closure>
  <closure id="D6" kind="door" between="b c" rating="watertight">
    <clear x="20" y="-2" z="0.5" width="1" height="2" lies="transverse"/>
    <gasket joints="0.5 0.9 3"/>
    <test date="2019-01-10" method="chalk" result="fail" set="0.0035" hinge-play="0.006">
      <gap at="1.5" length="0.2"/><gap at="3.3" length="0.4" seen="edge"/>
      <gap at="13" length="0.1"/></test></closure>
  <closure id="D7" kind="door" between="b c" rating="watertight">
    <clear x="20" y="-2" z="0.5" width="1" height="2" lies="transverse"/>
    <gasket joints="0.5 0.9"/></closure>
  <closure id="D8" kind="door" between="b c" rating="watertight">
    <clear x="20" y="-2" z="0.5" width="1" height="2" lies="transverse"/><dogs count="8"/>
    <test date="2019-01-10" method="chalk" result="fail">
      <gap at="1.5" length="0.2"/></test></closure>
  <closure id="D2" kind="door" between="b c" rating="watertight"/>
  <closure id="D3" kind="door" between="c d" rating="watertight">
    <gasket section="P 20"/>
    <test date="2019-01-10" method="chalk" result="fail"><gap at="1" length="0.2" seen="damage"/>
    </test></closure>
  <closure id="D4" kind="door" between="b c" rating="airtight">
    <clear x="20" y="2" z="0.5" width="1" height="2" lies="transverse"/>
    <gasket fitted="2015-03-01"/>
    <test date="2018-02-01" method="chalk" result="fail"><gap at="0.4" length="0.2"/></test>
  </closure>
  <closure id="H1" kind="hatch" between="a weather" rating="weathertight">
    <clear x="5" y="0" z="4" width="1" height="1" lies="deck"/>
    <test date="2019-12-20" method="hose" result="pass"/></closure>
  <closure id="M1" kind="manhole" between="c weather" rating="watertight">
    <clear x="25" y="0" z="4" width="0.5" height="0.5" lies="deck"/>
    <test date="2019-06-01" method="air" result="fail"/></closure>
  <closure id="V1" kind="valve" between="a sea" rating="watertight">
    <clear x="5" y="-3" z="0.5" width="0.1" height="0.1" lies="longitudinal"/>
    <test date="2019-12-30" method="visual" result="pass"/></closure>
  <closure id="S1" kind="scuttle" between="v weather" rating="weathertight"/>
  <closure id="V2" kind="valve" between="v sea" rating="watertight"/>
  <closure id="C1" kind="cover" between="weather a" rating="watertight"><from side="weather"/>
    <clear x="0" y="1" z="2.5" width="1" height="1" lies="transverse"/></closure>
  <closure id="V3" kind="valve" between="a sea" rating="watertight">
    <clear x="5" y="-3" z="0.5" width="0.1" height="0.1" lies="longitudinal"/>
    <test date="2019-12-30" method="air" result="fail"/></closure>
  <closure id="M3" kind="manhole" between="c weather" rating="watertight">
    <clear x="25" y="1" z="4" width="0.5" height="0.5" lies="deck"/>
    <test date="2019-06-01" method="chalk" result="fail"><gap at="0.2" length="0.1"/></test>
    </closure>
</arrangement>
"""
TESTED_LOG = """<test-log xmlns="urn:coaming:test-log:1" arrangement="Tested">
  <repair closure="V1" date="2019-12-31" action="replaced" by="CD" note="dressed"/>
  <repair closure="D4" date="2018-02-02" action="gasket"/>
  <repair closure="D4" date="2018-03-02" action="dogs"/>
  <repair closure="D4" date="2018-04-02" action="dogs"/>
  <test closure="D4" date="2019-10-02" method="chalk" result="fail"><gap at="0.4" length="0.2"/>
  </test>
  <test closure="D1" date="2019-02-01" method="chalk" result="pass" by="AB" note="lower edge"/>
  <undo closure="D1" date="2019-02-02" of="test" of-date="2019-02-01" note="another door"/>
</test-log>
"""
TESTED_DAY = ("--as-of", "2020-01-02")


def load_schemas():
    texts = {c: (ROOT / f"src/present/schema/{c}.schema.json").read_text("utf-8") for c in COMMANDS}
    return {command: json.loads(text) for command, text in texts.items()}


SCHEMAS = load_schemas()
STORE = {schema["$id"]: schema for schema in SCHEMAS.values()}


def no_network(uri):
    raise AssertionError(f"a schema refers to {uri}, which is none of those here")


def validator(command):
    schema = SCHEMAS[command]
    resolver = RefResolver(schema["$id"], schema, store=STORE,
                           handlers={"http": no_network, "https": no_network, "urn": no_network})
    return Draft202012Validator(schema, resolver=resolver, format_checker=FormatChecker())


VALIDATORS = {command: validator(command) for command in COMMANDS}


def run(command, *arguments, status=0):
    """The text that a command writes as JSON; due may say by its status that a test is overdue,
    hold that a space cannot be kept, boundary that something cannot be shut."""
    day = () if command == "record" else AS_OF
    name = WRITTEN_BY.get(command, command)
    done = harness.run(name, "--format", "json", *day, *arguments)
    if done.returncode not in (status, 1 if command in ("due", "hold", "boundary") else status):
        raise AssertionError(f"{command} {arguments}: exit {done.returncode}, "
                             f"{done.stderr[-300:]!r}")
    return done.stdout.decode("utf-8")


def refuse_constant(text):
    raise AssertionError(f"{text} is no JSON number")


def refuse_twice(pairs):
    keys = [key for key, _ in pairs]
    if len(set(keys)) != len(keys):
        raise AssertionError(f"a key stands twice: {keys}")
    return dict(pairs)


def read(text):
    return json.loads(text, parse_constant=refuse_constant, object_pairs_hook=refuse_twice)


def complaints(command, document):
    return [f"{'/'.join(map(str, error.absolute_path))}: {error.message[:300]}"
            for error in itertools.islice(VALIDATORS[command].iter_errors(document), 5)]


def objects(value, path=()):
    """All objects of a document, each with the path to it."""
    if isinstance(value, dict):
        yield path, value
    items = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(
        value, list) else ()
    for key, item in items:
        yield from objects(item, (*path, key))


def optional(keys):
    """Those of an object's keys that are not in every such object: what is seen, several sources of hold, why
    a row is empty, that she does not stay afloat, frames, and what only a ship afloat has."""
    head = keys & {"open", "shut", "failed"} if "as_of" in keys else set()
    head |= keys & {"sources"} if "answers" in keys and "measure" not in keys else set()
    if "closure" in keys and "entry" not in keys:
        return head | keys & {"note", "afloat"}
    return head | keys & ({"frames"} if "hull" in keys else
                   {"range", "greatest_arm", "s"} if "flooded" in keys else set())


def spare(keys):
    """Those that a schema cannot miss where they stand: without `afloat` a row of expose would need
    a level, and a ship afloat has righting arms."""
    return optional(keys) - {"range", "greatest_arm", "s"} - ({"afloat"} if "exposed" in keys else set())


def digits(text):
    """How many significant digits a number is written with."""
    return len(text.lower().partition("e")[0].lstrip("-").replace(".", "").strip("0"))


def is_number(value):
    return isinstance(value, (int, float)) and not isinstance(value, bool)


class Everything(OneFolder):
    """With the ship that holds everything."""

    @classmethod
    def setUpClass(cls):
        super().setUpClass()
        cls.ship = cls.write("full.xml", FULL_SHIP)
        cls.log = ("--log", cls.write("full-log.xml", FULL_LOG))
        cls.tested = (*TESTED_DAY, "--log", cls.write("tested-log.xml", TESTED_LOG),
                      cls.write("tested.xml", TESTED_SHIP))

    @classmethod
    def recorded(cls, name, *words, log=TESTED_LOG):
        """The words of a command that records into a log of its own."""
        return (cls.write(f"record-{name}.xml", log), "--date", "2020-01-02", *words)

    def holds(self, command, *arguments, status=0):
        document = read(run(command, *arguments, status=status))
        self.assertEqual(complaints(command, document), [], f"{command} {arguments}")
        return document


class Schemas(unittest.TestCase):
    def test_each_schema_is_a_valid_schema_of_draft_2020_12(self):
        for command, schema in SCHEMAS.items():
            with self.subTest(command):
                Draft202012Validator.check_schema(schema)
                self.assertEqual(schema["$schema"], Draft202012Validator.META_SCHEMA["$id"])
                self.assertEqual(schema["$id"], f"urn:coaming:schema:{command}:1")

    def test_every_reference_leads_to_a_definition_that_is_there(self):
        seen = 0
        for schema in SCHEMAS.values():
            for _, item in objects(schema):
                if "$ref" not in item:
                    continue
                home, _, name = item["$ref"].partition("#/$defs/")
                self.assertIn(name, STORE[home]["$defs"])
                seen += 1
        self.assertGreater(seen, 30)

    def test_every_definition_is_used(self):
        used = {item["$ref"] for schema in SCHEMAS.values() for _, item in objects(schema)
                if "$ref" in item}
        for home, schema in STORE.items():
            for name in schema["$defs"]:
                self.assertIn(f"{home}#/$defs/{name}", used)

    def test_export_uses_the_rows_of_expose_and_rank(self):
        export = SCHEMAS["export"]["properties"]
        levels = [SCHEMAS[command]["$defs"]["level"] for command in ("expose", "rank")]
        self.assertEqual(levels[0], levels[1])
        for command in ("expose", "rank"):
            self.assertEqual(export[command]["items"],
                             {"$ref": f"urn:coaming:schema:{command}:1#/$defs/row"})

    def test_every_key_has_a_description_and_every_object_is_closed(self):
        described = 0
        for command, schema in SCHEMAS.items():
            for path, item in objects(schema):
                if "additionalProperties" not in item:
                    continue
                self.assertIs(item["additionalProperties"], False, path)
                keys = set(item["properties"])
                self.assertEqual(keys - set(item["required"]), optional(keys), path)
                for key, rule in item["properties"].items():
                    self.assertTrue(rule.get("description"), f"{command} {path} {key}")
                    described += 1
        self.assertGreater(described, 80)


class Documents(Everything):
    def test_check_of_the_demo_and_the_barge_is_valid(self):
        for arguments in ((DEMO,), (*DEMO_LOG, DEMO), (BARGE,)):
            self.assertTrue(self.holds("check", *arguments)["ok"])

    def test_check_of_a_faulty_file_is_valid(self):
        faulty = {
            "empty": "", "text": "no XML", "other": "<svg/>", "cut": FULL_SHIP[:700],
            "dangling": FULL_SHIP.replace('between="a b"', 'between="a q"'),
            "several": FULL_SHIP.replace('x="10"', 'x="ten"').replace("2026-05-05", "2026-02-30"),
        }
        for name, text in faulty.items():
            with self.subTest(name):
                document = self.holds("check", self.write(f"{name}.xml", text), status=3)
                self.assertFalse(document["ok"])

    def test_check_with_warnings_is_valid(self):
        document = self.holds("check", *self.log, self.ship)
        self.assertIn("warning", {fault["severity"] for fault in document["faults"]})

    def test_expose_is_valid_for_hazards_levels_and_conditions(self):
        levels = ("equilibrium", "still", "full", "0", "-1.5", "4.05", "12ft")
        for level, hazard in itertools.product(levels, ("water", "air", "both")):
            asked = ("--all", "--level", level, "--hazard", hazard)
            self.holds("expose", *asked, "--condition", "towed", BARGE)
        for condition, level in zip(("port", "sea", "closed", "sea"),
                                    ("still", "full", "6.5", "equilibrium")):
            self.holds("expose", "--all", "--level", level, "--condition", condition, DEMO)
        self.holds("expose", *DEMO_LOG, DEMO, "D4", "H1", "W2")
        self.holds("expose", "--as-of", "1999-01-01", "--all", BARGE)

    def test_rank_is_valid_for_measures_levels_and_conditions(self):
        measures = ("worth", "volume", "people", "spaces")
        for measure, level in itertools.product(measures, ("still", "full", "-2", "2.5")):
            self.holds("rank", "--measure", measure, "--level", level, BARGE)
        for measure, hazard in zip(measures, ("water", "air", "both", "both")):
            self.holds("rank", *DEMO_LOG, "--measure", measure, "--hazard", hazard, "--condition",
                       "sea", DEMO)
        self.assertEqual(len(self.holds("rank", "--top", "3", DEMO)["closures"]), 3)
        for words in ("failed", "untested,failed", "passed", "all"):
            self.assertTrue(self.holds("rank", *DEMO_LOG, "--standing", words, DEMO)["standing"])
        self.holds("rank", "--as-of", "1999-01-01", BARGE)

    def test_documents_of_what_is_seen_are_valid(self):
        seen = ("--open", "D1,D3", "--shut", "V1", "--failed", "D2,D3")
        asked = {"expose": ("--all",), "rank": (), "rank-explain": ("--explain", "D2"), "plan": ("--hours", "9"),
                 "export": (), "float": ("--flooded", "aux"), "hold": ("--source", "aux"),
                 "casualty": ("--source", "aux")}
        for command, words in asked.items():
            document = self.holds(command, *DEMO_LOG, "--level", "still", *words, *seen, DEMO) if command != "float" \
                else self.holds(command, *DEMO_LOG, *words, *seen, DEMO)
            self.assertEqual((document["open"], document["shut"], document["failed"]),
                             (["D1", "D3"], ["V1"], ["D2", "D3"]))
            for key in ("open", "failed"):
                for wrong in ([], ["D1", "D1"], "D1", [1]):
                    self.assertTrue(complaints(command, {**document, key: wrong}), (command, key, wrong))
        self.holds("survival", "--failed", "D1", "--open", "H1", BARGE)
        document = self.holds("boundary", *DEMO_LOG, *seen, DEMO, "aux")
        self.assertEqual((document["open"], document["shut"], document["failed"]),
                         (["D1", "D3"], ["V1"], ["D2", "D3"]))

    def test_expose_at_equilibrium_is_valid_with_rows_where_she_is_lost(self):
        document = self.holds("expose", "--all", "--condition", "working", BARGE)
        self.assertEqual(document["level"], "equilibrium")
        lost = [row for row in document["results"] if "afloat" in row]
        kept = [row for row in document["results"] if row["level"] is not None]
        self.assertTrue(lost and kept)
        for row in lost:
            self.assertEqual((row["afloat"], row["level"], row["hazard"]), (False, None, "water"))

    def test_rank_at_equilibrium_is_valid_for_all_measures(self):
        for measure in ("worth", "volume", "people", "spaces", "freeboard", "gm"):
            for ship in ((BARGE,), (*DEMO_LOG, DEMO)):
                document = self.holds("rank", "--measure", measure, *ship)
                self.assertEqual((document["level"], document["measure"]),
                                 ("equilibrium", measure))
                self.assertIn(False, [row.get("afloat") for row in document["closures"]])

    def test_float_is_valid_afloat_and_lost(self):
        floodings = [(), ("machinery",), ("machinery", "hold-aft"), ("fore-peak", "after-peak")]
        for spaces in floodings:
            document = self.holds("float", *(["--flooded", ",".join(spaces)] if spaces else []),
                                  BARGE)
            self.assertEqual((document["flooded"], document["afloat"]), (list(spaces), True))
            self.assertIn(len(document["righting_arms"]), range(1, 14))
        lost = self.holds("float", "--flooded", ",".join(BARGE_SPACES), BARGE)
        self.assertIs(lost["afloat"], False)
        self.assertEqual({lost[key] for key in FLOATING}, {None})
        for flooded in ("engine,motor", "engine", "thruster,sounder", "fuel-db-s"):
            self.holds("float", *DEMO_LOG, "--flooded", flooded, DEMO)
        self.holds("float", self.ship)
        self.holds("float", "--flooded", "a", self.ship)

    def test_flood_is_valid_afloat_and_lost_with_all_that_may_be_asked(self):
        for words in (("--breach", "engine:0.05@1.2", "--condition", "port", "--by-when", "--likely", "5", "--seed", str(2**64 - 1)),
                      ("--inflow", "motor:20l/s", "--open", "D1,D3@60", "--shut", "D3@2min", "--fail", "D4@5min", "--pump", "bilge-2@90"),
                      ("--breach", "fuel-db-s:0.1", "--loading", "passage")):
            document = self.holds("flood", *DEMO_LOG, *words, "--until", "20min", "--every", "5min", DEMO)
            self.assertTrue(document["events"] and document["spaces"])
        lost = self.holds("flood", "--breach", ",".join(f"{s}:0.5" for s in BARGE_SPACES), "--until", "2h", BARGE)
        self.assertEqual(lost["end"]["grade"], "lost")
        self.holds("flood", "--breach", "a:0.1", "--until", "5min", *self.log, self.ship)

    def test_documents_of_a_loaded_ship_are_valid_and_name_the_loading(self):
        for command, *words in (("float",), ("float", "--flooded", "engine"), ("expose", "--all"), ("rank",),
                                ("plan", "--hours", "4"), ("export", "--hazard", "air"), ("hold", "--source", "aux"),
                                ("casualty", "--source", "aux"), ("due", "--by-consequence")):
            status = 1 if command == "due" else 0
            document = self.holds(command, *words, "--loading", "passage", DEMO, status=status)
            self.assertEqual(document["loading"], "passage", (command, words))

    def test_survival_is_valid(self):
        document = self.holds("survival", BARGE)
        self.assertTrue(document["cases"])
        self.assertEqual(len(self.holds("survival", *DEMO_LOG, "--top", "7", DEMO)["cases"]), 7)
        self.holds("survival", "--condition", "port", DEMO)
        self.holds("survival", *self.log, self.ship)

    def test_hold_is_valid_with_lines_and_without(self):
        for source in ("engine", "aux", "lobby", "shelter", "sea", "weather"):
            for level in ("equilibrium", "still", "full", "5"):
                document = self.holds("hold", *DEMO_LOG, "--source", source, "--level", level,
                                      "--condition", "sea", DEMO)
                self.assertEqual([a["hazard"] for a in document["answers"]],
                                 ["water"] if source == "sea" else ["water", "air"])
        everything = ",".join(BARGE_SPACES)
        lost = self.holds("hold", "--source", "machinery", "--protect", everything, BARGE)
        self.assertEqual([a["lost"][0]["space"] for a in lost["answers"]], ["machinery"] * 2)
        alone = self.holds("hold", "--source", "machinery", "--protect", "machinery", BARGE)
        self.assertEqual([a["lines"] for a in alone["answers"]], [[], []])

    def test_boundary_is_valid_with_every_group(self):
        groups, keeps = set(), set()
        for spaces in ("engine", "aux,motor", "bridge", "cold", "lobby,shelter"):
            for level, hazard in itertools.product(("equilibrium", "still", "full", "5"), ("water", "air", "both")):
                document = self.holds("boundary", *DEMO_LOG, "--level", level, "--hazard", hazard, "--condition",
                                      "port", DEMO, spaces)
                groups |= {row["group"] for row in document["links"]}
                keeps |= {row["water"] for row in document["links"]}
        self.assertEqual(groups, {"cannot_be_shut", "to_shut", "shut", "not_reached"})
        self.assertEqual(keeps, {"holds", "slows", "passes", "not_reached", None})
        self.holds("boundary", self.ship, "a")
        self.holds("boundary", BARGE, "machinery", "--start", "hold-aft", "--open", "D1,V1")
        lost = self.holds("boundary", BARGE, *BARGE_SPACES[:-1])
        self.assertEqual((lost["afloat"], lost["draught"]), (False, None))

    def test_casualty_is_valid_afloat_and_lost(self):
        for source in ("engine", "engine,aux", "shelter", "sea", "weather,lobby"):
            for level in ("equilibrium", "still", "full", "5"):
                document = self.holds("casualty", *DEMO_LOG, "--source", source, "--level", level,
                                      "--condition", "port", "--measure", "people", DEMO)
                hazards = ["water"] if source == "sea" else ["water", "air"]  # the sea is no source of bad air
                self.assertEqual([a["hazard"] for a in document["answers"]], hazards)
                self.assertEqual(document["answers"][0]["floats"] is None, level != "equilibrium")
        lost = self.holds("casualty", "--source", ",".join(BARGE_SPACES), BARGE)
        self.assertEqual([a["lines"] for a in lost["answers"]], [[], []])
        self.assertIs(lost["answers"][0]["floats"]["afloat"], False)
        wrong = json.loads(json.dumps(document))
        wrong["answers"][0]["reached"][0]["order"] = -1
        self.assertTrue(complaints("casualty", wrong))

    def test_every_line_of_a_casualty_that_is_followed_is_valid(self):
        told = '{"t": 1, "water": "aux"}', '{"air": "engine"}', '{"t": 2, "failed": "D2"}', '{"t": 3.5, "dry": "aux"}', "[]"
        for words in ((), ("--hazard", "water"), ("--level", "full", "--condition", "port", "--open", "D3"),
                      ("--source", "shelter,sea")):
            done = harness.run("casualty", *DEMO_LOG, DEMO, *AS_OF, "--follow", "-", *words, input="\n".join(told).encode())
            self.assertEqual(done.returncode, 3)
            lines = [read(line) for line in done.stdout.decode().split("\n")[:-1]]
            self.assertEqual([line["line"] for line in lines], [1, 2, 3, 4, 5])
            for line in lines:
                self.assertEqual(complaints("casualty-follow", line), [], words)
            self.assertEqual(set(lines[4]), {"line", "error"})
        for line in lines:
            for key in set(line) - {"open", "shut", "failed"}:
                self.assertTrue(complaints("casualty-follow", {k: v for k, v in line.items() if k != key}), key)
                self.assertTrue(complaints("casualty-follow", {**line, key: {}}), key)
        self.assertTrue(complaints("casualty-follow", {**lines[0], "answers": []}))
        self.assertTrue(complaints("casualty-follow", {**lines[0], "error": "both"}))

    def test_air_is_valid_with_sources_and_without(self):
        for words in ((), ("--source", "engine:2g/s:co"), ("--source", "weather:500ppm:co", "--wind", "9@40"),
                      ("--source", "engine:0.1m3/s", "--limit", "2%", "--condition", "port", "--open", "D1"),
                      ("--source", "motor:9g/s:co2", "--inside", "motor:90", "--outside", "-5", "--filtered")):
            document = self.holds("air", *DEMO_LOG, *words, DEMO)
            self.assertEqual(bool(document["sources"]), bool(words))
            self.assertEqual(len(document["times"]), 61 if words else 0)
            self.assertLess(document["unbalanced"], 1e-8)
        self.holds("air", self.ship, "--source", "a:1g/s:hcn")
        self.holds("air-drop", BARGE, "--drop", "500:350:600", "--space", "machinery")

    def test_rank_is_valid_for_methods_of_risk(self):
        for risk in (("exact",), ("sampled", "--samples", "2048", "--seed", "7"),
                     ("sampled", "--within", "20%")):
            document = self.holds("rank", "--by-risk", "--risk", *risk, BARGE)
            self.assertEqual(document["method"], risk[0])
            self.assertEqual(document["standard_error"] > 0, risk[0] == "sampled")
            gains = [row["repair_gain"] for row in document["closures"]]
            self.assertEqual(gains, sorted(gains, reverse=True))
        self.assertIsNone(self.holds("rank", "--risk", "none", BARGE)["method"])
        for measure in ("freeboard", "gm"):
            document = self.holds("rank", "--measure", measure, BARGE)
            self.assertEqual([document["method"], document["closures"][0]["risk"]], [None, None])
        bounds = self.write("certain.xml", FULL_SHIP.replace("0.125", "1").replace(
            "<condition id=\"port\"/>", "<ageing kind=\"hatch\" eta-years=\"1e-3\" beta=\"1\"/>"))
        self.holds("rank", bounds)

    def test_rank_explain_is_valid_for_every_kind_of_step(self):
        steps, aged = set(), self.tested
        for arguments in ((*aged, "--explain", "D1"), (*aged, "--explain", "D2"),
                          (*aged, "--explain", "D4"), (*aged, "--explain", "V1"),
                          (*self.log, "--explain", "D1", self.ship),
                          ("--risk", "sampled", "--explain", "D1", BARGE)):
            document = self.holds("rank-explain", *arguments)
            steps |= {step["step"] for step in document["steps"]}
            self.assertEqual(document["importance"]["leak_probability"],
                             document["steps"][-1]["after"])
        self.assertEqual(steps, {"fitted", "test", "repair", "now", "given"})

    def test_parts_of_a_sampling_are_valid_and_merge_to_a_valid_rank(self):
        asked, parts = ("--risk", "sampled"), []
        for share in ("1/3", "2/3", "3/3"):
            text = run("risk-part", *asked, "--samples", "4096", "--share", share, BARGE)
            self.assertEqual(complaints("risk-part", read(text)), [])
            parts.append(self.write(f"part-{share[0]}.json", text))
        merged = self.holds("rank", "--merge", BARGE, *parts)
        self.assertEqual(merged, self.holds("rank", *asked, "--samples", "4096", BARGE))
        asked = ("risk-part", "--risk", "exact", "--samples", "4096", "--share", "1/2", BARGE)
        self.assertEqual(self.holds(*asked, "--level", "still")["sums"], [])
        self.assertGreater(len(self.holds(*asked)["sums"]), 10)

    def test_plan_is_valid(self):
        for hours in ("0.5", "8", "1000000"):
            for measure in ("worth", "volume", "people", "spaces"):
                document = self.holds("plan", "--hours", hours, "--measure", measure, BARGE)
                self.assertLessEqual(document["hours_used"], document["hours"])
        self.assertEqual(self.holds("plan", "--hours", "0.01", BARGE)["repairs"], [])
        document = self.holds("plan", "--hours", "24", *DEMO_LOG, DEMO)
        self.assertIs(document["exhaustive"], False)
        self.assertTrue(document["repairs"] and document["tests"])
        sampled = self.holds("plan", "--hours", "8", "--risk", "sampled", "--samples", "2048", BARGE)
        self.assertGreater(sampled["standard_error"], 0)
        self.assertTrue(self.holds("plan", "--hours", "8", self.ship)["without_hours"])
        exact = self.holds("plan", "--hours", "8", "--measure", "survival", BARGE)
        self.assertEqual((exact["method"], exact["index"]["expected_error"]), ("exact", 0))

    def test_export_is_valid(self):
        self.holds("export", BARGE)
        self.holds("export", "--condition", "working", "--level", "full", "--measure", "volume",
                   BARGE)
        self.holds("export", *DEMO_LOG, DEMO)
        self.holds("export", *DEMO_LOG, "--condition", "port", "--level", "3.5", "--hazard",
                   "water", "--measure", "people", DEMO)
        self.holds("export", *self.log, "--condition", "sea", self.ship)
        for measure in ("freeboard", "gm"):
            self.holds("export", "--level", "equilibrium", "--measure", measure, BARGE)

    def test_due_is_valid_for_every_reason_and_basis(self):
        tests = self.holds("due", "--all", *self.tested)["tests"]
        self.assertEqual({row["reason"] for row in tests},
                         {"interval", "never", "failed", "repaired"})
        self.assertEqual({row["basis"] for row in tests},
                         {"arrangement", "SOLAS II-1/21", "assumption", "retest"})
        self.assertEqual({row["overdue"] for row in tests}, {True, False})
        self.assertEqual({row["minutes_assumed"] for row in tests}, {True, False})
        for arguments in ((), ("--within", "0"), ("--all",)):
            self.holds("due", *arguments, BARGE)
            self.holds("due", *arguments, *DEMO_LOG, DEMO)
        self.holds("due", "--as-of", "1999-01-01", BARGE)

    def test_due_by_consequence_is_valid_for_all_measures(self):
        for measure in ("worth", "volume", "people", "spaces", "freeboard", "gm"):
            for ship in ((BARGE,), self.tested):
                document = self.holds("due", "--by-consequence", "--measure", measure, *ship)
                self.assertTrue(all(is_number(row["urgency"]) for row in document["tests"]))

    def test_round_is_valid_with_stops_that_cannot_be_reached(self):
        document = self.holds("round", *self.tested)
        self.assertEqual({row["advice"] for row in document["stops"]} - {"none"},
                         {"clean", "gasket", "chalk", "retest", "knife-edge", "dogs",
                          "fastenings", "overhaul"})
        self.assertTrue(document["parts"]["gaskets"])
        for arguments in ((*DEMO_LOG, DEMO), (BARGE,), ("--inside", *DEMO_LOG, DEMO),
                          ("--top", "5", "--by-consequence", *DEMO_LOG, DEMO),
                          ("--within", "90", "--start", "machinery", BARGE), (BARGE, "M2", "D2")):
            self.assertTrue(self.holds("round", *arguments)["stops"])
        self.assertTrue(self.holds("round", "--inside", BARGE, "M2", "D1")["unreached"])
        none = self.holds("round", "--as-of", "2026-05-13", self.write(
            "no-closures.xml", TESTED_SHIP[:TESTED_SHIP.index("  <closure")] + "</arrangement>"))
        self.assertEqual(none["stops"], [])

    def test_adjust_is_valid_for_every_advice(self):
        document = self.holds("adjust", *self.tested)
        gaps = [gap for row in document["closures"] for gap in row["gaps"]]
        self.assertEqual({gap["advice"] for gap in gaps},
                         {"chalk", "clean", "gasket", "hinge", "side", "corner", "dogs",
                          "knife-edge", "fastenings"})
        findings = [finding["reason"] for row in document["closures"] for finding in
                    row["findings"]]
        self.assertEqual(set(findings), {"set", "joints", "piece", "hinge-play"})
        self.assertIn(None, [row["run"] for row in document["closures"]])
        self.assertLessEqual({"knife-edge", "retest", "chalk", "overhaul", "fastenings"},
                             {row["advice"] for row in document["closures"]})
        named = self.holds("adjust", *self.tested, "H1", "D2")["closures"]
        self.assertEqual([row["advice"] for row in named], ["none", "none"])
        for arguments in ((BARGE,), (*DEMO_LOG, DEMO), ("--as-of", "1999-01-01", BARGE)):
            self.holds("adjust", *arguments)

    def test_history_is_valid(self):
        document = self.holds("history", *self.tested, "D1")
        self.assertEqual(document["failures"], 2)
        self.assertTrue(is_number(document["trend_per_year"]))
        self.assertIn("2019-02-02", [row["undone"] for row in document["events"]])
        for closure in ("D2", "D3", "D4", "D6", "H1", "M1", "V1"):
            self.holds("history", *self.tested, closure)
        for closure in ("D1", "D4", "D9", "D25", "V13", "H7", "M7"):
            self.holds("history", *DEMO_LOG, DEMO, closure)

    def test_record_is_valid_for_every_sort_of_entry(self):
        words = ("D1", "hose", "fail", "1.5:0.25:joint", "2:1e-3", "3:0.1:edge", "gasket", "pass",
                 "undo", "--set", "0.0035", "--hinge-play", "0.002")
        document = self.holds("record", *self.recorded("words", *words))
        self.assertEqual([(row["set"], row["hinge_play"]) for row in document["recorded"]],
                         [(0.0035, 0.002)] + 3 * [(None, None)])
        self.assertEqual([row["entry"] for row in document["recorded"]],
                         ["test", "repair", "test", "undo"])
        self.assertIsNone(document["as_of"])
        sheet = self.write("sheet.csv", "closure,result,gaps,action,retest,by,note,method\n"
                                        "D1,fail,0.1:0.2 0.5:0.1:paint,dogs,pass,AB,lower edge,\n"
                                        "M1,,,,,,,\nH1,pass,,,,,,hose\n")
        document = self.holds("record", *self.recorded("sheet", "--sheet", sheet, "--ship",
                                                       self.tested[-1]))
        self.assertEqual((document["skipped"], len(document["recorded"])), (1, 4))
        self.assertEqual(document["log_entries"], 11)
        self.assertIsNotNone(document["as_of"])

    def test_a_ship_without_closures_is_valid(self):
        ship = self.write("bare.xml", """<arrangement xmlns="urn:coaming:arrangement:1" name="Bare">
            <ship length="9" beam="3" depth="2" draft="1"/>
            <space id="a" name="A"><box x="0 9" y="-1 1" z="0 2"/></space></arrangement>""")
        self.assertEqual(self.holds("expose", "--all", ship)["results"], [])
        self.assertEqual(self.holds("rank", ship)["closures"], [])
        self.assertEqual(self.holds("due", ship)["tests"], [])
        self.assertEqual(self.holds("round", ship)["stops"], [])
        self.assertEqual(self.holds("adjust", ship)["closures"], [])
        for command in ("check", "export"):
            self.holds(command, ship)

    def test_sums_beyond_the_greatest_double_are_refused_or_still_valid(self):
        text = FULL_SHIP.replace('name="B"', 'name="B" worth="1e308"').replace(
            'name="C"', 'name="C" worth="1e308"')
        ship = self.write("huge.xml", text)
        done = harness.run("export", *AS_OF, ship)
        self.assertIn(done.returncode, (0, 3))
        if done.returncode == 0:
            self.assertEqual(complaints("export", read(done.stdout.decode("utf-8"))), [])

    def test_documents_of_40_random_ships_are_valid(self):
        rows = 0
        for index in range(40):
            folder = self.folder / str(index)
            folder.mkdir()
            ship, logs = oracle_networkx.write_ship(11, index, folder)
            model = oracle_networkx.Reader(ship.read_bytes()).ship()
            logged = [word for log in logs for word in ("--log", str(log))]
            condition = ["--condition", model.conditions[0]] if model.conditions else []
            level = ("still", "full", "2.75", "equilibrium")[index % 4]
            asked = [*logged, *condition, "--level", level]
            with self.subTest(ship=index):
                self.holds("check", *logged, str(ship))
                rows += len(self.holds("expose", *asked, "--all", str(ship))["results"])
                self.holds("rank", *asked, "--measure", ("worth", "people")[index % 2], str(ship))
                self.holds("export", *asked, str(ship))
                self.holds("due", "--all", *logged, str(ship))
                self.holds("round", *logged, str(ship))
                self.holds("adjust", *logged, str(ship))
        self.assertGreater(rows, 200)


def smaller(value, path):
    """The document with one object left in each list of objects, that on the path if it leads through one; and
    the path there. So much less is looked through each time."""
    step, rest = (path[0], path[1:]) if path else (None, ())
    if isinstance(value, dict):
        cut = {key: smaller(item, rest if key == step else ()) for key, item in value.items()}
        return {key: item for key, (item, _) in cut.items()}, (step, *cut[step][1]) if path else ()
    if isinstance(value, list) and value and all(isinstance(item, dict) for item in value):
        item, place = smaller(value[step or 0], rest)
        return [item], (0, *place) if path else ()
    return value, path


class Spoilt(Everything):
    """One thing is made wrong in a valid document: the schema must say so."""

    @classmethod
    def setUpClass(cls):
        super().setUpClass()
        asked = (*cls.log, "--level", "full")
        cls.documents = {
            "check": read(run("check", *cls.log, cls.ship)),
            "expose": read(run("expose", *asked, "--all", cls.ship)),
            "rank": read(run("rank", *asked, cls.ship)),
            "export": read(run("export", *asked, cls.ship)),
            "float": read(run("float", "--flooded", "machinery", BARGE)),
            "float lost": read(run("float", "--flooded", ",".join(BARGE_SPACES), BARGE)),
            "flood": read(run("flood", "--breach", "engine:0.05", "--inflow", "motor:5l/s", "--condition", "port", "--shut",
                              "D13@60", "--pump", "bilge-2@2min", "--until", "10min", "--every", "5min", "--by-when",
                              "--likely", "3", *DEMO_LOG, DEMO)),
            "hold": read(run("hold", "--source", "machinery", "--protect", "hold-fwd,fore-peak",
                             BARGE)),
            "hold still": read(run("hold", "--source", "aux", "--level", "still", DEMO)),
            "hold lost": read(run("hold", "--source", "machinery", "--protect",
                                  "machinery,hold-fwd", BARGE)),
            "boundary": read(run("boundary", *DEMO_LOG, DEMO, "engine", "--condition", "port", "--hazard",
                                 "water", "--open", "D1,V1")),
            "boundary air": read(run("boundary", DEMO, "engine", "--hazard", "air")),
            "rank sampled": read(run("rank", "--level", "still", "--risk", "sampled", "--samples", "2048",
                                     BARGE)),
            "rank-explain": read(run("rank-explain", "--level", "still", *cls.tested, "--explain", "D4")),
            "rank-explain given": read(run("rank-explain", "--level", "still", *cls.log, "--explain", "D1",
                                           cls.ship)),
            "rank-explain sampled": read(run("rank-explain", "--level", "still", "--risk", "sampled", "--samples",
                                             "2048", "--explain", "D1", BARGE)),
            "risk-part": read(run("risk-part", "--risk", "sampled", "--samples", "2048", "--share",
                                  "2/2", BARGE)),
            "survival": read(run("survival", *DEMO_LOG, "--top", "4", DEMO)),
            "survival-part": read(run("survival-part", "--share", "1/2", BARGE)),
            "air": read(run("air", "--source", "machinery:2g/s:co", "--every", "20min", "--open", "D1", BARGE)),
            "air-drop": read(run("air-drop", "--drop", "500:350:600", "--space", "machinery", BARGE)),
            "plan": read(run("plan", "--hours", "8", BARGE)),
            "plan survival": read(run("plan", "--hours", "4", "--measure", "survival", *DEMO_LOG, DEMO)),
            "plan without hours": read(run("plan", "--hours", "8", cls.ship)),
            "expose settled": read(run("expose", "--level", "equilibrium", "--all", BARGE)),
            "due": read(run("due", "--all", *cls.tested)),
            "round": read(run("round", *cls.tested)),
            "adjust": read(run("adjust", *cls.tested)),
            "history": read(run("history", *cls.tested, "D1")),
            "history repaired": read(run("history", *cls.tested, "V1")),
            "record": read(run("record", *cls.recorded(
                "spoilt", "D1", "chalk", "fail", "1.5:0.25:joint", "gasket", "undo", "--by", "AB", "--note",
                "lower edge"))),
        }
        # by itself, for its consequences may be negative
        cls.freeboard = read(run("rank", "--measure", "freeboard", BARGE))
        # by themselves, for some of their figures may be null or negative
        asked = ("--level", "equilibrium", *DEMO_LOG, DEMO)
        cls.settled = {"rank": read(run("rank", *asked)), "export": read(run("export", *asked)),
                       "rank barge": read(run("rank", "--level", "equilibrium", BARGE)),
                       "rank-explain": read(run("rank-explain", "--explain", "D1", *asked))}

    def samples(self):
        """(command, document, path) for objects of every shape, once each: where, and which keys of which types."""
        for name, document in self.documents.items():
            command = name.split()[0]
            self.assertEqual(complaints(command, document), [])
            seen = set()
            for path, item in objects(document):
                shape = (tuple(p for p in path if isinstance(p, str)),
                         tuple(sorted((key, type(value).__name__) for key, value in item.items())))
                if shape not in seen:
                    seen.add(shape)
                    small, place = smaller(document, path)
                    yield (command, small, place) if not complaints(command, small) else (command, document, path)

    def spoil(self, command, document, path, change):
        """Whether the document is refused once `change` was done to the object at `path`."""
        spoilt = copy.deepcopy(document)
        item = spoilt
        for step in path:
            item = item[step]
        change(item)
        changed = json.dumps(spoilt) != json.dumps(document)  # to Python 1 == True
        self.assertTrue(changed, (path, "nothing was spoilt"))
        return not VALIDATORS[command].is_valid(spoilt)

    def refuses(self, find, values, least):
        """For all keys with find(key, value), each of `values` put there must be refused."""
        tried = 0
        for command, document, path in self.samples():
            for key, value in dict(objects(document))[path].items():
                if not find(key, value):
                    continue
                for wrong in values:
                    with self.subTest(command=command, path=path, key=key, wrong=wrong):
                        self.assertTrue(self.spoil(command, document, path,
                                                   lambda item: item.update({key: wrong})))
                    tried += 1
        self.assertGreaterEqual(tried, least)

    def test_a_key_taken_out_is_refused(self):
        tried = 0
        for command, document, path in self.samples():
            keys = set(dict(objects(document))[path])
            for key in sorted(keys):
                refused = self.spoil(command, document, path, lambda item: item.pop(key))
                with self.subTest(command=command, path=path, key=key):
                    self.assertEqual(refused, key not in spare(keys))
                tried += 1
        self.assertGreater(tried, 200)

    def test_a_key_more_is_refused(self):
        for command, document, path in self.samples():
            with self.subTest(command=command, path=path):
                self.assertTrue(self.spoil(command, document, path,
                                           lambda item: item.update(surplus=0)))

    def test_an_object_in_place_of_another_type_is_refused(self):
        self.refuses(lambda key, value: not isinstance(value, dict), [{"not": "this"}], 200)

    def test_a_text_in_place_of_a_number_a_list_or_an_object_is_refused(self):
        self.refuses(lambda key, value: is_number(value) or isinstance(value, (list, dict)), ["1"],
                     100)

    def test_a_number_in_place_of_a_text_or_a_truth_value_is_refused(self):
        self.refuses(lambda key, value: isinstance(value, (str, bool)) and "level" not in key, [1], 80)

    def test_a_negative_quantity_is_refused(self):
        # what repairing everything gains of the index may be a loss
        self.refuses(lambda key, value: is_number(value) and key not in SIGNED | {"bound"}, [-1, -1e-9], 60)

    def test_half_a_count_is_refused(self):
        self.refuses(lambda key, value: key in COUNTS and isinstance(value, int), [1.5], 8)

    def test_a_wrong_date_is_refused(self):
        self.refuses(lambda key, value: key in DATES and value, WRONG_DATES, 50)

    def test_an_unknown_word_is_refused(self):
        def wanted(key, value):
            remark = key == "note" and value in ("lower edge", "dressed", "another door")
            place = key == "side" and value in places  # from which a boundary is shut
            return key in WORDS and isinstance(value, str) and not remark and not place
        places = {link[end] for name in ("boundary", "boundary air") for link in self.documents[name]["links"]
                  for end in ("inside", "outside")}
        self.refuses(wanted, ["other", ""], 60)

    def test_an_id_with_a_blank_is_refused(self):
        self.refuses(lambda key, value: key in ("id", "closure", "source", "deck", "from",
                                                "start") and value,
                     ["two words", "a,b", ""], 30)

    def test_a_corner_of_three_numbers_is_refused(self):
        export = self.documents["export"]
        for path in (("spaces", 0, "solids", 0), ("hull", 0)):
            key = "outline" if "solids" in path else "offsets"
            self.assertTrue(self.spoil("export", export, path,
                                       lambda item, k=key: item[k][0].append(1)))

    def test_a_document_of_another_command_is_refused(self):
        for command, other in itertools.product(COMMANDS, self.documents):
            self.assertEqual(VALIDATORS[command].is_valid(self.documents[other]),
                             command == other.split()[0])

    def test_what_does_not_go_together_in_a_risk_is_refused(self):
        first = ("closures", 0)
        for key in ("pass_probability", "birnbaum", "criticality", "fussell_vesely", "repair_gain",
                    "risk"):
            self.refused(("rank", first, lambda row, k=key: row.update({k: None})))
            self.assertTrue(self.spoil("rank", self.freeboard, first,
                                       lambda row, k=key: row.update({k: 0})))
        for key in ("achievement", "reduction"):
            self.assertTrue(self.spoil("rank", self.freeboard, first,
                                       lambda row, k=key: row.update({k: 1})))
            self.assertFalse(self.spoil("rank", self.documents["rank"], first,
                                        lambda row, k=key: row.update({k: None})))
        for key, wrong in (("expected_loss", 1), ("method", "exact"), ("standard_error", 0),
                           ("samples", 0)):
            self.assertTrue(self.spoil("rank", self.freeboard, (),
                                       lambda d, k=key, w=wrong: d.update({k: w})))
            self.refused(("rank", (), lambda d, k=key: d.update({k: None})),
                         ("export", (), lambda d, k=key: d.update({k: None})))
        for key in ("risk", "fussell_vesely"):
            self.refused(("rank", first, lambda row, k=key: row.update({f"{k}_limit": 0.5})))
            self.refused(("rank-explain", ("importance",),
                          lambda row, k=key: row.update({f"{k}_error": None})))
        for name in ("rank", "export", "plan", "rank-explain"):
            self.refused((name, (), lambda d: d.update(standard_error=0.5)))
        for name in ("rank sampled", "rank-explain sampled"):
            self.refused((name, (), lambda d: d.update(samples=0)),
                         (name, (), lambda d: d.update(method="exact")))
        for key in ("leak_probability", "pass_probability"):
            self.refused(("rank", first, lambda row, k=key: row.update({k: 1.01})),
                         ("rank-explain", ("importance",), lambda row, k=key: row.update({k: 2})))

    def test_steps_that_are_not_what_they_say_are_refused(self):
        steps = [step["step"] for step in self.documents["rank-explain"]["steps"]]
        for wanted, wrong in (("test", {"method": None}), ("test", {"result": None}),
                              ("test", {"sensitivity": None}), ("test", {"action": "dogs"}),
                              ("repair", {"action": None}), ("repair", {"success": 1}),
                              ("repair", {"success": None}), ("test", {"success": 0.9}),
                              ("repair", {"specificity": 1}), ("now", {"method": "air"}),
                              ("now", {"action": "hinge"}), ("now", {"step": "given"}),
                              ("now", {"after": 1.5})):
            at = "steps", steps.index(wanted)
            self.refused(("rank-explain", at, lambda step, w=wrong: step.update(w)))
        self.refused(("rank-explain", (), lambda d: d.update(eta_years=None)),
                     ("rank-explain", (), lambda d: d.update(beta=None)),
                     ("rank-explain", (), lambda d: d.update(steps=[])),
                     ("rank-explain given", (), lambda d: d.update(beta=1)),
                     ("rank-explain given", (), lambda d: d.update(age_assumed=True)),
                     ("rank-explain given", ("steps", 0), lambda s: s.update(step="now")))

    def test_what_a_plan_leaves_out_has_not_passed(self):
        row = {"closure": "D1", "result": "fail", "result_date": "2026-10-01", "result_method": "chalk",
               "looked_at": None, "hours": None}
        told = copy.deepcopy(self.documents["plan"])
        told["not_afloat"] = [row]
        self.assertFalse(complaints("plan", told))
        for wrong in ({"result": "pass"}, {"result_date": None}, {"hours": -1}, {"gain": 1}):
            told["not_afloat"] = [row | wrong]
            self.assertTrue(complaints("plan", told), wrong)
        for name in ("plan", "rank", "rank-explain", "export"):
            self.refused((name, (), lambda d: d.update(risk_level="equilibrium")))
        for name in ("rank", "rank-explain", "export"):
            self.refused((name, (), lambda d: d.update(level="equilibrium")),
                         (name, (), lambda d: d.update(expected_loss_low=0)))

    def test_risk_where_she_settles(self):
        self.assertEqual(complaints("rank", self.settled["rank barge"]), [])
        self.assertEqual(self.settled["rank barge"]["method"], "exact")
        for name in ("rank", "export", "rank-explain"):
            told = self.settled[name]
            self.assertEqual(complaints(name, told), [])
            rows = ([told["importance"]] if "importance" in told else
                    told["closures" if name == "rank" else "rank"])
            self.assertTrue(all(r["fussell_vesely"] is None for r in rows))
            self.assertLess(told["expected_loss_low"], told["expected_loss_high"])
            self.assertEqual(told["risk_level"], "equilibrium")
            for wrong in ({"risk_level": "still"}, {"expected_loss_low": -1},
                          {"expected_loss_high": "much"}, {"standard_error": 0}):
                self.assertTrue(complaints(name, told | wrong), wrong)
        rows = {r["closure"]: r for r in self.settled["rank"]["closures"]}
        unknown = [c for c, r in rows.items() if r["risk"] is None]
        self.assertTrue(unknown)
        for closure, wrong in ((unknown[0], {"criticality": 0.5}), (unknown[0], {"risk_error": 1}),
                               (unknown[0], {"repair_gain": None}), ("D1", {"criticality": None}),
                               ("D1", {"fussell_vesely": 0.5, "birnbaum": None})):
            told = copy.deepcopy(self.settled["rank"])
            row = next(r for r in told["closures"] if r["closure"] == closure)
            row.update(wrong)
            self.assertTrue(complaints("rank", told), (closure, wrong))

    def test_numbers_of_a_part_or_a_plan_that_cannot_be_are_refused(self):
        for key, wrong in (("digest", "0" * 15), ("digest", "0" * 17), ("digest", "G" * 16),
                           ("seed", "01"), ("seed", "-1"), ("seed", "1" * 21), ("samples", 99),
                           ("samples", 2 ** 24 + 1), ("share", 0), ("shares", 0)):
            self.refused(("risk-part", (), lambda d, k=key, w=wrong: d.update({k: w})))
        for wrong in ("", "-", "-0", "00", "A", "0x1", "1" * 33, 1, None):
            self.refused(("risk-part", (), lambda d, w=wrong: d["sums"].append(w)))
        self.refused(("plan", (), lambda d: d.update(hours=0)),
                     ("plan", (), lambda d: d.update(gain=-1)),
                     ("plan", (), lambda d: d["repairs"][0].update(gain=-1)),
                     ("plan", (), lambda d: d["repairs"][0].update(alone=-1)),
                     ("plan", (), lambda d: d.update(index=self.documents["plan survival"]["index"])),
                     ("plan", (), lambda d: d.update(risk_level="equilibrium")),
                     ("plan survival", (), lambda d: d.update(index=None)),
                     ("plan survival", (), lambda d: d["index"].update(after=1.01)),
                     ("plan", (), lambda d: d.update(measure="gm")),
                     ("plan", ("tests", 0), lambda t: t.update(value=0)),
                     ("plan", ("tests", 0), lambda t: t.update(fails=1.5)),
                     ("plan without hours", (), lambda d: d["without_hours"].append("two words")),
                     ("plan without hours", (),
                      lambda d: d["without_hours"].append(d["without_hours"][0])))

    def test_ok_with_an_error_and_not_ok_without_one_are_refused(self):
        check = self.documents["check"]
        error = {"file": "a", "line": 1, "object": "b", "severity": "error", "message": "c"}
        self.assertTrue(self.spoil("check", check, (), lambda d: d["faults"].append(error)))
        self.assertTrue(self.spoil("check", check, (), lambda d: d.update(ok=False)))

    def row(self, name, rows, **wanted):
        """The path of the first row that has these values."""
        for index, row in enumerate(self.documents[name][rows]):
            if all(row[key] == value for key, value in wanted.items()):
                return rows, index
        raise AssertionError(f"{name} has no row with {wanted}")

    def refused(self, *cases):
        """Each case: the name of a document, the path of an object, what is made wrong in it: keys
        with values, or a function of the object."""
        for name, path, change in cases:
            make = change if callable(change) else lambda item, keys=change: item.update(keys)
            with self.subTest(document=name, path=path, change=change):
                self.assertTrue(self.spoil(name.split()[0], self.documents[name], path, make))

    def test_tests_that_are_due_for_no_reason_or_another_are_refused(self):
        never = self.row("due", "tests", reason="never")
        weekly = self.row("due", "tests", basis="SOLAS II-1/21", reason="interval")
        failed = self.row("due", "tests", reason="failed")
        left = self.row("due", "tests", overdue=False)
        self.refused(
            *(("due", never, change) for change in (
                {"due": "2019-01-01"}, {"last": "2019-01-01"}, {"late": 3}, {"overdue": False},
                {"reason": "interval"}, {"basis": "retest"}, {"days": None})),
            *(("due", weekly, change) for change in (
                {"days": 8}, {"method": "chalk"}, {"last": None}, {"due": None}, {"days": 0},
                {"reason": "failed"})),
            *(("due", failed, change) for change in (
                {"days": 7}, {"basis": "assumption"}, {"late": -1}, {"last": None})),
            ("due", left, {"overdue": True}), ("due", left, {"late": 1}),
            ("due", weekly, {"overdue": False}), ("due", weekly, {"consequence": 1}),
            ("due", weekly, {"urgency": 1}), ("due", weekly, {"consequence": 1, "urgency": 1}))

    def test_stops_and_parts_that_contradict_themselves_are_refused(self):
        untested = self.row("round", "stops", result="untested")
        test = next(path for path, item in objects(self.documents["round"])
                    if item.get("reason") == "never")
        self.refused(("round", untested, {"result_date": "2026-01-01"}),
                     ("round", untested, {"result_method": "chalk"}), ("round", untested, {"stop": 0}),
                     ("round", untested, {"through": ["two words"]}),
                     ("round", test, {"due": "2019-01-01"}), ("round", test, {"overdue": False}),
                     ("round", self.row("round", "stops", enclosed=["v"]), {"enclosed": ["v", "v"]}),
                     ("round", ("outside", 0), {"from": "a"}), ("round", ("home",), {"enclosed": "v"}),
                     ("round", ("parts",), {"permits": []}), ("round", ("parts",), {"gas_meter": False}),
                     ("round", (), {"unreached": ["D1", "D1"]}), ("round", (), {"start": None}),
                     ("round", ("parts", "gaskets", 0), {"closures": 0}),
                     ("round", ("parts", "gaskets", 0), {"section": ""}),
                     ("round", ("parts",), {"dogs": 1.5}))

    def test_prints_that_contradict_themselves_are_refused(self):
        whole = self.row("adjust", "closures", closure="D1")
        renewed = self.row("adjust", "closures", advice="knife-edge")
        sizeless = self.row("adjust", "closures", run=None)
        chalk = self.row("adjust", "closures", advice="chalk")
        measured = self.row("adjust", "closures", closure="D6")
        valve = self.row("adjust", "closures", closure="V3")
        eight = self.row("adjust", "closures", closure="D8")
        gaps = {gap["reason"]: (*whole, "gaps", index) for index, gap in
                enumerate(self.documents["adjust"]["closures"][whole[1]]["gaps"])}
        self.assertEqual(set(gaps), {"joint", "side", "corner", "damage", "paint", "loose"})
        loose, edge = (*eight, "gaps", 0), (*measured, "gaps", 1)
        self.refused(
            ("adjust", whole, {"printed": None}), ("adjust", whole, {"printed": 1.01}),
            ("adjust", whole, {"gaps": []}), ("adjust", whole, {"run": 0}),
            ("adjust", whole, {"advice": "none"}), ("adjust", whole, {"advice": "dogs"}),
            ("adjust", whole, {"result": "untested"}), ("adjust", whole, {"tested": None}),
            ("adjust", renewed, {"renewed": None}), ("adjust", renewed, {"adjustments": 1}),
            ("adjust", sizeless, {"printed": 0.5}), ("adjust", chalk, {"result": "pass"}),
            ("adjust", chalk, {"longest": 0.1}), ("adjust", chalk, {"advice": "none"}),
            ("adjust", gaps["corner"], {"corner": None}), ("adjust", gaps["side"], {"side": None}),
            ("adjust", loose, {"corner": "top-free"}), ("adjust", loose, {"dogs": [1, 1]}),
            ("adjust", loose, {"dogs": [0]}), ("adjust", loose, {"advice": "gasket"}),
            ("adjust", loose, {"source": "US Navy, NAVEDTRA 14057, figure 3-10 (excerpt)"}),
            ("adjust", edge, {"advice": "dogs"}), ("adjust", edge, {"side": "top"}),
            ("adjust", edge, {"source": "common practice, no source"}),
            ("adjust", (*measured, "findings", 0), {"reason": "hinge-play"}),
            ("adjust", (*measured, "findings", 3), {"advice": "gasket"}),
            ("adjust", measured, {"set": -1}), ("adjust", measured, {"joints": 1.5}),
            ("adjust", valve, {"advice": "none"}), ("adjust", valve, {"longest": 0.1}),
            ("adjust", gaps["paint"], {"dogs": [1]}), ("adjust", gaps["joint"], {"side": "top"}))

    def test_a_history_that_contradicts_itself_is_refused(self):
        test = self.row("history", "events", failure=True)
        undone = self.row("history", "events", undone="2019-02-02")
        repair = self.row("history repaired", "events", event="repair")
        self.refused(
            ("history", (), {"failures": 1}), ("history", (), {"days_between_failures": None}),
            ("history", (), {"prints": 2}), ("history", (), {"prints": 0, "trend_per_year": None}),
            ("history", (), {"since": None}), ("history", test, {"result": "pass"}),
            ("history", test, {"undone": "2019-02-02"}), ("history", test, {"event": "repair"}),
            ("history", undone, {"failure": True}), ("history", test, {"action": "dogs"}),
            ("history repaired", repair, {"gaps": 1}), ("history repaired", repair, {"printed": 1}),
            ("history repaired", repair, {"edges": 1}), ("history repaired", repair, {"set": 0}),
            ("history repaired", repair, {"result": "pass"}), ("history", test, {"by": ""}),
            ("history repaired", repair, {"event": "test"}))

    def test_entries_that_contradict_themselves_are_refused(self):
        test, repair, undo = (self.row("record", "recorded", entry=sort) for sort in (
            "test", "repair", "undo"))
        self.refused(
            ("record", (), {"recorded": []}), ("record", (), {"log_entries": 0}),
            *(("record", test, {"gaps": gaps}) for gaps in (
                "", "1:", ":1", "1", "-1:2", "1:2:rust", "1:2,3:4", "1:2  3:4", "1:2 ")),
            ("record", test, {"result": None}), ("record", test, {"action": "dogs"}),
            ("record", repair, {"set": 0.001}), ("record", undo, {"hinge_play": 0}),
            ("record", test, {"of": "test"}), ("record", repair, {"gaps": "1:2"}),
            ("record", repair, {"action": None}), ("record", repair, {"result": "pass"}),
            ("record", test, {"start_pressure": 2000}), ("record", test, {"volume": 3}),
            ("record", test, {"space": "mid"}), ("record", repair, {"space": "mid"}),
            ("record", undo, {"of": None}), ("record", undo, {"of_date": None}),
            ("record", undo, {"action": "dogs"}))

    def test_lines_that_contradict_themselves_are_refused(self):
        water, air = ("answers", 0), ("answers", 1)
        line, last = (*water, "lines", 0), (*water, "lines", 0, "closures", 0)
        lost = (*water, "lost", 0)
        self.refused(
            ("hold", (), {"answers": []}), ("hold", water, {"protect": []}),
            ("hold", water, {"level": None}), ("hold", air, {"level": 1.5}),
            ("hold", air, {"afloat": True}), ("hold", air, {"source_dry": True}),
            ("hold", line, {"closures": []}), ("hold", line, {"holds": 1.01}),
            ("hold", line, {"line": 0}), ("hold", line, {"chance": 1.01}),
            ("hold", line, {"expected_loss": None}), ("hold", line, {"expected_loss_error": -1}),
            ("hold", last, {"slows": True}), ("hold", water, {"nested": None}),
            ("hold", last, {"leak_probability": 1}), ("hold", last, {"tested": None}),
            ("hold", last, {"result": "untested"}), ("hold", line, {"afloat": True, "draught": None}),
            ("hold", line, {"afloat": False, "draught": 2}), ("hold", (), {"level": "still"}),
            ("hold still", (), {"level": "equilibrium"}), ("hold still", water, {"afloat": True}),
            ("hold still", line, {"afloat": True, "draught": 2}),
            ("hold lost", (*lost, "way"), {"probability": 0.5}),
            ("hold lost", (*lost, "way"), {"closures": ["D1", "D1"]}))

    def test_boundaries_that_contradict_themselves_are_refused(self):
        stop, cannot = (self.row("boundary", "links", group=group) for group in ("to_shut", "cannot_be_shut"))
        shut = self.row("boundary", "links", group="shut")
        dry = self.row("boundary air", "links", group="shut")
        self.refused(
            ("boundary", (), {"spaces": []}), ("boundary", (), {"chance": 1.5}), ("boundary", ("counts",), {"slow": -1}),
            ("boundary", stop, {"open": False}), ("boundary", stop, {"walk_metres": None}),
            ("boundary", stop, {"stop": 0}), ("boundary", stop, {"group": "open"}),
            ("boundary", shut, {"open": True}), ("boundary", shut, {"stop": 3}),
            ("boundary", shut, {"through": ["D1"]}), ("boundary", shut, {"through_set": True}),
            ("boundary", cannot, {"leak_probability": 0.5}), ("boundary", cannot, {"water": None}),
            ("boundary", cannot, {"result": "pass"}), ("boundary air", dry, {"air": "slows"}),
            ("boundary", shut, {"result": "untested"}), ("boundary", (), {"afloat": True, "draught": None}),
            ("boundary", (), {"afloat": False, "draught": 2}))

    def positions(self):
        """(document, path, afloat) of floating positions."""
        for name in ("float", "float lost"):
            for path, item in objects(self.documents[name]):
                if "draught" in item:
                    yield self.documents[name], path, item["afloat"]

    def test_numbers_of_a_lost_ship_and_none_of_one_afloat_are_refused(self):
        seen = set()
        for document, path, afloat in self.positions():
            seen.add(afloat)
            for key in FLOATING:
                with self.subTest(path=path, key=key, afloat=afloat):
                    self.assertTrue(self.spoil("float", document, path, lambda item: item.update(
                        {key: None if afloat else 1})))
            self.assertTrue(self.spoil("float", document, path,
                                       lambda item: item.update(afloat=not afloat)))
            self.assertTrue(self.spoil("float", document, path,
                                       lambda item: item.update(displacement=None)))
        self.assertEqual(seen, {True, False})

    def test_righting_arms_of_a_lost_ship_and_none_of_one_afloat_are_refused(self):
        arms, lost = self.documents["float"], self.documents["float lost"]
        for more in ({"righting_arms": arms["righting_arms"]}, {"openings": arms["openings"]},
                     {"range": 0}, {"greatest_arm": 0}, {"result": arms["result"]}):
            self.assertTrue(more.keys() & {"range", "greatest_arm"} or list(more.values())[0])
            self.assertTrue(self.spoil("float", lost, (), lambda d: d.update(more)), more)
        self.assertTrue(self.spoil("float", arms, (), lambda d: d.update(righting_arms=[])))
        self.assertTrue(self.spoil("float", arms, (), lambda d: d["righting_arms"].pop()))
        self.assertTrue(self.spoil("float", arms, (), lambda d: d.update(result=lost["result"])))

    def test_wrong_shares_angles_and_cases_are_refused(self):
        survival, one = self.documents["survival"], self.documents["float"]
        for command, document, path, change in (
                ("survival", survival, ("index",), {"as_built": 1.01}),
                ("survival", survival, ("index",), {"as_tested": None}),
                ("survival", survival, ("lost",), {"as_tested": 1.01}),
                ("survival", survival, (), {"flooded": []}), ("survival", survival, (), {"zones": []}),
                ("survival", survival, (), {"loadings": []}),
                ("survival", survival, ("cases", 0), {"weight": 1.5}),
                ("survival", survival, ("cases", 0), {"zones": [1]}),
                ("survival", survival, ("cases", 0), {"zones": [0, 1]}),
                ("survival", survival, ("cases", 0), {"opened": ["aux", "aux"]}),
                ("survival", survival, ("cases", 0), {"side": "middle"}),
                ("survival", survival, ("cases", 0, "s"), {"as_built": 1.5}),
                ("survival", survival, ("cases", 0, "grade"), {"as_built": "good"}),
                ("float", one, (), {"heel": 91}), ("float", one, (), {"range": 61}),
                ("float", one, (), {"grade": "lost"}),
                ("float", one, (), {"flooded": ["hold-aft", "hold-aft"]}),
                ("float", one, (), {"flooded": ["two words"]}), ("float", one, (), {"survived": None}),
                ("float", one, ("righting_arms", 0), {"heel": 65})):
            with self.subTest(path=path, change=change):
                self.assertTrue(self.spoil(command, document, path,
                                           lambda item: item.update(change)))

    def test_what_belongs_to_equilibrium_is_refused_at_other_levels(self):
        expose, rank = self.documents["expose settled"], self.settled["rank barge"]
        for command, document, rows in (("expose", expose, "results"), ("rank", rank, "closures")):
            self.assertIn(False, [row.get("afloat") for row in document[rows]])
            for level in ("still", "full", 2.5):
                self.assertTrue(self.spoil(command, document, (), lambda d: d.update(level=level)))
        for measure in ("freeboard", "gm"):
            self.assertTrue(self.spoil("rank", self.documents["rank"], (),
                                       lambda d: d.update(measure=measure)))
            self.assertTrue(self.spoil("export", self.documents["export"], (),
                                       lambda d: d.update(measure=measure)))

    def test_by_may_be_null_at_equilibrium_for_water_only(self):
        def start(index):
            return lambda document: document["results"][index]["by"].__setitem__(0, None)
        settled, full = self.documents["expose settled"], self.documents["expose"]
        tried = set()
        for document in (settled, full):
            for index, row in enumerate(document["results"]):
                if row["by"]:
                    allowed = document is settled and row["hazard"] == "water"
                    tried.add((document["level"], row["hazard"]))
                    self.assertEqual(self.spoil("expose", document, (), start(index)), not allowed)
        self.assertEqual(len(tried), 4)
        for wrong in (1, "two words", ["D1"]):
            row = next(i for i, r in enumerate(settled["results"]) if r["by"])
            self.assertTrue(self.spoil("expose", settled, ("results", row),
                                       lambda item: item["by"].__setitem__(0, wrong)))

    def test_a_row_where_she_is_lost_has_no_level_and_is_never_of_air(self):
        rows = self.documents["expose settled"]["results"]
        lost = next(i for i, row in enumerate(rows) if "afloat" in row)
        kept = next(i for i, row in enumerate(rows) if row["level"] is not None)
        air = next(i for i, row in enumerate(rows) if row["hazard"] == "air")
        for index, change in ((lost, {"level": 1.5}), (lost, {"afloat": True}),
                              (kept, {"level": None}), (kept, {"afloat": False}),
                              (kept, {"afloat": True}), (air, {"afloat": False}),
                              (air, {"level": 1.5})):
            with self.subTest(row=rows[index]["closure"], change=change):
                self.assertTrue(self.spoil("expose", self.documents["expose settled"],
                                           ("results", index), lambda row: row.update(change)))

    def test_a_loss_below_0_is_refused_but_of_freeboard_and_gm(self):
        settled = self.settled["rank barge"]
        for measure in ("worth", "freeboard", "gm"):
            def gain(document, word=measure):
                document["measure"] = word
                for row in document["closures"]:
                    row["air"] = 0
                document["closures"][0].update(consequence=-0.5, water=-0.5)
            document = settled if measure == "worth" else self.freeboard
            self.assertEqual(self.spoil("rank", document, (), gain), measure == "worth")


class Numbers(Everything):
    """A number in JSON is the double that was given or worked out."""

    def texts(self, command, *arguments):
        found = []

        def keep(text):
            found.append(text)
            return float(text)
        json.loads(run(command, *arguments), parse_float=keep, parse_int=keep,
                   parse_constant=refuse_constant)
        return found

    def test_every_number_is_short_finite_and_not_minus_zero(self):
        seen = 0
        for command, arguments in (("export", (*DEMO_LOG, DEMO)), ("export", (BARGE,)),
                                   ("rank", ("--measure", "volume", DEMO)),
                                   ("rank", ("--measure", "gm", BARGE)),
                                   ("due", ("--all", "--by-consequence", *DEMO_LOG, DEMO)),
                                   ("round", (*DEMO_LOG, DEMO)), ("adjust", (*DEMO_LOG, DEMO)),
                                   ("history", (*DEMO_LOG, DEMO, "D9")),
                                   ("float", ("--flooded", "engine,motor", DEMO)),
                                   ("survival", (BARGE,)),
                                   ("expose", ("--all", "--level", "full", DEMO))):
            for text in self.texts(command, *arguments):
                value = float(text)
                self.assertTrue(math.isfinite(value), text)
                self.assertEqual(float(repr(value)), value)
                self.assertLessEqual(len(text), len("%.17g" % value), text)
                self.assertNotEqual(text, "-0")
                seen += 1
        self.assertGreater(seen, 5000)

    def test_any_double_comes_back_as_it_was_given(self):
        rng = random.Random(5)
        given = [0.1, 1 / 3, 2 / 3, 5e-324, 2.2250738585072014e-308, 1.7976931348623157e308, -1e-5,
                 9007199254740991.0, 9007199254740992.0, 9007199254740994.0, 1e15, 1e16, 1e21, 1e22,
                 1e23, 123456789012345.67, 0.30000000000000004, -0.5, 100.0, 34.199999999999996]
        while len(given) < 3000:
            given.append(math.ldexp(rng.uniform(-1, 1), rng.randrange(-1070, 19)))
            given.append(round(rng.uniform(-100, 100), rng.randrange(1, 17)))
        given = [value for value in given if abs(value) <= 1e6]  # no length may be greater
        decks = "".join(f'<deck id="d{i}" z="{value!r}"/>' for i, value in enumerate(given))
        ship = self.write("doubles.xml", FULL_SHIP.replace("<deck", decks + "<deck", 1))
        text = run("export", ship)
        back = [deck["z"] for deck in read(text)["decks"]][:len(given)]
        wrong = [(want, have) for want, have in zip(given, back, strict=True) if want != have]
        self.assertEqual(wrong[:5], [])
        for number in self.texts("export", ship):
            self.assertLessEqual(digits(number), digits("%.17g" % float(number)), number)

    def test_an_exported_length_is_the_double_of_the_decimal_in_the_file(self):
        document = read(run("export", BARGE))
        boxes = {"after-peak": (0, 4), "hold-aft": (8, 14)}
        for space in document["spaces"]:
            if space["id"] in boxes:
                xs = sorted({corner[0] for corner in space["solids"][0]["outline"]})
                self.assertEqual(xs, list(boxes[space["id"]]))
        gaps = [gap for closure in document["closures"] for event in closure["events"]
                for gap in event.get("gaps", [])]
        self.assertEqual(gaps, [{"at": 1, "length": 0.2, "seen": None}])


if __name__ == "__main__":
    unittest.main()
