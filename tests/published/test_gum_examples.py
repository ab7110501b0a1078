"""Uncertainty: worked examples of the GUM and of a calibration guide, and the robustness of summing.

.. [1] JCGM 100:2008, "Guide to the expression of uncertainty in measurement", 5.2.2: ten resistors against
   one standard, 1 ohm and not 0.32 ohm. Verified in secondary quotations.
.. [2] the same, H.2: resistance and reactance from correlated means. Inputs verified in the documentation of
   an open-source metrology library; printed results from memory. The raw readings reproduce them.
.. [3] EA-4/02 M, supplement S2, calibration of a weight of nominal value 10 kg. Model and inputs verified;
   printed results (29.3 mg, 59 mg) from memory.
.. [4] NIST StRD, univariate summary statistics, NumAcc1 to NumAcc4. From memory.
"""

from __future__ import annotations

import cmath
import math
from fractions import Fraction

import numpy as np
import pytest

from handling_db.balance.combining import joint_variance
from handling_db.quantities.mass import Mass, add_masses, within

F = Fraction


def test_ten_resistors_on_one_standard():  # [1]
    one = within(F(1000), F(173, 1000), F(173, 1000), shared={"standard": F(173, 1000)})
    together = add_masses([one] * 10)

    assert together.u == pytest.approx(10 * one.u)
    assert one.u == pytest.approx(0.100, abs=5e-4)
    assert round(together.u, 1) == 1.0


def test_ten_resistors_on_standards_of_their_own():  # [1]
    one = Mass(F(1000), F(999), F(1001), variance=0.1**2)

    assert round(add_masses([one] * 10).u, 2) == 0.32


def test_the_shared_error_of_a_difference_cancels():  # [1], the other way round
    one = within(F(1000), F(1), F(1), shared={"standard": F(1)})

    assert (one - one).u == 0.0
    assert (one - one).half_width_worst == 2, "planning does not use that"


V = [5.007, 4.994, 5.005, 4.990, 4.999]
I = [19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3]  # noqa: E741
PHI = [1.0456, 1.0438, 1.0468, 1.0428, 1.0433]


def test_correlated_inputs():  # [2]
    v, i, phi = (math.fsum(read) / 5 for read in (V, I, PHI))
    covariance = (np.cov([V, I, PHI]) / 5).tolist()  # of the means: the guide's equation 17
    z = v / i
    slopes = {
        "R": (math.cos(phi) / i, -z * math.cos(phi) / i, -z * math.sin(phi)),
        "X": (math.sin(phi) / i, -z * math.sin(phi) / i, z * math.cos(phi)),
        "Z": (1 / i, -z / i, 0.0),
    }
    u = {name: math.sqrt(joint_variance(slope, covariance)) for name, slope in slopes.items()}

    def correlation(one, other):
        return joint_variance(slopes[one], covariance, slopes[other]) / (u[one] * u[other])

    impedance = cmath.rect(z, phi)
    assert [round(value, 3) for value in (impedance.real, impedance.imag, z)] == [127.732, 219.847, 254.260]
    # The guide prints u(X) as 0.295; the raw readings give 0.29558, so one unit of the last digit is allowed.
    assert [u[name] for name in "RXZ"] == pytest.approx([0.071, 0.295, 0.236], rel=0, abs=0.001)
    assert correlation("R", "X") == pytest.approx(-0.588, rel=0, abs=5e-4)
    assert correlation("R", "Z") == pytest.approx(-0.485, rel=0, abs=5e-4)
    assert correlation("X", "Z") == pytest.approx(0.993, rel=0, abs=5.1e-4)


def test_ten_kilogram_weight():  # [3]; grams
    standard = Mass(F("10000.005"), F("9999.960"), F("10000.050"), variance=0.0225**2)
    # a difference of +20 mg from three comparisons with a pooled s of 25 mg
    offset = Mass(F("0.020"), F("-0.023"), F("0.063"), variance=(0.025 / math.sqrt(3)) ** 2)
    drift, eccentricity, buoyancy = (
        Mass(F(0), -F(half, 1000), F(half, 1000), variance=(half / 1000) ** 2 / 3) for half in (15, 10, 10)
    )
    total = add_masses([standard, offset, drift, eccentricity, buoyancy])

    assert total.best == F("10000.025")
    assert round(total.u * 1000, 1) == 29.3
    assert round(2 * total.u * 1000) == 59


def test_a_reading_of_coarse_steps():  # [1] F.2.2.1: d / root of 12
    assert within(F(800), F(25), F(25)).u == pytest.approx(14.43, abs=0.005)


def alternating(start, n=500):
    return [F(start)] + [F(start) + F(sign, 10) for _ in range(n) for sign in (-1, 1)]


@pytest.mark.parametrize(
    ("values", "mean"),
    [
        ([F(10000001), F(10000003), F(10000002)], F(10000002)),
        (alternating("1.2"), F("1.2")),
        (alternating("1000000.2"), F("1000000.2")),
        (alternating("10000000.2"), F("10000000.2")),
    ],
    ids=["NumAcc1", "NumAcc2", "NumAcc3", "NumAcc4"],
)
def test_sums_keep_every_digit(values, mean):  # [4]
    total = add_masses([Mass(value, value, value) for value in values])

    assert total.best / len(values) == mean
    assert total.low == total.high == total.best
