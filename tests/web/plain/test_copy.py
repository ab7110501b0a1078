"""The view as plain files: everything is in it, nothing leads nowhere, what is left out is named."""

from __future__ import annotations

import asyncio
import posixpath
import re
import sqlite3
from pathlib import Path
from urllib.parse import unquote, urlsplit

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handling_db.database.building import build_with_bar
from handling_db.errors import HandlingError
from handling_db.web.plain import copy as copying
from handling_db.web.plain.addresses import KINDS, Address, FileNames, relative
from handling_db.web.plain.asking import Sent
from handling_db.web.plain.copy import PlainCopy, plain_copy
from handling_db.web.serving import application
from tests.web.plain.conftest import MADE

pytestmark = pytest.mark.slow

LINK = re.compile(r'\b(?:href|src|action)="([^"]*)"')


def text_of(copied: PlainCopy, name: str) -> str:
    return copied.files[name].decode()


def pages_of(copied: PlainCopy) -> dict[str, str]:
    return {name: data.decode() for name, data in copied.files.items() if name.endswith(".html")}


def test_no_link_is_dead_and_all_are_relative(copied: PlainCopy) -> None:
    """Looked at in the files themselves, not in what the copy says of itself."""
    pages = pages_of(copied)
    led = 0
    for name, text in pages.items():
        for link in LINK.findall(text):
            parts = urlsplit(link.replace("&amp;", "&"))
            outward = parts.scheme or parts.netloc or parts.query or parts.path.startswith("/")
            assert not outward, (name, link)
            path = unquote(parts.path)
            file = posixpath.normpath(posixpath.join(posixpath.dirname(name), path)) if path else name
            assert file in copied.files, (name, link)
            if parts.fragment:
                assert f'id="{parts.fragment}"' in pages[file], (name, link)
            led += 1
    assert led > 1000
    assert copied.dead_links() == []


def test_everything_recorded_is_in_it(copied: PlainCopy, small_db: Path) -> None:
    connection = sqlite3.connect(small_db)
    for kind, table, folder in (("", "component", "component"), ("", "lift", "lift"), ("", "joint", "joint")):
        for (code,) in connection.execute(f"select code from {table}"):
            assert f"{folder}/{code}.html" in copied.files, kind
    for (code,) in connection.execute("select code from lift"):
        for name in (f"lift/{code}/sheet", f"move/{code}", f"move/{code}/card", f"move/{code}/tag"):
            assert f"{name}.html" in copied.files
    for (code,) in connection.execute("select code from job"):
        assert f"job/{code}.html" in copied.files
    notes = text_of(copied, "notes.html")
    index = text_of(copied, "a-z.html")
    for (code,) in connection.execute("select code from note"):
        assert f'id="note-{code}"' in notes
    for name, number in connection.execute("select name, part_number from component"):
        assert name in index
        assert not number or number in index
    for (name,) in connection.execute("select name from alias"):
        assert name in index
    connection.close()


def test_words_of_notes_lead_to_them(copied: PlainCopy, small_db: Path) -> None:
    connection = sqlite3.connect(small_db)
    code, told, kind = connection.execute("select code, text, kind from note").fetchone()
    connection.close()
    page = text_of(copied, "words.html")
    longest = max(re.findall(r"[a-z]+", told.lower()), key=len)
    block = page.partition(f"<strong>{longest}</strong>")[2].partition("</details>")[0]
    assert f'href="notes--kind-{kind}.html#note-{code}"' in block
    assert f'id="note-{code}"' in text_of(copied, f"notes--kind-{kind}.html")


def test_every_page_is_dated_and_stamped(copied: PlainCopy) -> None:
    for name, text in pages_of(copied).items():
        assert re.search(r"stamp [0-9a-f]{12}", text), name
        assert re.search(r"built \d{4}-\d\d-\d\d \d\d:\d\d", text), name
        assert text.count("Copy made on 2026-11-25 07:30") == 1, name
        assert "Figures, not permission" in text or name.endswith("card.html"), name


def test_figures_are_those_of_the_view(copied: PlainCopy, small_db: Path) -> None:
    served = application(small_db)
    for path in ("/component/rear-section", "/lift/rear-up", "/move/rear-up", "/joint/halves"):
        text = asyncio.run(served.client.get(path)).text
        bare = re.findall(r">([^<]*\d+ kg[^<]*)<", text)
        assert bare or path == "/joint/halves"
        assert bare == re.findall(r">([^<]*\d+ kg[^<]*)<", text_of(copied, f"{path[1:]}.html"))


def test_what_ifs_are_named_and_forms_are_gone(copied: PlainCopy) -> None:
    for name, text in pages_of(copied).items():
        assert "<form" not in text, name
        assert "<input" not in text, name
        assert "localhost" not in text, name
    page = text_of(copied, "left-out.html")
    for kind in KINDS.values():
        assert f'id="{kind.mark}"' in page
        assert kind.title in page
    assert re.search(r"<li>[^<]*: state filled</li>", page)
    component = text_of(copied, "component/rear-section.html")
    assert 'href="../left-out.html#state"' in component
    assert "A to Z" in text_of(copied, "index.html")


