"""Every rule: one record that breaks it, and one that just passes."""

from __future__ import annotations

import datetime
import re
from pathlib import Path

import pytest

from handling_db.checker import check
from handling_db.checker.table import RULES
from handling_db.findings import Verdict
from handling_db.records.kinds.origin import version_of

DAY = datetime.date(2026, 11, 25)

# Two parts of 40 and 60 kg, each ± 0.5 kg, and what is stated for both together.
PAIR = """\
- component: unit
  name: Unit
  kind: assembly
  parts listed: all
  parts:
    - {{component: left, quantity: {left}}}
    - {{component: right, quantity: 1}}
  masses:
    - {{printed: {whole}, {more}, source: book}}
- {{component: left, name: Left half, kind: part, masses: [{{printed: {each}, step: 1 kg, source: book}}]}}
- {{component: right, name: Right half, kind: part, masses: [{{printed: 60 kg, step: 1 kg, source: book}}]}}
"""
KNOWN = "counts: as listed, without: none, checked by: fitter"


def pair(whole: str, more: str = f"step: 2 kg, {KNOWN}", left: str = "1", each: str = "40 kg") -> str:
    return PAIR.format(whole=whole, more=more, left=left, each=each)


def part(masses: str, more: str = "", name: str = "Shaft") -> str:
    return f"- component: shaft\n  name: {name}\n  kind: part\n{more}  masses:\n{masses}"


def two(first: str, second: str) -> str:
    return part(f"    - {{{first}}}\n    - {{{second}}}\n")


def assembly(parts: str, more: str = "") -> str:
    return (
        f"- component: box\n  name: Box\n  kind: assembly\n{more}  parts listed: all\n  parts:\n{parts}"
        "- {component: disc, name: Disc, kind: part, masses: [{printed: 2 kg, step: 1 kg, source: book}]}\n"
    )


# A box weighed on a day, in which a disc was changed on another one.
CHANGED = assembly(
    "    - {component: disc, quantity: 1, changed on: %s}\n",
    "  masses: [{printed: 9 kg, plus or minus: 1 kg, source: scale, on: 2025-03-01, state: dry, counts: as listed, "
    "without: none, checked by: fitter}]\n",
)

# A unit of which nobody weighed the half, with 20 L of oil in it when it is filled.
FILLED = f"""\
- component: unit
  name: Unit
  kind: assembly
  parts listed: all
  parts: [{{component: half, quantity: 1}}, {{component: oil, quantity: 1}}]
  masses:
    - {{printed: 150 kg, step: 2 kg, state: drained, {KNOWN}, source: book}}
    - {{printed: FULL kg, step: 2 kg, state: filled, {KNOWN}, source: book}}
- {{component: half, name: Half, kind: part}}
- component: oil
  name: Oil
  kind: fluid
  fluid: {{litres: 20.0 L, density: 1.00 kg/L, stays: 2.0 L}}
"""


# A box of 14 bolts and a lid, with a joint between the two.
BOLTED = """\
- component: box
  name: Box
  kind: assembly
  parts listed: all
  parts:
    - {component: body, quantity: 1}
    - {component: lid, quantity: 1}
    - {component: bolt, quantity: 14}
- {component: body, name: Body, kind: part, masses: [{printed: 20 kg, step: 1 kg, source: book}]}
- {component: bolt, name: Bolt, kind: part, masses: [{printed: 0.2 kg, step: 0.1 kg, source: book}]}
- component: lid
  name: Lid
  kind: part
  masses: [{printed: 9 kg, step: 1 kg, source: book}]
"""


def jointed(tie: str) -> str:
    """The bolted box with one tie."""
    return (
        f"{BOLTED}- joint: seam\n  name: Seam\n  within: box\n  between: [body, lid]\n  ties: [{{{tie}}}]\n"
    )


def grouped(takes: str) -> str:
    """The bolted box with a lift group."""
    return f"{BOLTED}- {{lift group: lid-off, name: Lid off, root: box, takes: [{takes}]}}\n"


def geared(gear: str, picks: str = "", more: str = "") -> str:
    """The bolted box with a lift group on gear: web slings of one leg each, a beam, a bow."""
    return (
        f"{BOLTED}- {{lift group: lid-off, name: Lid off, root: box, takes: [[lid]], gear: [{gear}]"
        + (f", picks: [{picks}]" if picks else "")
        + "}\n- {gear: web, name: web sling, kind: web sling, legs: 1}\n"
        "- {gear: beam, name: beam, kind: lifting beam}\n- {gear: bow, name: bow, kind: shackle}\n" + more
    )


def planned(step: str) -> str:
    """The bolted box with its joint and a planned job of one step."""
    return (
        jointed(f"id: bolts, {BOLTS}, part: [bolt], count: 14")
        + "- {job plan: apart, name: Apart, unit: box, starts: {rests: {on: machine}}, "
        + f"steps: [{{what: Lid off, by: hands, {step}}}]}}\n"
    )


