"""Spreadsheets as shops have them, each with what becomes of its rows; and files that are none."""

from __future__ import annotations

import datetime
import importlib
import sys
import zipfile

import pytest

from handling_db.errors import HandlingError
from handling_db.tables.exports.files_out import record_files_of
from handling_db.tables.read import HowRead, read_file
from handling_db.tables.sheets.grid import SheetError, letters
from handling_db.tables.sheets.layout import find_layout
from handling_db.tables.sheets.mapping import mapping_text, read_mapping
from tests.reading import read_grids

openpyxl = importlib.import_module("openpyxl")
DAY = datetime.date(2026, 11, 25)
HEADS = ["Part no", "Description", "Qty", "Weight (kg)", "Goes into"]


@pytest.fixture
def book(tmp_path):
    """Write rows into an XLSX file; `change` gets the sheet before it is saved."""

    def make(rows, change=None):
        made = openpyxl.Workbook()
        sheet = made.active
        sheet.title = "Weights"
        for row in rows:
            sheet.append(row)
        if change:
            change(sheet)
        file = tmp_path / "list.xlsx"
        made.save(file)
        return file

    return make


@pytest.fixture
def csv(tmp_path):
    def make(text, encoding="utf-8"):
        file = tmp_path / "list.csv"
        file.write_bytes(text.encode(encoding))
        return file

    return make


def read(file, layout=None, decimal=""):
    (found,) = read_file(file, HowRead(decimal, mapping=layout, row_by_row=True), today=DAY)
    return found


def fates(file, layout=None, decimal=""):
    return {
        fate.row: f"{fate.fate}{f': {fate.why}' if fate.why else ''}"
        for fate in read(file, layout, decimal).sheet.fates
    }


def faults(reading):
    return [finding for finding in reading.findings if finding.verdict == "fault"]


def files(reading):
    return record_files_of([reading])


def component(reading, code):
    from handling_db.files.reading import read_texts

    return read_texts(files(reading).items()).collection.components[code]


def test_a_plain_list_becomes_records_with_the_cell_as_source(book):
    reading = read(
        book(
            [
                HEADS,
                ["P-1", "Gear case", 1, 158.5, "Gear section"],
                ["P-2", "Bolt", 14, 0.167, "Gear section"],
            ]
        )
    )

    assert [fate.fate for fate in reading.sheet.fates] == ["taken", "taken"]
    assert faults(reading) == []
    case = component(reading, "gear-case")
    assert case.part_number == "P-1"
    (statement,) = case.masses
    assert (statement.printed.text, statement.where) == ("158.5 kg", "sheet Weights, cell D2")
    section = component(reading, "gear-section")
    assert section.parts_listed == "some"
    assert [(line.component, line.quantity.text) for line in section.parts] == [
        ("gear-case", "1"),
        ("bolt", "14"),
    ]
    assert list(files(reading)) == ["components/list-weights.yml", "sources/list-weights.yml"]


def one_row(*cells):
    return [HEADS, list(cells)]


