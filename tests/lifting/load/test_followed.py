"""What is refused of a lift group before anything is weighed is all that is refused of it."""

from __future__ import annotations

import random

import pytest

from handling_db.balance.together.reach import evidence_of
from handling_db.checker.evidence import Evidence
from handling_db.checker.rules.handling.lifting import lift_group
from handling_db.errors import HandlingError
from handling_db.lifting.load.answer import group_mass
from handling_db.lifting.load.places import Places
from handling_db.lifting.load.unit import unfolded
from handling_db.lifting.load.walk import Walk
from handling_db.lifting.occurrences import WayError, sort_out
from handling_db.records.collection import Collection, collect
from handling_db.records.kinds.lift_group import LiftGroup

MANY = 200


def _some_group(records: Collection, number: int, chance: random.Random) -> LiftGroup:
    """Takes and leaves at random: most can be followed, some lead nowhere or take nothing."""
    root = chance.choice([code for code, one in sorted(records.components.items()) if one.parts])
    takes: dict[tuple[str, ...], None] = {}
    leaves: dict[tuple[str, ...], str | None] = {}
    for _ in range(chance.randint(1, 4)):
        way: tuple[str, ...] = ()
        here = root
        while records.components[here].parts and (not way or chance.random() < 0.4):
            inside = [line.component for line in records.components[here].parts]
            again = [code for code in inside if records.components[code].parts]
            here = chance.choice(again if again and chance.random() < 0.7 else inside)
            way = (*way, here)
        if takes and chance.random() < 0.5:
            leaves[way] = "1" if chance.random() < 0.2 else None
            continue
        takes[way] = None
        if chance.random() < 0.5:  # everything that it is made of stays behind
            leaves |= {(*way, line.component): None for line in records.components[here].parts}
    left = [
        {"of": [*way], **({"quantity": many} if many else {})}
        for way, many in leaves.items()
        if way not in takes
    ]
    plain = {"lift group": f"up-{number:03d}", "name": "Up", "root": root}
    return LiftGroup.model_validate({**plain, "takes": [[*way] for way in takes], "leaves": left})


def _takes_something(records: Collection, group: LiftGroup) -> bool:
    """By the way down that weighs each figure."""
    unit = unfolded(records, group, {}, None)
    walked = Walk(
        unit.totals,
        Places(records, unit, sort_out(records, unit.ways, group)),
        {},
        evidence_of(records, group.root),
    )
    walked.go()
    return bool(walked.inside)


def test_the_checker_refuses_what_cannot_be_weighed_and_nothing_else(demo: Collection) -> None:
    chance = random.Random(20261130)
    groups = [_some_group(demo, number, chance) for number in range(MANY)]
    others = [(kind, record) for kind, record in demo.records() if kind != "lift group"]
    records = collect([*others, *(("lift group", group) for group in groups)])
    said = {one.about: one.sentence for one in lift_group(Evidence(records))}
    nothing = 0
    for group in groups:
        try:
            inside, why = _takes_something(records, group), "takes nothing"
        except WayError as error:
            inside, why = False, str(error)
        assert inside == (group.id not in said)
        if inside:
            assert group_mass(records, group).inside
            continue
        assert why in said[group.id]
        with pytest.raises(HandlingError) as refused:
            group_mass(records, group)
        assert said[group.id] == f"{refused.value};"
        nothing += why == "takes nothing"
    assert nothing > 5
    assert MANY / 10 < len(said) < MANY / 2
