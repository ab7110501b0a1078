from __future__ import annotations

import math
from dataclasses import replace

import pytest

from handling_db.quantities.amount import StaticsError
from handling_db.rigging.factors import Family, Step
from handling_db.rigging.links import Link, link_rating
from tests.telling import words


def family(identity: str, kind: str, steps: tuple[tuple[float, float], ...], **more) -> Family:
    given = {
        "name": identity.upper(),
        "source": "a book",
        "verified": "made up",
        "shouldered": None,
        "in_plane_only": False,
        "sizes": {},
        "caution": "",
    }
    return Family(id=identity, kind=kind, steps=tuple(Step(*step) for step in steps), **{**given, **more})


FAMILIES = (
    family("mild", "eye bolt", ((5, 1.0), (45, 0.7)), shouldered=True),
    family("strict", "eye bolt", ((5, 1.0), (45, 0.25)), shouldered=True, in_plane_only=True),
    family("bow", "shackle", ((5, 1.0), (90, 0.5))),
)
BOLT = Link(
    name="ear bolt",
    kind="eye bolt",
    family="mild",
    shouldered=True,
    size=None,
    straight_kg=700.0,
    angled_kg=(),
    rating_source="tag 12",
)
THIRTY = math.radians(30)


def test_demand_beside_the_angled_rating():
    figure = link_rating(BOLT, THIRTY, FAMILIES)

    assert figure.rating_kg == pytest.approx(490)
    assert words([figure.basis])[0] == "70% of the straight rating (tag 12) by MILD, a book [made up]"


def test_a_rating_on_the_tag_for_that_angle_goes_before_any_factor():
    tagged = replace(BOLT, angled_kg=((45.0, 300.0), (90.0, 100.0)))

    assert link_rating(tagged, THIRTY, FAMILIES).rating_kg == 300.0
    assert link_rating(tagged, math.radians(46), FAMILIES).rating_kg == 100.0
    assert link_rating(tagged, 0.0, FAMILIES).rating_kg == 700.0


def test_no_rating_is_no_comparison():
    figure = link_rating(replace(BOLT, straight_kg=None), 0.0, FAMILIES)

    assert figure.rating_kg is None
    assert "published tables are no substitute for the tag" in words(figure.says)[0]


def test_the_strictest_family_counts_when_it_is_not_recorded():
    figure = link_rating(replace(BOLT, family=None), THIRTY, FAMILIES, sideways=False)

    assert figure.rating_kg == pytest.approx(175)
    assert "the strictest is taken of: MILD, STRICT" in words(figure.says)[0]


@pytest.mark.parametrize("family", [None, "mild", "strict"])
def test_an_eye_pulled_across_its_plane_has_no_rating_whatever_its_family(family):
    figure = link_rating(replace(BOLT, family=family), THIRTY, FAMILIES, sideways=True)

    assert figure.rating_kg is None
    assert words([figure.basis])[0] == "not rated across the plane of the eye"
    # Nor by the angled line of a tag that does not say that it holds across.
    tagged = replace(BOLT, family=family, angled_kg=((45.0, 300.0),))
    assert link_rating(tagged, THIRTY, FAMILIES, sideways=True).rating_kg is None
    assert link_rating(tagged, 0.0, FAMILIES, sideways=True).rating_kg == 700.0


def test_nobody_looked_at_the_plane_of_the_eye():
    figure = link_rating(replace(BOLT, family="strict"), THIRTY, FAMILIES)

    assert figure.rating_kg == pytest.approx(175)
    assert any("nobody looked whether the pull stays in it" in caution for caution in words(figure.cautions))


def test_only_an_angled_rating_on_the_tag_says_nothing_beyond_it():
    figure = link_rating(replace(BOLT, straight_kg=None, angled_kg=((30.0, 200.0),)), 1.0, FAMILIES)

    assert figure.rating_kg is None
    assert words(figure.says) == ["ear bolt: the record has no rating for 57°."]


def test_a_rating_without_a_source_is_said():
    figure = link_rating(replace(BOLT, rating_source=None), 0.0, FAMILIES)

    assert words(figure.says) == ["ear bolt: where the rating comes from is not stated."]


def test_a_kind_without_factors_has_no_angled_rating():
    ring = replace(BOLT, kind="hoist ring", family=None)

    figure = link_rating(ring, THIRTY, FAMILIES)

    assert figure.rating_kg is None
    assert "no published factors for this hoist ring" in words(figure.says)[0]


@pytest.mark.parametrize(
    ("changed", "angle", "says"),
    [
        ({"kind": "clamp"}, 0.0, "'clamp' is not one of eye bolt, shackle, hoist ring"),
        ({"family": "bow"}, 0.0, "factors of one family are never used for another"),
        ({"family": "odd"}, 0.0, "no family 'odd' in the reference data; for eye bolt: mild, strict"),
        ({"straight_kg": 0.0}, 0.0, "a rating must be more than 0 kg"),
        ({}, 4.0, "an angle between pull and axis is 0° to 180°"),
    ],
)
def test_input_that_cannot_be(changed, angle, says):
    with pytest.raises(StaticsError, match=says):
        link_rating(replace(BOLT, **changed), angle, FAMILIES)
