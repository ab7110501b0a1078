"""The way down from the root of a lift group, which takes each figure once."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from handling_db.balance.together.pieces import unlisted_most
from handling_db.balance.together.reach import AllEvidence, Reach
from handling_db.lifting.evidenced import dry_limits
from handling_db.lifting.extras import GIVEN
from handling_db.lifting.load.carried import Carried
from handling_db.lifting.load.places import Places
from handling_db.lookup.plan import lifted_of
from handling_db.lookup.words import alone_words, whole_words
from handling_db.mechanics.centre_patch import Weighted
from handling_db.quantities.amount import Amount, StaticsError
from handling_db.quantities.mass import within
from handling_db.records.kinds.component import Component
from handling_db.weights.own_centre import at_datum
from handling_db.weights.totals import Basis, Totals
from handling_db.weights.tree import Node
from handling_db.weights.witness import ON_A_SCALE, Witness


class Walk:
    """Goes down from the root and takes each figure once.

    Parameters
    ----------
    totals : Totals
    places : Places
        Of the unit and its occurrences, with the side each is on.
    assumed : mapping of component id to (low, high)
        A range for a component without a mass. [kg]
    evidence : AllEvidence
    """

    def __init__(
        self,
        totals: Totals,
        places: Places,
        assumed: Mapping[str, tuple[Fraction, Fraction]],
        evidence: AllEvidence,
    ) -> None:
        self.totals = totals
        self.places = places
        self.collection, self.ways, self.sides = places.collection, places.ways, places.sides
        self.assumed = assumed
        self.evidence = evidence
        self.carried: list[Carried] = []
        self.inside: list[int] = []
        self.outside: list[int] = []
        self.unknown: dict[str, Component] = {}
        self.open_lists: dict[str, Component] = {}
        self.rest: dict[int, Weighted] = {}
        self.opened: list[int] = []
        self.used: frozenset[str] = frozenset()

    def component(self, index: int) -> Component:
        """What an occurrence is one of."""
        return self.places.component(index)

    def go(self) -> None:
        """Take what is in, and note what is not and what is not known."""
        wholly = self.places.wholly
        used: set[str] = set()
        stack: list[tuple[int, bool]] = [(0, False)]
        while stack:
            index, told = stack.pop()
            part = self.sides[index].part
            component = self.component(index)
            if 0 < part < 1 and self.sides[index].mentioned:
                self.outside.append(index)  # the rest of it stays behind
            if wholly[index] and not told:
                (self.inside if part > 0 else self.outside).append(index)
                told = True
            elif component.fluid is not None:
                self.outside.append(index)  # listed by itself inside a piece that is wholly in
            if part == 0 and wholly[index]:
                continue
            figure = self.totals.figures[self.ways.found[index].node]
            if component.parts and not (wholly[index] and figure.basis is Basis.WHOLE):
                if part > 0 and not wholly[index]:
                    self.opened.append(index)
                if part > 0 and component.parts_listed != "all":
                    self._open(index, component)
                stack.extend((below, told) for below in reversed(self.ways.below.get(index, [])))
            elif component.fluid is None and part > 0:
                self._take(index, component, used)
        self.used = frozenset(used)

    def whole_and_open(self) -> tuple[dict[Node, Fraction], dict[Node, Fraction]]:
        """What is wholly in, and what is in with some of its parts only: how many of each."""
        whole: dict[Node, Fraction] = {}
        opened: dict[Node, Fraction] = {}
        for indices, found in ((self.inside, whole), (self.opened, opened)):
            for index in indices:
                if self.component(index).fluid is None:
                    which = self.totals.tree.nodes[self.ways.found[index].node]
                    many = self.ways.found[index].pieces * self.sides[index].part
                    found[which] = found.get(which, Fraction(0)) + many
        return whole, opened

    def _open(self, index: int, component: Component) -> None:
        """Whatever else belongs to a piece: as much as the evidence leaves for it, within its outline."""
        occurrence = self.ways.found[index]
        most = unlisted_most(self.evidence, self.totals.tree.nodes[occurrence.node])
        if most is None:
            self.open_lists[component.id] = component
            return
        high = float(most * occurrence.pieces * self.sides[index].part)
        name = f"whatever else belongs to {component.name}"
        self.rest[index] = Weighted(name, Amount(0.0, 0.0, high), None, self.places.outline(index))

    def _take(self, index: int, component: Component, used: set[str]) -> None:
        occurrence = self.ways.found[index]
        pieces = occurrence.pieces * self.sides[index].part
        figure = self.totals.figures[occurrence.node]
        mass = figure.several(pieces)
        scatters = figure.witness is not None and bool(figure.witness.scatter)
        assumed = mass is None and component.id in self.assumed
        reach = self.evidence.of(self.totals.tree.nodes[occurrence.node], "dry")
        if mass is not None and mass.complete:
            mass = dry_limits(mass, reach, pieces, scatters=scatters)
        source = _source_of(figure.witness) if figure.witness else ""
        if assumed:
            low, high = self.assumed[component.id]
            if not 0 <= low <= high:
                raise StaticsError(f"the range for {component.name} runs backwards or below 0 kg")
            used.add(component.id)
            best = (low + high) / 2
            mass = within(best, best - low, high - best).times(pieces)
            source = GIVEN
        inferred = ""
        if mass is None and reach is not None and reach.plan is not None:
            best = (reach.low + reach.plan) / 2
            mass = within(best, best - reach.low, reach.plan - best).times(pieces)
            source = inferred = self._rests_on(reach)
        if mass is None or not mass.complete:
            self.unknown[component.id] = component
        at = self.places.place(index)
        among = self.places.among_parts(index) if at is None else None
        self.carried.append(
            Carried(
                index,
                component.id,
                component.name,
                pieces,
                mass,
                at,
                source,
                assumed,
                within=self.places.somewhere(index) if at is None else self.places.doubt(index, at),
                at_datum=at is not None and at_datum(component),
                inferred=inferred,
                scatters=scatters,
                of_mean=_of_mean(figure.witness, pieces),
                lifted=None if reach is None or assumed else lifted_of(self.collection, component.id, reach),
                parts=() if among is None else self._parts(index),
            )
        )

    def _parts(self, index: int) -> tuple[Weighted, ...]:
        """The parts of a whole with their places; none where one has no limit or figures contradict."""
        found: list[Weighted] = []
        for below in self.ways.under(index):
            part, occurrence = self.component(below), self.ways.found[below]
            if part.parts or part.fluid is not None:
                continue
            reach = self.evidence.of(self.totals.tree.nodes[occurrence.node], "dry")
            if reach is None or reach.high is None or reach.disputes or reach.lift:
                return ()
            low, high = (float(end * occurrence.pieces) for end in (reach.low, reach.high))
            own = self.totals.figures[occurrence.node].mass
            best = (low + high) / 2.0 if own is None else float(own.best * occurrence.pieces)
            at = self.places.place(below)
            within = self.places.spread(below)
            found.append(Weighted(part.name, Amount(low, min(max(best, low), high), high), at, within))
        return tuple(found)

    def _rests_on(self, reach: Reach) -> str:
        """What an inferred range rests on, in words."""
        if reach.guess:
            return f"guessed, nothing measured bounds it: {reach.guess[0].printed}"
        names = [self.collection.components[w.component].name for w in reach.rests_on]
        if len(names) != 1:
            return "inferred: what the figures of wholes around leave for it"
        weighed = reach.rests_on[0].kind.id in ON_A_SCALE
        return f"inferred: what {whole_words(names[0], weighed)} leaves for it ({alone_words(weighed)})"


def _of_mean(witness: Witness | None, pieces: Fraction) -> int:
    """How many were weighed together, where others than these are lifted and nobody recorded the scatter."""
    if witness is None or witness.pieces in (1, pieces) or witness.scatter is not None:
        return 0
    return int(witness.pieces)


def _source_of(witness: Witness) -> str:
    """Who says so; of several that were weighed together, that one may be off their mean."""
    told = f"{witness.kind.name}: {witness.source.name}"
    if witness.pieces == 1:
        return told
    scatter = "scatter counted" if witness.scatter is not None else "scatter not known"
    return f"{told}, the mean of {witness.pieces} weighed together, {scatter}"
