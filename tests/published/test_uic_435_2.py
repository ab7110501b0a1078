"""UIC 435-2 exchange pallet (product page and load rule), ISO 6780 footprints.

Marks: 1 500 kg, size and mass [verified: product page]; the rule by distribution [verified: secondary,
two]; footprints [verified: secondary]; the worked pallet check is our own arithmetic [computed here]. ISO
8611 working loads come from tests: no number of it was read, so nothing is checked against it.
"""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

from handling_db.carrying.demand import Demand
from handling_db.carrying.floor import area_load
from handling_db.carrying.pallets import NOTHING, gross, rated_for

DATA = yaml.safe_load((Path(__file__).parents[2] / "data" / "reference" / "pallets.yml").read_text())
RATINGS = DATA["exchange pallet"]["ratings kg"]


def test_data_as_read():
    """Size, mass and make of the pallet. [verified: product page]"""
    pallet = DATA["exchange pallet"]

    assert tuple(pallet[k] for k in ("length mm", "width mm", "height mm", "mass kg")) == (1200, 800, 144, 25)
    assert tuple(pallet[k] for k in ("boards", "blocks", "nails", "stacked on it kg")) == (11, 9, 78, 4000)
    assert RATINGS == {"any": 1000, "even": 1500, "full surface": 2000}


def test_footprints_as_read():
    """ISO 6780 (2003). [verified: secondary]"""
    assert DATA["footprints"]["rows"] == [
        [1200, 800],
        [1200, 1000],
        [1219, 1016],
        [1140, 1140],
        [1100, 1100],
        [1067, 1067],
    ]


@pytest.mark.parametrize(("kind", "rating", "word"), [("any", 1000, "above"), ("even", 1500, "below")])
def test_worked_pallet_check(kind, rating, word):
    """1 250 kg on the boards: above the rule for any distribution, below the one for even. [computed here]"""
    load = Demand(name="unit", low_kg=1250, high_kg=1250)

    answer = rated_for(load, RATINGS, kind)

    assert (rating, word) == (answer.beside.rating_kg, answer.beside.word)


def test_worked_gross_and_floor():
    """1 250 + 25 = 1 275 kg on the forks; over 0.96 m2: 1 328 kg/m2, 13.0 kN/m2. [computed here]"""
    pallet = DATA["exchange pallet"]
    total = gross(
        piece=(1250, 1250, 1250), oil=NOTHING, packing=NOTHING, pallet=(pallet["mass kg"],) * 3
    ).with_pallet
    area = pallet["length mm"] * pallet["width mm"] / 1e6

    floor = area_load(total, area=area, limit=None, limit_unit=None)

    assert total.high_kg == 1275
    assert round(floor.kg_per_m2) == 1328
    assert round(floor.kn_per_m2, 1) == 13.0
