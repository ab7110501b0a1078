"""A day of lifting by hand: its duration class, and the composite index of a job of several lifts.

References
----------
.. [1] Waters TR, Putz-Anderson V, Garg A, "Applications Manual for the Revised NIOSH Lifting Equation",
   DHHS (NIOSH) Publication No. 94-110 (1994, revised 9/2021): duration pp. 13-14, composite index p. 28.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from handling_db.carrying.checks import PERSON_DECIDES, MovingInputError, given, plain
from handling_db.carrying.lifting_equation import (
    DURATIONS,
    EXCLUSIONS,
    Duration,
    Units,
    frequency_multiplier,
    half_up,
    remark_on,
    unit_set,
)
from handling_db.quantities.notice import Notice


def duration_class(spells: Sequence[tuple[float, float | None]]) -> tuple[Duration, float]:
    """Tell the duration class of a day's lifting.

    Parameters
    ----------
    spells : sequence of (work, recovery)
        Minutes of lifting and of light work after it, in order; recovery None: no lifting comes after it. A
        last spell with too short a recovery counts as long: what follows is not listed. [min]

    Returns
    -------
    tuple of str and float
        "short", "moderate" or "long", and the minutes of the longest spells added together. [min]

    Raises
    ------
    MovingInputError
        No spell, a figure that cannot be one, a recovery missing between spells, or over eight hours.

    Examples
    --------
    >>> duration_class([(30, 10), (45, None)])
    ('moderate', 75.0)
    >>> duration_class([(30, 30), (45, None)])
    ('short', 45.0)

    References
    ----------
    .. [1] NIOSH 94-110, pp. 13-14: short up to 1 h with recovery of 1.0 of the work, moderate up to 2 h with
       0.3 of it, long up to 8 h; with too little recovery the spells are added.
    """
    if not spells:
        raise MovingInputError("No spell of lifting is given: give minutes of work and of recovery after it.")
    worst: tuple[int, float] = (0, 0.0)
    together = 0.0
    for number, (work, recovery) in enumerate(spells, start=1):
        together += given(f"the work of spell {number}", work, "it in minutes")
        if recovery is None and number < len(spells):
            raise MovingInputError(
                f"The recovery after spell {number} is not given: give it in minutes, or 0."
            )
        rest = math.inf if recovery is None else given("the recovery", recovery, "it in minutes", zero=True)
        if together > 480.0:
            raise MovingInputError(
                f"{plain(together)} minutes of lifting with too little recovery: the table ends at 8 h."
            )
        if together <= 60.0:
            kind, ends = 0, rest >= together
        elif together <= 120.0:
            kind, ends = 1, rest >= 0.3 * together - 1e-9
        else:
            kind, ends = 2, False
        if number == len(spells) and not ends:
            kind = 2
        if ends or number == len(spells):
            worst = max(worst, (kind, together))
        if ends:
            together = 0.0
    return DURATIONS[worst[0]], worst[1]


@dataclass(frozen=True, slots=True, kw_only=True)
class LiftTask:
    """One kind of lift in a job of several."""

    name: str
    load: float  # average mass [lb] or [kg]
    load_most: float  # heaviest mass
    without_frequency: float  # its recommended limit with FM = 1
    per_minute: float
    vertical_at_origin: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CompositeIndex:
    """Composite lifting index of a job, and each task's own figures, worst task first."""

    order: tuple[str, ...]
    frequency_independent_index: tuple[float, ...]  # heaviest load over the limit with FM = 1
    single_limit: tuple[float, ...]  # limit with the task's own frequency
    single_index: tuple[float | None, ...]
    index: float | None  # None: the table gives nothing for the lifts together
    remark: Notice
    cautions: tuple[Notice, ...]


def composite_index(
    tasks: Sequence[LiftTask], *, duration: Duration, units: Units, rounded: bool = False
) -> CompositeIndex:
    """Work out the composite lifting index: the worst task, plus what every other task adds by its lifts.

    Parameters
    ----------
    tasks : sequence of LiftTask
        At least one; names have to differ.
    duration : str
        Of the whole job.
    units : str
        "US" or "metric".
    rounded : bool
        As the manual: limits and single indices to one place, frequency-independent indices to two.

    Returns
    -------
    CompositeIndex
        STLI of the worst task + sum of FILI (1 / FM with this task - 1 / FM without it), and the parts.

    Raises
    ------
    MovingInputError
        No task, two of one name, or a figure cannot be one.

    References
    ----------
    .. [1] NIOSH 94-110, p. 28.
    """
    names = [task.name for task in tasks]
    if not tasks or len(set(names)) < len(names):
        raise MovingInputError("Give at least one task, and each task a name of its own.")
    length = f"it in {unit_set(units).length}"
    low_v = min(
        given(f"the height of the hands of {task.name}", task.vertical_at_origin, length, zero=True)
        for task in tasks
    )
    worked: list[tuple[float, float, float | None, LiftTask]] = []
    for task in tasks:
        for what, value in (("load", task.load), ("heaviest load", task.load_most)):
            given(f"the {what} of {task.name}", value, f"it in {unit_set(units).mass}")
        free = given(f"the limit of {task.name} without frequency", task.without_frequency, "it, above zero")
        fm = frequency_multiplier(task.per_minute, duration, task.vertical_at_origin, units)
        limit = free * fm
        single = None if limit == 0.0 else task.load / (half_up(limit, 1) if rounded else limit)
        fili = task.load_most / free
        if rounded:
            limit, fili = half_up(limit, 1), half_up(fili, 2)
            single = None if single is None else half_up(single, 1)
        worked.append((fili, limit, single, task))
    worked.sort(key=lambda one: -math.inf if one[2] is None else -one[2])
    total = worked[0][2]
    rate = worked[0][3].per_minute
    reasons: list[str] = []
    if total is None:
        reasons.append(f"the table gives nothing for {worked[0][3].name}")
    for fili, _, _, task in worked[1:]:
        before = frequency_multiplier(rate, duration, low_v, units)
        rate += task.per_minute
        after = frequency_multiplier(rate, duration, low_v, units)
        if after == 0.0 or before == 0.0:
            total = None
            reasons.append(f"the table gives nothing for {plain(rate)} lifts a minute together")
            break
        if total is not None:
            total += fili * (1.0 / after - 1.0 / before)
    return CompositeIndex(
        order=tuple(one[3].name for one in worked),
        frequency_independent_index=tuple(one[0] for one in worked),
        single_limit=tuple(one[1] for one in worked),
        single_index=tuple(one[2] for one in worked),
        index=total,
        remark=remark_on(total, reasons),
        cautions=(*EXCLUSIONS, PERSON_DECIDES),
    )
