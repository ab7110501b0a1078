"""Sentences from facts: every mass in both units, the reader's first, each rounded by itself.

A pattern names its facts in braces: ``{load_kg:up}``. What comes after the colon says how to round: ``up``,
``down``, a number of decimals, ``plain`` for as many as it has, at most three, or nothing for the nearest;
``doubt`` is a mass with its limits. Several words stand apart by semicolons, ``and`` by commas, ``on`` one
after another.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP
from fractions import Fraction
from string import Formatter

from handling_db.quantities.display import BOTH, figure, figure_in, with_doubt
from handling_db.quantities.mass import Mass
from handling_db.quantities.notice import Fact, Notice, facts_told
from handling_db.quantities.table import KG, LB, UNITS

_ROUNDING = {"up": ROUND_CEILING, "down": ROUND_FLOOR}
NOT_KNOWN = "not known"

# A mass inside running text, a range or a plus-or-minus too; with the other unit behind it already, in both
# columns of one source, or per something, it stays as it is.
_NUMBER = r"\d[\d ]*(?:\.\d+)?"
_MASS = re.compile(
    rf"(?<![\w.,])(?:({_NUMBER})( to | ± |-|–))?({_NUMBER}) ?(kg|lb|t)\b(?![/²2])"
    rf"( ?\([^()]*\b(?:kg|lb)\)| / {_NUMBER} (?:kg|lb)\b)?"
)


def whole(kg: float, *, first: str = "kg", rounding: str = ROUND_HALF_UP, places: int = 0) -> str:
    """A mass or reading in both units, each rounded by itself: ``392 kg (863 lb)``. [kg]"""
    exact = _exact(kg) or Fraction(0)
    texts = [f"{_unsigned(figure_in(unit, exact, places, rounding))} {unit.name}" for unit in BOTH[first]]
    return f"{texts[0]} ({texts[1]})"


def _unsigned(text: str) -> str:
    """No minus before a zero."""
    return text.lstrip("-") if not text.strip("-0.") else text


def both_units(text: str, *, first: str = "") -> str:
    """Somebody's own words with the other unit behind every mass: ``415 kg (915 lb) on the cell``.

    What was written stays as it was written; the figure behind it has as many decimals, rounded to the
    nearest. With `first` kg or lb a mass in the other unit stands behind its figure in that one:
    ``915 lb (415 kg) on the cell``.
    """

    def other(match: re.Match[str]) -> str:
        before, between, number, unit, there = match.groups()
        if there:
            return match[0]
        target = KG if unit == "lb" else LB

        def turned(text: str) -> str:
            plain = text.replace(" ", "")
            places = 0 if unit == "t" else len(plain.partition(".")[2])
            return figure_in(target, Fraction(plain) * UNITS[unit].factor, places)

        pair = f"{turned(before)}{between}{turned(number)}" if before else turned(number)
        if first == target.name:
            return f"{pair} {target.name} ({match[0]})"
        return f"{match[0]} ({pair} {target.name})"

    return _MASS.sub(other, text)


def said(pattern: str, facts: Mapping[str, Fact], *, first: str = "kg") -> str:
    """A pattern with its facts filled in.

    Raises
    ------
    KeyError
        The pattern asks for a fact that is not there.
    """
    parts = []
    for literal, name, how, _ in Formatter().parse(pattern):
        parts.append(literal)
        if name is not None and how == "doubt":
            parts.append(_doubtful(facts, first))
        elif name is not None:
            parts.append(_fact(name, facts[name], how or "", first))
    return "".join(parts)


def clause(patterns: Mapping[str, str], notice: Notice, *, first: str = "kg") -> str:
    """A notice as it stands inside a sentence or beside figures, those among its facts too.

    Raises
    ------
    KeyError
        Its kind has no pattern, or the pattern asks for a fact that is not there.
    """
    facts = facts_told(notice, lambda one: clause(patterns, one, first=first))
    text = said(patterns[notice.kind], facts, first=first)
    return f"{text} [{notice.source}]" if notice.source else text


def _doubtful(facts: Mapping[str, Fact], first: str) -> str:
    """A mass with its doubt out of ``low_kg``, ``best_kg`` and ``high_kg``; no high: "at least"."""
    low, best, high = (_exact(facts[f"{word}_kg"]) for word in ("low", "best", "high"))
    if low is None or best is None:
        return NOT_KNOWN
    return with_doubt(Mass(best, low, best if high is None else high, complete=high is not None), first=first)


def _exact(value: Fact) -> Fraction | None:
    """Kilograms without the last digits of a float; None where it is no number."""
    return Fraction(round(value * 1e9), 10**9) if isinstance(value, int | float) else None


def _fact(name: str, value: Fact, how: str, first: str) -> str:
    if value is None:
        return NOT_KNOWN
    if isinstance(value, tuple):
        value = _BETWEEN.get(how, "; ").join(str(one) for one in value)
    if isinstance(value, Notice):
        raise TypeError(f"{name} is a notice: tell it before the sentence that it stands in")
    if isinstance(value, str):
        return both_units(value, first=first)
    unit = name.rpartition("_")[2]
    places = int(how) if how.isdigit() else 0
    if how == "plain":
        places = len(f"{value:.3f}".rstrip("0").partition(".")[2])
    rounding = _ROUNDING.get(how, ROUND_HALF_UP)
    if unit == "kg":
        return whole(float(value), first=first, rounding=rounding, places=places)
    factor, word = _PLAIN.get(unit, (1.0, ""))
    if not word:
        return f"{value:g}" if isinstance(value, float) else str(value)
    if not math.isfinite(value):
        return NOT_KNOWN
    exact = Fraction(round(float(value) * factor * 1e9), 10**9)
    return f"{_unsigned(figure(exact, places or (1 if unit == 'n' else 0), rounding))}{word}"


_BETWEEN = {"and": ", ", "on": " "}  # several names; several sentences one after another
# Factor to the unit that is printed, and how it is written.
_PLAIN = {
    "m": (1000.0, " mm"),
    "deg": (1.0, "°"),
    "n": (0.001, " kN"),
    "nm": (1.0, " N·m"),
    "share": (100.0, " %"),
}
