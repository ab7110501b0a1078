"""Building the database file: read everything, refuse faults, gather rows, publish the file in one go."""

from __future__ import annotations

import contextlib
import hashlib
import sqlite3
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from handling_db import __version__
from handling_db.checker import check, closing_words
from handling_db.database import schema
from handling_db.database.by_units import Keeper, NoKeeper, Told, write_by_units
from handling_db.database.file import publish, refuse_other_files
from handling_db.database.held import hold
from handling_db.database.list_rows import finding_rows, list_rows, number_all, record_rows
from handling_db.database.note_words import fill_word_lists
from handling_db.database.picture_rows import picture_rows, pictures_hash
from handling_db.database.rows import RowsByTable
from handling_db.database.summary import built_row, count_records, data_date, first_unit
from handling_db.database.units import Key
from handling_db.errors import HandlingError
from handling_db.files.folders import data_folder, record_files, reference_folder
from handling_db.findings import Finding, Verdict
from handling_db.quantities.display import counted
from handling_db.records.collection import Collection, collect
from handling_db.records.written import written
from handling_db.tables.exports.package_in import DESCRIPTOR
from handling_db.tables.read import HowRead, collector_paused, collector_seldom
from handling_db.tables.sources import RECORD_ROWS, BySize, read_by_size
from handling_db.weights.compare import judge_of

HEAVIEST = 200
_SAMPLE = 1_000  # rows of an index that are looked at for what the engine keeps of it
FILL_HEAVIEST = (
    "insert into heaviest select row_number() over (order by kg desc, component), component from "
    "(select component, max(kg) as kg from (select component, coalesce(plan_kg, best_kg) as kg from total "
    f"where best_kg > 0 order by kg desc, component limit {3 * HEAVIEST}) "  # three states at most
    f"group by component order by kg desc, component limit {HEAVIEST})"
)

Progress = Callable[[str, int, int], None]  # what is being done, done so far, of so many


@dataclass(frozen=True, slots=True)
class BuildReport:
    """What was built.

    Parameters
    ----------
    out : Path
    stamp : str
        Hash of everything that was read.
    counts : mapping of noun to int
    findings : tuple of Finding
        What the readers and the checker had to say; no fault among them.
    """

    out: Path
    stamp: str
    counts: Mapping[str, int]
    findings: tuple[Finding, ...]


class BuildRefused(HandlingError):
    """The records have faults, so nothing was built; the findings say which."""

    def __init__(self, findings: tuple[Finding, ...]) -> None:
        self.findings = findings
        faults = [finding for finding in findings if finding.verdict is Verdict.FAULT]
        listed = "\n".join(str(finding) for finding in faults)
        super().__init__(f"{counted(len(faults), 'fault')}, nothing was built:\n{listed}")


def build_database(
    paths: Sequence[Path],
    out: Path,
    *,
    tables: Sequence[Path] = (),
    progress: Progress | None = None,
    how: HowRead | None = None,
    keeper: Keeper | None = None,
) -> BuildReport:
    """Build the database file from record folders, record files and flat tables.

    The same input gives the same file, byte for byte. Built beside the target, checked, and renamed into
    place: whenever it is stopped, the old file is there or the new one.

    Parameters
    ----------
    paths : sequence of Path
        Folders of records, or single record files.
    out : Path
        The file to write; its folder must exist.
    tables : sequence of Path
        Tables and spreadsheets.
    progress : function of (what, done, of), optional
        Called now and then on the way.
    how : HowRead, optional
        What is said of the tables beside what stands in them, such as their decimal sign.
    keeper : Keeper, optional
        Keeps what the next build need not read again.

    Returns
    -------
    BuildReport

    Raises
    ------
    BuildRefused
        The records or tables have faults, all of which it carries. Nothing is written.
    HandlingError
        A path cannot be read or the target cannot be written.
    """
    tell = progress or _silent
    refuse_other_files(out)
    tell("reading", 0, 1)
    kept = keeper or NoKeeper()
    rename = shown_names([*paths, *tables])
    held = None if tables else hold(paths, kept.form, kept.keep_form)
    read = read_by_size(paths, tables, how=how, most=RECORD_ROWS) if held is None else None
    stamp = _stamp(paths, tables, how)
    demo = any(path.resolve() == (data_folder() / "demo").resolve() for path in paths)
    done: list[tuple[Told, str]] = []

    def named(file: str) -> str:
        return shown_name(file, rename)

    large = read is not None and bool(read.large)

    def fill(connection: sqlite3.Connection) -> None:
        connection.executescript(schema.TABLES)
        with transaction(connection, large=large):
            if read is None:
                assert held is not None
                more: Callable[[sqlite3.Connection], None] = _nothing
                rows, told = write_by_units(
                    held, connection, paths, named, kept, lambda *at: tell("adding up", *at)
                )
                _refuse_faults(told.findings)
            else:
                rows, told, more = _written_together(read, connection, paths, rename, kept, tell)
            whole = stamp_with_pictures(stamp, pictures_hash(told.pictures))
            finding_rows(rows, [finding_shown(finding, rename) for finding in told.findings])
            built_row(rows, whole, told.day, told.first_unit, told.counts, told.closing, demo=demo)
            tell("writing", 0, 1)
            rows.write(connection)
        fill_search(connection, tell)  # the pages that its merging leaves free are taken by the rows below
        with transaction(connection, large=large):
            more(connection)
        done.append((told, whole))
        finish(connection, tell, large=large)

    with collector_paused() if large else collector_seldom():
        publish(out, fill, in_order=large)
    ((told, whole),) = done
    kept.done(told, whole)
    tell("done", 1, 1)
    return BuildReport(out, whole, told.counts, told.findings)


