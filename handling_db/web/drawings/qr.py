"""A QR code as inline SVG: black squares on white, no style attributes."""

from __future__ import annotations

from markupsafe import Markup


def qr_code(address: str, title: str) -> Markup:
    """The code that leads to an address.

    Parameters
    ----------
    address : str
        Absolute, so that a phone can follow it.
    title : str
        For people who do not see the code.

    Returns
    -------
    Markup
        An ``svg`` element of the class ``qr``, with the quiet zone of four modules that the code needs.
    """
    import segno

    code = segno.make_qr(address, error="m")
    return Markup(
        code.svg_inline(
            border=4,
            svgclass="qr",
            lineclass=None,
            omitsize=True,
            title=title,
            desc=None,
            light="#fff",
        )
    )
