"""Random collections with known truth: what a shop lists, as plain figures and as records, and totals by recursion.

The oracle shares nothing with the program: it goes through the plain figures by recursion, in fractions. It says
what is handed upward by the rules in words (docs/design.md): a part its figure, an assembly the sum where all is
known and listed, else a whole that may stand for its parts and that the known parts do not outweigh, else the sum.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, field
from fractions import Fraction

from handling_db.records.collection import Collection
from tests.from_text import SCALE, collection

STATES = ("dry", "drained", "filled")


@dataclass
class Piece:
    """One component as it was made up. Masses as (best, half-width) in kilograms."""

    code: str
    own: tuple[Fraction, Fraction] | None = None
    together: int = 1
    scatter: Fraction = Fraction(0)
    fluid: tuple[Fraction, Fraction, Fraction | None] | None = None  # litres, kg/L, litres that stay
    lines: list[tuple[str, Fraction]] = field(default_factory=list)
    listed: str = "all"
    whole: tuple[Fraction, Fraction, str] | None = None  # best, half-width, state


@dataclass
class Shown:
    """What the oracle says of one piece in one state: exact, of the known part."""

    best: Fraction
    low: Fraction
    high: Fraction
    complete: bool
    basis: str
    unknown: Fraction


def made_up(chance: random.Random, *, most: int = 14, tie: float = 0.3) -> dict[str, Piece]:
    """A shop's pieces, each assembly made of earlier ones, so that none contains itself."""
    pieces: dict[str, Piece] = {}
    singles = chance.randrange(1, most)
    for number in range(singles):
        piece = Piece(f"p{number}")
        draw = chance.random()
        if draw < 0.15:
            piece.fluid = (Fraction(chance.randrange(1, 60)), Fraction(chance.randrange(80, 100), 100),
                           chance.choice([None, Fraction(1), Fraction(2)]))  # fmt: skip
        elif draw < 0.75:
            piece.own = (Fraction(chance.randrange(50, 20_000), 10), Fraction(chance.randrange(1, 20), 10))
            if chance.random() < 0.2:
                piece.together, piece.scatter = chance.randrange(2, 6), Fraction(chance.randrange(1, 10), 10)
        pieces[piece.code] = piece
    for number in range(chance.randrange(1, most)):
        piece = Piece(f"a{number}", listed=chance.choice(["all", "all", "all", "some"]))
        for code in chance.sample(sorted(pieces), min(len(pieces), chance.randrange(1, 5))):
            piece.lines.append((code, Fraction(chance.choice(["1", "2", "3", "7", "1.5", "0.25"]))))
        pieces[piece.code] = piece
        if chance.random() < 0.5:
            state = chance.choice(STATES)
            known = handed(pieces, piece.code, state)
            half = Fraction(chance.randrange(1, 30), 10)
            # Often exactly as heavy as the known parts at least are: what floating point cannot tell.
            least = known.low if chance.random() < tie else known.best * chance.randrange(8, 14) / 10
            best = max(least - half, Fraction(1)) if chance.random() < 0.5 else max(least, Fraction(1))
            piece.whole = (Fraction(round(best * 1000), 1000), half, state)
    return pieces


def has_fluid(pieces: dict[str, Piece], code: str) -> bool:
    piece = pieces[code]
    return piece.fluid is not None or any(has_fluid(pieces, child) for child, _ in piece.lines)


def _fluid(piece: Piece, state: str) -> tuple[Fraction, Fraction, Fraction] | None:
    assert piece.fluid is not None
    litres, density, stays = piece.fluid
    if state == "dry":
        return (Fraction(0),) * 3
    volume = litres if state == "filled" else stays
    if volume is None:
        return None
    # Volume and density each to half of the step they are written with: 0.1 L, 0.01 kg/L.
    dv, dd = Fraction(1, 20), Fraction(1, 200)
    return volume * density, max(volume - dv, Fraction(0)) * (density - dd), (volume + dv) * (density + dd)


