"""US Army TM 5-3810-305-10, crane operator's manual, notes 14, 18, 19; TM 5-3810-307-10. Pages read.

The notes are rules without numbers; the rows here are made up to try them on.
"""

from __future__ import annotations

import pytest

from handling_db.quantities.amount import Amount, StaticsError
from handling_db.rigging.chart import Chart, ChartEntry, read_chart
from handling_db.rigging.crane import net_capacity

CHART = Chart(
    name="crane",
    rows=(
        ChartEntry(3.0, 10.0, 9000.0),
        ChartEntry(4.0, 10.0, 7000.0),
        ChartEntry(3.0, 14.0, 8500.0),
        ChartEntry(
            4.0, 14.0, 7200.0
        ),  # longer boom rated higher: the neighbour that counts is not always the corner
    ),
    block_included=False,
)


@pytest.mark.parametrize(
    ("radius", "boom", "capacity"),
    [(3.0, 10.0, 9000), (3.5, 10.0, 7000), (3.0, 12.0, 8500), (3.5, 12.0, 7000), (3.01, 14.0, 7200)],
)
def test_between_listed_values_the_smaller_rating(radius, boom, capacity):
    """Note 19."""
    assert read_chart(CHART, radius, boom).capacity_kg == capacity


@pytest.mark.parametrize(("radius", "boom"), [(2.9, 10.0), (4.1, 10.0), (3.0, 9.0), (3.0, 14.1)])
def test_outside_the_chart_is_not_rated(radius, boom):
    with pytest.raises(StaticsError, match=r"is outside the chart \(.* to .* m\): not rated"):
        read_chart(CHART, radius, boom)


@pytest.mark.parametrize(("included", "net"), [(False, 850), (True, 950), (None, 850)])
def test_block_is_deducted_unless_the_chart_says_it_is_counted(included, net):
    """Note 14 deducts it; TM 5-3810-307-10 has it in the chart; unknown is deducted."""
    found = net_capacity(
        1000.0,
        {"block": Amount.exact(100.0), "slings": Amount.exact(50.0)},
        block="block",
        block_included=included,
    )

    assert found.net_kg == net
    assert found.block_unknown is (included is None)
