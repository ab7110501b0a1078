"""The body that is too heavy: its pieces, what counts besides them, and what is left with some off."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from handling_db.balance.together.reach import AllEvidence, evidence_of
from handling_db.errors import HandlingError
from handling_db.jobs.lighten.figures import EDGE, CeilingFigure, LeftFigure
from handling_db.lifting.extras import FLUID
from handling_db.lifting.figures import MassLine
from handling_db.lifting.load.answer import Assumed, group_mass
from handling_db.lifting.load.group_mass import GroupMass
from handling_db.lifting.occurrences import AbsentError, WayError
from handling_db.quantities.amount import Amount
from handling_db.records.collection import Collection
from handling_db.records.kinds.job import Job
from handling_db.records.kinds.lift_group import LiftGroup, Mention

WHY = "off first, to be under the limit"
ROUNDED = 1e-9  # of the limit: what adding in floating point may leave


@dataclass(frozen=True, slots=True, kw_only=True)
class Burden:
    """What is asked about, with everything on.

    Parameters
    ----------
    group : LiftGroup
        A recorded one, or one made of a whole component.
    kind : str
        ``lift group`` or ``component``.
    mass : GroupMass
    fixed : tuple of MassLine
        What counts beside the pieces whatever comes off: gear, fluid of a state. [kg]
    packing : bool
        Whether packing counts.
    job : Job or None
    assumed : mapping or None
        Ranges given for parts that nobody weighed. [kg]
    """

    collection: Collection
    group: LiftGroup
    kind: str
    state: str
    mass: GroupMass
    fixed: tuple[MassLine, ...]
    packing: bool = True
    job: Job | None = None
    assumed: Assumed | None = None
    _left: dict[tuple[tuple[int, Fraction], ...], GroupMass | None] = field(
        default_factory=dict, init=False, compare=False, repr=False
    )

    @property
    def evidence(self) -> AllEvidence:
        """All the evidence, in the build asked about."""
        return evidence_of(self.collection, self.group.root, self.mass.given)

    def inside(self, mass: GroupMass) -> tuple[MassLine, ...]:
        """What counts beside the pieces of a rest: fluid and packing as a lift of it has them, then gear."""
        amounts = list(mass.parts().values())[1:]
        found = [
            MassLine(extra.kind, extra.name, amount)
            for extra, amount in zip(mass.extras, amounts, strict=True)
            if (amount is None or amount.high != 0.0) and (self.packing or extra.kind == FLUID)
        ]
        return (*found, *self.fixed)

    @property
    def unknown(self) -> tuple[str, ...]:
        """What counts besides the pieces and nobody knows."""
        return tuple(a.name for a in self.inside(self.mass) if a.load is None or a.load.high is None)

    @property
    def fluid_moves(self) -> bool:
        """Whether a fluid that nobody looked for may leave with what comes off."""
        takes = {self.mass.ways.follow(mention.of) for mention in self.group.takes}
        below = {i for take in takes for i in self.mass.ways.under(take)} - takes
        return len(takes) > 1 or any(
            occurrence.parent in below
            for occurrence in self.mass.ways.found
            if self.collection.components[self.mass.ways.tree.component(occurrence.node)].fluid is not None
        )

    def budget(self, limit: CeilingFigure) -> float:
        """What the pieces may weigh so that the whole reading is at the limit, at least. [kg]

        A fluid that may leave with what comes off is left out, so that no choice is ruled out by it.
        """
        extras = [
            extra.amount
            for extra in self.mass.extras
            if (self.packing or extra.kind == FLUID) and not (extra.unstated and self.fluid_moves)
        ]
        known = [*extras, *(line.load for line in self.fixed)]
        beside = math.fsum(
            load.best if load.high is None else load.high for load in known if load is not None
        )
        return limit.kg / limit.times - beside

    def name_of(self, index: int) -> str:
        """Name of an occurrence."""
        return self.collection.components[
            self.mass.ways.tree.component(self.mass.ways.found[index].node)
        ].name

    def left(self, off: Mapping[int, Fraction]) -> GroupMass | None:
        """The rest with so many pieces of some occurrences off; None where nothing is left."""
        key = tuple(sorted(off.items()))
        if key not in self._left:  # weighed once for the choice, and for how it lies
            group = without(self.mass, self.group, off)
            try:
                self._left[key] = group_mass(self.collection, group, job=self.job, assumed=self.assumed)
            except WayError:
                self._left[key] = None
        return self._left[key]

    def rest(
        self, mass: GroupMass | None, span: tuple[Fraction, Fraction | None], limit: CeilingFigure
    ) -> LeftFigure:
        """The figures of a rest beside the limit; `span` by all the evidence where the pieces have none."""
        pieces = mass.pieces if mass is not None else None
        missing = mass.missing if mass is not None else ()
        low, high = float(span[0]), None if span[1] is None else float(span[1])
        if mass is not None and high is not None and (pieces is None or pieces.high is None):
            least = min(high, max(low, pieces.low if pieces else 0.0))
            best = min(high, max(least, pieces.best if pieces else (least + high) / 2))
            pieces, missing = Amount(least, best, high), ()
        return rest_figure(pieces, () if mass is None else self.inside(mass), limit, missing)


def rest_figure(
    pieces: Amount | None, inside: Sequence[MassLine], limit: CeilingFigure, missing: tuple[str, ...]
) -> LeftFigure:
    """Pieces with what counts besides them, held against a limit. [kg]"""
    if pieces is None:
        return LeftFigure(None, None, None, None, missing=missing)
    known = [a.load for a in inside if a.load is not None]
    low = pieces.low + math.fsum(load.low for load in known)
    best = pieces.best + math.fsum(load.best for load in known)
    high = None
    if pieces.high is not None:
        high = pieces.high + math.fsum(load.best if load.high is None else load.high for load in known)
    asked = None if high is None else limit.asked(high)
    margin = None if asked is None else limit.kg - asked
    if margin is not None and abs(margin) <= ROUNDED * limit.kg:
        margin = 0.0
    load = Amount(low, best, high)
    return LeftFigure(
        pieces,
        load,
        asked,
        margin,
        edge=margin is not None and 0.0 <= margin < EDGE * limit.kg,
        missing=missing,
    )


def without(mass: GroupMass, group: LiftGroup, off: Mapping[int, Fraction]) -> LiftGroup:
    """The same lift group with so many pieces of some occurrences left behind too.

    Parameters
    ----------
    mass : GroupMass
        Of the group as it stands.
    group : LiftGroup
    off : mapping of occurrence to pieces
        What comes off, of what is in.
    """
    ways = mass.ways
    gone = {
        below
        for index, many in off.items()
        if many >= mass.ways.found[index].pieces * mass.sides[index].part
        for below in ways.under(index)
    }
    takes = [mention for mention in group.takes if ways.follow(mention.of) not in gone]
    leaves: list[Mention] = []
    for mention in group.leaves:
        try:
            index = ways.follow(mention.of)
        except AbsentError:
            continue  # this build has none of it
        if index not in gone and index not in off:
            leaves.append(mention)
    for index, many in sorted(off.items()):
        if ways.found[index].parent in gone:
            continue
        whole = ways.found[index].pieces
        behind = whole * (1 - mass.sides[index].part) + many
        quantity = None if behind >= whole else _count(behind)
        leaves.append(Mention.model_construct(of=ways.found[index].lines, quantity=quantity, why=WHY))
    return group.model_copy(update={"takes": tuple(takes), "leaves": tuple(leaves)})


def _count(number: Fraction) -> object:
    """A count as records write it."""
    if number.denominator != 1:
        raise HandlingError(f"{number} pieces cannot come off: a piece comes off whole")
    return Mention.model_validate({"of": ["x"], "quantity": str(number)}).quantity
