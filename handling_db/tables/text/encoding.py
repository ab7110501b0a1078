"""From the bytes of a text file to its text, whatever program saved it: UTF-8, UTF-16, or a code page."""

from __future__ import annotations

import codecs
import re

# Code pages that spreadsheet programs of the west and the middle of Europe save text in.
CODE_PAGES = ("cp1252", "cp850", "cp1250", "mac_roman", "cp1251", "iso8859_15")
NAMES = {
    "cp1252": "Windows-1252", "cp1250": "Windows-1250", "cp1251": "Windows-1251",
    "cp850": "DOS code page 850", "mac_roman": "Mac Roman", "iso8859_15": "ISO 8859-15",
}  # fmt: skip
# Signs beyond ASCII that lists of parts in western and northern languages have, and those that they have now
# and then; the letters of one code page are often rare signs of another.
_USUAL = frozenset("äöüÄÖÜßéèêàçñåøæÅØÆÉÈ±°½¼¾µ²³×–")
_RARE = frozenset("ëâáíóúôîï÷§—’•€®º«»\u00a0")
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x80-\x9f]")
_SURE = 0.75
_LOOKED_AT = 200_000


class NoText(ValueError):
    """Bytes that are no text; the message says what they are."""

    def __init__(self, sentence: str, at: int = 0) -> None:
        super().__init__(sentence)
        self.at = at


def decoded(data: bytes) -> tuple[str, str]:
    """The text of a file, and the name of its code page; empty where there was nothing to find out.

    UTF-8 and UTF-16 are known for certain. Any other encoding is found by charset-normalizer among the code
    pages that spreadsheet programs write: digits and points are the same in all of them, only letters differ.

    Raises
    ------
    NoText
        No text in any of them.
    """
    if data.startswith(codecs.BOM_UTF8):
        data = data[3:]
    wide = _wide(data)
    if wide:
        try:
            return data.decode(wide).removeprefix("\ufeff"), ""
        except UnicodeDecodeError as error:
            raise NoText("the file begins as UTF-16 text and is none further on;", error.start) from None
    nul = data.find(b"\0")
    if nul >= 0:
        raise NoText("there is a NUL byte, which no text has;", nul)
    try:
        return data.decode("utf-8"), ""
    except UnicodeDecodeError as error:
        start = error.start
    page = _code_page(data)
    if page is None:
        raise NoText("is text in no encoding that is known here;", start)
    return data.decode(page), NAMES.get(page, page)


def _wide(data: bytes) -> str:
    """``utf-16`` where a mark says so, or where every other byte of the beginning is zero."""
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return "utf-16"
    head = data[:2000]
    if len(head) >= 4 and len(head) % 2 == 0:
        for name, odd in (("utf-16-le", 1), ("utf-16-be", 0)):
            zero, full = head[odd::2], head[1 - odd :: 2]
            if zero.count(0) > 0.8 * len(zero) and full.count(0) == 0:
                return name
    return ""


def _code_page(data: bytes) -> str | None:
    """The code page under which the signs beyond ASCII are those that lists of parts have.

    Short lists are too short for statistics of a language, so the signs themselves decide; where they do not,
    as in Polish or Russian, the library does.
    """
    from charset_normalizer import from_bytes

    high = re.findall(rb"[^\n]*[\x80-\xff][^\n]*", data[: 20 * _LOOKED_AT])
    sample = b"\n".join(high)[:_LOOKED_AT]  # lines of plain letters say nothing of the code page
    scores = {page: _usual(sample, page) for page in CODE_PAGES}
    by_signs = max(CODE_PAGES, key=lambda page: scores[page])
    if scores[by_signs] < _SURE:
        best = from_bytes(sample, cp_isolation=list(CODE_PAGES)).best()
        by_signs = best.encoding if best else by_signs
    for page in (by_signs, *CODE_PAGES):
        try:
            text = data.decode(page)
        except (UnicodeDecodeError, LookupError):
            continue
        if not _CONTROL.search(text):
            return page
    return None


def _usual(sample: bytes, page: str) -> float:
    """Which part of the signs beyond ASCII is usual in lists of parts; 0 where it is no text."""
    try:
        text = sample.decode(page)
    except UnicodeDecodeError:
        return 0.0
    high = [sign for sign in text if sign > "\x7f"]
    if _CONTROL.search(text):
        return 0.0
    score = sum(1.0 if sign in _USUAL else 0.5 if sign in _RARE else 0.0 for sign in high)
    return score / max(len(high), 1)
