"""The page that is left where nothing else can be made."""

from __future__ import annotations

from html import escape


def bare_page(heading: str, told: str) -> str:
    """A page that needs no database, no template and no style."""
    return (
        '<!doctype html><html lang="en"><meta charset="utf-8"><meta name="viewport" '
        f'content="width=device-width"><title>{escape(heading)}</title><body><h1>{escape(heading)}</h1>'
        f"<p>{escape(told)}</p></body></html>"
    )
