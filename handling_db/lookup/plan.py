"""The planning figure: the heaviest believable one, or why there is none."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from handling_db.weights.choose import Chosen
from handling_db.weights.totals import Basis, Total, Totals
from handling_db.weights.witness import Witness


@dataclass(frozen=True, slots=True)
class Planning:
    """What to plan with.

    Parameters
    ----------
    high : Fraction or None
        The heaviest believable figure, exact; None while anything in it has no mass. [kg]
    raised_by : Witness, optional
        A stated figure that lies higher than the figure handed upward.
    why_none : str
        Why there is no upper figure; empty where there is one.
    chosen : Chosen, optional
        What somebody decided about the component, where that has a say in `high`.
    """

    high: Fraction | None
    raised_by: Witness | None
    why_none: str
    chosen: Chosen | None = None


def plan_for(totals: Totals, node: int, total: Total | None = None) -> Planning:
    """The largest high among the handed-up figure and the statements that can speak of it.

    A statement whose boundary is not known may raise it and never lowers it; nothing is averaged. A hint,
    such as a figure from a shape, counts only where the figure handed upward is itself a hint: beside a
    weighing or a sum of parts it is a cross-check, and the checker says when the two are apart. Where
    somebody chose a figure, the others of its state are not asked; the plan still never goes below the
    figure handed upward, nor below the parts that are known.

    Parameters
    ----------
    totals : Totals
    node : int
    total : Total, optional
        If it was worked out already.
    """
    total = total or totals.of(node)
    if not total.known:
        return Planning(None, None, why_no_upper_figure(total))
    high = total.mass.high
    raised_by = None
    if total.left_out:  # a stated whole says nothing about what is left after taking parts off
        return Planning(high, None, "")
    settled = totals.settled(node)
    chosen = settled.witness if settled is not None else None
    if chosen is not None and total.figure.basis is Basis.WHOLE:
        high = max(high, totals.sum_of(node).mass.high)  # nobody can choose away the parts that are known
    handed = total.figure.witness
    hints_count = handed is not None and handed.hint
    for witness in totals.usable(node):
        if chosen is not None and _silenced(witness, chosen):
            continue
        speaks = witness is chosen or (witness.chosen and (hints_count or not witness.hint))
        if speaks and witness.several(Fraction(1)).high > high:
            high, raised_by = witness.several(Fraction(1)).high, witness
    return Planning(high, raised_by, "", settled)


def _silenced(witness: Witness, chosen: Witness) -> bool:
    """Whether choosing one figure leaves another out of the plan: not where that is of another state."""
    if witness.id == chosen.id:
        return False
    return chosen.state is None or witness.state in (None, chosen.state)


def why_no_upper_figure(total: Total) -> str:
    """``1 part without a mass`` and the like."""
    reasons = []
    if total.unknown:
        number = len(total.unknown)
        reasons.append("1 part has no mass" if number == 1 else f"{number} parts have no mass")
    if total.open_lists:
        number = len(total.open_lists)
        reasons.append(
            "1 list of parts may be incomplete"
            if number == 1
            else f"{number} lists of parts may be incomplete"
        )
    return " and ".join(reasons) or "nothing is known"
