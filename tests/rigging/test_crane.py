from __future__ import annotations

import pytest

from handling_db.quantities.amount import Amount, StaticsError, UnknownMassError
from handling_db.quantities.sentence import clause
from handling_db.rigging.chart import Chart, ChartEntry, read_chart
from handling_db.rigging.crane import crane_figure, headroom, net_capacity
from handling_db.rigging.factors import Allowance, AllowanceRow
from handling_db.rigging.words import CLAUSES

ALLOWANCE = Allowance(
    id="made-up",
    name="made up",
    source="a book, 1st",
    verified="not at all",
    by="gross load t",
    at_least=0.0,
    limit_in="below",
    rows=(AllowanceRow(0.0, 10.0, 1.2, 0.0, 1.0, 0.0, 0.0),),
    caution="for structures.",
)


def test_headroom_is_what_is_left():
    room = headroom(3.0, {"set-down": 0.4, "piece": 0.6, "travel": 0.07, "slings": 0.9, "cell": 0.4})

    assert room == pytest.approx(0.63)


def test_missing_headroom_is_negative():
    assert headroom(1.0, {"piece": 1.25}) == pytest.approx(-0.25)


def test_an_unknown_height_is_refused():
    with pytest.raises(
        StaticsError, match=r"headroom: not known: hook height, slings\. Measure before relying"
    ):
        headroom(None, {"piece": 1.0, "slings": None})
    with pytest.raises(StaticsError, match="headroom: the stack under the hook must be 0 m or more"):
        headroom(2.0, {})
    with pytest.raises(StaticsError, match="headroom: piece must be 0 m or more"):
        headroom(2.0, {"piece": -1.0})


def test_percentage_by_the_upper_figure_and_the_planning_threshold():
    figure = crane_figure({"load": Amount.around(370, 4), "rigging": Amount.exact(10)}, 500.0)

    assert figure.part == pytest.approx(384 / 500)
    assert figure.over_planning is True
    assert figure.over_capacity is False


def test_planning_threshold_is_a_setting():
    load = {"load": Amount.exact(400)}

    assert crane_figure(load, 500.0, planning_part=0.8).over_planning is False
    assert crane_figure(load, 500.0, planning_part=0.79).over_planning is True


def test_an_unknown_mass_makes_it_at_least():
    figure = crane_figure({"load": Amount.exact(300), "block": None}, 500.0)

    assert figure.gross.high is None
    assert figure.over_planning is None
    assert figure.over_capacity is None
    assert clause(CLAUSES, figure.says[0]) == "at least: no mass for block."


def test_at_least_can_still_be_over():
    figure = crane_figure({"load": Amount.exact(510), "block": None}, 500.0)

    assert figure.over_capacity is True


def test_a_chosen_allowance_multiplies_and_is_named():
    figure = crane_figure({"load": Amount.exact(400)}, 500.0, allowance=ALLOWANCE, quantity=0.4)

    assert figure.gross.best == pytest.approx(480)
    assert tuple(clause(CLAUSES, one) for one in figure.says) == (
        "times 1.200 by made up, a book, 1st [not at all]",
        "for structures.",
    )
    with pytest.raises(StaticsError, match="made up goes by gross load t: give it"):
        crane_figure({"load": Amount.exact(400)}, 500.0, allowance=ALLOWANCE)


def test_no_rating_is_refused():
    with pytest.raises(StaticsError, match="no rating is recorded for this crane or hoist; read its plate"):
        crane_figure({"load": Amount.exact(1)}, None)
    with pytest.raises(StaticsError, match="a capacity must be more than 0 kg"):
        crane_figure({"load": Amount.exact(1)}, 0.0)
    with pytest.raises(UnknownMassError, match="no mass is known"):
        crane_figure({"load": None}, 100.0)


def test_a_deduction_without_a_mass_is_refused():
    with pytest.raises(
        UnknownMassError, match="net capacity: no mass for block, and an unknown mass is not zero"
    ):
        net_capacity(1000.0, {"block": None}, block="block", block_included=False)


def test_a_block_in_the_chart_needs_no_mass():
    assert net_capacity(1000.0, {"block": None}, block="block", block_included=True).net_kg == 1000.0


def test_deductions_count_at_their_upper_figure():
    assert net_capacity(
        1000.0, {"slings": Amount.around(10, 1)}, block=None, block_included=None
    ).net_kg == pytest.approx(989)


def test_a_chart_without_booms():
    chart = Chart("jib", (ChartEntry(1.0, None, 500.0), ChartEntry(2.0, None, 300.0)), None)

    assert read_chart(chart, 1.5).capacity_kg == 300.0
    assert len(read_chart(chart, 1.5).from_rows) == 2
    assert len(read_chart(chart, 1.0).from_rows) == 1


def test_a_hole_in_the_chart_is_not_rated():
    chart = Chart("crane", (ChartEntry(1.0, 5.0, 500.0), ChartEntry(2.0, 8.0, 300.0)), None)

    with pytest.raises(
        StaticsError, match="crane: no capacity is printed at radius 1 m, boom 8 m: not rated there"
    ):
        read_chart(chart, 1.0, 6.0)


def test_a_chart_needs_rows_and_its_boom():
    with pytest.raises(StaticsError, match="crane: no rows are recorded, so there is no rating"):
        read_chart(Chart("crane", (), None), 1.0)
    with pytest.raises(StaticsError, match="crane: this chart needs the boom length"):
        read_chart(Chart("crane", (ChartEntry(1.0, 5.0, 500.0),), None), 1.0)
