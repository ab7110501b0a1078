"""Sheets as shops write them, by chance, each with its truth: what every piece weighs, how many, into what.

The writer knows nothing of the reader but the file: languages, units, decimal signs, separators, code pages,
layouts, ways to show a tree, totals, blank and hidden rows, figures for one piece or for all, and cells that are
no figure. Where the reader asks for the decimal sign it is told the true one.
"""

from __future__ import annotations

import csv
import io
import random
import tempfile
from collections import Counter
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path

from handling_db.tables.read import HowRead, TableReading, read_file
from tests.attacks import Counts

LB = Fraction(45359237, 100_000_000)  # kg, exact (NIST SP 811)
KG_OF = {"kg": Fraction(1), "lb": LB, "g": Fraction(1, 1000), "t": Fraction(1000)}

NAMES = {
    "en": ["Gear case", "Input shaft", "Ring gear", "Bearing cup", "Cover", "Dowel pin", "Bolt M12", "Seal ring",
           "Planet carrier", "Thrust washer", "Brake disc", "Housing, left", "Yoke", "Spacer 4 mm", "Plug 1/2 in",
           "Oil pan", "Hub \"A\"", "Lock plate; bent", "Shim +0.2", "Lever - short"],
    "de": ["Gehäuse", "Antriebswelle", "Tellerrad", "Lagerschale", "Deckel", "Passstift", "Schraube M12",
           "Dichtring", "Planetenträger", "Anlaufscheibe", "Bremsscheibe", "Gehäuse, links", "Gabel",
           "Distanzring 4 mm", "Stopfen 1/2\"", "Ölwanne", "Nabe", "Sicherungsblech; gebogen", "Hülse ø30", "Hebel"],
}  # fmt: skip
HEADS = {
    "en": {
        "name": ["Description", "Item", "Name", "Part name", "DESCRIPTION", "Item description", "Designation"],
        "number": ["Part no", "P/N", "Part Number", "Part #", "Item no.", "Drawing No"],
        "quantity": ["Qty", "Quantity", "QTY.", "No off", "Pcs", "Count"],
        "each": ["Weight each", "wt each", "Wt. ea", "Unit weight", "Mass each", "Piece weight"],
        "bare": ["Weight", "Wt", "WEIGHT", "mass"],
        "all": ["Total weight", "Total wt", "Line weight", "Ext. weight", "Weight total"],
        "parent": ["Assy", "Next assy", "Goes into", "Assembly", "Parent", "next assembly"],
        "unit": ["Unit", "UOM", "Units"], "level": ["Level", "Lvl", "Indent level"],
        "outline": ["Pos", "Item", "Pos.", "Find no"],
        "doubt": ["+/-", "Tolerance", "plus or minus", "±"], "remark": ["Remarks", "Notes", "Comment"],
        "total": ["TOTAL", "Total", "Grand total", "Total weight", "Sum"], "sub": ["Subtotal", "Sub total"],
        "noise": ["Price", "Supplier", "Bin", "Material", "Width mm"],
    },
    "de": {
        "name": ["Benennung", "Bezeichnung", "Bauteil", "BENENNUNG", "Teilebezeichnung"],
        "number": ["Teile-Nr.", "Sachnummer", "Zeichnungsnummer", "Art.-Nr.", "Ident-Nr."],
        "quantity": ["Stück", "Stk.", "Anzahl", "Menge", "Stückzahl"],
        "each": ["Einzelgewicht", "Gewicht je Stück", "Stückgewicht", "Gewicht/Stk", "Einzelgew."],
        "bare": ["Gewicht", "Masse", "Gew."],
        "all": ["Gesamtgewicht", "Gewicht gesamt", "Ges.-Gew.", "Gesamtgew."],
        "parent": ["Baugruppe", "gehört zu", "Oberbaugruppe"],
        "unit": ["Einheit", "Einh."], "level": ["Ebene", "Stufe"], "outline": ["Pos", "Pos.", "Pos.-Nr."],
        "doubt": ["Toleranz", "+/-", "Unsicherheit"], "remark": ["Bemerkung", "Anmerkung", "Hinweis"],
        "total": ["Summe", "Gesamt", "Gesamtgewicht", "Gesamtsumme"], "sub": ["Zwischensumme"],
        "noise": ["Preis", "Lieferant", "Lagerort", "Werkstoff"],
    },
}  # fmt: skip
NO_FIGURE = [
    "about 12",
    "12-14",
    "~12",
    "12 ton",
    "30#",
    "heavy",
    "1.2.3",
    "<5",
    "12 kg 500 g",
    "see drawing",
]
NOBODY_KNOWS = ["", "?", "-", "n/a", "tbd"]


