"""The published rating factors that come along, read once."""

from __future__ import annotations

import functools

from handling_db.files.folders import reference_values
from handling_db.rigging.factors import Factors
from handling_db.rigging.factors_read import factors_from


@functools.lru_cache(maxsize=1)
def rating_factors() -> Factors:
    """Leg rules, families of lifting points and the other published factors.

    Raises
    ------
    HandlingError
        The file cannot be read.
    """
    return factors_from(reference_values("rating-factors.yml"))
