"""What several published checks share."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

from handling_db.rigging.factors import Factors
from handling_db.rigging.factors_read import factors_from

RATING_FACTORS = Path(__file__).parents[2] / "data" / "reference" / "rating-factors.yml"


@pytest.fixture(scope="session")
def factors() -> Factors:
    """The rating factors of the reference data."""
    return factors_from(yaml.safe_load(RATING_FACTORS.read_text(encoding="utf-8")))