def _written_together(
    read: BySize,
    connection: sqlite3.Connection,
    paths: Sequence[Path],
    rename: Mapping[str, str],
    keeper: Keeper,
    tell: Progress,
) -> tuple[RowsByTable, Told, Callable[[sqlite3.Connection], None]]:
    """Everything at once: tables, records of which one unit's mean what those of another say, and faults.

    What is left to be written once the search is filled comes back with what is told.
    """
    filling = _with_large(read, rename, tell) if read.large else _from_records(read, rename, tell)
    pictures = picture_rows(filling.rows, filling.collection, paths)
    filling.rows.write(connection)
    filling.components(connection)
    filling.rows.rows.clear()
    collection = filling.collection
    keeper.records(collection, filling.unit, lambda key: written(key[0], collection.of_kind(key[0])[key[1]]))
    day, first = data_date(collection), first_unit(collection)
    told = Told(tuple(filling.findings), pictures, filling.counts, day, first, filling.closing)
    return filling.rows, told, filling.more


def _nothing(_connection: sqlite3.Connection) -> None:
    pass


@dataclass(frozen=True, slots=True)
class _Filling:
    """What goes into the file; `components`, then `more`, put in what does not come as gathered rows."""

    rows: RowsByTable
    collection: Collection
    findings: list[Finding]
    counts: Mapping[str, int]
    closing: str
    unit: Mapping[Key, str] = field(default_factory=dict)
    components: Callable[[sqlite3.Connection], None] = _nothing
    more: Callable[[sqlite3.Connection], None] = _nothing


def _from_records(read: BySize, rename: Mapping[str, str], tell: Progress) -> _Filling:
    """Everything as records: every rule of the checker, every detail of every total."""
    from handling_db.database.component_rows import component_rows

    tell("checking", 0, 1)
    collection = read.collection
    findings = [*read.findings, *check(collection, unread=read.unread)]
    _refuse_faults(findings)
    judge = judge_of(collection)
    rows = RowsByTable()
    number_all(rows, collection)
    list_rows(rows, collection)
    unit = record_rows(rows, collection)
    component_rows(
        rows, judge, lambda file: shown_name(file, rename), tick=lambda *at: tell("adding up", *at)
    )
    closing = closing_words(collection, findings, judge=judge)
    return _Filling(rows, collection, findings, count_records(collection), closing, unit)


def _with_large(read: BySize, rename: Mapping[str, str], tell: Progress) -> _Filling:
    """Large tables by whole columns, and the records beside them as records."""
    from handling_db.tables.bulk.rows import write_components, write_large
    from handling_db.tables.bulk.totals import add_up_large, check_around, stand_ins

    _refuse_faults(read.findings)
    large = add_up_large(read.large, read.collection, tell)
    if isinstance(large, list):
        raise BuildRefused((*read.findings, *large))
    around, closing = check_around(large, read.collection)
    findings = [*read.findings, *large.findings, *around]
    _refuse_faults(findings)
    named = {("source", code): source for code, source in large.said.sources.items()}
    collection = collect(
        [*read.collection.records(), *((kind, source) for (kind, _), source in named.items())],
        read.collection.lines,
    )
    rows = RowsByTable()
    number_all(rows, collection)
    offset = len(collection.components)
    about = stand_ins(large, collection)
    table = large.graph.table
    wanted = about.components.keys() | {finding.about for finding in findings}
    for node, code in enumerate(table.codes):
        if code in wanted:
            rows.ids.setdefault(("component", code), offset + 1 + node)
    list_rows(rows, about)
    record_rows(rows, collection)
    if collection.components:
        from handling_db.database.component_rows import component_rows

        component_rows(rows, judge_of(collection), lambda file: shown_name(file, rename))
    counts = count_records(collection)
    counts["components"] += len(table.codes)
    counts["part lines"] += len(table.usage)
    counts["mass statements"] += len(table.statements)
    sources = {code: key for (kind, code), key in rows.ids.items() if kind == "source"}

    def components(connection: sqlite3.Connection) -> None:
        write_components(connection, large, offset, lambda file: shown_name(file, rename), tell)

    def more(connection: sqlite3.Connection) -> None:
        write_large(connection, large, offset, sources, tell)

    told = f"{large.closing} {closing}".strip()
    return _Filling(rows, collection, findings, counts, told, components=components, more=more)


