"""Plain answers about lifts, turns and readings: what terminal, page and lift sheet print.

No pydantic, no SQL. Masses in kilograms, lengths in metres, angles in degrees, forces in newtons: as floats,
since every one of them comes out of a calculation of forces.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from handling_db.quantities.amount import Amount
from handling_db.quantities.notice import Notice
from handling_db.records.open_job import OpenJob
from handling_db.rigging.hook import Limit
from handling_db.rigging.leg_rules import RuleOfThumb

Vector = tuple[float, float, float]

PRACTICE = "common practice, no source"
TRIAL = "Purdue University, PRIME Lab, Rig-110, Center of Gravity / Load Stability, page text"

CAUTIONS = (
    "Figures, not permission. Data plates, tags and local rules come first; "
    "a competent person plans the lift.",
    f"Static figures: swing, snatch, bumps and moving oil come on top. [{PRACTICE}]",
    f"What still holds is a force, not a mass: it is in none of these figures. [{PRACTICE}]",
    f"Nobody under or inside the load, no hand in a joint while the hook carries. [{PRACTICE}]",
    "Lift a little first, 50 to 100 mm, and look; not level: set down and shorten a leg. "
    f"[{TRIAL}: a couple of inches]",
)


@dataclass(frozen=True, slots=True)
class Piece:
    """One occurrence, IN or NOT IN the lift group.

    Parameters
    ----------
    way : tuple of str
        Component ids from the root.
    pieces : float
        How many of it are on this side.
    load : Amount or None
        Their mass together, without any fluid; None where nobody weighed it. [kg]
    why : str
        Why it is on this side: taken, left, off already, tie of the joint, fluid.
    assumed : str
        The range somebody gave for a part without a mass; empty where none was used.
    source : str
        What the figure rests on.
    fluid : bool
        A fluid is never a piece of a lift group: what is trapped is stated by itself.
    """

    way: tuple[str, ...]
    id: str
    name: str
    pieces: float
    load: Amount | None
    why: str
    assumed: str = ""
    source: str = ""
    fluid: bool = False


@dataclass(frozen=True, slots=True)
class MassLine:
    """What weighs besides the pieces: fluid, packing, pallet, gear; None where nobody knows. [kg]"""

    kind: str
    name: str
    load: Amount | None


@dataclass(frozen=True, slots=True)
class CentreFigure:
    """Centre of gravity of the load (pieces, trapped fluid, packing), with its patch.

    Parameters
    ----------
    at, low, high : Vector
        In the root's own frame. [m]
    room, room_low, room_high : Vector
        The same in the attitude: z up. [m]
    """

    at: Vector
    low: Vector
    high: Vector
    room: Vector
    room_low: Vector
    room_high: Vector
    says: tuple[Notice, ...] = ()


@dataclass(frozen=True, slots=True)
class ReadingFigure:
    """What the hook should read: best and worst, the cell's error apart. [kg]

    Above `look_again_kg` and below `look_again_below_kg` something is not as listed; None where none can be
    named.
    """

    expected: Amount | None
    zeroed: str  # with the gear on: yes, no, or empty where nobody said
    gear_below: Amount | None  # what a cell zeroed with the gear on shows less
    look_again_kg: float | None
    look_again_below_kg: float | None
    cell: str
    stops: tuple[Limit, ...]
    not_known: tuple[Notice, ...]


@dataclass(frozen=True, slots=True)
class RatingFigure:
    """One row of the line from the hook down: what it carries, what it is asked, what it is rated. [kg]

    Parameters
    ----------
    demand_kg : float or None
        The most it is asked; the known part of it where `at_least`.
    rating_kg : float or None
        In this direction; None where there is none, `basis` then says why.
    basis : Notice
        What the rating rests on, or why there is none.
    says : tuple of Notice
    struck : Notice or None
        Why the rating is shown struck and not used.
    at_least : bool
        Something that it carries has no mass.
    over : bool or None
        Whether it is asked more than it is rated; None where that cannot be told.
    not_compared : Notice or None
        Why it is not compared; None where it is.
    part : float
        Its pull per kg of the piece: 1 in line, tension over load in a leg.
    gear_below : Amount or None
        Gear that it carries besides the piece.
    gear_perhaps : bool
        Some of that only perhaps hangs below it: what it hangs from is not recorded.
    at_kg : float or None
        The reading of an exact cell at which its rating is reached.
    sees : str
        Which load the rating sees.
    own : Amount or None
        Its own mass, in the first row of each piece of gear.
    weighed : bool
        Whether that is known; True too where a row has no mass of its own.
    above_cell : bool
        On the hoist and in no reading.
    cautions : tuple of Notice
        What the rating holds under.
    depth : int
        How far down from the hook.
    points : tuple of str
        Pick points of its legs.
    kind : str
        hoist, gear, leg, point or path.
    what : str
        Its name without the place: alike for rings of one kind at several points.
    """

    name: str
    demand_kg: float | None
    rating_kg: float | None
    basis: Notice
    says: tuple[Notice, ...] = ()
    struck: Notice | None = None
    at_least: bool = False
    over: bool | None = None
    not_compared: Notice | None = None
    part: float = 1.0
    gear_below: Amount | None = None
    gear_perhaps: bool = False
    at_kg: float | None = None
    sees: str = ""
    own: Amount | None = None
    weighed: bool = True
    above_cell: bool = False
    cautions: tuple[Notice, ...] = ()
    depth: int = 0
    points: tuple[str, ...] = ()
    kind: str = "gear"
    what: str = ""


@dataclass(frozen=True, slots=True)
class LegFigure:
    """One leg of the table.

    Parameters
    ----------
    share, share_low, share_high : float or None
        Vertical part of the load where it comes to rest: with the best figures, and over their doubt. None
        for the first where more legs are tight than statics can share out.
    from_horizontal : float
        [deg]
    tension_kg, tension_high_kg : float or None
        As a cell in the leg would show it: with the best figures, and at most over masses, places and
        lengths together. [kg]
    level_share : float or None
        Held level by statics with every leg kept; negative where the leg would have to push.
    spread_m : float
        How far its length may be off. [m]
    stiff_share : float or None
        Of more than three legs of one sling: the share if all are as long as they should be and stretch
        alike.
    taken : bool
        Nobody recorded its length; the figures are the worst of several.
    """

    point: str
    name: str
    length_m: float
    share: float | None
    share_low: float | None
    share_high: float | None
    from_horizontal: float
    tension_kg: float | None
    tension_high_kg: float | None
    slack: bool
    blocked: str
    links: tuple[RatingFigure, ...]
    level_share: float | None = None
    spread_m: float = 0.0
    stiff_share: float | None = None
    taken: bool = False


@dataclass(frozen=True, slots=True)
class RestFigure:
    """The pose in which it comes to rest with the legs as they are.

    Parameters
    ----------
    tilt : float
        From the attitude asked about. [deg]
    low_side : Vector or None
        Level direction in the root's frame that ends up low.
    low_words : str
        The same in the words of the datum.
    shares : tuple of (point, low, high)
        Vertical parts of the load.
    turn : Matrix
        From the attitude, z up, to the pose.
    """

    tilt: float
    low_side: Vector | None
    low_words: str
    slack: tuple[str, ...]
    shares: tuple[tuple[str, float, float], ...]
    turn: tuple[Vector, Vector, Vector]


NO_MARGIN = 1e-3  # no place on a machine is known better [m]


@dataclass(frozen=True, slots=True)
class StabilityFigure:
    """Whether it stays the right way up while it hangs.

    Parameters
    ----------
    carrying : tuple of str
        Points whose legs carry.
    margin_m, margin_least_m : float
        With the best figures and the least over their doubt: height of the carrying point or line of points
        over the centre; on three and more legs the larger of that height, once a leg slackens, and the shift
        until one does. Nothing or less: it turns over. [m]
    height_m, height_least_m : float
        Of the point or line that carries, or carries once the first leg slackens, over the centre. [m]
    shift_m, shift_deg : float or None
        Smallest sideways shift of the centre, and tilt, at which a leg slackens; None for one or two legs.
    then_carry : tuple of str
        Points that carry once it has.
    tilt, tilt_most : float
        From the attitude asked about, with the best figures and at most. [deg]
    tilt_allowed : float
        Above it the tilt is announced: the shop's figure, or 5 degrees. [deg]
    """

    carrying: tuple[str, ...]
    margin_m: float
    margin_least_m: float
    height_m: float
    height_least_m: float
    shift_m: float | None
    shift_deg: float | None
    then_carry: tuple[str, ...]
    tilt: float
    tilt_most: float
    tilt_allowed: float

    @property
    def turns_over(self) -> bool:
        """With the best figures it turns over."""
        return self.margin_m <= 0.0 or self.tilt > 90.0

    @property
    def may_turn_over(self) -> bool:
        """Within the doubt it may turn over; a height that is printed as 0 mm is none.

        On three legs and more the shift until one slackens may be next to nothing: then the load settles on
        the other one.
        """
        none = NO_MARGIN if self.shift_m is None else 0.0
        return self.margin_least_m <= 0.0 or self.margin_least_m < none or self.tilt_most > 90.0


@dataclass(frozen=True, slots=True)
class LegsFigure:
    """What the legs carry, in the pose that is meant and in the one it comes to rest in."""

    legs: tuple[LegFigure, ...]
    hook_over_points_m: float
    balanced: bool
    slack: tuple[str, ...]
    may_go_slack: tuple[str, ...]
    rest: RestFigure | None
    rules: tuple[RuleOfThumb, ...]
    says: tuple[Notice, ...]
    stability: StabilityFigure | None = None
    notices: tuple[Notice, ...] = ()

    @property
    def lengths_known(self) -> bool:
        """Whether the length of every leg is recorded or was asked for: only then the hook has a place."""
        return not any(leg.taken for leg in self.legs)


@dataclass(frozen=True, slots=True)
class PathFigure:
    """What a pick point's load is carried through; `rating_kg` None where there is none. [kg]"""

    what: str
    component: str
    count: str
    rating_kg: float | None
    rating_words: str


