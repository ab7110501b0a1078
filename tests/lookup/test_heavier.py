"""Which is heavier: ranges, not best figures; a thing with a part nobody weighed is never the lighter one."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from handling_db.lookup.heavier import CANNOT_TELL, FIRST, SECOND, ComparedWeight, heavier


def one(low: float, high: float | None, *missing: str) -> ComparedWeight:
    return ComparedWeight("x", "dry", low, low if high is None else (low + high) / 2, high, missing)


def test_apart_is_told_with_least_and_most() -> None:
    found = heavier(one(30, 31), one(35, 37))
    assert (found.verdict, found.least, found.most) == (SECOND, 4, 7)


def test_overlap_cannot_be_told() -> None:
    found = heavier(one(30, 36), one(35, 37))
    assert (found.verdict, found.because) == (CANNOT_TELL, "the ranges overlap")


def test_an_unknown_part_can_make_a_thing_heavier_only() -> None:
    found = heavier(one(400, None, "drive"), one(300, 310))
    assert (found.verdict, found.least, found.most) == (FIRST, 90, None)
    found = heavier(one(200, None, "drive"), one(300, 310))
    assert found.verdict == CANNOT_TELL
    assert found.because == "nobody weighed drive, and the known parts do not decide it"


limits = st.tuples(st.integers(0, 100), st.integers(0, 100)).map(sorted)


@given(limits, limits, st.booleans(), st.booleans())
def test_swapping_the_two_swaps_the_verdict(a, b, a_open, b_open) -> None:
    first, second = one(a[0], None if a_open else a[1], "p"), one(b[0], None if b_open else b[1], "q")
    there, back = heavier(first, second), heavier(second, first)
    swap = {FIRST: SECOND, SECOND: FIRST, CANNOT_TELL: CANNOT_TELL}
    assert back.verdict == swap[there.verdict]
    assert (back.least, back.most) == (there.least, there.most)
