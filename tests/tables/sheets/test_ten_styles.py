"""Ten sheets of ten styles as shops have them, all invented: what each piece weighs, what goes into what, what is told.

Masses are held against figures worked out here from what the sheet shows, in exact kilograms.
"""

from __future__ import annotations

import importlib
from fractions import Fraction
from pathlib import Path

from handling_db.tables.read import HowRead, TableReading, read_file

openpyxl = importlib.import_module("openpyxl")
importlib.import_module("python_calamine")
LB = Fraction(45359237, 100_000_000)
DATA = Path(__file__).parents[2] / "data"


def kilograms(reading: TableReading) -> dict[str, Fraction]:
    """What each piece weighs by name: the first figure that was taken."""
    table = reading.table
    assert table is not None, [str(finding) for finding in reading.findings]
    to = table.statements
    factor = {"kg": Fraction(1), "lb": LB, "g": Fraction(1, 1000)}
    found: dict[str, Fraction] = {}
    for index, node in enumerate(to.node):
        found.setdefault(table.names[node], Fraction(to.number[index]) * factor[to.unit[index]])
    return found


def lines(reading: TableReading) -> set[tuple[str, str, float]]:
    """Which piece goes into which, how often, by name."""
    table = reading.table
    assert table is not None
    usage = table.usage
    return {
        (table.names[p], table.names[c], q)
        for p, c, q in zip(usage.parent, usage.child, usage.quantity, strict=True)
    }


def fates(reading: TableReading) -> dict[int, str]:
    assert reading.sheet is not None
    return {fate.row: f"{fate.fate}: {fate.why}".removesuffix(": ") for fate in reading.sheet.fates}


def faults(reading: TableReading) -> list[str]:
    return [str(finding) for finding in reading.findings if finding.verdict == "fault"]


def F(text: str) -> Fraction:  # noqa: N802 - a figure, as short as it can be in tables of expectations
    return Fraction(text)


def test_1_a_german_list_with_outline_numbers_and_headings_in_two_rows(tmp_path: Path) -> None:
    file = tmp_path / "stueckliste.csv"
    text = (
        "Stückliste Endantrieb;;;;\r\n;;;;\r\nPos.;Sachnummer;Benennung;Stück;Gewicht je Stück\r\n;;;;kg\r\n"
        "1;4711;Endantrieb;1;\r\n1.1;4712;Gehäuse;1;1.250,0\r\n1.2;4713;Planetenträger;2;\r\n"
        "1.2.1;4714;Planetenrad;3;12,5\r\n1.2.2;4715;Bolzen;3;0,85\r\n1.3;4716;Schraube M16;24;98,125\r\n"
        ";;Summe;;3685,1\r\n"
    )
    file.write_bytes(text.encode("cp1252"))

    (unsaid,) = read_file(file)
    assert unsaid.table is None
    assert "'98,125' may be 98125 or 98.125" in faults(unsaid)[0]

    (reading,) = read_file(file, HowRead("comma"))
    assert faults(reading) == []
    assert kilograms(reading) == {
        "Gehäuse": F("1250"), "Planetenrad": F("12.5"), "Bolzen": F("0.85"), "Schraube M16": F("98.125"),
    }  # fmt: skip
    assert lines(reading) == {
        ("Endantrieb", "Gehäuse", 1), ("Endantrieb", "Planetenträger", 2), ("Planetenträger", "Planetenrad", 3),
        ("Planetenträger", "Bolzen", 3), ("Endantrieb", "Schraube M16", 24),
    }  # fmt: skip
    # 1250 + 2 (3 x 12.5 + 3 x 0.85) + 24 x 98.125 = 3685.1
    assert fates(reading)[11].endswith("agrees")
    assert any("read as Windows-1252" in finding.sentence for finding in reading.findings)


def test_2_an_american_list_with_part_numbers_for_the_next_assembly(tmp_path: Path) -> None:
    file = tmp_path / "bom.csv"
    file.write_text(
        "ITEM,P/N,QTY.,WT EA. (LBS),NEXT ASSY,REMARKS\n"
        'Axle,A-1,1,,,"all; with oil"\nCase,A-2,1,348,A-1,"see sheet 2; loose"\n'
        "Shaft,A-3,1,98.125,A-1,\nBolt,A-4,14,0.37,A-1,\nPlug,A-5,2,3/4,A-2,\nSeal,A-6,1,tbd,A-2,\n"
    )

    (reading,) = read_file(file)

    assert faults(reading) == []
    assert kilograms(reading) == {
        "Case": 348 * LB, "Shaft": F("98.125") * LB, "Bolt": F("0.37") * LB, "Plug": F("0.75") * LB,
    }  # fmt: skip
    assert ("Case", "Plug", 2) in lines(reading)
    assert fates(reading)[7] == "taken without a mass: nobody wrote a mass"
    assert reading.table is not None
    assert reading.table.statements.given[3]["step"] == ("0.25", "lb"), "a fraction shows its step"


