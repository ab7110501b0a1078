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
from handling_db.quantities.amount import reading as reading_of
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


@dataclass(frozen=True, slots=True)
class LinkFigure:
    """Demand and rating of one link, with what the rating rests on."""

    link: str
    angle: float  # between the pull and the axis of the link [rad]
    demand_kg: float | None
    rating_kg: float | None  # in this direction; None where there is none to compare with
    basis: str
    says: tuple[str, ...]

    @property
    def part_of_rating(self) -> float | None:
        """Demand over rating; None where either is missing."""
        if self.demand_kg is None or self.rating_kg is None:
            return None
        return self.demand_kg / self.rating_kg if self.rating_kg > 0.0 else math.inf

    @property
    def over(self) -> bool | None:
        """Whether the demand is more than the rating; None where it cannot be compared."""
        part = self.part_of_rating
        return None if part is None else part > 1.0


def check_link(
    link: Link,
    demand_n: float | None,
    angle: float,
    families: Sequence[Family],
    *,
    sideways: bool | None = None,
) -> LinkFigure:
    """Set what a pull asks of a link beside its rating in that direction.

    Parameters
    ----------
    link : Link
        The item, with the rating from its tag or record.
    demand_n : float or None
        Highest pull on it; None where the mass is not known. [N]
    angle : float
        Between the pull and the axis of the link (shank of an eye bolt, line of a shackle), 0 to pi. [rad]
    families : sequence of Family
        Reference factors.
    sideways : bool, optional
        Whether the pull leaves the plane of the eye; None where nobody looked.

    Returns
    -------
    LinkFigure
        With the rating in that direction, or without one and with the reason.

    Raises
    ------
    StaticsError
        Not a kind of link that is known here, a family of another kind, or an impossible angle or rating.
    """
    _check(link, demand_n, angle, families)
    degrees = math.degrees(angle)
    demand = None if demand_n is None else reading_of(demand_n)
    says = (
        [] if demand is not None else [f"{link.name}: the pull is not known, so there is nothing to compare."]
    )
    found = link_rating(link, angle, families, sideways=sideways)
    says.extend(found.says)
    rating, basis = found.rating_kg, found.basis
    if rating is not None:  # what a rating holds under stands where there is one
        says.extend(f"{link.name}: {caution}." for caution in found.cautions)
    if demand is not None and rating is not None and demand > rating:
        says.append(
            f"{link.name}: {demand:.0f} kg is more than the {rating:.0f} kg it is rated for at "
            f"{degrees:.0f}° ({basis})."
        )
    return LinkFigure(link.name, angle, demand, rating, basis, tuple(says))


def _check(link: Link, demand_n: float | None, angle: float, families: Sequence[Family]) -> None:
    if demand_n is not None and not (math.isfinite(demand_n) and demand_n >= 0.0):
        raise StaticsError(f"{link.name}: a pull must be 0 N or more, not {demand_n!r}.")
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
class LinkRating:
    """What a link may carry in one direction, and what that rests on and holds under. [kg]

    `rating_kg` None where there is none; `basis` then says why in a few words, `says` in a sentence.
    """

    rating_kg: float | None
    basis: str
    says: tuple[str, ...]
    cautions: tuple[str, ...] = ()


def link_rating(
    link: Link, angle: float, families: Sequence[Family], *, sideways: bool | None = None
) -> LinkRating:
    """The rating of a link in the direction of a pull; parameters and errors as in `check_link`."""
    _check(link, None, angle, families)
    degrees = math.degrees(angle)
    source = link.rating_source or "record, source not stated"
    says: list[str] = []
    if link.straight_kg is None and not link.angled_kg:
        words = (
            f"{link.name}: no rating on a tag or in the record, so nothing can be compared; published "
            f"tables are no "
            "substitute for the tag."
        )
        return LinkRating(None, "no rating", (words,))
    if link.rating_source is None:
        says.append(f"{link.name}: where the rating comes from is not stated.")
    possible = [f for f in families if f.kind == link.kind and (link.family is None or f.id == link.family)]
    if link.family is None and link.shouldered is not None:
        possible = [f for f in possible if f.shouldered is link.shouldered]
    held = tuple(dict.fromkeys(f.caution for f in possible if f.caution)) if link.family is not None else ()
    if degrees <= STRAIGHT_DEGREES + _GIVE and link.straight_kg is not None:
        return LinkRating(link.straight_kg, f"straight pull, {source}", tuple(says), held)
    if link.kind == "eye bolt":
        if sideways:
            says.append(
                f"{link.name}: the pull leaves the plane of the eye, where eye bolts are not rated "
                f"unless their own "
                "sheet says so."
            )
            return LinkRating(None, "not rated across the plane of the eye", tuple(says), held)
        held = (_PLANE if sideways is None else "in the plane of the eye only", *held)
    for to_degrees, kg in sorted(link.angled_kg):
        if degrees <= to_degrees + _GIVE:
            return LinkRating(kg, f"up to {to_degrees:g}° from its axis, {source}", tuple(says), held)
    if link.straight_kg is None:
        says.append(f"{link.name}: the record has no rating for {degrees:.0f}°.")
        return LinkRating(None, "no rating at this angle", tuple(says), held)
    if not possible:
        says.append(
            f"{link.name}: no published factors for this {link.kind}, and the record has no rating for "
            f"{degrees:.0f}°."
        )
        return LinkRating(None, "no rating at this angle", tuple(says), held)
    if link.family is None:
        says.append(
            f"{link.name}: its family is not recorded, so the strictest is taken of: "
            f"{', '.join(f.name for f in possible)}."
        )
    worst: tuple[float, Family] | None = None
    for family in possible:
        factor = family.factor(degrees, link.size)
        if factor is None:
            says.append(
                f"{link.name}: {family.name} has no rating at {degrees:.0f}° from its axis ({family.source})."
            )
            return LinkRating(None, "no rating at this angle", tuple(says), held)
        if worst is None or factor < worst[0]:
            worst = (factor, family)
    assert worst is not None
    factor, family = worst
    if family.caution:
        held = tuple(dict.fromkeys((*held, family.caution)))
    basis = (
        f"{factor:.0%} of the straight rating ({source}) by {family.name}, {family.source} "
        f"[{family.verified}]"
    )
    return LinkRating(link.straight_kg * factor, basis, tuple(says), held)


_PLANE = "in the plane of the eye only, and nobody looked whether the pull stays in it"


def field_rule_shackle_kg(body_m: float) -> float:
    """The field rule of thumb for an unmarked shackle: 3 D2 short tons, D its body in inches. [kg]

    Far below what marked shackles carry, and no rating: `check_link` never uses it.

    Raises
    ------
    StaticsError
        A diameter that is not positive.

    References
    ----------
    .. [1] US Navy NAVEDTRA 14251, Steelworker (page read).
    """
    if not (math.isfinite(body_m) and body_m > 0.0):
        raise StaticsError(f"a body diameter must be more than 0 m, not {body_m!r}.")
    return 3.0 * (body_m / 0.0254) ** 2 * 907.18474
