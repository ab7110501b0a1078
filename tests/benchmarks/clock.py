"""Measuring two things in one run, turn by turn, so that a slow moment of the machine hits both."""

from __future__ import annotations

import resource
import statistics
import time
from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Line:
    """One row of the table: what, against what, how often slower, and what was to be reached."""

    what: str
    against: str
    seconds: float
    baseline: float
    reach: float
    remark: str = ""

    @property
    def ratio(self) -> float:
        """How many times the baseline."""
        return self.seconds / self.baseline

    def __str__(self) -> str:
        verdict = "reached" if self.ratio <= self.reach else "MISSED"
        told = f" ({self.remark})" if self.remark else ""
        return (
            f"| {self.what}{told} | {_time(self.seconds)} | {self.against} | {_time(self.baseline)} "
            f"| {as_ratio(self.ratio)} | {as_ratio(self.reach)} | {verdict} |"
        )


HEAD = (
    "| what | took | against | took | ratio | to reach | |\n| --- | ---: | --- | ---: | ---: | ---: | --- |"
)


def side_by_side(
    one: Callable[[], object],
    other: Callable[[], object],
    turns: int,
    clock: Callable[[], float] = time.perf_counter,
) -> tuple[float, float]:
    """Median times of two functions, measured turn by turn by the wall clock or another one. [s]"""
    times: tuple[list[float], list[float]] = ([], [])
    for _ in range(turns):
        for function, kept in ((one, times[0]), (other, times[1])):
            start = clock()
            function()
            kept.append(clock() - start)
    return statistics.median(times[0]), statistics.median(times[1])


def both_clocks(
    one: Callable[[], object], other: Callable[[], object], turns: int
) -> tuple[tuple[float, float], tuple[float, float]]:
    """Median times of two functions that start processes: by the clock, and of the processor in these. [s]"""
    times: tuple[list[tuple[float, float]], list[tuple[float, float]]] = ([], [])
    for _ in range(turns):
        for function, kept in ((one, times[0]), (other, times[1])):
            start, worked = time.perf_counter(), _worked()
            function()
            kept.append((time.perf_counter() - start, _worked() - worked))
    first, second = ([statistics.median(took) for took in zip(*kept, strict=True)] for kept in times)
    return (first[0], second[0]), (first[1], second[1])


def _worked() -> float:
    """Processor time of all finished processes that this one started. [s]"""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)  # finer than the ticks of `os.times`
    return used.ru_utime + used.ru_stime


def _time(seconds: float) -> str:
    if seconds >= 1:
        return f"{seconds:.2f} s"
    return f"{seconds * 1000:.3g} ms"


def as_ratio(ratio: float) -> str:
    """How many times the baseline, as text."""
    return f"{ratio:.3g}" if ratio >= 0.1 else f"1/{1 / ratio:.0f}"
