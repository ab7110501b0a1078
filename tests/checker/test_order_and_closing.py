"""The order of findings, and the last line."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handling_db.checker import check, closing_words
from handling_db.findings import Finding, Verdict, exit_status

KNOWN = "counts: as listed, without: none, checked by: fitter"
LEAF = "- {{component: {0}, name: {0}, kind: part, masses: [{{printed: {1}, step: 1 kg, source: book}}]}}\n"


def box(code, child, stated="", listed="parts listed: all, "):
    masses = f", masses: [{{printed: {stated}, step: 1 kg, source: plate, {KNOWN}}}]" if stated else ""
    return (
        f"- {{component: {code}, name: {code}, kind: assembly, {listed}"
        f"parts: [{{component: {child}, quantity: 1}}]{masses}}}\n"
    )


def test_the_gravest_comes_first_and_the_deepest_sum_before_the_rest(read):
    text = (
        box("a", "b", "40 kg")
        + box("b", "c", "20 kg")
        + LEAF.format("c", "10 kg")
        + "- {component: d, name: d, kind: part}\n"
        + "- {component: e, name: e, kind: part, masses: [{printed: 1 kg, source: gone}]}\n"
        + "- {component: f, name: f, kind: part, masses: [{printed: 1 kg, source: book}]}\n"
    )
    found = [(f.verdict, f.rule, f.about) for f in check(read(text))]
    assert found == [
        (Verdict.FAULT, "unknown-reference", "e"),
        (Verdict.DISAGREES, "parts-sum", "b"),
        (Verdict.DISAGREES, "parts-sum", "a"),
        (Verdict.CANNOT_BE_CHECKED, "mass-missing", "d"),
        (Verdict.CANNOT_BE_CHECKED, "mass-missing", "e"),
        (Verdict.REMARK, "likely-quantity-slip", "a"),
        (Verdict.REMARK, "likely-quantity-slip", "b"),
        (Verdict.REMARK, "step-assumed", "f"),
    ]


def test_the_same_records_give_the_same_findings(read):
    text = box("a", "b", "40 kg") + box("b", "c", "20 kg") + LEAF.format("c", "10 kg")
    assert check(read(text)) == check(read(text))


@pytest.mark.slow
@given(st.permutations(["a", "b", "c", "d", "e"]))
def test_the_order_of_records_in_a_collection_changes_nothing(order):
    from handling_db.files.folders import reference_folder
    from handling_db.files.reading import read_texts

    texts = {
        "a": box("a", "b", "40 kg"),
        "b": box("b", "c", "20 kg"),
        "c": LEAF.format("c", "10 kg"),
        "d": "- {component: d, name: c, kind: part}\n",
        "e": "- {component: e, name: c, kind: part}\n",
    }
    kinds = (reference_folder() / "source-kinds.yml").read_text()
    sources = (
        "- {source: book, name: Book, kind: maker's manual}\n- {source: plate, name: P, kind: nameplate}\n"
    )
    found = []
    for names in (sorted(texts), order):
        files = [(f"{name}.yml", texts[name]) for name in names]
        reading = read_texts([*files, ("kinds.yml", kinds), ("sources.yml", sources)])
        found.append(check(reading.collection))
    assert found[0] == found[1]


def words(read, text):
    collection = read(text)
    return closing_words(collection, check(collection))


def test_nothing_compared_is_said(read):
    assert words(read, box("a", "c") + LEAF.format("c", "10 kg")) == (
        "Nothing was compared: no assembly here has both listed parts and a stated whole. "
        "Not compared: 1 assembly without a stated whole (a). "
        "Stays open: whether the unit in hand is built as recorded."
    )


def test_one_whole_that_agrees(read):
    assert words(read, box("a", "c", "10 kg") + LEAF.format("c", "10 kg")) == (
        "a: agrees with Type plate (10 kg); an error of up to 1.0 kg (2.3 lb) in one figure may hide in it; compared: 1 line. "
        "Stays open: whether the unit in hand is built as recorded."
    )


def test_one_whole_that_disagrees_and_one_that_cannot_be_checked(read):
    text = (
        box("a", "c", "20 kg")
        + box("b", "d", "20 kg", listed="")
        + LEAF.format("c", "10 kg")
        + "- {component: d, name: d, kind: part}\n"
    )
    assert words(read, text) == (
        "a: disagrees with Type plate (20 kg); compared: 1 line. "
        "b: cannot be checked; not compared: Type plate (20 kg), because d has no mass. "
        "Stays open: 1 part without a mass (d), 1 list of parts that nobody calls complete (b) and whether "
        "the unit in hand is built as recorded."
    )


def test_a_boundary_that_is_not_stated_is_named_on_either_side(read):
    text = (box("a", "c", "10 kg") + LEAF.format("c", "10 kg")).replace(f", {KNOWN}", "")
    assert "a: cannot be checked; not compared: Type plate (10 kg), whose boundary is not stated." in words(
        read, text
    )
    assert "compared: 1 line, what the figure counts is not stated." in words(
        read, text.replace("printed: 10 kg, step: 1 kg, source: plate", "printed: 20 kg, source: plate")
    )


def test_many_wholes_are_counted_with_the_reasons(read):
    text = (
        "".join(box(f"a{i}", "c", "10 kg") for i in range(3))
        + box("b", "c", "20 kg")
        + box("d", "e", "20 kg")
        + box("f", "c", "10 kg").replace(f", {KNOWN}", "")
        + box("g", "c", "10 kg").replace(KNOWN, f"derived: {{how: summed, from: [x]}}, {KNOWN}")
        + "- {component: c, name: c, kind: part, masses: [{id: x, printed: 10 kg, step: 1 kg, source: book}]}\n"
        + "- {component: e, name: e, kind: part}\n"
    )
    assert words(read, text).startswith(
        "7 stated figures of 7 assemblies: 3 agree (in one figure an error of up to 1.0 kg (2.3 lb) may hide in "
        "the weakest of them), 1 disagrees, 3 cannot be checked ("
    )
    for reason in (
        "1: parts without a mass or not all listed",
        "1: what the figure counts is not stated",
        "1: worked out from one another",
    ):
        assert reason in words(read, text)


def test_a_weighing_with_packing_is_counted_as_one_that_does_not_match(read):
    text = "".join(box(f"a{i}", "c", "10 kg") for i in range(5)) + LEAF.format("c", "10 kg")
    text += (
        "- {weighing: w, of: a0, gross: 15 kg, tare: none, checked by: x, packed: yes, source: scale, "
        "on: 2026-01-02, by: x}\n"
    )
    assert "1: state, build or packing does not match" in words(read, text)


def test_faults_of_the_reader_and_other_contradictions_stay_open(read):
    text = LEAF.format("c", "10 kg").replace(
        "source: book}", "source: book}, {printed: 20 kg, step: 1 kg, source: plate}"
    )
    collection = read(text)
    unread = Finding("record", Verdict.FAULT, "", "is missing;", "write it.")
    told = closing_words(collection, [unread, *check(collection)])
    assert "1 fault (what could not be read was compared with nothing), 1 other contradiction and" in told


@pytest.mark.parametrize(
    ("text", "status"),
    [
        (box("a", "c", "10 kg") + LEAF.format("c", "10 kg"), 0),
        (box("a", "c", "20 kg") + LEAF.format("c", "10 kg"), 1),
        (box("a", "gone", "20 kg"), 2),
        (box("a", "c", "20 kg", listed="") + LEAF.format("c", "10 kg"), 3),
    ],
)
def test_the_status(text, status, read):
    assert exit_status(check(read(text))) == status
