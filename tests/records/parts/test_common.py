"""Pieces that several kinds of record share: serial ranges, frames, what a note is about."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from handling_db.records.parts.common import About, Datum, Serials

DIRECTIONS = {
    "forward": (1, 0, 0),
    "rearward": (-1, 0, 0),
    "left": (0, 1, 0),
    "right": (0, -1, 0),
    "up": (0, 0, 1),
    "down": (0, 0, -1),
}


def determinant(x, y, z):
    """Plus one for a right-handed set of axes, minus one for a left-handed one, 0 for none."""
    return (
        x[0] * (y[1] * z[2] - y[2] * z[1])
        - x[1] * (y[0] * z[2] - y[2] * z[0])
        + x[2] * (y[0] * z[1] - y[1] * z[0])
    )


@pytest.mark.parametrize("words", [*itertools.permutations(DIRECTIONS, 3)])
def test_a_frame_is_right_handed(words, refusal):
    datum = {"at": "flange", **dict(zip("xyz", words, strict=True))}
    told = "x {}, y {}, z {}".format(*words)

    found = refusal(Datum, datum)

    hand = determinant(*(DIRECTIONS[word] for word in words))
    expected = {
        1: [],
        -1: [("", f"{told} is left-handed; turn one direction round")],
        0: [("", f"{told} has two directions on one line; write three across")],
    }
    assert found == expected[hand]


def test_there_are_as_many_right_handed_frames_as_left_handed_ones():
    hands = [determinant(*(DIRECTIONS[w] for w in words)) for words in itertools.permutations(DIRECTIONS, 3)]

    assert hands.count(1) == hands.count(-1) == 24


def test_directions_in_other_words_are_left_to_the_reader(refusal):
    assert refusal(Datum, {"at": "flange", "x": "along the shaft", "y": "Right", "z": "UP"}) == []
    assert refusal(Datum, {"at": "flange", "x": "Forward", "y": "Right", "z": "UP"})


ENDS = st.none() | st.integers(0, 30)


@st.composite
def ranges(draw):
    low, high = draw(ENDS), draw(ENDS)
    assume(low is not None or high is not None)
    assume(low is None or high is None or low <= high)
    return Serials.model_validate(written(low, high))


def written(low, high):
    return {name: str(end) for name, end in (("from", low), ("to", high)) if end is not None}


def members(serials):
    return {n for n in range(41) if serials.covers(n)}


@given(ranges(), ranges())
def test_ranges_overlap_and_enclose_as_sets_do(one, other):
    assert one.overlaps(other) == bool(members(one) & members(other))
    assert one.overlaps(other) == other.overlaps(one)
    if one.within(other):
        assert members(one) <= members(other)
    if one.from_ is not None and one.to is not None:
        assert one.within(other) == (members(one) <= members(other))


@pytest.mark.parametrize(
    ("given_ends", "words", "inside", "outside"),
    [
        ({"from": "1001", "to": "1999"}, "1001 to 1999", [1001, 1999], [1000, 2000]),
        ({"from": "1001"}, "from 1001", [1001, 10**9], [1000]),
        ({"to": "1999"}, "up to 1999", [0, 1999], [2000]),
        ({"from": "7", "to": "7"}, "7", [7], [6, 8]),
    ],
)
def test_both_ends_are_included(given_ends, words, inside, outside):
    serials = Serials.model_validate(given_ends)

    assert serials.in_words() == words
    assert all(serials.covers(n) for n in inside)
    assert not any(serials.covers(n) for n in outside)
    assert serials.as_written() == given_ends


def test_ranges_that_make_no_sense(refusal):
    assert refusal(Serials, {}) == [("", "write from, to, or both")]
    assert refusal(Serials, {"from": "1999", "to": "1001"}) == [
        ("", "runs backwards, from 1999 to 1001; swap the two")
    ]


KINDS = "component, joint, tie, lift group, pick point, fixture"


def test_a_note_is_about_exactly_one_thing(refusal):
    told = [("", f"a note is about exactly one thing; write one of: {KINDS}")]

    assert refusal(About, {}) == told
    assert refusal(About, {"component": "a", "fixture": "b"}) == told
    for kind in KINDS.split(", "):
        about = About.model_validate({kind: "x"})
        assert (about.kind, about.id) == (kind, "x")
