"""From a table's file to chunks of rows, each row with the line it starts on."""

from __future__ import annotations

import csv
import io
import itertools
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from handling_db.errors import HandlingError
from handling_db.files.merge_markers import merge_findings
from handling_db.tables.findings import FileFindings
from handling_db.tables.text.encoding import NoText, decoded
from handling_db.tables.text.quiet import unquiet

MAX_TABLE_BYTES = 1_000_000_000
MAX_ROWS = 10_000_000
CHUNK = 500  # rows turned into columns at once
_HEAD_LINES = 60
_HEAD_BYTES = 100_000

_LINE_END = re.compile(r"\r\n|\r|\n")


@dataclass(frozen=True, slots=True)
class Rows:
    """Some rows of a table and the line each starts on, counted from one."""

    rows: list[list[str]]
    lines: Sequence[int]


def table_bytes(path: Path, said: FileFindings) -> bytes | None:
    """A file that can be read as a table, as UTF-8, or None with a fault.

    Raises
    ------
    HandlingError
        There is no such file.
    """
    if not path.is_file():
        raise HandlingError(f"{path}: no such file")
    if path.stat().st_size > MAX_TABLE_BYTES:
        said.fault(1, "", f"the file is larger than {MAX_TABLE_BYTES // 1_000_000} MB;", "split it.")
        return None
    data = path.read_bytes()
    if not data.isascii() or b"\0" in data:
        try:
            text, page = decoded(data)
        except NoText as error:
            said.fault(_line_of(data, error.at), "", str(error), "save the table as CSV, UTF-8.")
            return None
        if page:
            told = f"the file is no UTF-8 text and was read as {page};"
            said.remark(1, "", told, "look at letters beyond a to z, or save it as CSV, UTF-8.")
        data = text.encode()
    if b"<<<<<<<" in data:
        left = merge_findings(data.decode("utf-8"), said.file)
        for finding in left:
            said.add(finding)
        if left:
            return None
    return data


def _line_of(data: bytes, at: int) -> int:
    return 1 + sum(1 for _ in re.finditer(rb"\r\n|\r|\n", data[:at]))


def first_lines(data: bytes) -> str:
    """The first lines of a table that are not blank, in which its headings are looked for."""
    text = io.TextIOWrapper(io.BytesIO(data[:_HEAD_BYTES]), encoding="utf-8-sig", errors="ignore", newline="")
    return "".join(itertools.islice((line for line in text if line.strip()), _HEAD_LINES))


def chunks(data: bytes, delimiter: str, said: FileFindings) -> Iterator[Rows]:
    """Every row of a table in chunks, blank lines included as empty rows.

    A row that is not CSV is a fault and left out; a quote that is never closed ends the file.
    """
    text = io.TextIOWrapper(io.BytesIO(data), encoding="utf-8-sig", newline="")
    quieted = b"'" in data
    reader = csv.reader(text, delimiter=delimiter, strict=True)
    count = 0
    more = True
    while more and count <= MAX_ROWS:
        before = reader.line_num
        rows: list[list[str]] = []
        try:
            for row in reader:
                rows.append(row)
                if len(rows) == CHUNK:
                    break
            else:
                more = False
        except csv.Error as error:
            start = before + 1 + sum(map(_height, rows))
            more = _not_csv(str(error), start, said)
            lines: Sequence[int] = _starts(rows, before)
        else:
            ends = before + len(rows)
            lines = range(before + 1, ends + 1) if ends == reader.line_num else _starts(rows, before)
        count += len(rows)
        if quieted:
            rows = [[unquiet(cell) for cell in row] for row in rows]
        if rows:
            yield Rows(rows, lines)
    if count > MAX_ROWS:
        said.belongs_nowhere = True
        said.fault(reader.line_num, "", f"there are more than {MAX_ROWS:,} rows;", "split the table.")


def _height(row: list[str]) -> int:
    """How many lines a row takes: one, and one more for each line end inside a quoted cell."""
    return 1 + sum(len(_LINE_END.findall(cell)) for cell in row)


def _starts(rows: list[list[str]], before: int) -> list[int]:
    """The line each row starts on; the reader itself only knows the line it ends on."""
    return [*itertools.accumulate(map(_height, rows), initial=before + 1)][:-1]


def _not_csv(message: str, line: int, said: FileFindings) -> bool:
    """Word a fault of the CSV itself; returns whether reading can go on with the next line."""
    said.belongs_nowhere = True  # which cell is the parent's cannot be told
    closing = "close the quote, and double a quotation mark that belongs to the text."
    if "unexpected end" in message:
        told = "a quotation mark opened in this row is never closed; the rest of the file was not read;"
        said.fault(line, "", told, closing)
        return False
    if "field larger" in message:
        told = (
            f"a cell of this row is longer than {csv.field_size_limit():,} characters, most likely because a "
            "quotation mark is never closed; the rest of the file was not read;"
        )
        said.fault(line, "", told, closing)
        return False
    said.fault(line, "", "text stands behind a closing quotation mark;",
               "put the whole cell in quotes, and double the quotation marks inside it.")  # fmt: skip
    return True
