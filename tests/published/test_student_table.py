"""Student's t, critical values as in any table of the distribution.

For instance NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.2 (upper critical values).
Verified: from memory; the same values are compared with scipy in tests/outside.
"""

import pytest

from handling_db.quantities.student import t_quantile

# Degrees of freedom: two-sided 90 %, 95 %, 99 %.
TABLE = [
    (1, 6.314, 12.706, 63.657),
    (2, 2.920, 4.303, 9.925),
    (3, 2.353, 3.182, 5.841),
    (4, 2.132, 2.776, 4.604),
    (5, 2.015, 2.571, 4.032),
    (10, 1.812, 2.228, 3.169),
    (20, 1.725, 2.086, 2.845),
    (30, 1.697, 2.042, 2.750),
    (100, 1.660, 1.984, 2.626),
]


@pytest.mark.parametrize(("freedom", "t90", "t95", "t99"), TABLE)
def test_table(freedom, t90, t95, t99):
    for within, printed in ((0.90, t90), (0.95, t95), (0.99, t99)):
        assert t_quantile(within, freedom) == pytest.approx(printed, abs=0.0005)