CELLS = {
    "a date for a number": (
        one_row(datetime.datetime(2026, 3, 12), "Case", 1, 2.0, "x"),
        "refused: part number (sheet Weights, cell A2): is a date (2026-03-12); a text such as 3-12 was turned "
        "into one: type it again as text",
    ),
    "a number that lost digits": (
        one_row("1.23E+11", "Case", 1, 2.0, "x"),
        "refused: part number (sheet Weights, cell A2): 1.23E+11 is a long number that lost its digits; type it "
        "again as text",
    ),
    "a month": (
        one_row("Mar-12", "Case", 1, 2.0, "x"),
        "refused: part number (sheet Weights, cell A2): Mar-12 looks like a date that was a part number; type it "
        "again as text",
    ),
    "no count": (one_row("a", "Case", None, 2.0, "x"), "refused: quantity (sheet Weights, cell C2): is missing; write how many there are; nothing is assumed for it"),
    "a count of nothing": (one_row("a", "Case", 0, 2.0, "x"), "refused: quantity (sheet Weights, cell C2): a quantity of 0 is not above 0; write how many the parent has, or take the row out"),
    "a count in words": (one_row("a", "Case", "some", 2.0, "x"), "refused: quantity (sheet Weights, cell C2): 'some' is not a number; write digits alone, as in 12.5; the unit has its own column. Leave empty what is not known"),
    "no name": (one_row(None, None, 1, 2.0, "x"), "refused: name (sheet Weights, cell B2): is missing; there is nothing to call the piece by; write its name"),
    "itself": (one_row("a", "Case", 1, 2.0, "Case"), "refused: parent (sheet Weights, cell E2): 'case' would contain itself; name what it goes into"),
    "a date for a mass": (
        one_row("a", "Case", 1, datetime.datetime(2026, 3, 12), "x"),
        "refused: mass (sheet Weights, cell D2): is a date (2026-03-12); a text such as 3-12 was "
        "turned into one: type it again as text",
    ),
    "zero": (one_row("a", "Case", 1, 0, "x"), "refused: mass (sheet Weights, cell D2): a mass of 0 would count as weighed; leave the cell empty where nobody weighed it, or give the step or the doubt of the figure"),
    "below zero": (
        one_row("a", "Case", 1, -2, "x"),
        "refused: mass (sheet Weights, cell D2): -2 is negative; write it without the sign",
    ),
    "nobody knows": (one_row("a", "Case", 1, "?", "x"), "taken without a mass: nobody wrote a mass"),
    "about": (
        one_row("a", "Case", 1, "about 12", "x"),
        "refused: mass (sheet Weights, cell D2): 'about 12' is not a number; write digits alone, as in 12.5; the "
        "unit has its own column. Leave empty what is not known",
    ),
    "a bare ton": (
        one_row("a", "Case", 1, "2 ton", "x"),
        "refused: mass (sheet Weights, cell D2): which ton? Write 't' (1000 kg), 'short "
        "ton' (2000 lb) or 'long ton' (2240 lb)",
    ),
    "a comma": (
        one_row("a", "Case", 1, "12,5", "x"),
        "refused: no figure of the sheet is taken until its decimal sign is stated",
    ),
    "thousands": (one_row("a", "Case", 1, "1,250", "x"), "refused: no figure of the sheet is taken until its decimal sign is stated"),
    "another unit": (one_row("a", "Case", 1, "30 lb", "x"), "taken: mass (sheet Weights, cell D2): is in lb, though the heading says kg: the unit in the cell counts"),
    "true": (one_row("a", "Case", 1, True, "x"), "refused: mass (sheet Weights, cell D2): is TRUE, neither a text nor a figure; type it again"),
    "an error": (one_row("a", "Case", 1, "#N/A", "x"), "refused: mass (sheet Weights, cell D2): holds the error #N/A; put the cell right"),
    "a formula without a value": (
        one_row("a", "Case", 1, "=2*3", "x"),
        "refused: mass (sheet Weights, cell D2): the formula =2*3 has no stored value; open the file in its "
        "program and save it",
    ),
    "headings again": (one_row(*HEADS), "passed over: the headings again"),
    "other columns only": ([[*HEADS, "Shelf"], [None, None, None, None, None, "7"]], "passed over: nothing stands in the columns that are read"),
}  # fmt: skip


@pytest.mark.parametrize("case", CELLS)
def test_what_becomes_of_a_row(case, book):
    rows, told = CELLS[case]

    assert fates(book(rows))[2] == told


def test_thousands_and_decimal_commas(book, csv):
    thousands = component(read(book(one_row("a", "Case", 1, "1,250", "x")), decimal="point"), "case").masses[
        0
    ]
    assert thousands.printed.text == "1250 kg"
    file = csv("name;qty;mass kg\nCase;1;1.250,5\n")
    layout, findings = read_mapping(
        "table: parts\ncolumns: {name: A, quantity: B, mass: C}\nunits: {mass: kg}\ndecimal: comma\n", "m"
    )
    assert findings == ()
    assert component(read(file, layout), "case").masses[0].printed.text == "1250.5 kg"


def test_zeros_that_the_format_shows_are_kept_and_its_unit_is_read(book):
    def formats(sheet):
        sheet["D2"].number_format = "0.00"
        sheet["D3"].number_format = '0.0 "lb"'

    reading = read(book([HEADS, ["a", "Case", 1, 12.5, "x"], ["b", "Cover", 1, 30, "x"]], formats))

    assert component(reading, "case").masses[0].printed.text == "12.50 kg"
    assert component(reading, "cover").masses[0].printed.text == "30.0 lb"


