"""From text to records: every fault in one run, each with file, line, field, sentence and remedy."""

from __future__ import annotations

import random
import textwrap
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handling_db.files.reading import read_texts
from handling_db.findings import Verdict
from handling_db.records.collection import KINDS, field_text

EXAMPLES = (Path(__file__).parent / "examples.yml").read_text(encoding="utf-8")


def read(**files):
    """Read texts given as `name_yml="..."`."""
    return read_texts((name.replace("_", "."), textwrap.dedent(text)) for name, text in files.items())


def lines_of(reading):
    return [str(finding) for finding in reading.findings]


def told(text):
    return lines_of(read(a_yml=text))


def test_the_examples_hold_every_kind_and_no_fault():
    reading = read(a_yml=EXAMPLES)

    assert lines_of(reading) == []
    assert [kind for kind in KINDS if not reading.collection.of_kind(kind)] == []


def test_a_file_is_one_record_or_a_list_or_nothing():
    reading = read(
        a_yml="shop: a\nname: A\n",
        b_yml="- {shop: b, name: B}\n- {shop: c, name: C}\n",
        c_yml="# nothing yet\n",
    )

    assert sorted(reading.collection.shops) == ["a", "b", "c"]
    assert reading.findings == ()


def test_every_record_knows_its_lines():
    collection = read(
        a_yml="# first\n- {shop: b, name: B}\n-\n  shop: c\n  name: C\n  rules:\n    - one\n"
    ).collection

    assert str(collection.place("shop", "b", "name")) == "a.yml:2"
    assert str(collection.place("shop", "c")) == "a.yml:4"
    assert str(collection.place("shop", "c", "rules", 0)) == "a.yml:7"
    assert str(collection.place("shop", "c", "remark")) == "a.yml:4"


TEN_FAULTS = {
    "assemblies_yml": """\
        component: unit
        name: Unit
        kind: asembly
        parts:
          - {component: gear, quantity: 0}
          - component: shaft
          - {component: pin, quantity: 2, colour: blue}
        masses:
          - {printed: 2 ton, source: book}
        """,
    "lists_yml": """\
        - shop: one
          name: One
        - shop: two
          name: Two
        - shop: one
          name: One again
          place: here
          place: there
        """,
    "weighings_yml": """\
        - weighing: w1
          of: unit
          gross: 844 kg
          source: scale
          on: 9 March
          by: foreman
        - weighing: w2
          of: unit
          gross: 844 kg
          source: scale
          on: 2026-03-09
          by: foreman
        - wieghing: w3
        """,
}
NOTHING_ASSUMED = "is missing; write it; nothing is assumed for it."


def test_ten_faults_in_three_files_are_all_told_with_their_lines():
    reading = read(**TEN_FAULTS)

    assert lines_of(reading) == [
        "assemblies.yml:3: kind: 'asembly' is not one of the words for this; "
        "write 'assembly', 'part', 'fluid' or 'set'.",
        "assemblies.yml:5: parts[0].quantity: a quantity of 0 lists nothing; "
        "leave the line out, or write the number there are.",
        f"assemblies.yml:6: parts[1].quantity: {NOTHING_ASSUMED}",
        "assemblies.yml:7: parts[2].colour: is not a field here; the fields are: "
        "component, quantity, only when, at, at plus or minus, turned, places, set, id, changed on, remark.",
        "assemblies.yml:9: masses[0].printed: '2 ton': which ton? Write 't' (1000 kg), 'short ton' (2000 lb) "
        "or 'long ton' (2240 lb).",
        "lists.yml:5: shop: the id 'one' is taken: lists.yml:1 has it already; "
        "give this one another id, or remove one of the two.",
        "lists.yml:8: place: given twice, first on line 7; keep one of the two.",
        "weighings.yml:5: on: '9 March' is not a date; write year-month-day, such as 2026-03-09.",
        "weighings.yml:7: 'gross' needs 'tare': what stood on the scale that is not the piece, or 'none'.",
        "weighings.yml:13: wieghing: no kind of record is named so; did you mean 'weighing'?",
    ]
    assert len(reading.findings) == 10
    assert all(finding.verdict is Verdict.FAULT for finding in reading.findings)


def test_what_has_no_fault_is_kept():
    assert list(read(**TEN_FAULTS).collection.shops) == ["one", "two"]


def test_an_id_is_taken_across_files_and_the_first_is_kept():
    reading = read(a_yml="shop: s\nname: First\n", b_yml="shop: s\nname: Second\n")

    assert lines_of(reading) == [
        "b.yml:1: shop: the id 's' is taken: a.yml:1 has it already; "
        "give this one another id, or remove one of the two."
    ]
    assert reading.findings[0].rule == "duplicate-id"
    assert reading.findings[0].about == "s"
    assert reading.collection.shops["s"].name == "First"


