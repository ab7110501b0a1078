"""Which pieces a centre takes at their datum, since nobody recorded where their own centre is."""

from __future__ import annotations

from handling_db.lookup.as_json import STATE
from handling_db.lookup.weight import answer
from handling_db.lookup.weight_text import weight_text
from tests.from_text import SCALE, collection


def unit(many: int) -> str:
    parts = "".join(
        f"    - {{component: p{i}, quantity: 1, at: [{i} mm, 0 mm, 0 mm]}}\n" for i in range(many)
    )
    pieces = "".join(
        f"- {{component: p{i}, name: Piece {i}, kind: part, masses: [{{printed: 10.0 kg, source: scale}}]}}\n"
        for i in range(many)
    )
    known = "- {component: known, name: Known, kind: part, centre: [5 mm, 0 mm, 0 mm], "
    known += "masses: [{printed: 10.0 kg, source: scale}]}\n"
    return (
        f"{SCALE}- component: unit\n  name: Unit\n  kind: assembly\n  parts listed: all\n  parts:\n{parts}"
        f"    - {{component: known, quantity: 1, at: [0 mm, 0 mm, 0 mm]}}\n{pieces}{known}"
    )


def test_pieces_without_a_centre_are_named_and_one_with_a_centre_is_not():
    told = answer(collection(unit(2)), "unit")
    assert [one.id for one in told.headline.at_datum] == ["p0", "p1"]
    assert "centre of 2 pieces taken at their datum, nobody recorded it: Piece 0, Piece 1" in weight_text(
        told
    )
    found = STATE.write(told.headline)
    assert found["taken_at_datum"] == ["p0", "p1"]
    assert found["more_taken_at_datum"] is False


def test_more_than_twenty_are_said_to_be_more():
    told = answer(collection(unit(25)), "unit")
    text = weight_text(told)
    assert "centre of more than 20 pieces taken at their datum" in text
    assert "Piece 4 and others" in text
    found = STATE.write(told.headline)
    assert len(found["taken_at_datum"]) == 20
    assert found["more_taken_at_datum"] is True


def test_a_piece_alone_says_it_of_itself():
    told = answer(collection(unit(1)), "p0")
    assert "centre of 1 piece taken at its datum, nobody recorded it: Piece 0" in weight_text(told)
