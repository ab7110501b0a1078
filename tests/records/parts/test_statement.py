"""Mass statements: one figure, one doubt, a boundary that is said or not."""

from __future__ import annotations

import pytest

from handling_db.records.parts.statement import Boundary, MassStatement, only_one_given

BOOK = {"printed": "920 lb", "source": "book"}
ONE_FIGURE = "write exactly one of: printed, formula, shape"
ZERO = (
    "a mass of 0 would count as weighed; leave the statement out where nobody weighed it, "
    "or give the step or the doubt of the figure"
)


@pytest.mark.parametrize(
    ("fields", "message"),
    [
        ({}, None),
        ({"step": "10 lb"}, None),
        ({"plus or minus": "5 lb"}, None),
        ({"plus or minus": "2 %"}, None),
        ({"u": "1 kg"}, None),
        ({"also printed": {"printed": "415 kg", "step": "5 kg"}}, None),
        (
            {"plus or minus": "5 lb", "u": "2 lb"},
            "give 'plus or minus' or 'u', not both; 'plus or minus' is the worst case",
        ),
        ({"step": "0 lb"}, "'step' of 0 says there is no doubt; leave it out"),
        ({"plus or minus": "0 lb"}, "'plus or minus' of 0 says there is no doubt; leave it out"),
        ({"u": "0 lb"}, "'u' of 0 says there is no doubt; leave it out"),
        ({"printed": "0 kg"}, ZERO),
        ({"printed": "0.0 kg"}, ZERO),
        ({"printed": "0.0 kg", "step": "0.5 kg"}, None),
        ({"formula": "5*kg*discs"}, ONE_FIGURE),
        ({"without": "none", "checked by": "foreman"}, None),
        (
            {"without": "none"},
            "'without: none' needs 'checked by': write whose role looked, or leave 'without' out",
        ),
        ({"made": "casting"}, "'made' goes with 'shape'; it says which doubt a shape has"),
    ],
)
def test_what_a_statement_says(fields, message, refusal):
    assert refusal(MassStatement, {**BOOK, **fields}) == ([] if message is None else [("", message)])


def test_a_figure_that_is_worked_out_speaks_of_every_build(refusal):
    formula = {"formula": "5*kg*discs", "source": "book", "plus or minus": "1 kg"}

    assert refusal(MassStatement, formula) == []
    assert MassStatement.model_validate(formula).worked_out
    assert not MassStatement.model_validate(BOOK).worked_out
    assert refusal(MassStatement, {**formula, "build": {"discs": "8"}}) == [
        ("", "'build' goes with 'printed'; a formula or a shape is worked out in every build")
    ]
    assert refusal(MassStatement, {"source": "book"}) == [("", ONE_FIGURE)]


def test_a_statement_has_a_source(refusal):
    assert refusal(MassStatement, {"printed": "920 lb"}) == [("source", "Field required")]


@pytest.mark.parametrize(
    ("fields", "known"),
    [
        ({}, False),
        ({"counts": "as listed"}, False),
        ({"counts": "nobody looked", "without": ["brake"]}, False),
        ({"counts": "as listed", "without": "nobody looked"}, False),
        ({"counts": "as listed", "without": ["brake"]}, True),
        ({"counts": ["gear"], "without": "none", "checked by": "foreman"}, True),
    ],
)
def test_a_boundary_is_known_only_when_both_halves_are_said(fields, known):
    assert Boundary.model_validate(fields).boundary_known is known


def test_the_id_of_a_statement_is_its_own_or_made_of_its_text():
    plain = MassStatement.model_validate(BOOK)

    assert MassStatement.model_validate({**BOOK, "id": "plate"}).key("unit") == "plate"
    assert plain.key("unit") == MassStatement.model_validate(dict(reversed(BOOK.items()))).key("unit")
    assert plain.key("unit") == MassStatement.model_validate({**BOOK, "counts": "nobody looked"}).key("unit")
    assert plain.key("unit") != plain.key("other")
    assert plain.key("unit") != MassStatement.model_validate({**BOOK, "printed": "920.0 lb"}).key("unit")


def test_only_one_of_several():
    assert only_one_given({"a": None, "b": 1}, "x") == "b"
    for values in ({"a": None}, {"a": 1, "b": 2}):
        with pytest.raises(ValueError, match="write one"):
            only_one_given(values, "write one")
