from __future__ import annotations

from pathlib import Path

import pytest
import yaml

from handling_db.quantities.amount import StaticsError
from handling_db.rigging.factors import FactorDataError
from handling_db.rigging.factors_read import factors_from

DATA = Path(__file__).parents[2] / "data" / "reference" / "rating-factors.yml"


@pytest.fixture
def data():
    return yaml.safe_load(DATA.read_text(encoding="utf-8"))


def test_numbers_may_be_text(data):
    class AsText(yaml.SafeLoader):
        """Keeps every plain value as the text that stands there."""

    AsText.yaml_implicit_resolvers = {}
    textual = yaml.load(DATA.read_text(encoding="utf-8"), Loader=AsText)

    assert factors_from(textual) == factors_from(data)


def test_every_entry_names_source_edition_and_verification(data):
    for kind in ("leg rules", "families", "dynamic allowances", "heat rules", "hitches", "ratings by size"):
        assert data[kind]
        for entry in data[kind]:
            assert entry["source"]
            assert entry["edition"]
            assert entry["verified"]


def test_ids_are_used_once_per_kind(data):
    for kind, entries in data.items():
        ids = [entry["id"] for entry in entries]
        assert len(ids) == len(set(ids)), kind


def test_all_faults_are_said_at_once(data):
    del data["leg rules"][0]["verified"]
    data["families"][0]["steps"][0]["factor"] = "much"
    data["dynamic allowances"][0]["row end"] = "about"

    with pytest.raises(FactorDataError) as caught:
        factors_from(data)

    message = str(caught.value)
    assert "rigid-load-two-carry: verified is missing; every figure needs it." in message
    assert "lifting-eye-din-580: factor must be a number, not 'much'." in message
    assert "air-onshore-2016: row end must be 'below' or 'with', not 'about'." in message


def test_steps_must_rise(data):
    data["families"][0]["steps"].reverse()

    with pytest.raises(FactorDataError, match="lifting-eye-din-580: steps must be given, smallest first"):
        factors_from(data)


def test_an_unknown_id_lists_those_there_are(data):
    with pytest.raises(FactorDataError, match="no hitch 'basket' in the reference data; there are: choker"):
        factors_from(data).hitch("basket")


def test_an_allowance_outside_its_table_is_refused(data):
    rule = factors_from(data).allowance("air-offshore-rev-5")

    with pytest.raises(StaticsError, match="does not cover gross load t of 1200"):
        rule.factor(1200)
    with pytest.raises(StaticsError, match="must be 0 or more"):
        rule.factor(-1)