@dataclass
class Piece:
    """One row of the truth: masses in kilograms, None where nobody knows or the cell is no figure."""

    name: str
    number: str
    count: int
    level: int
    parent: int | None
    kg: Fraction | None
    figure: str = ""  # of one piece, in its unit, with a point
    unit: str = "kg"
    hostile: bool = False  # its row must be refused
    hidden: bool = False
    open: bool = False  # the heading leaves open whether its mass is of one piece, and no total settles it
    half: Fraction = Fraction(0)  # how far a share of several may be off, in kilograms


@dataclass
class Truth:
    """A sheet's truth and what has to be said of it."""

    path: Path
    pieces: list[Piece]
    decimal: str
    must_refuse: bool = (
        False  # nothing may be taken: a bare heading over line masses that the total gives away
    )
    style: str = ""
    wrong: list[str] = field(default_factory=list)


def _figure(rng: random.Random) -> str:
    kind = rng.randrange(8)
    if kind == 0:
        return str(rng.randrange(1, 60))
    if kind == 1:
        return str(rng.choice([415, 450, 830, 1250, 2400, 12500, 158, 1000]))
    if kind == 2:
        return f"{rng.randrange(1, 400)}.{rng.randrange(1, 10)}"
    if kind == 3:
        return f"{rng.randrange(0, 40)}.{rng.randrange(1, 1000):03d}"
    if kind == 4:
        return f"{rng.randrange(1, 300)}.{rng.randrange(0, 100):02d}"
    if kind == 5:
        return f"{rng.randrange(1000, 3000)}.{rng.randrange(0, 10)}"
    if kind == 6:
        return f"0.{rng.randrange(1, 1000):03d}"
    return f"{rng.randrange(1, 999)}.{rng.randrange(0, 1000):03d}"


def written(figure: str, decimal: str, rng: random.Random, *, group: bool) -> str:
    """A figure as somebody types it: with the sheet's decimal sign, and perhaps thousands."""
    whole, _, places = figure.partition(".")
    sign, between = (".", ",") if decimal == "point" else (",", ".")
    if group and len(whole) > 3:
        whole = f"{int(whole):,}".replace(",", between)
    return f"{whole}{sign}{places}" if places else whole


def _pieces(rng: random.Random, language: str, *, deep: bool) -> list[Piece]:
    names = rng.sample(NAMES[language], rng.randrange(3, 12))
    top = rng.choice(
        {"en": ["Axle", "Gearbox", "Final drive"], "de": ["Achse", "Getriebe", "Endantrieb"]}[language]
    )
    pieces = [Piece(top, "G-100", 1, 0, None, None)]
    for i, name in enumerate(names):
        level = 1
        parent = 0
        if deep and len(pieces) > 2 and rng.random() < 0.35 and pieces[-1].level < 3:
            level, parent = pieces[-1].level + 1, len(pieces) - 1
        elif deep and pieces[-1].level > 1 and rng.random() < 0.5:
            level, parent = pieces[-1].level, pieces[-1].parent or 0
        pieces.append(Piece(name, f"P-{i + 11}", rng.choice([1, 1, 1, 2, 4, 14]), level, parent, None))
    inside = {piece.parent for piece in pieces}
    for i, piece in enumerate(pieces):
        if i not in inside:
            piece.figure = _figure(rng)
    return pieces


