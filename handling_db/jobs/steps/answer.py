"""Plain answers about a planned job: what hangs, what stands and what holds after every step.

Masses in kilograms, lengths in metres, angles in degrees. None is "not known", never nothing.
"""

from __future__ import annotations

from dataclasses import dataclass

from handling_db.carrying.hands import HandLine
from handling_db.lifting.figures import (
    CentreFigure,
    LiftAnswer,
    NamedThing,
    NoteFigure,
    SetDownFigure,
    TieFigure,
)
from handling_db.lifting.turn.figures import TurnAnswer
from handling_db.moving.figures import MoveAnswer
from handling_db.quantities.amount import Amount
from handling_db.quantities.notice import Notice


@dataclass(frozen=True, slots=True)
class Carrier:
    """One thing that carries a body.

    Parameters
    ----------
    kind : str
        ``hook``, ``hands``, ``machine``, or what it rests on: ``floor``, ``stand``, ``pallet``, ``cribbing``,
        ``truck``, ``rack``, ``bench``, ``crate``.
    name : str
        In words: the hoist and its lift, the stand, the place.
    id : str
        Of the fixture, pallet, mover or lift group; empty where none is named.
    face, face_name : str
        The face that is down; empty where none is recorded or it hangs.
    holds_low_kg, holds_high_kg : float or None
        Of a hook while the body stands as well: what a step says it holds; None: anything from nothing to the
        whole. [kg]
    """

    kind: str
    name: str
    id: str = ""
    face: str = ""
    face_name: str = ""
    holds_low_kg: float | None = None
    holds_high_kg: float | None = None


@dataclass(frozen=True, slots=True)
class BodyFigure:
    """Pieces that still form one body after a step.

    Parameters
    ----------
    name : str
        After its heaviest pieces: ``Gear section and Differential section``.
    ways : tuple of way
        The highest occurrences that are wholly in it: component ids from the unit down; empty for the unit.
    pieces : tuple of NamedThing
        The same, as ids and names.
    kg : Amount or None
        With fluid still inside and temporary ties; `high` None: "at least"; None: nothing of it has a mass.
    missing : tuple of str
        Names of what has no mass.
    centre : CentreFigure or None
        In the frame of the unit and in the room, with its patch. [m]
    no_centre : str
        Why there is none.
    moved_m : float or None
        How far the best centre moved, in the frame of the unit, since the body that most of it was part of
        before the step; None where either is not known or it did not change. [m]
    carried_by : tuple of Carrier
        Empty: nothing carries it.
    standing : SetDownFigure or None
        How it stands, hook slack, the lesser of both ways to tip; None where it only hangs, lies in hands or
        is still in the machine.
    perhaps_standing : SetDownFigure or None
        The least edge by edge over what ties that nobody looked at may hold or not; None where none matter.
    before_deg : float or None
        Tip angle of the same before the step. [deg]
    temporary : tuple of str
        Temporary ties that alone hold it together, with what they carry; empty where others hold too.
    perhaps : tuple of str
        Ties that nobody looked at and on which it depends whether all of it is one body.
    not_gone_through : bool
        So many pieces hang on such ties that not every combination of them was looked at: how it stands
        without some of them is not known.
    """

    name: str
    ways: tuple[tuple[str, ...], ...]
    pieces: tuple[NamedThing, ...]
    kg: Amount | None
    missing: tuple[str, ...]
    centre: CentreFigure | None
    no_centre: str
    moved_m: float | None
    carried_by: tuple[Carrier, ...]
    standing: SetDownFigure | None
    perhaps_standing: SetDownFigure | None = None
    before_deg: float | None = None
    temporary: tuple[str, ...] = ()
    perhaps: tuple[str, ...] = ()
    not_gone_through: bool = False

    @property
    def tips_deg(self) -> float | None:
        """The tilt at which it goes over, the lesser of what is known; 0 where it does not stand. [deg]"""
        found = []
        for figure in (self.standing, self.perhaps_standing):
            if figure is not None and figure.outside_m is not None:
                found.append(0.0)
            elif figure is not None and figure.weakest is not None:
                found.append(figure.weakest.tips_at)
        return min(found, default=None)


