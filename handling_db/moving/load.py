"""What stands on forks or floor: a lift group or a component with its fluid, packing and pallet."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from handling_db.balance.together.reach import evidence_of
from handling_db.carrying.pallets import NOTHING, Figures, Gross, gross
from handling_db.errors import HandlingError
from handling_db.families.build import build_of
from handling_db.lifting.extras import (
    FLUID,
    GIVEN,
    NO_PACKING,
    PACKING,
    given_amount,
    refuse_idle,
    stated_amount,
)
from handling_db.lifting.load.answer import Assumed, group_mass, planned
from handling_db.lifting.load.group_mass import GroupMass
from handling_db.lookup.plan import Planning
from handling_db.mechanics.centre_patch import Weighted
from handling_db.mechanics.vectors import Vector
from handling_db.quantities.amount import Amount
from handling_db.quantities.mass import add_masses
from handling_db.quantities.quantity import Quantity
from handling_db.records.collection import Collection
from handling_db.records.kinds.job import Job
from handling_db.records.kinds.lift_group import LiftGroup
from handling_db.records.kinds.packing import Packing
from handling_db.records.kinds.pallet import Pallet
from handling_db.records.parts.texts import State
from handling_db.weights.totals import Totals


class MoveError(HandlingError):
    """A move cannot be worked out as it was asked for; the message says what to write instead."""


@dataclass(frozen=True, slots=True)
class Inside:
    """Fluid or packing that goes with the piece. `amount` None where nobody knows. [kg, m]"""

    kind: str
    name: str
    amount: Amount | None
    at: Vector | None  # in the root's frame
    given: bool = False  # a range given for this question
    within: tuple[Vector, Vector] | None = None  # the space it is in


@dataclass(frozen=True, slots=True)
class MoveLoad:
    """A piece with everything that goes with it.

    Parameters
    ----------
    kind : str
        ``lift group`` or ``component``.
    mass : GroupMass
        The pieces, without fluid.
    inside : tuple of Inside
        Fluid and packing, as far as recorded.
    together : Planning, optional
        Of pieces and fluid, where that is one component in a state: the same as its look-up says. [kg]
    """

    kind: str
    id: str
    name: str
    state_words: str
    mass: GroupMass
    inside: tuple[Inside, ...]
    pallet: Pallet | None
    packing: Packing | None
    together: Planning | None = None

    @property
    def root(self) -> str:
        """Component id of the root."""
        return self.mass.group.root

    def weighted(self) -> tuple[Weighted, ...]:
        """Pieces and fluid with their places in the root's frame; fluid without one is within the outline."""
        bare = [item for item in self.mass.weighted() if item.name not in _extra_names(self.mass)]
        fluid = [
            Weighted(item.name, item.amount, item.at, item.within or (None if item.at else self.mass.outline))
            for item in self.inside
            if item.kind == "fluid" and (item.amount is None or item.amount.high != 0.0)
        ]
        return (*bare, *fluid)

    def gross(self) -> Gross:
        """Everything on the forks, by the worst case. [kg]"""
        loaded, missing = self.net()
        others: list[tuple[str, Figures | None]] = [(name, None) for name in missing]
        packing, packing_missing = _sum(self.inside, "packing")
        others += [(name, None) for name in packing_missing]
        pallet = NOTHING if self.pallet is None else pallet_figures(self.pallet)
        if pallet is None:
            others.append((f"pallet: {self.pallet.name}" if self.pallet else "pallet", None))
        return gross(
            piece=loaded or NOTHING,
            oil=NOTHING,
            packing=packing,
            pallet=pallet or NOTHING,
            others=others,
        )

    def known_highs(self) -> tuple[float, float]:
        """The highest the known parts can weigh together: with packing and pallet, and without. [kg]"""
        masses = [carried.mass for carried in self.mass.carried if carried.mass is not None]
        net = float(add_masses(masses).high) if masses else 0.0
        rest = 0.0
        for item in self.inside:
            if item.amount is not None:
                high = item.amount.best if item.amount.high is None else item.amount.high
                net, rest = (net + high, rest) if item.kind == "fluid" else (net, rest + high)
        pallet = pallet_figures(self.pallet) if self.pallet is not None else None
        return net + rest + (pallet[2] if pallet else 0.0), net

    def net(self) -> tuple[Figures | None, tuple[str, ...]]:
        """The piece with the fluid in it: low, best and high of what is known, and what is not. [kg]

        That is less than both added where a heavy piece goes with little.
        """
        pieces, parts = self.mass.pieces, self.mass.parts()
        missing = () if pieces is not None and pieces.high is not None else self.mass.missing or (self.name,)
        whole = self.together
        if whole is not None and whole.plan is not None:
            low, high = float(whole.low), float(whole.plan)
            return (low, min(max(float(whole.best), low), high), high), ()
        (low, best, high), oil_missing = _sum(self.inside, FLUID)
        names = [extra.name for extra in self.mass.extras if extra.kind == FLUID]
        if self.kind == "lift group" and parts.keys() >= set(names):
            known = [_figures(amount) for name in names if (amount := parts[name]) is not None]
            low, best, high = (math.fsum(one[i] for one in known) for i in range(3))
        if pieces is None:
            return None, (*missing, *oil_missing)
        on = _figures(pieces)
        loaded = (on[0] + low, on[1] + best, on[2] + high)
        if whole is not None and (missing or oil_missing):  # "at least", as its look-up says
            loaded = (float(whole.low), float(whole.best), float(whole.best))
        return loaded, (*missing, *oil_missing)