def worked_on(off: str) -> str:
    """The bolted box with a job."""
    return f"{BOLTED}- {{job: j1, unit: box, opened: {{on: 2026-11-01, by: fitter}}, off: [{off}]}}\n"


EYE = "  pick points: [{id: eye, name: eye, at: [0 mm, 0 mm, 0 mm]%s}]\n"
BOLTS = "kind: bolts, what: bolts, there: yes"

ACCEPTED = "status: accepted, checked by: fitter, seen: one report"


def noted(text: str, more: str, fits: str = "  fits: [{model: X}]\n") -> str:
    """A note about a shaft."""
    return (
        part("    - {printed: 2 kg, step: 1 kg, source: book}\n", fits)
        + f"- {{note: n1, about: {{component: shaft}}, kind: tie, text: {text!r}, told by: shop, author: fitter, "
        f"on: 2026-11-01, {more}}}\n"
    )


def stamp(name: str) -> str:
    return version_of({"source": "s", "name": name, "kind": "weighed"})


def aside(name: str) -> str:
    """Another shop's version of a source, kept aside."""
    return (
        f"- {{aside: a1, of: {{kind: source, id: s, version: {stamp(name)}}}, shop: other-shop, parcel: p, "
        f"on: 2026-11-01, record: {{source: s, name: {name}, kind: weighed}}}}\n"
    )


def origin(name: str) -> str:
    """Where a source came from."""
    of = f"{{kind: source, id: s, version: {stamp(name)}}}"
    return f"- {{origin: o1, of: {of}, shop: other-shop, parcel: p, on: 2026-11-01}}\n"


def review(decision: str) -> str:
    """What was decided about the version of a source that is called S."""
    of = f"{{kind: source, id: s, version: {stamp('S')}}}"
    told = "by: foreman, on: 2026-11-02, reason: Looked."
    return f"- {{review: r1, of: {of}, decision: {decision}, {told}}}\n"


def choice(more: str) -> str:
    """A choice about the shaft."""
    return f"- {{choice: c1, component: shaft, by: data keeper, on: 2026-11-01, reason: looked, {more}}}\n"


# Gear made in the shop, with every paper but the one that is put in.
MADE_HERE = (
    "- {fixture: ring, name: Ring, kind: stand, shop made: yes, rated load: 500 kg, drawing: sheet 4,"
    " material: steel, design checked by: engineer, proof load: 750 kg, proof on: 2025-01-01%s}\n"
)

LONGER = part(
    "    - {formula: 1*kg * (discs - 8), source: book, plus or minus: 0.5 kg}\n",
    "  parameters: {discs: {default: 10}}\n",
)

OFFERED = """\
- component: box
  name: Box
  kind: assembly
  parameters: {{discs: {{default: 8, from: 4, to: {to}}}}}
  parts listed: all
  parts: [{{component: disc, quantity: 1, set: {{discs: {set}}}}}]
- component: disc
  name: Disc
  kind: part
  parameters: {{discs: {{default: 8, from: 4, to: 12}}}}
  masses: [{{formula: 2*kg * discs, source: book, plus or minus: 5 %}}]
"""

SHAPED = """\
- component: shaft
  name: Shaft
  kind: part
  masses:
    - {{printed: 14.9 kg, source: book}}
    - shape: {{cylinder: {{diameter: {diameter}, length: 430 mm}}, density: 7850 kg/m³}}
      source: measured
- {{source: measured, name: Measured, kind: "from shape, machined"}}
"""

INFERRED = """\
- component: unit
  name: Unit
  kind: assembly
  parts listed: all
  parts: [{{component: left, quantity: 1}}, {{component: right, quantity: 1}}]
  masses:
    - {{id: unit-weighed, printed: 100 kg, source: scale, {known}}}
    - {{id: unit-book, printed: 100 kg, step: 2 kg, source: book, {known}}}
- component: left
  name: Left half
  kind: part
  masses:
    - printed: 40 kg
      plus or minus: 2 kg
      source: worked out
      derived: {{how: inferred, from: [{origin}]}}
- {{component: right, name: Right half, kind: part, masses: [{{printed: 60 kg, step: 1 kg, source: book}}]}}
"""