def handed(pieces: dict[str, Piece], code: str, state: str) -> Shown:
    """What a piece hands upward, by recursion along every path."""
    piece = pieces[code]
    nothing = Fraction(0)
    if not piece.lines:
        if piece.fluid is not None:
            found = _fluid(piece, state)
            if found is None:
                return Shown(nothing, nothing, nothing, False, "nobody knows", Fraction(1))
            return Shown(*found, True, "litres times density", nothing)
        if piece.own is None:
            return Shown(nothing, nothing, nothing, False, "nobody knows", Fraction(1))
        best, half = piece.own[0] / piece.together, piece.own[1] / piece.together
        return Shown(best, max(best - half, nothing), best + half, True, "statement", nothing)
    best = low = high = unknown = nothing
    complete = piece.listed == "all"
    for child, number in piece.lines:
        part = handed(pieces, child, state)
        spread = min(number, abs(pieces[child].together - number)) * pieces[child].scatter
        best += number * part.best
        low += max(number * part.low - spread, nothing)
        high += number * part.high + spread
        unknown += number * part.unknown
        complete = complete and part.complete
    if not complete and piece.whole is not None:
        stated, half, of = piece.whole
        speaks = of == state or (of == "dry" and not has_fluid(pieces, code))
        if speaks and low <= stated + half:
            return Shown(
                stated, max(stated - half, nothing), stated + half, True, "whole, not from parts", nothing
            )
    return Shown(best, low, high, complete, "sum of parts", unknown)


def shown(pieces: dict[str, Piece], code: str, state: str) -> Shown:
    """What is shown for one piece: pieces weighed together scatter by how many of each there are in all."""
    found = handed(pieces, code, state)
    counts: dict[str, Fraction] = {}
    _count(pieces, code, state, Fraction(1), counts)
    if not any(pieces[leaf].scatter for leaf in counts):
        return found
    low = high = Fraction(0)
    for leaf, number in counts.items():
        part = handed(pieces, leaf, state)
        spread = min(number, abs(pieces[leaf].together - number)) * pieces[leaf].scatter
        low += max(number * part.low - spread, Fraction(0))
        high += number * part.high + spread
    return Shown(found.best, low, high, found.complete, found.basis, found.unknown)


def _count(
    pieces: dict[str, Piece], code: str, state: str, many: Fraction, into: dict[str, Fraction]
) -> None:
    if handed(pieces, code, state).basis != "sum of parts":
        into[code] = into.get(code, Fraction(0)) + many
        return
    for child, number in pieces[code].lines:
        _count(pieces, child, state, many * number, into)


def depth(pieces: dict[str, Piece], code: str) -> int:
    return max((1 + depth(pieces, child) for child, _ in pieces[code].lines), default=0)


def as_records(pieces: dict[str, Piece], shop: str = "") -> Collection:
    """The same as records."""
    return collection(as_text(pieces, shop))


def as_text(pieces: dict[str, Piece], shop: str = "") -> str:
    lines = [SCALE]
    if shop:
        lines.append(f"- {{shop: {shop}, name: Shop {shop}, reads first: kg}}")
    for piece in pieces.values():
        kind = "fluid" if piece.fluid else "assembly" if piece.lines else "part"
        said = [f"component: {piece.code}", f"name: {piece.code.upper()}", f"kind: {kind}"]
        if piece.fluid:
            litres, density, stays = piece.fluid
            left = f", stays: {float(stays):.1f} L" if stays is not None else ""
            said.append(f"fluid: {{litres: {float(litres):.1f} L, density: {float(density):.2f} kg/L{left}}}")
        if piece.own:
            more = f", pieces: {piece.together}, scatter: {_text(piece.scatter)} kg" if piece.scatter else ""
            said.append(
                f"masses: [{{printed: {_text(piece.own[0])} kg, plus or minus: {_text(piece.own[1])} kg, source: scale{more}}}]"
            )
        if piece.lines:
            said.append(f"parts listed: {piece.listed}")
            parts = ", ".join(f"{{component: {code}, quantity: {_text(many)}}}" for code, many in piece.lines)
            said.append(f"parts: [{parts}]")
        if piece.whole:
            best, half, state = piece.whole
            said.append(
                f"masses: [{{printed: {_text(best)} kg, plus or minus: {_text(half)} kg, source: scale, state: {state}, "
                "counts: as listed, without: none, checked by: fitter}]"
            )
        lines.append("- {" + ", ".join(said) + "}")
    return "\n".join(lines)


def _text(value: Fraction | None) -> str:
    assert value is not None
    text = f"{float(value):.4f}".rstrip("0").rstrip(".")
    assert Fraction(text) == value, value
    return text