def _extra_names(mass: GroupMass) -> frozenset[str]:
    return frozenset(extra.name for extra in mass.extras)


def _figures(amount: Amount) -> Figures:
    return amount.low, amount.best, amount.best if amount.high is None else amount.high


def _sum(inside: Sequence[Inside], kind: str) -> tuple[Figures, tuple[str, ...]]:
    """What is known of one kind, and the names of what is not."""
    found = [item for item in inside if item.kind == kind]
    known = [_figures(item.amount) for item in found if item.amount is not None]
    missing = tuple(item.name for item in found if item.amount is None or item.amount.high is None)
    low, best, high = (sum(figures[i] for figures in known) for i in range(3))
    return (float(low), float(best), float(high)), missing


def pallet_figures(pallet: Pallet) -> Figures | None:
    """Own mass of a pallet with its doubt; None where nobody weighed it. [kg]"""
    amount = stated_amount(pallet.own_mass, pallet.plus_or_minus)
    return None if amount is None else _figures(amount)


@dataclass(frozen=True, slots=True)
class GoesWith:
    """What was asked to go with a piece, and ranges for what nobody weighed. [kg]"""

    packing: Packing | None
    pallet: Pallet | None
    assumed: Assumed | None


BARE = GoesWith(None, None, None)


def lift_load(collection: Collection, group: LiftGroup, job: Job | None, goes_with: GoesWith) -> MoveLoad:
    """A lift group as it is set down and moved: its own trapped fluid, and the packing that was asked for.

    Raises
    ------
    WayError, BuildError, StaticsError
        As `lift_mass.group_mass`.
    """
    packing, assumed = goes_with.packing, goes_with.assumed
    mass = group_mass(collection, group, job=job, assumed=assumed)
    inside = [
        Inside(extra.kind, extra.name, extra.amount, at, extra.kind in mass.assumed, box)
        for extra in mass.extras
        if extra.kind == "fluid"
        for at, box in [extra.placed(mass.outline)]
    ]
    if packing is not None:
        inside += _packed(packing)
    else:
        inside += [
            Inside(extra.kind, extra.name, extra.amount, extra.at, given=extra.kind in mass.assumed)
            for extra in mass.extras
            if extra.kind == "packing"
        ]
    given = {kind: limits for kind, limits in (assumed or {}).items() if kind not in mass.assumed}
    refuse_idle(given, frozenset())
    trapped = "; ".join(item.name for item in inside if item.kind == "fluid") or "fluid: nobody looked"
    return MoveLoad(
        "lift group", group.id, group.name, trapped, mass, tuple(inside), goes_with.pallet, packing
    )


