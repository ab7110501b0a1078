"""Which limit: each by its record, named, or refused with what to write instead."""

from __future__ import annotations

import dataclasses
import datetime
from fractions import Fraction
from typing import Any

import pytest

from handling_db.errors import HandlingError
from handling_db.jobs.lighten.answer import lighten_answer
from handling_db.jobs.lighten.asked import LightenQuestion, Limits
from handling_db.jobs.lighten.figures import CeilingFigure
from handling_db.lifting.load.answer import group_mass
from handling_db.moving.load import BARE, component_load
from handling_db.moving.question import kind_of
from handling_db.records.collection import Collection

DAY = datetime.date(2026, 11, 25)


def limit(records: Collection, what: str = "upper-half-lift", **given: Any) -> CeilingFigure:
    question = LightenQuestion(what=what, **{"as_of": DAY, **given})
    if kind_of(records, what) == "lift group":
        group = records.lift_groups[what]
        mass = group_mass(records, group)
    else:
        mass = component_load(records, what, state=None, build={}, goes_with=BARE).mass
        group = mass.group
    return Limits(records, question, group, mass).ceiling()


@pytest.mark.slow
def test_the_hoist_of_the_lift_less_the_error_of_its_cell(demo: Collection) -> None:
    """2000 kg, cell 1 %: 1980 count; the lift parts a joint and the shop adds 10 %."""
    found = limit(demo)

    assert (found.id, found.stated_kg, found.cell_kg, found.kg) == ("quay-hoist", 2000.0, 20.0, 1980.0)
    assert found.loose_share == pytest.approx(0.1)
    assert found.planning_kg == pytest.approx(1500.0)


def test_breaking_loose_may_be_left_out_and_is_said(demo: Collection) -> None:
    found = limit(demo, break_loose=False)

    assert found.loose_share is None
    assert "though the lift parts a joint" in found.loose_words


def test_a_shop_without_a_share_adds_none_and_says_so(demo: Collection) -> None:
    shops = {
        **demo.shops,
        "quay-shed-nine": demo.shops["quay-shed-nine"].model_copy(update={"break_loose": None}),
    }
    found = limit(dataclasses.replace(demo, shops=shops))

    assert found.loose_share is None
    assert "no share for breaking loose" in found.loose_words


@pytest.mark.parametrize(
    ("given", "kind", "kg"),
    [
        ({"under_kg": Fraction(500)}, "under", 500.0),
        ({"hoist": "tarrowby-jib"}, "hoist", 500.0),
        ({"shop": "low-tarrowby"}, "hoist", 500.0),
        ({"fork": "quay-forklift"}, "fork", 1500.0),
        ({"fork": "tarrowby-reach-truck"}, "fork", 650.0),  # the lowest of any lift height, at 600 mm
        ({"fork": "tarrowby-reach-truck", "load_centre_m": 0.7}, "fork", 800.0),
        ({"fork": "quay-pallet-truck"}, "fork", 2300.0),
        ({"pallet": "saddle-pallet"}, "pallet", 600.0),
        ({"floor": "quay-shed-nine:rack"}, "floor", 500.0 * 3.14159265 * 0.29**2),
        ({"scale": "quay-floor-scale"}, "scale", 1500.0),
        ({"hands": "quay-shed-nine"}, "hands", 25.0),
    ],
)
def test_each_kind_of_limit(demo: Collection, given: dict[str, Any], kind: str, kg: float) -> None:
    found = limit(demo, **given)

    assert (found.kind, found.kg) == (kind, pytest.approx(kg, rel=1e-3))


@pytest.mark.parametrize(
    ("what", "given", "told"),
    [
        ("gear-section", {}, "no limit is named and no hoist is recorded for it; write --under"),
        ("upper-half-lift", {"hoist": "quay-hoist", "under_kg": Fraction(5)}, "write one limit, not 2: under, hoist"),
        ("upper-half-lift", {"under_kg": Fraction(0)}, "the limit is above 0 kg"),
        ("upper-half-lift", {"hoist": "crane"}, "there is no mover 'crane'; there are: quay-forklift"),
        ("upper-half-lift", {"hoist": "quay-forklift"}, "not a hook; for a forklift write --fork"),
        ("upper-half-lift", {"fork": "quay-hoist"}, "is a hoist, not a fork; write --hoist"),
        ("upper-half-lift", {"fork": "quay-forklift", "load_centre_m": 0.9}, "no row of its plate is recorded for a load centre of 900 mm"),
        ("upper-half-lift", {"load_centre_m": 0.9}, "a load centre goes with a fork"),
        ("upper-half-lift", {"floor": "quay-shed-nine:yard"}, "no limit is recorded; write the mass it may take"),
        ("upper-half-lift", {"floor": "attic"}, "no floor goes by 'attic'; recorded: low-tarrowby:floor"),
        ("upper-half-lift", {"hoist": "quay-hoist", "as_of": datetime.date(2028, 1, 1)}, "inspection was due on 2027-03-02"),
        ("upper-half-lift", {"fork": "quay-forklift", "as_of": datetime.date(2028, 1, 1)}, "its rating is not used"),
        ("upper-half-lift", {"scale": "pt34-handbook"}, "how far it reads is not recorded"),
        ("no-such-thing", {}, "there is no lift group and no component 'no-such-thing'"),
    ],
)  # fmt: skip
def test_what_has_no_limit_is_told_what_to_write(
    demo: Collection, what: str, given: dict[str, Any], told: str
) -> None:
    with pytest.raises(HandlingError) as error:
        limit(demo, what, **given)

    assert told in str(error.value)


def test_a_component_on_a_hook_says_that_its_gear_is_not_counted(demo: Collection) -> None:
    answer = lighten_answer(demo, LightenQuestion(what="gear-section", hoist="quay-hoist", as_of=DAY))

    assert answer.not_counted == ("gear below the hook (a component names none; ask for a lift group)",)


def test_a_filled_component_shows_what_draining_leaves(demo: Collection) -> None:
    """24 ± 1 litres at 0.87: 20.88 kg; 2.5 ± 1.5 stay: 2.2 kg."""
    answer = lighten_answer(demo, LightenQuestion(what="transfer-box", under_kg=Fraction(600), as_of=DAY))

    assert answer.drained is not None
    assert answer.now.asked_kg is not None
    assert answer.drained.asked_kg is not None
    assert answer.now.asked_kg - answer.drained.asked_kg == pytest.approx(25 * 0.87 - 4 * 0.87, abs=0.2)
