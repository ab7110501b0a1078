"""What all the evidence says of each piece in each state: limits, the figure to plan with, what it rests on.

The one place where rules about limits are kept: which route governs where figures contradict one another,
what a figure outside the equations may lift, and when a guess comes in.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from handling_db.balance.together.allowed import Allowed
from handling_db.balance.together.body import EvidenceBody, Limit, Member, Span, SumLimits, Terms
from handling_db.balance.together.members import (
    LAST,
    LIFTS,
    WAITING,
    Outside,
    RecordedBody,
    Why,
    counted,
    recorded_body,
)
from handling_db.balance.together.told import figures_told
from handling_db.families.build import BuildError, Value, build_of, read_value
from handling_db.records.collection import Collection
from handling_db.records.kinds.component import Component
from handling_db.records.last_worked import LastWorked
from handling_db.records.parts.texts import State
from handling_db.weights.compare import Judge, judge_of
from handling_db.weights.tree import Node, unfold
from handling_db.weights.witness import Witness


@dataclass(frozen=True, slots=True)
class Reach:
    """What all the evidence allows one piece to weigh in one state.

    Parameters
    ----------
    low, high : Fraction or None
        Over every consistent set; `high` is None where one of them has no upper limit. [kg]
    plan : Fraction or None
        The heaviest believable figure, not rounded; None where there is none. [kg]
    inferred : bool
        Neither a figure of its own nor its parts give an upper limit: a whole around it does.
    rests_on : tuple of Witness
        Figures without which there would be no upper limit.
    own : tuple of Witness
        Measured figures of the piece itself that take part.
    second : Fraction or None
        What it may weigh where what contradicts the rest is missing here: above the plan. [kg]
    second_open : bool
        Where that has no upper limit.
    disputes : tuple of tuple of Witness
        The conflicts that touch it: figures that cannot all be true.
    lifted : Outside, optional
        A figure outside the equations that the plan was raised for.
    lift : Fraction
        How far it raised the plan. [kg]
    settled_lift : Fraction
        How far figures that wait for nobody would have raised it: what stays where that one is refused. [kg]
    guess : tuple of Witness
        Figures that come in only because nothing measured bounds the piece.
    complete_view : bool
        False where there were more consistent sets than could be looked at.
    """

    low: Fraction
    high: Limit
    plan: Limit
    inferred: bool = False
    rests_on: tuple[Witness, ...] = ()
    own: tuple[Witness, ...] = ()
    second: Limit = None
    second_open: bool = False
    disputes: tuple[tuple[Witness, ...], ...] = ()
    lifted: Outside | None = None
    guess: tuple[Witness, ...] = ()
    complete_view: bool = True
    lift: Fraction = Fraction(0)
    settled_lift: Fraction = Fraction(0)

    @property
    def waiting(self) -> Outside | None:
        """The figure that lifts the plan, where a person may settle it."""
        return self.lifted if self.lifted is not None and self.lifted.why in WAITING else None


class AllEvidence:
    """All the evidence of one collection, in every build it speaks of.

    Parameters
    ----------
    collection : Collection
        With everything that wholes around what is asked about are made of.
    asked : iterable of (component id, given parameter values)
        Builds that are asked about, beside the default ones and those that figures were read for.
    serial : int, optional
        The unit asked about.
    """

    def __init__(
        self,
        collection: Collection,
        *,
        asked: Iterable[tuple[str, Mapping[str, Value]]] = (),
        serial: int | None = None,
    ) -> None:
        roots = _roots(collection, asked)
        plain = not any(given for _, given in roots) and len(roots) == len(collection.components)
        # every component in its default build and nothing else: the judge that others have already
        self.judge = judge_of(collection) if plain else Judge(collection, unfold(collection, roots))
        self.recorded: RecordedBody = recorded_body(self.judge, serial=serial)
        self._reach: dict[tuple[int, State], Reach] = {}
        self._several: dict[Terms, Span] = {}
        self._lift: dict[tuple[int, State, bool], tuple[Fraction, Outside | None]] = {}
        # by the conflict itself, which is held beside its words: forty figures of each take long to compare
        self._words: dict[int, tuple[tuple[Witness, ...], tuple[str, ...]]] = {}

    @cached_property
    def allowed(self) -> Allowed:
        """What the measured figures allow."""
        return Allowed(self.recorded.body)

    @cached_property
    def disputes(self) -> tuple[tuple[Witness, ...], ...]:
        """Figures that cannot all be true, each conflict as small as possible."""
        figures = self.recorded.figures
        return tuple(tuple(figures[p][0] for p in sorted(one)) for one in self.allowed.conflicts)

    @cached_property
    def _disputed_nodes(self) -> tuple[frozenset[int], ...]:
        """By conflict, the nodes its figures were read for."""
        figures = self.recorded.figures
        return tuple(frozenset(figures[p][1] for p in one) for one in self.allowed.conflicts)

    def told(self, conflicts: Sequence[tuple[Witness, ...]]) -> tuple[tuple[str, ...], ...]:
        """Some of its conflicts in words, figure by figure; each is put into words once."""
        return tuple(
            self._words[id(one)][1]
            if id(one) in self._words
            else self._words.setdefault(id(one), (one, figures_told(self.judge.collection, one)))[1]
            for one in conflicts
        )

    @cached_property
    def _guessed(self) -> tuple[Allowed, Mapping[int, tuple[Witness, ...]]] | None:
        """The body with guesses for what nothing measured bounds; None where there are none."""
        recorded = self.recorded
        extra: list[Member] = []
        used: dict[int, tuple[Witness, ...]] = {}
        for outside in recorded.outside:
            node, witness = outside.node, outside.witness
            if outside.why not in LAST or node in used:  # the most trusted of a piece stands first
                continue
            terms: Terms = ((recorded.dry[node], Fraction(1)),)
            high = self._own_high(witness, node, "dry")
            if high is not None and outside.why is Why.SERIAL:
                high += (
                    witness.scatter or 0
                )  # another one of its kind, as far as anybody knows how they differ
            if high is not None and self.allowed.most(terms) is None:
                extra.append(Member(witness.id, (SumLimits(terms, None, high),)))
                used[node] = (witness,)
        if not extra:
            return None
        body = recorded.body
        return Allowed(EvidenceBody(body.domains, body.ties, (*body.members, *extra))), used

    def node(self, which: Node) -> int | None:
        """The node of a component in a build, as far as there is one."""
        return self.recorded.tree.start.get(which)

    @cached_property
    def builds_of(self) -> Mapping[str, tuple[int, ...]]:
        """By component, its node in each build that is spoken of."""
        found: dict[str, list[int]] = {}
        for node, (code, _) in enumerate(self.recorded.tree.nodes):
            found.setdefault(code, []).append(node)
        return {code: tuple(nodes) for code, nodes in found.items()}

    @cached_property
    def weighed_of(self) -> Mapping[str, tuple[Witness, ...]]:
        """By component, the weighings of it that take part."""
        found: dict[str, list[Witness]] = {}
        for witness, _ in self.recorded.figures:
            if witness.id in self.judge.collection.weighings:
                found.setdefault(witness.component, []).append(witness)
        return {code: tuple(several) for code, several in found.items()}

    def first_build(self, code: str) -> Node:
        """The first build of a component that is spoken of."""
        return self.recorded.tree.nodes[self.builds_of[code][0]]

    def of(self, which: Node, state: State) -> Reach | None:
        """What everything says of one component in one build and state.

        Parameters
        ----------
        which : (component id, build)
        state : State

        Returns
        -------
        Reach or None
            None where that build was neither asked about nor spoken of, or contains itself.
        """
        node = self.node(which)
        return None if node is None or node not in self.recorded.tree.height else self.at(node, state)

    def may_hold_share(self, which: Node) -> bool:
        """Whether a component lists no fluid itself and a charge listed around it may be in it."""
        node = self.node(which)
        return node is not None and bool(self.recorded.around[node]) and not self.recorded.fluids[node]

    def without(self, which: Node, state: State, taken: frozenset[str]) -> tuple[Fraction, Limit] | None:
        """Limits of what is left of a component once some parts are off; None as for `of`. [kg]

        A charge listed in it may be in what was taken off.
        """
        node = self.node(which)
        if node is None or node not in self.recorded.tree.height:
            return None
        rest = self.recorded.left(self.judge, node, taken)
        least = self.recorded.with_fluids(rest.dry, () if rest.opened else (rest.fluids,), state)
        most = self.recorded.with_fluids(rest.dry, (rest.fluids, self.recorded.around[node]), state)
        low = max(self.allowed.least(least) or Fraction(0), Fraction(0))
        return low, self.allowed.most(most)

    def fluid(self, node: int, state: State) -> Span:
        """Least and most that a fluid listed anywhere weighs in a state. [kg]"""
        if state == "dry":
            return Fraction(0), Fraction(0)
        terms = ((self.recorded.charges[node][state == "filled"], Fraction(1)),)
        return self.allowed.least(terms), self.allowed.most(terms)

    def narrowest(self, nodes: Iterable[int], state: State) -> bool:
        """Whether the limits of some nodes are the narrowest: nothing disputed or left to sweeps."""
        return all(
            self.allowed.narrowest(self.recorded.terms(node, state, most=most))
            for node in nodes
            for most in (False, True)
        )

    def disputed(self, pieces: Mapping[Node, Fraction]) -> bool:
        """Whether figures that contradict one another change what some pieces weigh together."""
        return self.allowed.disputed(self._pieces(pieces))

    def several(self, pieces: Mapping[Node, Fraction]) -> Span:
        """Limits of the dry mass of some pieces together, so many of each. [kg]

        Raises
        ------
        KeyError
            A build that was neither asked about nor spoken of.
        """
        terms = self._pieces(pieces)
        if terms not in self._several:  # lifts of one unit take the same pieces
            low = max(self.allowed.least(terms) or Fraction(0), Fraction(0))
            self._several[terms] = (low, self.most(terms))
        return self._several[terms]

    def _pieces(self, pieces: Mapping[Node, Fraction]) -> Terms:
        start = self.recorded.tree.start
        return self.recorded.several({start[which]: many for which, many in pieces.items()})

    def at(self, node: int, state: State) -> Reach:
        """What everything says of one node of the tree in one state."""
        key = (node, state)
        if key not in self._reach:
            self._reach[key] = self._work(node, state)
        return self._reach[key]

    def most(self, terms: Terms) -> Limit:
        """The highest a weighted sum can be, with guesses where nothing measured bounds it. [kg]"""
        high = self.allowed.most(terms)
        if high is None and self._guessed is not None and self.allowed.never_bounded(terms):
            high = self._guessed[0].most(terms)
        return high

    def _work(self, node: int, state: State) -> Reach:
        recorded, found = self.recorded, self.allowed
        least, most = (recorded.terms(node, state, most=which) for which in (False, True))
        low = max(found.least(least) or Fraction(0), Fraction(0))
        high = found.most(most)
        own = self._own[node]
        guess: tuple[Witness, ...] = ()
        if high is None and self._guessed is not None and found.never_bounded(most):
            body, used = self._guessed
            high = body.most(most)
            if high is not None:
                near = self._near(node)
                guess = tuple(w for n, several in used.items() if n in near for w in several)
        for witness in own:
            if witness.pieces > 1 and witness.scatter:  # one alone may be off their mean
                alone = witness.several(Fraction(1))
                low, high = min(low, alone.low), None if high is None else max(high, alone.high)
        plan, second, second_open = high, None, False
        disputes = self._touching(node, most) if found.conflicts else ()
        route = self._governing_route(node, state, high)
        if route is not None:
            plan, second, second_open = route, high, high is None
        elif disputes and high is not None:  # the highest of its figures, and no less than its parts come to
            plan = max(high, self._highest_route(node, state) or high, self._by_some_parts[node])
        lift, by = self._lifted(node, state)
        settled = lift if by is None or by.why not in WAITING else self._lifted(node, state, settled=True)[0]
        if plan is None:
            lift = settled = Fraction(0)
        else:
            plan += lift
        inferred = high is not None and not own and self._route(node) is None and not guess
        rests_on = self._needed(node) if high is not None and self._by_parts[node] is None else ()
        return Reach(
            low, high, plan, inferred, rests_on, own, second, second_open, disputes,
            by if lift else None, guess, found.all_looked_at(most), lift, settled,
        )  # fmt: skip

    def _governing_route(self, node: int, state: State, high: Limit) -> Limit:
        """The highest of its routes, where figures contradict and some set allows a measured piece more."""
        if not self.allowed.conflicts or not self._own[node]:
            return None
        route = self._highest_route(node, state)
        return route if route is not None and (high is None or route < high) else None

    @cached_property
    def _own(self) -> tuple[tuple[Witness, ...], ...]:
        """By node, the members that were read for it and leave nothing out."""
        found: list[list[Witness]] = [[] for _ in self.recorded.tree.nodes]
        for witness, node in self.recorded.figures:
            if not witness.left_out and witness.only is None:
                found[node].append(witness)
        return tuple(tuple(one) for one in found)

    def _fluid(self, node: int, state: State, *, around: bool) -> Span:
        """Least and most fluid in a piece, by litres and density alone. [kg]"""
        low, high = Fraction(0), Fraction(0)
        if state == "dry":
            return low, high
        domains, charges = self.recorded.body.domains, self.recorded.charges
        for listed, inside in ((self.recorded.fluids[node], True), (self.recorded.around[node], False)):
            if not (inside or around):
                continue
            for fluid, many in listed.items():
                least, most = domains[charges[fluid][state == "filled"]]
                if most is None:  # nobody looked what stays: at most all of it
                    most = domains[charges[fluid][1]][1]
                if most is None:
                    return low, None
                low, high = low + (many * (least or 0) if inside else 0), high + many * most
        return low, high

    def _own_high(self, witness: Witness, node: int, state: State) -> Limit:
        """What one figure of a piece says of it in a state, at most. [kg]"""
        if not self.recorded.fluids[node] and not self.recorded.around[node]:
            return witness.mass.high
        same = witness.state is None or witness.state == state
        if same and (state != "filled" or not self.recorded.around[node]):
            return witness.mass.high
        inside = self._fluid(node, witness.state or "dry", around=False)[0] or Fraction(0)
        added = self._fluid(node, state, around=True)[1]
        return None if added is None else witness.mass.high - inside + added

    def _route(self, node: int) -> Limit:
        """The dry mass at most by a piece's own figures, or where it has none by its parts."""
        own = self._own_highs(node, "dry")
        return _highest(own) if own else self._by_parts[node]

    def _own_highs(self, node: int, state: State) -> list[Limit]:
        """What each figure of a piece says of it in a state, at most. [kg]"""
        return [self._own_high(witness, node, state) for witness in self._own[node]]

    @cached_property
    def _by_parts(self) -> tuple[Limit, ...]:
        """By node, the dry mass at most by its parts, each by its highest route; None where one has none."""
        tree, collection = self.recorded.tree, self.judge.collection
        found: list[Limit] = [None] * len(tree.nodes)
        for node in tree.order:
            component = collection.components[tree.component(node)]
            if component.parts_listed != "all" or not component.parts or tree.broken.get(node):
                continue
            if any(line.component not in collection.components for line in component.parts):
                continue
            total: Limit = Fraction(0)
            for use in tree.uses[node]:
                if collection.components[tree.component(use.child)].fluid is not None:
                    continue
                piece = self._highest_of(use.child, found[use.child])
                total = None if total is None or piece is None else total + piece * use.quantity
            found[node] = total
        return tuple(found)

    @cached_property
    def _by_some_parts(self) -> tuple[Fraction, ...]:
        """By node, the same of the parts that have a route, the others counted as nothing. [kg]

        No whole may plan with less than one of its parts does.
        """
        tree, collection = self.recorded.tree, self.judge.collection
        found = [Fraction(0)] * len(tree.nodes)
        for node in tree.order:
            for use in tree.uses[node]:
                if collection.components[tree.component(use.child)].fluid is None:
                    found[node] += (self._highest_of(use.child, found[use.child]) or 0) * use.quantity
        return tuple(found)

    def _highest_of(self, node: int, parts: Limit) -> Limit:
        """The highest dry figure of a piece's own, and of its parts; None where its own have no limit."""
        own = self._own_highs(node, "dry")
        return None if own and _highest(own) is None else _highest([*own, parts])

    @cached_property
    def _known_parts(self) -> tuple[Fraction, ...]:
        """The dry mass at least by the parts that are known, each by the lowest of its figures. [kg]"""
        tree = self.recorded.tree
        found = [Fraction(0)] * len(tree.nodes)
        for node in tree.order:
            for use in tree.uses[node]:
                low = found[use.child]
                if self._own[use.child] and not tree.uses[use.child]:
                    low = min(witness.mass.low for witness in self._own[use.child])
                found[node] += low * use.quantity
        return tuple(found)

    def _highest_route(self, node: int, state: State) -> Limit:
        """The highest that a piece's own figures or the sum of its parts come to in a state.

        None where the parts that are known outweigh its own figures already, and not all of them are known.
        """
        routes = self._own_highs(node, state)
        routes += [self._by_some_parts[node]] if routes else []
        parts, fluid = self._by_parts[node], self._fluid(node, state, around=True)[1]
        if parts is not None and fluid is not None:
            routes.append(parts + fluid)
        elif self.recorded.tree.uses[node] and self._known_parts[node] > (
            _highest(self._own_highs(node, "dry")) or 0
        ):
            return None
        return _highest(routes)

    def _lifted(self, node: int, state: State, *, settled: bool = False) -> tuple[Fraction, Outside | None]:
        """How far figures outside the equations lift a plan, and which; only settled ones. [kg]"""
        key = (node, state, settled)
        if key not in self._lift:
            below: Fraction = Fraction(0)
            by: Outside | None = None
            if not self._own[node]:  # a piece that was measured itself is not lifted by what is in it
                for use in self.recorded.tree.uses[node] if self._lifting_below[node] else ():
                    more, reason = self._lifted(use.child, state, settled=settled)
                    below += more * use.quantity
                    if more and reason and (by is None or (reason.why in WAITING and by.why not in WAITING)):
                        by = reason  # one that waits has to be marked, whatever else lifts it
            own = Fraction(0)
            for outside in self._lifting.get(node, ()):
                if settled and outside.why in WAITING:
                    continue
                here = self._own_high(outside.witness, node, state)
                counts = self._counted_by(outside.witness, node, state)
                body = self.allowed.most(counts)
                if counts == self.recorded.terms(
                    node, state, most=True
                ):  # all of it: its plan, not its limit
                    route = self._governing_route(node, state, body)
                    body = body if route is None else route
                if here is None or body is None or here - body <= max(own, below):
                    continue
                width = outside.witness.mass.high - outside.witness.mass.low
                if outside.why is Why.WAITS and here - width <= body:
                    continue  # it fits what is known here: no reason to doubt that
                own, by = here - body, outside
            self._lift[key] = max(own, below), by
        return self._lift[key]

    def _counted_by(self, witness: Witness, node: int, state: State) -> Terms:
        """What a figure counts of its piece, in a state: all of it, or what is left without some parts."""
        if not witness.left_out and witness.only is None:
            return self.recorded.terms(node, state, most=True)
        what = counted(self.judge, self.recorded, node, witness.left_out, witness.only)
        return self.recorded.with_fluids(what.dry, (what.fluids, self.recorded.around[node]), state)

    @cached_property
    def _lifting(self) -> Mapping[int, tuple[Outside, ...]]:
        found: dict[int, tuple[Outside, ...]] = {}
        for outside in self.recorded.outside:
            if outside.why in LIFTS:
                found[outside.node] = (*found.get(outside.node, ()), outside)
        return found

    @cached_property
    def _lifting_below(self) -> tuple[bool, ...]:
        tree = self.recorded.tree
        found = [False] * len(tree.nodes)
        for node in tree.order:
            found[node] = any(found[use.child] or use.child in self._lifting for use in tree.uses[node])
        return tuple(found)

    def _needed(self, node: int) -> tuple[Witness, ...]:
        """The one figure without which nothing would bound a piece; none where several do.

        No mass is below nothing, so any upper limit of anything that holds the piece is one of the piece.
        """
        recorded = self.recorded
        places = {p for above in self.judge.above(node) for p in self._limiting.get(recorded.dry[above], ())}
        return (recorded.figures[places.pop()][0],) if len(places) == 1 else ()

    @cached_property
    def _limiting(self) -> Mapping[int, tuple[int, ...]]:
        """By unknown, the places of the members that put an upper limit on a sum it is in."""
        found: dict[int, list[int]] = {}
        for place, member in enumerate(self.recorded.body.members):
            for row in member.rows:
                if row.high is not None:
                    for unknown, _ in row.terms:
                        found.setdefault(unknown, []).append(place)
        return {unknown: tuple(dict.fromkeys(places)) for unknown, places in found.items()}

    def _near(self, node: int) -> frozenset[int]:
        """A node with everything that holds it and everything in it."""
        return self.judge.above(node).union(self.judge.totals("dry").below(node))

    def _touching(self, node: int, terms: Terms) -> tuple[tuple[Witness, ...], ...]:
        """The conflicts that change what a piece may weigh: those among figures of it, in it or around it."""
        near = self._near(node)
        if not self.allowed.disputed(terms):
            return ()
        touching = tuple(
            told
            for told, about in zip(self.disputes, self._disputed_nodes, strict=True)
            if not near.isdisjoint(about)
        )
        return self.disputes if len(touching) == len(self.disputes) else touching


