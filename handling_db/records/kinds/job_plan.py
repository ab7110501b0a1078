"""A planned job on one unit: steps in order, each with what is done and what carries the pieces then."""

from __future__ import annotations

from typing import Literal

from pydantic import Field, model_validator

from handling_db.records.kinds.lift_group import Trapped, Way
from handling_db.records.parts.common import Answer, Recorded, TieNamed
from handling_db.records.parts.measures import Count, MassText, Point
from handling_db.records.parts.premises import FlatPoint
from handling_db.records.parts.texts import Id, Line, Part, Serial, Text, refuse_twice

StepKind = Literal[
    "drain",
    "fill",
    "tie out",
    "tie in",
    "hook on",
    "hook off",
    "take off",
    "put on",
    "turn",
    "part",
    "set down",
    "carry",
    "weigh",
    "look",
]
Support = Literal["floor", "stand", "pallet", "cribbing", "truck", "rack", "bench", "crate", "machine"]


class Resting(Part):
    """What a piece rests on: the kind of place, the recorded thing, and on which face of the piece.

    `machine` is the machine it was taken out of: as if bolted there, so it neither falls nor tips.
    """

    on: Support
    """`floor`, `stand`, `pallet`, `cribbing`, `truck`, `rack`, `bench`, `crate` or `machine` (still in the
    machine, which holds it)"""
    what: Line | None = None
    """in words"""
    fixture: Id | None = None
    """the stand, cradle or cribbing"""
    pallet: Id | None = None
    """the pallet"""
    mover: Id | None = None
    """the truck"""
    face: Id | None = None
    """the face of the piece that is down"""
    piece_at: FlatPoint | None = None
    """the middle of the face, from the middle of the fixture"""

    @model_validator(mode="after")
    def _one_thing(self) -> Resting:
        named = [name for name in ("fixture", "pallet", "mover") if getattr(self, name) is not None]
        if len(named) > 1:
            raise ValueError(
                f"rests on {' and '.join(named)}; name one: what touches the piece (the other in 'what')"
            )
        if self.piece_at is not None and self.fixture is None:
            raise ValueError(
                "'piece at' is the middle of the face from the middle of a fixture: name the 'fixture'"
            )
        return self


class Starting(Part):
    """How the unit stands before the first step."""

    attitude: Id | None = None
    """which way up, an attitude's id"""
    rests: Resting | None = None
    """what it rests on"""


class TemporaryPlanned(Part):
    """Something that is put in to hold for the time being, with its own id for the step that takes it out."""

    id: Id
    """its id, for the step that takes it out"""
    joint: Id
    """the joint it bridges"""
    what: Line
    """in words"""
    count: Count
    """how many"""
    grade: Line | None = None
    """grade of the bolts"""
    hole: Line | None = None
    """in which holes"""
    holds_up_to: MassText | None = None
    """what it may carry, as a mass, where somebody stands for it"""
    places: tuple[Point, ...] = ()
    """where they are, one point each"""
    fixture: Id | None = None
    """the fixture it is"""


class StepNeeds(Part):
    """Something recorded that a step uses and gives back at its end."""

    fixture: Id | None = None
    """the fixture"""
    gear: Id | None = None
    """the gear"""
    mover: Id | None = None
    """the mover"""
    for_: Line | None = None
    """what for"""

    @model_validator(mode="after")
    def _one(self) -> StepNeeds:
        if sum(value is not None for value in (self.fixture, self.gear, self.mover)) != 1:
            raise ValueError("name one thing that is needed: a 'fixture', a 'gear' or a 'mover'")
        return self


# What each kind of step has to say, beside `do`; one of the fields in a tuple is enough.
ASKED: dict[str, tuple[tuple[str, ...], ...]] = {
    "tie out": (("ties", "temporary_out"),),
    "tie in": (("ties", "temporary"),),
    "hook on": (("lift_group",),),
    "hook off": (("lift_group",),),
    "take off": (("pieces", "lift_group"),),
    "put on": (("pieces", "lift_group"),),
    "turn": (("lift_group",),),
    "part": (("joint",),),
    "set down": (("rests",),),
    "carry": (("mover",),),
    "weigh": (("of", "lift_group"),),
}
# In which kinds of step a field has a meaning; a field in none of these may stand in every step.
BELONGS: dict[str, tuple[StepKind, ...]] = {
    "temporary": ("tie in", "turn"),
    "temporary_out": ("tie out", "take off", "part"),
    "ties": ("tie out", "tie in", "take off", "put on", "part"),
    "pieces": ("take off", "put on"),
    "by": ("take off", "put on", "tie out", "tie in"),
    "joint": ("part", "put on"),
    "route": ("carry",),
    "attitude": ("set down", "turn", "hook on", "put on"),
    "rests": ("set down", "turn", "take off", "put on", "hook off"),
    "hook_holds": ("hook on", "tie out", "tie in", "turn"),
    "scale": ("weigh",),
}


