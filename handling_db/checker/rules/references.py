"""Ids that point at nothing, ids that stand twice, names that fit several components, figures in a ring."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from handling_db.checker.evidence import At, Evidence, Path, Stated, listed, nothing_there
from handling_db.checker.named import Reference, named
from handling_db.findings import Finding, Place, Verdict
from handling_db.records.collection import KINDS, field_text
from handling_db.records.kinds.component import Component
from handling_db.records.parts.statement import Boundary
from handling_db.records.versions import came_from

CLASH = "name-clash"  # the one rule that looks at all components at once
# Besides the parts and figures of components, and what a note is about.
NAMED = {
    "source": "kind = source kind; shop = shop",
    "weighing": "of = component; source = source; job = job; hung = lift group; gear.* = gear",
    "note": "source = source; shop = shop; replaces = note",
    "fixture": "needed by.*.component = component; only for.* = component; used instead.*.shop = shop",
    "mover": "shop = shop; load cell = source",
    "shop": "movers.* = mover; fixtures.* = fixture; scales.* = source",
}


def unknown_reference(evidence: Evidence) -> Iterator[Finding]:
    """Ids that nothing in the collection goes by, and parts named in a boundary that are not in it."""
    elsewhere = came_from(evidence.collection)
    for kind, record, path, target, wanted in _references(evidence):
        if target in KINDS and evidence.absent(target, wanted):
            shop = elsewhere.get((kind, record))
            if shop is not None and path[0] != "parts":
                yield _left_behind(evidence, kind, record, path, f"{target} {wanted!r}", shop)
                continue
            yield nothing_there(evidence, "unknown-reference", (kind, record, path), target, wanted)
    for kind, record, path, wanted in _figures_named(evidence):
        if wanted not in evidence.stated:
            yield evidence.at(kind, record, *path).fault(
                "unknown-reference",
                f"there is no mass statement or weighing with the id {wanted!r};",
                "correct the id, or add the figure.",
            )
    yield from _not_below(evidence)


def _left_behind(evidence: Evidence, kind: str, record: str, path: Path, wanted: str, shop: str) -> Finding:
    """What a record from another shop names and its parcel did not bring: no fault of anybody's."""
    return evidence.at(kind, record, *path).unchecked(
        "unknown-reference",
        f"{kind} {record} ({shop}) names {wanted}, which is not here;",
        "it stayed with the other shop; ask for it if you need it.",
    )


def _references(evidence: Evidence) -> Iterator[Reference]:
    collection = evidence.collection
    for code, component in sorted(collection.components.items()):
        for i, line in enumerate(component.parts):
            yield "component", code, ("parts", i, "component"), "component", line.component
        for i, statement in enumerate(component.masses):
            yield "component", code, ("masses", i, "source"), "source", statement.source
    for code, note in sorted(collection.notes.items()):
        yield "note", code, ("about", note.about.kind), note.about.kind, note.about.id
    yield from named(evidence, NAMED)


def _figures_named(evidence: Evidence) -> Iterator[tuple[str, str, Path, str]]:
    """Ids of figures that other figures replace or are derived from."""
    for code, component in sorted(evidence.collection.components.items()):
        for i, statement in enumerate(component.masses):
            if statement.replaces is not None:
                yield "component", code, ("masses", i, "replaces"), statement.replaces
            for j, wanted in enumerate(statement.derived.from_ if statement.derived else ()):
                yield "component", code, ("masses", i, "derived", "from", j), wanted
    for code, weighing in sorted(evidence.collection.weighings.items()):
        if weighing.replaces is not None:
            yield "weighing", code, ("replaces",), weighing.replaces


def _not_below(evidence: Evidence) -> Iterator[Finding]:
    below: dict[str, frozenset[str]] = {}
    for kind, record, path, code, boundary in _boundaries(evidence):
        for field, ids in (("counts", boundary.counts), ("without", boundary.without)):
            if not isinstance(ids, tuple) or code not in evidence.collection.components:
                continue
            if code not in below:
                below[code] = evidence.below(code)
            for i, wanted in enumerate(ids):
                if wanted not in below[code]:
                    yield evidence.at(kind, record, *path, field, i).fault(
                        "unknown-reference",
                        f"{wanted!r} is not among the parts of {evidence.name(code)};",
                        "name only what is listed below it, or add the part line.",
                        about=code,
                    )


def _boundaries(evidence: Evidence) -> Iterator[tuple[str, str, Path, str, Boundary]]:
    for code, component in sorted(evidence.collection.components.items()):
        for i, statement in enumerate(component.masses):
            yield "component", code, ("masses", i), code, statement
    for code, weighing in sorted(evidence.collection.weighings.items()):
        yield "weighing", code, (), weighing.of, weighing


