"""What a graph of a ship must hold, worked out from the document of 'coaming export'.

For test_exports.py and graph_readers.py. The ships here are invented.
"""

import json

from harness import SHIP_NS

# Ids and names that other formats have a meaning for. An id is one word without commas.
IDS = ("a/b", "<b>", "_x0041_", "A", '"q"', "x\\", "\u00e9t\u00e9", "\U0001f6aa", "-3_x", "&amp;",
       "n\u00ba#1;", "{|}")
NAMES = ("<script>alert(1)</script>", 'say "aft" &amp; \'fore\'', "ends in \\", "\\N \\G \\l",
         "\u05d3\u05dc\u05ea \u0628\u0627\u0628", "\U0001f6aa\u200d\U0001f525 e\u0301", "N" * 200,
         "]]> -- /* #", "two\nlines\tand\rmore", "=1+1", "  blanks  ", "a->b; c--d [x=y]")
# These stand in the closure's own row already.
STANDING = ("result", "result_date", "result_method", "looked_at", "tested", "hours")


def attribute(text):
    for sign, entity in (("&", "&amp;"), ("<", "&lt;"), ('"', "&quot;"), ("\n", "&#10;"),
                         ("\t", "&#9;"), ("\r", "&#13;")):
        text = text.replace(sign, entity)
    return f'"{text}"'


def hostile_ship():
    """Spaces in a row with a door between each, under names from the lists above."""
    lines = [f'<arrangement xmlns="{SHIP_NS}" name={attribute(NAMES[0])}>',
             '<ship length="120" beam="6" depth="5" draft="2"/>',
             '<condition id="none" name="Nothing shut"/>']
    for i, (word, name) in enumerate(zip(IDS, NAMES)):
        lines.append(f'<space id={attribute(word)} name={attribute(name)} shell="yes">'
                     f'<box x="{10 * i} {10 * i + 10}" y="-3 3" z="0 4"/></space>')
    for i, (word, name) in enumerate(zip(IDS[:-1], NAMES)):
        lines.append(f'<closure id={attribute("c" + word)} name={attribute(name)} kind="door" '
                     f'between={attribute(IDS[i] + " " + IDS[i + 1])} rating="watertight" '
                     f'shut-in="{"none" if i % 2 else ""}">'
                     f'<test date="2026-01-0{i % 9 + 1}" method="chalk" by={attribute(name)} '
                     f'result="{"pass" if i % 3 else "fail"}" note={attribute(name)}/></closure>')
    lines.append(f'<passage id="P" name="P" kind="duct" between={attribute(IDS[0] + " weather")}/>')
    return "\n".join((*lines, "</arrangement>\n"))


def flat(row, but=()):
    """A row of the document with the values of objects in it as object_key, and no nulls."""
    values = {}
    for key, value in row.items():
        if isinstance(value, dict):
            values |= {f"{key}_{part}": inner for part, inner in value.items()}
        elif key not in but:
            values[key] = value
    return {key: value for key, value in values.items() if value is not None}


def expected(document):
    """Of the whole graph, of nodes by id, of edges by id (the two ends before them)."""
    whole = {"format": "coaming/graph/1"} | flat({key: document[key] for key in (
        "ship", "condition", "as_of", "level", "measure", "caution", "principal", "expected_loss",
        "method", "standard_error", "expected_loss_limit", "expected_loss_low",
        "expected_loss_high", "samples")})
    nodes = {row["id"]: {"type": "space"} | flat(row, ("id",)) for row in document["spaces"]}
    nodes |= {place: {"type": "outside"} for place in ("sea", "weather")}
    for row in document["scenarios"]:
        nodes[row["source"]][f"{row['hazard']}_weight"] = row["weight"]
    ranks = {row["closure"]: row for row in document["rank"]}
    edges = {}
    for kind in ("closures", "passages"):
        for row in document[kind]:
            values = {"type": kind[:-1]} | flat(row, ("id", "between", "leak_probability"))
            if kind == "closures":
                values |= flat(ranks[row["id"]], ("closure", *STANDING))
                if row["leak_probability"] is not None:
                    values["leak_probability_given"] = row["leak_probability"]
            edges[row["id"]] = (set(row["between"]), values)
    return whole, nodes, edges


def same(value, text):
    """Is this the text that the value stands as?"""
    if isinstance(value, bool):
        return text == str(value).lower()
    if isinstance(value, (int, float)):
        return float(text) == value
    if isinstance(value, list):
        if value and isinstance(value[0], (dict, list)):
            return json.loads(text) == value
        return text.split() == value or [float(word) for word in text.split()] == value
    return text == value


def compare(case, values, texts, absent_is_empty=False, as_text=str):
    """Fails the case unless the texts are those of the values, by the same keys. as_text: how a text stands
    there."""
    texts = {key: text for key, text in texts.items() if text != "" or not absent_is_empty}
    if absent_is_empty:  # the reader cannot tell an empty text from none
        values = {key: value for key, value in values.items() if value not in ("", [])}
    case.assertEqual(sorted(values), sorted(texts))
    for key, value in values.items():
        value = as_text(value) if isinstance(value, str) else value
        case.assertTrue(same(value, texts[key]), (key, value, texts[key]))