def test_two_kinds_may_share_an_id():
    assert lines_of(read(a_yml="- {shop: s, name: S}\n- {source: s, name: S, kind: list}\n")) == []


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("just a text\n", ["a.yml:1: a record is a mapping that starts with its kind and id; write "]),
        ("- text\n- [a]\n-\n", ["a.yml:1: a record is", "a.yml:2: a record is", "a.yml:3: a record is"]),
        ("name: A\nshop: a\n", ["a.yml:1: name: no kind of record is named so; start with one of: "]),
        ("componet: a\n", ["a.yml:1: componet: no kind of record is named so; did you mean 'component'?"]),
        ("{}\n", ["a.yml:1: no kind of record is named so; start with one of: "]),
        ("shop:\nname: A\n", ["a.yml:1: shop: must be a plain text; write one value, "]),
        ("shop: [a]\nname: A\n", ["a.yml:1: shop: must be a plain text; write one value, "]),
        ("shop: ''\nname: A\n", ["a.yml:1: shop: is empty; write what it is, or leave the line out."]),
        ("shop: a\nname: " + "n" * 201, ["a.yml:2: name: has 201 characters; 200 are the most; shorten it."]),
        ("shop: a\nname: A\nrules: one\n", ["a.yml:3: rules: must be a list; write '- item' lines"]),
        ("shop: a\nname: A\nrules:\n", ["a.yml:3: rules: must be a list; write '- item' lines"]),
        ("shop: a\nname: A\nrules: [[b]]\n", ["a.yml:3: rules[0]: must be a plain text; write one value, "]),
        ("shop: a\nname: A\nnmae: B\n", ["a.yml:3: nmae: is not a field here; did you mean 'name'?"]),
        ("source: a\nname: A\nkind: k\ninstrument: scale\n", [
            "a.yml:4: instrument: must be a mapping of fields; write 'name: value' lines",
        ]),
        ("component: a\nname: A\nkind: part\ncentre: [0 mm, 0 mm]\n", [
            f"a.yml:4: centre[2]: {NOTHING_ASSUMED}",
        ]),
        ("component: a\nname: A\nkind: part\ncentre: [0 mm, 0 mm, 0 mm, 0 mm]\n", [
            "a.yml:4: centre: has 4 items; write 3.",
        ]),
        ("component: a\nname: A\nkind: part\nparameters:\n  discs:\n    default: 8\n    form: 4\n", [
            "a.yml:7: parameters.discs.form: is not a field here; did you mean 'from'?",
        ]),
        ("component: a\nname: A\nkind: part\nparameters:\n  discs: {default: 8, zzz: 4}\n", [
            "a.yml:5: parameters.discs.zzz: is not a field here; the fields are: unit, meaning, default, ",
        ]),
        ("weighing: w\nof: a\nsource: s\non: 2026-03-09\nby: x\ngross: 5 kg\ntare: none\ncolour: red\n", [
            "a.yml:1: 'tare: none' needs 'checked by': write whose role looked.",
            "a.yml:8: colour: is not a field here; the fields are: ",
        ]),
    ],
)  # fmt: skip
def test_what_is_told_about(text, expected):
    found = told(text)

    assert len(found) == len(expected)
    for line, start in zip(found, expected, strict=True):
        assert line.startswith(start)


def test_every_sentence_ends_and_every_line_has_a_place():
    for line in lines_of(read(**TEN_FAULTS)):
        assert line[-1] in ".?"
        assert line.partition(":")[2].partition(":")[0].isdigit()


@pytest.mark.parametrize(
    ("path", "text"),
    [
        ((), ""),
        (("name",), "name"),
        (("parts", 1, "quantity"), "parts[1].quantity"),
        (("a", 0, 2, "b c"), "a[0][2].b c"),
    ],
)
def test_how_a_field_is_named(path, text):
    assert field_text(path) == text


ROWS = EXAMPLES.splitlines(keepends=True)
BITS = [
    ":",
    ": ",
    "#",
    " #",
    "- ",
    "'",
    '"',
    "{",
    "}",
    "[",
    "]",
    "&a ",
    "*a",
    "!x ",
    "\t",
    "\n",
    "|",
    "none",
    "0",
    "-1",
]
BITS += [
    "nobody looked",
    "2 ton",
    "1,5 kg",
    "\x00",
    "é",
    "\N{NO-BREAK SPACE}",
    "---\n",
    "...\n",
    "<<: ",
    "? ",
    "%",
    "@",
    "`",
]


def damaged(seed):
    """The examples with a few random edits: lines dropped, doubled, moved, bits put in or cut out."""
    chance = random.Random(seed)
    rows = list(ROWS)
    for _ in range(chance.randint(1, 4)):
        at = chance.randrange(len(rows))
        row = rows[at]
        cut = chance.randrange(len(row) + 1)
        rows[at : at + 1] = {
            0: [],
            1: [row, row],
            2: [row[:cut] + chance.choice(BITS) + row[cut:]],
            3: [row[:cut] + row[cut + chance.randint(1, 5) :]],
            4: [" " * chance.randint(1, 3) + row],
            5: [row.lstrip()],
        }[chance.randrange(6)] or [""]
    return "".join(rows)


@given(st.integers(0, 2**32))
def test_a_damaged_file_gives_records_or_findings_and_never_raises(seed):
    reading = read_texts([("a.yml", damaged(seed))])

    assert any(True for _ in reading.collection.records()) or reading.findings
    for finding in reading.findings:
        place = str(finding).split(":")
        assert place[0] == "a.yml"
        assert 1 <= int(place[1]) <= len(damaged(seed).splitlines()) + 1


@pytest.mark.slow
def test_one_faulty_record_does_not_touch_the_others():
    whole = read(a_yml=EXAMPLES).collection
    for kind, record in whole.records():
        reading = read(a_yml=EXAMPLES, b_yml=f"{kind}: {record.id}-2\nzzz: 1\n")

        assert list(reading.collection.records()) == list(whole.records())
        assert {finding.place.file for finding in reading.findings} == {"b.yml"}
