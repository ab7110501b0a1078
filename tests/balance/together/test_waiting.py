"""Readings of work done that nobody confirmed, on random collections with a hidden truth."""

from __future__ import annotations

import numpy as np
import pytest

from handling_db.balance.together.reach import AllEvidence
from handling_db.families.build import build_of
from tests.from_text import collection
from tests.oracles.whole_evidence import Case


def with_reading(case, piece, kilograms, *, confirmed):
    """The case with a reading of one piece, dry, on a hook."""
    told = ", confirmed: {on: 2026-02-02, by: foreman}" if confirmed else ""
    boundary = ", counts: as listed, without: none, state: dry" if piece.parts else ""
    return collection(
        case.text()
        + "- {source: hook, name: a cell, kind: hook reading, instrument: {name: cell, step: 0.001 kg}}\n"
        + f"- {{weighing: read, of: {piece.name}, gross: {kilograms:.3f} kg, tare: none, checked by: me, "
        + f"plus or minus: 0.3 kg, source: hook, on: 2026-02-01, by: rigger{boundary}{told}}}\n"
    )


def limits(records):
    body = AllEvidence(records)
    return {
        code: body.of((code, build_of(component)), "dry")
        for code, component in records.components.items()
        if component.fluid is None
    }


@pytest.mark.parametrize("seed", range(8))
def test_it_lifts_its_own_piece_and_those_above_and_nothing_else(seed):
    """However wrong it is: no limit moves, no figure becomes doubtful, no plan falls."""
    rng = np.random.default_rng(seed)
    case = Case(rng, planted=False)
    pieces = case.unit.all()
    piece = pieces[int(rng.integers(len(pieces)))]
    above = {one.name for one in pieces if piece in one.all()}
    before = limits(collection(case.text()))
    read = piece.dry() / 1000 * float(rng.choice([0.5, 1.0, 1.5, 2.0])) + 1
    after = limits(with_reading(case, piece, read, confirmed=False))
    for code, reach in after.items():
        old = before[code]
        assert reach.disputes == old.disputes
        if old.high is not None:  # a piece that nothing measured bounds may take it for want of better
            assert (reach.low, reach.high) == (old.low, old.high)
        if old.plan is not None:
            assert reach.plan >= old.plan
            assert reach.plan == old.plan or code in above


@pytest.mark.parametrize("seed", range(8))
def test_confirmed_and_true_it_only_narrows_and_still_holds_the_truth(seed):
    rng = np.random.default_rng(100 + seed)
    case = Case(rng, planted=False)
    pieces = case.unit.all()
    piece = pieces[int(rng.integers(len(pieces)))]
    before = limits(collection(case.text()))
    after = limits(with_reading(case, piece, piece.dry() / 1000, confirmed=True))
    true = {one.name: one.dry() / 1000 for one in pieces}
    for code, reach in after.items():
        old = before[code]
        assert reach.low >= old.low
        assert old.high is None or reach.high <= old.high
        assert float(reach.low) - 1e-6 <= true[code]
        assert reach.high is None or true[code] <= float(reach.high) + 1e-6
