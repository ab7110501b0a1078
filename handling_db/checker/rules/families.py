"""Families: shapes against weighings, values that are not handed down, builds offered that cannot be."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from fractions import Fraction

from handling_db.checker.evidence import Evidence, listed
from handling_db.families.build import Build, BuildError, build_of, read_value
from handling_db.families.parameter import choice_values, value_text
from handling_db.findings import Finding
from handling_db.quantities.display import span
from handling_db.records.connected import connected
from handling_db.records.kinds.component import Component, Parameter
from handling_db.weights.own_centre import at_datum, shape_extent
from handling_db.weights.tree import Node, unfold
from handling_db.weights.witness import Witness, varies, witnesses

MOST = (
    200  # of the components with parameters that hang together, so many have the ends of their ranges tried
)
MOST_CHOICES = 20

# By what a mass changes when lengths are mixed up, and how that happens.
_SLIPS = (
    (Fraction(4), "a radius stands for a diameter"),
    (Fraction(10), "one length is in mm where cm is meant, or the reverse"),
    (Fraction(254, 10), "one length is in mm where inches are meant, or the reverse"),
    (Fraction(1000), "all lengths are in mm where cm is meant, or the reverse"),
)


def apart_in_builds(evidence: Evidence) -> Iterator[Finding]:
    """Figures stated for another build than the usual one, against formulas and shapes in that build."""
    for code in evidence.with_figures:
        component = evidence.collection.components[code]
        if not component.parameters or not varies(component):
            continue
        usual = _build(component, ())
        for stated in evidence.witnesses(code):
            build = _build(component, stated.build)
            if stated.worked_in is not None or build in (None, usual) or stated.packed or not stated.chosen:
                continue
            for worked in witnesses(evidence.collection, component, build):
                if worked.worked_in is None or not worked.chosen or not _same_question(stated, worked):
                    continue
                gap = max(stated.mass.low - worked.mass.high, worked.mass.low - stated.mass.high)
                if gap > 0:
                    yield _apart(evidence, stated, worked)


def _build(component: Component, texts: tuple[tuple[str, str], ...]) -> Build | None:
    try:
        given = {
            name: read_value(name, component.parameters[name], text)
            for name, text in texts
            if name in component.parameters
        }
        return build_of(component, given)
    except BuildError:
        return None


def _same_question(one: Witness, other: Witness) -> bool:
    """Whether state and boundary keep two figures apart; what is not said keeps nothing apart."""
    if one.state is not None and other.state is not None and one.state != other.state:
        return False
    both_known = one.boundary_known and other.boundary_known
    return not both_known or (one.counts, one.without) == (other.counts, other.without)


def _apart(evidence: Evidence, stated: Witness, worked: Witness) -> Finding:
    light, heavy = (stated, worked) if stated.mass.high < worked.mass.low else (worked, stated)
    gap = (heavy.mass.low - light.mass.high, heavy.mass.high - light.mass.low)
    texts = listed(f"{name} {value}" for name, value in stated.build)
    return evidence.where(stated).disagrees(
        "statements-apart",
        f"{evidence.name(stated.component)}, {texts}: {light.printed} ({light.source.name}) and "
        f"{heavy.printed} ({heavy.source.name}) lie apart by {span(*gap)}.",
        "Weigh it again, or correct the formula or the shape.",
        (("lighter", light.mass.low, light.mass.high), ("heavier", heavy.mass.low, heavy.mass.high)),
        gap,
    )


def size_slip(evidence: Evidence) -> Iterator[Finding]:
    """A shape apart from a better figure by what a slip in its lengths would do to the mass."""
    for code in evidence.with_figures:
        component = evidence.collection.components[code]
        if not any(statement.shape is not None for statement in component.masses):
            continue
        found = evidence.witnesses(code)
        usual = _build(component, ())
        better = next(
            (
                w
                for w in found
                if w.chosen and not w.hint and not w.packed and _build(component, w.build) == usual
            ),
            None,
        )
        if better is None:
            continue
        for shape in found:
            fits = _slips(shape, better) if shape.from_shape else []
            if fits:
                yield evidence.where(shape, "shape").remark(
                    "likely-size-slip",
                    f"{evidence.name(code)}: {shape.printed} would go with {better.printed} "
                    f"({better.source.name}) if {listed(fits, last='or')} in the shape.",
                    "Measure it again; nothing is changed.",
                )


def _slips(shape: Witness, better: Witness) -> list[str]:
    """The slips that would bring a shape that lies apart to the better figure."""

    def touches(factor: Fraction) -> bool:
        low, high = shape.mass.low * factor, shape.mass.high * factor
        return low <= better.mass.high and high >= better.mass.low

    if touches(Fraction(1)):
        return []
    return [words for factor, words in _SLIPS if touches(factor) or touches(1 / factor)]


def not_handed_down(evidence: Evidence) -> Iterator[Finding]:
    """A part line that does not set a parameter which parent and child both have."""
    for code, component in sorted(evidence.collection.components.items()):
        if not component.parameters:
            continue
        for index, line in enumerate(component.parts):
            child = evidence.collection.components.get(line.component)
            for name, parameter in child.parameters.items() if child else ():
                if name not in component.parameters or name in line.set or parameter.formula is not None:
                    continue
                yield evidence.at("component", code, "parts", index).remark(
                    "not-handed-down",
                    f"{component.name} and {evidence.name(line.component)} both have {name}, and this line "
                    f"does not set it: the part stays at {parameter.default} whatever {name} is.",
                    f"Write 'set: {{{name}: {name}}}', or the value that is meant.",
                )


def build_offered(evidence: Evidence) -> Iterator[Finding]:
    """An end of a range, or a choice, that the component or a part below it cannot take."""
    families = [code for code, c in evidence.collection.components.items() if c.parameters]
    seen = {(fault.component, fault.index, fault.message) for fault in evidence.tree.faults}
    known = set(evidence.tree.nodes)  # what is the matter below these is said already
    together = connected(evidence.collection)
    tried: Counter[frozenset[str]] = Counter()
    for code in sorted(families, key=lambda c: (evidence.height(c), c)):
        tried[together[code]] += 1
        if tried[together[code]] > MOST:
            continue
        component = evidence.collection.components[code]
        if _build(component, ()) is None:
            continue  # reported as it stands
        for name, parameter in component.parameters.items():
            for key, value in _ends(name, parameter):
                message = _refused(evidence, component, {name: value}, seen, known)
                if message:
                    yield evidence.at("component", code, "parameters", name, key).remark(
                        "build-offered",
                        f"{component.name} offers {name} = {value_text(parameter, value)}, but: {message}.",
                        "Make the range as narrow as what can be built, or correct the formula.",
                    )


def _ends(name: str, parameter: Parameter) -> Iterator[tuple[str, Fraction | str]]:
    if parameter.formula is not None:
        return
    if parameter.choices is not None:
        for value in choice_values(name, parameter)[:MOST_CHOICES]:
            yield "choices", value
        return
    for key, text in (("from", parameter.from_), ("to", parameter.to)):
        if text is not None:
            yield key, read_value(name, parameter, text)


def _refused(
    evidence: Evidence,
    component: Component,
    given: Mapping[str, Fraction | str],
    seen: set[tuple[str, int, str]],
    known: set[Node],
) -> str:
    """Why this value cannot be built, if nothing said so yet."""
    try:
        tree = unfold(evidence.collection, [(component.id, given)], known=known)
    except BuildError as error:
        return str(error)
    known.update(tree.nodes)
    new = [f for f in tree.faults if (f.component, f.index, f.message) not in seen]
    seen.update((f.component, f.index, f.message) for f in new)
    return f"{evidence.name(new[0].component)}: {new[0].message}" if new else ""


FAR_M = 0.1  # how far the middle of a shape may be from the datum it is taken at before that is said


def shape_off_datum(evidence: Evidence) -> Iterator[Finding]:
    """A piece without a centre, taken at its datum, whose shape has its middle far from where it starts."""
    collection = evidence.collection
    for code, component in sorted(collection.components.items()):
        if not at_datum(component) or not any(one.shape is not None for one in component.masses):
            continue
        try:
            extent = shape_extent(component, build_of(component), collection.materials)
        except BuildError:
            continue  # said where the build is
        if extent is None:
            continue
        middle = [(low + high) / 2 for low, high in zip(extent.low, extent.high, strict=True)]
        off = max(abs(value) for value in middle)
        if off <= FAR_M:
            continue
        index = next(i for i, one in enumerate(component.masses) if one.shape is not None)
        yield evidence.at("component", code, "masses", index, "shape").remark(
            "shape-off-datum",
            f"{evidence.name(code)}: nothing says where its centre is, so it is taken at its datum; its "
            f"shape is "
            f"{1000 * max(extent.size):.0f} mm long, and its middle is {1000 * off:.0f} mm from where it "
            f"starts;",
            "write 'shape lies' (its 'middle', or 'at' where it starts), or 'centre'.",
        )
