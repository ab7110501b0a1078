"""The published rating factors that come along, read once."""

from __future__ import annotations

import functools

from handling_db.errors import HandlingError
from handling_db.files.folders import reference_folder
from handling_db.files.yaml_text import load_text
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
    file = reference_folder() / "rating-factors.yml"
    loaded = load_text(file.read_text("utf-8"), str(file))
    if loaded.findings or not isinstance(loaded.value, dict):
        raise HandlingError("; ".join(str(finding) for finding in loaded.findings) or f"{file} is empty")
    return factors_from(loaded.value)
