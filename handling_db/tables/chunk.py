"""Some rows of a table, column by column, and what reading single columns of them needs."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from handling_db.errors import UnitError
from handling_db.quantities.quantity import find_unit
from handling_db.quantities.table import UNITS, MeasureUnit
from handling_db.tables.columns import COLUMNS, ColumnLayout
from handling_db.tables.findings import FileFindings
from handling_db.tables.numbers import NotStated, NumberFault, Numbers
from handling_db.tables.text.figures import read_figure
from handling_db.tables.text.headings import DIMENSIONS, fold, vocabulary

Doubt = tuple[float, str, MeasureUnit | str | None]
_DOUBTS = frozenset({"plus_minus", "u", "step", "stated_step"})

FACTORS = {unit.name: float(unit.factor) for unit in UNITS.values()}


@dataclass(slots=True)
class NumberColumn:
    """The numbers of one column that are there: row positions, values, texts with a decimal point."""

    at: Sequence[int]
    values: list[float]
    texts: Sequence[str]

    def by_row(self) -> dict[int, tuple[float, str]]:
        """Value and text by row position."""
        return {at: (value, text) for at, value, text in zip(self.at, self.values, self.texts, strict=True)}

    def only(self, rows: set[int]) -> NumberColumn:
        """The same column with only some of its rows."""
        kept = [k for k, at in enumerate(self.at) if at in rows]
        return NumberColumn(
            [self.at[k] for k in kept], [self.values[k] for k in kept], [self.texts[k] for k in kept]
        )


@dataclass(slots=True)
class Chunk:
    """Rows of one width.

    Parameters
    ----------
    layout : ColumnLayout
    columns : mapping of column name to texts
        Only columns in which at least one cell of these rows is not empty; `parent` and `child` always.
    lines : sequence of int
        Line of each row.
    numbers : Numbers
    said : FileFindings
    bad : set of int
        Positions of rows with a fault.
    own_units : mapping of column name to (MeasureUnit by row position)
        Units that stand in the cell of a figure itself.
    own_doubts : mapping of column name to (doubts by row position)
        Doubts that stand in the cell of a figure: by role the value, its text and its unit, None for the
        unit of the figure and ``%`` for parts of a hundred.
    parts_of_hundred : mapping of column name to set of int
        Rows in which the cell of a doubt says percent.
    asked : set of int
        Rows with a figure that waits for the decimal sign to be stated.
    """

    layout: ColumnLayout
    columns: Mapping[str, Sequence[str]]
    lines: Sequence[int]
    numbers: Numbers
    said: FileFindings
    bad: set[int] = field(default_factory=set)
    own_units: dict[str, dict[int, MeasureUnit]] = field(default_factory=dict)
    own_doubts: dict[str, dict[int, dict[str, Doubt]]] = field(default_factory=dict)
    parts_of_hundred: dict[str, set[int]] = field(default_factory=dict)
    asked: set[int] = field(default_factory=set)

    def fault(self, at: int, column: str, sentence: str, remedy: str) -> None:
        """Say what is wrong with one row, and leave the row out."""
        self.bad.add(at)
        about = " ".join(self.columns["child"][at].split())[:80]
        self.said.fault(self.lines[at], column, sentence, remedy, about)

    def remark(self, at: int, column: str, sentence: str, remedy: str) -> None:
        """Say something about one row that does not keep it from being read."""
        about = " ".join(self.columns["child"][at].split())[:80]
        self.said.remark(self.lines[at], column, sentence, remedy, about)

    def number(self, name: str, *, signed: bool = False) -> NumberColumn:
        """The numbers of a column; cells that are none are faults, empty ones are left out."""
        texts = self.columns.get(name)
        if texts is None:
            return NumberColumn((), [], ())
        self.numbers.see(name, texts, self.lines)
        at: Sequence[int] = range(len(texts))
        if "" in texts:
            at = [i for i, text in enumerate(texts) if text]
            texts = [text for text in texts if text]
        plain = self.numbers.plain(texts, signed=signed)
        if plain is not None:
            return NumberColumn(at, *plain)
        column = NumberColumn([], [], [])
        where, kept = [], []
        for i, text in zip(at, texts, strict=True):
            if not text.strip():
                continue
            try:
                if DIMENSIONS.get(name) == "mass":
                    read = self._figure(i, name, text)
                    if read is None:
                        continue
                    value, figure, remark = read
                else:
                    value, figure, remark = self.numbers.one(text)
            except NotStated:
                self.bad.add(i)
                self.asked.add(i)
                continue
            except NumberFault as fault:
                self.fault(i, name, fault.sentence, fault.remedy)
                continue
            if remark:
                self.remark(i, name, remark, "write it without the sign between the thousands.")
            if value < 0 and not signed:
                self.fault(i, name, f"{figure} is negative;", "write it without the sign.")
                continue
            where.append(i)
            kept.append(figure)
            column.values.append(value)
        column.at, column.texts = where, kept
        return column

    def _figure(self, at: int, name: str, text: str) -> tuple[float, str, str] | None:
        """A mass with whatever else stands in its cell; None where the cell says that nobody knows.

        Raises
        ------
        NumberFault
            No figure, or in no unit that can be read.
        """
        figure = read_figure(text, self.numbers)
        if figure is None:
            return None
        if figure.unit == "%" and name in _DOUBTS:
            self.parts_of_hundred.setdefault(name, set()).add(at)
        elif figure.unit:
            self.own_units.setdefault(name, {})[at] = self._own_unit(figure.unit)
        own = self.own_doubts.setdefault(name, {})
        if figure.step:
            own.setdefault(at, {})["step"] = (float(figure.step), figure.step, None)
        if figure.plus_minus:
            unit = figure.plus_minus_unit
            unit_of = "%" if unit == "%" else self._own_unit(unit) if unit else None
            own.setdefault(at, {})["plus_minus"] = (float(figure.plus_minus), figure.plus_minus, unit_of)
        return float(figure.number), figure.number, figure.remark

    def _own_unit(self, text: str) -> MeasureUnit:
        try:
            return find_unit(text, "mass")
        except UnitError as error:
            raise NumberFault(f"{error}.", "") from None

    def units(self, name: str, unit_column: str, at: Sequence[int]) -> list[MeasureUnit | None]:
        """The unit of a figure in each of some rows: from its own cell, else from the row or the heading.

        A unit in the cell of the figure itself counts; where the heading says another, that is remarked.

        Returns
        -------
        list of (MeasureUnit or None)
            None where there was a fault.
        """
        own = self.own_units.get(name)
        if not own:
            return self._units(name, unit_column, at)
        rest = [i for i in at if i not in own]
        others = dict(zip(rest, self._units(name, unit_column, rest), strict=True))
        headed = self.layout.unit.get(name)
        for i, unit in own.items():
            if headed is not None and unit != headed:
                told = (
                    f"is in {unit.name}, though the heading says {headed.name}: the unit in the cell counts;"
                )
                self.remark(i, name, told, "write all figures of a column in one unit.")
        return [own.get(i) or others[i] for i in at]

    def _units(self, name: str, unit_column: str, at: Sequence[int]) -> list[MeasureUnit | None]:
        """The unit of a figure in each of some rows: from the heading, or from the row's own unit cell.

        Parameters
        ----------
        name : str
            The column of the figures.
        unit_column : str
            Where the rows have their unit.
        at : sequence of int
            Row positions.

        Returns
        -------
        list of (MeasureUnit or None)
            None where there was a fault.
        """
        headed = self.layout.unit.get(name)
        cells = self.columns.get(unit_column)
        if cells is None:
            if headed is None:
                for i in at:
                    self._no_unit(i, name, unit_column)
            return [headed] * len(at)
        if len(at) != len(cells):
            cells = [cells[i] for i in at]
        known: dict[str, MeasureUnit | str] = {}
        for cell in set(cells):
            known[cell] = self._unit(cell, name, headed)
        if not any(isinstance(unit, str) for unit in known.values()):
            return list(map(known.__getitem__, cells))  # type: ignore[arg-type]
        out: list[MeasureUnit | None] = []
        for i, cell in zip(at, cells, strict=True):
            unit = known[cell]
            if isinstance(unit, str):
                if unit:
                    self.fault(i, unit_column, unit, "")
                else:
                    self._no_unit(i, name, unit_column)
            out.append(None if isinstance(unit, str) else unit)
        return out

    def _no_unit(self, at: int, name: str, unit_column: str) -> None:
        self.fault(
            at, unit_column, f"the {_WORDS.get(name, name)} has no unit;", _WRITE[COLUMNS.get(name, "mass")]
        )

    def _unit(self, cell: str, name: str, headed: MeasureUnit | None) -> MeasureUnit | str:
        """The unit a cell means together with the heading; a text says what is wrong, empty: none given."""
        if not cell.strip() or fold(cell) in vocabulary().of_one:  # EA, Stk: what is counted, not weighed
            return headed or ""
        try:
            unit = find_unit(cell, COLUMNS.get(name, "mass"))
        except UnitError as error:
            return f"{error}."
        if headed is not None and unit != headed:
            return (
                f"the heading of {name!r} says {headed.name}, this cell says {unit.name}; make them the same."
            )
        return unit

    def each(self, name: str, check: Callable[[str], str | None]) -> list[str | None]:
        """A column of words: what `check` makes of each text, None for an empty cell.

        Parameters
        ----------
        name : str
        check : callable
            Returns the text to keep; raises ValueError with what is wrong and what to write.
        """
        texts = self.columns[name]
        kept: dict[str, str | None] = {}
        wrong: dict[str, str] = {}
        for text in set(texts):
            try:
                kept[text] = check(text.strip()) if text.strip() else None
            except ValueError as error:
                wrong[text] = str(error)
                kept[text] = None
        if wrong:
            for i, text in enumerate(texts):
                if text in wrong:
                    self.fault(i, name, wrong[text], "")
        return list(map(kept.__getitem__, texts))


_WORDS = {"mass": "mass", "stated": "stated mass", "x": "place", "cg_x": "centre"}
_WRITE = {
    "mass": "write kg, lb or another unit of mass.",
    "length": "write mm, in or another unit of length.",
}