def make(rng: random.Random, folder: Path) -> Truth:
    """Write one sheet and give its truth."""
    language = rng.choice(["en", "de"])
    words = {name: rng.choice(choices) for name, choices in HEADS[language].items()}
    decimal = "comma" if language == "de" and rng.random() < 0.85 else "point"
    kind = rng.choices(["csv", "xlsx", "ods"], [6, 3, 1])[0]
    tree = rng.choice(["parent", "level", "outline", "indent", "parent", "none"])
    figures = rng.choice(["each", "each", "bare", "all", "both", "line under bare"])
    pieces = _pieces(rng, language, deep=tree in ("level", "outline", "indent", "parent"))
    if tree == "none":
        pieces = [Piece(p.name, p.number, p.count, 0, None, None, p.figure) for p in pieces if p.figure]
    unit = rng.choice(["kg", "kg", "lb"] if language == "en" else ["kg", "kg", "kg", "g"])
    unit_at = rng.choice(["heading", "heading", "column", "cell", "second row"])
    group = rng.random() < 0.3
    mixed = unit_at in ("column", "cell") and rng.random() < 0.5
    doubt = figures in ("each", "bare") and rng.random() < 0.25
    for piece in pieces:
        if not piece.figure:
            continue
        piece.unit = rng.choice(["kg", "lb"]) if mixed else unit
        piece.kg = Fraction(piece.figure) * KG_OF[piece.unit]
    with_total = figures == "line under bare" or rng.random() < 0.4
    stored_numbers = kind != "csv" and rng.random() < 0.7 and unit_at != "cell"

    columns: list[str] = ["name"]
    if rng.random() < 0.7:
        columns.insert(rng.randrange(2), "number")
    if tree in ("level", "outline"):
        columns.insert(0, tree)
    columns.append("quantity")
    if figures in ("each", "bare", "line under bare", "both"):
        columns.append("mass")
    if figures in ("all", "both"):
        columns.append("all")
    if unit_at == "column":
        columns.append("unit")
    if doubt:
        columns.append("doubt")
    if tree == "parent":
        columns.insert(rng.randrange(1, len(columns) + 1), "parent")
    if rng.random() < 0.4:
        columns.append("remark")
    if rng.random() < 0.4:
        columns.insert(rng.randrange(1, len(columns) + 1), "noise")

    def head(column: str) -> str:
        name = {"mass": "bare" if figures in ("bare", "line under bare") else "each"}.get(column, column)
        text = words[name]
        if column == "outline" and "item" in text.lower() and words["name"].lower().startswith("item"):
            text = "Pos"
        if column in ("mass", "all") and unit_at == "heading":
            return rng.choice(["{} ({})", "{} [{}]", "{} {}", "{} in {}"]).format(text, unit)
        return text

    heads = [head(column) for column in columns]
    second = [unit if column in ("mass", "all") else "" for column in columns]

    rows: list[list[object]] = []
    hidden: set[int] = set()
    outline: dict[int, str] = {}
    counts: Counter[int | None] = Counter()
    total = Fraction(0)
    certain = True
    order = list(range(len(pieces)))
    if tree == "parent" and rng.random() < 0.3:
        rng.shuffle(order)
    for i in order:
        piece = pieces[i]
        if rng.random() < 0.06:
            rows.append([""] * len(columns))
        counts[piece.parent] += 1
        above = outline.get(piece.parent, "") if piece.parent is not None else ""
        outline[i] = f"{above}.{counts[piece.parent]}".lstrip(".")
        said: str | None = None  # a cell that is no figure, or that nobody knows
        if piece.figure and rng.random() < 0.06:
            piece.hostile = rng.random() < 0.5
            said = rng.choice(NO_FIGURE) if piece.hostile else rng.choice(NOBODY_KNOWS)
            piece.kg = None
            certain = False
        hide = kind == "xlsx" and piece.figure and said is None and rng.random() < 0.03
        if hide:
            piece.hidden = True
            certain = False
        how = How(decimal, unit_at, figures, tree, group=group, numbers=stored_numbers)
        cells = [_cell(column, piece, pieces, outline[i], said, rng, how) for column in columns]
        if piece.kg is not None:
            times = Fraction(1)
            walk: Piece | None = piece
            while walk is not None:
                times *= walk.count
                walk = pieces[walk.parent] if walk.parent is not None else None
            total += piece.kg * (piece.count if figures == "line under bare" else times)
            if figures == "all" and piece.count != 1:
                piece.half = Fraction(1, 10**6) * KG_OF[piece.unit] + _step(piece.figure) * KG_OF[piece.unit]
        rows.append(cells)
        if hide:
            hidden.add(len(rows))
    if figures == "line under bare":
        for piece in pieces:
            piece.half = Fraction(0)
    if with_total and not mixed:
        name_at, mass_at = columns.index("name"), columns.index("mass" if "mass" in columns else "all")
        shown = str(round(float(total / KG_OF[unit]), 3))
        cells = [""] * len(columns)
        cells[name_at] = words["total"]
        text = written(shown, decimal, rng, group=group)
        cells[mass_at] = float(shown) if stored_numbers else f"{text} {unit}" if unit_at == "cell" else text
        if unit_at == "column":
            cells[columns.index("unit")] = unit
        rows.append(cells)
    if rng.random() < 0.1:
        rows.insert(rng.randrange(len(rows)) if tree in ("parent", "none") else 0, list(heads))
        hidden = {at + 1 for at in hidden} if hidden else hidden
        hidden = set()
        for piece in pieces:
            piece.hidden = False
    above: list[list[object]] = []
    if rng.random() < 0.3:
        above = [[rng.choice(["Parts list", "Stückliste Achse", "Weights 2026"])], []]
    table = [*above, heads, *([second] if unit_at == "second row" else []), *rows]
    first = len(above) + 1 + (unit_at == "second row")
    path = folder / f"sheet.{kind}"
    separator = ""
    if kind == "csv":
        separator = _write_csv(path, table, decimal, rng)
    elif kind == "xlsx":
        _write_xlsx(path, table, {first + at for at in hidden}, rng, tree, columns)
    else:
        _write_ods(path, table)
    several = any(p.figure and p.count != 1 and p.kg is not None for p in pieces)
    refuse = figures == "line under bare" and certain and several and not mixed
    if figures == "line under bare" and not refuse:
        for (
            piece
        ) in pieces:  # nothing in the sheet tells: it must be said, and there is no truth to compare with
            piece.open = piece.figure != "" and piece.count != 1
    style = f"{kind} {separator!r} {language} {decimal} {tree} {figures} {unit_at} {'text' if not stored_numbers else ''}"
    return Truth(path, pieces, decimal, refuse, style)


