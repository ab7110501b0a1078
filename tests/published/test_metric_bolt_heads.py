"""ISO 4014 and ISO 4017, hexagon head bolts: nominal widths across flats and head heights.

Verified: secondary (two tables read for M6 to M24, one for M30); not the standards themselves.
"""

from pathlib import Path

import pytest
import yaml

from handling_db.families.shape_specs import shape_from

FOLDER = Path(__file__).parents[2] / "data" / "reference"
HEADS = yaml.safe_load((FOLDER / "metric-bolt-heads.yml").read_text(encoding="utf-8"))["heads"]

# Thread, across flats, head height as printed in the tables read. [mm]
PRINTED = [
    ("M6", 10.0, 4.0),
    ("M8", 13.0, 5.3),
    ("M10", 16.0, 6.4),
    ("M12", 18.0, 7.5),
    ("M16", 24.0, 10.0),
    ("M20", 30.0, 12.5),
    ("M24", 36.0, 15.0),
    ("M30", 46.0, 18.7),
]


def test_data_file_is_the_printed_table():
    assert [(h["thread"], h["across flats mm"], h["head height mm"]) for h in HEADS] == PRINTED


@pytest.mark.parametrize("head", HEADS, ids=[head["thread"] for head in HEADS])
def test_default_head_is_within_the_doubt_of_a_bolt(head):
    """A bolt four threads long with the default head against one with the nominal head of the standard."""
    size = float(head["thread"][1:]) / 1000
    plain = {"thread": head["thread"], "length": 4 * size}
    exact = {
        **plain,
        "across flats": head["across flats mm"] / 1000,
        "head height": head["head height mm"] / 1000,
    }

    by_default = shape_from({"bolt": plain})
    assert by_default.volume == pytest.approx(shape_from({"bolt": exact}).volume, rel=by_default.least_doubt)
