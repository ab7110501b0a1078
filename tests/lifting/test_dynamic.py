"""A published dynamic factor that somebody chooses is counted on the hoist, and nowhere else."""

from __future__ import annotations

import datetime

import pytest

import handling_db as hd
from handling_db.errors import HandlingError
from handling_db.files.rating_factors import rating_factors

TEXT = """
- {source: scale, name: scale, kind: weighed}
- {component: block, name: Block, kind: part, masses: [{printed: 400 kg, plus or minus: 4 kg, source: scale}]}
- {component: unit, name: Unit, kind: assembly, parts listed: all, parts: [{component: block, quantity: 1}]}
- {mover: hoist, name: Hoist, kind: hoist, rated: 420 kg, block mass: 0 kg, block included: no}
- {lift group: up, name: Up, root: unit, takes: [[unit]], trapped: none, packing: none, gear: none, mover: hoist, checked by: me}
"""


def asked(folder, **more):
    (folder / "records.yml").write_text(TEXT, encoding="utf-8")
    day = datetime.date(2026, 11, 30)
    return hd.lift(hd.read([folder]), "up", as_of=day, rules=rating_factors(), **more)


@pytest.mark.parametrize(
    ("dynamic", "factor", "heavy"),
    [  # by the printed rows: 0027/ND Table 5-1 onshore; Minnesota Rules 1305.1607 at 40 ft/min, 0.005 x 40
        ("air-onshore-2016", 1.10, "445 kg (980 lb)"),
        ("crane-impact-minnesota=40", 1.20, "485 kg (1069 lb)"),
    ],
)
def test_a_factor_is_counted_on_the_hoist(tmp_path, dynamic, factor, heavy):
    plain, counted = asked(tmp_path), asked(tmp_path, dynamic=dynamic)

    assert plain.figures.mover.part == pytest.approx(404 / 420)
    assert counted.figures.mover.part == pytest.approx(404 / 420 * factor)
    assert counted.figures.mover.gross == plain.figures.mover.gross
    assert counted.figures.reading == plain.figures.reading
    assert "More than Hoist is rated for, a dynamic factor counted." in counted.words()
    assert f"Everything on the hook times {factor:.3f}, {heavy}, is more than the rating" in counted.words()
    assert "dynamic" not in plain.words()


@pytest.mark.parametrize(
    ("dynamic", "words"),
    [
        ("nothing", "no dynamic allowance 'nothing' in the reference data; there are: air-onshore-2016"),
        ("crane-impact-minnesota", "goes by hoist speed ft/min: write it behind the id"),
        ("crane-impact-minnesota=fast", "write its id, or ID=NUMBER"),
        ("crane-impact-minnesota=nan", "write its id, or ID=NUMBER"),
    ],
)
def test_what_cannot_be_counted_is_said(tmp_path, dynamic, words):
    with pytest.raises(HandlingError, match=words):
        asked(tmp_path, dynamic=dynamic)