@contextlib.contextmanager
def transaction(connection: sqlite3.Connection, *, large: bool) -> Iterator[None]:
    """All that is written in it, or nothing."""
    if not large:
        from sqlite_utils import Database

        with Database(connection).atomic():
            yield
        return
    connection.execute("begin")  # without the library, which loads pandas where that is there
    yield
    connection.execute("commit")


def finish(connection: sqlite3.Connection, tell: Progress, *, large: bool = False) -> None:
    """Indexes and the list of the heaviest, once all rows are in."""
    tell("indexing", 0, 1)
    with transaction(connection, large=large):
        connection.execute(FILL_HEAVIEST)
    connection.executescript(schema.INDEXES)
    if large:  # a sample of each index tells enough: they are known to be long
        connection.execute(f"pragma analysis_limit = {_SAMPLE}")
    connection.execute("analyze")


def fill_search(connection: sqlite3.Connection, tell: Progress) -> None:
    """Words and fragments of components and notes, once these are in."""
    tell("indexing for search", 0, 1)
    connection.executescript(schema.SEARCH)
    connection.executescript(f"begin; {schema.FILL_SEARCH}")
    fill_word_lists(connection)
    connection.execute("commit")


def _refuse_faults(findings: Iterable[Finding]) -> None:
    found = tuple(findings)
    if any(finding.verdict is Verdict.FAULT for finding in found):
        raise BuildRefused(found)


def _silent(_what: str, _done: int, _of: int) -> None:
    pass


def _stamp(paths: Sequence[Path], tables: Sequence[Path], how: HowRead | None) -> str:
    """Hash of the name and content of every file that is read, and of what reads them."""
    rename = shown_names([*paths, *tables])
    files = [file for path in paths for file in record_files(path)]
    files += [*sorted(reference_folder().glob("*.yml"))]
    for table in tables:  # an exported folder is all its tables
        files += [*sorted(table.glob("*.csv")), table / DESCRIPTOR] if table.is_dir() else [table]
    return stamp_from({shown_name(str(file), rename): digest_of(file) for file in files}, how)


def digest_of(file: Path) -> str:
    """Hash of a file's content."""
    with file.open("rb") as opened:
        return hashlib.file_digest(opened, "sha256").hexdigest()


def stamp_from(digests: Mapping[str, str], how: HowRead | None = None) -> str:
    """The stamp of files by the names they are shown with and the hashes of what they hold."""
    whole = hashlib.sha256(f"{__version__} {schema.VERSION} {how or HowRead()}".encode())
    for name, digest in sorted(digests.items()):
        whole.update(f"{name}\0{digest}\n".encode())
    return whole.hexdigest()[:12]


def stamp_with_pictures(stamp: str, pictures: str) -> str:
    """The stamp once pictures were taken in."""
    return hashlib.sha256(f"{stamp} {pictures}".encode()).hexdigest()[:12] if pictures else stamp


def shown_names(paths: Sequence[Path]) -> dict[str, str]:
    """What the given paths are called in the file: by their own names, not by where they stand."""
    return {str(path): path.resolve().name for path in [*paths, reference_folder()]}


def shown_name(text: str, rename: Mapping[str, str]) -> str:
    """A text with the given paths called by their own names."""
    for path, name in rename.items():
        if text == path:
            return name
        if text.startswith(f"{path}, sheet "):  # a sheet of a book goes by the book's own name
            return name + text.removeprefix(path)
        if path not in (".", "/"):
            text = text.replace(f"{path}/", f"{name}/")
    return text


def finding_shown(finding: Finding, rename: Mapping[str, str]) -> Finding:
    """A finding with its file called as the database calls it."""
    place = replace(finding.place, file=shown_name(finding.place.file, rename)) if finding.place else None
    return replace(finding, place=place, sentence=shown_name(finding.sentence, rename))