@dataclass(frozen=True, slots=True)
class StepFigure:
    """One step and the state after it.

    Parameters
    ----------
    number : int
        From 1.
    id : str
        Its own id, else its number as text.
    do, what : str
        The kind of step, and what is done in words.
    bodies : tuple of BodyFigure
        Every body after the step but what lies put aside; the one that the step is about first.
    aside : tuple of NamedThing
        Pieces that are off and lie put aside, taken off in this step.
    ties_out, ties_in : tuple of TieFigure
        What comes out and what goes in, temporary ones too.
    lift : LiftAnswer or None
        The lift of this step with the ties and pieces as they are before the hook takes the load.
    turn : TurnAnswer or None
    move : MoveAnswer or None
        Of a body that a truck carries: plate, floors, doors, gradient.
    hands : tuple of HandLine
        Pieces that come free into hands and are above the shop's limit, may be, or nobody knows.
    findings, cautions : tuple of Notice
        What is wrong, and what to watch; `words.told` makes the sentence and `words.remedy` what to do.
    notes : tuple of NoteFigure
        Stored energy, pressure and spring first, as they belong to the step.
    asked : tuple of Notice
        What the step needs and nobody recorded.
    """

    number: int
    id: str
    do: str
    what: str
    bodies: tuple[BodyFigure, ...]
    aside: tuple[NamedThing, ...] = ()
    ties_out: tuple[TieFigure, ...] = ()
    ties_in: tuple[TieFigure, ...] = ()
    lift: LiftAnswer | None = None
    turn: TurnAnswer | None = None
    move: MoveAnswer | None = None
    hands: tuple[HandLine, ...] = ()
    findings: tuple[Notice, ...] = ()
    cautions: tuple[Notice, ...] = ()
    notes: tuple[NoteFigure, ...] = ()
    asked: tuple[Notice, ...] = ()

    @property
    def body(self) -> BodyFigure | None:
        """The body that the step is about."""
        return self.bodies[0] if self.bodies else None


@dataclass(frozen=True, slots=True)
class Narrowest:
    """The step after which something stands the narrowest. [deg]"""

    step: int
    body: str
    tips_deg: float
    towards: str


@dataclass(frozen=True, slots=True)
class Heaviest:
    """The heaviest lift of the chain: what the hook shows, gear below it included. [kg]"""

    step: int
    lift: str
    kg: Amount
    rated_kg: float | None
    mover: str


@dataclass(frozen=True, slots=True)
class ShopLimit:
    """A limit that the whole chain is held against, and whose it is.

    Parameters
    ----------
    kind : str
        ``hand limit`` [kg], ``least tip`` [deg] or ``break loose``, a share of the reading.
    value : float or None
        None: nobody recorded one.
    unit : str
    whose : str
        Name of the shop, or that it is common practice; empty where there is none.
    """

    kind: str
    value: float | None
    unit: str
    whose: str


@dataclass(frozen=True, slots=True)
class StepsAnswer:
    """A planned job, worked out step by step: figures, not permission.

    Parameters
    ----------
    build : tuple of (parameter, value, confirmed for this unit)
    start : StepFigure
        The state before the first step, as number 0.
    steps : tuple of StepFigure
    heaviest : Heaviest or None
    narrowest : Narrowest or None
    not_looked_at : tuple of str
        Ties that nobody looked at and that matter in some step.
    held_unrecorded : tuple of str
        Pieces about which nobody recorded how they are held: counted as held in their assembly.
    lacks : tuple of Notice
        What the chain needs and the shop is not recorded to have.
    not_reversed : tuple of Notice
        For a job drafted backwards: what a person has to think of.
    limits : tuple of ShopLimit
    job : str
        Id of the unit in hand that it was worked out for; empty for none.
    """

    id: str
    name: str
    unit: str
    unit_name: str
    build: tuple[tuple[str, str, bool], ...]
    serial: str
    shop: str
    shop_name: str
    as_of: str
    start: StepFigure
    steps: tuple[StepFigure, ...]
    heaviest: Heaviest | None
    narrowest: Narrowest | None
    not_looked_at: tuple[str, ...]
    held_unrecorded: tuple[str, ...]
    lacks: tuple[Notice, ...]
    not_reversed: tuple[Notice, ...]
    cautions: tuple[str, ...]
    limits: tuple[ShopLimit, ...] = ()
    job: str = ""

    @property
    def findings(self) -> tuple[tuple[int, Notice], ...]:
        """Every finding with the number of its step; 0 is the start."""
        steps = (self.start, *self.steps)
        return tuple((step.number, notice) for step in steps for notice in step.findings)
