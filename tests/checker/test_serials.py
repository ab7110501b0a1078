"""Serial numbers outside of what a record fits: said by the checker, the lift and the move."""

from __future__ import annotations

import datetime

import pytest

from handling_db.checker import check
from handling_db.families.serials import outside_fits, serial_ranges
from handling_db.files.folders import data_folder, read_collection
from handling_db.findings import Verdict
from handling_db.lifting.answer import lift_answer
from handling_db.lifting.case import LiftQuestion
from handling_db.lifting.said.notices import reasons
from handling_db.moving.answer import move_answer
from handling_db.moving.notices import told as gap_texts
from handling_db.moving.question import MoveQuestion
from handling_db.records.collection import Collection, collect
from handling_db.records.kinds.component import Component
from handling_db.records.parts.common import Fits


def fits(*ranges: tuple[str, int | None, int | None]) -> list[Fits]:
    """A model without any end has no range at all."""
    found = []
    for model, low, high in ranges:
        serials = {"from": low, "to": high} if low is not None or high is not None else None
        values = {k: v for k, v in (serials or {}).items() if v is not None}
        found.append(Fits.model_validate({"model": model, **({"serials": values} if values else {})}))
    return found


@pytest.mark.parametrize(
    ("ranges", "serial", "models", "outside"),
    [
        ([], 5, (), ""),
        ([("M", None, None)], 5, (), ""),
        ([("M", 10, 20)], 15, (), ""),
        ([("M", 10, 20)], 9, (), "M, serials 10 to 20"),
        ([("M", 10, 20)], 21, (), "M, serials 10 to 20"),
        ([("M", 10, None)], 9, (), "M, serials from 10"),
        ([("M", 10, 20), ("M", 30, 40)], 25, (), "M, serials 10 to 20; M, serials 30 to 40"),
        ([("M", 10, 20), ("N", None, None)], 25, (), ""),
        ([("M", 10, 20), ("N", None, None)], 25, ("M",), "M, serials 10 to 20"),
        ([("N", 10, 20)], 25, ("M",), ""),
    ],
)
def test_outside_fits(
    ranges: list[tuple[str, int | None, int | None]], serial: int, models: tuple[str, ...], outside: str
) -> None:
    assert outside_fits(fits(*ranges), serial, models) == outside


def test_words_name_every_record_once() -> None:
    unit = Component.model_validate(
        {
            "component": "u",
            "name": "Unit",
            "kind": "part",
            "fits": [{"model": "M", "serials": {"from": 1, "to": 9}}],
        }
    )
    said = serial_ranges(
        unit, 10, [("Lift", fits(("M", 1, 9))), ("Cover", fits(("M", 5, 20))), ("Unit", unit.fits)]
    )

    assert said == {"Unit": "M, serials 1 to 9", "Lift": "M, serials 1 to 9"}


@pytest.fixture(scope="module")
def demo() -> Collection:
    """The demo with its job on a serial number that nothing is recorded for."""
    shown = read_collection([data_folder() / "demo"]).collection
    (job,) = shown.jobs.values()
    other = job.model_copy(update={"serial": 2500})
    others = [(kind, record) for kind, record in shown.records() if kind != "job"]
    return collect([*others, ("job", other)], shown.lines)


def test_the_checker_says_it_of_a_job(demo: Collection) -> None:
    (job,) = demo.jobs.values()
    found = [f for f in check(demo) if f.rule == "serials-outside" and "is on serial 2500" in f.sentence]

    assert [(f.verdict, f.field) for f in found] == [(Verdict.DISAGREES, "serial")]
    assert f"job {job.id} is on serial 2500, which is outside of what" in found[0].sentence


def test_lift_and_move_say_it(demo: Collection) -> None:
    (job,) = demo.jobs.values()
    group = next(g for g in demo.lift_groups.values() if g.root == job.unit)
    lift = lift_answer(demo, group.id, LiftQuestion(job=job, as_of=datetime.date(2026, 11, 25)))
    move = move_answer(demo, MoveQuestion(what=group.id, job=job.id))

    told = [
        reason for reason in reasons(lift.first) if "Serial 2500 is outside of what is recorded for" in reason
    ]
    assert len(told) == 1
    assert any("Serial 2500 is outside of what is recorded for" in text for text in gap_texts(move.not_known))


def test_a_serial_that_fits_is_not_mentioned() -> None:
    shown = read_collection([data_folder() / "demo"]).collection
    (job,) = shown.jobs.values()
    group = next(g for g in shown.lift_groups.values() if g.root == job.unit)
    lift = lift_answer(shown, group.id, LiftQuestion(job=job))

    assert not any("outside of what" in text for text in reasons(lift.first))
