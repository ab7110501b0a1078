"""What it is worth that parts and whole agree: how large an error may hide, and what both rest on."""

from __future__ import annotations

from collections.abc import Sequence

from handling_db.quantities.display import ROUND_CEILING, Number, pair
from handling_db.weights.verdict import Shared

_ERROR_OF = {"scale": "that scale", "document": "that source", "density": "that density"}


def up_to_words(hides: Number, *, first: str = "kg") -> str:
    """``an error of up to 11 kg (24 lb)``, rounded up. [kg]"""
    return f"an error of up to {pair(hides, hides, first=first, rounding=ROUND_CEILING)}"


def hides_words(hides: Number, *, first: str = "kg") -> str:
    """``an error of up to 11 kg (24 lb) in one figure may hide in it``, rounded up. [kg]"""
    return f"{up_to_words(hides, first=first)} in one figure may hide in it"


def shared_words(shared: Sequence[Shared]) -> str:
    """What both sides rest on, so that no error of it shows; empty where nothing recorded is shared."""
    told = [f"{one.name} ({'density' if one.what == 'density' else f'one {one.what}'})" for one in shared]
    if not told:
        return ""
    names = told[0] if len(told) == 1 else f"{', '.join(told[:-1])} and {told[-1]}"
    of_what = _ERROR_OF[shared[0].what] if len(shared) == 1 else "any of them"
    return f"both sides rest on {names}: an error of {of_what} may hide at any size"


def worth_words(hides: Number, shared: Sequence[Shared], *, first: str = "kg") -> str:
    """The two together."""
    return "; ".join(told for told in (hides_words(hides, first=first), shared_words(shared)) if told)
