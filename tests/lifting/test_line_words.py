from __future__ import annotations

from dataclasses import replace

from handling_db.lifting.figures import RatingFigure
from handling_db.lifting.line.table import grouped
from handling_db.lifting.line.words import caution_lines, line_lines, row_words
from handling_db.quantities.amount import Amount
from handling_db.quantities.notice import Notice

RING = RatingFigure(
    "ring at a",
    130.0,
    1120.0,
    Notice("tag"),
    own=Amount(0.8, 0.8, 0.8),
    over=False,
    at_kg=3000.0,
    sees="its part of the piece",
    points=("a",),
    what="ring",
    cautions=(Notice("caution as published", {"told": "free to turn"}),),
    depth=1,
)
OTHER = RatingFigure(
    "ring at b",
    150.4,
    1120.0,
    Notice("tag"),
    own=Amount(0.8, 0.8, 0.8),
    over=False,
    at_kg=2800.0,
    sees="its part of the piece",
    points=("b",),
    what="ring",
    cautions=(Notice("caution as published", {"told": "free to turn"}),),
    depth=1,
)
OVER = RatingFigure("ring at c", 1200.0, 1120.0, Notice("tag"), over=True, points=("c",), what="ring")


def test_rows_alike_are_one_with_the_hardest_figure_and_none_beyond_its_rating_among_them() -> None:
    together, over = grouped([RING, OTHER, OVER])

    assert together.name == "2 x ring"
    assert together.demand_kg == 150.4
    assert together.at_kg == 2800.0
    assert together.own == Amount(1.6, 1.6, 1.6)
    assert over is OVER


def test_a_row_says_what_it_weighs_is_asked_and_may_carry() -> None:
    assert row_words(RING) == (
        "ring at a: weighs 0.800 kg (1.764 lb); asked 130 kg (287 lb), its part of the piece; "
        "rated 1120 kg (2469 lb) (tag); reached at a reading of 3000 kg (6613 lb)"
    )
    assert "BEYOND ITS RATING" in row_words(OVER)
    assert "ring: free to turn" in caution_lines([RING, OTHER])
    assert any("holds: free to turn" in line for line in line_lines([RING]))


def test_what_was_taken_for_a_rating_is_said_below_its_row() -> None:
    strict = Notice("strictest family", {"name": "ring at a", "families": ("one", "other")})

    lines = line_lines([replace(RING, says=(strict,))])

    assert (
        lines[1].strip() == "ring at a: its family is not recorded, so the strictest is taken of: one, other."
    )


def test_what_is_not_compared_says_why_and_at_least_is_rounded_down() -> None:
    row = RatingFigure(
        "beam",
        800.7,
        2000.0,
        Notice("tag"),
        at_least=True,
        not_compared=Notice("asked at least"),
    )

    words = row_words(row)

    assert "asked at least 800 kg (1765 lb)" in words
    assert "not compared: only 'at least' is known" in words
    bare = row_words(
        RatingFigure("bow", 10.0, None, Notice("tag nobody looked"), not_compared=Notice("tag nobody looked"))
    )
    assert "no rating to compare with: tag: nobody looked" in bare


def test_gear_that_nobody_weighed_and_gear_past_its_inspection() -> None:
    row = RatingFigure(
        "bow",
        10.0,
        500.0,
        Notice("tag"),
        struck=Notice("inspection past", {"due": "2026-11-24"}),
        weighed=False,
        above_cell=True,
    )

    assert "own mass: nobody weighed it" in row_words(row)
    assert "NOT USED: inspection was due" in row_words(row)
