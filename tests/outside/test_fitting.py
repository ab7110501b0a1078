"""Student's t against scipy, fits and their prediction ranges against statsmodels."""

import math

import pytest

from handling_db.balance.fitting import fit
from handling_db.quantities.student import t_quantile, t_within

np = pytest.importorskip("numpy")
stats = pytest.importorskip("scipy.stats")
sm = pytest.importorskip("statsmodels.api")

KNOWN = [(160, 24.0), (200, 43.0), (250, 73.0), (315, 133.0), (400, 236.0), (450, 310.0)]


@pytest.mark.parametrize("freedom", [1, 2, 3, 4, 5, 7, 10, 31, 100, 1001, 10_000])
@pytest.mark.parametrize("within", [0.01, 0.5, 0.9, 0.95, 0.99, 0.9999])
def test_student(freedom, within):
    t = stats.t.ppf((1 + within) / 2, freedom)

    assert t_quantile(within, freedom) == pytest.approx(t, rel=1e-9)
    assert t_within(t, freedom) == pytest.approx(within, rel=1e-12)


@pytest.mark.parametrize("law", ["straight line", "power law"])
@pytest.mark.parametrize("count", [4, 6])
@pytest.mark.parametrize("within", [0.8, 0.95])
def test_prediction_range(law, count, within):
    """Inside the known members, at each of three places; the range of one more observation."""
    known = KNOWN[:count]
    x = np.array([x for x, _ in known], dtype=float)
    mass = np.array([mass for _, mass in known])
    power = law == "power law"
    model = sm.OLS(np.log(mass) if power else mass, sm.add_constant(np.log(x) if power else x)).fit()
    ours = fit(known, law)

    assert (ours.a, ours.b) == pytest.approx(tuple(model.params), rel=1e-9)
    assert ours.scatter == pytest.approx(math.sqrt(model.mse_resid), rel=1e-7)
    for place in (170.0, 230.0, 310.0):
        row = [[1.0, math.log(place) if power else place]]
        theirs = model.get_prediction(row).summary_frame(alpha=1 - within)
        figures = [float(theirs[name].iloc[0]) for name in ("mean", "obs_ci_lower", "obs_ci_upper")]
        if power:
            figures = [math.exp(figure) for figure in figures]
        guess = ours.estimate(place, within)
        assert not guess.widened
        assert guess.best == pytest.approx(figures[0], rel=1e-9)
        assert (guess.low, guess.high) == pytest.approx((max(figures[1], 0.0), figures[2]), rel=1e-7)
