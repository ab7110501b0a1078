"""Plain answers about what comes off first: the limit, each choice of pieces, and what may be left on.

Masses in kilograms, lengths in metres, angles in degrees. None is "not known", never nothing.
"""

from __future__ import annotations

from dataclasses import dataclass

from handling_db.lifting.figures import (
    CAUTIONS,
    PRACTICE,
    LegsFigure,
    MassLine,
    NamedThing,
    NoteFigure,
    SetDownFigure,
    TieFigure,
    Vector,
)
from handling_db.quantities.amount import Amount
from handling_db.quantities.notice import Notice

EDGE = 0.01  # of the limit: less than that left is shown as a knife's edge. Our own choice, no source.

FIGURES_ONLY = (
    CAUTIONS[0],
    f"Only masses are weighed up here: not reach, height, angles, grip or condition. [{PRACTICE}]",
    "That nothing is recorded behind a piece does not say that nothing is: look before it comes off. "
    f"[{PRACTICE}]",
)


@dataclass(frozen=True, slots=True)
class CeilingFigure:
    """The limit that the rest is to be under, and how it came about. [kg]

    Parameters
    ----------
    kind : str
        ``hoist``, ``fork``, ``pallet``, ``floor``, ``scale``, ``hands`` or ``under``.
    id, name : str
        Of the mover, pallet, shop, scale; empty where only a mass was given.
    stated_kg : float
        As its record or the question states it.
    basis : Notice
        What that rests on.
    cell_kg : float or None
        Error of the load cell that comes off it; None where no cell is recorded, or it is no hook.
    kg : float
        What counts: stated less the cell's error.
    loose_share : float or None
        The shop's share for breaking loose, on top of the whole reading; None where nothing breaks loose or
        none is recorded.
    loose_words : str
        Why it counts or does not.
    planning_kg : float or None
        Up to which part of the rating the shop plans; None where it states none.
    """

    kind: str
    id: str
    name: str
    stated_kg: float
    basis: Notice
    cell_kg: float | None
    kg: float
    loose_share: float | None
    loose_words: str
    planning_kg: float | None = None

    @property
    def times(self) -> float:
        """What the whole reading is multiplied with."""
        return 1.0 + (self.loose_share or 0.0)

    def asked(self, load: float) -> float:
        """What is held against it: the load, with what breaking loose adds. [kg]"""
        return load * self.times


@dataclass(frozen=True, slots=True)
class LeftFigure:
    """What is left of the body, and what is asked of the limit with it. [kg]

    Parameters
    ----------
    pieces : Amount or None
        Dry, by all the evidence; None where nothing of it has a mass.
    load : Amount or None
        With fluid, packing and gear as far as known; `high` None: "at least".
    asked_kg : float or None
        The upper figure of the load with what breaking loose adds; None: there is no upper figure.
    margin_kg : float or None
        Limit less that; below nothing: over the limit.
    edge : bool
        Under the limit by less than a hundredth of it.
    missing : tuple of str
        What keeps the pieces from an upper figure.
    """

    pieces: Amount | None
    load: Amount | None
    asked_kg: float | None
    margin_kg: float | None
    edge: bool = False
    missing: tuple[str, ...] = ()

    @property
    def under(self) -> bool:
        """Whether the upper figure is under the limit, as a figure."""
        return self.margin_kg is not None and self.margin_kg >= 0.0


@dataclass(frozen=True, slots=True)
class OffFigure:
    """One act: a piece, an assembly or a recorded lift that comes off.

    Parameters
    ----------
    way : tuple of str
        Component ids from the root of the body; empty for a recorded lift of several pieces.
    id, name : str
    kind : str
        ``piece``, ``assembly`` or ``lift group``.
    load : Amount or None
        Of what is still there of it, dry; None where nobody weighed it and nothing bounds it. [kg]
    by : str
        ``hands``: its upper figure is within the shop's hand limit; ``hook``: above it; ``not known``.
    lifts, fixtures : tuple of NamedThing
        Recorded lifts of just this, and fixtures recorded as needed for it.
    ties : tuple of TieFigure
        What has to come out right before it, in the order the records give.
    notes : tuple of NoteFigure
        Stored energy, order and what sticks, about it or what is in it.
    says : tuple of Notice
        What it carries, closes in or holds, and what nobody looked at.
    """

    way: tuple[str, ...]
    id: str
    name: str
    kind: str
    load: Amount | None
    by: str
    lifts: tuple[NamedThing, ...]
    fixtures: tuple[NamedThing, ...]
    ties: tuple[TieFigure, ...]
    notes: tuple[NoteFigure, ...]
    says: tuple[Notice, ...]


