"""YAML as text: what is kept as typed, what is refused and on which line, and the way back."""

from __future__ import annotations

import random
import textwrap

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from handling_db.files import yaml_text
from handling_db.files.folders import data_folder
from handling_db.files.yaml_text import MAX_DEPTH, dump_text, load_text


def load(text):
    return load_text(textwrap.dedent(text), "a.yml")


def messages(text):
    return [str(finding) for finding in load(text).findings]


@pytest.mark.parametrize(
    "typed",
    [
        "840.0", "840", "010", "08", "0x1f", "1e3", "1_000", "12:30", "no", "yes", "on", "off", "true",
        "null", "~", "2026-03-09", "2026-03-09 10:00", ".5", ".inf", "=", "<<", "1,830 lb", "±5", "5 %",
        "a:b", "a#b",
    ],
)  # fmt: skip
def test_every_plain_value_stays_what_was_typed(typed):
    loaded = load(f"a: {typed}\n")

    assert loaded.value == {"a": typed}
    assert loaded.findings == ()


def test_nothing_is_nothing_and_quoted_nothing_is_a_text():
    assert load("a:\nb: ''\nc: \"\"\n").value == {"a": None, "b": "", "c": ""}
    assert load("").value is None
    assert load("# only a comment\n").value is None


def test_the_line_of_every_path_is_known():
    loaded = load(
        """\
        # a comment

        component: unit
        parts:
          - {component: gear, quantity: 2}
          -
            component: shaft
            places: [{at: a}, {at: b}]
        """
    )

    assert loaded.lines == {
        (): 3,
        ("component",): 3,
        ("parts",): 4,
        ("parts", 0): 5,
        ("parts", 0, "component"): 5,
        ("parts", 0, "quantity"): 5,
        ("parts", 1): 7,
        ("parts", 1, "component"): 7,
        ("parts", 1, "places"): 8,
        ("parts", 1, "places", 0): 8,
        ("parts", 1, "places", 0, "at"): 8,
        ("parts", 1, "places", 1): 8,
        ("parts", 1, "places", 1, "at"): 8,
    }


WRITE_OUT = "write the value out where it is needed."
SYNTAX = (
    "the rest of the file was not read. A value with ': ' or ' #' in it needs quotes; indent with spaces."
)
ONE_DOCUMENT = "write the records as one list, '- ' before each, or a file for each."
PLAIN_TEXT = "save it as plain UTF-8 text."

REFUSED = [
    ("a: 1\nb: &x 2\n", [f"a.yml:2: the anchor &x is not used here; {WRITE_OUT}"]),
    (
        "a: &x 1\nb: *x\n",
        [
            f"a.yml:1: the anchor &x is not used here; {WRITE_OUT}",
            f"a.yml:2: the alias *x is not used here; {WRITE_OUT}",
        ],
    ),
    ("a: &x [*x]\n", None),
    ("a:\n  <<: *x\n", [f"a.yml:2: the alias *x is not used here; {WRITE_OUT}"]),
    ("a: !!int 5\n", ["a.yml:1: the tag tag:yaml.org,2002:int is not used here; leave it out."]),
    ("a: !x 5\n", ["a.yml:1: the tag !x is not used here; leave it out."]),
    ("a: ! 5\n", ["a.yml:1: the tag ! is not used here; leave it out."]),
    (
        "a: !!python/object/apply:os.system ['true']\n",
        ["a.yml:1: the tag tag:yaml.org,2002:python/object/apply:os.system is not used here; leave it out."],
    ),
    ("a: 1\nb: 2\na: 3\n", ["a.yml:3: a: given twice, first on line 1; keep one of the two."]),
    ("a:\n  b: 1\n  b: 2\n", ["a.yml:3: b: given twice, first on line 2; keep one of the two."]),
    ("a: 1\na: 2\na: 3\n", [
        "a.yml:2: a: given twice, first on line 1; keep one of the two.",
        "a.yml:3: a: given twice, first on line 1; keep one of the two.",
    ]),
    ("a: 1\n? [b]\n: 2\n", ["a.yml:2: a key must be plain text; name the field."]),
    ("a: 1\n---\nb: 2\n", [f"a.yml:2: a second document starts here ('---'); {ONE_DOCUMENT}"]),
    ("a: b: c\n", [f"a.yml:1: not YAML: mapping values are not allowed in this context; {SYNTAX}"]),
    (
        "a: 1\nb:\n\t- c\n",
        [f"a.yml:3: not YAML: found character that cannot start any token; {SYNTAX}"],
    ),
    ("a: 1\nb: [1, 2\n", None),
    ("a: 'open\n", None),
    ("a: 1\n b: 2\n", None),
    ("a: 1\nb: x\x07y\n", [f"a.yml:2: not YAML: the control character '\\x07'; {PLAIN_TEXT}"]),
    ("a: 1\r\nb: 2\r\nc: x\x00y\r\n", [f"a.yml:3: not YAML: the control character '\\x00'; {PLAIN_TEXT}"]),
    ("a: 1\nb: \ud800\n", [f"a.yml:2: not YAML: the control character '\\ud800'; {PLAIN_TEXT}"]),
    ("a: \"\\ud800\"\n", None),
    ("%YAML 9.9\n---\na: 1\n", None),
]  # fmt: skip


