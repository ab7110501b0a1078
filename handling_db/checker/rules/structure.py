"""How components hang together: circles, counts and builds that cannot be worked out, lines listed twice."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from handling_db.checker.evidence import Evidence
from handling_db.families.build import BuildError, build_of, read_value
from handling_db.findings import Finding, Verdict
from handling_db.records.kinds.component import Component, PartLine
from handling_db.records.parts.measures import Measure
from handling_db.weights.witness import Witness, varies, worked_witness


def cycle(evidence: Evidence) -> Iterator[Finding]:
    """Components that contain each other: nothing in or above such a ring has a total."""
    for ring in evidence.tree.cycles:
        first, second = ring[0], ring[1]
        lines = evidence.collection.components[first].parts
        index = next(i for i, line in enumerate(lines) if line.component == second)
        yield evidence.at("component", first, "parts", index).fault(
            "cycle",
            f"{' contains '.join(_ring(ring))}: nothing can contain itself;",
            "take one of these part lines out. Until then nothing that contains them has a total.",
        )


def _ring(ring: tuple[str, ...]) -> list[str]:
    if len(ring) <= 12:
        return list(ring)
    return [*ring[:6], f"({len(ring) - 11} more)", *ring[-5:]]


def quantity(evidence: Evidence) -> Iterator[Finding]:
    """Counts that cannot be worked out in a build that occurs: the part is left out of the total."""
    remedy = "write what gives a whole number, 0 where the part is absent."
    yield from _of_lines(evidence, "quantity", ("quantity", "only when"), remedy)


def place(evidence: Evidence) -> Iterator[Finding]:
    """Places that cannot be worked out in a build that occurs: the centre of the assembly is not known."""
    remedy = "correct the formula; until then the place is not known."
    yield from _of_lines(evidence, "place", ("at", "places"), remedy)


def build(evidence: Evidence) -> Iterator[Finding]:
    """Values that a component cannot take: in a default, in what a part line sets, in a figure's build."""
    for code, message in sorted({(f.component, f.message) for f in evidence.tree.faults if f.index < 0}):
        yield evidence.at("component", code, "parameters").fault(
            "build",
            f"the usual build cannot be worked out: {message};",
            "correct the default, the formula or the range.",
        )
    remedy = "set only parameters of the part, each to a value it can take."
    yield from _of_lines(evidence, "build", ("set",), remedy)
    for code in evidence.with_figures:
        for witness in evidence.witnesses(code):
            wrong = wrong_build(evidence.collection.components[code], witness)
            if wrong:
                yield evidence.where(witness, "build").unchecked(
                    "build",
                    f"the figure {witness.printed} is for a build that is not known: {wrong};",
                    "name only parameters of this component, each with a value it can take, or add them.",
                )


def worked_figure(evidence: Evidence) -> Iterator[Finding]:
    """A formula or a shape that cannot be worked out in a build that occurs: the part has no mass there."""
    for code in evidence.with_figures:
        component = evidence.collection.components[code]
        if not varies(component):
            continue
        for index, statement in enumerate(component.masses):
            if not statement.worked_out or not _source_known(evidence, statement.source):
                continue
            message = _why_not(evidence, component, index)
            if message:
                field = "formula" if statement.formula is not None else "shape"
                yield evidence.at("component", code, "masses", index, field).fault(
                    "worked-figure",
                    f"{message};",
                    "correct it, or limit the parameters to values it holds for.",
                )


def _source_known(evidence: Evidence, source_id: str) -> bool:
    source = evidence.collection.sources.get(source_id)
    return source is not None and source.kind in evidence.collection.source_kinds


def _why_not(evidence: Evidence, component: Component, index: int) -> str:
    """Why a figure cannot be worked out in one of the builds that occur, or nothing."""
    for node in evidence.nodes_of.get(component.id, ()):
        try:
            worked_witness(evidence.collection, component, index, evidence.tree.nodes[node][1])
        except BuildError as error:
            return str(error)
    return ""


def wrong_build(component: Component, witness: Witness) -> str:
    """What is wrong with the build a figure names, or nothing."""
    unknown = [name for name, _ in witness.build if name not in component.parameters]
    if unknown:
        known = ", ".join(component.parameters) or "none"
        return f"{component.name} has no parameter {unknown[0]!r} (it has: {known})"
    try:
        build_of(component, {n: read_value(n, component.parameters[n], text) for n, text in witness.build})
    except BuildError as error:
        return str(error)
    return ""


def _of_lines(evidence: Evidence, rule: str, fields: tuple[str, ...], remedy: str) -> Iterator[Finding]:
    """What the tree could not work out in these fields of part lines, each once."""
    found = {(f.component, f.index, f.message) for f in evidence.tree.faults if f.index >= 0}
    for code, index, message in sorted(found):
        field = _field_of(evidence.collection.components[code].parts[index], message)
        if field in fields:
            yield evidence.at("component", code, "parts", index, field).fault(rule, f"{message};", remedy)


def _field_of(line: PartLine, message: str) -> str:
    """The field a message is about: it starts with the formula, unless it is about what the line sets."""

    def told(text: str | None) -> bool:
        return text is not None and message.startswith(repr(text))

    if told(line.quantity.text):
        return "quantity"
    if told(line.only_when):
        return "only when"
    if line.at is not None and any(told(measure.text) for measure in line.at):
        return "at"
    if line.places is not None and message.startswith("'"):
        return "places"
    return "set"


def listed_twice(evidence: Evidence) -> Iterator[Finding]:
    """The same part on two lines of one assembly, in the same build."""
    for code, component in sorted(evidence.collection.components.items()):
        if len({line.component for line in component.parts}) == len(component.parts):
            continue
        first: dict[tuple[str, tuple[tuple[str, str], ...]], int] = {}
        for index, line in enumerate(component.parts):
            key = (line.component, tuple(sorted(line.set.items())))
            if key not in first:
                first[key] = index
                continue
            yield _twice(evidence, code, first[key], index)


def _twice(evidence: Evidence, code: str, first: int, second: int) -> Finding:
    lines = evidence.collection.components[code].parts
    name = evidence.name(lines[second].component)
    other = evidence.place("component", code, "parts", first)
    where = f" ({other})" if other else ""
    counts = f"quantities {lines[first].quantity} and {lines[second].quantity}"
    same_place = bool(_places(lines[first]) & _places(lines[second]))
    if same_place:
        sentence = f"{name} is on two lines at one place{where}, {counts}; the total counts both."
        remedy = "Two pieces cannot be in one place: take one line out, or correct its place."
    else:
        sentence = f"{name} is on two lines of {evidence.name(code)}{where}, {counts}; the total counts both."
        remedy = "If it is the same piece, take one line out; if not, give each line its place."
    return evidence.at("component", code, "parts", second).says(
        Verdict.DISAGREES if same_place else Verdict.REMARK, "part-listed-twice", sentence, remedy
    )


def _places(line: PartLine) -> set[tuple[Fraction | str, ...]]:
    """Where single pieces of a line are; nothing for a set with one common centre or an open count."""
    if line.places is not None:
        return {_point(placement.at) for placement in line.places}
    if line.at is not None and line.quantity.number == 1:
        return {_point(line.at)}
    return set()


def _point(at: tuple[Measure, Measure, Measure]) -> tuple[Fraction | str, ...]:
    return tuple(measure.text if measure.base is None else measure.base for measure in at)
