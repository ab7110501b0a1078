"""What to weigh, look at or review next, and how many lifts and totals that would help."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from handling_db.checker.evidence import Evidence
from handling_db.checker.settles import Settling
from handling_db.checker.sharpen import sharpen_words, weakest
from handling_db.errors import HandlingError
from handling_db.families.build import BuildError
from handling_db.lifting.load.answer import group_mass
from handling_db.lifting.load.group_mass import GroupMass
from handling_db.lookup.worth_words import hides_words
from handling_db.quantities.display import pair
from handling_db.records.collection import Collection
from handling_db.records.kinds.component import Component
from handling_db.records.versions import Wait, questions

Act = Literal["weigh", "look", "review", "sharpen"]
WORTH_WEIGHING = Fraction(1)  # a figure from a shape with a smaller half-width is left alone [kg]; our choice


@dataclass(frozen=True, slots=True)
class Gap:
    """One thing that somebody could find out.

    Parameters
    ----------
    act : Act
    kind, id : str
        The record it is about.
    what : str
        What to do, in a sentence.
    lifts : tuple of lift group ids
        That it would help.
    totals : tuple of component ids
        Assemblies whose total it would complete or make narrower.
    doubt : Fraction
        Half-width that it would take away, all pieces together; 0 where it is not a matter of kilograms; of
        what agrees, the largest error of one figure that may hide in it. [kg]
    settles : int
        Answers about pieces and lifts that have no upper figure, or are wide, because of it.
    """

    act: Act
    kind: str
    id: str
    what: str
    lifts: tuple[str, ...] = ()
    totals: tuple[str, ...] = ()
    doubt: Fraction = Fraction(0)
    settles: int = 0

    @property
    def helps(self) -> int:
        """What it is ranked by: a weighing by the answers it settles, anything else by the lifts it helps."""
        return max(self.settles, len(self.lifts)) if self.act == "weigh" else len(self.lifts)


def gaps(collection: Collection, *, as_of: datetime.date | None = None) -> tuple[Gap, ...]:
    """Everything somebody could weigh, look at or review next.

    Parameters
    ----------
    collection : Collection
    as_of : date, optional
        The day by which review dates are judged; without one they are not.

    Returns
    -------
    tuple of Gap
        What helps most lifts, or settles most answers, first; then most totals; then most kilograms of doubt;
        then by kind and id. Last
        the comparisons that agree and could say more, the weakest of them first.
    """
    evidence = Evidence(collection, as_of)
    lifts = _lifts(collection)
    found = [
        *_to_weigh(evidence, lifts),
        *_to_look_at(evidence, lifts),
        *_to_review(evidence, lifts),
    ]
    found.sort(key=lambda g: (-g.helps, -g.settles, -len(g.totals), -g.doubt, g.act, g.kind, g.id, g.what))
    return (*found, *_to_sharpen(evidence))


def _to_sharpen(evidence: Evidence) -> Iterator[Gap]:
    for one in weakest(evidence):
        witness = one.judged.witness
        told = (
            f"{sharpen_words(evidence, one)}; {evidence.name(witness.component)} agrees with its "
            f"{witness.printed} ({witness.source.name}), yet {hides_words(one.hides)}"
        )
        yield Gap("sharpen", "component", one.component, told, (), (witness.component,), one.hides)


def _lifts(collection: Collection) -> dict[str, GroupMass]:
    """The lift groups that can be followed; the checker says what is wrong with the others."""
    found = {}
    for code, group in sorted(collection.lift_groups.items()):
        try:
            found[code] = group_mass(collection, group)
        except (HandlingError, BuildError, ValueError):
            continue
    return found


def _to_weigh(evidence: Evidence, lifts: dict[str, GroupMass]) -> Iterator[Gap]:
    settling = Settling(evidence, lifts)
    for code, component in sorted(evidence.collection.components.items()):
        if component.parts or component.fluid is not None:
            continue
        above = evidence.above(code)
        best = next((w for w in evidence.witnesses(code) if w.chosen), None)
        if best is None or best.hint:
            held = tuple(lift for lift, group in lifts.items() if _carries(group, code))
        if best is None:
            told = f"weigh {component.name}: no figure that can be used is recorded"
            yield Gap("weigh", "component", code, told, held, above, settles=settling.settled(code, above))
        elif best.hint and best.mass.half_width_worst >= WORTH_WEIGHING:
            half = best.mass.half_width_worst * _pieces(evidence, code)
            good_to = pair(half, half / 10)
            told = f"weigh {component.name}: its figure comes from its shape, and is good to ±{good_to}"
            settles = settling.settled(code, above)
            yield Gap("weigh", "component", code, told, held, above, half, settles)


def _carries(group: GroupMass, code: str) -> bool:
    return any(c.id == code for c in group.carried) or any(c.id == code for c in group.unknown)


def _pieces(evidence: Evidence, code: str) -> Fraction:
    """How many pieces of a component the unit with most of them has."""
    most = Fraction(1)
    nodes = set(evidence.nodes_of.get(code, ()))
    for top in evidence.above(code):
        node = evidence.node(top)
        if node is not None and node in evidence.tree.height:
            pieces = evidence.pieces_below(node)
            most = max(most, sum((pieces.get(n, Fraction(0)) for n in nodes), start=Fraction(0)))
    return most


def _to_look_at(evidence: Evidence, lifts: dict[str, GroupMass]) -> Iterator[Gap]:
    collection = evidence.collection
    for code, joint in sorted(collection.joints.items()):
        parted = tuple(lift for lift, group in lifts.items() if code in group.group.parts_joints)
        if joint.ties is None:
            yield Gap("look", "joint", code, f"look what holds {joint.name}: nobody wrote a tie down", parted)
        elif joint.ties_listed != "all":
            told = f"look whether anything else holds {joint.name}: its ties are not said to be all"
            yield Gap("look", "joint", code, told, parted)
    for code, component in sorted(collection.components.items()):
        if component.parts and component.parts_listed != "all":
            above = (code, *evidence.above(code))
            held = tuple(lift for lift, group in lifts.items() if any(c.id == code for c in group.open_lists))
            told = f"look whether every part of {component.name} is listed"
            yield Gap("look", "component", code, told, held, above)
        yield from _boundaries(evidence, code, component)
    for code, group in lifts.items():
        if group.group.trapped is None:
            told = f"look what fluid is still inside when {group.group.name} is lifted"
            yield Gap("look", "lift group", code, told, (code,))
        if group.group.picks is None:
            yield Gap("look", "lift group", code, f"look where to hook on for {group.group.name}", (code,))


def _boundaries(evidence: Evidence, code: str, component: Component) -> Iterator[Gap]:
    if not component.parts:
        return
    for witness in evidence.witnesses(code):
        if not witness.boundary_known:
            figure = f"{witness.printed} ({witness.source.name})"
            told = f"look up what {figure} counts and leaves out for {component.name}"
            yield Gap("look", "component", code, told, (), (code,))


def _to_review(evidence: Evidence, lifts: dict[str, GroupMass]) -> Iterator[Gap]:
    collection = evidence.collection
    for question in questions(collection):
        about = getattr(question.record, "of", None) or question.id
        code = str(about)
        if question.wait is Wait.UNREVIEWED and question.kind not in ("component", "weighing", "note"):
            continue
        told = f"review {question.kind} {question.id} from {question.shop or 'this shop'}: {question.wait}"
        above = evidence.above(code) if question.kind in ("component", "weighing") else ()
        yield Gap("review", question.kind, question.id, told, _touched(lifts, code), above)
    for code in evidence.with_figures:
        for witness in evidence.witnesses(code):
            if witness.waits:
                told = (
                    f"confirm {witness.printed} for {evidence.name(code)}, read in the course of work "
                    f"(handling-db job confirm {witness.id})"
                )
                lifted = _touched(lifts, code)
                yield Gap("review", "weighing", witness.id, told, lifted, evidence.above(code))
    for note_id, note in sorted(collection.notes.items()):
        held = _touched(lifts, note.about.id)
        if note.status == "draft":
            yield Gap("review", "note", note_id, f"check note {note_id}: it is a draft", held)
        elif note.status == "doubtful":
            yield Gap("review", "note", note_id, f"settle note {note_id}: it is doubtful", held)
        elif (
            note.status != "withdrawn"
            and evidence.as_of is not None
            and note.review_by is not None
            and note.review_by < evidence.as_of
        ):
            told = f"look at note {note_id} again: it was due on {note.review_by.isoformat()}"
            yield Gap("review", "note", note_id, told, held)


def _touched(lifts: dict[str, GroupMass], code: str) -> tuple[str, ...]:
    """Lift groups that carry a component, wholly or in part, part that joint, or are that group."""
    found = []
    for lift, group in lifts.items():
        inside = any(
            code in o.way and side.part > 0 for o, side in zip(group.ways.found, group.sides, strict=True)
        )
        if inside or code == lift or code in group.group.parts_joints or code == group.group.root:
            found.append(lift)
    return tuple(found)
