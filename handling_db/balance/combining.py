"""Several weighings of one thing: what independent ones come to together.

The mean is shown and never lowers a planning figure. Only independent weighings that do not contradict one
another are averaged; nothing is put together across boundary, state, build, packing or serial number.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations

from handling_db.errors import HandlingError
from handling_db.evidence.provenance import Provenance
from handling_db.weights.witness import Witness

# The law of propagation of uncertainty, with correlations.

Rows = Sequence[Sequence[float]]


def joint_variance(slopes: Sequence[float], covariance: Rows, others: Sequence[float] | None = None) -> float:
    """Variance of a result, or covariance of two results, from the covariances of what goes into them.

    Parameters
    ----------
    slopes : sequence of float
        How much the result moves with each input: its partial derivatives.
    covariance : square rows of float
        Variances of the inputs on the diagonal, covariances beside it.
    others : sequence of float, optional
        Of a second result from the same inputs.

    Returns
    -------
    float
        Sum over all pairs of slope times slope times covariance ([1] 5.2.2 equation 13; of two results
        H.2.3).

    References
    ----------
    .. [1] JCGM 100:2008, "Guide to the expression of uncertainty in measurement" (equation numbers from
       memory; its example H.2 is reproduced in the tests).
    """
    second = slopes if others is None else others
    return math.fsum(
        one * other * covariance[i][j] for i, one in enumerate(slopes) for j, other in enumerate(second)
    )


# A small system of equations, without a matrix library.


def solve_definite(matrix: Sequence[Sequence[float]], right: Sequence[float]) -> list[float] | None:
    """Solve a small symmetric positive definite system by Cholesky's method.

    Returns
    -------
    list of float or None
        None where the matrix is not positive definite.
    """
    size = len(matrix)
    lower = [[0.0] * size for _ in range(size)]
    for i in range(size):
        for j in range(i + 1):
            rest = matrix[i][j] - math.fsum(lower[i][k] * lower[j][k] for k in range(j))
            if i == j:
                if rest <= 1e-14 * matrix[i][i]:
                    return None
                lower[i][i] = math.sqrt(rest)
            else:
                lower[i][j] = rest / lower[j][j]
    half: list[float] = []
    for i in range(size):
        half.append((right[i] - math.fsum(lower[i][k] * half[k] for k in range(i))) / lower[i][i])
    solved = [0.0] * size
    for i in reversed(range(size)):
        later = math.fsum(lower[k][i] * solved[k] for k in range(i + 1, size))
        solved[i] = (half[i] - later) / lower[i][i]
    return solved


class NotCombinedError(HandlingError):
    """These figures must not be put together; the message says why and what would help."""


@dataclass(frozen=True, slots=True)
class Combined:
    """The weighted mean of several weighings.

    Parameters
    ----------
    best, u : float
        Mean and its standard uncertainty. [kg]
    weights : tuple of (id, float)
        They add up to one; one may be negative where readings share most of their doubt.
    low, high : Fraction
        Worst case: what all of them allow together. [kg]
    """

    best: float
    u: float
    weights: tuple[tuple[str, float], ...]
    low: Fraction
    high: Fraction


def not_comparable(one: Witness, other: Witness) -> str:
    """Why two figures do not answer the same question; empty where they do."""
    if one.component != other.component:
        return f"{one.id} is about {one.component}, {other.id} about {other.component}"
    differ: tuple[tuple[str, Callable[[Witness], object]], ...] = (
        ("state", lambda w: w.state),
        ("build", lambda w: (w.build, w.worked_in)),
        ("packing", lambda w: w.packed),
        ("what they count", lambda w: w.counts),
        ("what they leave out", lambda w: w.without),
    )
    for name, value in differ:
        if value(one) != value(other):
            return f"{one.id} and {other.id} differ in {name}; make the difference explicit first"
    if one.serials and other.serials and not one.serials.overlaps(other.serials):
        return f"{one.id} and {other.id} are about different serial numbers"
    return ""


def combined_weighings(
    provenance: Provenance, witnesses: Sequence[Witness]
) -> tuple[tuple[tuple[Witness, ...], Combined], ...]:
    """Every group of weighings of one question that may be averaged, with what they come to.

    Parameters
    ----------
    provenance : Provenance
    witnesses : sequence of Witness
        Of one component.
    """
    groups: list[list[Witness]] = []
    for witness in witnesses:
        if witness.source.instrument is None or not witness.chosen or witness.packed:
            continue
        same = next((group for group in groups if not not_comparable(group[0], witness)), None)
        if same is None:
            groups.append([witness])
        else:
            same.append(witness)
    found = []
    for group in groups:
        try:
            found.append((tuple(group), combine_weighings(provenance, group)))
        except NotCombinedError:
            continue  # one alone, one witness, or a contradiction, which is told as such
    return tuple(found)


def combine_weighings(provenance: Provenance, weighings: Sequence[Witness]) -> Combined:
    """The mean of independent weighings with the least variance.

    With covariance matrix V of the readings the weights are V⁻¹ 1 / (1ᵀ V⁻¹ 1) and the variance of the mean
    is 1 / (1ᵀ V⁻¹ 1) (Gauss and Markov's estimate, generalised by Aitken; the variance follows from [1]
    equation 13). Two readings on one instrument share its calibration doubt: their covariance is its
    variance, so that doubt is never averaged away ([1] 5.2.2, F.1.2.3).

    Parameters
    ----------
    provenance : Provenance
    weighings : sequence of Witness
        At least two, all read on instruments.

    Raises
    ------
    NotCombinedError
        Fewer than two; one not read on an instrument; made from one another; readings on one instrument
        whose calibration doubt nobody stated; different questions; or they contradict one another.

    References
    ----------
    .. [1] JCGM 100:2008, "Guide to the expression of uncertainty in measurement", 5.2.2 equation 13
       (equation numbers from memory; results are compared with general libraries in the tests).
    """
    if len(weighings) < 2:
        raise NotCombinedError("a mean needs two weighings at least")
    for weighing in weighings:
        if weighing.source.instrument is None:
            raise NotCombinedError(
                f"{weighing.id} was not read on an instrument ({weighing.source.name}); only weighings are "
                "averaged"
            )
    for one, other in combinations(weighings, 2):
        _same_question(one, other)
        made = "the same figure" if one.id == other.id else provenance.derivation(one.id, other.id)
        if made:
            raise NotCombinedError(f"{one.id} and {other.id} are one witness: {made}")
        instrument = one.source.instrument
        if one.source.id == other.source.id and instrument and instrument.calibration_doubt is None:
            raise NotCombinedError(
                f"{one.id} and {other.id} were both read on {one.source.name}, and nobody stated its "
                "calibration doubt: they cannot be taken for two witnesses; write 'calibration doubt'"
            )
        if one.mass.high < other.mass.low or other.mass.high < one.mass.low:
            raise NotCombinedError(
                f"{one.id} and {other.id} contradict one another; conflicts are not averaged: "
                "weigh again, or record a choice"
            )
    covariance = [[_covariance(one, other) for other in weighings] for one in weighings]
    for place, weighing in enumerate(weighings):
        if covariance[place][place] <= 0:
            raise NotCombinedError(f"{weighing.id} has no doubt at all; state it")
    solved = solve_definite(covariance, [1.0] * len(weighings))
    if solved is None:
        raise NotCombinedError("two readings share all of their doubt: they are one witness")
    total = math.fsum(solved)
    weights = [value / total for value in solved]
    # summed as differences from the first: masses are large beside what sets them apart
    start = weighings[0].mass.best
    best = float(start) + math.fsum(
        weight * float(w.mass.best - start) for weight, w in zip(weights, weighings, strict=True)
    )
    return Combined(
        best,
        math.sqrt(joint_variance(weights, covariance)),
        tuple((w.id, weight) for w, weight in zip(weighings, weights, strict=True)),
        max(w.mass.low for w in weighings),
        min(w.mass.high for w in weighings),
    )


def _same_question(one: Witness, other: Witness) -> None:
    why = not_comparable(one, other)
    if why:
        raise NotCombinedError(f"not put together: {why}")


def _covariance(one: Witness, other: Witness) -> float:
    shared = sum(
        float(half) * float(other.mass.shared[name]) / 3  # rectangular: half-width squared over three
        for name, half in one.mass.shared.items()
        if name in other.mass.shared
    )
    return one.mass.variance + shared if one.id == other.id else shared
