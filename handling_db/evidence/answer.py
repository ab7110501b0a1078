"""Plain answers about the numbers: sweeps, origins, explanations, bounds, reconciliation, doubt.

No pydantic, no SQL. Masses are in kilograms; None where there is no such figure, never zero. An empty text
was not recorded.
"""

from __future__ import annotations

from dataclasses import dataclass

from handling_db.records.open_job import OpenJob
from handling_db.weights.answer import Number, ParameterValue, StateFigure

Limits = tuple[Number, Number]


@dataclass(frozen=True, slots=True)
class SweepLine:
    """One value of a parameter and what it comes to.

    Parameters
    ----------
    text : str
        The value as printed: ``8``, ``620 mm``.
    value : float or None
        In base units, for a drawing; None for a word.
    figure : StateFigure or None
        None where this build cannot be: `why` says so.
    faults : tuple of str
        Places that could not be worked out.
    """

    text: str
    value: float | None
    figure: StateFigure | None
    why: str = ""
    faults: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class SweepAnswer:
    """A component over the values of one parameter.

    Parameters
    ----------
    held : tuple of ParameterValue
        The other parameters; worked-out ones are left out.
    """

    id: str
    name: str
    parameter: str
    unit: str
    meaning: str
    state: str
    held: tuple[ParameterValue, ...]
    lines: tuple[SweepLine, ...]
    jobs: tuple[OpenJob, ...] = ()


@dataclass(frozen=True, slots=True)
class Paper:
    """A recorded figure and where it stands: the far end of a chain.

    Parameters
    ----------
    document, edition, where, instrument, on, by : str
        The sheet, the place on it or the scale, the day and who.
    doubt_from : str
        Where its doubt comes from.
    how : str
        converted, copied, summed or inferred; empty for a figure read at its source.
    made_from : tuple of Paper
        What it was made from, down to figures that were read.
    materials : tuple of str
        Whose density it uses, and where that comes from.
    """

    id: str
    component: str
    printed: str
    low: Number | None
    high: Number | None
    doubt_from: str
    state: str
    source: str
    source_name: str = ""
    source_kind: str = ""
    document: str = ""
    edition: str = ""
    where: str = ""
    instrument: str = ""
    on: str = ""
    by: str = ""
    how: str = ""
    made_from: tuple[Paper, ...] = ()
    materials: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class WhyLine:
    """One step of the chain: so many pieces of a component, what each weighs and why.

    Parameters
    ----------
    depth : int
        0 for the component asked about.
    pieces : Number
        In the line above it.
    known, complete : bool
        Not known: no mass at all. Not complete: "at least".
    basis : str
        sum of parts, statement, whole, litres, or nobody knows.
    paper : Paper or None
        The figure handed upward, where it is one that was recorded.
    says : str
        How a fluid's mass comes about.
    beside : tuple of Paper
        Other recorded figures of it, not used in the sum.
    told_above : bool
        Stands above already with all that is in it.
    """

    depth: int
    id: str
    name: str
    pieces: Number
    known: bool
    complete: bool
    best: Number
    low: Number
    high: Number
    basis: str
    paper: Paper | None = None
    says: str = ""
    beside: tuple[Paper, ...] = ()
    told_above: bool = False


@dataclass(frozen=True, slots=True)
class WhyShare:
    """A figure that the headline is made of, with how many pieces of it in all."""

    id: str
    name: str
    pieces: Number
    best: Number
    low: Number
    high: Number
    basis: str
    statement: str
    source: str


@dataclass(frozen=True, slots=True)
class WhyAnswer:
    """Where the figure of one component comes from."""

    id: str
    name: str
    state: str
    build: tuple[ParameterValue, ...]
    figure: StateFigure
    lines: tuple[WhyLine, ...]
    shares: tuple[WhyShare, ...]
    jobs: tuple[OpenJob, ...] = ()


@dataclass(frozen=True, slots=True)
class CauseFigure:
    """One single thing that would explain a disagreement.

    Parameters
    ----------
    kind : str
        left out, counted twice, count, unit, factor, digits, tare, packing, fluid or boundary.
    size : Number
        By how much it moves the two toward each other. [kg]
    """

    kind: str
    about: str
    about_name: str
    says: str
    size: Number