class PlanStep(Part):
    """One step of a planned job.

    The lift that holds a piece from "hook on" (or a lift in "take off") on holds it until that piece is set
    down or the hook comes off.
    """

    id: Id | None = None
    """its id; left out: it goes by its number"""
    do: StepKind
    """`drain`, `fill`, `tie out`, `tie in`, `hook on`, `hook off`, `take off`, `put on`,
    `turn`, `part`, `set down`, `carry`, `weigh` or `look`"""
    what: Line
    """what is done, in words"""
    ties: tuple[TieNamed, ...] = ()
    """recorded ties that come out, or go back in; a list"""
    temporary: tuple[TemporaryPlanned, ...] = ()
    """what is put in to hold for the time being; a list"""
    temporary_out: tuple[Id, ...] = ()
    """ids of temporary ties that come out; a list"""
    pieces: tuple[Way, ...] = ()
    """what comes off or goes on: ways from the unit, lists of ids"""
    of: Way | None = None
    """which piece it is about: a way from the unit"""
    by: Literal["hands", "hook"] | None = None
    """`hands` or `hook`; left out: nobody said, unless a lift is named"""
    lift_group: Id | None = None
    """the lift that holds it, from here until it is set down or the hook comes off"""
    hook_holds: MassText | None = None
    """what the hook is to hold while it stands as well; left out: anything from nothing to the whole"""
    hook_holds_plus_or_minus: MassText | None = None
    """how closely"""
    joint: Id | None = None
    """the joint that parts, or that is closed"""
    attitude: Id | None = None
    """which way up it is afterwards"""
    rests: Resting | None = None
    """what it rests on afterwards"""
    mover: Id | None = None
    """what carries it"""
    route: Id | None = None
    """the way of the shop that it goes"""
    scale: Id | None = None
    """the scale it is weighed on, a source"""
    oil_left: tuple[Trapped, ...] | None = None
    """fluid that is inside afterwards; a list"""
    needs: tuple[StepNeeds, ...] = ()
    """what is used and given back within the step; a list"""
    steadied_by: Line | None = None
    """what keeps it from going over"""
    notes: tuple[Id, ...] = ()
    """ids of notes that belong here; notes about its ties, pieces and lift come by themselves"""
    does_not_reverse: Line | None = None
    """what is not simply done backwards"""
    remark: Text | None = None
    """anything else"""

    @model_validator(mode="after")
    def _says_enough(self) -> PlanStep:
        for fields in ASKED.get(self.do, ()):
            if not any(getattr(self, field) for field in fields):
                words = " or ".join(f"'{field.replace('_', ' ')}'" for field in fields)
                raise ValueError(f"a step that says 'do: {self.do}' needs {words}")
        for field, kinds in BELONGS.items():
            if getattr(self, field) and self.do not in kinds:
                word = field.replace("_", " ")
                raise ValueError(
                    f"'{word}' has no meaning in 'do: {self.do}'; it belongs to: {', '.join(kinds)}"
                )
        if self.by == "hook" and self.lift_group is None:
            raise ValueError("'by: hook' needs the 'lift group' that says with what gear and which points")
        if self.hook_holds_plus_or_minus is not None and self.hook_holds is None:
            raise ValueError("'hook holds plus or minus' goes with 'hook holds'")
        if self.oil_left is not None and self.do not in ("drain", "fill"):
            raise ValueError("'oil left' belongs to 'do: drain' or 'do: fill'")
        return self


class JobPlan(Recorded):
    """A job on one unit as a chain of steps, worked out from its own records; a person edits it."""

    job_plan: Id
    """its id"""
    name: Line
    """its name"""
    unit: Id
    """the component that is taken apart or put together"""
    build: dict[str, str] = Field(default_factory=dict)
    """values of parameters, by name"""
    serial: Serial | None = None
    """the unit's serial number: its notes and its build count"""
    shop: Id | None = None
    """the shop whose movers, fixtures and limits count"""
    starts: Starting = Starting()
    """how the unit stands before the first step"""
    steps: tuple[PlanStep, ...] = Field(min_length=1)
    """what is done, in order; a list"""
    back_together: Answer | None = None
    """`yes` where every piece is to be on again and every temporary tie out at the end"""
    reverse_of: Id | None = None
    """the job plan that this one takes back"""
    does_not_reverse: tuple[Line, ...] = ()
    """what a person has to think of when the job is done backwards; a list"""
    remark: Text | None = None
    """anything else"""

    @model_validator(mode="after")
    def _sound(self) -> JobPlan:
        refuse_twice("steps", (step.id for step in self.steps if step.id is not None))
        put_in: set[str] = set()
        for number, step in enumerate(self.steps, 1):
            for tie in step.temporary:
                if tie.id in put_in:
                    raise ValueError(
                        f"step {number}: temporary tie {tie.id!r} was put in before; give another id"
                    )
                put_in.add(tie.id)
            for out in step.temporary_out:
                if out not in put_in:
                    raise ValueError(
                        f"step {number}: temporary tie {out!r} comes out and was never put in; "
                        "write its id as the step that puts it in does"
                    )
        return self

    def place_of(self, step: str) -> int | None:
        """Where a step stands, from 0: by its id, or by its number from 1; None where there is none."""
        for place, one in enumerate(self.steps):
            if step == one.id:
                return place
        if step.isascii() and step.isdigit() and 1 <= int(step) <= len(self.steps):
            return int(step) - 1
        return None