@dataclass(frozen=True, slots=True)
class PointFigure:
    """A pick point of a piece in the group, used or not.

    Parameters
    ----------
    rated : tuple of (up to, kg)
        Angle between pull and the point's direction, and the rating up to it. [deg, kg]
    rated_words, through_words, blocked_words : str
        Three-valued, in words.
    proposed : bool
        Only a point with a rating that nothing blocks is ever proposed.
    blocked_brief : str
        yes / no, says ... / once ... is off / nobody looked: what the leg table shows.
    through_looked : bool
        Whether anybody stated what the load is carried through.
    size_m : float or None
        Of its thread, as far as that can be read. [m]
    """

    id: str
    name: str
    component: str
    at: Vector | None
    direction: Vector | None
    thread: str
    engagement_m: float | None
    seat: str
    rated: tuple[tuple[float, float], ...]
    rated_words: str
    through: tuple[PathFigure, ...]
    through_words: str
    blocked_words: str
    blocked: bool
    used: bool
    proposed: bool
    remark: str = ""
    blocked_brief: str = "nobody looked"
    through_looked: bool = True
    size_m: float | None = None


@dataclass(frozen=True, slots=True)
class TieFigure:
    """One thing that holds, or may hold.

    Parameters
    ----------
    state : str
        to come out / still in / out / none, checked by ... / nobody looked / temporary, still in.
    open : bool
        Whether it has to be ticked before the hook takes the load; "nobody looked" is open.
    out : bool
        Somebody wrote down that all of it came out. Neither open nor out: known to be none.
    """

    joint: str
    id: str
    what: str
    kind: str
    count: str
    state: str
    open: bool
    nobody_looked: bool
    temporary: bool = False
    out: bool = False
    size: str = ""
    head: str = ""
    tool: str = ""
    side: str = ""
    hidden: str = "nobody looked"
    under: str = ""
    listed_in: tuple[str, ...] = ()
    after: tuple[str, ...] = ()
    travel_m: float | None = None
    carries_in_turn: str = "nobody looked"
    sticks: str = ""
    holds_up_to_kg: float | None = None
    out_by: str = ""
    by: str = ""
    on: str = ""
    remark: str = ""


