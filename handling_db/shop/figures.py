"""Plain answers about a shop, its fixtures and hands: what terminal and page print. Masses in kilograms."""

from __future__ import annotations

from dataclasses import dataclass

from handling_db.carrying.demand import RatingBeside
from handling_db.carrying.hands import HandLine
from handling_db.moving.figures import FloorFigure, TruckFigure, WayFigure
from handling_db.quantities.amount import Amount
from handling_db.quantities.notice import Notice
from handling_db.records.open_job import OpenJob


@dataclass(frozen=True, slots=True)
class DemandLine:
    """One way of stating what is asked of the hook. [kg]

    Parameters
    ----------
    load : Amount
        `high` None means "at least".
    printed : bool
        It rests on a printed figure that disagrees, or cannot be checked: shown for comparison only.
    """

    name: str
    load: Amount
    words: Notice
    printed: bool = False


@dataclass(frozen=True, slots=True)
class MoverLine:
    """A hoist, crane or jib beside every way of stating the demand."""

    id: str
    name: str
    kind: str
    rating: str
    beside: tuple[RatingBeside, ...]
    not_recorded: tuple[str, ...]
    planning: Notice
    inspection: str
    past: bool


@dataclass(frozen=True, slots=True)
class GearLine:
    """Gear that the lift uses, and what of it this shop is recorded to have."""

    wanted: str
    name: str
    kind: str
    count: str
    here: tuple[str, ...]
    words: str


@dataclass(frozen=True, slots=True)
class InsteadLine:
    """What people used in place of a fixture, where, and whether that was rated."""

    what: str
    shop: str
    outcome: str
    status: str


@dataclass(frozen=True, slots=True)
class FixtureLine:
    """A fixture that is needed, or that stands here: its rating beside the load, who has one, what was used.

    Parameters
    ----------
    standing : str
        rated; no rating recorded; seen in use, no rating.
    offered : bool
        Whether it may stand as an answer to "which fixture": only what is rated.
    papers_missing : tuple of str
        What a shop-made one lacks before its rating counts.
    needed : tuple of (component name, act)
    has : tuple of str
        Shops that have one.
    """

    id: str
    name: str
    kind: str
    standing: str
    offered: bool
    papers_missing: tuple[str, ...]
    rated: str
    beside: RatingBeside | None
    needed: tuple[tuple[str, str], ...]
    only_for: tuple[str, ...]
    fits: str
    faces: str
    overhang: str
    own_mass: str
    clearance: str
    has: tuple[str, ...]
    instead: tuple[InsteadLine, ...]
    inspection: str
    past: bool
    papers: tuple[tuple[str, str], ...]
    floor: Notice
    remark: str


@dataclass(frozen=True, slots=True)
class FixtureAnswer:
    """What fixture is needed, who has one, what did people use instead, and was that rated."""

    id: str
    name: str
    load: Amount | None
    missing: tuple[str, ...]
    needed: tuple[FixtureLine, ...]
    others: tuple[FixtureLine, ...]
    says: tuple[Notice, ...]
    cautions: tuple[Notice, ...]
    jobs: tuple[OpenJob, ...] = ()


@dataclass(frozen=True, slots=True)
class ShopAnswer:
    """Everything one shop has beside one lift and move: figures and what is missing; it decides nothing.

    Parameters
    ----------
    demands : tuple of DemandLine
        True figures first, then the same by a printed figure.
    lacks : tuple of Notice
        What is needed, or what the other shop used, and this one is not recorded to have.
    """

    id: str
    name: str
    what: str
    what_name: str
    kind: str
    first: Notice
    demands: tuple[DemandLine, ...]
    movers: tuple[MoverLine, ...]
    trucks: tuple[TruckFigure, ...]
    gear: tuple[GearLine, ...]
    fixtures: tuple[FixtureLine, ...]
    floors: tuple[FloorFigure, ...]
    ways: tuple[WayFigure, ...]
    scales: tuple[str, ...]
    lacks: tuple[Notice, ...]
    other: str
    rules: tuple[str, ...]
    who_to_call: str
    not_known: tuple[Notice, ...]
    cautions: tuple[Notice, ...]
    jobs: tuple[OpenJob, ...] = ()


@dataclass(frozen=True, slots=True)
class HandsAnswer:
    """Parts on the way beside the shop's own limit, the heaviest and the unknown first.

    Parameters
    ----------
    limit_kg : float or None
        None: the shop states none.
    """

    id: str
    name: str
    shop: str
    shop_name: str
    limit_kg: float | None
    limit: str
    rule: Notice
    rules: tuple[str, ...]
    who_to_call: str
    above: tuple[HandLine, ...]
    may_be_above: tuple[HandLine, ...]
    not_known: tuple[HandLine, ...]
    below: tuple[HandLine, ...]
    cautions: tuple[Notice, ...]
    jobs: tuple[OpenJob, ...] = ()


@dataclass(frozen=True, slots=True)
class JobFigure:
    """Several pieces lifted in one job by one person: the composite index of the revised NIOSH equation.

    Parameters
    ----------
    pieces : tuple of (name, index of its own or None)
        The hardest first.
    index : float or None
        Of all of them together; None where the tables give nothing, or a mass is not known.
    """

    pieces: tuple[tuple[str, float | None], ...]
    index: float | None
    remark: Notice


@dataclass(frozen=True, slots=True)
class IndexAnswer:
    """The revised NIOSH figure and index for one piece at one end of one lift: never "allowed".

    Parameters
    ----------
    load_kg : float or None
        Heaviest believable mass; None: not known, and there is no index.
    limit : float
        Recommended limit. [kg or lb, by units]
    job : JobFigure or None
        With other pieces in the same job; None where none were named.
    """

    id: str
    name: str
    units: str
    load_kg: float | None
    load: float | None
    limit: float
    index: float | None
    multipliers: tuple[tuple[str, float], ...]
    remark: Notice
    cautions: tuple[Notice, ...]
    job: JobFigure | None = None
