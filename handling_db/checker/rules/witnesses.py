"""One witness or two? Columns of one source, figures that may be one another converted or copied."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations

from handling_db.checker.evidence import Evidence
from handling_db.findings import Finding
from handling_db.quantities.quantity import Quantity
from handling_db.records.parts.statement import MassStatement
from handling_db.weights.columns import Original, could_be_converted
from handling_db.weights.witness import Witness

MOST = 60  # statements of one component that are compared with each other, the most trusted first


def columns_converted(evidence: Evidence) -> Iterator[Finding]:
    """Two columns of one source, one of them converted from the other: one witness, not two."""
    for witness, statement in _statements(evidence):
        if witness.columns is None or witness.columns.original is Original.NEITHER:
            continue
        also = statement.also_printed
        printed = {
            Original.FIRST: str(statement.printed),
            Original.SECOND: str(also.printed if also else ""),
            Original.EITHER: "either column",
        }[witness.columns.original]
        yield evidence.where(witness, "also printed").remark(
            "columns-converted",
            f"{witness.printed}: one column is the other converted ({printed} can be the original), "
            "so this is one witness and not two.",
            "Nothing to do, unless the source says which column was weighed.",
            (("columns", witness.columns.low, witness.columns.high),),
        )


def columns_differ(evidence: Evidence) -> Iterator[Finding]:
    """Two columns of one source of which neither gives the other."""
    for witness, _ in _statements(evidence):
        if witness.columns is not None and witness.columns.original is Original.NEITHER:
            yield evidence.where(witness, "also printed").disagrees(
                "columns-differ",
                f"{witness.printed}: neither column, converted and rounded, gives the other.",
                "Read both columns and their steps again; if they stand so, the source contradicts itself "
                "and both ends are used.",
                (("columns", witness.columns.low, witness.columns.high),),
            )


def could_be_conversion(evidence: Evidence) -> Iterator[Finding]:
    """Figures of two sources in different units, where one can be the other converted."""
    for pair in _pairs(evidence):
        first, second = pair.first, pair.second
        if first.witness.source.id == second.witness.source.id or first.figure.unit == second.figure.unit:
            continue
        if could_be_converted(first.figure, second.figure, second.step) or could_be_converted(
            second.figure, first.figure, first.step
        ):
            yield _remark(
                evidence,
                pair,
                "could-be-a-conversion",
                "could be a conversion: the two may be one witness.",
                "Ask where the second one got it; if it was converted, write 'derived: {how: converted}'.",
            )


def same_figure(evidence: Evidence) -> Iterator[Finding]:
    """The very same figure from two sources, or twice from one: perhaps one witness."""
    for pair in _pairs(evidence):
        first, second = pair.first, pair.second
        if first.figure.unit == second.figure.unit and first.figure.number == second.figure.number:
            yield _remark(
                evidence,
                pair,
                "same-figure-twice",
                "the same figure, so perhaps the same witness.",
                "Ask where the second one got it; if it was copied, write 'derived: {how: copied}'.",
            )


def _remark(evidence: Evidence, pair: _Pair, rule: str, sentence: str, remedy: str) -> Finding:
    one, other = pair.first.witness, pair.second.witness
    return evidence.where(other).remark(
        rule,
        f"{other.printed} ({other.source.name}) and {one.printed} ({one.source.name}): {sentence}",
        remedy,
        about=pair.component,
    )


def _statements(evidence: Evidence) -> Iterator[tuple[Witness, MassStatement]]:
    for code in evidence.with_figures:
        component = evidence.collection.components[code]
        for witness in evidence.witnesses(code):
            if witness.position is not None:
                yield witness, component.masses[witness.position[1]]


@dataclass(frozen=True, slots=True)
class _Printed:
    """A figure as it stands on paper, and its step of rounding. [kg]"""

    witness: Witness
    figure: Quantity
    step: Fraction


@dataclass(frozen=True, slots=True)
class _Pair:
    """Two figures that stand on paper for one component."""

    component: str
    first: _Printed
    second: _Printed


def _pairs(evidence: Evidence) -> Iterator[_Pair]:
    """Pairs of printed figures that nobody read off an instrument and nobody called derived."""
    for code in evidence.with_figures:
        component = evidence.collection.components[code]
        if len(component.masses) < 2:
            continue
        told = []
        for witness in evidence.witnesses(code):
            if witness.position is None or witness.source.instrument is not None or witness.derived:
                continue
            statement = component.masses[witness.position[1]]
            if statement.printed is not None:
                step = statement.step or statement.printed
                kg = step.base if statement.step else step.step_base
                told.append(_Printed(witness, statement.printed, kg))
        for first, second in combinations(told[:MOST], 2):
            yield _Pair(code, first, second)