def word_of(name: str) -> str:
    """A name without what ids leave out."""
    return "".join(sign for sign in name.casefold() if sign.isalnum())


def _step(figure: str) -> Fraction:
    return Fraction(1, 10 ** len(figure.partition(".")[2]))


@dataclass(frozen=True)
class How:
    """How a sheet is written."""

    decimal: str
    unit_at: str
    figures: str
    tree: str
    group: bool
    numbers: bool


def _cell(
    column: str,
    piece: Piece,
    pieces: list[Piece],
    outline: str,
    said: str | None,
    rng: random.Random,
    how: How,
) -> object:
    decimal, figures, numbers = how.decimal, how.figures, how.numbers
    if column == "name":
        return ("   " * piece.level if how.tree == "indent" else "") + piece.name
    if column == "number":
        return piece.number
    if column == "quantity":
        return piece.count if numbers else str(piece.count)
    if column == "parent":
        above = pieces[piece.parent] if piece.parent is not None else None
        return above.name if above else ""
    if column == "level":
        return str(piece.level)
    if column == "outline":
        return outline
    if column == "unit":
        return piece.unit if piece.figure else ""
    if column == "doubt":
        return written("0.5", decimal, rng, group=False) if piece.figure and said is None else ""
    if column == "remark":
        return rng.choice(["", "a; b; c", "siehe Blatt 2; lose", "with, commas, in it", "1.250", "12,5"])
    if column == "noise":
        return rng.choice(["", "12.50", "1.250,00", "A-3", "steel"])
    if not piece.figure:
        return ""
    figure = piece.figure
    if column == "all" or (column == "mass" and figures == "line under bare"):
        exact = Fraction(figure) * piece.count
        places = len(figure.partition(".")[2])
        figure = f"{float(exact):.{places}f}" if places else str(exact)
    if said is not None:
        return said if column == "mass" or "mass" not in figures else ""
    if numbers:
        return float(figure)
    text = written(figure, decimal, rng, group=how.group)
    return f"{text} {piece.unit}" if how.unit_at == "cell" else text


