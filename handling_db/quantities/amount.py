"""Amounts of mass as a calculation of forces needs them: low, best, high, and what is not known."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from handling_db.errors import HandlingError

if TYPE_CHECKING:
    from handling_db.quantities.mass import Mass

GRAVITY = 9.80665  # m/s2, standard acceleration of free fall: exact by convention (ISO 80000-3)


class StaticsError(HandlingError, ValueError):
    """The case as described cannot be worked out; the message says why and what would make it possible."""


class UnknownMassError(StaticsError):
    """A mass that the answer depends on is not known; it is never taken as nothing."""


@dataclass(frozen=True, slots=True)
class Amount:
    """A mass with its worst-case limits. [kg]

    `high` is None where a part has no known mass: then `low` and `best` count the known parts only and the
    whole is "at least" that.
    """

    low: float
    best: float
    high: float | None

    def __post_init__(self) -> None:
        known = [self.low, self.best] if self.high is None else [self.low, self.best, self.high]
        if not all(math.isfinite(value) for value in known):
            raise StaticsError(f"a mass must be a finite number of kilograms, not {self!r}")
        if self.low < 0.0 or known != sorted(known):
            raise StaticsError(f"a mass needs 0 <= low <= best <= high, not {self!r}")

    @classmethod
    def exact(cls, kg: float) -> Amount:
        """A mass taken as it stands, without doubt."""
        return cls(kg, kg, kg)

    @classmethod
    def around(cls, kg: float, half_width: float) -> Amount:
        """A mass with the same doubt both ways; never below nothing. [kg]"""
        return cls(max(0.0, kg - half_width), kg, kg + half_width)

    @classmethod
    def of(cls, mass: Mass) -> Amount:
        """A mass of records as a calculation takes it; no upper figure where part of it is not known. [kg]"""
        return cls(float(mass.low), float(mass.best), float(mass.high) if mass.complete else None)

    @classmethod
    def enclosing(cls, low: float, best: float, high: float | None) -> Amount:
        """Limits worked out apart from the best figure, whose last digits may cross: widened, never narrowed.

        Below nothing there is no mass. [kg]
        """
        sure = max(best, 0.0)
        return cls(max(min(low, sure), 0.0), sure, None if high is None else max(high, sure))

    @property
    def complete(self) -> bool:
        """Whether there is an upper figure; without one only "at least" may be said."""
        return self.high is not None

    @property
    def half_width(self) -> float | None:
        """The larger distance from best to a limit; None for "at least". [kg]"""
        return None if self.high is None else max(self.high - self.best, self.best - self.low)

    def upper(self, what: str) -> float:
        """The highest believable mass; refused where there is none. [kg]

        Raises
        ------
        UnknownMassError
            Part of `what` has no known mass.
        """
        if self.high is None:
            raise UnknownMassError(
                f"{what}: at least {self.best:.1f} kg, with a part of unknown mass, so there is no upper "
                "figure. "
                "Weigh the missing part, or give it a range."
            )
        return self.high


@dataclass(frozen=True, slots=True)
class AmountTotal:
    """Several amounts together, and the names of those nobody knows."""

    amount: Amount
    missing: tuple[str, ...]


def total(parts: Mapping[str, Amount | None]) -> AmountTotal:
    """Add amounts by the worst case: lows to lows, highs to highs.

    Parameters
    ----------
    parts : mapping of str to Amount or None
        What hangs there, by name; None where nobody knows. At least one known. [kg]

    Returns
    -------
    AmountTotal
        With `high` None and the names in `missing` where anything is not known.

    Raises
    ------
    UnknownMassError
        Not one of the parts is known: a sum of nothing would pass for a weighed zero.
    """
    known = [amount for amount in parts.values() if amount is not None]
    missing = tuple(name for name, amount in parts.items() if amount is None or not amount.complete)
    if not known:
        named = ", ".join(parts) or "nothing was listed"
        raise UnknownMassError(f"no mass is known ({named}): weigh at least one before asking for a total.")
    highs = [amount.high for amount in known if amount.high is not None]
    return AmountTotal(
        Amount(
            math.fsum(amount.low for amount in known),
            math.fsum(amount.best for amount in known),
            None if missing else math.fsum(highs),
        ),
        missing,
    )


def needed_mass(mass_kg: float | None, what: str) -> float:
    """The mass, or a refusal that names what nobody weighed. [kg]

    Raises
    ------
    UnknownMassError
        `mass_kg` is None.
    StaticsError
        It is not a positive, finite number.
    """
    if mass_kg is None:
        raise UnknownMassError(
            f"{what}: the mass is not known, and an unknown mass is not zero. "
            "Weigh it, or give it a range, then ask again."
        )
    if not math.isfinite(mass_kg) or mass_kg <= 0.0:
        raise StaticsError(f"{what}: a mass must be more than 0 kg and finite, not {mass_kg!r}")
    return mass_kg


def bounded(mass: Amount | None, what: str) -> Amount:
    """The amount, or a refusal where the answer also depends on where the missing part sits.

    A part of unknown mass moves the centre of gravity as well, so "at least" would be wrong: it may load one
    point less.

    Raises
    ------
    UnknownMassError
        The mass is unknown, or a part of it is.
    """
    if mass is None:
        raise UnknownMassError(
            f"{what}: the mass is not known, and an unknown mass is not zero. "
            "Weigh it, or give it a range, then ask again."
        )
    if not mass.complete:
        raise UnknownMassError(
            f"{what}: at least {mass.best:.1f} kg, with a part of unknown mass that also moves the centre of "
            "gravity, so no force can be given. Weigh the missing part, or give it a range."
        )
    return mass


def newtons(kg: float) -> float:
    """Weight of a mass at standard gravity. [N]"""
    return kg * GRAVITY


def reading(force_n: float) -> float:
    """What a cell marked in kilograms shows under a force. [kg]"""
    return force_n / GRAVITY