def test_a_format_that_shows_thousands_is_refused(book):
    """1250 stored and shown as 1.25 t: what it weighs nobody can tell from the cell."""

    def formats(sheet):
        sheet["D2"].number_format = '0.00,"t"'
        sheet["D3"].number_format = "#,##0.0"

    told = fates(book([HEADS, ["a", "Case", 1, 1250, "Box"], ["b", "Cover", 1, 1250.5, "Box"]], formats))

    assert told[2] == (
        "refused: mass (sheet Weights, cell D2): holds the error a format that shows another figure than is stored: "
        "1250; put the cell right"
    )
    assert told[3] == "taken"


def test_nothing_goes_into_the_row_above_a_hidden_one(book):
    """A hidden group keeps its parts: they are refused, not read into the group before it."""

    def hide(sheet):
        sheet.row_dimensions[4].hidden = True

    rows = [
        ["Level", "Name", "Qty", "Weight each kg"],
        [0, "Unit", 1, None],
        [1, "Box", 1, 5],
        [1, "Case", 1, None],
        [2, "Pin", 2, 1],
    ]
    reading = read(book(rows, hide))

    assert fates(book(rows, hide))[5].startswith(
        "refused: level (sheet Weights, cell A5): goes into what row 4 hides"
    )
    assert [(line.component) for line in component(reading, "unit").parts] == ["box"]


def test_a_column_of_masses_that_is_not_understood_is_a_fault(csv):
    reading = read(csv("name,qty,weight kg/lb,goes into\nCase,1,12,Box\n"))

    assert "C 'weight kg/lb' may hold masses, and its heading is not understood" in str(faults(reading)[0])


def test_figures_under_a_heading_that_nobody_knows_are_no_missing_masses(csv):
    """Before, the piece was said to have no mass that anybody wrote, in silence."""
    reading = read(
        csv("name,qty,Masa,colour,goes into\nCase,1,348,red,Box\nLid,2,?,,Box\nPin,1,12.5 kg,,Box\n")
    )

    told = [finding for finding in reading.findings if finding.rule == "unread-figures"]
    assert [finding.verdict for finding in told] == ["cannot be checked"]
    assert "figures stand in C 'Masa'" in told[0].sentence
    assert (
        fates(csv("name,qty,Masa\nCase,1,348\n"))[2] == "taken without a mass: no column is taken for masses"
    )
    for fine in (
        "name,qty,colour\nCase,1,red\n",
        "name,qty,Masa,mass kg\nCase,1,7,12\n",
        "name,qty,Masa\nCase,1,\n",
    ):
        assert not [f for f in read(csv(fine)).findings if f.rule == "unread-figures"], fine


@pytest.mark.parametrize("heading", ["Net Wt (kg)", "Eigengewicht kg", "own weight kg"])
def test_more_words_of_the_trade_for_a_mass(csv, heading):
    reading = read(csv(f"name,qty,{heading}\nCase,1,348\n"))

    assert [str(finding) for finding in faults(reading)] == []
    assert fates(csv(f"name,qty,{heading}\nCase,1,348\n"))[2] == "taken"


def test_merged_cells(book):
    def merge(sheet):
        sheet.merge_cells("E2:E3")
        sheet.merge_cells("D2:D3")

    reading = read(
        book(
            [HEADS, ["a", "Case", 1, 10, "Box"], ["b", "Cover", 1, None, None], ["c", "Lid", 1, 1, "Box"]],
            merge,
        )
    )

    told = "mass (sheet Weights, cell D2): one figure stands for rows 2 to 3 together; write the mass of each"
    assert reading.sheet.fates[0].why == told
    assert reading.sheet.fates[1].why == told.replace("D2", "D3")
    assert reading.sheet.fates[2].fate == "taken"


def test_hidden_rows_and_columns(book):
    def hide(sheet):
        sheet.row_dimensions[2].hidden = True
        sheet.column_dimensions["D"].hidden = True

    file = book([HEADS, ["a", "Case", 1, 10, "x"], ["b", "Cover", 1, 2, "x"]], hide)

    assert fates(file) == {2: "passed over: hidden; show it, or say 'hidden rows: take'", 3: "taken"}
    assert read(file).sheet.grid.hidden_columns == {3}
    (grid,) = read_grids(file)
    layout, _ = read_mapping(
        mapping_text(find_layout(grid), grid).replace("hidden rows: pass", "hidden rows: take"), "m"
    )
    assert fates(file, layout) == {2: "taken", 3: "taken"}


TOTAL = [HEADS, ["a", "Case", 1, 10.0, "x"], ["b", "Bolt", 4, 0.5, "x"]]