@dataclass(frozen=True, slots=True)
class LightenOption:
    """One choice of pieces, in an order the records allow, and what is left with them off.

    Parameters
    ----------
    off : tuple of OffFigure
    rest : LeftFigure
    hook_kg : float
        Of the pieces that need the hook themselves, at most. [kg]
    shift : Vector or None
        How far the best centre moves in the frame of the root; None where either is not known. [m]
    shift_words : str
        Towards which side; why there is none.
    legs : LegsFigure or None
        How the rest hangs; None with the reason in `no_legs`.
    stands : tuple of SetDownFigure
        How the rest stands on the face of its record, else on each face that may be rested on.
    stood : tuple of float or None
        Tip angle on the same faces before. [deg]
    """

    off: tuple[OffFigure, ...]
    rest: LeftFigure
    hook_kg: float
    shift: Vector | None
    shift_words: str
    legs: LegsFigure | None
    no_legs: str
    stands: tuple[SetDownFigure, ...]
    stood: tuple[float | None, ...]

    @property
    def says(self) -> tuple[Notice, ...]:
        """Everything said of its pieces, each once."""
        return tuple(dict.fromkeys(notice for one in self.off for notice in one.says))


@dataclass(frozen=True, slots=True)
class LeftOn:
    """Something that the records leave behind or have off, and the figure with it on. [kg]"""

    names: tuple[str, ...]
    load: Amount | None
    rest: LeftFigure


@dataclass(frozen=True, slots=True)
class LightenAnswer:
    """What comes off first so that the rest is under a limit: figures, not permission.

    Parameters
    ----------
    kind : str
        ``lift group`` or ``component``.
    state : str
        Which fluid counts, in words.
    additions : tuple of MassLine
        What counts besides the pieces: fluid, packing, gear; `load` None where nobody knows.
    not_counted : tuple of str
        Of these, what is in no figure because nobody knows it.
    now : LeftFigure
        With everything on.
    options : tuple of LightenOption
        Fewest pieces first, then fewest kilograms that need the hook.
    others : tuple of tuple of str
        Further choices of as few pieces, by name only.
    careful : tuple of LightenOption
        The same without any piece that carries a pick point, closes something in or holds something; empty
        where `options` already has such a choice, or there is none.
    fewest, careful_fewest : int or None
        Pieces in the smallest choice; None: none serves.
    proved, careful_proved : bool
        That no smaller set serves.
    all_off : LeftFigure or None
        Where nothing serves: what is left with everything off that may come off.
    drained : LeftFigure or None
        Where the fluid counts as filled: the same drained, everything on.
    left_on : tuple of LeftOn
        What is recorded as left behind or off, put back one at a time and all together.
    hand_limit_kg : float or None
        The shop's; None: none is recorded, so every piece counts as needing the hook.
    not_offered : tuple of str
        What was not asked to come off by itself: ties of joints.
    """

    id: str
    name: str
    kind: str
    root: str
    root_name: str
    state: str
    build: tuple[tuple[str, str, bool], ...]
    job: str
    shop: str
    limit: CeilingFigure
    additions: tuple[MassLine, ...]
    not_counted: tuple[str, ...]
    now: LeftFigure
    options: tuple[LightenOption, ...]
    others: tuple[tuple[str, ...], ...]
    more: bool
    careful: tuple[LightenOption, ...]
    fewest: int | None
    proved: bool
    careful_fewest: int | None
    careful_proved: bool
    all_off: LeftFigure | None
    drained: LeftFigure | None
    left_on: tuple[LeftOn, ...]
    hand_limit_kg: float | None
    not_offered: tuple[str, ...]
    first: tuple[Notice, ...]
    cautions: tuple[str, ...] = FIGURES_ONLY
