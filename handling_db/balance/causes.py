"""The search for causes: every single thing that, put right, brings a stated figure and a sum together."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from handling_db.balance.slips import OFTEN_PACKED, Slip, slips, with_packing
from handling_db.quantities.mass import Mass
from handling_db.records.parts.texts import STATES
from handling_db.weights.compare import Judge
from handling_db.weights.sum_lines import SumLine, sum_lines
from handling_db.weights.totals import Totals
from handling_db.weights.witness import Witness

MOST_LISTED_ONCE = 8  # pieces that a line listed once, or a row without a parent, may stand for
MOST_COUNTED = 200  # of a line with more pieces than this only "one for n" is tried

Limits = tuple[Fraction, Fraction]


@dataclass(frozen=True, slots=True)
class Cause:
    """One thing that would explain a disagreement.

    Parameters
    ----------
    kind : str
        left out, counted twice, belongs here, count, unit, factor, digits, tare, packing, fluid, boundary.
    about : str
        Id of the component whose line or figure it is.
    says : str
        In words.
    size : Fraction
        By how much it moves the two toward each other, at best values. [kg]
    parts, stated : (Fraction, Fraction)
        What the two would be; they touch. [kg]
    """

    kind: str
    about: str
    says: str
    size: Fraction
    parts: Limits
    stated: Limits


class Search:
    """One disagreement, and what may be tried on it."""

    def __init__(
        self, judge: Judge, witness: Witness, node: int, totals: Totals, parts: Mass,
        packings: tuple[tuple[str, Mass], ...],
    ) -> None:  # fmt: skip
        self.judge, self.witness, self.node, self.totals = judge, witness, node, totals
        self.parts, self.packings = parts, packings
        self.heavier = parts.low > witness.mass.high
        self.lines = sum_lines(totals, node, witness)
        self.collection = judge.collection

    def causes(self) -> Iterator[Cause]:
        """Everything that fits, in no order."""
        yield from self._lines()
        yield from self._belonging()
        yield from self._counts()
        yield from self._figures()
        yield from self._stated()
        yield from self._fluid()
        yield from self._boundary()

    def _fits(
        self, kind: str, about: str, says: str, *, low: Fraction, high: Fraction, best: Fraction
    ) -> Iterator[Cause]:
        """The cause, if moving the sum by so much brings the two together. [kg]"""
        stated = self.witness.mass
        parts = self.parts.low + low, self.parts.high + high
        if parts[0] <= stated.high and (parts[1] >= stated.low or not self.parts.complete):
            yield Cause(kind, about, says, abs(best), parts, (stated.low, stated.high))

    def _name(self, code: str) -> str:
        return plain_name(self.collection.components[code].name)

    def _lines(self) -> Iterator[Cause]:
        """A part line, or a component wherever it occurs, left out of the figure or counted twice in it."""
        sign = -1 if self.heavier else 1
        kind = "left out" if self.heavier else "counted twice"
        several: dict[int, list[SumLine]] = {}
        for line in self.lines:
            several.setdefault(line.child, []).append(line)
        for same in several.values():
            each = same[0].figure.mass
            if each is None or not each.complete:
                continue
            name = self._name(same[0].component)
            tried = [(each.times(line.pieces), self._where(line, len(same))) for line in same]
            if len(same) > 1:
                pieces = sum((line.pieces for line in same), Fraction(0))
                tried.append((each.times(pieces), " everywhere"))
            for mass, where in tried:
                says = (
                    f"the figure leaves out {name}{where}, or the parts list it without its being there"
                    if self.heavier
                    else f"the figure counts {name}{where} twice, or the parts lack a second one"
                )
                yield from self._fits(
                    kind, same[0].component, says,
                    low=sign * mass.low, high=sign * mass.high, best=sign * mass.best,
                )  # fmt: skip

    def _belonging(self) -> Iterator[Cause]:
        """Something that goes into nothing, as a row does whose parent was misspelt, belongs to it."""
        if self.heavier:
            return
        tree = self.totals.tree
        used = {use.child for uses in tree.uses for use in uses}
        for node in tree.order:
            mass = self.totals.figures[node].mass
            if node in used or mass is None or not mass.complete or not mass.high:
                continue
            if tree.height.get(node, 0) > tree.height.get(self.node, 0):
                continue  # what holds this, or is larger than it
            code = tree.component(node)
            if code == self.witness.component:
                continue
            counts = [
                (many, cause)
                for many in range(1, MOST_LISTED_ONCE + 1)
                for cause in self._fits(
                    "belongs here",
                    code,
                    "",
                    low=many * mass.low,
                    high=many * mass.high,
                    best=many * mass.best,
                )
            ]
            if counts:
                number = (
                    "" if counts[0][0] == 1 else f" ({' or '.join(str(many) for many, _ in counts)} of it)"
                )
                says = f"{self._name(code)}, which goes into nothing, belongs to it{number}"
                yield replace(counts[0][1], says=says)

    def _where(self, line: SumLine, occurrences: int) -> str:
        return f" in {self._name(self.totals.tree.component(line.parent))}" if occurrences > 1 else ""

    def _counts(self) -> Iterator[Cause]:
        """A line counted as another number than it lists: one for n, or n for another."""
        for line in self.lines:
            number, mass = line.quantity, line.figure.mass
            if number.denominator != 1 or number < 1 or mass is None or not mass.complete:
                continue
            top = 2 * int(number) if number <= MOST_COUNTED else 2
            if number == 1:  # listed once, though there are several; a second one is told already
                top = 1 if self.heavier else MOST_LISTED_ONCE + 1
            fitting: list[Cause] = []
            for count in range(1 if number > 1 else 3, top):
                if count == number:
                    continue
                change = (count - number) * line.times
                fitting.extend(
                    self._fits(
                        "count",
                        line.component,
                        str(count),
                        low=change * mass.low,
                        high=change * mass.high,
                        best=change * mass.best,
                    )
                )
            if fitting:
                counts = " or ".join(cause.says for cause in fitting)
                says = f"{self._name(line.component)} was counted as {counts} instead of {number}"
                first = fitting[0]
                yield Cause("count", line.component, says, first.size, first.parts, first.stated)

    def _figures(self) -> Iterator[Cause]:
        """A slip in one figure among the parts, wherever its component occurs."""
        several: dict[int, Fraction] = {}
        figures = {line.child: line for line in self.lines if not line.opened}
        for line in self.lines:
            if line.child in figures:
                several[line.child] = several.get(line.child, Fraction(0)) + line.pieces
        for child, line in figures.items():
            witness, mass = line.figure.witness, line.figure.mass
            if witness is None or mass is None:
                continue
            for slip in slips(self.collection, witness):
                pieces = several[child]
                yield from self._fits(
                    slip.kind,
                    line.component,
                    f"{self._name(line.component)}, {witness.printed} ({witness.source.name}): {slip.says}",
                    low=pieces * (slip.low - mass.low),
                    high=pieces * (slip.high - mass.high),
                    best=pieces * (slip.best - mass.best),
                )

    def _stated(self) -> Iterator[Cause]:
        """A slip in the stated figure itself, or packing weighed along."""
        about = f"the stated figure, {self.witness.printed}"
        for slip in slips(self.collection, self.witness):
            yield from self._instead(slip, f"{about}: {slip.says}")
        if self.heavier:
            return
        mass = self.witness.mass
        for name, extra in self.packings:
            net = Slip("packing", "", mass.best - extra.best, mass.low - extra.high, mass.high - extra.low)
            yield from self._instead(net, f"{about}: {name} was weighed along")
        if self.witness.kind.id not in OFTEN_PACKED and self.witness.position is not None:
            packed = with_packing(mass)
            yield from self._instead(packed, f"{about}: {packed.says}")

    def _instead(self, slip: Slip, says: str) -> Iterator[Cause]:
        reaches = slip.low <= self.parts.high or not self.parts.complete
        if reaches and slip.high >= self.parts.low:
            size = abs(slip.best - self.witness.mass.best)
            yield Cause(
                slip.kind, self.witness.component, says, size, (self.parts.low, self.parts.high),
                (slip.low, slip.high),
            )  # fmt: skip

    def _fluid(self) -> Iterator[Cause]:
        """Another state than the figure says; or a share of a fluid that is listed further up."""
        code = self.witness.component
        if self.totals.has_fluid[self.node]:
            for state in STATES:
                if state != self.totals.state:
                    other = self._sum(self.judge.totals(state))
                    if other.complete == self.parts.complete:
                        says = f"the figure is {state}, not {self.totals.state}"
                        yield from self._moved("fluid", code, says, other)
            return
        if self.heavier:
            return
        for around in self.judge.fluid_around(self.node):
            for line in self.collection.components[around].parts:
                part = self.collection.components.get(line.component)
                node = self.totals.tree.start.get((line.component, ())) if part and part.fluid else None
                full = self.judge.totals("filled").figures[node].mass if node is not None else None
                if part is not None and full is not None:
                    says = f"some of the {plain_name(part.name)} listed at {self._name(around)} was in it"
                    yield from self._fits(
                        "fluid", part.id, says, low=Fraction(0), high=full.high, best=full.best
                    )

    def _boundary(self) -> Iterator[Cause]:
        """Something the figure is said to leave out and counts, or something beside the assembly."""
        for code in self.witness.left_out:
            if code in self.collection.components:
                other = self._sum(self.totals, counted_after_all=code)
                says = f"the figure counts {self._name(code)}, though it says that it does not"
                yield from self._moved("boundary", code, says, other)
        if self.heavier:
            return
        for parent, uses in enumerate(self.totals.tree.uses):
            if all(use.child != self.node for use in uses):
                continue
            for use in uses:
                mass = self.totals.figures[use.child].mass
                if use.child == self.node or mass is None or not mass.complete or not mass.high:
                    continue
                code = self.totals.tree.component(use.child)
                all_of_it = mass.times(use.quantity)
                says = f"the figure counts {self._name(code)}, which is listed beside it in " + self._name(
                    self.totals.tree.component(parent)
                )
                yield from self._fits(
                    "boundary", code, says, low=all_of_it.low, high=all_of_it.high, best=all_of_it.best
                )

    def _sum(self, totals: Totals, counted_after_all: str = "") -> Mass:
        kept = [code for code in self.witness.left_out if code != counted_after_all]
        return totals.sum_of(self.node, leave_out=kept, only=self.witness.only).mass

    def _moved(self, kind: str, about: str, says: str, other: Mass) -> Iterator[Cause]:
        """The cause, if another sum touches the stated figure."""
        low, high = other.low - self.parts.low, other.high - self.parts.high
        if low or high:
            yield from self._fits(kind, about, says, low=low, high=high, best=other.best - self.parts.best)


def plain_name(name: str) -> str:
    """A name inside a sentence: ``Parking brake`` becomes ``parking brake``, ``PTO`` stays."""
    return name[0].lower() + name[1:] if len(name) < 2 or not name[1].isupper() else name
