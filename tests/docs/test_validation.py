"""The validation page is made from the tests and is current."""

from __future__ import annotations

from tests.published.write_validation import PAGE, TESTS, sources, text


def test_page_is_current() -> None:
    assert PAGE.read_text(encoding="utf-8") == text()


def test_every_file_of_checks_is_on_the_page() -> None:
    page = text()
    for folder in ("published", "outside"):
        files = sorted((TESTS / folder).glob("test_*.py"))
        assert files
        assert [file.name for file in files if f"`tests/{folder}/{file.name}`" not in page] == []


def test_every_published_file_says_how_far_it_was_verified() -> None:
    """A reference without a mark would pass for one that was read."""
    words = ("verified", "from memory", "read", "our own arithmetic", "computed here")
    silent = [
        source.file
        for source in sources(TESTS / "published")
        if not any(word in f"{source.title} {source.about}".lower() for word in words)
        and not any(
            word in (TESTS.parent / source.file).read_text(encoding="utf-8").lower() for word in words
        )
    ]

    assert silent == []
