"""Everything below one component as a flat list, each line with its figures: what an export holds."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from handling_db.classes import dataclass
from handling_db.errors import HandlingError, UnknownNameError
from handling_db.families.build import Value, build_of
from handling_db.records.collection import Collection
from handling_db.records.parts.texts import State
from handling_db.weights.totals import Totals
from handling_db.weights.tree import MOST_PLACES, unfold


@dataclass(frozen=True, slots=True)
class ListingLine:
    """One line.

    Parameters
    ----------
    level : int
        0 for the component itself.
    id, name, part_number, kind : str
    goes_into : str
        Id of what it is listed in; empty for the component itself.
    quantity : Fraction
        In one of what it goes into.
    pieces : Fraction
        In one of the component.
    known : bool
        Whether anything is known of its mass.
    complete : bool
        Whether its figure covers all of it; otherwise it is "at least" this.
    best, low, high : Fraction
        Of one piece, in the state asked for. [kg]
    basis : str
        Where the figure comes from.
    """

    level: int
    id: str
    name: str
    part_number: str
    kind: str
    goes_into: str
    quantity: Fraction
    pieces: Fraction
    known: bool
    complete: bool
    best: Fraction
    low: Fraction
    high: Fraction
    basis: str


def listing(
    collection: Collection, code: str, state: State, given: Mapping[str, Value] | None = None
) -> tuple[ListingLine, ...]:
    """A component and everything below it, each parent before its children.

    Parameters
    ----------
    collection : Collection
    code : str
    state : State
    given : mapping of parameter to value, optional
        Replaces defaults.

    Raises
    ------
    UnknownNameError
        No component has that id.
    BuildError
        A given value is not one the component can take.
    HandlingError
        It has more places than one list can hold: a graph that shares its assemblies grows without end.
    """
    if code not in collection.components:
        raise UnknownNameError(f"there is no component {code!r} here; write its id, such as gear-section")
    build = build_of(collection.components[code], given)
    tree = unfold(collection, [(code, dict(build))])
    root = tree.start[(code, build)]
    if root not in tree.height:
        raise HandlingError(f"{code} contains itself, or something that does: there is no list of it yet")
    if tree.places(root) > MOST_PLACES:
        raise HandlingError(
            f"{code} has more than {MOST_PLACES} places; list a smaller assembly: an assembly that is "
            "used many times is listed at each of its places"
        )
    totals = Totals(collection, tree, state)
    found: list[ListingLine] = []
    stack = [(root, 0, "", Fraction(1), Fraction(1))]
    while stack:
        node, level, into, quantity, pieces = stack.pop()
        component = collection.components[tree.component(node)]
        figure = totals.figures[node]
        mass = figure.mass
        witness = figure.witness
        basis = witness.kind.name if witness is not None else str(figure.basis)
        found.append(
            ListingLine(
                level,
                component.id,
                component.name,
                component.part_number or "",
                component.kind,
                into,
                quantity,
                pieces,
                mass is not None and (mass.complete or mass.high > 0),
                mass is not None and mass.complete,
                mass.best if mass else Fraction(0),
                mass.low if mass else Fraction(0),
                mass.high if mass else Fraction(0),
                basis,
            )
        )
        below = [
            (use.child, level + 1, component.id, use.quantity, pieces * use.quantity)
            for use in tree.uses[node]
        ]
        stack.extend(reversed(below))
    return tuple(found)
