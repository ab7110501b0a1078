"""What if: the same planned job in another build, in another shop, in another order, with a step left out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from handling_db.errors import UnknownNameError, not_there
from handling_db.families.named_builds import named_build
from handling_db.families.parameter import value_text
from handling_db.records.collection import Collection
from handling_db.records.kinds.job_plan import JobPlan, PlanStep


@dataclass(frozen=True, slots=True)
class WhatIf:
    """A change to a planned job, for a question; nothing is written.

    Parameters
    ----------
    build : mapping of parameter to text
    build_name : str or None
        A named build; single values go before it.
    shop : str or None
        Id of another shop.
    without : sequence of str
        Steps that are left out, by id or number: *with the brake left on*.
    moved : sequence of (step, after)
        Steps that come after another one; ``0``: first of all.
    """

    build: Mapping[str, str] = field(default_factory=dict)
    build_name: str | None = None
    shop: str | None = None
    without: Sequence[str] = ()
    moved: Sequence[tuple[str, str]] = ()

    @property
    def asked(self) -> bool:
        """Whether anything is changed at all."""
        return bool(self.build or self.build_name or self.shop or self.without or self.moved)


def changed_plan(collection: Collection, plan: JobPlan, what_if: WhatIf) -> JobPlan:
    """The planned job with a change.

    Every step keeps the id or number it had, so that the two can be laid side by side.

    Raises
    ------
    UnknownNameError
        There is no such shop or step.
    BuildError
        There is no such named build.
    """
    if what_if.shop is not None and what_if.shop not in collection.shops:
        raise UnknownNameError(not_there("shop", what_if.shop, sorted(collection.shops)))
    steps = [
        step.model_copy(update={"id": step.id or str(number)}) for number, step in enumerate(plan.steps, 1)
    ]
    gone = {_place(plan, name) for name in what_if.without}
    left = [step for place, step in enumerate(steps) if place not in gone]
    for name, after in what_if.moved:
        step = steps[_place(plan, name)]
        left.remove(step)
        behind = -1 if after == "0" else left.index(_there(plan, steps, left, after))
        left.insert(behind + 1, step)
    build = dict(plan.build)
    if what_if.build_name is not None:
        root = collection.components[plan.unit]
        values = named_build(root, what_if.build_name)
        build |= {name: value_text(root.parameters[name], value) for name, value in values.items()}
    build |= dict(what_if.build)
    return plan.model_copy(update={"steps": tuple(left), "build": build, "shop": what_if.shop or plan.shop})


def _place(plan: JobPlan, name: str) -> int:
    place = plan.place_of(name)
    if place is None:
        known = [step.id or str(number) for number, step in enumerate(plan.steps, 1)]
        raise UnknownNameError(not_there("step", name, known))
    return place


def _there(plan: JobPlan, steps: Sequence[PlanStep], left: Sequence[PlanStep], name: str) -> PlanStep:
    step = steps[_place(plan, name)]
    if step not in left:
        raise UnknownNameError(f"step {name!r} is left out, or is the one that moves; name another")
    return step
