"""The table of densities as materials: every row, with where it comes from; a shop's own goes before it."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
import yaml

from handling_db.errors import HandlingError
from handling_db.files.folders import read_collection, read_densities, reference_folder

TABLE = reference_folder() / "densities.yml"


def test_every_row_is_a_material_with_its_source():
    rows = yaml.safe_load(TABLE.read_text(encoding="utf-8"))["densities"]
    materials = {m.id: m for m in read_densities(TABLE)}

    assert list(materials) == [row["id"] for row in rows]
    for row in rows:
        figures = row["kg per m3"]
        low, best, high = materials[row["id"]].limits
        assert low == Fraction(str(figures.get("low", figures.get("best")))) / 1000
        assert high == Fraction(str(figures.get("high", figures.get("best")))) / 1000
        assert low <= best <= high
    assert materials["steel"].basis.startswith("J. M. Gere")
    assert materials["spheroidal-iron"].verified == "from memory; not checked against any source"


def test_they_come_with_a_collection_and_a_shop_may_have_its_own(tmp_path: Path):
    (tmp_path / "own.yml").write_text(
        "{material: steel, name: our steel, density: 7.8 kg/L, basis: weighed}\n"
    )
    reading = read_collection([tmp_path])

    assert reading.findings == ()
    assert reading.collection.materials["steel"].name == "our steel"
    assert reading.collection.materials["brass"].name == "brass"
    assert read_collection([tmp_path], reference=False).collection.materials.keys() == {"steel"}


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("sources: []\ndensities: [{id: x, name: x, kg per m3: {best: 1}, source: y}]\n", "'y'"),
        ("sources: []\n", "'densities'"),
        ("a: [\n", "not YAML"),
    ],
)
def test_a_table_that_cannot_be_read(text: str, words: str, tmp_path: Path):
    file = tmp_path / "densities.yml"
    file.write_text(text)
    with pytest.raises(HandlingError) as caught:
        read_densities(file)

    assert words in str(caught.value)
    assert str(file) in str(caught.value)
