"""What a body of evidence allows a weighted sum of its unknowns to be, over every consistent set.

Where nothing contradicts there is one set and the limits are the narrowest. Where members contradict one
another, each maximal consistent set has its own limits; the lowest and the highest of them are given. Where
there are more sets than can be looked at, every figure of a conflict is widened to what the others of that
conflict leave for it, and one body of widened figures is looked at instead.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property

from handling_db.balance.together.body import EvidenceBody, Limit, Member, Span, SumLimits, Terms, head
from handling_db.balance.together.consistent import (
    MOST_ROWS,
    Sets,
    conflict_among,
    consistent_sets,
    sum_tree,
)
from handling_db.balance.together.disputes import SettledBody, settled
from handling_db.balance.together.left_out import SumTree, without_circle
from handling_db.balance.together.limits import circular, span_of, sweep, wider
from handling_db.balance.together.narrowest import SumProgram

SETS_BY_PROGRAM = 6  # with more consistent sets than this, sweeps alone look at each
MOST_WIDENED = 200


class Consistent:
    """One consistent set of members: limits of anything, by sweeps and where these are wide by program.

    Parameters
    ----------
    domains : sequence of Span
    rows : sequence of SumLimits
        Ties and the rows of the members.
    by_program : bool
        Whether linear programming may be used.
    """

    def __init__(self, domains: Sequence[Span], rows: Sequence[SumLimits], *, by_program: bool) -> None:
        swept = sweep(domains, rows)
        self.broken = swept.broken is not None
        self.spans = list(domains) if self.broken else swept.spans
        self._rows = rows
        self._fixed = [low is not None and low == high for low, high in self.spans]
        self._by_program = by_program
        self._programs: dict[frozenset[int], tuple[SumProgram, dict[int, int]] | None] = {}
        self._solved: dict[tuple[Terms, bool], Limit] = {}  # a dry piece is asked about in every state

    @cached_property
    def _piece(self) -> tuple[list[int], list[bool]]:
        """By unknown, the connected piece it is in; what can be only one thing connects nothing."""
        root = list(range(len(self.spans)))
        for row in self._rows:
            free = [unknown for unknown, _ in row.terms if not self._fixed[unknown]]
            for unknown in free[1:]:
                root[head(root, unknown)] = head(root, free[0])
        return [head(root, one) for one in range(len(root))], circular(self._rows, len(root), self._fixed)

    def least(self, terms: Terms) -> Limit:
        """The lowest a weighted sum can be. [kg]"""
        swept = span_of(terms, self.spans)[0]
        found = self._by_programs(terms, most=False)
        return swept if found is None else found if swept is None else max(swept, found)

    def most(self, terms: Terms) -> Limit:
        """The highest a weighted sum can be. [kg]"""
        swept = span_of(terms, self.spans)[1]
        found = self._by_programs(terms, most=True)
        return swept if found is None else found if swept is None else min(swept, found)

    def _by_programs(self, terms: Terms, *, most: bool) -> Limit:
        """What a program says of one end of a sum; None where none is asked, or it knows no end. [kg]"""
        program, own, rest = self._program(terms)
        if program is None:
            return None
        key = (terms, most)
        if key not in self._solved:
            found = program.most(own) if most else program.least(own)
            self._solved[key] = None if found is None else found + rest
        return self._solved[key]

    def narrowest(self, terms: Terms) -> bool:
        """Whether sweeps are exact for a sum, or a program narrows it."""
        return not self._swept_wide(terms) or self._program(terms)[0] is not None

    def _swept_wide(self, terms: Terms) -> frozenset[int]:
        """The connected pieces that a sum speaks of, where sweeps may be too wide for it; else none.

        They are exact where nothing in the sum is connected with anything else in it, nor with a circle.
        """
        pieces, ringed = self._piece
        free = [unknown for unknown, _ in terms if not self._fixed[unknown]]
        several = frozenset(pieces[unknown] for unknown in free)
        together = len(several) < len(free)
        return several if together or any(ringed[unknown] for unknown in free) else frozenset()

    def _program(self, terms: Terms) -> tuple[SumProgram | None, Terms, Fraction]:
        """The program that may narrow a sum, the sum in its numbering, and what is fixed in it.

        None where sweeps are exact already: nothing in the sum is connected with anything else in it, nor
        with a circle.
        """
        several = self._swept_wide(terms) if self._by_program else frozenset()
        if not several:
            return None, (), Fraction(0)
        if several not in self._programs:
            self._programs[several] = self._make(several)
        made = self._programs[several]
        if made is None:
            return None, (), Fraction(0)
        program, number = made
        rest = sum(((self.spans[u][0] or 0) * c for u, c in terms if self._fixed[u]), start=Fraction(0))
        return program, tuple((number[u], c) for u, c in terms if not self._fixed[u]), rest

    def _make(self, several: frozenset[int]) -> tuple[SumProgram, dict[int, int]] | None:
        pieces, _ = self._piece
        rows = [
            row
            for row in self._rows
            if len(row.terms) > 1  # what speaks of one unknown alone stands in its span already
            and any(not self._fixed[u] and pieces[u] in several for u, _ in row.terms)
        ]
        if len(rows) > MOST_ROWS:
            return None
        used = dict.fromkeys(u for row in rows for u, _ in row.terms)
        used |= dict.fromkeys(u for u, piece in enumerate(pieces) if piece in several)
        number = {u: n for n, u in enumerate(used)}
        own = [SumLimits(tuple((number[u], c) for u, c in row.terms), row.low, row.high) for row in rows]
        return SumProgram([self.spans[u] for u in used], own), number


@dataclass(frozen=True, eq=False)
class Connected:
    """One connected piece of a body, and what it allows.

    Parameters
    ----------
    body : EvidenceBody
        Of its unknowns alone, numbered by themselves.
    places : tuple of int
        By its members, their places in the whole body.
    settled : SettledBody
        The same with disputes that concern single pieces set aside.
    sets : Sets
        Which members of the settled body can be true together.
    """

    body: EvidenceBody
    places: tuple[int, ...]
    settled: SettledBody
    sets: Sets

    @cached_property
    def conflicts(self) -> tuple[frozenset[int], ...]:
        """The conflicts that were met, by places of members of the whole body."""
        stands_for = self.settled.stands_for
        met = [frozenset(p for member in one for p in stands_for[member]) for one in self.sets.conflicts]
        return tuple(frozenset(self.places[p] for p in one) for one in (*met, *self.settled.set_aside))

    @cached_property
    def each(self) -> tuple[Consistent, ...]:
        """Every consistent set; or one of widened figures where there are too many."""
        body = self.settled.body
        if not self.sets.all_looked_at:
            wide = widened(body)
            return (Consistent(wide.domains, wide.rows(), by_program=False),)
        everything = frozenset(range(len(body.members)))
        few = len(self.sets.removed) <= SETS_BY_PROGRAM
        return tuple(
            Consistent(body.domains, body.rows(everything - gone), by_program=few)
            for gone in self.sets.removed
        )

    @cached_property
    def _pieces_alone(self) -> Consistent:
        """Single pieces with all their figures, and no figure of a whole: what the parts may come to."""
        body = self.settled.body
        wholes = {unknown for row in body.ties for unknown, count in row.terms if count < 0}
        spans: dict[Terms, Span] = {}
        for member in body.members:
            for row in member.rows:
                if not any(unknown in wholes for unknown, _ in row.terms):
                    low, high = spans.get(row.terms, (row.low, row.high))
                    spans[row.terms] = wider(low, row.low, min), wider(high, row.high, max)
        rows = [SumLimits(terms, *span) for terms, span in spans.items()]
        return Consistent(body.domains, [*body.ties, *rows], by_program=False)

    def least(self, terms: Terms) -> Limit:
        """The lowest a weighted sum can be in any consistent set. [kg]"""
        found = self.each[0].least(terms)
        for one in self.each[1:]:
            found = wider(found, one.least(terms), min)
        return found

    def most(self, terms: Terms) -> Limit:
        """The highest a weighted sum can be in any consistent set; None where one has no limit. [kg]"""
        found = self.each[0].most(terms)
        for one in self.each[1:]:
            found = wider(found, one.most(terms), max)
        if not self.sets.all_looked_at and found is not None:
            alone = self._pieces_alone.most(terms)
            found = found if alone is None else max(found, alone)
        return found


class Allowed:
    """What a body allows: each connected piece of it by itself.

    Parameters
    ----------
    body : EvidenceBody
    """

    def __init__(self, body: EvidenceBody) -> None:
        self.body = body
        unknowns: dict[int, list[int]] = {}
        for unknown, root in enumerate(body.component):
            unknowns.setdefault(root, []).append(unknown)
        self._number: dict[int, int] = {}
        self.pieces: dict[int, Connected] = {}
        for root, own in unknowns.items():
            number = {unknown: n for n, unknown in enumerate(own)}
            self._number |= number
            ties, places = body.by_component[root]
            local = EvidenceBody(
                tuple(body.domains[unknown] for unknown in own),
                tuple(_renumbered(row, number) for row in ties),
                tuple(
                    Member(
                        body.members[p].id, tuple(_renumbered(row, number) for row in body.members[p].rows)
                    )
                    for p in places
                ),
            )
            aside = settled(local)
            self.pieces[root] = Connected(local, tuple(places), aside, consistent_sets(aside.body))

    @cached_property
    def conflicts(self) -> tuple[frozenset[int], ...]:
        """The conflicts that were met, by places of the members of the body."""
        return tuple(one for piece in self.pieces.values() for one in piece.conflicts)

    def _parts(self, terms: Terms) -> list[tuple[Connected, Terms]]:
        """A weighted sum by connected pieces, each in its own numbering: they do not know of one another."""
        found: dict[int, list[tuple[int, Fraction]]] = {}
        for unknown, count in terms:
            found.setdefault(self.body.component[unknown], []).append((self._number[unknown], count))
        return [(self.pieces[root], tuple(own)) for root, own in found.items()]

    def least(self, terms: Terms) -> Limit:
        """The lowest a weighted sum can be in any consistent set. [kg]"""
        return _added([piece.least(own) for piece, own in self._parts(terms)])

    def most(self, terms: Terms) -> Limit:
        """The highest a weighted sum can be in any consistent set; None where one has no limit. [kg]"""
        return _added([piece.most(own) for piece, own in self._parts(terms)])

    def never_bounded(self, terms: Terms) -> bool:
        """Whether no consistent set gives an upper limit."""
        return any(all(one.most(own) is None for one in piece.each) for piece, own in self._parts(terms))

    def disputed(self, terms: Terms) -> bool:
        """Whether consistent sets give different upper limits."""
        return any(
            (len(piece.each) > 1 and len({one.most(own) for one in piece.each}) > 1)
            or ((not piece.sets.all_looked_at or piece.settled.set_aside != ()) and bool(piece.conflicts))
            for piece, own in self._parts(terms)
        )

    def all_looked_at(self, terms: Terms) -> bool:
        """Whether every consistent set that has to do with a weighted sum was looked at."""
        return all(piece.sets.all_looked_at for piece, _ in self._parts(terms))

    def narrowest(self, terms: Terms) -> bool:
        """Whether the limits of a weighted sum are the narrowest: one consistent set, no piece too large."""
        return all(
            len(piece.each) == 1 and piece.sets.all_looked_at and piece.each[0].narrowest(own)
            for piece, own in self._parts(terms)
        )


def _renumbered(row: SumLimits, number: Mapping[int, int]) -> SumLimits:
    return SumLimits(tuple((number[unknown], count) for unknown, count in row.terms), row.low, row.high)


def _added(limits: Sequence[Limit]) -> Limit:
    total: Limit = Fraction(0)
    for limit in limits:
        total = None if total is None or limit is None else total + limit
    return total


def widened(body: EvidenceBody) -> EvidenceBody:
    """The body with every figure of every conflict widened to what the rest of that conflict leaves for it.

    If one figure of a conflict is wrong, what it speaks of lies where the others put it; the widened
    figures allow that for each of them at once.
    """
    members = list(body.members)
    for _ in range(MOST_WIDENED):
        now = EvidenceBody(body.domains, body.ties, tuple(members))
        conflict = conflict_among(now, now.ties, range(len(members)), sum_tree(now))
        if conflict is None:
            return now
        if not conflict:
            break  # the ties alone cannot hold
        for place, spans in _left_by_the_rest(now, conflict):
            members[place] = _widened(members[place], spans)
    nothing = tuple(Member(m.id, tuple(replace(r, low=None, high=None) for r in m.rows)) for m in members)
    return EvidenceBody(body.domains, body.ties, nothing)


def _left_by_the_rest(
    body: EvidenceBody, conflict: frozenset[int]
) -> Iterator[tuple[int, Mapping[int, Span] | Sequence[Span]]]:
    """For each figure of a conflict what the others leave of the unknowns it speaks of."""
    if without_circle(body.rows(), len(body.domains)):
        yield from SumTree(body, body, exact=True).left_by_the_rest(conflict, body.ties)
        return
    for place in conflict:
        yield place, sweep(body.domains, body.rows(conflict - {place})).spans


def _widened(member: Member, spans: Mapping[int, Span] | Sequence[Span]) -> Member:
    rows = []
    for row in member.rows:
        low, high = span_of(row.terms, spans)
        rows.append(
            SumLimits(
                row.terms,
                None if row.low is None else wider(row.low, low, min),
                None if row.high is None else wider(row.high, high, max),
            )
        )
    return Member(member.id, tuple(rows))
