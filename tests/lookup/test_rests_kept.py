"""What a figure rests on, written as text and read back."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from handling_db.lookup.rests_kept import FEW, rests_from, rests_text
from handling_db.weights.answer import NOTHING_MORE

FIGURES = st.lists(st.sampled_from([f"Half {n}: {n}.0 kg (floor scale)" for n in range(6)]), max_size=5)


@given(st.lists(FIGURES.map(tuple), max_size=2 * FEW).map(tuple))
def test_contradictions_come_back_as_they_were_told(disputes: tuple[tuple[str, ...], ...]) -> None:
    rests = replace(NOTHING_MORE, disputes=disputes)
    assert rests_from(rests_text(rests)) == rests


def test_many_contradictions_of_the_same_figures_take_little_room() -> None:
    figures = tuple(f"Half {n}: {n}.0 kg (floor scale)" for n in range(40))
    rests = replace(NOTHING_MORE, disputes=tuple(figures[:n] + figures[n + 1 :] for n in range(40)))
    text = rests_text(rests)
    assert text is not None
    assert len(text) < 10_000 < sum(len(one) for several in rests.disputes for one in several)
    assert rests_from(text) == rests
