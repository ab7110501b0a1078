"""Do the parts sum to the whole? Two intervals compared, and what may be said of them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from handling_db.classes import dataclass

if TYPE_CHECKING:
    from fractions import Fraction

    from handling_db.findings import Verdict
    from handling_db.quantities.mass import Mass


@dataclass(frozen=True, slots=True)
class Comparison:
    """What comparing the parts with a stated whole allows to say.

    Parameters
    ----------
    verdict : Verdict
        Agrees, disagrees or cannot be checked.
    because : str
        Why it cannot be checked; empty otherwise.
    gap : (Fraction, Fraction)
        Parts less whole, least and most: positive where the parts are heavier. [kg]
    missing : (Fraction, Fraction), optional
        What the parts without a mass would together have to weigh, where there are any. [kg]
    """

    verdict: Verdict
    because: str
    gap: tuple[Fraction, Fraction]
    missing: tuple[Fraction, Fraction] | None = None

    @property
    def hides(self) -> Fraction:
        """The largest error of one figure with which the two would still touch. [kg]"""
        from handling_db.findings import largest_hidden

        return largest_hidden(self.gap)


@dataclass(frozen=True, slots=True)
class Shared:
    """Something that both sides of a comparison rest on: an error of it, however large, hides.

    Parameters
    ----------
    what : str
        A scale (any instrument), a document (a list, a book), or the density of a material.
    id, name : str
        Of the source or of the material.
    """

    what: Literal["scale", "document", "density"]
    id: str
    name: str


def compare(parts: Mass, whole: Mass, *, boundary_known: bool) -> Comparison:
    """Compare worst-case intervals of the parts and of a stated whole, in the same state and build.

    Complete parts and known boundary: touching agrees, apart disagrees. Boundary not known: apart
    disagrees, touching cannot be checked. Parts "at least": they can disprove the whole by being too heavy
    already, but never agree with it.
    """
    from handling_db.findings import Verdict  # a stored look-up compares nothing and starts fast

    gap = (parts.low - whole.high, parts.high - whole.low)
    if not parts.complete:
        needed = (whole.low - parts.high, whole.high - parts.low)
        if parts.low > whole.high:
            return Comparison(Verdict.DISAGREES, "", gap)
        return Comparison(Verdict.CANNOT_BE_CHECKED, "parts without a mass", gap, needed)
    if parts.low > whole.high or parts.high < whole.low:
        return Comparison(Verdict.DISAGREES, "", gap)
    if not boundary_known:
        return Comparison(Verdict.CANNOT_BE_CHECKED, "it is not stated what the printed figure counts", gap)
    return Comparison(Verdict.AGREES, "", gap)


def decided_by_steps(
    parts: Mass,
    whole: Mass,
    parts_play: tuple[Fraction, Fraction],
    whole_play: tuple[Fraction, Fraction],
) -> str:
    """Whether other steps of rounding than those assumed from the digits would turn the verdict.

    Parameters
    ----------
    parts, whole : Mass
        As they were compared.
    parts_play, whole_play : (Fraction, Fraction)
        How much the limits of each move in, and out, with the finest and the coarsest steps. [kg]

    Returns
    -------
    str
        ``touch`` or ``lie apart``: what the two would do; empty where they do the same with every step.
    """
    low, high = parts.low - whole.high, parts.high - whole.low  # of parts less whole
    if not parts.complete:
        high = max(high, 0 * high)  # what is missing may fill any gap from below
    apart = low > 0 or high < 0
    inward, outward = parts_play[0] + whole_play[0], parts_play[1] + whole_play[1]
    if apart and low - outward <= 0 <= high + outward:
        return "touch"
    if not apart and (low + inward > 0 or (parts.complete and high - inward < 0)):
        return "lie apart"
    return ""


def touch(one: Mass, other: Mass) -> bool:
    """Whether two worst-case intervals have a point in common."""
    return one.low <= other.high and other.low <= one.high