def _write_csv(path: Path, table: list[list[object]], decimal: str, rng: random.Random) -> str:
    separator = rng.choice([";", ";", "\t", ","] if decimal == "comma" else [",", ",", ";", "\t"])
    out = io.StringIO(newline="")
    csv.writer(out, delimiter=separator, lineterminator=rng.choice(["\r\n", "\n"])).writerows(table)
    text = out.getvalue()
    for code in rng.sample(["utf-8", "utf-8-sig", "cp1252", "utf-16", "cp850"], 5):
        try:
            path.write_bytes(text.encode(code))
            return separator
        except UnicodeEncodeError:
            continue
    raise AssertionError("no encoding")


def _write_xlsx(
    path: Path, table: list[list[object]], hidden: set[int], rng: random.Random, tree: str, columns: list[str]
) -> None:
    import openpyxl

    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = rng.choice(["Sheet1", "Tabelle1", "Weights"])
    for number, row in enumerate(table, 1):
        for column, value in enumerate(row, 1):
            if value != "":
                sheet.cell(number, column, value)
    for number in hidden:
        sheet.row_dimensions[number].hidden = True
    book.save(path)


def _write_ods(path: Path, table: list[list[object]]) -> None:
    from odf.opendocument import OpenDocumentSpreadsheet
    from odf.table import Table, TableCell, TableRow
    from odf.text import P, S

    book = OpenDocumentSpreadsheet()
    sheet = Table(name="Tabelle1")
    for row in table:
        line = TableRow()
        for value in row or [""]:
            if value == "":
                cell = TableCell()
            elif isinstance(value, str):
                cell = TableCell(valuetype="string")
                text = value.lstrip(" ")
                p = P()
                if len(value) > len(text):
                    p.addElement(S(c=len(value) - len(text)))
                p.addText(text)
                cell.addElement(p)
            else:
                cell = TableCell(valuetype="float", value=repr(float(value)))  # type: ignore[arg-type]
                cell.addElement(P(text=str(value)))
            line.addElement(cell)
        sheet.addElement(line)
    book.spreadsheet.addElement(sheet)
    book.save(str(path))


def judge(truth: Truth, counts: Counter[str]) -> list[str]:
    """Read a sheet, tell the decimal sign where it is asked for, and hold what was taken against the truth."""
    counts["sheets"] += 1
    (reading,) = read_file(truth.path, HowRead())
    if any("decimal sign of this sheet is not stated" in finding.sentence for finding in reading.findings):
        counts["decimal sign asked for"] += 1
        (reading,) = read_file(truth.path, HowRead(truth.decimal))
    return _compare(truth, reading, counts)


