"""Cards for print: the move card (A5) and the crate tag (A6), black only, each with the stamp of the data."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from handling_db.lookup.listings import Stamp
from handling_db.moving import words as move_wording
from handling_db.moving.figures import MoveAnswer, TruckFigure
from handling_db.web.drawings.plan_view import plan_view
from handling_db.web.drawings.qr import qr_code
from handling_db.web.site import environment

MOST = 6  # lines of what is not known on a card; the rest is counted and stands on the page


@dataclass(frozen=True, slots=True)
class Printed:
    """What a print says about itself.

    Parameters
    ----------
    stamp : Stamp
        Of the data.
    on : str
        Day of printing.
    page : str
        Absolute address of the page that shows the newest figures; empty where only this machine knows one.
    for_all : bool
        Whether that address was told to the view as the one that others use.
    stylesheet : str
        Path of cards.css.
    came : tuple of str
        What came from other shops and nobody has reviewed, as far as the card rests on it.
    ways : tuple of (name, address)
        The bar under the thumb, on the screen only.
    """

    stamp: Stamp
    on: str
    page: str
    stylesheet: str
    for_all: bool = False
    came: tuple[str, ...] = ()
    ways: tuple[tuple[str, str], ...] = ()


def move_card(answer: MoveAnswer, printed: Printed, *, first: str = "kg") -> str:
    """The move card as a page that prints on one sheet of A5."""
    return _render("move-card.html", answer, printed, first, {"drawing": plan_view(answer)})


def crate_tag(answer: MoveAnswer, printed: Printed, *, first: str = "kg") -> str:
    """The crate tag (prints on one sheet of A6), with a code to its move page if others can open that."""
    code = qr_code(printed.page, f"Code to the move page of {answer.name}") if printed.page else None
    return _render("crate-tag.html", answer, printed, first, {"code": code})


def _render(template: str, answer: MoveAnswer, printed: Printed, first: str, more: Mapping[str, Any]) -> str:
    most = MOST - len(answer.jobs)  # a line for each unit in hand with temporary ties in
    return (
        environment()
        .get_template(template)
        .render(
            {
                "a": answer,
                "p": printed,
                "first": first,
                "moves": move_wording,
                "gaps": move_wording.told(answer.not_known[:most], first),
                "more_gaps": max(0, len(answer.not_known) - most),
                "trucks": one_side_each(answer),
                "not_past": first_inspection(answer),
                **more,
            }
        )
    )


def one_side_each(answer: MoveAnswer) -> tuple[TruckFigure, ...]:
    """Every truck and attachment once: from the side with the shortest load centre."""
    found: dict[tuple[str, str], TruckFigure] = {}
    for truck in answer.trucks:
        found.setdefault((truck.id, truck.attachment), truck)
    return tuple(found.values())


def first_inspection(answer: MoveAnswer) -> str:
    """The first day on which an inspection of a truck is due; empty where none is recorded."""
    return min((truck.inspection for truck in answer.trucks if truck.inspection), default="")
