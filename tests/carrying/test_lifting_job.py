"""Duration classes and composite index: properties and errors. Printed figures are in tests/published."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handling_db.carrying.checks import MovingInputError
from handling_db.carrying.lifting_job import LiftTask, composite_index, duration_class
from handling_db.moving.notices import notice_words


@pytest.mark.parametrize(
    ("spells", "answer"),
    [
        ([(60, None)], ("short", 60)),
        ([(61, None)], ("moderate", 61)),
        ([(121, None)], ("long", 121)),
        ([(60, 60), (60, 60), (60, None)], ("short", 60)),
        ([(60, 59), (60, None)], ("moderate", 120)),
        ([(50, 20), (50, 20), (50, None)], ("long", 150)),
        ([(30, 10)], ("long", 30)),  # what follows too short a recovery is not listed
    ],
)
def test_duration(spells, answer):
    assert answer == duration_class(spells)


@given(
    spells=st.lists(st.tuples(st.integers(1, 60), st.integers(0, 120)), min_size=1, max_size=5),
    more=st.integers(0, 60),
)
def test_recovery_as_long_as_the_work_keeps_every_spell_to_itself(spells, more):
    """Less than that may be the worse for being a little more: 61 min and 19 of recovery end as moderate, while
    after 60 min and 20 the manual adds what follows.
    """
    rested = duration_class([(work, work + more) for work, _ in spells])

    assert rested == ("short", max(work for work, _ in spells))
    assert duration_class([(1, 0), (60, 19)]) == ("moderate", 61)
    assert duration_class([(1, 1), (60, 20)]) == ("long", 60)


@pytest.mark.parametrize(
    ("spells", "message"),
    [
        ([], "No spell of lifting is given: give minutes of work and of recovery after it."),
        (
            [(30, None), (30, None)],
            "The recovery after spell 1 is not given: give it in minutes, or 0.",
        ),
        ([(481, None)], "481 minutes of lifting with too little recovery: the table ends at 8 h."),
        ([(0, None)], "the work of spell 1 is 0; it has to be above zero: give it in minutes."),
    ],
)
def test_duration_errors(spells, message):
    with pytest.raises(MovingInputError) as error:
        duration_class(spells)

    assert message == str(error.value)


def _task(name, load, rate=1.0, free=20.0, v=30.0):
    return LiftTask(
        name=name, load=load, load_most=load, without_frequency=free, per_minute=rate, vertical_at_origin=v
    )


def test_one_task_is_its_own_index():
    job = composite_index([_task("only", 10)], duration="short", units="US")

    assert pytest.approx(job.index) == 10 / (20 * 0.94)


@given(loads=st.lists(st.floats(1, 50), min_size=2, max_size=4))
def test_more_tasks_never_lower_the_index(loads):
    tasks = [_task(str(i), load) for i, load in enumerate(loads)]

    job = composite_index(tasks, duration="short", units="US")
    assert job.index >= max(job.single_index) - 1e-12


def test_too_many_lifts_together_give_no_index():
    job = composite_index([_task("a", 10, 8), _task("b", 10, 8)], duration="short", units="US")

    assert job.index is None
    assert notice_words(job.remark) == (
        "No index: the limit is zero because the table gives nothing for 16 lifts a minute together."
    )


def test_composite_errors():
    with pytest.raises(MovingInputError, match="Give at least one task, and each task a name of its own"):
        composite_index([], duration="short", units="US")
    with pytest.raises(MovingInputError, match="Give at least one task, and each task a name of its own"):
        composite_index([_task("a", 1), _task("a", 2)], duration="short", units="US")
    with pytest.raises(MovingInputError, match="the load of a is 0; it has to be above zero: give it in lb"):
        composite_index([_task("a", 0)], duration="short", units="US")