def test_small_and_the_same_each_time(copied: PlainCopy, small_db: Path) -> None:
    assert sum(map(len, copied.files.values())) / len(copied.files) < 6_000, "bytes a page, as the demo has"
    again = asyncio.run(plain_copy(application(small_db), MADE, lambda *told: None))
    assert again.files == copied.files


def test_names_that_differ_by_capitals_or_are_long(tmp_path: Path) -> None:
    """A memory card of a phone takes `Lid` and `lid` for one name."""
    table = tmp_path / "parts.csv"
    long = "ü" * 40
    rows = ["parent,child,quantity,mass,unit"]
    rows += [f"UNIT,{code},1,2,kg" for code in ("Lid", "lid", "a/b", "ü.1", long, f"{long}y")]
    table.write_text("\n".join(rows) + "\n", encoding="utf-8")
    build_with_bar([table], tmp_path / "t.db")
    made = asyncio.run(plain_copy(application(tmp_path / "t.db"), MADE, lambda *told: None))
    names = [name.lower() for name in made.files]
    assert len(set(names)) == len(names)
    assert max(map(len, names)) <= 120
    assert all(re.fullmatch(r"[a-z0-9._~/-]+", name) for name in made.files)
    titles = {re.search(r"<h1[^>]*>(.*?)</h1>", text)[1] for name, text in pages_of(made).items() if name.startswith("component/")}  # type: ignore[index]  # fmt: skip
    assert len(titles) == 7


def test_a_page_that_fails_stops_the_copy(small_db: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    real = copying.ask_view

    async def failing(app: object, asked: str, host: str = "localhost") -> Sent:
        return Sent(500, "text/html", b"") if asked == "/joint/halves" else await real(app, asked, host)

    monkeypatch.setattr(copying, "ask_view", failing)
    with pytest.raises(HandlingError, match="the page /joint/halves failed; nothing was written"):
        asyncio.run(plain_copy(application(small_db), MADE, lambda *told: None))


def test_a_page_that_says_why_not_is_told(small_db: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    real = copying.ask_view

    async def refusing(app: object, asked: str, host: str = "localhost") -> Sent:
        sent = await real(app, asked, host)
        return Sent(400, sent.kind, sent.body) if asked == "/joint/halves" else sent

    monkeypatch.setattr(copying, "ask_view", refusing)
    made = asyncio.run(plain_copy(application(small_db), MADE, lambda *told: None))
    assert made.unanswered == ["/joint/halves"]
    assert "joint/halves.html" in made.files


STEP = st.text("abzAZ09-~_", min_size=1, max_size=6)


@given(at=st.lists(STEP, min_size=1, max_size=4), to=st.lists(STEP, min_size=1, max_size=4))
def test_relative_links_lead_where_a_browser_goes(at: list[str], to: list[str]) -> None:
    from urllib.parse import urljoin

    here, there = "/".join(at) + ".html", "/".join(to) + ".html"
    assert urljoin(f"file:///card/{here}", relative(there, here)) == f"file:///card/{there}"


@pytest.mark.parametrize(
    ("link", "file", "why"),
    [
        ("/", "index.html", None), ("/start", "index.html", None), ("?shop=a", "hands/x--shop-a.html", None),
        ("/lift/a?job=j-1", "lift/a--job-j-1.html", None), ("/lift/a?job=j-1&unit=lb", None, "unit"),
        ("/component/a?without=b", None, "off"), ("/component/a?build=long+frame", None, None),
        ("/component/a?state=dry&set=n%3D2", None, "state"), ("/lift/a?assume=b%3D1+kg", None, "range"),
        ("/notes?q=pipe#note-1", None, "search"), ("/notes#note-1", "notes.html", None),
        ("/start.json", None, "programs"), ("/handling", None, "programs"), ("/handling.db", None, "programs"),
        ("/notes?component=a", "notes--component-a.html", None), ("/move/a/card?job=j-1", None, None),
        ("/lift/a?shows=12", None, "figures"), ("/-/static-plugins/handling_db/site.css", "static/site.css", None),
        ("/picture/" + "0" * 64 + ".jpg", "picture/" + "0" * 64 + ".jpg", None),
    ],
)  # fmt: skip
def test_what_is_written_and_what_is_left_out(link: str, file: str | None, why: str | None) -> None:
    address = Address.read(link, "/hands/x")
    assert address is not None
    assert (address.left_out.mark if address.left_out else None) == why
    if file is not None:
        assert FileNames().of(address) == file


def test_cards_and_shops_are_for_what_is_lifted_or_packed() -> None:
    names = FileNames(frozenset({"rear-up"}))
    for path, why in (
        ("/move/rear-up/card", None), ("/move/rear-up/tag", None), ("/shop/quay/rear-up", None), ("/move/bolt", None),
        ("/move/bolt/card", "pieces"), ("/move/bolt/tag", "pieces"), ("/shop/quay/bolt", "pieces"),
    ):  # fmt: skip
        kind = names.left_out(Address(path, (), ""))
        assert (kind.mark if kind else None) == why, path


def test_links_that_lead_out_of_the_view_stay() -> None:
    assert Address.read("https://bench.example/move/a", "/") is None
    assert Address.read("mailto:a@b.example", "/") is None
