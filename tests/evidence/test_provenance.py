"""Where figures come from, which of them are one witness, and what a bad source makes doubtful."""

from __future__ import annotations

import pytest

from handling_db.errors import UnknownNameError
from handling_db.evidence.provenance import Provenance
from handling_db.weights.compare import Judge
from tests.from_text import SCALE, collection

TEXT = (
    SCALE
    + """
- {source: bench, name: bench scale, kind: weighed, instrument: {name: bench scale, step: 0.05 kg}}
- component: unit
  name: unit
  kind: assembly
  parts listed: all
  parts: [{component: half, quantity: 1}, {component: pin, quantity: 4}]
  masses: [{id: unit-sum, printed: 104 kg, source: book, derived: {how: summed, from: [case-w, pin-c]}}]
- {component: half, name: half, kind: assembly, parts listed: all, parts: [{component: case, quantity: 1}]}
- component: case
  name: case
  kind: part
  masses:
    - {id: case-old, printed: 99 kg, source: scale, on: 2024-01-01}
    - {id: case-w, printed: 100 kg, source: scale, replaces: case-old}
    - {id: case-book, printed: 220 lb, source: book, derived: {how: converted, from: [case-w]}}
    - {id: case-list, printed: 101 kg, source: list}
- component: pin
  name: pin
  kind: part
  masses:
    - {id: pin-c, printed: 1.00 kg, source: bench}
    - {id: pin-l, printed: 1.0 kg, source: list, derived: {how: copied, from: [pin-c]}}
- {component: lid, name: lid, kind: part, masses: [{id: lid-b, printed: 5 kg, source: book},
   {id: lid-b2, printed: 5 kg, source: book, where: another page}]}
- weighing: case-again
  of: case
  gross: 100.5 kg
  tare: none
  checked by: fitter
  source: scale
  on: 2026-01-01
  by: fitter
"""
)


@pytest.fixture(scope="module")
def found():
    return collection(TEXT)


@pytest.fixture(scope="module")
def graph(found):
    return Provenance(found)


@pytest.fixture(scope="module")
def witness(found):
    totals = Judge(found).totals("dry")
    return {w.id: w for code in ("unit", "case", "pin", "lid") for w in totals.witnesses_of(code)}


@pytest.mark.parametrize(
    ("one", "other", "why"),
    [
        ("case-book", "case-w", "case-book was converted from case-w"),
        ("unit-sum", "pin-l", "both come from pin-c"),
        ("unit-sum", "case-w", "unit-sum was summed from case-w"),
        ("case-w", "case-again", ""),
        ("case-w", "case-list", ""),
    ],
)
def test_derivation(graph, one, other, why):
    assert graph.derivation(one, other) == why
    assert graph.derivation(other, one) == why


def test_roots(graph):
    assert graph.roots("unit-sum") == {"case-w", "pin-c"}
    assert graph.roots("case-w") == {"case-w"}
    assert graph.roots("nobody-knows") == {"nobody-knows"}


def test_a_circle_ends():
    text = """
    - component: a
      name: a
      kind: part
      masses:
        - {id: x, printed: 1 kg, source: book, derived: {how: copied, from: [y]}}
        - {id: y, printed: 1 kg, source: book, derived: {how: copied, from: [x]}}
    """
    graph = Provenance(collection(SCALE + text.replace("\n    ", "\n")))

    assert graph.roots("x") == graph.roots("y") == {"x"}
    assert graph.derivation("x", "y")


def test_what_a_bad_scale_makes_doubtful(found, graph):
    doubtful = graph.doubtful("scale", [Judge(found).totals("dry")])

    assert [(f.id, f.replaced) for f in doubtful.direct] == [
        ("case-again", False), ("case-old", True), ("case-w", False)
    ]  # fmt: skip
    assert [(f.id, f.depth, f.by_way_of) for f in doubtful.derived] == [
        ("case-book", 1, "case-w"), ("unit-sum", 1, "case-w")
    ]  # fmt: skip
    assert [(c.id, c.depth, c.by_way_of) for c in doubtful.components] == [
        ("case", 0, "case-again"), ("half", 1, "case"), ("unit", 2, "half")
    ]  # fmt: skip


def test_figures_made_from_it_carry_on(found, graph):
    doubtful = graph.doubtful("bench", [Judge(found).totals("dry")])

    assert [f.id for f in doubtful.derived] == ["pin-l", "unit-sum"]
    assert [c.id for c in doubtful.components] == ["pin", "unit"]


def test_a_material_is_a_source_of_shapes(demo):
    doubtful = Provenance(demo).doubtful("steel", [Judge(demo).totals("dry")])

    assert "clutch-drum" in {figure.component for figure in doubtful.direct}


@pytest.mark.parametrize(("state", "box"), [("dry", 2), ("drained", 0)])
def test_the_floor_scale_of_the_demo(demo, state, box):
    """Dry the transfer box is a sum with the cases in it; drained it hands up its own weighing."""
    doubtful = Provenance(demo).doubtful("quay-floor-scale", [Judge(demo).totals(state)])
    depth = {resting.id: resting.depth for resting in doubtful.components}

    assert depth["rear-cover"] == 0
    assert depth["differential-section"] == 1
    assert depth["transfer-box"] == box
    assert "parking-brake" not in depth


def test_an_unknown_source_is_refused(graph):
    with pytest.raises(UnknownNameError, match="no source or material has the id 'scales'"):
        graph.doubtful("scales", [])