@dataclass(frozen=True, slots=True)
class Explained:
    """A stated figure that disagrees with its parts, and everything single that would explain it.

    Parameters
    ----------
    sentence_kg, sentence_lb : str
        At most 30 words; kg or lb first.
    pairs : int
        How many pairs of part lines would fit by chance.
    place : str
        File and line of the stated figure; empty for records out of a database.
    lacking : (Number, Number), optional
        Where the parts are too light: what would have to be missing in their list. [kg]
    """

    statement: str
    printed: str
    source: str
    source_name: str
    state: str
    gap_low: Number
    gap_high: Number
    sentence_kg: str
    sentence_lb: str
    causes: tuple[CauseFigure, ...]
    pairs: int
    place: str = ""
    lacking: tuple[Number, Number] | None = None

    def sentence(self, first: str = "kg") -> str:
        """The first sentence with one unit in front."""
        return self.sentence_lb if first == "lb" else self.sentence_kg


@dataclass(frozen=True, slots=True)
class Conflict:
    """Two figures for one thing that do not touch.

    Parameters
    ----------
    one, other : str
        As printed, with the source; the lighter first.
    gap : Number
        Between the two. [kg]
    causes : tuple of (kind, what would explain it)
    """

    one_id: str
    other_id: str
    one: str
    other: str
    state: str
    gap: Number
    causes: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class CombinedFigure:
    """Independent weighings of one question put together: their mean, and what all of them allow. [kg]

    Parameters
    ----------
    of : tuple of str
        Each by print and source.
    best, u : float
        The mean with the least variance, and its standard uncertainty.
    low, high : Number
        Worst case.
    """

    of: tuple[str, ...]
    state: str
    best: float
    u: float
    low: Number
    high: Number


@dataclass(frozen=True, slots=True)
class ChoiceFigure:
    """A recorded decision which figure is used, or that the question stays open.

    Parameters
    ----------
    settled : bool
    statement, printed : str
        The figure chosen; empty for an open one.
    owner, settle_by : str
        Of an open one.
    """

    id: str
    settled: bool
    statement: str
    printed: str
    state: str
    by: str
    on: str
    reason: str
    owner: str = ""
    settle_by: str = ""


@dataclass(frozen=True, slots=True)
class ExplainAnswer:
    """Where figures of one component disagree, and what single thing would explain it."""

    id: str
    name: str
    figures: int
    explained: tuple[Explained, ...]
    conflicts: tuple[Conflict, ...]
    not_compared: tuple[tuple[str, str], ...]
    choices: tuple[ChoiceFigure, ...] = ()
    combined: tuple[CombinedFigure, ...] = ()
    jobs: tuple[OpenJob, ...] = ()


@dataclass(frozen=True, slots=True)
class InferredFigure:
    """What a part that nobody weighed must weigh, from a weighed whole: never used to check that whole.

    Parameters
    ----------
    whole, whole_printed, whole_source : str
        The figure it was worked out from.
    pieces : Number
        How many of them share what was left.
    too_light : bool
        What is left is less than nothing: figures contradict one another.
    """

    id: str
    name: str
    best: Number
    low: Number
    high: Number
    state: str
    whole: str
    whole_printed: str
    whole_source: str
    whole_of: str
    whole_of_name: str
    pieces: Number
    too_light: bool = False


@dataclass(frozen=True, slots=True)
class BoundFigure:
    """What all figures together allow one component to weigh.

    Parameters
    ----------
    low : float
        [kg]
    high : float or None
        None where there is no upper limit. [kg]
    own, parts, around : limits or None
        What its own figures, its parts and a whole around it allow; a high of None is no upper limit. [kg]
    inferred : bool
        Only a whole around it gives an upper limit.
    contradicts : tuple of tuple of str
        What cannot all be true.
    """

    id: str
    name: str
    build: str
    low: float
    high: float | None
    own: tuple[float, float | None] | None
    parts: tuple[float, float | None] | None
    around: tuple[float, float | None] | None
    inferred: bool
    contradicts: tuple[tuple[str, ...], ...] = ()


@dataclass(frozen=True, slots=True)
class UnusedFigure:
    """A recorded figure that takes no part, and why; `printed` with its source, where that is at hand."""

    id: str
    component: str
    name: str
    because: str
    printed: str = ""
    place: str = ""


