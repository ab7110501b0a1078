"""A bar of a round length, so that a drawing can be measured."""

from __future__ import annotations

import math

from handling_db.quantities.display import figure


def scale_bar(scale: float, left: float, foot: float, longest: float, also: str = "") -> str:
    """The bar with its length beside it.

    Parameters
    ----------
    scale : float
        Drawing units a metre.
    left, foot : float
        Where it begins and stands. [drawing units]
    longest : float
        What it may take of the width. [drawing units]
    also : str
        Further words behind the length.
    """
    room = longest / scale
    length = 10.0 ** math.floor(math.log10(room))
    length *= max(step for step in (1, 2, 5) if step * length <= room)
    pixels = length * scale
    words = f"{figure(length * 1000, 0 if length >= 0.001 else 2)} mm{also}"
    return (
        f'<path class="axis" d="M{left:.1f} {foot - 6:.1f}v6h{pixels:.1f}v-6"/>'
        f'<text class="plain" x="{left + pixels + 8:.1f}" y="{foot:.1f}">{words}</text>'
    )
