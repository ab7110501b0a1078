"""Figures of other shops for components of ours that wait for review: they may lift a plan, nothing else."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from handling_db.records.collection import Collection
from handling_db.records.kinds.component import Component
from handling_db.records.kinds.weighing import Weighing
from handling_db.records.parts.statement import MassStatement
from handling_db.records.versions import Wait, questions


@dataclass(frozen=True, slots=True)
class WaitingFigure:
    """One figure that is not in force here.

    Parameters
    ----------
    component : str
        Id of the component of ours it is about.
    figure : Weighing or MassStatement
        As it would stand in a record of ours.
    key : str
        Id of the figure.
    shop : str
        Who sent it; empty for a version of this shop that was put aside.
    words : str
        The mark to print beside it: ``from low-tarrowby (not signed), waits for review``.
    """

    component: str
    figure: Weighing | MassStatement
    key: str
    shop: str
    words: str


def waiting_figures(collection: Collection) -> Mapping[str, tuple[WaitingFigure, ...]]:
    """By component in force, the figures for it that lie aside and nobody here has decided about.

    Weighings that wait, and mass statements in another version of the component that ours does not have.
    A version of this shop's own that gave way to another was decided about, and is not among them.
    """
    found: dict[str, dict[str, WaitingFigure]] = {}
    for question in questions(collection):
        if question.wait is Wait.UNREVIEWED:
            continue
        shop = question.shop or "this shop"
        words = f"from {shop} ({question.signed or 'not signed'}), waits for review"
        record = question.record
        figures: list[tuple[str, str, Weighing | MassStatement]] = []
        if isinstance(record, Weighing):
            figures = [(record.of, record.weighing, record)]
        elif isinstance(record, Component):
            figures = [(record.component, s.key(record.component), s) for s in record.masses]
        for code, key, figure in figures:
            own = collection.components.get(code)
            if own is None or key in {statement.key(code) for statement in own.masses}:
                continue
            one = WaitingFigure(code, figure, key, question.shop, words)
            found.setdefault(code, {}).setdefault(key, one)
    return {code: tuple(figures.values()) for code, figures in sorted(found.items())}