@pytest.mark.parametrize(("text", "expected"), REFUSED)
def test_what_is_refused_has_its_line(text, expected):
    found = [str(finding) for finding in load_text(text, "a.yml").findings]

    if expected is None:  # the words are the YAML library's; the place and the remedy are ours
        assert found
        assert all(line.startswith("a.yml:") for line in found)
    else:
        assert found == expected


def test_a_syntax_error_does_not_hide_what_stands_before_it():
    assert messages("a: &x 1\nb: !y 2\nc: [\n")[:2] == [
        f"a.yml:1: the anchor &x is not used here; {WRITE_OUT}",
        "a.yml:2: the tag !y is not used here; leave it out.",
    ]


def test_depth_has_a_limit_that_is_told_once():
    fits, deeper = "[" * MAX_DEPTH + "]" * MAX_DEPTH, "[" * (MAX_DEPTH + 1) + "]" * (MAX_DEPTH + 1)

    assert messages(f"{fits}\n") == []
    assert messages(f"a: 1\nb: {deeper}\n") == [f"a.yml:2: nested more than {MAX_DEPTH} deep; flatten it."]


@pytest.mark.parametrize(
    "tower", ["[" * 100_000, "[" * 100_000 + "]" * 100_000, "{a: " * 50_000, "- " * 50_000]
)
def test_a_tower_of_brackets_is_refused_and_breaks_nothing(tower):
    found = messages(tower)

    assert found
    assert "nest" in found[0]


def test_a_tower_of_aliases_is_refused_before_anything_is_built():
    rows = ["a0: &a0 [x, x]"] + [f"a{i}: &a{i} [{', '.join([f'*a{i - 1}'] * 9)}]" for i in range(1, 12)]

    loaded = load("\n".join(rows) + "\n")

    assert loaded.value is None
    assert len(loaded.findings) == 12 + 11 * 9


TEXTS = st.text(st.characters(exclude_categories=("Cs",)), max_size=30) | st.text(
    ":#-'\"{}[],&*!|>%@`?~ \n\t\\ab0=<é度😀\N{NO-BREAK SPACE}\u2028\x85\ufeff", max_size=20
)
KEYS = st.text(st.characters(exclude_categories=("Cs",)), max_size=20)
PLAIN = st.recursive(
    TEXTS,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(KEYS, inner, max_size=4),
    max_leaves=12,
)


@given(PLAIN)
@example("")
@example({"": ""})
@example(["", " ", "\n", " a", "a ", "- a", "a: b", "a #b", "#a", "null", "~", "---", "...", "%", "\ufeff"])
@example({"k" * 200: "v" * 500})
@example({"a": "one\n\ntwo\n", "b": "\n lead", "c": "trail\n\n"})
@example([[], {}, [[]], [{}]])
def test_what_is_written_reads_back_and_writes_the_same(value):
    text = dump_text(value)
    loaded = load_text(text, "a.yml")

    assert loaded.findings == ()
    assert loaded.value == value
    assert dump_text(loaded.value) == text


@given(st.text(max_size=60) | st.text("a:-#[]{}&*!|>'\"\n\t ,?%@\\", max_size=40))
def test_no_text_raises_anything(text):
    loaded = load_text(text, "a.yml")

    assert loaded.value is not None or loaded.findings or not loaded.lines or loaded.lines == {(): 1}
    assert all(str(finding).startswith("a.yml:") for finding in loaded.findings)


ODD = ["", "\n", ":", " - ", "&a ", "*a", "!x ", "{", "[", '"', "'", "\t", "---\n", "\x00", "\u2028", "? ", "# ", "a: b\n",
       "  ", "- ", "a: {a: 1, a: 2}\n", "{[1]: 2}", "''", "<<: ", "...\n"]  # fmt: skip
DEMO = [file.read_text(encoding="utf-8") for file in sorted((data_folder() / "demo").rglob("*.yml"))]


@pytest.mark.parametrize("seed", range(4))
def test_one_pass_reads_what_the_look_beforehand_reads(monkeypatch: pytest.MonkeyPatch, seed: int) -> None:
    """Texts of the demo with odd things put in: values, lines, their order and every fault are the same."""
    chance = random.Random(seed)
    texts = [*DEMO] if seed == 0 else []
    for _ in range(80):
        text = chance.choice(DEMO)
        start = text.rfind("\n- ", 0, chance.randrange(len(text))) + 1  # where a record starts
        piece = text[start : start + 400]
        at = chance.randrange(len(piece))
        texts.append(piece[:at] + "".join(chance.choices(ODD, k=chance.randrange(1, 3))) + piece[at:])
    ours = [load_text(text, "a.yml") for text in texts]
    monkeypatch.setattr(yaml_text, "_plainly", lambda _: None)
    theirs = [load_text(text, "a.yml") for text in texts]
    assert ours == theirs
    assert [list(one.lines) for one in ours] == [list(one.lines) for one in theirs]
    assert 10 < sum(bool(one.findings) for one in ours) < 75
