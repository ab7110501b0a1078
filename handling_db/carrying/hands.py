"""By hand: the shop's own limit beside masses with doubt, the unknown ones included.

References
----------
.. [1] ISO 11228-1, scope: objects of 3 kg and more (scope read).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from handling_db.carrying.checks import PERSON_DECIDES, given
from handling_db.carrying.demand import Word, compare
from handling_db.quantities.notice import Notice

ISO_11228_1_FROM_KG = 3.0  # [1]


@dataclass(frozen=True, slots=True, kw_only=True)
class HandPart:
    """One part somebody will have in the hands; its id where names may be the same. [kg]"""

    name: str
    low_kg: float | None  # lowest believable, or the known part; None: nothing known
    high_kg: float | None  # heaviest believable; None: not known
    id: str = ""

    @property
    def key(self) -> str:
        """What lists call it."""
        return self.id or self.name


@dataclass(frozen=True, slots=True, kw_only=True)
class HandLimit:
    """Parts beside the shop's own limit: heaviest first in each list, the unknown ones included."""

    limit_kg: float | None
    rule: str
    above: tuple[str, ...]
    may_be_above: tuple[str, ...]
    not_known: tuple[str, ...]
    below: tuple[str, ...]
    words: tuple[tuple[str, Word], ...]  # every part, in the order given
    cautions: tuple[Notice, ...]


def hand_limit(
    parts: Sequence[HandPart], *, limit_kg: float | None, rule: str | None, call: str | None
) -> HandLimit:
    """Put parts beside the shop's own limit for lifting by hand.

    Parameters
    ----------
    parts : sequence of HandPart
        Low and high mass of each; high None: not known, and it stays in the list as not known. [kg]
    limit_kg : float or None
        The shop's limit; None: the shop states none, then every part is not known. [kg]
    rule : str or None
        The shop's rule as it is written; None: not recorded.
    call : str or None
        Who is called when a part is above it, by role; None: not recorded.

    Returns
    -------
    HandLimit
        Ids, else names, by word, and cautions. It compares; the rule and the people decide.

    Raises
    ------
    MovingInputError
        A figure cannot be one.

    Examples
    --------
    >>> gear = HandPart(name="output gear", low_kg=25.5, high_kg=25.7)
    >>> hand_limit([gear], limit_kg=25, rule="One person lifts up to 25 kg.", call="foreman").above
    ('output gear',)
    """
    words = tuple((part.key, compare(part.low_kg, part.high_kg, limit_kg)) for part in parts)
    size = [part.low_kg or 0.0 if part.high_kg is None else part.high_kg for part in parts]
    heaviest = sorted(range(len(parts)), key=lambda i: -size[i])

    def those(word: Word) -> list[HandPart]:
        return [parts[i] for i in heaviest if words[i][1] == word]

    def named(word: Word) -> tuple[str, ...]:
        return tuple(part.key for part in those(word))

    cautions = [Notice("no hand limit")] if limit_kg is None else []
    unknown = those("not known")
    if unknown and limit_kg is not None:
        cautions.append(Notice("perhaps above", {"names": tuple(part.name for part in unknown)}))
    cautions += [Notice("mass is not all"), Notice("two do not double")]
    cautions.append(Notice("nobody to call") if call is None else Notice("call", {"who": call}))
    cautions.append(PERSON_DECIDES)
    return HandLimit(
        limit_kg=limit_kg,
        rule="The shop's rule is not recorded." if rule is None else rule,
        above=named("above"),
        may_be_above=named("may be above"),
        not_known=named("not known"),
        below=named("below"),
        words=words,
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