@pytest.mark.parametrize(
    ("row", "told"),
    [
        ([None, "TOTAL", None, 12.0, None], "totals say 12 kg; the 2 rows above come to 6.80 to 17.20 kg: agrees"),
        ([None, "Sum:", None, 20.1, None], "totals say 20.1 kg; the 2 rows above come to 6.80 to 17.20 kg: disagrees"),
        ([None, "Total", None, 20, None], "totals say 20 kg; the 2 rows above come to 6.80 to 17.20 kg: "
         "agrees only if 20 kg is a rounded figure, 15.00 to 25.00 kg; cannot be checked"),
        ([None, "Grand total weight", None, None, None], "a row of totals without a figure"),
        ([None, "Subtotal", None, "x kg", None], "a row of totals that cannot be read: mass: 'x kg' is not a number"),
    ],
)  # fmt: skip
def test_totals_are_compared_and_not_counted(row, told, book):
    file = book([*TOTAL, row])

    assert fates(file)[4].startswith(f"checked: {told}")
    assert "total" not in "".join(files(read(file))["components/list-weights.yml"]).lower()


def test_a_total_over_rows_without_a_mass_or_refused_rows_cannot_be_checked(book):
    told = fates(
        book(
            [
                *TOTAL,
                ["c", "Lid", 1, None, "x"],
                ["d", "Pin", None, 1, "x"],
                [None, "TOTAL", None, 12.0, None],
            ]
        )
    )

    assert told[6].endswith("of them have no mass: cannot be checked")
    assert "the 4 rows above" in told[6]
    heavy = fates(book([*TOTAL, ["c", "Lid", 1, None, "x"], [None, "TOTAL", None, 2.0, None]]))
    assert heavy[5].endswith("though 1 of them have no mass: disagrees")


def test_the_mass_of_several_together(csv):
    reading = read(csv("name,qty,line weight kg\nBolt,14,2.34\nCase,1,158\n"))

    bolt = component(reading, "bolt").masses[0]
    assert bolt.printed.text == "0.167143 kg"
    assert "2.34 is the mass of 14 together; one has 0.167143 kg" in reading.sheet.fates[0].why
    low, high = bolt.printed.base - bolt.plus_or_minus.base, bolt.printed.base + bolt.plus_or_minus.base
    assert float(low * 14) <= 2.335
    assert float(high * 14) >= 2.345
    assert component(reading, "case").masses[0].printed.text == "158 kg"


def test_each_and_together_have_to_fit(csv):
    told = fates(csv("name,qty,weight kg,total weight kg\nBolt,14,0.17,2.34\nPin,3,1.0,5.0\n"))

    assert told[2] == "taken"
    assert (
        told[3]
        == "refused: mass together (cell D3): 1.0 each and 5.0 together do not fit 3 pieces; put the row right"
    )


def test_a_formula_with_a_value_is_named(book):
    """Read with the stored value beside the formula, as a spreadsheet program saves it."""
    file = book(one_row("a", "Case", 1, "=2*3", "x"))
    parts = {}
    with zipfile.ZipFile(file) as packed:
        parts = {name: packed.read(name) for name in packed.namelist()}
    sheet = parts["xl/worksheets/sheet1.xml"]
    assert b"<f>2*3</f><v />" in sheet or b"<f>2*3</f><v></v>" in sheet or b"<f>2*3</f><v/>" in sheet
    for empty in (b"<v />", b"<v></v>", b"<v/>"):
        sheet = sheet.replace(b"<f>2*3</f>" + empty, b"<f>2*3</f><v>6</v>")
    parts["xl/worksheets/sheet1.xml"] = sheet
    with zipfile.ZipFile(file, "w") as packed:
        for name, data in parts.items():
            packed.writestr(name, data)

    assert fates(file) == {2: "taken: mass (sheet Weights, cell D2): worked out in the sheet by =2*3"}


def test_an_assembly_row_needs_no_mass_and_rows_may_come_in_any_order(csv):
    reading = read(
        csv(
            "name,qty,kg,assembly\nBox,1,,\nCase,1,10,box\nUnit,1,,\nPin,2,1 kg,CASE\n".replace(
                "kg,assembly", "mass kg,assembly"
            )
        )
    )

    assert [fate.fate for fate in reading.sheet.fates] == ["taken", "taken", "taken without a mass", "taken"]
    assert component(reading, "case").kind == "assembly"