# rule: (verdict, what the sentence must say, a text that breaks it, a text that just passes)
HOOKED = (
    "- {source: cell, name: Hook cell, kind: hook reading, instrument: {name: cell, step: 1 kg}}\n"
    "- {weighing: w, of: shaft, gross: 2 kg, tare: none, checked by: rigger, source: cell, on: 2026-11-02, "
    "by: rigger%s}\n"
)
HALVED = (
    "- {weighing: s, of: shaft, two supports: {first: 60 kg, second: 40 kg, apart: 1 m, along: x, first at: 0 mm}, "
    "plus or minus: 0.1 kg, source: scale, on: 2026-11-02, by: rigger}\n"
)
CASES: dict[str, tuple[Verdict, str, str, str]] = {
    "unknown-reference": (
        Verdict.FAULT,
        "there is no component 'disk'",
        assembly("    - {component: disk, quantity: 1}\n"),
        assembly("    - {component: disc, quantity: 1}\n"),
    ),
    "duplicate-id": (
        Verdict.FAULT,
        "the id 'first' is taken by another figure: records.yml:5 has it already",
        two("id: first, printed: 5 kg, source: book", "id: first, printed: 5 kg, source: plate"),
        two("id: first, printed: 5 kg, source: book", "id: other, printed: 5 kg, source: plate"),
    ),
    "name-clash": (
        Verdict.REMARK,
        "the name 'Rear half' fits 2 components: one and two",
        "- {component: one, name: Rear  half, kind: part}\n"
        "- {component: two, name: Other, also called: [Rear half], kind: part}\n",
        "- {component: one, name: Rear half, kind: part}\n"
        "- {component: two, name: Other, also called: [Rear halves, Other], kind: part}\n",
    ),
    "derivation": (
        Verdict.CANNOT_BE_CHECKED,
        "a from b from a: these figures were worked out from each other",
        two(
            "id: a, printed: 5 kg, source: book, derived: {how: copied, from: [b]}",
            "id: b, printed: 5 kg, source: plate, derived: {how: copied, from: [a]}",
        ),
        two(
            "id: a, printed: 5 kg, source: book, derived: {how: copied, from: [b]}",
            "id: b, printed: 5 kg, source: plate",
        ),
    ),
    "cycle": (
        Verdict.FAULT,
        "inner contains outer contains inner: nothing can contain itself",
        "- {component: outer, name: Outer, kind: assembly, parts: [{component: inner, quantity: 1}]}\n"
        "- {component: inner, name: Inner, kind: assembly, parts: [{component: outer, quantity: 1}]}\n",
        "- {component: outer, name: Outer, kind: assembly, parts: [{component: inner, quantity: 1}]}\n"
        "- {component: inner, name: Inner, kind: assembly, parts: [{component: end, quantity: 1}]}\n"
        "- {component: end, name: End, kind: part}\n",
    ),
    "quantity": (
        Verdict.FAULT,
        "'discs - 1' gives -1 pieces in this build; a count is not negative",
        assembly("    - {component: disc, quantity: discs - 1}\n", "  parameters: {discs: {default: 0}}\n"),
        assembly("    - {component: disc, quantity: discs - 1}\n", "  parameters: {discs: {default: 1}}\n"),
    ),
    "place": (
        Verdict.FAULT,
        "'1*m/discs' cannot be worked out",
        assembly(
            "    - {component: disc, quantity: 1, at: [1*m/discs, 0 m, 0 m]}\n",
            "  parameters: {discs: {default: 0}}\n",
        ),
        assembly(
            "    - {component: disc, quantity: 1, at: [1*m/discs, 0 m, 0 m]}\n",
            "  parameters: {discs: {default: 1}}\n",
        ),
    ),
    "build": (
        Verdict.CANNOT_BE_CHECKED,
        "Shaft has no parameter 'size' (it has: length)",
        part(
            "    - {printed: 5 kg, source: book, build: {size: 620 mm}}\n",
            "  parameters: {length: {unit: mm, default: 620 mm, to: 940 mm}}\n",
        ),
        part(
            "    - {printed: 5 kg, source: book, build: {length: 940 mm}}\n"
            "    - {printed: 4 kg, source: book, build: {length: 620 mm}}\n",
            "  parameters: {length: {unit: mm, default: 620 mm, to: 940 mm}}\n",
        ),
    ),
    "worked-figure": (
        Verdict.FAULT,
        "'1*kg * (discs - 8)' gives 0 kg; a mass is above 0",
        assembly("    - {component: shaft, quantity: 1, set: {discs: 8}}\n") + LONGER,
        assembly("    - {component: shaft, quantity: 1, set: {discs: 9}}\n") + LONGER,
    ),
    "build-offered": (
        Verdict.REMARK,
        "Box offers discs = 14, but: Box: discs = 14 is out of range: it goes from 4 to 12.",
        OFFERED.format(to="14", set="discs"),
        OFFERED.format(to="12", set="discs"),
    ),
    "not-handed-down": (
        Verdict.REMARK,
        "Box and Disc both have discs, and this line does not set it: the part stays at 8 whatever discs is.",
        OFFERED.format(to="12", set="discs").replace(", set: {discs: discs}", ""),
        OFFERED.format(to="12", set="discs"),
    ),
    "part-listed-twice": (
        Verdict.DISAGREES,
        "Disc is on two lines at one place (records.yml:6), quantities 1 and 1; the total counts both.",
        assembly("    - {component: disc, quantity: 1, at: [1 m, 0 m, 0 m]}\n" * 2),
        assembly("    - {component: disc, quantity: 2, at: [1 m, 0 m, 0 m]}\n"),
    ),
    "place-size": (
        Verdict.DISAGREES,
        "Box: a part lies at 185.16 m, 0.1 m, 0.1 m, 185.2 m from the datum, and nothing beside it further than "
        "0.5 m from the datum; so far out it moves the centre of the whole.",
        assembly(
            "    - {component: disc, quantity: 1, at: [0.5 m, 0 m, 0 m]}\n"
            "    - {component: disc, quantity: 1, at: [185.16 m, 0.1 m, 0.1 m]}\n"
        ),
        assembly(
            "    - {component: disc, quantity: 1, at: [0.5 m, 0 m, 0 m]}\n"
            "    - {component: disc, quantity: 1, at: [9.99 m, 0.1 m, 0.1 m]}\n"
        ),
    ),
    "nothing-listed": (
        Verdict.REMARK,
        "Shaft: the figure 5 kg counts what is listed, and no part is listed here;",
        part("    - {printed: 5 kg, source: book, counts: as listed}\n"),
        part("    - {printed: 5 kg, source: book}\n"),
    ),
    "mass-missing": (
        Verdict.CANNOT_BE_CHECKED,
        "Left half has no mass: there is only a figure guessed by eye, which is never added up; it goes into Unit; "
        'the total of Unit is "at least".',
        pair("100 kg", "step: 2 kg").replace(
            "{printed: 40 kg, step: 1 kg, source: book}", "{printed: 40 kg, source: guess}"
        ),
        pair("100 kg"),
    ),
    "parts-sum": (
        Verdict.DISAGREES,
        "Shop handbook has 103 kg (102.0 to 104.0 kg (224.9 to 229.3 lb)); its parts come to 99.0 to 101.0 "
        "kg (218.3 to 222.7 lb), lighter by 1.0 to 5.0 kg (2.2 to 11.0 lb).",
        pair("103 kg"),
        pair("102 kg"),
    ),
    "circular": (
        Verdict.CANNOT_BE_CHECKED,
        "circular: the figure of Left half was inferred from this very whole",
        INFERRED.format(known=KNOWN, origin="unit-weighed"),
        INFERRED.format(known=KNOWN, origin="somewhere-else"),
    ),
    "statements-apart": (
        Verdict.DISAGREES,
        "Shaft: 40 kg (Shop handbook) and 42 kg (Type plate) lie apart by 1.0 to 3.0 kg (2.2 to 6.6 lb).",
        two("printed: 40 kg, step: 1 kg, source: book", "printed: 42 kg, step: 1 kg, source: plate"),
        two("printed: 40 kg, step: 1 kg, source: book", "printed: 41 kg, step: 1 kg, source: plate"),
    ),
    "figures-together": (
        Verdict.DISAGREES,
        "130 kg filled (Shop handbook) is lighter than 150 kg drained (Shop handbook) allows: filled holds",
        FILLED.replace("FULL", "130"),
        FILLED.replace("FULL", "168"),
    ),
    "serials-overlap": (
        Verdict.DISAGREES,
        "Shop handbook has 41 kg for serials from 20 and 40 kg for serials up to 20: some serials have two",
        two(
            "id: x2, printed: 40 kg, step: 1 kg, source: book, serials: {to: 20}",
            "id: x1, printed: 41 kg, step: 1 kg, source: book, serials: {from: 20}",
        ),
        two(
            "id: x2, printed: 40 kg, step: 1 kg, source: book, serials: {to: 19}",
            "id: x1, printed: 41 kg, step: 1 kg, source: book, serials: {from: 20}",
        ),
    ),
    "serials-outside": (
        Verdict.DISAGREES,
        "the figure 5 kg is for serials 1 to 9, which are outside what Shaft fits (M 10 to 20)",
        part(
            "    - {printed: 5 kg, source: book, serials: {from: 1, to: 9}}\n",
            "  fits: [{model: M, serials: {from: 10, to: 20}}]\n",
        ),
        part(
            "    - {printed: 5 kg, source: book, serials: {from: 10, to: 20}}\n",
            "  fits: [{model: M, serials: {from: 10, to: 20}}]\n",
        ),
    ),
    "part-heavier-than-whole": (
        Verdict.DISAGREES,
        "Right half alone, quantity 1, comes to 59.5 to 60.5 kg (131.2 to 133.4 lb), more than 58 kg (Shop "
        "handbook) for all of Unit.",
        pair("58 kg"),
        pair("59 kg"),
    ),
    "likely-unit-slip": (
        Verdict.REMARK,
        "one unit the other way round would bring its parts and 78 kg (Shop handbook) together: "
        "Left half 40 kg (kg for lb). That it fits is no proof.",
        pair("78 kg"),
        pair("82 kg"),
    ),
    "likely-size-slip": (
        Verdict.REMARK,
        "Shaft: 59.65 kg from its shape would go with 14.9 kg (Shop handbook) if a radius stands for a "
        "diameter in the shape.",
        SHAPED.format(diameter="150 mm"),
        SHAPED.format(diameter="75 mm"),
    ),
    "shape-off-datum": (
        Verdict.REMARK,
        "Shaft: nothing says where its centre is, so it is taken at its datum; its shape is 430 mm long, and its "
        "middle is 215 mm from where it starts;",
        SHAPED.format(diameter="75 mm"),
        SHAPED.format(diameter="75 mm").replace(
            "  masses:", "  shape lies: {middle: [0 mm, 0 mm, 0 mm]}\n  masses:", 1
        ),
    ),
    "likely-quantity-slip": (
        Verdict.REMARK,
        "one count would bring its parts and 140 kg (Shop handbook) together: Left half 2 instead of 1.",
        pair("140 kg"),
        pair("130 kg"),
    ),
    "columns-differ": (
        Verdict.DISAGREES,
        "40 kg / 90 lb: neither column, converted and rounded, gives the other.",
        part(
            "    - {printed: 40 kg, step: 1 kg, also printed: {printed: 90 lb, step: 1 lb}, source: book}\n"
        ),
        part(
            "    - {printed: 40 kg, step: 1 kg, also printed: {printed: 89 lb, step: 1 lb}, source: book}\n"
        ),
    ),
    "columns-converted": (
        Verdict.REMARK,
        "40 kg / 88 lb: one column is the other converted (either column can be the original), so this is "
        "one witness and not two.",
        part(
            "    - {printed: 40 kg, step: 1 kg, also printed: {printed: 88 lb, step: 1 lb}, source: book}\n"
        ),
        part(
            "    - {printed: 40 kg, step: 1 kg, also printed: {printed: 90 lb, step: 1 lb}, source: book}\n"
        ),
    ),
    "could-be-a-conversion": (
        Verdict.REMARK,
        "88 lb (Type plate) and 40 kg (Shop handbook): could be a conversion: the two may be one witness.",
        two("printed: 40 kg, step: 1 kg, source: book", "printed: 88 lb, step: 1 lb, source: plate"),
        two("printed: 40 kg, step: 1 kg, source: book", "printed: 90 lb, step: 1 lb, source: plate"),
    ),
    "same-figure-twice": (
        Verdict.REMARK,
        "40 kg (Type plate) and 40 kg (Shop handbook): the same figure, so perhaps the same witness.",
        two("printed: 40 kg, source: book", "printed: 40 kg, source: plate"),
        two("printed: 40 kg, source: book", "printed: 40 kg, source: scale"),
    ),
    "boundary-not-stated": (
        Verdict.REMARK,
        "Shop handbook has 100 kg, but what it leaves out is not stated",
        pair("100 kg", "step: 2 kg, counts: as listed"),
        pair("100 kg", f"step: 2 kg, {KNOWN}"),
    ),
    "state-not-stated": (
        Verdict.REMARK,
        "Shop handbook has 100 kg, and fluid is listed inside: dry, drained or filled is not stated",
        pair("100 kg").replace(
            "right, quantity: 1}", "right, quantity: 1}\n    - {component: oil, quantity: 1}"
        )
        + "- {component: oil, name: Oil, kind: fluid, fluid: {litres: 2 L, density: 0.9 kg/L}}\n",
        pair("100 kg", f"step: 2 kg, state: dry, {KNOWN}").replace(
            "right, quantity: 1}", "right, quantity: 1}\n    - {component: oil, quantity: 1}"
        )
        + "- {component: oil, name: Oil, kind: fluid, fluid: {litres: 2 L, density: 0.9 kg/L}}\n",
    ),
    "step-assumed": (
        Verdict.REMARK,
        "40 kg: the step of rounding is assumed from the digits",
        part("    - {printed: 40 kg, source: book}\n"),
        part("    - {printed: 40 kg, step: 1 kg, source: book}\n"),
    ),
    "review-passed": (
        Verdict.REMARK,
        "component shaft was to be looked at again by 2026-11-24, 1 day before 2026-11-25",
        part("    - {printed: 5 kg, source: book}\n", "  review by: 2026-11-24\n"),
        part("    - {printed: 5 kg, source: book}\n", "  review by: 2026-11-25\n"),
    ),
    "instrument-check-passed": (
        Verdict.REMARK,
        "Old scale was to be checked by 2026-11-24, 1 day before 2026-11-25",
        "- {source: old, name: Old scale, kind: weighed, instrument: {name: scale, check due: 2026-11-24}}\n",
        "- {source: old, name: Old scale, kind: weighed, instrument: {name: scale, check due: 2026-11-25}}\n",
    ),
    "note-under-load": (
        Verdict.CANNOT_BE_CHECKED,
        "note n1 is checked, and its words 'Crawl under the hanging half' may put a person under or beside a load",
        noted("Crawl under the hanging half and pull the last bolt.", "status: checked, checked by: fitter"),
        noted("Nobody goes under the hanging half. Pull the last bolt from the side.", ACCEPTED),
    ),
    "note-gear": (
        Verdict.REMARK,
        "note n1: accepted with gear that has no rating recorded (strap)",
        noted("Strap round the case.", f"{ACCEPTED}, gear used: strap"),
        noted("Strap round the case.", f"{ACCEPTED}, gear used: strap, rated: 500 kg"),
    ),
    "note-range": (
        Verdict.REMARK,
        "accepted, but neither the note nor anything it is about says for which model and serials",
        noted("Mind the edge.", ACCEPTED, fits=""),
        noted("Mind the edge.", f"{ACCEPTED}, fits: [{{model: X}}]", fits=""),
    ),
    "note-units": (
        Verdict.REMARK,
        "note n1: accepted, but '45' in its text has no unit",
        noted("It weighs 45.", ACCEPTED),
        noted("It weighs 45 kg.", ACCEPTED),
    ),
    "note-one-report": (
        Verdict.REMARK,
        "note n1: accepted, but it does not say whether anybody saw it a second time",
        noted("Mind the edge.", "status: accepted, checked by: fitter"),
        noted("Mind the edge.", ACCEPTED),
    ),
    "version-waits": (
        Verdict.CANNOT_BE_CHECKED,
        "source s from other-shop waits for review and counts nowhere",
        aside("S"),
        aside("S") + review("refuse"),
    ),
    "version-beside": (
        Verdict.DISAGREES,
        "source s has two versions: the one here is in force, and one from other-shop differs in name",
        "- {source: s, name: Mine, kind: weighed}\n" + aside("S"),
        "- {source: s, name: Mine, kind: weighed}\n" + aside("S") + review("accept"),
    ),
    "not-reviewed": (
        Verdict.REMARK,
        "source s came from other-shop, and nobody here has reviewed it",
        "- {source: s, name: S, kind: weighed}\n" + origin("S"),
        "- {source: s, name: S, kind: weighed}\n" + origin("S") + review("accept"),
    ),
    "lift-reference": (
        Verdict.FAULT,
        "there is no component 'cover'",
        f"{BOLTED}- {{joint: seam, name: Seam, within: box, between: [body, cover]}}\n",
        f"{BOLTED}- {{joint: seam, name: Seam, within: box, between: [body, lid]}}\n",
    ),
    "tie-part": (
        Verdict.FAULT,
        "screw is no way through the part lines of box",
        jointed(f"{BOLTS}, part: [screw], count: 14"),
        jointed(f"{BOLTS}, part: [bolt], count: 14"),
    ),
    "held-ring": (
        Verdict.FAULT,
        "lid holds in seal holds in lid: none of them could come off first",
        "- {component: lid, name: Lid, kind: part, holds in: [{part: seal}]}\n"
        "- {component: seal, name: Seal, kind: part, holds in: [{part: lid}]}\n",
        "- {component: lid, name: Lid, kind: part, holds in: [{part: seal}]}\n"
        "- {component: seal, name: Seal, kind: part, holds in: none, checked by: fitter}\n",
    ),
    "tie-count": (
        Verdict.DISAGREES,
        "bolts: the joint has 12, the part line bolt has 14",
        jointed(f"{BOLTS}, part: [bolt], count: 12"),
        jointed(f"{BOLTS}, part: [bolt], count: 14"),
    ),
    "tie-not-looked-for": (
        Verdict.REMARK,
        "nobody looked for sealant",
        jointed("kind: sealant, what: sealant"),
        jointed("kind: sealant, what: sealant, there: none, checked by: fitter"),
    ),
    "lift-group": (
        Verdict.FAULT,
        "box lists no 'cover' in this build",
        grouped("[cover]"),
        grouped("[lid]"),
    ),
    "pick-point": (
        Verdict.REMARK,
        "eye of Lid: nobody looked for its rating and what the load is carried through",
        BOLTED + EYE % "",
        BOLTED + EYE % ", rated: none, through: none, checked by: fitter",
    ),
    "gear-inspection": (
        Verdict.REMARK,
        "chain was to be inspected by 2026-11-24, before 2026-11-25; its rating is not used",
        "- {gear: chain, name: chain, kind: chain sling, inspection due: 2026-11-24}\n",
        "- {gear: chain, name: chain, kind: chain sling, inspection due: 2026-11-25}\n",
    ),
    "gear-at-picks": (
        Verdict.DISAGREES,
        "the picks need 2 of web sling and 'gear' lists 1",
        geared("{gear: web, count: 1}", "{point: a, sling: web}, {point: b, sling: web}"),
        geared("{gear: web, count: 2}", "{point: a, sling: web}, {point: b, sling: web}"),
    ),
    "gear-order": (
        Verdict.FAULT,
        "beam hangs from 'bwo', which is not among the gear of this lift",
        geared("{gear: bow, count: 1, hangs from: hook}, {gear: beam, count: 1, hangs from: bwo}"),
        geared("{gear: bow, count: 1, hangs from: hook}, {gear: beam, count: 1, hangs from: bow}"),
    ),
    "gear-angles": (
        Verdict.REMARK,
        "from where the angles on the tag of chain count nobody wrote",
        "- {gear: chain, name: chain, kind: chain sling, tag: [{legs: 2, up to: 45 deg, rated: 1 t}]}\n",
        "- {gear: chain, name: chain, kind: chain sling, angles from: vertical,"
        " tag: [{legs: 2, up to: 45 deg, rated: 1 t}]}\n",
    ),
    "plate-and-chart": (
        Verdict.REMARK,
        "Crane: its chart prints up to 2414 kg, its plate 1500 kg; the lower governs",
        "- {mover: crane, name: Crane, kind: crane, rated: 1500 kg, chart: [{radius: 2 m, capacity: 2414 kg}]}\n",
        "- {mover: crane, name: Crane, kind: crane, rated: 1500 kg, chart: [{radius: 2 m, capacity: 1500 kg}]}\n",
    ),
    "job-record": (
        Verdict.FAULT,
        "box lists no 'cover' in this build",
        worked_on("{of: [cover], on: 2026-11-02, by: fitter}"),
        worked_on("{of: [lid], on: 2026-11-02, by: fitter}"),
    ),
    "job-plan-reference": (
        Verdict.FAULT,
        "cover is no way through the part lines of box",
        planned("do: take off, pieces: [[cover]]"),
        planned("do: take off, pieces: [[lid]], ties: [{joint: seam, tie: bolts}]"),
    ),
    "job-plan-step": (
        Verdict.DISAGREES,
        "step 1: with this step Lid is held by nothing",
        planned("do: tie out, ties: [{joint: seam, tie: bolts}]"),
        planned("do: take off, pieces: [[lid]], ties: [{joint: seam, tie: bolts}]"),
    ),
    "move-reference": (
        Verdict.FAULT,
        "there is no door of this shop 'gate'",
        "- {shop: shed, name: Shed, routes: [{id: out, name: out, through: [gate]}]}\n",
        "- {shop: shed, name: Shed, doors: [{id: gate, name: gate}],"
        " routes: [{id: out, name: out, through: [gate]}]}\n",
    ),
    "plate-row": (
        Verdict.DISAGREES,
        "Truck: the plate row at 600 mm says 1600 kg, more than the rated 1500 kg",
        "- {mover: truck, name: Truck, kind: forklift, rated: 1500 kg,"
        " plate: [{load centre: 600 mm, capacity: 1600 kg}]}\n",
        "- {mover: truck, name: Truck, kind: forklift, rated: 1500 kg,"
        " plate: [{load centre: 600 mm, capacity: 1500 kg}]}\n",
    ),
    "pallet-rating": (
        Verdict.DISAGREES,
        "Flat: 900 kg for a load spread even, less than 1000 kg for one spread any",
        "- {pallet: flat, name: Flat, kind: flat pallet, ratings: ["
        "{spread: any, rated: 1000 kg, source: plate}, {spread: even, rated: 900 kg, source: plate}]}\n",
        "- {pallet: flat, name: Flat, kind: flat pallet, ratings: ["
        "{spread: any, rated: 1000 kg, source: plate}, {spread: even, rated: 1000 kg, source: plate}]}\n",
    ),
    "shop-made-papers": (
        Verdict.CANNOT_BE_CHECKED,
        "Ring is shop-made and rated 500 kg",
        MADE_HERE % "",
        MADE_HERE % ", inspection due: 2027-01-01",
    ),
    "pallet-inspection": (
        Verdict.REMARK,
        "Flat: inspection due 2026-11-24, 1 day before 2026-11-25",
        "- {pallet: flat, name: Flat, kind: flat pallet, inspection due: 2026-11-24}\n",
        "- {pallet: flat, name: Flat, kind: flat pallet, inspection due: 2026-11-25}\n",
    ),
    "centre-by-supports": (
        Verdict.DISAGREES,
        "Shaft: by its weighing on two supports its centre lies at x 399 to 401 mm, by the records at 300 mm: 100 mm",
        part("    - {printed: 100 kg, step: 1 kg, source: book}\n", "  centre: [300 mm, 0 mm, 0 mm]\n")
        + HALVED,
        part("    - {printed: 100 kg, step: 1 kg, source: book}\n"),
    ),
    "weighed-before-change": (
        Verdict.CANNOT_BE_CHECKED,
        "Box: 9 kg (Shop scale, 2025-03-01) was weighed before a part in it was changed on 2026-01-15",
        CHANGED % "2026-01-15",
        CHANGED % "2025-02-01",
    ),
    "reading-waits": (
        Verdict.CANNOT_BE_CHECKED,
        "Shaft: 2 kg (Hook cell, 2026-11-02) was read in the course of work and nobody has confirmed it",
        part("    - {printed: 2 kg, step: 1 kg, source: book}\n") + HOOKED % "",
        part("    - {printed: 2 kg, step: 1 kg, source: book}\n")
        + HOOKED % ", confirmed: {on: 2026-11-03, by: foreman}",
    ),
    "choice-reference": (
        Verdict.CANNOT_BE_CHECKED,
        "choice c1 took the figure 'gone' of Shaft, which is no longer in force",
        part("    - {id: new, printed: 2 kg, step: 1 kg, source: book}\n") + choice("statement: gone"),
        part("    - {id: new, printed: 2 kg, step: 1 kg, source: book}\n") + choice("statement: new"),
    ),
    "choice-without-effect": (
        Verdict.CANNOT_BE_CHECKED,
        "choice c1: Shaft has no parameter 'discs'",
        part("    - {id: new, printed: 2 kg, step: 1 kg, source: book}\n")
        + choice("statement: new, build: {discs: 8}"),
        part("    - {id: new, printed: 2 kg, step: 1 kg, source: book}\n") + choice("statement: new"),
    ),
    "conflict-overdue": (
        Verdict.REMARK,
        "were to be settled by 2026-11-24 by foreman",
        part("    - {printed: 2 kg, step: 1 kg, source: book}\n")
        + choice("owner: foreman, settle by: 2026-11-24"),
        part("    - {printed: 2 kg, step: 1 kg, source: book}\n")
        + choice("owner: foreman, settle by: 2026-11-25"),
    ),
    "inspection-passed": (
        Verdict.REMARK,
        "Ring stand was to be inspected by 2026-11-24, 1 day before 2026-11-25",
        "- {fixture: stand, name: Ring stand, kind: stand, inspection due: 2026-11-24}\n",
        "- {fixture: stand, name: Ring stand, kind: stand, inspection due: 2026-11-25}\n",
    ),
}


