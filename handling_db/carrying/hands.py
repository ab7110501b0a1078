"""By hand: the shop's own limit beside masses with doubt, the unknown ones included.

References
----------
.. [1] ISO 11228-1, scope: objects of 3 kg and more (scope read).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from handling_db.carrying.checks import PERSON_DECIDES, given
from handling_db.carrying.demand import Word, compare
from handling_db.quantities.amount import Amount
from handling_db.quantities.notice import Notice

ISO_11228_1_FROM_KG = 3.0  # [1]


@dataclass(frozen=True, slots=True)
class HandLine:
    """One piece that somebody will have in the hands, each by itself. `load` None where nobody knows. [kg]"""

    id: str
    name: str
    pieces: str
    load: Amount | None
    word: str = ""  # of the load against the limit
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class HandLimit:
    """Pieces beside the shop's own limit: heaviest first in each list, the unknown ones included."""

    rule: Notice
    above: tuple[HandLine, ...]
    may_be_above: tuple[HandLine, ...]
    not_known: tuple[HandLine, ...]
    below: tuple[HandLine, ...]
    cautions: tuple[Notice, ...]


def hand_limit(
    lines: Sequence[HandLine], *, limit_kg: float | None, rule: str | None, call: str | None
) -> HandLimit:
    """Put pieces beside the shop's own limit for lifting by hand.

    Parameters
    ----------
    lines : sequence of HandLine
        One without an upper figure stays in the answer as not known. [kg]
    limit_kg : float or None
        The shop's limit; None: the shop states none, then every piece is not known. [kg]
    rule : str or None
        The shop's rule as it is written; None: not recorded.
    call : str or None
        Who is called when a piece is above it, by role; None: not recorded.

    Returns
    -------
    HandLimit
        The pieces by word, and cautions. It compares; the rule and the people decide.

    Raises
    ------
    MovingInputError
        The limit cannot be one.

    Examples
    --------
    >>> gear = HandLine("gear", "output gear", "1", Amount(25.5, 25.6, 25.7))
    >>> found = hand_limit([gear], limit_kg=25, rule="One person lifts up to 25 kg.", call="foreman")
    >>> [line.id for line in found.above]
    ['gear']
    """

    def size(line: HandLine) -> float:
        return 0.0 if line.load is None else line.load.high or line.load.low

    def worded(line: HandLine) -> HandLine:
        low, high = (None, None) if line.load is None else (line.load.low, line.load.high)
        return replace(line, word=compare(low, high, limit_kg))

    judged = [worded(line) for line in sorted(lines, key=size, reverse=True)]

    def those(word: Word) -> tuple[HandLine, ...]:
        return tuple(line for line in judged if line.word == word)

    cautions = [Notice("no hand limit")] if limit_kg is None else []
    if those("not known") and limit_kg is not None:
        cautions.append(Notice("perhaps above", {"names": tuple(line.name for line in those("not known"))}))
    cautions += [Notice("mass is not all"), Notice("two do not double")]
    cautions.append(Notice("nobody to call") if call is None else Notice("call", {"who": call}))
    cautions.append(PERSON_DECIDES)
    return HandLimit(
        rule=Notice("no rule of the shop") if rule is None else Notice("rule of the shop", {"rule": rule}),
        above=those("above"),
        may_be_above=those("may be above"),
        not_known=those("not known"),
        below=those("below"),
        cautions=tuple(cautions),
    )


def in_scope_of_iso_11228_1(mass_kg: float) -> bool:
    """Tell whether ISO 11228-1 speaks of an object of this mass at all: 3 kg and more.

    Parameters
    ----------
    mass_kg : float
        Heaviest believable mass. [kg]

    Returns
    -------
    bool
        True from 3 kg up. It says nothing about lifting it.

    Raises
    ------
    MovingInputError
        The mass is not a figure above zero.

    References
    ----------
    .. [1] ISO 11228-1, scope.
    """
    return given("the mass", mass_kg, "it in kg") >= ISO_11228_1_FROM_KG