def test_one_id_for_two_names_is_refused(csv):
    told = fates(csv("id,name,qty,mass kg\na,Case,1,10\na,Cover,1,2\n"))

    assert told[3] == "taken: name (cell B3): 'a' is named 'Cover' here and 'Case' on line 2, which is kept"


def test_headings_are_found_below_a_title_and_mapped(csv):
    file = csv("Shop list\n\nItem description,No off,Weight each [lb],Shelf\nCase,1,348,A\n")
    (grid,) = read_grids(file)
    layout = find_layout(grid)

    assert layout.heading_row == 3
    assert layout.columns == {"name": 0, "quantity": 1, "mass": 2}
    text = mapping_text(layout, grid)
    assert "# C: 'Weight each [lb]' is taken for mass\n# not used: D 'Shelf'" in text
    again, findings = read_mapping(text, "m.yml")
    assert findings == ()
    assert (again.columns, again.units, again.heading_row) == (layout.columns, layout.units, 3)


def test_every_fault_of_a_mapping_file_is_said():
    _, findings = read_mapping(
        "table: lists\ncolumns: {name: 1, colour: B}\nheading row: first\ndecimal: dot\nunits: {mass: ton}\nx: y\n",
        "m.yml",
    )
    told = [str(finding) for finding in findings]

    assert told[0].startswith("m.yml:6: x: is not a field here; the fields are: sheet, heading row, columns,")
    assert "m.yml:4: decimal: 'dot' is not one of the words for this; write point or comma." in told
    assert "m.yml:1: table: 'lists' is not one of the words for this; write parts or masses or notes." in told
    assert "m.yml:2: columns: name: '1' is no column; write its letters, such as F or AA." in told
    assert any("m.yml:5: units: mass: which ton?" in line for line in told)
    assert any("m.yml:3: heading row: 'first' is no row number" in line for line in told)
    _, findings = read_mapping("table: parts\ncolumns: {mass: C}\n", "m.yml")
    assert [str(f) for f in findings] == [
        "m.yml:2: columns: 'name' has no column; name it; without it nothing can be read.",
    ]
    _, findings = read_mapping("- a\n", "m.yml")
    assert str(findings[0]) == "m.yml:1: a mapping file is a mapping; write 'table: parts' and so on."


def test_a_list_of_masses(csv):
    file = csv(
        "id,weight,unit,+/-,state,counts,without,scale,serial,date,by\n"
        "gear-case,158.0,kg,0.5,dry,as listed,none,floor-scale,1187,2026-09-15,fitter\n"
        "gear-case,12 March,kg,,,,,,,,\n"
        "cover,52,kg,,,,,,,15/9/26,\n"
        "lid,,kg,,,,,,,,\n"
    )
    reading = read(file)

    assert reading.sheet.layout.table == "masses"
    told = fates(file)
    one = read(csv("".join(file.read_text().splitlines(keepends=True)[:2])))
    (statement,) = component(one, "gear-case").masses
    assert (statement.printed.text, statement.plus_or_minus.text) == ("158.0 kg", "0.5 kg")
    assert (statement.checked_by, statement.serials.in_words()) == ("fitter", "1187")
    assert "refused: mass (cell B3): the unit 'March' is not known here" in told[3]
    assert told[4] == "refused: on (cell J4): '15/9/26' is no day; write year-month-day, such as 2026-03-09"
    assert told[5] == "taken without a mass: nobody wrote a mass"


def test_a_list_of_notes_comes_in_as_drafts(csv):
    file = csv(
        "about,kind of note,what to look for,hazard,role,date\n"
        "gear-case,tie,Three pipes under the guard.,a pipe tears,fitter,2026-09-15\n"
        "joint=seam,Stick,Sleeve holds on.,,,\n"
        "gear-case,rumour,Something.,,,\n"
        "gear-case,tie,,,,\n"
    )
    reading = read(file)

    assert reading.sheet.layout.table == "notes"
    told = fates(file)
    assert told[4].startswith(
        "refused: kind (cell B4): 'rumour' is no kind of note; write one of: stored energy, "
    )
    assert told[5] == "refused: text (cell C5): is missing; write it"
    from handling_db.files.reading import read_texts

    notes = read_texts(files(reading).items()).collection.notes.values()
    assert {(note.about.kind, note.about.id, note.status, note.on.isoformat()) for note in notes} == {
        ("component", "gear-case", "draft", "2026-09-15"),
        ("joint", "seam", "draft", "2026-11-25"),
    }
    assert files(read(file)) == files(reading), "reading again gives the same notes"


