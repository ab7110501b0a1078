"""What every drawing on a page has around it: its size, and in words what it shows."""

from __future__ import annotations

from markupsafe import Markup, escape

WIDTH = 390.0  # of a phone; on anything wider it grows


def framed(says: str, height: float, *shapes: str, kind: str = "", wide: float = WIDTH) -> Markup:
    """A drawing of some shapes.

    Parameters
    ----------
    says : str
        What it shows, for whoever cannot see it.
    height : float
    *shapes : str
        As they are written in it.
    kind : str
        Its class besides ``drawing``.
    wide : float
    """
    words = escape(says)
    return Markup(
        f'<svg class="{f"drawing {kind}".rstrip()}" viewBox="0 0 {wide:.0f} {height:.0f}" role="img" '
        f'aria-label="{words}"><title>{words}</title>{"".join(shapes)}</svg>'
    )