def of_rule(rule, collection):
    return [finding for finding in check(collection, as_of=DAY) if finding.rule == rule]


def test_every_rule_has_its_case():
    assert set(CASES) == set(RULES)


@pytest.mark.parametrize("rule", CASES)
def test_the_record_that_breaks_it(rule, read):
    verdict, words, breaks, _ = CASES[rule]
    found = of_rule(rule, read(breaks))
    assert verdict in {finding.verdict for finding in found}
    assert words in " | ".join(finding.sentence for finding in found)
    for finding in found:
        assert finding.place is not None
        assert finding.place.file == "records.yml"
        assert finding.field
        assert finding.remedy.endswith(".")


@pytest.mark.parametrize("rule", CASES)
def test_the_record_that_just_passes(rule, read):
    passes = CASES[rule][3]
    found = of_rule(rule, read(passes))
    assert [f for f in found if f.verdict is not Verdict.AGREES] == []


@pytest.mark.parametrize("rule", CASES)
def test_no_sentence_gives_permission(rule, read):
    for text in CASES[rule][2:]:
        for finding in check(read(text), as_of=DAY):
            assert not re.search(r"\b(safe|ok|okay|allowed|pass|passes|fine)\b", str(finding), re.IGNORECASE)


def test_the_documentation_describes_every_rule_and_no_other():
    rules = Path(__file__).parents[2] / "docs" / "rules.md"
    described = re.findall(r"^### `([a-z-]+)`$", rules.read_text(), re.MULTILINE)
    assert sorted(described) == sorted(RULES)


@pytest.mark.parametrize(
    ("gear", "picks", "said"),
    [
        (
            "{gear: beam, count: 1}, {gear: bow, count: 1}",
            "",
            "not recorded what hangs below what: beam, bow",
        ),
        (
            "{gear: bow, count: 1, hangs from: beam}, {gear: beam, count: 1, hangs from: bow}",
            "",
            "bow hangs from itself: bow from beam from bow",
        ),
        (
            "{gear: bow, count: 1, hangs from: beam, above cell: yes}, {gear: beam, count: 1, hangs from: hook}",
            "",
            "bow is above the cell and hangs from beam, which is below it",
        ),
        (
            "{gear: web, count: 1}",
            "{point: a, sling: web, links: [bow, bow]}",
            "the picks need 2 of bow and 'gear' lists none",
        ),
    ],
)
def test_gear_that_is_out_of_order_or_left_out(gear, picks, said, read):
    found = [str(finding) for finding in check(read(geared(gear, picks)), as_of=DAY)]

    assert any(said in text for text in found), found
