"""Linear programs, with whole numbers where asked: rows in, HiGHS asked directly, values and multipliers out.

The solver works in floating point, each question by itself and from a cold start, so that the same question
ends the same way whatever was asked before. What it says is never a figure by itself: the callers prove it.
"""

from __future__ import annotations

import math
import threading
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

LinearRow = tuple[
    Mapping[int, float], float, float
]  # coefficients by column, lowest, highest; may be infinite


@dataclass(frozen=True, slots=True)
class Solved:
    """What the solver answers.

    Parameters
    ----------
    optimal, infeasible : bool
        Proved; neither where it gave up, or there is no lower end.
    steps : int
        Steps of the simplex method that it took: the same on every machine.
    values : tuple of float or None
        By column; None where nothing was found.
    least : float
        The value of what was asked for.
    multipliers : tuple of float
        By row, what one more of its lower end (above 0) or upper end (below 0) adds; none with whole numbers.
    """

    optimal: bool
    infeasible: bool
    steps: int = 0
    values: tuple[float, ...] | None = None
    least: float = math.nan
    multipliers: tuple[float, ...] = ()


class LinearProgram:
    """Rows and spans of columns, made ready for several questions.

    Parameters
    ----------
    spans : sequence of (float, float)
        Lowest and highest of each column; infinite where it has no end.
    rows : iterable of (coefficients by column, lowest, highest)
    whole : collection of int
        Columns that are whole numbers.
    """

    def __init__(
        self, spans: Sequence[tuple[float, float]], rows: Iterable[LinearRow], whole: Iterable[int] = ()
    ) -> None:
        import highspy
        import numpy as np

        starts, columns = [0], list[int]()
        values, lows, highs = list[float](), list[float](), list[float]()
        for terms, low, high in rows:
            columns += terms.keys()
            values += terms.values()
            starts.append(len(columns))
            lows.append(low)
            highs.append(high)
        model: Any = highspy.HighsLp()
        model.num_col_, model.num_row_ = len(spans), len(lows)
        model.col_lower_ = np.array([low for low, _ in spans], dtype=np.double)
        model.col_upper_ = np.array([high for _, high in spans], dtype=np.double)
        model.row_lower_ = np.array(lows, dtype=np.double)
        model.row_upper_ = np.array(highs, dtype=np.double)
        model.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        model.a_matrix_.start_ = np.array(starts, dtype=np.int32)
        model.a_matrix_.index_ = np.array(columns, dtype=np.int32)
        model.a_matrix_.value_ = np.array(values, dtype=np.double)
        chosen = set(whole)
        if chosen:
            kinds = highspy.HighsVarType
            model.integrality_ = [
                kinds.kInteger if column in chosen else kinds.kContinuous for column in range(len(spans))
            ]
        self._model = model
        self._whole = bool(chosen)
        self._columns = len(spans)

    def least(self, cost: Mapping[int, float], **options: float) -> Solved:
        """The lowest value of a weighted sum of columns.

        Parameters
        ----------
        cost : mapping of column to weight
        options : float
            By the solver's own names, such as ``time_limit`` [s], ``mip_rel_gap``, ``mip_max_nodes``.
        """
        import highspy
        import numpy as np

        weights = np.zeros(self._columns)
        for column, weight in cost.items():
            weights[column] = weight
        self._model.col_cost_ = weights
        solver = _cleared_solver()
        for name, value in {"output_flag": False, **options}.items():
            solver.setOptionValue(name, value)
        solver.passModel(self._model)
        solver.run()
        status = solver.getModelStatus()
        kinds = highspy.HighsModelStatus
        optimal, infeasible = status == kinds.kOptimal, status == kinds.kInfeasible
        found = solver.getInfo()
        steps = max(0, int(found.simplex_iteration_count))
        feasible = found.primal_solution_status == highspy.SolutionStatus.kSolutionStatusFeasible
        if infeasible or not (optimal or (self._whole and feasible)):
            return Solved(optimal, infeasible, steps)
        solution = solver.getSolution()
        values = tuple(float(value) for value in solution.col_value)
        multipliers = () if self._whole else tuple(float(value) for value in solution.row_dual)
        return Solved(optimal, infeasible, steps, values, float(found.objective_function_value), multipliers)


_own = threading.local()  # another thread's question must not get into one that is being solved


def _cleared_solver() -> Any:
    """The solver of this thread, which knows nothing of a former question and has its usual options.

    To make one takes longer than most questions do.
    """
    import highspy

    if not hasattr(_own, "solver"):
        solver_of: Any = highspy.Highs
        _own.solver = solver_of()
    _own.solver.clear()
    return _own.solver