def duplicate_id(evidence: Evidence) -> Iterator[Finding]:
    """Mass statements, weighings and part lines that go by an id which is taken."""
    lines: dict[str, list[Stated]] = {}
    for code, component in sorted(evidence.collection.components.items()):
        for index, line in enumerate(component.parts):
            if line.id is not None:
                lines.setdefault(line.id, []).append(Stated("component", code, ("parts", index)))
    for what, shelf in (("figure", evidence.stated), ("part line", lines)):
        yield from _taken(evidence, what, shelf)


def _taken(evidence: Evidence, what: str, shelf: Mapping[str, Iterable[Stated]]) -> Iterator[Finding]:
    for key, found in shelf.items():
        first, *more = found
        for other in more:
            path: Path = other.path if what == "figure" else (*other.path, "id")
            where = evidence.place(first.kind, first.record, *first.path) or first.record
            yield evidence.at(other.kind, other.record, *path).fault(
                "duplicate-id",
                f"the id {key!r} is taken by another {what}: {where} has it already;",
                "give this one an 'id' of its own, or take it out if it says the same.",
            )


def name_clash(evidence: Evidence) -> Iterator[Finding]:
    """A name, other name or id that fits several components: a look-up by it has to ask back."""
    yield from clashes(
        Called(code, name, field_text(path), evidence.place("component", code, *path))
        for code, component in sorted(evidence.collection.components.items())
        for name, path in names_of(component)
    )


@dataclass(frozen=True, slots=True)
class Called:
    """A name that a component goes by, and where it is written."""

    code: str
    name: str
    field: str
    place: Place | None


def names_of(component: Component) -> list[tuple[str, Path]]:
    """What a component goes by, each with its field: id, name, other names."""
    names: list[tuple[str, Path]] = [(component.id, ("component",)), (component.name, ("name",))]
    return names + [(other, ("also called", i)) for i, other in enumerate(component.also_called)]


def clashes(called: Iterable[Called]) -> Iterator[Finding]:
    """What is to be said of all names, given by component and in the order of its fields."""
    found: dict[str, dict[str, Called]] = {}
    for one in called:
        found.setdefault(" ".join(one.name.casefold().split()), {}).setdefault(one.code, one)
    for fits in found.values():
        if len(fits) < 2:
            continue
        last = list(fits.values())[-1]
        yield At(last.place, last.field, last.code).remark(
            CLASH,
            f"the name {last.name!r} fits {len(fits)} components: {listed(fits, shown=5)};",
            "give each a name of its own, or look it up by its id.",
        )


def derivation(evidence: Evidence) -> Iterator[Finding]:
    """Figures that were worked out from each other, or that replace each other so that none is in force."""
    origins: dict[str, tuple[str, ...]] = {}
    replaced: dict[str, tuple[str, ...]] = {}
    for component in evidence.collection.components.values():
        for statement in component.masses:
            key = statement.key(component.id)
            origins[key] = statement.derived.from_ if statement.derived else ()
            replaced[key] = (statement.replaces,) if statement.replaces else ()
    for weighing in evidence.collection.weighings.values():
        replaced[weighing.id] = (weighing.replaces,) if weighing.replaces else ()
    for ring in _rings(origins):
        told = f"{' from '.join(ring)}: these figures were worked out from each other, so none is a witness;"
        remedy = "say what the first one really came from."
        yield _ring_finding(evidence, ring, "derived", Verdict.CANNOT_BE_CHECKED, told, remedy)
    for ring in _rings(replaced):
        told = f"{' replaces '.join(ring)}: figures that replace each other leave none in force;"
        remedy = "take 'replaces' out of the one that is older."
        yield _ring_finding(evidence, ring, "replaces", Verdict.FAULT, told, remedy)


def _ring_finding(
    evidence: Evidence, ring: list[str], field: str, verdict: Verdict, sentence: str, remedy: str
) -> Finding:
    stated = evidence.stated[ring[0]][0]
    at = evidence.at(stated.kind, stated.record, *stated.path, field)
    return at.says(verdict, "derivation", sentence, remedy)


def _rings(edges: Mapping[str, tuple[str, ...]]) -> Iterator[list[str]]:
    """One closed walk for each group of ids that lead back to themselves, the smallest id first."""
    waiting = {key: sum(1 for t in targets if t in edges) for key, targets in edges.items()}
    sources: dict[str, list[str]] = {}
    for key, targets in edges.items():
        for target in targets:
            if target in edges:
                sources.setdefault(target, []).append(key)
    free = [key for key, left in waiting.items() if left == 0]
    for key in free:  # grows while it is walked: peel off what leads nowhere
        for above in sources.get(key, ()):
            waiting[above] -= 1
            if waiting[above] == 0:
                free.append(above)
    bound = set(edges) - set(free)
    seen: set[str] = set()
    for start in sorted(bound):
        walk: dict[str, int] = {}
        here = start
        while here not in seen and here not in walk:
            walk[here] = len(walk)
            here = next(target for target in edges[here] if target in bound)
        if here in walk:
            ring = list(walk)[walk[here] :]
            turn = ring.index(min(ring))
            yield [*ring[turn:], *ring[:turn], ring[turn]]
        seen.update(walk)
