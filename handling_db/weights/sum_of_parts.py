"""The sum that a stated whole is compared with: its mass at once, what it is made of only when asked.

A chain of assemblies with a figure on every level would otherwise be walked from every level down.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from functools import cached_property

from handling_db.quantities.mass import Mass
from handling_db.weights.totals import Basis, Share, Total, Totals

MIXED = ""  # the figures of a sum come from several sources, or one has none


class SumOfParts:
    """A sum of parts.

    Parameters
    ----------
    mass : Mass
        Its worst-case limits and whether it is complete are those of the full total. [kg]
    any_derived : bool
        Whether any figure in it may have been copied, converted, summed or inferred.
    one_source : str, optional
        Id of the source of every figure in it, where there is one such source.
    total : callable
        Works out what the sum is made of.
    step_play : (Fraction, Fraction)
        How much each limit would move in, and out, with other steps of rounding. [kg]
    """

    def __init__(
        self,
        mass: Mass,
        *,
        any_derived: bool,
        one_source: str | None,
        total: Callable[[], Total],
        step_play: tuple[Fraction, Fraction],
    ) -> None:
        self.mass = mass
        self.any_derived = any_derived
        self.one_source = one_source
        self._work_out = total
        self.step_play = step_play

    @classmethod
    def of(cls, total: Total) -> SumOfParts:
        """A sum that is worked out already."""
        witnesses = [share.figure.witness for share in total.shares]
        play = [
            (witness.step_play, share.pieces)
            for witness, share in zip(witnesses, total.shares, strict=True)
            if witness
        ]
        sources = {witness.source.id if witness else MIXED for witness in witnesses}
        return cls(
            total.mass,
            any_derived=any(witness.derived for witness in witnesses if witness),
            one_source=next(iter(sources)) or None if len(sources) == 1 else None,
            total=lambda: total,
            step_play=(
                sum((less * pieces for (less, _), pieces in play), start=Fraction(0)),
                sum((more * pieces for (_, more), pieces in play), start=Fraction(0)),
            ),
        )

    @cached_property
    def total(self) -> Total:
        """The whole of it."""
        return self._work_out()

    @property
    def shares(self) -> tuple[Share, ...]:
        """The figures that were added, with how many pieces of each."""
        return self.total.shares

    @property
    def unknown(self) -> tuple[tuple[str, Fraction], ...]:
        """Components without a mass, with how many pieces."""
        return self.total.unknown

    @property
    def open_lists(self) -> tuple[str, ...]:
        """Assemblies whose parts are not known to be all listed."""
        return self.total.open_lists


def handed_sum(totals: Totals, node: int) -> SumOfParts:
    """The sum of all parts of a node, without a walk where the node hands that very sum upward.

    Parameters
    ----------
    totals : Totals
        Nothing taken off.
    node : int
        Of an assembly.
    """
    figure = totals.figures[node]
    if figure.basis is not Basis.SUM or figure.mass is None:
        return SumOfParts.of(totals.sum_of(node))
    return SumOfParts(
        figure.mass,
        any_derived=totals.derived_below[node],
        one_source=totals.source_below[node] or None,
        total=lambda: totals.sum_of(node),
        step_play=totals.step_play_below[node],
    )
