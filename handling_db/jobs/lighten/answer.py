"""What comes off first: from a body and a limit to choices of pieces, by the same evidence as everything."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from fractions import Fraction

from handling_db.jobs.lighten.acts import ActFacts
from handling_db.jobs.lighten.asked import HOOKS, LightenQuestion, Limits
from handling_db.jobs.lighten.burden import Burden, rest_figure
from handling_db.jobs.lighten.choose import FoundSets, Removable, SetSearch, all_off
from handling_db.jobs.lighten.figures import (
    CeilingFigure,
    LeftFigure,
    LeftOn,
    LightenAnswer,
    LightenOption,
)
from handling_db.jobs.lighten.pieces import Pieces, Sorting
from handling_db.jobs.lighten.rests import Lying, lying, shift, tips_at
from handling_db.jobs.lighten.weighed import Weighed
from handling_db.lifting.asked import job_named
from handling_db.lifting.case import lift_group_named
from handling_db.lifting.extras import FLUID
from handling_db.lifting.figures import MassLine
from handling_db.lifting.line.gear import joined, rigging
from handling_db.lifting.load.answer import group_mass
from handling_db.lifting.load.group_mass import GroupMass
from handling_db.lifting.occurrences import AbsentError
from handling_db.moving.load import GoesWith, MoveLoad, component_fluid, component_load
from handling_db.moving.question import kind_of
from handling_db.quantities.amount import Amount
from handling_db.quantities.notice import Notice
from handling_db.records.collection import Collection
from handling_db.records.in_hand import job_of_serial
from handling_db.records.kinds.lift_group import LiftGroup, Mention
from handling_db.records.kinds.workplace import Shop
from handling_db.records.parts.three_valued import listed

SHOWN = 4  # choices worked out in full
FEW = 2  # of those that nobody recorded to come off by themselves
NAMED = 12  # further choices of as few pieces, by name


def lighten_answer(collection: Collection, question: LightenQuestion) -> LightenAnswer:
    """Which pieces come off first, so that what is left is under a limit.

    Parameters
    ----------
    collection : Collection
    question : LightenQuestion

    Returns
    -------
    LightenAnswer
        Fewest pieces first; figures, not permission.

    Raises
    ------
    UnknownNameError
        No such piece, job, mover, shop.
    LimitError
        No limit can be named from the records.
    WayError, BuildError, StaticsError
        As `handling_db.lifting.load.answer.group_mass`.
    """
    return _Answering(collection, question).done()


class _Answering:
    def __init__(self, collection: Collection, question: LightenQuestion) -> None:
        self.collection = collection
        self.question = question
        job = job_named(collection, question.job)
        kind = kind_of(collection, question.what)
        moved: MoveLoad | None = None
        if kind == "lift group":
            group = lift_group_named(collection, question.what)
            job = job or job_of_serial(collection, group.root, question.serial)
            mass = group_mass(collection, group, job=job, assumed=question.assumed)
        else:
            moved = component_load(
                collection,
                question.what,
                state=question.state,
                build=question.build or {},
                goes_with=GoesWith(None, None, question.assumed),
            )
            group = moved.mass.group
            if question.state in (None, "filled"):  # none to all of what is listed may be in it
                group = group.model_copy(update={"trapped": None})
            job = job or job_of_serial(collection, group.root, question.serial)
            mass = moved.mass  # weighed once, unless a job or a fluid makes it another body
            if job is not None or group is not moved.mass.group:
                mass = group_mass(collection, group, job=job, assumed=question.assumed)
        limits = Limits(collection, question, group, mass)
        self.limit: CeilingFigure = limits.ceiling()
        self.shop: Shop | None = limits.shop()
        fluid = [
            MassLine(item.kind, item.name, item.amount)
            for item in (moved.inside if moved is not None and question.state == "drained" else ())
            if item.kind == FLUID
        ]
        self.burden = Burden(
            collection=collection,
            group=group,
            kind=kind,
            state=moved.state_words
            if moved is not None
            else "with the fluid that its record says is trapped",
            mass=mass,
            fixed=(*fluid, *_gear(collection, group, kind, self.limit)),
            packing=self.limit.kind != "hands",
            job=job,
            assumed=question.assumed,
        )
        self.sorting = Sorting(self.burden)
        self.pieces: Pieces = self.sorting.done()
        self.weighed = Weighed(self.burden, self.pieces, self.limit)
        self.acts = ActFacts(self.burden, self.sorting, self.pieces, self.weighed, self.shop, question)
        self._before: Lying | None = None

    def done(self) -> LightenAnswer:
        now = self.weighed.rest(frozenset())
        choices = self.choices()
        found, careful = FoundSets(), FoundSets()
        all_gone: LeftFigure | None = None
        if not now.under:
            found = self.search(choices, SHOWN + NAMED)
            if found.fewest is None:
                all_gone = self.weighed.rest(choices.off(all_off(choices)))
            elif not any(self.acts.plain(units) for units in self.shown(found.options)[0]):
                careful = self.search(self.acts.careful(choices), 1)
        shown, others = self.shown(found.options)
        options = tuple(self.option(units) for units in shown)
        burden, group, root = (
            self.burden,
            self.burden.group,
            self.collection.components[self.burden.group.root],
        )
        return LightenAnswer(
            id=self.question.what,
            name=group.name,
            kind=burden.kind,
            root=root.id,
            root_name=root.name,
            state=burden.state,
            build=burden.mass.build,
            job=burden.job.id if burden.job else "",
            shop=self.shop.name if self.shop else "",
            limit=self.limit,
            additions=burden.inside(burden.mass),
            not_counted=burden.unknown,
            now=now,
            options=options,
            others=tuple(tuple(self.pieces.units[unit].name for unit in units) for units in others),
            more=not found.complete,
            careful=tuple(self.option(units) for units in careful.options),
            fewest=0 if now.under else found.fewest,
            proved=now.under or (found.proved and self.weighed.exact),
            careful_fewest=careful.fewest,
            careful_proved=careful.proved and self.weighed.exact,
            all_off=all_gone,
            drained=self.drained(),
            left_on=self.left_on(),
            hand_limit_kg=self.acts.hand_limit,
            not_offered=self.pieces.not_offered,
            first=self.first(now, options),
        )

    def shown(
        self, options: Sequence[tuple[int, ...]]
    ) -> tuple[list[tuple[int, ...]], list[tuple[int, ...]]]:
        """Choices worked out in full, and those that are only named.

        What nobody recorded to come off by itself is worked out where there is nothing better.
        """
        recorded = [o for o in options if all(self.pieces.units[unit].recorded for unit in o)]
        full = recorded[:SHOWN] or list(options[:FEW])
        return full, [one for one in options if one not in full]

    def choices(self) -> Removable:
        """The pieces as the search takes them."""
        units = self.pieces.units
        hook = tuple(self.acts.hook_kg(unit) for unit in range(len(units)))
        return Removable(
            most=self.weighed.most(),
            covers=tuple(unit.items for unit in units),
            hook=hook,
            rank=tuple(self.acts.rank(unit) for unit in range(len(units))),
            before=self.pieces.before,
            sides=self.pieces.sides,
            unnamed=frozenset(i for i, item in enumerate(self.pieces.items) if item.unlisted),
            freed=frozenset(u for u, unit in enumerate(units) if unit.kind == "lift group"),
        )

    def search(self, choices: Removable, wanted: int) -> FoundSets:
        """The best sets of fewest pieces."""
        it = self.weighed
        search = SetSearch(choices, it.least, it.serves, it.budget, it.heaviest)
        return search.fewest(wanted, it.seeds)

    def option(self, units: Sequence[int]) -> LightenOption:
        """One choice with everything about it."""
        off = frozenset(item for unit in units for item in self.pieces.units[unit].items)
        if self._before is None:
            self._before = lying(self.burden, self.question, {}, hangs=False)
        before, after = self._before, lying(self.burden, self.question, self.pieces.counts(off))
        moved, words = shift(self.burden, before, after)
        stood = {figure.face: tips_at(figure) for figure in before.stands}
        return LightenOption(
            off=self.acts.figures(units),
            rest=self.weighed.rest(off),
            hook_kg=math.fsum(self.acts.hook_kg(unit) for unit in units),
            shift=moved,
            shift_words=words,
            legs=after.legs,
            no_legs=after.no_legs,
            stands=after.stands,
            stood=tuple(stood.get(figure.face) for figure in after.stands),
        )

    def drained(self) -> LeftFigure | None:
        """Everything on, drained, where the question counts it filled and that makes a difference."""
        if self.burden.kind != "component" or self.question.state not in (None, "filled"):
            return None
        inside = component_fluid(self.collection, self.burden.mass, "drained", self.question.assumed)
        fluid = [MassLine(item.kind, item.name, item.amount) for item in inside]
        if not fluid:
            return None
        amount = self.weighed.rest(frozenset()).pieces
        beside = (*fluid, *self.burden.fixed)
        return rest_figure(amount, beside, self.limit, self.burden.mass.missing)

    def left_on(self) -> tuple[LeftOn, ...]:
        """What the records have off, put back one at a time and all together, by the same evidence."""
        mass, group = self.burden.mass, self.burden.group
        ways = mass.ways
        leaves: dict[int, Mention] = {}
        for mention in group.leaves:
            try:
                leaves[ways.follow(mention.of)] = mention
            except AbsentError:
                continue
        job = self.burden.job
        off = {ways.follow(one.of) for one in (job.off if job is not None and self._own_job() else ())}
        indices = sorted({*leaves, *off})
        if not indices:
            return ()
        sets = [(index,) for index in indices] + ([tuple(indices)] if len(indices) > 1 else [])
        return tuple(self._back_on(one, leaves) for one in sets)

    def _own_job(self) -> bool:
        job = self.burden.job
        return job is not None and job.unit == self.burden.group.root

    def _back_on(self, back: Sequence[int], leaves: Mapping[int, Mention]) -> LeftOn:
        """The figure with some of what is off put back on."""
        burden, ways = self.burden, self.burden.mass.ways
        kept = tuple(mention for index, mention in leaves.items() if index not in back)
        taken = {ways.follow(mention.of) for mention in burden.group.takes}
        # A tie of the joint stays out unless it is taken by name, so what comes back is taken by name.
        more = [
            Mention.model_construct(of=ways.found[i].lines, quantity=None) for i in back if i not in taken
        ]
        group = burden.group.model_copy(update={"leaves": kept, "takes": (*burden.group.takes, *more)})
        job = burden.job
        if job is not None and self._own_job():
            on = tuple(one for one in job.off if ways.follow(one.of) not in back)
            job = job.model_copy(update={"off": on})
        mass = group_mass(self.collection, group, job=job, assumed=self.question.assumed)
        rest = burden.rest(mass, (Fraction(0), None), self.limit)
        loads = [_mass_of(mass, index) for index in back]
        names = tuple(burden.name_of(index) for index in back)
        load = loads[0] if len(loads) == 1 else None
        return LeftOn(names, load, rest)

    def first(self, now: LeftFigure, options: Sequence[LightenOption]) -> tuple[Notice, ...]:
        """What stands first: ties and energy of the best choice, then the figures, then what is not known."""
        said = list(self.acts.job_notices())
        if options:
            said += [n for n in options[0].says if n.kind in ("stored energy", "carries the picks")]
        if self.burden.unknown:
            said.append(Notice("not counted", {"names": self.burden.unknown}))
        if now.missing:
            said.append(Notice("no upper figure", {"names": now.missing}))
        return tuple(dict.fromkeys(said))


def _mass_of(mass: GroupMass, index: int) -> Amount | None:
    figure = mass.totals.figures[mass.ways.found[index].node].several(mass.ways.found[index].pieces)
    if figure is None:
        return None
    return Amount.of(figure)


def _gear(collection: Collection, group: LiftGroup, kind: str, limit: CeilingFigure) -> tuple[MassLine, ...]:
    """Gear between hook and load, for a limit that a hook has; nobody looked where none is recorded."""
    if limit.kind not in HOOKS:
        return ()
    if kind == "component":
        told = "gear below the hook (a component names none; ask for a lift group)"
        return (MassLine("gear", told, None),) if limit.kind == "hoist" else ()
    gear = rigging(collection, group, listed(group.picks))
    hung = joined(gear.below, gear.above)
    return tuple(MassLine("gear", name, amount) for name, amount in hung.items())