def _compare(truth: Truth, reading: TableReading, counts: Counter[str]) -> list[str]:
    wrong: list[str] = []
    table = reading.table
    weighed = [p for p in truth.pieces if p.kg is not None and not p.hidden and not p.hostile and not p.open]
    told_open = any(finding.rule in ("of-one-or-all", "totals-row") for finding in reading.findings)
    if truth.must_refuse:
        counts["line masses under a bare heading"] += 1
        if table is not None and not told_open:  # both readings fit the total: that is said
            wrong.append("taken though the total shows that the heading means all pieces")
        return wrong
    counts["rows"] += len(weighed)
    if table is None:
        counts["refused as a whole"] += 1
        return wrong
    by_name: dict[str, list[int]] = {}
    called = {word_of(p.name): " ".join(p.name.split()) for p in truth.pieces}
    for node, name in enumerate(table.names):
        by_name.setdefault(called.get(word_of(name), name), []).append(node)
    statements = table.statements
    masses: dict[int, list[int]] = {}
    for index, node in enumerate(statements.node):
        masses.setdefault(node, []).append(index)
    known = {" ".join(p.name.split()): p for p in truth.pieces}
    for name, nodes in by_name.items():
        piece = known.get(name)
        taken = [index for node in nodes for index in masses.get(node, ())]
        if piece is None:
            if taken:
                wrong.append(f"a piece {name!r} that is none has a mass")
            continue
        if piece.hostile and not truth.must_refuse and piece.kg is None and taken:
            wrong.append(f"{name}: a mass out of a cell that is no figure")
        for index in taken:
            kg = Fraction(statements.number[index]) * KG_OF[statements.unit[index]]
            if piece.open and told_open and piece.kg is not None:
                continue
            if piece.kg is None or abs(kg - piece.kg) > piece.half:
                told = f"{name}: {statements.printed(index)} taken, the truth is {piece.figure} {piece.unit}"
                wrong.append(told)
        if taken and piece in weighed:
            counts["rows taken"] += 1
    wrong += _tree(truth, reading)
    return wrong


def _tree(truth: Truth, reading: TableReading) -> list[str]:
    """Part lines that are not so; those of refused rows may be missing, and then the list says so."""
    table = reading.table
    assert table is not None
    called = {
        word_of(p.name): " ".join(p.name.split()) for p in truth.pieces
    }  # of refused rows only the id is kept
    names = [called.get(word_of(name), name) for name in table.names]
    usage = table.usage
    found = Counter(
        (names[p], names[c], q) for p, c, q in zip(usage.parent, usage.child, usage.quantity, strict=True)
    )
    meant = Counter(
        (" ".join(truth.pieces[p.parent].name.split()), " ".join(p.name.split()), float(p.count))
        for p in truth.pieces
        if p.parent is not None
    )
    return [f"a part line that is none: {line}" for line in found - meant if line[0] in {m[0] for m in meant}]


def run(rng: random.Random, count: int) -> Counts:
    """Write and read so many sheets."""
    counts: Counter[str] = Counter({"wrong in silence": 0, "tracebacks": 0})
    with tempfile.TemporaryDirectory() as folder:
        for _ in range(count):
            state = rng.getrandbits(64)
            truth = None
            try:
                truth = make(random.Random(state), Path(folder))
                wrong = judge(truth, counts)
            except Exception as error:  # whatever it is, it must not happen
                counts["tracebacks"] += 1
                wrong = [f"{type(error).__name__}: {error}"]
            else:
                counts["wrong in silence"] += bool(wrong)
            if wrong and counts["shown"] < 20:
                counts["shown"] += 1
                print(f"sheet {state}: {truth.style if truth else ''}: {wrong[:3]}", flush=True)
    counts["percent taken"] = round(100 * counts["rows taken"] / max(1, counts["rows"]))
    return counts
