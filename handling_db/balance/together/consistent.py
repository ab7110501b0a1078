"""Which figures of a body can be true together: conflicts, and every consistent set nothing can be added to.

A conflict is a set of members that cannot all be true while any of them left out makes the rest possible.
The maximal consistent sets are what is left when one member of every conflict is taken out in every least
way (hitting sets [1]_). Members that stand in no conflict are in all of them.

References
----------
.. [1] R. Reiter, "A theory of diagnosis from first principles", Artificial Intelligence 32 (1987) 57-95,
   with the correction of R. Greiner et al. (1989) (from memory; compared with trying all subsets in
   tests/balance).
.. [2] U. Junker, "QUICKXPLAIN", AAAI 2004 (from memory): halving to find one conflict.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from handling_db.balance.together.body import EvidenceBody, Span, SumLimits
from handling_db.balance.together.cut_open import CutOpen, cut_open
from handling_db.balance.together.left_out import SumTree, without_circle
from handling_db.balance.together.limits import circular, sweep_in_grid
from handling_db.balance.together.narrowest import SumProgram
from handling_db.balance.together.shared_sums import shared_sums_named

MOST_SETS = 240  # several disputes that touch one another multiply; beyond this the caller is told
MOST_WORK = 100_000  # sets looked at times rows; a body of a thousand rows gets a hundred sets
MOST_EXPLAINED = 300  # members of a conflict that is made as small as it gets
MOST_ROWS = 400  # sums and shared figures in one linear program; beyond it sweeps alone, which are wider

Possible = Callable[[frozenset[int]], bool]


@dataclass(frozen=True, slots=True)
class Sets:
    """What can be true together.

    Parameters
    ----------
    removed : tuple of frozenset of int
        For each maximal consistent set the members it has to do without; one empty set where nothing
        contradicts.
    conflicts : tuple of frozenset of int
        The conflicts that were met, each as small as possible.
    all_looked_at : bool
        False where there were too many sets: then `removed` lists some of them only.
    """

    removed: tuple[frozenset[int], ...]
    conflicts: tuple[frozenset[int], ...]
    all_looked_at: bool


def possible(domains: Sequence[Span], rows: Sequence[SumLimits]) -> bool:
    """Whether anything fulfils all rows: by sweeps, and where these may be too kind by linear programming."""
    swept = sweep_in_grid(domains, rows)
    if swept.broken is not None or not one_sum_allows(rows):
        return False
    fixed = [low is not None and low == high for low, high in swept.spans]
    ringed = circular(rows, len(domains), fixed)
    if not any(ringed):
        return True
    kept, spans = within_ring(swept.spans, rows, ringed)
    return len(kept) > MOST_ROWS or SumProgram(spans, kept).feasible()


def one_sum_allows(rows: Sequence[SumLimits]) -> bool:
    """Whether rows over the same sum of several unknowns leave it anything.

    Sweeps alone would move both unknowns by the gap between two such rows, pass by pass, and stop too early.
    """
    left: dict[object, tuple[int | None, int | None]] = {}
    for row in rows:
        terms, low, high = row.in_grid
        if len(terms) < 2:
            continue
        if terms in left:
            down, top = left[terms]
            low = down if low is None else low if down is None else max(low, down)
            high = top if high is None else high if top is None else min(high, top)
            if low is not None and high is not None and low > high:
                return False
        left[terms] = low, high
    return True


def within_ring(
    spans: Sequence[Span], rows: Sequence[SumLimits], ringed: Sequence[bool]
) -> tuple[list[SumLimits], list[Span]]:
    """The rows that tie ringed unknowns, with only these unknowns, numbered anew, and their spans.

    An unknown of such a row that can be only one thing keeps its place with its one value; a row about one
    unknown alone stands in its span already.
    """
    chosen = [row for row in rows if len(row.terms) > 1 and any(ringed[u] for u, _ in row.terms)]
    number = {u: n for n, u in enumerate(dict.fromkeys(u for row in chosen for u, _ in row.terms))}
    kept = [SumLimits(tuple((number[u], c) for u, c in row.terms), row.low, row.high) for row in chosen]
    return kept, [spans[u] for u in number]


def consistent_sets(body: EvidenceBody) -> Sets:
    """Every consistent set of members to which nothing can be added.

    Parameters
    ----------
    body : EvidenceBody
    """
    everything = frozenset(range(len(body.members)))
    if possible(body.domains, body.rows()):
        return Sets((frozenset(),), (), True)
    if not possible(body.domains, body.rows(())):
        return Sets((everything,), (), False)  # the ties alone cannot hold: nothing to choose between
    disputed, ties = _disputed(body)
    most = max(8, min(MOST_SETS, MOST_WORK // (len(ties) + len(disputed))))

    tree = sum_tree(body)
    removed: list[frozenset[int]] = []
    conflicts: list[frozenset[int]] = []
    seen: set[frozenset[int]] = {frozenset()}
    waiting: list[frozenset[int]] = [frozenset()]
    complete = True
    looked = 0
    while waiting:
        here = waiting.pop(0)  # fewest taken out first, so that only least ways are kept
        if any(done <= here for done in removed):
            continue
        looked += 1
        if looked > most:
            complete = False
            break
        conflict = next((one for one in conflicts if not one & here), None)
        if conflict is None:
            conflict = conflict_among(body, ties, sorted(disputed - here), tree)
            if conflict is None:
                removed.append(here)
                continue
            conflicts.append(conflict)
        for member in sorted(conflict):
            longer = here | {member}
            if longer not in seen:
                seen.add(longer)
                waiting.append(longer)
    return Sets(tuple(removed), tuple(conflicts), complete)


def _disputed(body: EvidenceBody) -> tuple[frozenset[int], list[SumLimits]]:
    """The members and ties of every connected piece of the body that cannot be true as a whole."""
    found: set[int] = set()
    around: list[SumLimits] = []
    for tied, places in body.by_component.values():
        if places and not possible(
            body.domains, [*tied, *(row for p in places for row in body.members[p].rows)]
        ):
            found.update(places)
            around += tied
    return frozenset(found), around


def sum_tree(body: EvidenceBody) -> SumTree | CutOpen | None:
    """The body as a tree of sums, some of them named or cut for it; None where it has circles even so."""
    rows = body.rows()
    by = body if len(rows) > MOST_ROWS else shared_sums_named(body)
    if without_circle(by.rows(), len(by.domains)):
        return SumTree(body, by)
    return None if len(rows) > MOST_ROWS else cut_open(body, by)


def conflict_among(
    body: EvidenceBody, ties: Sequence[SumLimits], active: Sequence[int], tree: SumTree | CutOpen | None
) -> frozenset[int] | None:
    """One conflict among some members, as small as it gets; None where they can all be true.

    Parameters
    ----------
    body : EvidenceBody
    ties : sequence of SumLimits
        Those that have to do with the members.
    active : sequence of int
    tree : SumTree or CutOpen, optional
        The body's, where it has no circle or can be cut open: then hardly a figure needs a solution of its
        own.
    """
    if tree is not None and tree.hold(active, ties):
        return None
    of_member = [(row, place) for place in active for row in body.members[place].rows]
    rows = [*ties, *(row for row, _ in of_member)]
    swept = sweep_in_grid(body.domains, rows)
    if swept.broken is None:
        if possible(body.domains, rows):
            return None
        near, tied = list(active), list(ties)
    else:  # only what led to the contradiction can be part of it
        led = swept.led_to(rows)
        near = sorted({of_member[place - len(ties)][1] for place in led if place >= len(ties)})
        tied = [rows[place] for place in led if place < len(ties)]

    if len(near) > MOST_EXPLAINED:
        return frozenset(near)  # true as it stands; making it smaller costs a sweep for each of its members

    if isinstance(tree, SumTree):
        return tree.smallest_conflict(near, tied)

    def holds(some: frozenset[int]) -> bool:
        return possible(body.domains, [*tied, *(r for p in sorted(some) for r in body.members[p].rows)])

    return smallest_conflict(near, holds) if tree is None else tree.smallest_conflict(near, tied, holds)


def smallest_conflict(members: Sequence[int], holds: Possible) -> frozenset[int]:
    """A conflict among members that cannot all be true, as small as it gets [2]_.

    Parameters
    ----------
    members : sequence of int
    holds : function
        Whether some of them can be true together.
    """

    if not members:
        return frozenset()

    def explain(base: frozenset[int], added: bool, rest: list[int]) -> list[int]:
        if added and not holds(base):
            return []
        if len(rest) == 1:
            return rest
        half = len(rest) // 2
        first, second = rest[:half], rest[half:]
        of_second = explain(base | frozenset(first), bool(first), second)
        of_first = explain(base | frozenset(of_second), bool(of_second), first)
        return of_first + of_second

    return frozenset(explain(frozenset(), False, list(members)))
