"""One component and everything below it as CSV, XLSX or one HTML page that needs nothing else."""

from __future__ import annotations

import codecs
import html
from collections.abc import Sequence
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP
from fractions import Fraction

from handling_db.lookup import words as wording
from handling_db.lookup.listing import ListingLine
from handling_db.quantities.display import figure, figure_in, places_for, places_in
from handling_db.quantities.table import LB
from handling_db.records.collection import Collection
from handling_db.tables.exports.exact_out import EXACT, exact_cells
from handling_db.tables.sheets.grid import SheetError
from handling_db.tables.sheets.xlsx_in import MISSING, book_bytes
from handling_db.tables.text.quiet import quiet_csv
from handling_db.weights.answer import WeightAnswer

HEADS = (
    "level", "id", "name", "part number", "kind", "goes into", "quantity", "pieces in all", "one weighs kg",
    "lowest kg", "highest kg", "one weighs lb", "what the figure is", "where it comes from",
)  # fmt: skip
_INTO, _QUANTITY = HEADS.index("goes into"), HEADS.index("quantity")
NOT_KNOWN = "not known"
AT_LEAST = "at least"
_NUMBERS = frozenset({0, 6, 7, 8, 9, 10, 11})


def rows_of(lines: Sequence[ListingLine]) -> list[list[str]]:
    """The lines as texts. What is not known is an empty cell and a word, never a zero."""
    return [_row(line) for line in lines]


def _row(line: ListingLine) -> list[str]:
    half = (line.high - line.low) / 2
    places = places_for(half)
    word = NOT_KNOWN if not line.known else "" if line.complete else AT_LEAST
    # What covers the known part only is a lower limit, and limits are rounded to the careful side.
    rounding = ROUND_HALF_UP if line.complete else ROUND_FLOOR
    best = [
        figure(line.best, places, rounding),
        figure(line.low, places, ROUND_FLOOR),
        figure(line.high, places, ROUND_CEILING),
    ]
    pounds = figure_in(LB, line.best, places_in(LB, half), rounding)
    if not line.known:
        best, pounds = ["", "", ""], ""
    elif not line.complete:
        best[2] = ""  # the known part has a highest figure, the thing itself has none
    return [
        str(line.level),
        line.id,
        line.name,
        line.part_number,
        line.kind,
        line.goes_into,
        _count(line.quantity),
        _count(line.pieces),
        *best,
        pounds,
        word,
        line.basis if line.known else "",
    ]


def _count(number: Fraction) -> str:
    return str(number) if number.denominator == 1 else figure(number, 3)


def table_of(collection: Collection, lines: Sequence[ListingLine]) -> tuple[tuple[str, ...], list[list[str]]]:
    """The list with its exact cells behind: reading it gives every mass, doubt, source and place again.

    Returns
    -------
    (headings, rows)
        Behind the lines of the list comes a row for each further figure of a component.
    """
    cells, more = exact_cells(collection, lines)
    rows = []
    for line, exact in zip(lines, cells, strict=True):
        row = _row(line)
        if exact.get("again"):  # what stands below a group that is listed again goes into it only once
            row[_INTO] = row[_QUANTITY] = ""
        rows.append([*row, *(exact.get(head, "") for head in EXACT)])
    for code, exact in more:
        start = [code if head == "id" else "" for head in HEADS]
        rows.append([*start, *(exact.get(head, "") for head in EXACT)])
    # The sign is said, since a list of one piece of 98.125 kg says nothing of it by itself.
    exact_heads = [f"{head} (decimal point)" if head == "mass each" else head for head in EXACT]
    return (*HEADS, *exact_heads), rows


def csv_of(heads: Sequence[str], rows: Sequence[Sequence[str]]) -> bytes:
    """A table as CSV: UTF-8 with a mark so that spreadsheet programs know it, lines ended by CR LF."""
    return codecs.BOM_UTF8 + quiet_csv(heads, rows)


def xlsx_of(collection: Collection, answer: WeightAnswer, lines: Sequence[ListingLine], state: str) -> bytes:
    """A component as XLSX: the answer in words on one sheet, the list on another.

    Raises
    ------
    SheetError
        The extra `sheets` is not installed.
    """
    try:
        import openpyxl
        from openpyxl.cell.cell import TYPE_STRING
        from openpyxl.styles import Font
    except ImportError:
        raise SheetError(MISSING) from None
    book = openpyxl.Workbook()
    page = book.active
    page.title = "Answer"
    for number, text in enumerate(words_of(answer, state), 1):
        cell = page.cell(number, 1)
        cell.value, cell.data_type = text, TYPE_STRING
    page.column_dimensions["A"].width = 110
    sheet = book.create_sheet("List")
    heads, rows = table_of(collection, lines)
    for column, head in enumerate(heads, 1):
        sheet.cell(1, column, head).font = Font(bold=True)
    for number, row in enumerate(rows, 2):
        for column, text in enumerate(row):
            cell = sheet.cell(number, column + 1)
            if column in _NUMBERS and text:
                cell.value = float(text)
                places = len(text.partition(".")[2])
                cell.number_format = f"0.{'0' * places}" if places else "0"
            elif text:
                cell.value, cell.data_type = text, TYPE_STRING
    sheet.freeze_panes = "A2"
    return book_bytes(book)


def words_of(answer: WeightAnswer, state: str) -> list[str]:
    """What stands above every list: the headline, each state, and that these are figures, not permission."""
    build = wording.build_words(answer.build)
    lines = [wording.headline(answer), f"{answer.name} ({answer.id})"]
    lines += [f"build: {build}"] if build else []
    lines += [f"{one.state}: {wording.state_words(one)}" for one in answer.states]
    lines += [f"The list is {state}.", wording.FIGURES_NOT_PERMISSION]
    return lines


_PAGE = """<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'">
<title>{title}</title>
<style>body{{font:16px/1.4 sans-serif;margin:1em;max-width:70em}}table{{border-collapse:collapse;width:100%}}
td,th{{border:1px solid #666;padding:.2em .4em;text-align:left;vertical-align:top}}
td.n{{text-align:right;white-space:nowrap}}.first{{font-size:1.3em;font-weight:bold}}
@media print{{body{{font-size:11px;margin:0}}thead{{display:table-header-group}}}}</style></head>
<body><p class="first">{first}</p>
{words}
<table><thead><tr>{heads}</tr></thead>
<tbody>
{rows}
</tbody></table>
<p>{foot}</p></body></html>
"""


def html_of(answer: WeightAnswer, lines: Sequence[ListingLine], state: str, foot: str) -> bytes:
    """A component as one page of HTML that loads nothing and runs nothing.

    Parameters
    ----------
    answer, lines, state
    foot : str
        Where the records are from and of which day.
    """
    words = words_of(answer, state)
    rows = []
    for row in rows_of(lines):
        cells = "".join(
            f'<td class="n">{html.escape(text)}</td>' if i in _NUMBERS else f"<td>{html.escape(text)}</td>"
            for i, text in enumerate(row)
        )
        rows.append(f"<tr>{cells}</tr>")
    return _PAGE.format(
        title=html.escape(answer.name),
        first=html.escape(words[0]),
        words="\n".join(f"<p>{html.escape(text)}</p>" for text in words[1:]),
        heads="".join(f"<th>{html.escape(head)}</th>" for head in HEADS),
        rows="\n".join(rows),
        foot=html.escape(foot),
    ).encode()
