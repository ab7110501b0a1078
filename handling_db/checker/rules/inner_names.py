"""Ids of things that stand inside records: attitudes, set-down faces and pick points of pieces."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from handling_db.checker.evidence import Evidence, Path, nothing_there
from handling_db.findings import Finding
from handling_db.records.kinds.lift_group import LiftGroup
from handling_db.records.parts.three_valued import listed

# Kind of record, its id, the field, what is named, the id, and the ids there are.
Inner = tuple[str, str, Path, str, str | None, frozenset[str]]


def inner_reference(evidence: Evidence) -> Iterator[Finding]:
    """An attitude, face or pick point that no piece of the unit has."""
    for kind, record, path, target, wanted, known in _inner(evidence):
        if wanted is not None and wanted not in known:
            yield nothing_there(evidence, "lift-reference", (kind, record, path), target, wanted, known)


def _inner(evidence: Evidence) -> Iterator[Inner]:
    components = evidence.collection.components
    for code, component in sorted(components.items()):
        if not component.attitudes:
            continue
        faces = faces_among(evidence, (code, *evidence.below(code)))
        for i, attitude in enumerate(component.attitudes):
            yield "component", code, ("attitudes", i, "rests on"), "set-down face", attitude.rests_on, faces
    for code, group in sorted(evidence.collection.lift_groups.items()):
        if group.root in components:  # else said as an id that nothing goes by
            yield from _of_group(evidence, code, group)


def _of_group(evidence: Evidence, code: str, group: LiftGroup) -> Iterator[Inner]:
    components = evidence.collection.components
    pieces = (group.root, *evidence.below(group.root))
    faces = faces_among(evidence, pieces)
    attitudes = frozenset(attitude.id for attitude in components[group.root].attitudes)
    points = frozenset(p.id for piece in pieces for p in listed(components[piece].pick_points))
    yield "lift group", code, ("attitude",), "attitude", group.attitude, attitudes
    for i, pick in enumerate(listed(group.picks)):
        yield "lift group", code, ("picks", i, "point"), "pick point", pick.point, points
    if group.set_down is not None:
        yield "lift group", code, ("set down", "face"), "set-down face", group.set_down.face, faces
    if group.turn is not None:
        yield "lift group", code, ("turn", "to"), "attitude", group.turn.to, attitudes
        yield "lift group", code, ("turn", "rests on"), "set-down face", group.turn.rests_on, faces


def faces_among(evidence: Evidence, pieces: Iterable[str]) -> frozenset[str]:
    """Ids of the set-down faces that some components have."""
    components = evidence.collection.components
    return frozenset(f.id for piece in pieces for f in listed(components[piece].set_down_faces))
