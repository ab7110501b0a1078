"""Plain answers about moving and setting down: what terminal, page, move card and crate tag print.

No pydantic, no SQL. Masses in kilograms, lengths in metres, angles in degrees. None is always "not known",
never nothing.
"""

from __future__ import annotations

from dataclasses import dataclass

from handling_db.carrying.axles import AxleLoads
from handling_db.carrying.demand import RatingBeside
from handling_db.carrying.floor import FootFigure
from handling_db.carrying.fork_entry import EntryFigure
from handling_db.carrying.marks import Mark
from handling_db.carrying.way import Passage
from handling_db.lifting.figures import MassLine, OpenRange
from handling_db.quantities.amount import Amount
from handling_db.quantities.notice import Notice
from handling_db.records.open_job import OpenJob

Flat = tuple[float, float]
Solid = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class PlanCentre:
    """Centre of gravity seen from above, from the middle of the pallet or face, and over the deck. [m]

    Parameters
    ----------
    x_words, y_words : (low end, high end)
        Where the two ends of an axis are on the piece as it is installed: left, right.
    """

    at: Solid
    low: Solid
    high: Solid
    x_words: tuple[str, str]
    y_words: tuple[str, str]


@dataclass(frozen=True, slots=True)
class TruckFigure:
    """One truck, forks alone or with an attachment, from one side.

    Parameters
    ----------
    side : str
        Entry side; empty where the centre of gravity is not known or a jib carries it.
    look_up_m : float or None
        The load centre to look up on the data plate. [m]
    beside : tuple of RatingBeside
        A plate row; or, where no row is recorded, figures by moment, the lower first.
    moments : tuple of (rule, kg)
        Figures by moment for bare forks, the lower first.
    axles : AxleLoads or None
        What its axles carry with this load; None where its mass, wheelbase or centre is not recorded.
    """

    id: str
    name: str
    kind: str
    attachment: str = ""
    side: str = ""
    look_up_m: float | None = None
    beside: tuple[RatingBeside, ...] = ()
    moments: tuple[tuple[str, float], ...] = ()
    says: tuple[Notice, ...] = ()
    inspection: str = ""
    axles: AxleLoads | None = None


@dataclass(frozen=True, slots=True)
class StandEdge:
    """One edge of what it stands on: distance to it and the tilt at which it goes over. [m, deg]"""

    towards: str
    start: Flat
    end: Flat
    base_m: float
    best_base_m: float
    tips_at: float
    best_tips_at: float


@dataclass(frozen=True, slots=True)
class PushFigure:
    """A level push on what stands there: what it does first, over its weakest edge. [m, kg]

    Parameters
    ----------
    first : str
        ``tips``, ``slides``, ``may do either`` or ``friction not recorded``.
    tips_kg : float
        Least push that starts to tip it, as a pull cell shows it.
    slides_kg : (lowest, highest) or None
        Push that slides it; None where no friction is recorded.
    tips_first_above : float
        Friction coefficient above which it tips first.
    """

    height_m: float
    first: str
    tips_kg: float
    slides_kg: tuple[float, float | None] | None
    tips_first_above: float


@dataclass(frozen=True, slots=True)
class StandFigure:
    """Standing on a face: how high the centre is and how far to every edge.

    Parameters
    ----------
    what : str
        The piece on its face, or all of it as one body on the pallet.
    edges : tuple of StandEdge
        Around the outline; for a round face only the nearest directions are told apart.
    no_figures : Notice or None
        Why there are none; None where there are.
    """

    what: str
    face: str
    face_name: str
    may_rest: str
    on: str
    outline: tuple[Flat, ...]
    round: bool
    height_m: float | None
    height_high_m: float | None
    slope: float
    weakest: StandEdge | None
    edges: tuple[StandEdge, ...]
    no_figures: Notice | None
    says: tuple[Notice, ...]
    push: PushFigure | None = None


@dataclass(frozen=True, slots=True)
class FloorFigure:
    """One floor, lift, shelf or scale: load per area, and limits as they are stated."""

    id: str
    name: str
    limit: str
    stated_by: str
    kg_per_m2: float | None
    kn_per_m2: float | None
    lb_per_ft2: float | None
    at_least: bool
    beside: tuple[RatingBeside, ...]
    says: tuple[Notice, ...]


