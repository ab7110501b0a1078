"""The sum a whole is compared with: the same limits as the full total, without a walk from every level."""

from __future__ import annotations

import pytest

from handling_db.findings import Verdict
from handling_db.records.collection import Collection
from handling_db.weights.compare import Judge
from handling_db.weights.sum_of_parts import SumOfParts, handed_sum
from handling_db.weights.totals import Totals
from tests.checker.test_scale import KNOWN, collection, component, figure


@pytest.mark.parametrize("state", ["dry", "drained", "filled"])
def test_limits_and_origin_are_those_of_the_full_total(demo: Collection, state: str) -> None:
    totals = Judge(demo).totals(state)  # type: ignore[arg-type]
    seen = 0
    for node in totals.tree.order:
        if totals.tree.uses[node]:
            short, full = handed_sum(totals, node), SumOfParts.of(totals.sum_of(node))
            limits = [(s.mass.low, s.mass.best, s.mass.high, s.mass.complete) for s in (short, full)]
            assert limits[0] == limits[1]
            assert (short.any_derived, short.one_source) == (full.any_derived, full.one_source)
            assert short.shares == full.shares
            seen += 1
    assert seen > 10


def test_a_chain_with_a_figure_on_every_level_is_not_walked_from_each(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Every level agrees, so nobody asks what its sum is made of."""
    links = [component("n0", masses=[figure(5)])]
    links += [component(f"n{i}", [f"n{i - 1}"], [figure(5, **KNOWN)]) for i in range(1, 60)]
    judge = Judge(collection(links))
    walked: list[int] = []
    monkeypatch.setattr(Totals, "sum_of", lambda self, node, **_: walked.append(node))
    judged = [judge.judge(judge.totals("dry").witnesses_of(f"n{i}")[0]) for i in range(1, 60)]
    assert {one.verdict for one in judged if one} == {Verdict.AGREES}
    assert walked == []


def test_weighings_are_sorted_out_once(demo: Collection) -> None:
    for code in demo.components:
        plain = tuple(w for _, w in sorted(demo.weighings.items()) if w.of == code)
        assert demo.weighings_of(code) == plain
    assert demo.weighings_of("nothing-of-that-name") == ()
    assert demo.replaced_weighings() == {w.replaces for w in demo.weighings.values() if w.replaces}
