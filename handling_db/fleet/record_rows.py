"""Rows of a fleet's tables from records: every component in every build it occurs in, and in every state."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import TypeVar

from handling_db.database.rows import above, below, number
from handling_db.families.build import Build, BuildError, build_of, value_text
from handling_db.quantities.mass import Mass
from handling_db.records.collection import Collection
from handling_db.records.kinds.component import Component
from handling_db.records.parts.texts import STATES
from handling_db.tables.text.figures import decimal_of
from handling_db.weights.compare import Judge
from handling_db.weights.totals import Basis, Totals
from handling_db.weights.witness import Witness

EVERY = "every"  # one row stands for the three states where they are the same

Row = tuple[object, ...]
Kind = TypeVar("Kind", Row, Row | None)


@dataclass(frozen=True, slots=True)
class Planned:
    """What all the evidence lets one component in its default build weigh at most, as the database has it."""

    kg: float | None
    why_none: str | None


Plans = Mapping[tuple[str, str], Planned]  # by component and state, or every


@dataclass(frozen=True, slots=True)
class RecordRows:
    """Rows without shop and stamp, in the order of the columns of their tables.

    Parameters
    ----------
    count : int
        How many nodes there are.
    """

    count: int
    names: list[Row]
    lines: list[Row]
    masses: list[Row]
    totals: list[Row]


def record_rows(collection: Collection, plans: Plans, places: Mapping[str, tuple[str, int]]) -> RecordRows:
    """Every node of a collection with its part lines, its masses and the program's own totals.

    Parameters
    ----------
    collection : Collection
    plans : mapping of (component, state) to Planned
    places : mapping of component to (file, line)
    """
    judge = Judge(collection)
    tree = judge.tree
    texts = [build_text(collection.components[code], build) for code, build in tree.nodes]
    order = sorted(range(len(tree.nodes)), key=lambda node: (tree.component(node), texts[node]))
    key = {node: place for place, node in enumerate(order)}
    found = RecordRows(len(order), [], [], [], [])
    by_state = [judge.totals(state) for state in STATES]
    below_it = [(unknown_pieces(totals), scattering(totals)) for totals in by_state]
    for node in order:
        code, build = tree.nodes[node]
        component = collection.components[code]
        default = _is_default(component, build)
        found.names.append(_name(key[node], component, texts[node], default, len(tree.broken.get(node, ())),
                                 places.get(code)))  # fmt: skip
        for use in tree.uses[node]:
            found.lines.append(
                (key[node], key[use.child], use.index + 1, float(use.quantity), exact_text(use.quantity))
            )
        masses = [mass_row(totals, node) for totals in by_state]
        found.masses.extend((key[node], state, *row) for state, row in _once(masses) if row is not None)
        plan = {s: plans.get((code, s)) or plans.get((code, EVERY)) if default else None for s in STATES}
        sums = [
            _total(totals, node, unknown[node], scatters[node], plan[totals.state])
            for totals, (unknown, scatters) in zip(by_state, below_it, strict=True)
        ]
        found.totals.extend((key[node], state, *row) for state, row in _once(sums))
    return found


def build_text(component: Component, build: Build) -> str:
    """``discs=8; length=620 mm``; empty without parameters."""
    return "; ".join(f"{name}={value_text(component.parameters[name], value)}" for name, value in build)


def _is_default(component: Component, build: Build) -> bool:
    try:
        return build == build_of(component)
    except BuildError:
        return False


def _name(
    key: int, component: Component, build: str, default: bool, broken: int, place: tuple[str, int] | None
) -> Row:
    return (
        key,
        component.id,
        build,
        default,
        component.name,
        component.kind,
        component.maker,
        component.part_number,
        bool(component.parts) and component.fluid is None,
        bool(component.parts) and component.parts_listed != "all",
        broken,
        *(place or (None, None)),
    )


def _once(rows: Sequence[Kind]) -> list[tuple[str, Kind]]:
    """One row for every state where the three are the same."""
    if rows[0] == rows[1] == rows[2]:
        return [(EVERY, rows[0])]
    return list(zip(STATES, rows, strict=True))


def mass_row(totals: Totals, node: int) -> Row | None:
    """The figure used for one piece, or the whole that may stand for its parts; None where there is none."""
    figure = totals.figures[node]
    component = totals.collection.components[totals.tree.component(node)]
    if component.parts and component.fluid is None:
        whole = totals.whole_at(node)
        return None if whole is None else _mass(whole.mass, Basis.WHOLE, whole)
    return None if figure.mass is None else _mass(figure.mass, figure.basis, figure.witness)


def _mass(mass: Mass, basis: Basis, witness: Witness | None) -> Row:
    together: float | None = None
    scatter: Fraction | None = None
    if basis is Basis.STATEMENT and witness is not None and witness.pieces != 1 and witness.scatter:
        together, scatter = float(witness.pieces), witness.scatter
    return (
        *_figures(mass),
        basis.value,
        witness.source.id if witness else None,
        witness.kind.name if witness else None,
        witness.printed if witness else None,
        together,
        above(scatter),
    )


def _figures(mass: Mass) -> Row:
    return (
        number(mass.best),
        below(mass.low),
        above(mass.high),
        exact_text(mass.best),
        exact_text(mass.low),
        exact_text(mass.high),
    )


def unknown_pieces(totals: Totals) -> list[Fraction]:
    """By node, how many pieces without a mass its figure lacks: those of its parts, as far as sums go."""
    tree = totals.tree
    found = [Fraction(0)] * len(tree.nodes)
    for node in tree.order:
        figure = totals.figures[node]
        if figure.mass is None:
            found[node] = Fraction(1)
        elif figure.basis is Basis.SUM:
            below_it = sum((found[use.child] * use.quantity for use in tree.uses[node]), start=Fraction(0))
            found[node] = below_it + len(tree.broken.get(node, ()))
    return found


def scattering(totals: Totals) -> list[bool]:
    """By node, whether its figure holds one that was weighed for several pieces, with scatter."""
    found = [False] * len(totals.tree.nodes)
    for node in totals.tree.order:
        figure = totals.figures[node]
        if figure.basis is Basis.STATEMENT and figure.witness is not None:
            found[node] = figure.witness.pieces != 1 and bool(figure.witness.scatter)
        elif figure.basis is Basis.SUM:
            found[node] = any(found[use.child] for use in totals.tree.uses[node])
    return found


def shown_mass(totals: Totals, node: int, scatters: bool) -> Mass | None:
    """The mass of one piece as the program shows it; None where nobody knows it.

    Pieces that were weighed together scatter by how many of them a total holds, which takes a walk below it.
    """
    figure = totals.figures[node]
    if figure.basis is not Basis.SUM:
        return figure.several(Fraction(1))
    return totals.sum_of(node).mass if scatters else figure.mass


def _total(totals: Totals, node: int, unknown: Fraction, scatters: bool, plan: Planned | None) -> Row:
    figure = totals.figures[node]
    mass = shown_mass(totals, node, scatters)
    known = mass is not None and (mass.complete or mass.high > 0)
    return (
        *(_figures(mass) if mass is not None and known else (None,) * 6),
        mass is not None and mass.complete,
        figure.basis.value,
        totals.tree.height.get(node),
        float(unknown),
        plan.kg if plan else None,
        plan.why_none if plan else None,
    )


def exact_text(value: Fraction | None) -> str | None:
    """``45.359237``, or ``10/3``; None for none. `Fraction` reads both."""
    if value is None:
        return None
    try:
        return decimal_of(value)
    except ValueError:
        return str(value)