FILES = {
    "list.ods": (b"PK\x03\x04", "cannot be read as a sheet"),
    "old.xlsx": (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "an old .xls file, or one with a password; save it as .xlsx without one"),
    "bad.xlsx": (b"PK\x03\x04 nothing", "damaged, or no XLSX file; save it again as .xlsx"),
    "empty.csv": (b"", "no row of headings was found"),
    "zero.csv": (b"name\0,qty\n", "there is a NUL byte, which no text has; save the table as CSV, UTF-8"),
    "words.csv": (b"hello\nworld\n", "no row of headings was found in the first 40 rows; give a mapping file"),
    "half.csv": (b"name,goes into\nCase,box\n", "no column is taken for quantity; head it so, or give a mapping file"),
    "long.csv": (b'"' + b"x" * 1_200_000 + b'"\n', "longer than 131,072 characters"),
    "merge.csv": (
        b"name,qty,kg each\nCase,1,12\n<<<<<<< ours\nPin,1,2\n=======\nPin,1,3\n>>>>>>> theirs\n",
        "merge.csv:3: lines 3 to 7 hold both sides of a merge that nobody has finished: ours says 'Pin,1,2', theirs says 'Pin,1,3'; keep one side",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", FILES)
def test_files_that_are_no_sheet(name, tmp_path):
    data, told = FILES[name]
    file = tmp_path / name
    file.write_bytes(data)

    reading = read(file)

    assert reading.table is None
    assert any(told in str(finding) for finding in faults(reading)), faults(reading)


def test_a_file_that_is_not_there(tmp_path):
    with pytest.raises(HandlingError, match="no such file"):
        read(tmp_path / "none.xlsx")
    (tmp_path / "a.doc").write_text("x")
    with pytest.raises(HandlingError, match=r"a table ends in \.csv, "):
        read(tmp_path / "a.doc")


@pytest.mark.slow
def test_a_bomb_is_not_unpacked(tmp_path):
    file = tmp_path / "bomb.xlsx"
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as packed:
        for number in range(4):
            packed.writestr(f"xl/{number}.xml", b" " * 80_000_000, compresslevel=1)

    with pytest.raises(SheetError, match="would unpack to 320,000,000 bytes; that is no shop's list"):
        read_grids(file)


def test_a_zip_that_is_no_book(tmp_path):
    file = tmp_path / "zip.xlsx"
    with zipfile.ZipFile(file, "w") as packed:
        packed.writestr("a.txt", "x")

    with pytest.raises(SheetError, match=r"cannot be read as XLSX \(KeyError"):
        read_grids(file)


def test_every_sheet_that_can_be_seen_is_read(tmp_path):
    made = openpyxl.Workbook()
    made.active.append(HEADS)
    made.create_sheet("Other").append(HEADS)
    hidden = made.create_sheet("Hidden")
    hidden.append(HEADS)
    hidden.sheet_state = "hidden"
    file = tmp_path / "two.xlsx"
    made.save(file)

    both = read_file(file)
    assert [found.sheet.grid.name for found in both] == ["Sheet", "Other"]
    assert "the sheet Hidden is hidden and was not read" in str(both[0].findings[0])
    (one,) = read_file(file, HowRead(sheet="other"))
    assert one.sheet.grid.name == "Other"
    (none,) = read_file(file, HowRead(sheet="x"))
    assert "there is no sheet 'x'; there are: Sheet, Other, Hidden" in str(none.findings[0])


@pytest.mark.slow
def test_a_book_that_another_library_wrote_is_read(tmp_path):
    xlsxwriter = importlib.import_module("xlsxwriter")
    file = tmp_path / "other.xlsx"
    made = xlsxwriter.Workbook(str(file))
    sheet = made.add_worksheet("List")
    for column, head in enumerate(HEADS):
        sheet.write(0, column, head)
    for column, value in enumerate(["P-1", "Case", 1, 12.5, "Box"]):
        sheet.write(1, column, value)
    sheet.merge_range("E3:E4", "Box")
    for row in (2, 3):
        sheet.write(row, 1, f"Pin {row}")
        sheet.write(row, 2, 1)
        sheet.write_formula(row, 3, "=1+1", None, 2)
    made.close()

    told = fates(file)

    assert told == {
        2: "taken",
        3: "taken: mass (sheet List, cell D3): worked out in the sheet by =1+1",
        4: "taken: mass (sheet List, cell D4): worked out in the sheet by =1+1",
    }
    assert [line.component for line in component(read(file), "box").parts] == ["case", "pin-2", "pin-3"]


def test_utf16_and_tabs_as_a_spreadsheet_saves_text(csv):
    file = csv("name\tqty\tmass kg\nGehäuse\t1\t12.5\n", "utf-16")

    assert component(read(file), "gehäuse").name == "Gehäuse"


def test_without_the_extra_it_says_what_to_install(book, monkeypatch):
    file = book(one_row("a", "Case", 1, 2, "x"))
    monkeypatch.setitem(sys.modules, "openpyxl", None)

    with pytest.raises(SheetError, match="needs the extra 'sheets'; install it with: pip install"):
        read_grids(file)


@pytest.fixture
def template(tmp_path):
    from handling_db.tables.exports.template import template_file

    file = tmp_path / "t.xlsx"
    template_file(file)
    return file


@pytest.mark.slow
def test_the_template_reads_back_with_its_examples_passed_over(template):
    found = read_file(template)
    assert [one.sheet.layout.table for one in found] == ["parts", "masses", "notes"]
    for one in found:
        grid = one.sheet.grid
        assert one.sheet.layout.own_words
        assert len(one.sheet.layout.columns) == len([cell for cell in grid.rows[0].cells if cell.text])
        assert {fate.why for fate in one.sheet.fates} == {"an example of the template"}
    made = openpyxl.load_workbook(template)
    rules = made["Parts"].data_validations.dataValidation
    assert {rule.formula1 for rule in rules} == {'"kg,lb,g,t"', '"dry,drained,filled"'}
    assert all(
        len(rule.formula1) <= 257
        for name in made.sheetnames
        for rule in made[name].data_validations.dataValidation
    )


@pytest.mark.slow
def test_the_template_filled_from_its_own_examples_is_built(template, tmp_path):
    """Take the word EXAMPLE away, and the rows are records that check finds nothing wrong with."""
    from handling_db.tables.sources import read_paths

    made = openpyxl.load_workbook(template)
    for name in ("Parts", "Masses", "Notes"):
        for row in made[name].iter_rows():
            for cell in row:
                if isinstance(cell.value, str):
                    cell.value = cell.value.removeprefix("EXAMPLE ")
    made["Help"]["B1"] = "point"
    made.save(template)

    reading = read_paths([template])

    assert [str(f) for f in reading.findings if f.verdict == "fault"] == []
    found = reading.collection
    assert found.components.keys() == {"gear-section", "gear-case", "cover-bolt"}
    case = found.components["gear-case"]
    assert len(case.masses) == 2  # one from each sheet, one component
    assert case.masses[0].plus_or_minus.text == "0.5 kg"
    assert [line.quantity.text for line in found.components["gear-section"].parts] == ["1", "14"]
    assert found.components["cover-bolt"].masses[0].printed.text == "0.167143 kg"
    assert {found.sources[s.source].kind for s in case.masses} == {"weighed"}
    assert [note.about.id for note in found.notes.values()] == ["gear-section"]


@pytest.mark.slow
def test_every_kind_of_source_that_the_help_names_is_taken(template):
    from handling_db.tables.sources import read_paths

    made = openpyxl.load_workbook(template)
    told = next(row[1].value for row in made["Help"].iter_rows() if row[0].value == "Sources")
    kinds = told.partition(": ")[2].split("; ")
    parts = made["Parts"]
    heads = {cell.value: cell.column for cell in parts[1]}
    for row, kind in enumerate(kinds, 2):
        for head in heads:
            parts.cell(row, heads[head]).value = None
        for head, value in {"name": f"Part {row}", "mass": 12.5, "unit": "kg", "source": kind}.items():
            parts.cell(row, heads[head]).value = value
    made["Help"]["B1"] = "point"
    made.save(template)

    reading = read_paths([template])

    assert [str(f) for f in reading.findings if f.verdict == "fault"] == []
    used = {
        reading.collection.sources[m.source].kind
        for c in reading.collection.components.values()
        for m in c.masses
    }
    assert used == set(kinds) == set(reading.collection.source_kinds)


@pytest.mark.parametrize(("column", "text"), [(0, "A"), (25, "Z"), (26, "AA"), (701, "ZZ"), (702, "AAA")])
def test_letters_of_columns(column, text):
    assert letters(column) == text