@dataclass(frozen=True, slots=True)
class BoundsAnswer:
    """What all figures of a collection allow together.

    Parameters
    ----------
    about, name : str
        The component asked about; empty for everything.
    exact : bool
        The narrowest possible; otherwise outer bounds.
    bounds : tuple of BoundFigure
        The component and everything below it; or, for everything, what is inferred or contradicts.
    nodes, figures : int
        How many masses and how many figures were put together.
    serial : int or None
        The unit at hand, where one was named.
    """

    about: str
    name: str
    state: str
    exact: bool
    bounds: tuple[BoundFigure, ...]
    inferred: tuple[InferredFigure, ...]
    unused: tuple[UnusedFigure, ...]
    nodes: int
    figures: int
    serial: int | None = None
    jobs: tuple[OpenJob, ...] = ()


@dataclass(frozen=True, slots=True)
class AdjustedFigure:
    """One figure, what the others say it should be, and how far that is.

    Parameters
    ----------
    normalised : float or None
        The gap over its standard uncertainty; None where nothing checks the figure.
    place : str
        File and line; empty for records out of a database.
    """

    id: str
    component: str
    name: str
    says: str
    read: float
    adjusted: float
    adjustment: float
    others: float | None
    others_u: float | None
    normalised: float | None
    beyond: bool
    place: str = ""

    @property
    def named(self) -> str:
        """By piece, print and source, and the place where it stands."""
        return f"{self.says} ({self.place})" if self.place else self.says


@dataclass(frozen=True, slots=True)
class ReconcileAnswer:
    """All figures adjusted together, and which is likely to be wrong. A proposal; nothing is changed.

    Parameters
    ----------
    suspects : tuple of ids
    figures : tuple of AdjustedFigure
        Those that something checks, the furthest out first; then the others.
    best, u : float or None
        The adjusted mass of the component asked about. [kg]
    causes : tuple of tuple of AdjustedFigure
        Where several are wrong: of each group one, and nothing here tells which.
    """

    about: str
    name: str
    state: str
    significance: float
    statistic: float
    freedom: int
    limit: float
    each_limit: float
    beyond: bool
    suspects: tuple[str, ...]
    figures: tuple[AdjustedFigure, ...]
    unused: tuple[UnusedFigure, ...]
    best: float | None = None
    u: float | None = None
    causes: tuple[tuple[AdjustedFigure, ...], ...] = ()
    jobs: tuple[OpenJob, ...] = ()


@dataclass(frozen=True, slots=True)
class DoubtfulFigure:
    """A recorded figure that becomes doubtful.

    Parameters
    ----------
    how : str
        ``read from it``, or how it was made from the figure before it.
    by_way_of : str
        That figure's id; empty for one read at the source.
    in_force : bool
        False for a figure that another one replaces.
    """

    id: str
    component: str
    name: str
    printed: str
    steps: int
    how: str
    by_way_of: str
    in_force: bool


@dataclass(frozen=True, slots=True)
class DoubtfulComponent:
    """A component whose figure rests on it: by itself at 0 steps, else by way of a part."""

    id: str
    name: str
    steps: int
    by_way_of: str


@dataclass(frozen=True, slots=True)
class DoubtAnswer:
    """What becomes doubtful if one source, scale or density was off."""

    source: str
    name: str
    kind: str
    figures: tuple[DoubtfulFigure, ...]
    components: tuple[DoubtfulComponent, ...]


@dataclass(frozen=True, slots=True)
class Selector:
    """A parameter that can be set, for links and a form.

    Parameters
    ----------
    now : str
        Its value in the build shown.
    choices : tuple of str
        Empty where it has a range.
    range : str
        ``from 4 to 12 in steps of 1``; empty where it has choices.
    """

    name: str
    unit: str
    meaning: str
    now: str
    choices: tuple[str, ...]
    range: str


@dataclass(frozen=True, slots=True)
class BuildChoice:
    """A named build: what it sets, and for which serial numbers."""

    name: str
    sets: str
    serials: str


@dataclass(frozen=True, slots=True)
class PageNumbers:
    """What the page of a component says about its numbers beyond the look-up.

    Parameters
    ----------
    bound, bound_state : BoundFigure or None, str
        What all figures together allow it, in the first state that has an upper limit.
    told : tuple of str
        What was not worked out here, and why.
    """

    builds: tuple[BuildChoice, ...] = ()
    selectors: tuple[Selector, ...] = ()
    sweeps: tuple[SweepAnswer, ...] = ()
    explained: tuple[Explained, ...] = ()
    conflicts: tuple[Conflict, ...] = ()
    choices: tuple[ChoiceFigure, ...] = ()
    inferred: tuple[InferredFigure, ...] = ()
    bound: BoundFigure | None = None
    bound_state: str = ""
    told: tuple[str, ...] = ()
