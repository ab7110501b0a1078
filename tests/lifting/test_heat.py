"""Ratings of a hot load: the stricter of the published factors, or none where no factor is known.

Factors from data/reference/rating-factors.yml: EN 818-4 grade 8, 90 % from 200 to 300 °C, 75 % to 400 °C; alloy
chain grade 80 by two suppliers, 85 % at 500 °F, 80 % at 600 °F.
"""

from __future__ import annotations

import pytest

from handling_db.files.rating_factors import rating_factors
from handling_db.lifting.answer import lift_answer
from handling_db.lifting.case import LiftQuestion
from handling_db.records.parts.temperature import parse_temperature
from tests.from_text import collection, reading
from tests.lifting.test_gear import text
from tests.telling import words

PICK = {"one": ((0.0, 0.0, 300.0), "sling: sling")}


def gear(kind: str, grade: str = "'8'") -> str:
    return f"""
- gear: sling
  name: Sling
  kind: {kind}
  grade: {grade}
  own mass: 1.000 kg
  length: 1000 mm
  legs: 1
  tag: [{{legs: 1, rated: 2000 kg}}]
"""


def rating(kind: str, temperature: str | None, grade: str = "'8'") -> tuple[float | None, str]:
    group = "remark: none" if temperature is None else f"temperature: {temperature}"
    records = text(PICK, "[{gear: sling, count: 1}]", gear(kind, grade), group=group)
    answer = lift_answer(collection(records), "block-up", LiftQuestion(factors=rating_factors()))
    row = next(one for one in answer.ratings if one.name.startswith("Sling"))
    return row.rating_kg, words([row.basis])[0]


@pytest.mark.parametrize(
    ("temperature", "part"),
    [
        (None, 1.0),
        ("20 degC", 1.0),
        ("200 degC", 1.0),
        ("250 degC", 0.85),
        ("310 degC", 0.75),
        ("480 degF", 0.85),
    ],
)
def test_the_stricter_of_two_published_factors_for_chain(temperature: str | None, part: float) -> None:
    found, basis = rating("chain sling", temperature)
    assert found == pytest.approx(2000 * part)
    assert ("secondary" in basis) is (part < 1.0)


def test_outside_of_what_a_rule_covers_there_is_no_rating() -> None:
    found, basis = rating("chain sling", "450 degC")
    assert found is None
    assert "does not use it there" in basis
    assert rating("chain sling", "-50 degC")[0] is None


@pytest.mark.parametrize(("temperature", "there"), [("80 degC", True), ("81 degC", False)])
def test_a_web_sling_has_no_rating_on_a_hot_load(temperature: str, there: bool) -> None:
    assert (rating("web sling", temperature)[0] is not None) is there


def test_a_kind_without_a_published_factor_has_no_rating_when_hot() -> None:
    assert rating("wire rope sling", "60 degC")[0] == pytest.approx(2000)
    found, basis = rating("wire rope sling", "150 degC")
    assert found is None
    assert "maker's sheet decides" in basis
    assert rating("chain sling", "150 degC", "'12'")[0] is None


def test_temperatures_are_read_with_their_scale_or_refused() -> None:
    assert parse_temperature("212 °F").celsius == 100
    for bad in ("250", "250 K", "-300 degC", "hot"):
        found = reading(text(PICK, "none", gear("web sling"), group=f"temperature: '{bad}'"))
        assert any(("temperature" in str(finding) and "degC" in str(finding)) or "colder" in str(finding)
                   for finding in found.findings)  # fmt: skip
