"""Plain answers: what the faces print. No pydantic, no SQL, so that a look-up starts fast.

Masses are in kilograms: exact fractions where they were just worked out, floats where they were stored.
The database stores these fields; the terminal, the page and the print show them.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from handling_db.classes import dataclass
from handling_db.records.open_job import OpenJob
from handling_db.weights.verdict import Shared

if TYPE_CHECKING:
    from fractions import Fraction

    Number = Fraction | float
else:
    Number = float  # as types go; a stored look-up starts without fractions


MOST_AT_DATUM = 20  # pieces named; of more only that there are more is kept


@dataclass(frozen=True, slots=True)
class Named:
    """A component by id and name, with how many pieces of it where that matters."""

    id: str
    name: str
    pieces: Number = 1


@dataclass(frozen=True, slots=True)
class WayToFigure:
    """One way to a figure: from what, and the limits it gives. `high` None for "at least". [kg]"""

    what: str
    low: Number
    high: Number | None


@dataclass(frozen=True, slots=True)
class Narrowed:
    """What the evidence allowed a piece to weigh, dry, from a day on. `high` None: no upper limit. [kg]

    `since` is empty for what was known before the first weighing; `by` names what came in on the day.
    """

    since: str
    low: Number
    high: Number | None
    by: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Rests:
    """What a figure rests on beyond its own parts, as plain facts.

    Parameters
    ----------
    inferred : bool
        Only a whole around it gives it an upper limit.
    ranged : bool
        Limits from several figures: to be shown as a range, not as a figure with a doubt.
    whole, printed : str
        Name of the whole, and its figure, without which there would be no upper limit.
    alone : bool
        That is one figure, and nothing checks it.
    weighed : bool
        Somebody weighed it; else a plate, a list or a book says so.
    serial : str
        Serial numbers that the figures used were read on; empty where they name none.
    left : (part, low, high) or None
        What that whole leaves for the one part nobody weighed. [kg]
    second : Number, optional
        What it may weigh if what is missing in `where` is here: above the plan. [kg]
    second_open : bool
        Where that has no upper limit.
    where : str
        Name of the whole whose figure contradicts the others.
    disputes : tuple of tuple of str
        Figures that cannot all be true, by piece, figure and source.
    guess : str
        Guesses that come in because nothing measured bounds it.
    all_looked_at : bool
        False where more figures disagree than can be looked at in every combination.
    routes : tuple of WayToFigure
        Each way to the figure, where there are several.
    without : Number, optional
        The plan without a figure that waits for a person and lifts it. [kg]
    waits : str
        That figure: of what, what it says, from whom, and that it waits.
    waits_id : str
        Its id.
    charges : tuple of str
        Names of the fluids listed around it, any share of which may be in it.
    narrowed : tuple of Narrowed
        How weighings narrowed it, the oldest first; empty where none did.
    """

    inferred: bool = False
    ranged: bool = False
    whole: str = ""
    printed: str = ""
    alone: bool = False
    weighed: bool = False
    serial: str = ""
    left: tuple[Named, Number, Number] | None = None
    second: Number | None = None
    second_open: bool = False
    where: str = ""
    disputes: tuple[tuple[str, ...], ...] = ()
    guess: str = ""
    all_looked_at: bool = True
    routes: tuple[WayToFigure, ...] = ()
    without: Number | None = None
    waits: str = ""
    waits_id: str = ""
    charges: tuple[str, ...] = ()
    narrowed: tuple[Narrowed, ...] = ()


NOTHING_MORE = Rests()


@dataclass(frozen=True, slots=True)
class StateFigure:
    """The mass of a component in one state and build.

    Parameters
    ----------
    state : str
        dry, drained or filled.
    best, low, high : Number
        Of the known part where it is not complete. [kg]
    complete : bool
        False means "at least".
    basis : str
        What it rests on, in words.
    half_width_rss, u : float, optional
        Root-sum-square of half-widths, and standard uncertainty; None where not worked out. [kg]
    planning : Number, optional
        The heaviest believable figure, unrounded; None while there is none. [kg]
    why_none : str
        Why there is no upper figure.
    raised_by : str
        The printed figure that lies above the sum and so sets the planning figure; empty if none does.
    chosen : str
        Which figure somebody chose, who by role, when and why; empty where nobody did.
    unknown : tuple of Named
        Parts without a mass.
    open_lists : tuple of Named
        Assemblies whose parts are not known to be all listed.
    fluid_elsewhere : tuple of Named
        Assemblies around this one that list a fluid: the share in here is not recorded.
    centre : (x, y, z) or None
        Of the known part where not complete. [m]
    no_place : tuple of Named
        What keeps the centre from being known.
    at_datum : tuple of Named
        Pieces taken at their datum for the centre; as `weights.centre.Centre`.
    rests : Rests
        What all the evidence adds to it.
    """

    state: str
    best: Number
    low: Number
    high: Number
    complete: bool
    basis: str
    half_width_rss: float | None = None
    u: float | None = None
    planning: Number | None = None
    why_none: str = ""
    raised_by: str = ""
    unknown: tuple[Named, ...] = ()
    open_lists: tuple[Named, ...] = ()
    fluid_elsewhere: tuple[Named, ...] = ()
    centre: tuple[float, float, float] | None = None
    no_place: tuple[Named, ...] = ()
    at_datum: tuple[Named, ...] = ()
    chosen: str = ""
    rests: Rests = NOTHING_MORE

    @property
    def nothing_known(self) -> bool:
        """Whether there is no mass at all to show."""
        return not self.complete and self.high == 0

    @property
    def parts_missing(self) -> bool:
        """Whether something in it has no mass of its own: a centre of gravity is that of the known part."""
        return not self.complete or bool(self.unknown or self.open_lists)

    @property
    def half_width_worst(self) -> Number:
        """Half of the worst-case interval. [kg]"""
        return (self.high - self.low) / 2


@dataclass(frozen=True, slots=True)
class StatementFigure:
    """What one source says, and how it stands against the sum of the parts.

    Parameters
    ----------
    verdict : str
        agrees, disagrees, cannot be checked; empty for a part that is not made of listed parts.
    because : str
        Why it cannot be checked, or what the disagreement may come from.
    parts_low, parts_high : Number, optional
        What it was compared with. [kg]
    gap_low, gap_high : Number, optional
        Parts less stated figure. [kg]
    missing_low, missing_high : Number, optional
        What the parts without a mass would together have to weigh. [kg]
    shared : tuple of Shared
        Where it agrees with its parts, what both rest on.
    """

    id: str
    printed: str
    best: Number
    low: Number
    high: Number
    doubt_from: str
    step_assumed: bool
    columns: str
    state: str
    counts: str
    without: str
    boundary_known: bool
    source: str
    source_name: str
    source_kind: str
    on: str
    by: str
    derived: str
    serials: str = ""
    build: str = ""
    review_by: str = ""
    chosen: bool = True
    verdict: str = ""
    because: str = ""
    parts_low: Number | None = None
    parts_high: Number | None = None
    gap_low: Number | None = None
    gap_high: Number | None = None
    missing_low: Number | None = None
    missing_high: Number | None = None
    shared: tuple[Shared, ...] = ()

    @property
    def hides(self) -> Fraction | None:
        """Where it agrees, the largest error of one figure that may hide in it; otherwise None. [kg]"""
        from fractions import Fraction  # a look-up starts fast

        from handling_db.findings import Verdict, largest_hidden

        if self.verdict != Verdict.AGREES or self.gap_low is None or self.gap_high is None:
            return None
        return largest_hidden((Fraction(self.gap_low), Fraction(self.gap_high)))


@dataclass(frozen=True, slots=True)
class PartFigure:
    """One part line: how many of what, each and together, in the state asked for.

    Parameters
    ----------
    known : bool
        False where the part has no mass at all; best, low and high are then zero and not to be shown.
    complete : bool
        False where it is known in part only ("at least").
    has_parts : bool
        Whether it can be opened further.
    centre : (x, y, z) or None
        Where the centre of all pieces of the line lies in the parent's frame. [m]
    """

    line: str
    id: str
    name: str
    kind: str
    quantity: Number
    quantity_text: str
    known: bool
    complete: bool
    best: Number
    low: Number
    high: Number
    basis: str
    has_parts: bool
    remark: str = ""
    centre: tuple[float, float, float] | None = None


@dataclass(frozen=True, slots=True)
class ParameterValue:
    """A parameter's value in this build: ``8 discs (default, not confirmed for this unit)``."""

    name: str
    text: str
    unit: str
    is_default: bool
    meaning: str = ""


@dataclass(frozen=True, slots=True)
class WeightAnswer:
    """Everything the look-up of one component says.

    Parameters
    ----------
    states : tuple of StateFigure
        The state asked for, or dry, drained and filled.
    parts : tuple of PartFigure
        In the state asked for, or filled.
    left_out : tuple of Named
        Taken off in this question.
    jobs : tuple of OpenJob
        Units in hand with temporary ties in that it is, holds or goes into.
    """

    id: str
    name: str
    kind: str
    also_called: tuple[str, ...]
    part_number: str
    maker: str
    fits: tuple[str, ...]
    parts_listed: str
    remark: str
    build: tuple[ParameterValue, ...]
    states: tuple[StateFigure, ...]
    statements: tuple[StatementFigure, ...]
    parts: tuple[PartFigure, ...]
    goes_into: tuple[Named, ...]
    left_out: tuple[Named, ...] = ()
    jobs: tuple[OpenJob, ...] = ()

    @property
    def headline(self) -> StateFigure:
        """The figure to plan with: the state asked for, or filled where none was."""
        return self.states[-1]