@dataclass(frozen=True, slots=True)
class PalletFigure:
    """A pallet beside what stands on it."""

    id: str
    name: str
    spread: str
    used: str
    beside: RatingBeside
    source: str
    fork_entry: tuple[str, ...]
    deck: str
    tie_down: str
    stacking: Notice
    says: tuple[Notice, ...]


@dataclass(frozen=True, slots=True)
class WayFigure:
    """One route of a shop."""

    id: str
    name: str
    slope: float | None
    turning_room: str
    straight: str
    turned: str
    passages: tuple[Passage, ...]
    narrowest: tuple[str, float] | None
    lowest: tuple[str, float] | None
    says: tuple[Notice, ...]


@dataclass(frozen=True, slots=True)
class TransportTieFigure:
    """What holds for the journey, how many, and by when it has to be out."""

    what: str
    count: str
    out_by: str
    by: str = ""


@dataclass(frozen=True, slots=True)
class DockLine:
    """One figure of the paper beside a scale: word, and by how much they lie apart. [kg]"""

    name: str
    load: Amount
    word: str
    apart_low_kg: float | None
    apart_high_kg: float | None
    says: Notice | None  # which is heavier, or what the missing would have to weigh


@dataclass(frozen=True, slots=True)
class DockFigure:
    """What a scale showed, beside the gross and the net figure, and what to ask when they lie apart. [kg]"""

    seen_low_kg: float
    seen_high_kg: float
    lines: tuple[DockLine, ...]
    ask: tuple[Notice, ...]
    says: Notice


@dataclass(frozen=True, slots=True)
class MoveAnswer:
    """Everything about setting down and moving one piece; what is not known comes first.

    Parameters
    ----------
    ranges : tuple of OpenRange
        What whoever asks may give a range for.
    id, kind : str
        Of what was asked about: a lift group or a component.
    root : str
        Component whose page the code on the tag leads to.
    state_words : str
        What fluid is in it, in words.
    lines : tuple of MassLine
        What the gross is made of.
    net, gross : Amount or None
        Piece with its fluid; everything on the forks. `high` None means "at least". [kg]
    known_highs : (gross, net)
        The highest that what is known can weigh together; not of the whole while something is missing. [kg]
    not_known : tuple of Notice
        Every gap, one a line.
    size : (length, width, height)
        Of what travels, as recorded; None where it is not. [m]
    jobs : tuple of OpenJob
        Units in hand with temporary ties in that may be this one.
    """

    id: str
    kind: str
    name: str
    root: str
    root_name: str
    serial: str
    job: str
    build: tuple[tuple[str, str, bool], ...]
    state_words: str
    first: Notice
    not_known: tuple[Notice, ...]
    lines: tuple[MassLine, ...]
    net: Amount | None
    packing_mass: Amount | None
    gross: Amount | None
    known_highs: tuple[float, float]
    gross_words: str
    missing: tuple[str, ...]
    weighed: str
    assumed: tuple[str, ...]
    packing: str
    packing_name: str
    shop: str
    shop_name: str
    size: tuple[float | None, float | None, float | None]
    footprint: Flat | None
    centre: PlanCentre | None
    no_centre: str
    centre_height_m: float | None
    entries: tuple[EntryFigure, ...]
    trucks: tuple[TruckFigure, ...]
    standing: tuple[StandFigure, ...]
    must_not: tuple[str, ...]
    feet: tuple[FootFigure, ...]
    feet_words: tuple[Notice, ...]
    floors: tuple[FloorFigure, ...]
    pallet: PalletFigure | None
    ways: tuple[WayFigure, ...]
    marks: tuple[Mark, ...]
    marks_not_recorded: tuple[str, ...]
    gross_mark: tuple[Notice, ...]
    ties: tuple[TransportTieFigure, ...]
    ties_words: str
    drips: str
    tie_down: str
    contact: str
    slings_here: str
    forks: tuple[float, float] | None
    piece_outline: tuple[Flat, ...]
    cautions: tuple[Notice, ...]
    jobs: tuple[OpenJob, ...] = ()
    ranges: tuple[OpenRange, ...] = ()

    @property
    def weakest(self) -> StandEdge | None:
        """The edge it goes over first, over every way it stands here."""
        edges = [stand.weakest for stand in self.standing if stand.weakest is not None]
        return min(edges, key=lambda edge: edge.tips_at) if edges else None