def test_3_a_book_with_a_title_merged_assemblies_and_a_hidden_row(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Weights"
    for row in (
        ["Weights of the transfer box, spring 2026"], [], ["Assembly", "Part", "Part no.", "No off", "Mass each"],
        ["Transfer box", "Housing", "12-0031", 1, 61.5], [None, "Gear", "12-0032", 2, 8.25],
        [None, "Old gear", "12-0033", 2, 8.5], ["Yoke set", "Yoke", "12-0034", 1, 4],
        [None, "Bearing", None, 4, 0.3],
    ):  # fmt: skip
        sheet.append(row)
    sheet.merge_cells("A4:A6")
    sheet.merge_cells("A7:A8")
    sheet.row_dimensions[6].hidden = True
    for row in range(4, 9):
        sheet.cell(row, 5).number_format = '0.00 "kg"'
    import datetime

    sheet["C8"] = datetime.datetime(2026, 3, 12)  # was 3-12
    file = tmp_path / "weights.xlsx"
    book.save(file)

    (reading,) = read_file(file)

    assert kilograms(reading) == {"Housing": F("61.5"), "Gear": F("8.25"), "Yoke": 4}
    assert lines(reading) == {
        ("Transfer box", "Housing", 1), ("Transfer box", "Gear", 2), ("Yoke set", "Yoke", 1),
    }  # fmt: skip
    assert fates(reading)[6].startswith("passed over: hidden")
    assert fates(reading)[8].startswith(
        "refused: part number (sheet Weights, cell C8): is a date (2026-03-12); a text such as 3-12 was turned into"
    )
    assert reading.table is not None
    assert reading.table.statements.number[0] == "61.50", "zeros that the format shows are digits"
    assert not any(reading.table.lists_all(node) for node in range(len(reading.table.codes)))


def test_4_an_open_document_with_levels_and_units_in_the_cells(tmp_path: Path) -> None:
    from odf.opendocument import OpenDocumentSpreadsheet
    from odf.table import Table, TableCell, TableRow
    from odf.text import P

    book, sheet = OpenDocumentSpreadsheet(), Table(name="Tabelle1")
    rows: list[tuple[list[str], bool]] = [
        (["Ebene", "Bezeichnung", "Anzahl", "Masse"], False), (["0", "Winde", "1", ""], False),
        (["1", "Trommel", "1", "14,2 kg"], False), (["2", "Lager", "2", "350 g"], False),
        (["1", "Kurbel", "2", "unbekannt"], False), (["1", "Alte Kurbel", "2", "3,5 kg"], True),
        (["3", "Splint", "1", "0,02 kg"], False),
    ]  # fmt: skip
    for cells, hidden in rows:
        line = TableRow(visibility="collapse") if hidden else TableRow()
        for text in cells:
            cell = TableCell(valuetype="string")
            cell.addElement(P(text=text))
            line.addElement(cell)
        sheet.addElement(line)
    book.spreadsheet.addElement(sheet)
    file = tmp_path / "winde.ods"
    book.save(str(file))

    (unsaid,) = read_file(file)
    assert "'14,2 kg' has a decimal comma" in faults(unsaid)[0]
    (reading,) = read_file(file, HowRead("comma"))
    assert kilograms(reading) == {"Trommel": F("14.2"), "Lager": F("0.35")}
    assert lines(reading) == {("Winde", "Trommel", 1), ("Trommel", "Lager", 2), ("Winde", "Kurbel", 2)}
    assert fates(reading)[6].startswith("passed over: hidden")
    assert "level 3 has no row of level 2 above it" in fates(reading)[7]


def test_5_tabs_in_utf_16_with_a_column_that_counts_pieces(tmp_path: Path) -> None:
    file = tmp_path / "export.txt"
    file.write_bytes(
        "Material\tDescription\tQty\tUOM\tNet weight\tWeight unit\n"
        "10001\tHub\t1\tEA\t830\tLB\n10002\tRing\t4\tEA\t12.75\tKG\n".encode("utf-16")
    )

    (reading,) = read_file(file)

    # Two columns of units: which is that of the masses nobody can tell, so nothing is taken.
    assert reading.table is None
    assert "the columns D 'UOM' and F 'Weight unit' both mean unit" in faults(reading)[0]
    file.write_bytes(
        "Material\tDescription\tQty\tUOM\tNet weight [kg]\n10001\tHub\t1\tEA\t830\n10002\tRing\t4\tEA\t12.75\n".encode(
            "utf-16"
        )
    )
    (reading,) = read_file(file)
    assert kilograms(reading) == {"Hub": 830, "Ring": F("12.75")}


def test_6_names_set_in_and_two_columns_of_one_source(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.append(["Name", "Qty", "Weight each (lb)", "Weight each (kg)"])
    for depth, name, count, pounds, kilos in (
        (0, "Final drive", 1, None, None), (1, "Hub", 1, 920, 417), (2, "Stud", 20, 1.1, 0.5), (1, "Sun", 1, 44, 20),
    ):  # fmt: skip
        sheet.append([name, count, pounds, kilos])
        sheet.cell(sheet.max_row, 1).alignment = openpyxl.styles.Alignment(indent=depth)
    file = tmp_path / "indents.xlsx"
    book.save(file)

    (reading,) = read_file(file)

    assert faults(reading) == []
    assert lines(reading) == {("Final drive", "Hub", 1), ("Hub", "Stud", 20), ("Final drive", "Sun", 1)}
    assert kilograms(reading)["Hub"] == 920 * LB
    assert reading.table is not None
    assert [more["also"] for more in reading.table.statements.more.values()] == ["417 kg", "0.5 kg", "20 kg"]


def test_7_line_weights_with_subtotals(tmp_path: Path) -> None:
    file = tmp_path / "lines.csv"
    file.write_text(
        "Description,Qty,Ext. weight lb,Goes into\nHead,1,158,Engine\nValve,16,24.0,Engine\nSubtotal,,182.0,\n"
        "Pan,1,31.5,Engine\nBolt,22,5.50,Engine\nSubtotal,,47.0,\nTOTAL,,219,\n"
    )

    (reading,) = read_file(file)

    found = kilograms(reading)
    assert found["Head"] == 158 * LB
    assert abs(found["Valve"] - F("1.5") * LB) < F("0.00001")
    table = reading.table
    assert table is not None
    assert [w for w in table.statements.doubt if w == "stated"] == ["stated"] * 2
    assert fates(reading)[4].endswith("agrees")
    assert fates(reading)[7].endswith("disagrees"), "31.5 + 5.5 is 37"
    assert fates(reading)[8].endswith("agrees")
    assert [finding.rule for finding in reading.findings if finding.verdict == "disagrees"] == ["totals-row"]
    assert not {"Subtotal", "TOTAL"} & set(table.names)


def test_8_a_swiss_list_that_states_its_sign_in_a_cell(tmp_path: Path) -> None:
    file = tmp_path / "liste.csv"
    file.write_text(
        "Dezimalzeichen:;Punkt\n\nBauteil;Stk.;Einzelgewicht (kg);gehört zu\n"
        "Rahmen;1;1'250.500;Anlage\nMotor;2;98.125;Anlage\nAnlage;1;;\n", "utf-8"
    )  # fmt: skip

    (reading,) = read_file(file)

    assert faults(reading) == []
    assert kilograms(reading) == {"Rahmen": F("1250.5"), "Motor": F("98.125")}
    assert lines(reading) == {("Anlage", "Rahmen", 1), ("Anlage", "Motor", 2)}


def test_9_an_old_book(tmp_path: Path) -> None:
    """tests/data/old-list.xls, written by xlwt: a list of 1999 as it was kept."""
    (reading,) = read_file(DATA / "old-list.xls")

    assert faults(reading) == []
    assert kilograms(reading) == {"Drum": F("142.5"), "Brake band": F("17.25")}
    assert lines(reading) == {("Hoist", "Drum", 1), ("Hoist", "Brake band", 2)}
    assert any("does not show which rows or columns are hidden" in f.sentence for f in reading.findings)


def test_10_a_list_of_weighings(tmp_path: Path) -> None:
    file = tmp_path / "weighings.csv"
    file.write_text(
        "id,weight,unit,+/-,state,source,serial,date,by\n"
        "gear-case,158.0,kg,0.5,dry,weighed,1187,2026-09-15,fitter\ngear-case,158.4,kg,0.5 %,dry,weighed,1201,2026-09-16,fitter\n"
        "cover,348 lb,kg,2 lb,,,,,\nhub,415 ± 5,kg,,,,,,\nlid,12 March,kg,,,,,,\npan,52,kg,,,,,15/9/26,\n"
    )

    (reading,) = read_file(file)

    assert reading.table is not None
    to = reading.table.statements
    told = [(to.printed(i), to.given.get(i, {}).get("plus_minus")) for i in range(len(to))]
    assert told == [
        ("158.0 kg", ("0.5", "kg")), ("158.4 kg", ("0.792", "kg")), ("348 lb", ("2", "lb")), ("415 kg", ("5", "kg")),
    ]  # fmt: skip
    assert [to.more[i].get("serial") for i in range(2)] == ["1187", "1201"], "two units, two statements"
    assert "refused: mass (cell B6): the unit 'March' is not known here" in fates(reading)[6]
    assert "refused: on (cell H7): '15/9/26' is no day" in fates(reading)[7]
