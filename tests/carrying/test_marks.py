"""Marks: gross mass and handling marks. The rules themselves are checked in tests/published."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handling_db.carrying.checks import MovingInputError
from handling_db.carrying.marks import gross_mark, handling_marks
from handling_db.moving.notices import told

MASSES = st.floats(0, 5000)


@given(low=MASSES, spread=st.none() | MASSES, weighed=st.booleans())
def test_never_not_asked_for_unless_the_high_figure_is_below(low, spread, weighed):
    high = None if spread is None else low + spread

    mark = gross_mark(low_kg=low, high_kg=high, weighed=weighed)

    kinds = [said.kind for said in mark]
    assert ("no gross mark" in kinds) == (high is not None and high < 1000)
    assert ("gross mark" in kinds) == (low >= 1000)
    assert ("nothing to mark" in kinds) == (high is None)
    assert ("mark a maximum" in kinds) == (high is not None and not weighed)


def test_at_least_gives_no_figure_to_mark():
    mark = gross_mark(low_kg=1100, high_kg=None, weighed=False)

    assert mark[0].kind == "gross mark"
    assert "At least 1100 kg (2425 lb); no figure can be marked before it is weighed." in told(mark)


def test_nothing_known_is_not_known():
    assert gross_mark(low_kg=None, high_kg=None, weighed=False)[0].kind == "gross mark not known"


def test_nothing_stated_gives_do_not_stack_and_a_list_of_what_nobody_looked_at():
    got = handling_marks({})

    assert [(one.name, *told([one.why])) for one in got.marks] == [
        ("do not stack", "nothing is stated about stacking")
    ]
    assert len(got.not_recorded) == 12
    assert got.not_recorded[:3] == ("this way up", "fragile", "keep dry")


def test_no_is_not_the_same_as_nobody_looked():
    got = handling_marks({"fragile": False, "this_way_up": True}, 0)

    assert [one.name for one in got.marks] == ["this way up", "do not stack"]
    assert "fragile" not in got.not_recorded
    assert "keep dry" in got.not_recorded


def test_stacking_limit_by_mass():
    got = handling_marks({}, 300)

    assert [(one.name, *told([one.why])) for one in got.marks] == [
        ("stacking limit by mass", "stated: 300 kg (661 lb)")
    ]


def test_errors():
    with pytest.raises(MovingInputError, match="the gross mass: the low figure 2 kg is above the high 1 kg"):
        gross_mark(low_kg=2, high_kg=1, weighed=True)
    with pytest.raises(
        MovingInputError, match="the stacking limit is -1; it has to be zero or more: give it in kg"
    ):
        handling_marks({}, -1)
