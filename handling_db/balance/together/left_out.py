"""Which figures of a tree of sums can be left out of a contradiction, without solving it anew for each.

Where unknowns and sums form no circle, what one side of a sum says of an unknown does not depend on the other
side. So every sum keeps what it hears of each of its unknowns from everywhere else (belief propagation [1]_
with intervals for beliefs, in whole numbers rounded outward). Whether the rest can be true without one figure
is then a comparison at the sum it speaks of, and after a figure is taken out only what lies between it and
the next one asked about is worked out again.

References
----------
.. [1] J. Pearl, "Probabilistic Reasoning in Intelligent Systems", 1988, ch. 4 (from memory; compared with
   solving anew for every figure in tests/balance/together).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from operator import floordiv, truediv
from typing import Any

from handling_db.balance.together.body import EvidenceBody, SumLimits, grid_ceil, grid_floor
from handling_db.balance.together.limits import Divide, ceildiv, circular

AnySpan = tuple[Any, Any]
"""Low and high, in steps of the grid or as exact fractions; None where there is none."""

Heard = tuple[Any, Any, int, int, int]
"""Least and most of some unknowns together, how many have no such end, and how many are impossible."""

IMPOSSIBLE: AnySpan = (1, 0)  # said instead of limits by a side that contradicts itself


def without_circle(rows: Sequence[SumLimits], unknowns: int) -> bool:
    """Whether no two ways lead from one unknown to another; rows over the same sum count as one."""
    sums = {row.terms: row for row in rows}
    joined = [tuple(unknown for unknown, _ in terms) for terms in sums if len(terms) > 1]
    if len(set(joined)) < len(joined):
        return False
    return not any(circular(list(sums.values()), unknowns, [False] * unknowns))


@dataclass(slots=True)
class Sum:
    """A weighted sum and what the rows that take part say of it.

    Parameters
    ----------
    terms : tuple of (int, int or Fraction)
        Unknown and coefficient.
    first : int
        The number of its first edge: a sum has an edge to each of its unknowns, in the order of its terms.
    said : dict
        By row that takes part, the limits it puts on the sum.
    heard : Heard, optional
        Of all its unknowns; None until all are heard.
    """

    terms: tuple[tuple[int, Any], ...]
    first: int
    said: dict[int, AnySpan] = field(default_factory=dict)
    heard: Heard | None = None

    @property
    def edges(self) -> range:
        """The numbers of its edges."""
        return range(self.first, self.first + len(self.terms))

    def limits(self, without: int = -1) -> AnySpan:
        """What the rows that take part leave the sum, all or all but one."""
        low = high = None
        for row, said in self.said.items():
            if row != without:
                low, high = _both((low, high), said)
        return low, high


class SumTree:
    """The rows of a body without circles, of which any may take part.

    Parameters
    ----------
    body : EvidenceBody
    by : EvidenceBody
        What stands for it, with the same members and more ties behind its own: one that `without_circle`
        holds for; the body itself where that does.
    exact : bool
        By fractions, where the limits themselves are wanted; else by whole numbers, which is quicker.
    """

    def __init__(self, body: EvidenceBody, by: EvidenceBody, *, exact: bool = False) -> None:
        self._down: Divide = truediv if exact else floordiv
        self._up: Divide = truediv if exact else ceildiv
        self._domains: list[AnySpan] = list(by.domains)
        self._rows: list[Any] = [(row.terms, row.low, row.high) for row in by.rows()]
        if not exact:
            self._domains = [(grid_floor(low), grid_ceil(high)) for low, high in by.domains]
            self._rows = [row.in_grid for row in by.rows()]
        self._ties = {id(row): place for place, row in enumerate(body.ties)}
        self._rows_of: list[range] = []  # by member
        self._always = range(len(body.ties), len(by.ties))
        last = len(by.ties)
        for member in by.members:
            self._rows_of.append(range(last, last + len(member.rows)))
            last += len(member.rows)
        self._sum_of: list[Sum] = []  # by row
        self._ends: list[tuple[int, Sum]] = []  # by edge
        self._edges_at: list[list[int]] = [[] for _ in by.domains]
        made: dict[object, Sum] = {}
        for row, (terms, _, _) in zip(by.rows(), self._rows, strict=True):
            one = made.get(row.terms)
            if one is None:
                one = made[row.terms] = Sum(terms, len(self._ends))
                for unknown, _ in row.terms:
                    self._edges_at[unknown].append(len(self._ends))
                    self._ends.append((unknown, one))
            self._sum_of.append(one)
        self._heard: list[AnySpan | None] = [None] * len(self._ends)  # by edge, from unknown to sum
        self._told: list[AnySpan | None] = [None] * len(self._ends)  # by edge, from sum to unknown
        self._active: set[int] = set()  # rows

    def smallest_conflict(self, members: Sequence[int], ties: Iterable[SumLimits]) -> frozenset[int]:
        """What is left of a conflict when figures are taken out, the last first, as long as it stays one.

        Parameters
        ----------
        members : sequence of int
            They cannot all be true together with the ties.
        ties : iterable of SumLimits
            Those of the body that have to do with it.
        """
        self._take_part(members, ties)
        kept = set(members)
        for place in reversed(members):
            if len(kept) > 1 and self._spare(self._rows_of[place]):
                kept.discard(place)
        return frozenset(kept)

    def hold(self, members: Iterable[int], ties: Iterable[SumLimits]) -> bool:
        """Whether figures and ties can all be true.

        Parameters
        ----------
        members : iterable of int
        ties : iterable of SumLimits
            Of the body.
        """
        self._take_part(members, ties)
        if any(_empty(domain) for domain in self._domains):
            return False
        return all(self._holds(one) for one in self._one_each)

    def left_by_the_rest(
        self, conflict: Iterable[int], ties: Iterable[SumLimits]
    ) -> Iterator[tuple[int, Mapping[int, AnySpan]]]:
        """For each figure of a conflict what the others and the ties leave of the unknowns it speaks of.

        Parameters
        ----------
        conflict : iterable of int
            Any of them left out, the rest can be true.
        ties : iterable of SumLimits
            Of the body.
        """
        conflict = list(conflict)
        self._take_part(conflict, ties)
        for place in conflict:
            rows = self._rows_of[place]
            self._leave(rows)
            found: dict[int, AnySpan] = {}
            for row in rows:
                here = self._sum_of[row]
                self._all_heard(here)
                for edge, (unknown, _) in zip(here.edges, here.terms, strict=True):
                    heard = self._heard[edge]
                    found[unknown] = _both(heard or IMPOSSIBLE, self._tell(edge))
            yield place, found
            self._join(rows)

    def _take_part(self, members: Iterable[int], ties: Iterable[SumLimits]) -> None:
        """Let these take part and nothing else."""
        wanted = {self._ties[id(tie)] for tie in ties} | set(self._always)
        wanted.update(row for place in members for row in self._rows_of[place])
        self._leave(sorted(self._active - wanted))
        self._join(sorted(wanted - self._active))

    def _spare(self, rows: Sequence[int]) -> bool:
        """Whether what takes part cannot be true without some rows either: then they are left out."""
        if len(rows) == 1:
            if self._holds(self._sum_of[rows[0]], without=rows[0]):
                return False
            self._leave(rows)
            return True
        self._leave(rows)
        if self._holds(self._sum_of[rows[0]], without=rows[0]):
            self._join(rows)
            return False
        return True

    @cached_property
    def _one_each(self) -> tuple[Sum, ...]:
        """One sum of every connected tree: what contradicts itself anywhere in a tree is heard there."""
        found: list[Sum] = []
        seen: set[int] = set()  # edges
        for one in self._sum_of:
            if one.first in seen:
                continue
            found.append(one)
            waiting = [one]
            while waiting:
                here = waiting.pop()
                seen.update(here.edges)
                beyond = {e for unknown, _ in here.terms for e in self._edges_at[unknown]} - seen
                waiting += [self._ends[edge][1] for edge in beyond]
        return tuple(found)

    def _holds(self, here: Sum, *, without: int = -1) -> bool:
        """Whether everything that takes part in the tree of a sum can be true, one row of it left out."""
        least, most, no_least, no_most, impossible = self._all_heard(here)
        low, high = here.limits(without)
        return not (
            impossible
            or (low is not None and high is not None and low > high)
            or (high is not None and not no_least and least > high)
            or (low is not None and not no_most and most < low)
        )

    def _join(self, rows: Iterable[int]) -> None:
        for row in rows:
            self._active.add(row)
            _, low, high = self._rows[row]
            self._sum_of[row].said[row] = (low, high)
            self._forget(self._sum_of[row])

    def _leave(self, rows: Iterable[int]) -> None:
        for row in rows:
            self._active.discard(row)
            del self._sum_of[row].said[row]
            self._forget(self._sum_of[row])

    def _forget(self, changed: Sum) -> None:
        """Forget all that rests on the limits of a sum; on what is forgotten already nothing rests."""
        waiting = [edge for edge in changed.edges if self._told[edge] is not None]
        while waiting:
            edge = waiting.pop()
            self._told[edge] = None
            for other in self._edges_at[self._ends[edge][0]]:
                if other != edge and self._heard[other] is not None:
                    self._heard[other] = None
                    beyond = self._ends[other][1]
                    beyond.heard = None
                    waiting += [e for e in beyond.edges if e != other and self._told[e] is not None]

    def _all_heard(self, here: Sum) -> Heard:
        """What a sum hears of all its unknowns, worked out as far as it is forgotten."""
        if here.heard is None:
            waiting = [(edge, True) for edge in here.edges if self._heard[edge] is None]
            while waiting:  # by hand, not by recursion: a chain of wholes may be long
                edge, hear = waiting[-1]
                unknown, there = self._ends[edge]
                if hear:
                    first = [(e, False) for e in self._edges_at[unknown]
                             if e != edge and self._told[e] is None]  # fmt: skip
                    if not first and self._heard[edge] is None:
                        self._heard[edge] = self._hear(edge)
                else:
                    first = [(e, True) for e in there.edges if e != edge and self._heard[e] is None]
                    if not first and self._told[edge] is None:
                        self._told[edge] = self._tell(edge)
                if first:
                    waiting += first
                else:
                    waiting.pop()
            here.heard = self._added(here)
        return here.heard

    def _hear(self, edge: int) -> AnySpan:
        """What an unknown can be by everything but one sum."""
        unknown = self._ends[edge][0]
        span = self._domains[unknown]
        for other in self._edges_at[unknown]:
            told = self._told[other]
            if other != edge and told is not None:
                if told is IMPOSSIBLE:
                    return IMPOSSIBLE
                span = _both(span, told)
        return IMPOSSIBLE if _empty(span) else span

    def _tell(self, edge: int) -> AnySpan:
        """What a sum leaves one of its unknowns, by its limits and by what it hears of the others."""
        here = self._ends[edge][1]
        own = self._heard[edge]
        count = here.terms[edge - here.first][1]
        if own is not None:  # all are heard: from the sum of all, its own share is taken out again
            if here.heard is None:
                here.heard = self._added(here)
            least, most, no_least, no_most, impossible = here.heard
            own_least, own_most, own_no_least, own_no_most, own_impossible = _share(own, count)
            least, most, impossible = least - own_least, most - own_most, impossible - own_impossible
            no_least, no_most = no_least - own_no_least, no_most - own_no_most
        else:
            least, most, no_least, no_most, impossible = self._added(here, without=edge)
        low, high = here.limits()
        if impossible or _empty((low, high)):
            return IMPOSSIBLE
        from_low = None if low is None or no_most else low - most
        from_high = None if high is None or no_least else high - least
        if count < 0:  # a negative share turns low into high
            count, from_low, from_high = (
                -count,
                None if from_high is None else -from_high,
                None if from_low is None else -from_low,
            )
        span = (
            None if from_low is None else self._down(from_low, count),
            None if from_high is None else self._up(from_high, count),
        )
        return IMPOSSIBLE if _empty(span) else span

    def _added(self, here: Sum, without: int = -1) -> Heard:
        """The sum of what is heard, of all unknowns or of all but one."""
        least = most = no_least = no_most = impossible = 0
        for edge, (_, count) in zip(here.edges, here.terms, strict=True):
            span = self._heard[edge]
            if edge == without or span is None:
                continue
            share = _share(span, count)
            least += share[0]
            most += share[1]
            no_least += share[2]
            no_most += share[3]
            impossible += share[4]
        return least, most, no_least, no_most, impossible


def _share(span: AnySpan, count: int) -> Heard:
    """What one unknown adds to a sum: least, most, whether it has no such end, whether it is impossible."""
    if span is IMPOSSIBLE:
        return 0, 0, 0, 0, 1
    low, high = span if count > 0 else (span[1], span[0])
    return (
        0 if low is None else low * count,
        0 if high is None else high * count,
        low is None,
        high is None,
        0,
    )


def _both(one: AnySpan, other: AnySpan) -> AnySpan:
    low, high = one
    down, top = other
    return (
        down if low is None or (down is not None and down > low) else low,
        top if high is None or (top is not None and top < high) else high,
    )


def _empty(span: AnySpan) -> bool:
    low, high = span
    return low is not None and high is not None and low > high
