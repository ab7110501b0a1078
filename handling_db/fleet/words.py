"""Answers about a fleet in words, for a terminal."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from handling_db.fleet.disagree import Disagreements, NumberApart, SaidThere
from handling_db.fleet.missing import MissingInFleet, Unweighed
from handling_db.fleet.total import FleetTotal, Top
from handling_db.fleet.where_used import Holder, UsedIn
from handling_db.lookup.words import FIGURES_NOT_PERMISSION
from handling_db.quantities.columns import columns
from handling_db.quantities.display import ShownMass, counted, pair, planning_text, span, with_doubt

NOT_KNOWN = "nobody knows"
_NAMED = 20  # of what is apart


def mass_words(best: float | None, low: float | None, high: float | None) -> str:
    """``447.2 ± 3.8 kg (986.0 ± 8.3 lb)``, ``at least ...``, or that nobody knows. [kg]"""
    if best is None or low is None:
        return NOT_KNOWN
    return with_doubt(ShownMass.of(low, best, high))


def number_words(number: float) -> str:
    """A count without digits that say nothing."""
    return f"{number:,.0f}" if number == int(number) else f"{number:,.6g}"


def total_words(found: FleetTotal, out: Path) -> Iterator[str]:
    """What was added up, what stands against the shops' own figures, and the heaviest units."""
    complete = found.totals - found.at_least - found.nothing - found.in_rings
    yield (
        f"{out}: {found.totals:,} totals of {counted(len(found.shops), 'shop')}, from {found.lines:,} part "
        f"lines in {counted(found.levels, 'level')}: {complete:,} complete, {found.at_least:,} at least, "
        f"{found.nothing:,} of which nobody knows anything."
    )
    for ring in found.rings:
        walk = " > ".join(ring.components)
        yield f"! {ring.shop}: contains itself, so nothing in or above it has a total: {walk}"
    if found.in_rings:
        in_rings = counted(found.in_rings, "component")
        yield f"! {in_rings} in or above a ring: no total. Correct the part lines first."
    if found.apart:
        yield (
            f"! {counted(len(found.apart), 'total')} {'is' if len(found.apart) == 1 else 'are'} not what the "
            "shop's own program says; write these folders again, and report it if it stays:"
        )
        for shop, code, build, state in found.apart[:_NAMED]:
            yield f"    {shop}:{code}{f' [{build}]' if build else ''}, {state}"
    else:
        yield "Every total is what the shop's own program says."
    yield "The heaviest that go into nothing, filled:"
    yield columns([_top_row(top) for top in found.tops])
    yield (
        "These are sums. What a shop plans with rests on all its evidence, and can be higher: "
        "own_plan_kg in the file."
    )
    yield FIGURES_NOT_PERMISSION


def _top_row(top: Top) -> list[str]:
    pieces = "piece" if top.unknown == 1 else "pieces"
    unknown = f"{number_words(top.unknown)} {pieces} without a mass" if top.unknown else ""
    plan = (
        f"the shop plans with {planning_text(top.plan)}" if top.plan is not None else "no upper figure there"
    )
    return [top.id, top.name, mass_words(top.best, top.low, top.high), unknown, plan]


def missing_words(found: MissingInFleet) -> Iterator[str]:
    """What has no mass, what most pieces of first."""
    yield f"{counted(found.parts, 'part')} without a mass" + (
        f"; the {len(found.first)} first:" if found.parts > len(found.first) else ":" if found.parts else "."
    )
    if found.first:
        yield columns([_unweighed_row(part) for part in found.first])
    if found.open_lists:
        yield f"{counted(len(found.open_lists), 'assembly', 'assemblies')} at least for its own sake:"
        yield columns([[f"{one.id}{_build(one.build)}", one.name, one.why] for one in found.open_lists])
    if found.in_rings:
        yield f"! {counted(found.in_rings, 'component')} in or above a ring; 'fleet total' names the rings."
    yield "A figure of another shop is no figure of yours: ask them for the weighing, or weigh it."


def _unweighed_row(part: Unweighed) -> list[str]:
    state = "" if part.state == "every" else f"{part.state} only; "
    held = f"{state}{number_words(part.pieces)} in the whole units"
    theirs = ""
    if part.other_shops and part.low_kg is not None and part.high_kg is not None:
        verb = "has" if part.other_shops == 1 else "have"
        theirs = f"{counted(part.other_shops, 'other shop')} {verb} {span(part.low_kg, part.high_kg)}"
    return [f"{part.id}{_build(part.build)}", part.name, held, theirs]


def _build(build: str) -> str:
    return f" [{build}]" if build else ""


def disagree_words(found: Disagreements) -> Iterator[str]:
    """What was compared, and every part number of which figures cannot all be true."""
    yield (
        f"{counted(found.shared, 'part number')} in more than one shop, {found.compared:,} with figures "
        f"of more than one: {len(found.apart):,} of which figures cannot all be true."
    )
    if found.no_maker:
        yield (
            f"{counted(found.no_maker, 'part number')} not compared: no maker stands beside "
            f"{'it' if found.no_maker == 1 else 'them'}. Write the maker, or ask with --any-maker."
        )
    for one in found.apart:
        yield from _apart_words(one)
    if found.compared > len(found.apart):
        yield "Figures that touch may still both be wrong, or be about parts that were changed."


def _apart_words(one: NumberApart) -> Iterator[str]:
    first = one.said[0]
    states = "every state" if len(one.states) == 3 else ", ".join(one.states)
    maker = f"{first.maker} " if first.maker else ""
    gap = pair(one.gap_kg, one.gap_kg / 10)
    yield f"{maker}{first.part_number}{_build(one.build)}, {states}: {gap} apart at least"
    yield columns([_said_row(said) for said in one.said], indent="    ")


def _said_row(said: SaidThere) -> list[str]:
    where = f"{said.source_kind}: {said.printed}" if said.printed and said.source_kind else said.basis
    return [said.id, said.name, mass_words(said.best_kg, said.low_kg, said.high_kg), where]


def where_used_words(found: UsedIn) -> Iterator[str]:
    """The part in every shop, and what holds it, from the lowest up."""
    for part in found.asked:
        yield f"{part.id}{_build(part.build)}  {part.name}" + (
            f"  {part.maker or ''} {part.part_number}".rstrip() if part.part_number else ""
        )
    if not found.holders:
        yield "goes into nothing that is recorded"
    else:
        yield f"goes into {counted(len(found.holders), 'assembly', 'assemblies')}:"
        yield columns([_holder_row(one) for one in found.holders])
    if found.in_rings:
        yield (
            f"! and into {counted(found.in_rings, 'assembly', 'assemblies')} in or above a ring; how many it "
            "holds cannot be said. 'fleet total' names the rings."
        )


def _holder_row(one: Holder) -> list[str]:
    return [
        f"{one.id}{_build(one.build)}",
        one.name,
        f"{number_words(one.pieces)} in each",
        "goes into nothing" if one.top else "",
    ]