def component_load(
    collection: Collection,
    code: str,
    *,
    state: State | None,
    build: Mapping[str, str],
    goes_with: GoesWith,
) -> MoveLoad:
    """A whole component in one state; filled where none is asked for.

    Raises
    ------
    MoveError
        It is a fluid.
    WayError, BuildError, StaticsError
        As `lift_mass.group_mass`.
    """
    packing, pallet, assumed = goes_with.packing, goes_with.pallet, goes_with.assumed
    component = collection.components[code]
    if component.fluid is not None:
        raise MoveError(f"{component.name} is a fluid; ask about what it is in, with a state.")
    asked: State = state or "filled"
    group = LiftGroup.model_validate(
        {
            "lift group": code,
            "name": component.name,
            "root": code,
            "takes": [[code]],
            "build": dict(build),
            "trapped": "none",
            "packing": "none",
            "checked by": "the question",
        }
    )
    mass = group_mass(collection, group, assumed=assumed)
    whole = None if mass.assumed else planned(mass, asked)
    words = f"{asked}" if state else "filled, since no state was asked for"
    given = dict(assumed or {})
    inside = component_fluid(collection, mass, asked, given)
    if any(item.given for item in inside):
        del given[FLUID]
        whole = None
    if packing is not None:
        inside += _packed(packing)
    elif PACKING in given:
        inside.append(
            Inside(
                PACKING, f"{PACKING}, {GIVEN}", given_amount(PACKING, given.pop(PACKING)), None, given=True
            )
        )
    elif pallet is not None:
        inside.append(Inside(PACKING, NO_PACKING, Amount.exact(0.0), None))
    refuse_idle(given, mass.assumed)
    return MoveLoad("component", code, component.name, words, mass, tuple(inside), pallet, packing, whole)


def component_fluid(
    collection: Collection, mass: GroupMass, state: State, assumed: Assumed | None = None
) -> list[Inside]:
    """The fluid of a whole component in a state: its own lines, and a share of what is listed around it. [kg]

    Parameters
    ----------
    mass : GroupMass
        Of the whole component.
    assumed : mapping, optional
        With a range for ``fluid``, that stands for all of it.
    """
    if state == "dry":
        return []
    code = mass.group.root
    inside = _own_fluid(collection, mass, state)
    judge = evidence_of(collection, code, mass.given).judge
    around = judge.fluid_around(judge.tree.start[(code, build_of(collection.components[code]))])
    totals = judge.totals(state)
    inside += [_share(collection, totals, c) for c in around]
    if assumed is not None and FLUID in assumed and inside:
        name = f"{FLUID}, {GIVEN}"
        return [Inside(FLUID, name, given_amount(FLUID, assumed[FLUID]), None, given=True)]
    return inside


def _share(collection: Collection, totals: Totals, code: str) -> Inside:
    """What a piece may hold of a fluid listed at what it is part of: anything from none to all. [kg]"""
    name = collection.components[code].name
    highs: list[float | None] = []
    node = totals.tree.start[(code, build_of(collection.components[code]))]
    for use in totals.tree.uses[node]:
        if collection.components[totals.tree.component(use.child)].fluid is None:
            continue
        mass = totals.figures[use.child].mass
        whole = None if mass is None else mass.times(use.quantity)
        highs.append(float(whole.high) if whole is not None and whole.complete else None)
    if not highs or None in highs:
        return Inside("fluid", f"share of the fluid listed at {name}", None, None)
    high = math.fsum(value for value in highs if value is not None)
    return Inside("fluid", f"fluid listed at {name}: none to all of it", Amount(0.0, high / 2, high), None)


def _packed(packing: Packing) -> list[Inside]:
    if packing.own_mass == "none":
        return [Inside("packing", f"{packing.name}: no mass of its own", Amount.exact(0.0), None)]
    mass = packing.own_mass if isinstance(packing.own_mass, Quantity) else None
    name = packing.name if mass is not None else f"packing: {packing.name} (nobody weighed it)"
    return [Inside("packing", name, stated_amount(mass, packing.plus_or_minus), None)]


def _own_fluid(collection: Collection, mass: GroupMass, state: State) -> list[Inside]:
    """The fluid lines below a component, each with its place. [kg, m]"""
    ways = mass.ways
    totals = mass.totals.like(ways.tree, state)
    found = []
    for occurrence in ways.found:
        component = collection.components[ways.tree.component(occurrence.node)]
        if component.fluid is None:
            continue
        figure = totals.figures[occurrence.node].mass
        amount = None if figure is None else Amount.of(figure.times(occurrence.pieces))
        at = None
        if occurrence.frames:
            places = [frame.at for frame in occurrence.frames]
            at = tuple(sum(place[i] for place in places) / len(places) for i in range(3))
        found.append(Inside("fluid", f"{component.name}, {state}", amount, at))  # type: ignore[arg-type]
    return found
