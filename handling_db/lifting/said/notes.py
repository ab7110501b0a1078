"""Notes that touch a lift: about its joints and both sides of them, ties, picks, and stored energy in it."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence

from handling_db.lifting.figures import NoteFigure
from handling_db.lifting.load.group_mass import GroupMass
from handling_db.lifting.points import points_of
from handling_db.records.collection import Collection
from handling_db.records.in_hand import below
from handling_db.records.kinds.joint import Joint
from handling_db.records.kinds.note import Note
from handling_db.records.parts.three_valued import listed

# What is read before the hook takes up: a side of a joint, a tie, what carries a pick. Other kinds (hand
# limits, shipping, matching marks) are for the bench.
BEFORE_THE_HOOK = frozenset(
    {
        "stored energy", "temporary tie", "tie", "stick", "order", "pick point", "balance", "guide", "fluid",
        "access", "set-down", "difference",
    }
)  # fmt: skip
_HOLDS = ("temporary tie", "tie", "stick")
IN_THE_LIFT = "in the lift"
INSIDE_A_SIDE = "inside a side of the joint"
_ORDER = ("stored energy", "temporary tie", "tie", "stick", "order", "pick point", "balance")


def touching(
    collection: Collection,
    mass: GroupMass,
    joints: Sequence[str],
    points: Sequence[str],
    *,
    serial: int | None,
    as_of: datetime.date | None,
) -> tuple[NoteFigure, ...]:
    """Notes that touch a lift, stored energy first; withdrawn and replaced ones are left out.

    Parameters
    ----------
    collection : Collection
    mass : GroupMass
    joints, points : sequence of str
        Ids of the joints that are parted or crossed, and of the pick points used.
    serial : int, optional
        A note for other serial numbers is left out where the unit has one.
    as_of : date, optional
        Past which a note is due for a look; it stays, marked.
    """
    known = [collection.joints[name] for name in joints if name in collection.joints]
    why = {
        mass.ways.tree.component(occurrence.node): IN_THE_LIFT
        for index, occurrence in enumerate(mass.ways.found)
        if mass.sides[index].part > 0
    }
    why |= _of_joints(collection, known) | {mass.group.root: "the unit"}
    for entry in points_of(collection, mass):
        if entry.point.id in points:
            why[entry.component] = f"has the pick point {entry.point.id}"
            why |= {cover.part: f"covers {entry.point.id}" for cover in listed(entry.point.blocked_by)}
    for code in [*why]:
        places = mass.ways.of_component(code)
        if places and all(mass.sides[index].off for index in places):
            del why[code]  # off the unit already: what is stored in it is elsewhere
    things = _things(known)
    things |= {("pick point", point): "a pick point used" for point in points}
    things |= {("lift group", mass.group.id): "this lift"}
    return _picked(collection, things, why, serial, as_of)


def touching_joint(
    collection: Collection, joint: Joint, *, serial: int | None, as_of: datetime.date | None
) -> tuple[NoteFigure, ...]:
    """Notes that touch one joint: about it, its ties, both sides, and what is stored in them.

    Parameters
    ----------
    collection : Collection
    joint : Joint
    serial, as_of
        As in `touching`.
    """
    return _picked(collection, _things([joint]), _of_joints(collection, [joint]), serial, as_of)


def standing_about(
    collection: Collection,
    inside: Sequence[str],
    tops: Sequence[str],
    kinds: frozenset[str],
    serial: int | None,
    as_of: datetime.date | None,
) -> tuple[NoteFigure, ...]:
    """Notes about a piece that comes off: of some kinds about itself, stored energy about all that is in it.

    Parameters
    ----------
    collection : Collection
    inside : sequence of component id
        Everything that comes off.
    tops : sequence of component id
        What it is made of at the highest.
    kinds : set of str
        Kinds of note that count for the tops.
    serial, as_of
        As in `touching`.
    """
    why = dict.fromkeys(inside, IN_THE_LIFT)
    found = _picked(collection, {}, why, serial, as_of)
    about = {note.id for note in collection.notes.values() if note.about.component in tops}
    own = _picked(collection, {}, dict.fromkeys(tops, "comes off"), serial, as_of)
    kept = [*found, *(note for note in own if note.id in about and note.kind in kinds)]
    return tuple({note.id: note for note in kept}.values())


Things = dict[tuple[str, str], str]


def notes_about(
    collection: Collection,
    things: Mapping[tuple[str, str], str],
    kinds: frozenset[str],
    *,
    serial: int | None,
    as_of: datetime.date | None,
) -> tuple[NoteFigure, ...]:
    """Notes of some kinds about named things, stored energy first; withdrawn and replaced ones left out.

    Parameters
    ----------
    collection : Collection
    things : mapping of (kind, id) to why
        As a note says what it is about: ``("component", "harness")``, ``("tie", "joint-bolts")``.
    kinds : frozenset of str
    serial, as_of
        As in `touching`.
    """
    why = {code: reason for (kind, code), reason in things.items() if kind == "component"}
    found = _picked(collection, dict(things), why, serial, as_of)
    return tuple(note for note in found if note.kind in kinds)


def _things(joints: Sequence[Joint]) -> Things:
    """Joints and their ties, by kind and id, each with why a note about it counts."""
    things: Things = {("joint", joint.id): "the joint" for joint in joints}
    for joint in joints:
        things |= {("tie", tie.key(joint.id)): f"a tie of {joint.name}" for tie in joint.tie_list}
    return things


def _of_joints(collection: Collection, joints: Sequence[Joint]) -> dict[str, str]:
    """Components on both sides of some joints, each with why its notes count; the nearest reason wins."""
    why: dict[str, str] = {}
    for joint in joints:
        for side in joint.between:
            why |= dict.fromkeys(below(collection, side), INSIDE_A_SIDE)
    for joint in joints:
        why[joint.within] = f"holds {joint.name}"
        why |= dict.fromkeys(joint.between, f"a side of {joint.name}")
        for tie in joint.tie_list:
            if tie.part is not None:
                # The tie itself, and the set it is counted in: notes are often kept there.
                why |= dict.fromkeys(tie.part[-2:], f"a tie of {joint.name}")
    return why


def _picked(
    collection: Collection,
    things: Things,
    why: Mapping[str, str],
    serial: int | None,
    as_of: datetime.date | None,
) -> tuple[NoteFigure, ...]:
    replaced = {note.replaces for note in collection.notes.values() if note.replaces}
    found = []
    for _, note in sorted(collection.notes.items()):
        if note.status == "withdrawn" or note.id in replaced or not _fits(note, serial):
            continue
        reason = things.get((note.about.kind, note.about.id), "") or _reason(note, why)
        if reason:
            found.append(
                NoteFigure(
                    note.id,
                    note.kind,
                    _about(collection, note),
                    note.text,
                    note.status if note.reason is None else f"{note.status}: {note.reason}",
                    note.author,
                    note.on.isoformat(),
                    reason,
                    as_of is not None and note.review_by is not None and note.review_by < as_of,
                )
            )
    return tuple(sorted(found, key=lambda note: _place(note.kind)))


def _place(kind: str) -> int:
    return _ORDER.index(kind) if kind in _ORDER else len(_ORDER)


def _reason(note: Note, why: Mapping[str, str]) -> str:
    reason = why.get(note.about.component or "", "")
    # Stored energy counts wherever it is in what moves, what may hold wherever it is in one of the sides;
    # the rest only where something is undone or hooked on.
    if note.kind == "stored energy" or (note.kind in _HOLDS and reason != IN_THE_LIFT):
        return reason
    return reason if note.kind in BEFORE_THE_HOOK and reason not in (IN_THE_LIFT, INSIDE_A_SIDE) else ""


def _fits(note: Note, serial: int | None) -> bool:
    ranges = [fits.serials for fits in note.fits if fits.serials is not None]
    return serial is None or not ranges or any(one.covers(serial) for one in ranges)


def _about(collection: Collection, note: Note) -> str:
    about = note.about
    code = about.component
    if code is not None:
        component = collection.components.get(code)
        return component.name if component else code
    return about.joint or about.tie or about.lift_group or about.pick_point or about.fixture or ""
