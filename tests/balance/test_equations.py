"""Sums as a network: lines put together, circles refused, figures by node."""

from __future__ import annotations

from fractions import Fraction

import pytest

from handling_db.balance.equations import by_node, network
from handling_db.errors import HandlingError
from tests.networks import figure

F = Fraction


def test_a_network_puts_lines_together_and_refuses_circles():
    net = network(["a", "b"], [[(1, 2), (1, 3)], []])

    assert net.lines[0] == ((1, 5),)
    assert net.is_forest
    assert by_node([figure(1, F(1), F(1))], 2) == [[], [0]]
    with pytest.raises(HandlingError, match="something contains itself"):
        network(["a", "b"], [[(1, 1)], [(0, 1)]])
    with pytest.raises(HandlingError, match="quantity 0"):
        network(["a", "b"], [[(1, 0)], []])