@dataclass(frozen=True, slots=True)
class JointFigure:
    """A joint with its ties, temporary ones of the job included."""

    id: str
    name: str
    between: tuple[str, str]
    ties: tuple[TieFigure, ...]
    all_listed: str
    parting_aids: tuple[str, ...]
    parting_words: str
    says: tuple[Notice, ...]
    remark: str = ""


@dataclass(frozen=True, slots=True)
class NoteFigure:
    """A note that touches the lift: what it is about, its kind, its standing and its text."""

    id: str
    kind: str
    about: str
    text: str
    status: str
    by: str
    on: str
    why: str
    stale: bool


@dataclass(frozen=True, slots=True)
class JointAnswer:
    """What still holds one joint: what stands first, the ties, units in hand, notes that touch it."""

    first: tuple[Notice, ...]
    joint: JointFigure
    jobs: tuple[OpenJob, ...]
    notes: tuple[NoteFigure, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class BreakingFigure:
    """What happens when the last tie lets go, and what the hook should hold before that.

    Parameters
    ----------
    off_m, off_high_m : float or None
        Level distance of the hook from plumb over the centre while it is still held, best and over the
        doubt of the centre; None where no places or lengths are recorded. [m]
    towards : str
        Direction of the swing in the words of the whole; empty where there is none.
    tilt : float or None
        By how much it turns until it hangs still. [deg]
    joint_way_m : tuple of (joint id, float)
        Level way of the middle of each parted joint's face. [m]
    hold_low_kg, hold_high_kg : float or None
        What the hook should hold, steady, before the last tie comes out. [kg]
    """

    off_m: float | None
    off_high_m: float | None
    towards: str
    tilt: float | None
    joint_way_m: tuple[tuple[str, float], ...]
    hold_low_kg: float | None
    hold_high_kg: float | None
    no_figures: Notice | None = None


@dataclass(frozen=True, slots=True)
class HeadroomFigure:
    """Room between the hook at its highest and everything stacked below it. [m]"""

    left_m: float | None
    stack: tuple[tuple[str, float | None], ...]
    says: tuple[Notice, ...]


@dataclass(frozen=True, slots=True)
class MoverFigure:
    """The hoist or crane: everything on it beside its rating, as figures. [kg]

    Parameters
    ----------
    dynamic_factor : float, optional
        Published factor that somebody chose: `part` has it in, `gross` has not.
    """

    id: str
    name: str
    rating_kg: float | None
    rating_words: Notice
    gross: Amount | None
    part: float | None
    planning_part: float | None
    over_planning: bool | None
    over_rating: bool | None
    says: tuple[Notice, ...]
    dynamic_factor: float | None = None


@dataclass(frozen=True, slots=True)
class SuddenFigure:
    """What the cell may show when something lets go. [kg]"""

    case: str
    highest_kg: float | None
    lowest_kg: float | None
    goes_slack: bool
    says: Notice


@dataclass(frozen=True, slots=True)
class EdgeFigure:
    """One direction in which it may tip on its face: base left to the edge [m] and tilt [deg]."""

    towards: str
    base_m: float
    tips_at: float
    body: str = ""


@dataclass(frozen=True, slots=True)
class SetDownFigure:
    """Where it goes: on what, which face, and what it takes to tip there.

    Parameters
    ----------
    outside_m : float or None
        How far outside the face the centre is, or may be; None where it stands, or nothing can be said. [m]
    surely : bool
        Whether it is outside for certain, not only within its doubt.
    not_known : Notice or None
        Why nothing can be said about standing; None where something can.
    """

    on: str
    face: str
    may_rest: str
    centre_height_m: float | None
    weakest: EdgeFigure | None
    must_not: tuple[str, ...]
    says: tuple[Notice, ...]
    outside_m: float | None = None
    surely: bool = False
    not_known: Notice | None = None


@dataclass(frozen=True, slots=True)
class LandingFigure:
    """What the landing place is rated for beside what it gets. [kg]

    Parameters
    ----------
    place : str
    rating_kg : float or None
    rating_words : str
        Who says so; or none, or nobody looked.
    load_kg : float or None
        The heaviest believable load with everything on it.
    """

    place: str
    rating_kg: float | None
    rating_words: str
    load_kg: float | None


@dataclass(frozen=True, slots=True)
class NamedThing:
    """An id and a name."""

    id: str
    name: str


@dataclass(frozen=True, slots=True)
class OpenRange:
    """One thing that nobody weighed or stated.

    Parameters
    ----------
    id : str
        What a range is given for: a component, or ``fluid``, ``packing``, ``gear``.
    name : str
    low, high : float or None
        What counts here; None where nothing bounds it. [kg]
    given : bool
        Somebody gave it for this question.
    """

    id: str
    name: str
    low: float | None
    high: float | None
    given: bool = False


@dataclass(frozen=True, slots=True)
class LiftAnswer:
    """Everything about one lift: what a sheet prints, in the one order of `Rank`.

    Parameters
    ----------
    first : tuple of Notice
        What stands first, ordered, with the reasons below; never a permission.
    group : Amount or None
        Pieces only, without fluid. [kg]
    lift : Amount or None
        What the legs carry: pieces, trapped fluid and packing. [kg]
    weigh : tuple of NamedThing
        Parts without a mass in the group: weigh while it hangs.
    ranges : tuple of OpenRange
        What whoever asks may give a range for.
    jobs : tuple of OpenJob
        Units in hand with temporary ties in, applied or not.
    edges, tag_lines
        As recorded; the words beside say none, by whom, or nobody looked.
    kinds_of_source : tuple of str
        One for each figure that counts: weighed, supplier's list, from shape.
    """

    id: str
    name: str
    root: str
    root_name: str
    build: tuple[tuple[str, str, bool], ...]
    job: str
    serial: str
    shop: str
    as_of: str
    first: tuple[Notice, ...]
    inside: tuple[Piece, ...]
    outside: tuple[Piece, ...]
    group: Amount | None
    lift: Amount | None
    missing: tuple[str, ...]
    additions: tuple[MassLine, ...]
    attitude: str
    attitude_name: str
    up: Vector
    frame: str
    centre: CentreFigure | None
    no_centre: str
    reading: ReadingFigure
    legs: LegsFigure | None
    no_legs: str
    points: tuple[PointFigure, ...]
    ratings: tuple[RatingFigure, ...]
    joints: tuple[JointFigure, ...]
    headroom: HeadroomFigure
    mover: MoverFigure | None
    sudden: tuple[SuddenFigure, ...]
    set_down: SetDownFigure
    landing: LandingFigure
    breaking: BreakingFigure
    jobs: tuple[OpenJob, ...]
    notes: tuple[NoteFigure, ...]
    edges: tuple[Notice, ...]
    edges_words: str
    tag_lines: tuple[str, ...]
    tag_lines_words: str
    weigh: tuple[NamedThing, ...]
    other_half: Amount | None
    other_half_name: str
    stop_and_ask: tuple[str, ...]
    cautions: tuple[str, ...]
    sources: tuple[str, ...] = ()
    kinds_of_source: tuple[str, ...] = ()
    remark: str = ""
    picks_room: tuple[tuple[str, Vector], ...] = field(default=())
    hook_room: Vector | None = None
    ranges: tuple[OpenRange, ...] = ()

    @property
    def open_ties(self) -> tuple[TieFigure, ...]:
        """Everything that still holds or may hold, over all joints."""
        return tuple(tie for joint in self.joints for tie in joint.ties if tie.open)


@dataclass(frozen=True, slots=True)
class ReadingAnswer:
    """A reading seen at the hook beside the expected one.

    Parameters
    ----------
    excess_low_kg, excess_high_kg : float or None
        By how much it is over, cell error counted; negative: under. [kg]
    ties : tuple of (TieFigure, None or kg)
        What could explain it, the most first.
    """

    lift: LiftAnswer
    seen_kg: float
    excess_low_kg: float | None
    excess_high_kg: float | None
    ties: tuple[TieFigure, ...]
    parts: tuple[Notice, ...]
    says: tuple[Notice, ...]
    cautions: tuple[str, ...]
