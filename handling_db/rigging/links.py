"""What a pull asks of an eye bolt, shackle or hoist ring, beside its rating in that direction.

The rating is the one on the tag or in the record. Published factors only turn a straight rating towards an
angle, only for the family they were written for, and they are named. Nothing here says that a pull is
allowed.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from handling_db.quantities.amount import StaticsError
from handling_db.quantities.notice import Facts, Notice, once
from handling_db.rigging.factors import Family

KINDS = ("eye bolt", "shackle", "hoist ring")
# 29 CFR 1910.184(b), "angle of loading": within 5 degrees of the straight pull counts as straight.
STRAIGHT_DEGREES = 5.0
_GIVE = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """One item in the line of pull, as its tag and record describe it. None where nobody looked."""

    name: str
    kind: str  # one of KINDS
    family: str | None  # id of its family in the reference data
    shouldered: bool | None
    size: str | None  # as in the family's table: "M16"
    straight_kg: float | None  # rating in line, from the tag or record
    angled_kg: tuple[
        tuple[float, float], ...
    ]  # (up to degrees from the axis, rating), from the tag or record
    rating_source: str | None


def _check(link: Link, angle: float, families: Sequence[Family]) -> None:
    if link.kind not in KINDS:
        raise StaticsError(f"{link.name}: {link.kind!r} is not one of {', '.join(KINDS)}.")
    if not 0.0 <= angle <= math.pi:
        raise StaticsError(
            f"{link.name}: an angle between pull and axis is 0° to 180°, not {math.degrees(angle):.0f}°."
        )
    ratings = [kg for kg in (link.straight_kg, *(kg for _, kg in link.angled_kg)) if kg is not None]
    if any(not (math.isfinite(kg) and kg > 0.0) for kg in ratings):
        raise StaticsError(
            f"{link.name}: a rating must be more than 0 kg; leave it out where the tag says none."
        )
    if link.family is not None:
        found = [family for family in families if family.id == link.family]
        if not found:
            known = ", ".join(family.id for family in families if family.kind == link.kind)
            raise StaticsError(
                f"{link.name}: no family {link.family!r} in the reference data; for {link.kind}: {known}."
            )
        if found[0].kind != link.kind:
            raise StaticsError(
                f"{link.name}: {link.family!r} is a family of {found[0].kind}, this is a {link.kind}; "
                "factors of one "
                "family are never used for another."
            )


@dataclass(frozen=True, slots=True)
class Rated:
    """What a piece may carry in its place, before it is set beside what it is asked. [kg]

    Parameters
    ----------
    rating_kg : float or None
    basis : Notice
        What it rests on, or why there is none.
    why_not : Notice or None
        Why it is not compared although it may have a rating; None where it is.
    says, cautions : tuple of Notice
        Why there is none in a sentence; cautions are what the rating holds under.
    """

    rating_kg: float | None
    basis: Notice
    why_not: Notice | None = None
    says: tuple[Notice, ...] = ()
    cautions: tuple[Notice, ...] = ()


def link_rating(
    link: Link, angle: float, families: Sequence[Family], *, sideways: bool | None = None
) -> Rated:
    """The rating of a link in the direction of a pull.

    Parameters
    ----------
    link : Link
        The item, with the rating from its tag or record.
    angle : float
        Between the pull and the axis of the link (shank of an eye bolt, line of a shackle), 0 to pi. [rad]
    families : sequence of Family
        Reference factors.
    sideways : bool, optional
        Whether the pull leaves the plane of the eye; None where nobody looked.

    Raises
    ------
    StaticsError
        Not a kind of link that is known here, a family of another kind, or an impossible angle or rating.
    """
    _check(link, angle, families)
    degrees = math.degrees(angle)
    source = link.rating_source or "record, source not stated"
    named: Facts = {"name": link.name}
    turned: Facts = {"name": link.name, "angle_deg": degrees}
    if link.straight_kg is None and not link.angled_kg:
        return Rated(None, Notice("link without rating"), None, (Notice("no rating on a tag", named),))
    says = [Notice("source of a rating not stated", named)] if link.rating_source is None else []
    possible = [f for f in families if f.kind == link.kind and (link.family is None or f.id == link.family)]
    if link.family is None and link.shouldered is not None:
        possible = [f for f in possible if f.shouldered is link.shouldered]
    held = once(_published(f) for f in possible if f.caution) if link.family is not None else ()
    if degrees <= STRAIGHT_DEGREES + _GIVE and link.straight_kg is not None:
        return Rated(link.straight_kg, Notice("straight pull", {"by": source}), None, tuple(says), held)
    if link.kind == "eye bolt":
        if sideways:
            says.append(Notice("pull leaves the plane", named))
            return Rated(None, Notice("not rated across the eye"), None, tuple(says), held)
        held = (Notice("in the plane nobody looked" if sideways is None else "in the plane only"), *held)
    for to_degrees, kg in sorted(link.angled_kg):
        if degrees <= to_degrees + _GIVE:
            basis = Notice("up to from its axis", {"angle_deg": to_degrees, "by": source})
            return Rated(kg, basis, None, tuple(says), held)
    if link.straight_kg is None:
        says.append(Notice("no recorded rating at", turned))
        return Rated(None, Notice("no rating at this angle"), None, tuple(says), held)
    if not possible:
        says.append(Notice("no factors for the link", {**turned, "link": link.kind}))
        return Rated(None, Notice("no rating at this angle"), None, tuple(says), held)
    if link.family is None:
        says.append(Notice("strictest family", {**named, "families": tuple(f.name for f in possible)}))
    worst: tuple[float, Family] | None = None
    for family in possible:
        factor = family.factor(degrees, link.size)
        if factor is None:
            says.append(
                Notice("family has no rating at", {**turned, "family": family.name, "book": family.source})
            )
            return Rated(None, Notice("no rating at this angle"), None, tuple(says), held)
        if worst is None or factor < worst[0]:
            worst = (factor, family)
    assert worst is not None
    factor, family = worst
    if family.caution:
        held = once((*held, _published(family)))
    book = f"{family.source} [{family.verified}]"
    facts: Facts = {"part": f"{factor:.0%}", "by": source, "family": family.name, "book": book}
    basis = Notice("share of the straight rating", facts)
    return Rated(link.straight_kg * factor, basis, None, tuple(says), held)


def _published(family: Family) -> Notice:
    return Notice("caution as published", {"told": family.caution})
