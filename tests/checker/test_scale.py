"""Large collections: no recursion limit, no paths counted one by one, no component against every other."""

from __future__ import annotations

import time
from fractions import Fraction

import pytest

from handling_db.checker import check, closing_words
from handling_db.findings import Verdict
from handling_db.records.collection import collect
from handling_db.records.kinds.component import Component
from handling_db.records.kinds.source import Source, SourceKind

pytestmark = pytest.mark.slow

MANY = 20_000
DEEP = 2_000  # twice as deep as Python calls functions: what goes by calls fails here as it would at 20,000
SECONDS = 60  # of this process; generous: a few are usual, and paths or pairs would take hours
KNOWN = {"counts": "as listed", "without": "none", "checked by": "x"}


def figure(kg, **more):
    return {"printed": f"{kg} kg", "plus or minus": "0.1 kg", "source": "scale", **more}


def component(code, parts=(), masses=()):
    record = {"component": code, "name": code, "kind": "assembly" if parts else "part"}
    if parts:
        record["parts"] = [{"component": part, "quantity": "1"} for part in parts]
        record["parts listed"] = "all"
    if masses:
        record["masses"] = list(masses)
    return ("component", Component.model_validate(record))


def collection(components):
    kind = SourceKind.model_validate({"source kind": "weighed", "name": "weighed", "rank": "1", "basis": "b"})
    source = Source.model_validate({"source": "scale", "name": "Scale", "kind": "weighed"})
    return collect([("source kind", kind), ("source", source), *components])


def links(many):
    """A link to the next, without a figure."""
    return [component(f"c{i}", [f"c{i + 1}"]) for i in range(1, many)]


def chain(many, top=(), end=()):
    return collection([component("c0", ["c1"], top), *links(many), component(f"c{many}", (), end)])


@pytest.fixture(autouse=True)
def within_seconds():
    start = time.process_time()
    yield
    assert time.process_time() - start < SECONDS


def test_a_chain_of_twenty_thousand_levels():
    records = chain(MANY, top=[figure(10, **KNOWN)], end=[figure(12)])
    findings = check(records)
    assert [(f.rule, f.verdict) for f in findings] == [
        ("parts-sum", Verdict.DISAGREES),
        ("part-heavier-than-whole", Verdict.DISAGREES),
    ]
    assert "compared: 1 line" in closing_words(records, findings)


def test_a_missing_mass_below_two_thousand_levels():
    (missing,) = check(chain(DEEP))
    assert (missing.rule, missing.about) == ("mass-missing", f"c{DEEP}")
    assert "and at least 47 more" in missing.sentence


def test_a_ring_of_two_thousand():
    ring = [component("c0", ["c1"]), *links(DEEP)[:-1], component(f"c{DEEP - 1}", ["c0"])]
    (cycle,) = check(collection(ring))
    assert cycle.rule == "cycle"
    assert f"({DEEP - 10} more)" in cycle.sentence


def test_a_diamond_of_forty_levels_where_every_level_disagrees():
    levels = [component(f"d{i}", [f"d{i + 1}"] * 2, [figure(1, **KNOWN)]) for i in range(40)]
    findings = check(collection([*levels, component("d40", (), [figure(30)])]))
    sums = [f for f in findings if f.rule == "parts-sum"]
    assert [f.about for f in sums] == [f"d{i}" for i in range(39, -1, -1)]
    assert {f.verdict for f in sums} == {Verdict.DISAGREES}
    name, low, high = sums[-1].figures[0]
    assert (name, low, high) == ("parts", 2**40 * Fraction("29.9"), 2**40 * Fraction("30.1"))


def test_a_tree_with_a_figure_at_every_level():
    many = MANY // 16
    nodes = [
        component(f"t{i}", [f"t{3 * i + j}" for j in (1, 2, 3)], [figure(1, **KNOWN)])
        if 3 * i + 3 < many
        else component(f"t{i}", (), [figure(1)])
        for i in range(many)
    ]
    findings = check(collection(nodes))
    sums = [f for f in findings if f.rule == "parts-sum"]
    assert len(sums) == 416
    assert {f.verdict for f in sums} == {Verdict.DISAGREES}


def test_five_thousand_lines_in_one_assembly():
    many = MANY // 4  # every one against every other would be 25 million
    lines = [component(f"p{i}", (), [figure(1)]) for i in range(many)]
    findings = check(
        collection([component("top", [f"p{i}" for i in range(many)], [figure(1, **KNOWN)]), *lines])
    )
    (apart,) = [f for f in findings if f.rule == "parts-sum"]
    assert "heavier by 4499" in apart.sentence


def test_a_chain_with_a_figure_that_agrees_at_every_level():
    """What would sharpen each is worked out for as many as may be walked through, what hides in each for all."""
    many = MANY // 8
    links = [component(f"c{i}", [f"c{i + 1}"], [figure(12, **KNOWN)]) for i in range(many)]
    sums = [
        f for f in check(collection([*links, component(f"c{many}", (), [figure(12)])])) if f.hides is not None
    ]
    assert len(sums) == many
    assert {f.hides for f in sums} == {Fraction(1, 5)}
    assert 0 < sum("To sharpen it" in f.remedy for f in sums) < many
