"""The page of a piece on paper: two pages at most, whatever is recorded; what is left out is counted."""

from __future__ import annotations

import random
import re
from pathlib import Path

import pytest
from playwright.sync_api import Page

from handling_db.database.building import build_with_bar
from handling_db.web.plain.asking import ask_view
from handling_db.web.serving import application
from tests.browser.looks import of_paper

pytestmark = pytest.mark.browser

DEMO = ("transfer-box", "gear-section", "lock-clutch-pack")
WORDS = [
    "pump",
    "case",
    "bracket",
    "lower",
    "flange",
    "seal",
    "behind",
    "gasket",
    "clear",
    "before",
    "drain",
    "pipe",
    "loosen",
    "three",
    "half",
    "turns",
]


def pages(folder: Path, page: Page, size: str) -> tuple[int, str]:
    pdf = folder / "print.pdf"
    page.pdf(path=str(pdf), format=size)
    told, text = of_paper(pdf)
    found = re.search(r"Pages:\s+(\d+)", told)
    assert found
    return int(found[1]), text


@pytest.mark.parametrize("code", DEMO)
def test_pieces_of_the_demo(window: Page, address: str, tmp_path: Path, code: str) -> None:
    window.goto(f"{address}/component/{code}")
    for size in ("A4", "Letter"):
        count, text = pages(tmp_path, window, size)
        assert count <= 2, size
        assert "stamp" in text
        assert "Figures, not permission" in text


def written(folder: Path, rng: random.Random) -> tuple[int, int]:
    """A piece with many parts and notes; how many notes of each kind: stored energy, other."""
    parts, notes, energy = rng.randrange(1, 90), rng.randrange(90), rng.randrange(4)

    def words(most: int) -> str:
        return " ".join(rng.choice(WORDS) for _ in range(rng.randrange(3, most)))

    folder.mkdir()
    lines = ["component: unit", f"name: {words(7)}", "kind: assembly", "parts listed: all", "parts:"]
    lines += [f"  - {{component: p-{n}, quantity: {rng.randrange(1, 40)}}}" for n in range(parts)]
    (folder / "unit.yml").write_text("\n".join(lines) + "\n")
    records = [f"- {{component: p-{n}, name: {words(9)}, kind: part}}" for n in range(parts)]
    (folder / "parts.yml").write_text("\n".join(records) + "\n")
    told = []
    for n in range(notes + energy):
        kind = (
            "stored energy" if n < energy else rng.choice(["tie", "turn", "stick", "access", "hand", "order"])
        )
        about = "unit" if rng.random() < 0.4 else f"p-{rng.randrange(parts)}"
        hazard = f", hazard: {words(14)}, exposed: {words(5)}" if n < energy or rng.random() < 0.5 else ""
        told.append(
            f"- {{note: n-{n}, about: {{component: {about}}}, kind: {kind}, text: {words(55)}{hazard}, "
            f"told by: shop, author: {words(4)}, on: 2026-03-01, status: draft}}"
        )
    (folder / "notes.yml").write_text("\n".join(told) + "\n" if told else "[]\n")
    return energy, notes


def test_pieces_at_random(window: Page, tmp_path: Path) -> None:
    import asyncio
    from concurrent.futures import ThreadPoolExecutor

    rng = random.Random("paper")
    window.goto("about:blank")
    style = Path(__file__).resolve().parents[2] / "handling_db" / "web" / "static" / "site.css"
    for case in range(3):
        energy, notes = written(tmp_path / f"r{case}", rng)
        build_with_bar([tmp_path / f"r{case}"], tmp_path / f"{case}.db")
        served = application(tmp_path / f"{case}.db")
        with ThreadPoolExecutor(1) as own:
            sent = own.submit(asyncio.run, ask_view(served.client.app, "/component/unit")).result()
        window.set_content(sent.body.decode())
        window.add_style_tag(content=style.read_text())
        for size in ("A4", "Letter"):
            count, text = pages(tmp_path, window, size)
            assert count <= 2, (case, size, energy, notes)
            assert text.count("Stored energy:") == energy
            shown = len(re.findall(r"shop; [a-z ]+, 2026-03-01; draft", text))
            more = re.search(r"And (\d+) more notes?, on the page", text)
            if energy + notes < 10:
                assert more is None
            assert more is None or int(more[1]) < notes
            assert shown or notes == 0 or more
