"""How the tests of records ask a model for what it says."""

from __future__ import annotations

import pytest
from pydantic import ValidationError


def _refusal(model, value):
    """Field and message of everything a model refuses about a value; empty if it takes it."""
    try:
        model.model_validate(value)
    except ValidationError as error:
        return [
            (".".join(str(step) for step in item["loc"]), item["msg"].removeprefix("Value error, "))
            for item in error.errors()
        ]
    return []


@pytest.fixture(scope="session")
def refusal():
    return _refusal
