"""What every page of the view is held to, whatever it shows."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any
from urllib.parse import parse_qsl, urlsplit


def plain(page: str) -> str:
    """The words of a page without its marks."""
    return " ".join(re.sub(r"<[^>]+>", " ", page).split())


async def page_of(served: Any, path: str) -> str:
    """A page that answers with cautions and stamp, without script or styles of its own."""
    page = await served.client.get(path)
    assert page.status_code == 200, page.text[:500]
    assert "Figures, not permission" in page.text
    assert re.search(r"stamp [0-9a-f]{8}", page.text)
    assert 'style="' not in page.text
    assert "<script" not in page.text
    return str(page.text)


def of_each_question(links: Iterable[str]) -> list[str]:
    """Of links that ask the same of a page but for the figures, one each; without the places within a page."""
    found: dict[tuple[str, ...], str] = {}
    for link in sorted(set(links)):
        path = link.replace("&amp;", "&").split("#")[0]
        parts = urlsplit(path)
        asked = (f"{name}={value.partition('=')[0]}" for name, value in parse_qsl(parts.query))
        found[parts.path, *asked] = path
    return list(found.values())


async def json_beside(served: Any, page: str) -> Any:
    """What stands at the address of JSON that a page names."""
    link = re.search(r'rel="alternate" type="application/json" href="([^"]+)"', page)
    assert link
    answer = await served.client.get(link[1].replace("&amp;", "&"))
    assert answer.status_code == 200
    return answer.json()
