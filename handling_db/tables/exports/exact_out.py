"""The exact cells of an exported list: what a reader needs to have every mass, doubt and place again."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from math import ceil

from handling_db.lookup.listing import ListingLine
from handling_db.quantities.number_text import FRACTION, NUMBER
from handling_db.quantities.quantity import Quantity
from handling_db.records.collection import Collection
from handling_db.records.kinds.component import Component, PartLine
from handling_db.records.parts.statement import MassStatement
from handling_db.tables.numbers import assumed_step
from handling_db.tables.text.figures import decimal_of
from handling_db.weights.witness import Witness, witnesses

EXACT = (
    "mass each", "unit", "step", "plus or minus", "u", "also printed", "state", "boundary", "build", "serial",
    "on", "by", "source", "source kind", "figure remark", "where", "x mm", "y mm", "z mm", "roll deg",
    "pitch deg", "yaw deg", "cg x mm", "cg y mm", "cg z mm", "parts listed",
)  # fmt: skip
CENTRE = ("cg x mm", "cg y mm", "cg z mm")
PLACES = 9  # of figures that are worked out, and of thirds of a millimetre

Cells = Mapping[str, str]


def exact_cells(
    collection: Collection, lines: Sequence[ListingLine]
) -> tuple[list[Cells], list[tuple[str, Cells]]]:
    """The exact cells of every line, and rows for what else is said of the same components.

    Parameters
    ----------
    collection : Collection
    lines : sequence of ListingLine
        Each parent before its children.

    Returns
    -------
    (list of mapping, list of (id, mapping))
        For each line its cells by the headings of `EXACT`; then a row for each further figure of a component.
        A component that occurs again says nothing again, and of the parts below it the line says nothing at
        all: ``again`` is set.
    """
    cells: list[dict[str, str]] = []
    more: list[tuple[str, Cells]] = []
    seen: set[str] = set()
    used: dict[str, int] = {}  # part lines of each assembly that stand in the list already
    again_below: int | None = None  # level of an assembly that is listed again
    for line in lines:
        if again_below is not None and line.level > again_below:
            cells.append({"again": "yes"})
            continue
        again_below = None
        found: dict[str, str] = {}
        component = collection.components[line.id]
        if line.goes_into:
            whole = collection.components[line.goes_into]
            parts = [part for part in whole.parts if part.component == line.id]
            place = used[f"{line.goes_into}\0{line.id}"] = used.get(f"{line.goes_into}\0{line.id}", -1) + 1
            found |= _place(parts[min(place, len(parts) - 1)])
        if line.id in seen:
            if component.parts:
                again_below = line.level
            cells.append(found)
            continue
        seen.add(line.id)
        # What is worked out from a shape or a formula is a figure of its own only where nothing else is said.
        # A table cannot say that a reading waits to be confirmed: read again it would count.
        figures = [witness for witness in witnesses(collection, component) if not witness.waits]
        said = [(_figure(component, witness), witness) for witness in figures]
        if component.parts:
            found["parts listed"] = component.parts_listed or "nobody looked"
        if component.centre is not None:
            found |= dict(zip(CENTRE, map(_millimetres, component.centre), strict=True))
        cells.append(found | (said[0][0] if said else {}))
        more += [(line.id, figure) for figure, witness in said[1:] if witness.worked_in is None]
    return list(cells), more


def _place(part: PartLine) -> dict[str, str]:
    if part.at is None:
        return {}
    found = dict(zip(("x mm", "y mm", "z mm"), map(_millimetres, part.at), strict=True))
    for name in ("roll", "pitch", "yaw"):
        angle = getattr(part.turned, name, None) if part.turned is not None else None
        if angle is not None and angle.quantity is not None:
            found[f"{name} deg"] = _decimal(angle.quantity.base)
    return found


def _millimetres(length: object) -> str:
    quantity = getattr(length, "quantity", None)
    return _decimal(quantity.base * 1000) if isinstance(quantity, Quantity) else ""


def _decimal(number: Fraction) -> str:
    """Exactly, where that has an end soon enough."""
    try:
        text = decimal_of(number)
    except ValueError:
        text = ""
    if text and len(text.partition(".")[2]) <= PLACES:
        return text
    return decimal_of(Fraction(round(number * 10**PLACES), 10**PLACES))


def _figure(component: Component, witness: Witness) -> dict[str, str]:
    """One figure as the cells of a row."""
    found = {"source": witness.source.id, "source kind": witness.kind.id}
    if witness.state:
        found["state"] = witness.state
    if witness.on:
        found["on"] = witness.on.isoformat()
    if witness.by:
        found["by"] = witness.by
    serials = witness.serials
    if serials is not None:
        found["serial"] = f"{serials.from_ or ''} to {serials.to or ''}".strip()
    instrument = witness.source.instrument
    shares = (instrument and instrument.calibration_doubt) or witness.source.all_off_alike
    # A list has one figure for one piece: what several weigh together goes out as the mean of one.
    plain = witness.worked_in is None and not shares and witness.pieces == 1
    mass = witness.mass
    half = max(mass.best - mass.low, mass.high - mass.best)
    if plain and witness.position is not None and witness.position[0] == "masses":
        found |= _printed(component.masses[witness.position[1]])
        if instrument and instrument.step and not {"step", "plus or minus", "u"} & found.keys():
            found["plus or minus"] = (
                f"{_outward(half)} kg"  # the list has no column for the instrument's step
            )
        return found
    best = _decimal(mass.best)
    outward = _outward(half + abs(Fraction(best) - mass.best))
    found |= {"mass each": best, "unit": "kg", "plus or minus": outward if Fraction(outward) else ""}
    found["figure remark"] = f"worked out: {witness.printed}"[:200]
    return found


def _outward(half: Fraction) -> str:
    """A half-width that is never less for being written down. [kg]"""
    return decimal_of(Fraction(ceil(half * 10**PLACES), 10**PLACES))


def _printed(statement: MassStatement) -> dict[str, str]:
    """A printed figure as it stands in its record."""
    printed = statement.printed
    assert printed is not None
    number = _number(printed)
    found = {"mass each": number, "unit": printed.unit.name}
    if statement.step is not None:
        found["step"] = statement.step.text
    elif assumed_step(number) != printed.step:
        found["step"] = f"{decimal_of(printed.step)} {printed.unit.name}"
    for name, value in (("plus or minus", statement.plus_or_minus), ("u", statement.u)):
        if value is not None:
            found[name] = str(value)
    if statement.also_printed is not None:
        found["also printed"] = statement.also_printed.printed.text
    found["boundary"] = _boundary(statement)
    if statement.build:
        found["build"] = "; ".join(f"{name}={value}" for name, value in statement.build.items())
    found |= {"where": statement.where or "", "figure remark": statement.remark or ""}
    return {name: text for name, text in found.items() if text}


def _number(quantity: Quantity) -> str:
    """The digits as they were printed, without commas; a fraction as a decimal figure."""
    match = NUMBER.match(quantity.text)
    if FRACTION.match(quantity.text) or match is None or match["under"] or match["sign"]:
        return decimal_of(quantity.number)
    whole = match["whole"].replace(",", "")
    power = f"e{match['power']}" if match["power"] else ""
    return (f"{whole}.{match['places']}" if match["places"] else whole) + power


def _boundary(statement: MassStatement) -> str:
    """What a figure counts and leaves out, as a sheet says it."""
    if statement.counts is None:
        return ""
    counts = statement.counts
    text = counts if isinstance(counts, str) else f"counts {', '.join(counts)}"
    without = statement.without
    if without is None:
        return text
    text += f" without {without if isinstance(without, str) else ', '.join(without)}"
    return f"{text} checked by {statement.checked_by}" if statement.checked_by else text