def _highest(limits: Iterable[Limit]) -> Limit:
    """The highest of some limits, those that say nothing aside."""
    return max((one for one in limits if one is not None), default=None)


def _roots(
    collection: Collection, asked: Iterable[tuple[str, Mapping[str, Value]]]
) -> list[tuple[str, Mapping[str, Value]]]:
    """Every component in its default build, in the builds that figures were read for, and as asked."""
    found: list[tuple[str, Mapping[str, Value]]] = []
    for code, component in sorted(collection.components.items()):
        if can_be(component, {}):
            found.append((code, {}))
        spoken = [dict(statement.build) for statement in component.masses if statement.build]
        spoken += [dict(weighing.build) for weighing in collection.weighings_of(code) if weighing.build]
        for texts in spoken if component.parameters else ():
            try:
                given = {n: read_value(n, component.parameters[n], t) for n, t in texts.items()}
            except (BuildError, KeyError):
                continue  # the checker reports it
            if can_be(component, given):
                found.append((code, given))
    return [*found, *asked]


def can_be(component: Component, given: Mapping[str, Value]) -> bool:
    """Whether a component can be built so."""
    try:
        build_of(component, given)
    except BuildError:
        return False
    return True


MOST_KEPT = 8
_kept: LastWorked[AllEvidence] = LastWorked(MOST_KEPT)


def forget(collection: Collection) -> None:
    """Let go of the evidence of a collection that nobody will ask about again."""
    _kept.forget(collection)


def evidence_of(
    collection: Collection,
    code: str = "",
    given: Mapping[str, Value] | None = None,
    serial: int | None = None,
) -> AllEvidence:
    """All the evidence of a collection, in its default builds and in one asked about, worked out once.

    Parameters
    ----------
    collection : Collection
    code : str, optional
        A component that is asked about in another build.
    given : mapping of parameter to value, optional
        That build.
    serial : int, optional
        The unit asked about: what was read on others is a hint at most.
    """
    asked = (serial, *((code, *sorted(given.items())) if given else ()))
    found = _kept.get((collection,), *asked)
    if found is not None:
        return found
    found = AllEvidence(collection, asked=[(code, given)] if given else (), serial=serial)
    return _kept.keep(found, (collection,), *asked)
