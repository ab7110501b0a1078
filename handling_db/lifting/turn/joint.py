"""What a recorded joint and the ties that hold it carry while the load is turned."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from handling_db.errors import HandlingError
from handling_db.lifting.case import Case, LiftQuestion
from handling_db.lifting.load.answer import group_mass
from handling_db.lifting.load.group_mass import GroupMass
from handling_db.lifting.turn.figures import BoltFigure, BoltsFigure
from handling_db.lifting.turn.place import EdgeFrame, point_of
from handling_db.mechanics.turn.edge_turn import Turning
from handling_db.mechanics.turn.joint_turn import (
    BoltsAbout,
    JointStep,
    bolts_about,
    joint_step,
    worst_of,
)
from handling_db.mechanics.vectors import Vector, apply
from handling_db.quantities.notice import Facts, Notice
from handling_db.records.kinds.joint import Joint
from handling_db.records.kinds.lift_group import Turn
from handling_db.records.parts.measures import Point

SQUARE = 1e-6
LEAST_TWIST = 1.0  # less is not worth a line [N m]
_NORMALS: dict[str, Vector] = {"x": (1.0, 0.0, 0.0), "y": (0.0, 1.0, 0.0), "z": (0.0, 0.0, 1.0)}


@dataclass(frozen=True, slots=True)
class JointOverTurn:
    """Joint forces at every step asked for; None where they cannot be given. [N m, N]"""

    steps: tuple[JointStep | None, ...]
    slack_moment_nm: float | None
    slack_shear_n: float | None
    bolts: tuple[BoltsFigure, ...]
    says: tuple[Notice, ...]


@dataclass(frozen=True, slots=True)
class JointFigures:
    """A joint as it is recorded, in the frame of the edge; without a middle only what is missing is said.

    Parameters
    ----------
    side : GroupMass or None
        What lies beyond it.
    middle : Vector or None
        [m]
    heights : dict of bolt to height over the middle
        [m]
    circle_m, flange_m : float or None
        Circle that the bolts stand on; how far the flange reaches. [m]
    """

    side: GroupMass | None
    side_name: str
    name: str
    middle: Vector | None
    heights: dict[str, float]
    circle_m: float
    flange_m: float | None
    says: tuple[Notice, ...]

    def over(self, turning: Turning, angles: Sequence[float]) -> JointOverTurn:
        """What it carries at some angles, and its bolts in the worst case and with the hook slack. [rad]"""
        nothing = JointOverTurn((None,) * len(angles), None, None, (), self.says)
        if self.middle is None:
            return nothing
        beyond = [p for p in turning.pieces if p.beyond and p.at is not None]
        mass = math.fsum(p.amount.best for p in beyond)
        # The side asked about must lie away from the edge, or the forces would be those of the other one.
        if mass <= 0.0 or math.fsum(p.amount.best * p.at[0] for p in beyond if p.at) <= mass * self.middle[0]:
            said = Notice("joint-near-side", {"side": self.side_name, "joint": self.name})
            return JointOverTurn(nothing.steps, None, None, (), (*self.says, said))
        steps = tuple(joint_step(turning, self.middle, angle) for angle in angles)
        slack = joint_step(turning, self.middle, 0.0, hook_slack=True)
        bolts: list[BoltsFigure] = []
        if self.heights:
            about = bolts_about(
                self.heights, self.circle_m, self.flange_m, slack.moment_nm[2], slack.shear_n[2]
            )
            bolts += [_bolts(one, None) for one in about]
            worst = worst_of(steps, self.heights, self.circle_m, self.flange_m)
            if worst is not None:
                bolts += [_bolts(one, math.degrees(worst[0].turned)) for one in worst[1]]
        says = (*self.says, *self._twist((*steps, slack)), Notice("joint-for-person"))
        return JointOverTurn(steps, slack.moment_nm[2], slack.shear_n[2], tuple(bolts), says)

    def _twist(self, steps: Sequence[JointStep]) -> tuple[Notice, ...]:
        """The most that twists the joint in its plane and bends it sideways, with what a bolt gets of it."""
        most = max(steps, key=lambda step: step.most_twist_nm)
        aside = max(steps, key=lambda step: step.most_sideways_nm)
        if max(most.most_twist_nm, aside.most_sideways_nm) < LEAST_TWIST:
            return ()
        count = len(self.heights)
        # Bolts on one circle take a twist in even parts, each square to its own arm.
        each = most.most_twist_nm / (count * self.circle_m) if count and self.circle_m > 0.0 else None
        facts: Facts = {
            "joint": self.name,
            "twist_nm": most.most_twist_nm,
            "turned_deg": math.degrees(most.turned),
            "sideways_nm": aside.most_sideways_nm,
            "shear_n": each,
        }
        return (Notice("joint-twist", facts),)


def _bolts(about: BoltsAbout, turned: float | None) -> BoltsFigure:
    bolts = tuple(BoltFigure(bolt.bolt, bolt.pull_n, bolt.shear_n) for bolt in about.bolts)
    return BoltsFigure(turned, about.pivot, bolts)


def joint_in_turn(case: Case, turn: Turn, frame: EdgeFrame) -> JointFigures:
    """The joint of a recorded turn, as far as it is recorded."""
    joint = case.collection.joints.get(turn.joint or "")
    group = case.collection.lift_groups.get(turn.side or "")

    def only(*said: Notice) -> JointFigures:
        return JointFigures(
            None, group.name if group else "", joint.name if joint else "", None, {}, 0.0, None, said
        )

    if joint is None or group is None:
        return only(Notice("joint-not-recorded"))
    if joint.plane is None:
        return only(Notice("joint-no-plane", {"joint": joint.name}))
    normal = apply(frame.rows, _NORMALS[joint.plane.square_to])
    if abs(abs(normal[0]) - 1.0) > SQUARE:
        return only(Notice("joint-not-square", {"joint": joint.name}))
    if group.root != case.group.root:
        return only(Notice("joint-other-root", {"joint": joint.name, "group": group.name}))
    try:
        side = group_mass(case.collection, group, job=case.question.job, assumed=case.question.assumed)
    except HandlingError as error:
        return only(Notice("joint-no-side", {"joint": joint.name, "why": str(error)}))
    middle = frame.point(point_of(case, joint.plane.at))
    places = [(name, frame.point(point_of(case, at))) for name, at in _holding(joint, case.question)]
    said: list[Notice] = []
    if not places:
        said.append(Notice("bolts-no-places", {"joint": joint.name}))
    elif joint.plane.radius is None:
        said.append(Notice("bolts-no-flange", {"joint": joint.name}))
    return JointFigures(
        side=side,
        side_name=group.name,
        name=joint.name,
        middle=middle,
        heights={name: at[2] - middle[2] for name, at in places},
        circle_m=max((math.hypot(at[1] - middle[1], at[2] - middle[2]) for _, at in places), default=0.0),
        flange_m=None if joint.plane.radius is None else float(joint.plane.radius.base),
        says=tuple(said),
    )


def _holding(joint: Joint, question: LiftQuestion) -> list[tuple[str, Point]]:
    """Places of the bolts that hold it: the temporary ones of the job, else those left in."""
    places: list[tuple[str, Point]] = []
    for temporary in question.job.open_temporary_ties if question.job else ():
        if temporary.joint == joint.id:
            places += [(f"{temporary.id} {i}", point) for i, point in enumerate(temporary.places, 1)]
    if places:
        return places
    for tie in joint.tie_list:
        out = question.job is not None and question.job.is_out(joint.id, tie.key(joint.id))
        if tie.carries_in_turn == "yes" and not out:
            places += [(f"{tie.key(joint.id)} {i}", point) for i, point in enumerate(tie.places, 1)]
    return places


__all__ = ["JointFigures", "JointOverTurn", "joint_in_turn"]
