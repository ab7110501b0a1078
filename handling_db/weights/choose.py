"""Which figure is used: a recorded choice, else the ranking of sources; and what stays open.

A choice overrides the figure handed upward and the planning figure. Until there is one, figures that
contradict one another stay a conflict and the larger upper figure is planned with.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from handling_db.records.kinds.choice import Choice
from handling_db.records.parts.texts import State
from handling_db.weights.verdict import touch
from handling_db.weights.witness import Witness


@dataclass(frozen=True, slots=True)
class Chosen:
    """The figure used for one component, and why.

    Parameters
    ----------
    witness : Witness or None
        None where no figure may be handed upward.
    choice : Choice or None
        The decision that chose it; None where the ranking did.
    open : Choice or None
        The record that keeps the conflict open, with its owner and date.
    apart : tuple of Witness
        Figures that contradict the one used, whether or not somebody chose.
    gone : Choice or None
        A choice that names a figure which is not usable here: it has no effect, and the checker says so.
    """

    witness: Witness | None
    choice: Choice | None
    open: Choice | None
    apart: tuple[Witness, ...]
    gone: Choice | None = None

    @property
    def conflict(self) -> bool:
        """Whether figures contradict one another and nobody has settled it."""
        return bool(self.apart) and self.choice is None

    def overdue(self, as_of: datetime.date) -> bool:
        """Whether an open conflict should have been settled before a day."""
        until = self.open.settle_by if self.open is not None else None
        return until is not None and self.conflict and until < as_of


def in_force(choices: Iterable[Choice], component: str, state: State | None = None) -> tuple[Choice, ...]:
    """The choices about a component in a state that no later one replaces, the newest first.

    Parameters
    ----------
    choices : iterable of Choice
    component : str
    state : State, optional
        A choice that names no state speaks of every one.
    """
    found = not_replaced(choices).get(component, ())
    return tuple(c for c in found if c.state is None or state is None or c.state == state)


def not_replaced(choices: Iterable[Choice]) -> Mapping[str, tuple[Choice, ...]]:
    """By component, the choices that no later one replaces, the newest first."""
    known = list(choices)
    replaced = {choice.replaces for choice in known}
    found: dict[str, list[Choice]] = {}
    for choice in sorted(known, key=lambda c: (-c.on.toordinal(), c.id)):
        if choice.id not in replaced:
            found.setdefault(choice.component, []).append(choice)
    return {component: tuple(several) for component, several in found.items()}


def choose(witnesses: Sequence[Witness], choices: Sequence[Choice] = ()) -> Chosen:
    """Choose among the usable figures of one component in one state and build.

    Parameters
    ----------
    witnesses : sequence of Witness
        Usable here, the most trusted first.
    choices : sequence of Choice
        In force here, the newest first (`in_force`).

    Returns
    -------
    Chosen
        The newest settled choice wins over the ranking. A guess by eye is never taken by rank, but may be
        chosen: then a person stands for it.
    """
    by_id = {witness.id: witness for witness in witnesses}
    settled = next((choice for choice in choices if choice.settled), None)
    open_choice = next((choice for choice in choices if not choice.settled), None)
    if settled is not None and open_choice is not None and open_choice.on > settled.on:
        settled = None  # somebody opened the question again
    witness = by_id.get(settled.statement or "") if settled is not None else None
    gone = settled if settled is not None and witness is None else None
    choice = settled if witness is not None else None
    counted = [w for w in witnesses if w.chosen]
    if witness is None:
        witness = next((w for w in counted if not w.hint), next(iter(counted), None))
    if witness is None:
        return Chosen(None, None, open_choice, (), gone)
    used = witness
    beside = [w for w in counted if w.id != used.id and (used.hint or not w.hint)]
    apart = tuple(w for w in beside if not touch(w.mass, used.mass))
    return Chosen(used, choice, open_choice, apart, gone)
