"""Marks to put on a crate or piece: gross mass where a convention asks for it, and handling marks by name.

References
----------
.. [1] ILO Convention 27 (1929), Marking of Weight (Packages Transported by Vessels), Art. 1: 1 000 kg or more
   gross, by sea or inland waterway (treaty text read, two copies).
.. [2] French Labour Code, R4541-10: the same 1 000 kg; where the exact weight is hard to get a maximum may
   be marked instead (translation read).
.. [3] ISO 780 (2015): names of marks; black on the package or a label, one meaning each. Six names read, the
   others from memory.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from handling_db.carrying.checks import interval, optional
from handling_db.quantities.notice import Notice

# What is said beside marks, whichever they are.
BESIDE_MARKS = (Notice("sling here"), Notice("dangerous goods"))
GROSS_MARK_FROM_KG = 1000.0  # [1] Art. 1: "one thousand kilograms or more": the figure itself is included


def gross_mark(*, low_kg: float | None, high_kg: float | None, weighed: bool) -> tuple[Notice, ...]:
    """Tell whether the convention asks for the gross mass on the outside, and with which figure.

    Parameters
    ----------
    low_kg : float or None
        Lowest believable gross mass, or the known part of it. [kg]
    high_kg : float or None
        Heaviest believable gross mass; None: a part is not known. [kg]
    weighed : bool
        The packed piece itself was weighed; otherwise the figure to mark is a maximum and says so.

    Returns
    -------
    tuple of Notice
        ``gross mark``, ``gross mark maybe``, ``no gross mark`` or ``gross mark not known``, then what there
        is to say of the figure. The high one decides, exact or maximum alike; exactly 1 000 kg is included.

    Raises
    ------
    MovingInputError
        A figure cannot be one, or low is above high.

    Examples
    --------
    >>> [said.kind for said in gross_mark(low_kg=1000, high_kg=1000, weighed=True)]
    ['gross mark']
    """
    low, high = interval("the gross mass", low_kg, high_kg)
    if low >= GROSS_MARK_FROM_KG:
        kind = "gross mark"
    elif high is None:
        kind = "gross mark not known"
    else:
        kind = "gross mark maybe" if high >= GROSS_MARK_FROM_KG else "no gross mark"
    if high is None:
        return Notice(kind), Notice("nothing to mark", {"low_kg": low})
    return (Notice(kind),) if weighed else (Notice(kind), Notice("mark a maximum"))


@dataclass(frozen=True, slots=True)
class Mark:
    """One handling mark to put on, by its public name, and why."""

    name: str
    why: Notice
    name_from: Literal["read", "from memory"]  # how far the name was checked


@dataclass(frozen=True, slots=True)
class HandlingMarks:
    """Marks to put on, and what nobody looked at."""

    marks: tuple[Mark, ...]
    not_recorded: tuple[str, ...]


# Fact, mark, why, how far the name was checked.
_MARKS: tuple[tuple[str, str, str, Literal["read", "from memory"]], ...] = (
    ("this_way_up", "this way up", "it travels in one attitude", "read"),
    ("fragile", "fragile", "stated as fragile", "read"),
    ("keep_dry", "keep dry", "stated as harmed by water", "read"),
    ("keep_from_heat", "keep away from heat", "stated as harmed by heat", "read"),
    ("hooks_do_harm", "use no hooks", "stated as harmed by hooks", "read"),
    ("sling_places_known", "sling here", "the places for slings are known", "read"),
    ("centre_known", "centre of gravity", "its place is known", "from memory"),
    ("rolls", "do not roll", "it can roll", "from memory"),
    ("clamp_does_harm", "do not clamp", "stated as harmed by clamps", "from memory"),
    ("fork_side_barred", "no fork-lift here", "a side is barred to forks", "from memory"),
    ("hand_truck_does_harm", "no hand truck here", "a side is barred to hand trucks", "from memory"),
)


def handling_marks(facts: Mapping[str, bool | None], stacking_limit_kg: float | None = None) -> HandlingMarks:
    """Name the handling marks that go with the facts of a packed piece.

    Parameters
    ----------
    facts : mapping of fact to bool or None
        ``this_way_up``, ``fragile`` and so on: whether it is so; None or left out: nobody looked.
    stacking_limit_kg : float, optional
        As stated; 0 stated as not to be stacked; None: nothing stated. [kg]

    Returns
    -------
    HandlingMarks
        Marks by public name with the reason; what is not recorded. Nothing stated about stacking gives
        "do not stack".

    Raises
    ------
    MovingInputError
        The stacking limit cannot be one.
    """
    marks: list[Mark] = []
    missing: list[str] = []
    for fact, name, why, checked in _MARKS:
        known = facts.get(fact)
        if known is None:
            missing.append(fact.replace("_", " "))
        elif known:
            marks.append(Mark(name, Notice("mark because", {"why": why}), checked))
    limit = optional("the stacking limit", stacking_limit_kg, "it in kg, or 0", zero=True)
    if limit is None:
        missing.append("stacking limit")
    if limit:
        told = Notice("stated to stack", {"limit_kg": limit})
        marks.append(Mark("stacking limit by mass", told, "from memory"))
    else:
        told = Notice("stacking not stated" if limit is None else "stated")
        marks.append(Mark("do not stack", told, "from memory"))
    return HandlingMarks(tuple(marks), tuple(missing))
