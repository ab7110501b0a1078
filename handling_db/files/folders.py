"""Folders of record files: reading them all, and writing records back as text."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import lru_cache
from pathlib import Path
from typing import Any

from handling_db.errors import HandlingError
from handling_db.files.joined import joined
from handling_db.files.reached import reach
from handling_db.files.reading import ReadFiles, read_texts
from handling_db.files.yaml_text import MAX_BYTES, dump_text, load_text
from handling_db.findings import Finding, Place, fault
from handling_db.records.collection import KINDS, Collection, Record, collect
from handling_db.records.kinds.material import Material
from handling_db.records.versions import in_force
from handling_db.records.written import written

# The table of densities that comes with the program, as material records.


def with_materials(collection: Collection, file: Path) -> Collection:
    """The collection with the materials of a table of densities; a material it has already stays its own.

    Raises
    ------
    HandlingError
        The table cannot be read.
    """
    materials = read_densities(file)
    return collect(
        [*collection.records(), *(("material", material) for material in materials)], collection.lines
    )


@lru_cache(maxsize=4)
def read_densities(file: Path) -> tuple[Material, ...]:
    """The materials of a table of densities.

    Parameters
    ----------
    file : Path
        With ``sources`` (source, reference, verified) and ``densities`` (id, name, kg per m3, source).

    Raises
    ------
    HandlingError
        The file cannot be read, or a row is not complete.
    """
    loaded = load_text(file.read_text(encoding="utf-8"), str(file))
    if loaded.findings:
        raise HandlingError(str(loaded.findings[0]))
    try:
        sources = {row["source"]: row for row in loaded.value["sources"]}
        return tuple(_material(row, sources[row["source"]]) for row in loaded.value["densities"])
    except (KeyError, TypeError, ValueError) as error:
        raise HandlingError(f"{file}: the table of densities cannot be read: {error}") from None


def _material(row: dict[str, Any], source: dict[str, Any]) -> Material:
    figures = row["kg per m3"]
    fields = {"best": "density", "low": "lowest", "high": "highest"}
    return Material.model_validate(
        {
            "material": row["id"],
            "name": row["name"],
            **{fields[key]: f"{figure} kg/m³" for key, figure in figures.items()},
            "basis": " ".join(source["reference"].split()),
            "verified": " ".join(source["verified"].split()),
        }
    )


def reference_folder() -> Path:
    """Where the data that comes with the program stands: the checkout's folder, or the installed copy."""
    return data_folder() / "reference"


def reference_values(name: str) -> dict[str, Any]:
    """What a file of the data that comes with the program holds, as plain values.

    Raises
    ------
    HandlingError
        The file cannot be read.
    """
    file = reference_folder() / name
    loaded = load_text(file.read_text("utf-8"), str(file))
    if loaded.findings or not isinstance(loaded.value, dict):
        raise HandlingError("; ".join(map(str, loaded.findings)) or f"{file} is empty")
    return loaded.value


def data_folder() -> Path:
    """The folder that holds `demo` and `reference`."""
    package = Path(__file__).resolve().parent.parent
    for folder in (package / "_data" / "data", package.parent / "data"):
        if (folder / "reference").is_dir():
            return folder
    raise HandlingError("the data that comes with the program is not there; install it again")


def record_files(path: Path) -> Iterator[Path]:
    """The record files of a folder in one fixed order, or the one file itself.

    What cannot be reached is told by `handling_db.files.reached.reach`, which `read_collection` asks.

    Raises
    ------
    HandlingError
        There is no such file or folder, or it is absurdly large.
    """
    yield from reach(path).files


def read_collection(paths: Iterable[Path], *, reference: bool = True, settled: bool = True) -> ReadFiles:
    """Read every record file of the given folders, with the reference data that comes along.

    Parameters
    ----------
    paths : iterable of Path
        Folders or single files.
    reference : bool
        Whether to add kinds of source and other reference data.
    settled : bool
        Whether to carry out what people decided about records from other shops: which version is in
        force, which ids are one thing. Otherwise the records come as they stand in the files.

    Returns
    -------
    ReadFiles
        The collection and every fault found in it.

    Raises
    ------
    HandlingError
        A path does not exist.
    """
    files, findings = files_below(paths, reference=reference)
    texts, unreadable = read_files(files)
    findings += unreadable
    reading = read_texts(texts)
    collection = reading.collection
    if settled:
        collection, unpaired = joined(in_force(collection))
        findings += unpaired
    if reference:
        collection = with_materials(collection, reference_folder() / "densities.yml")
    return ReadFiles(collection, (*findings, *reading.findings), reading.unread)


def files_below(paths: Iterable[Path], *, reference: bool = True) -> tuple[list[Path], list[Finding]]:
    """Every record file that a reading of these paths reads, each once, and what cannot be reached.

    Parameters
    ----------
    reference : bool
        Whether the kinds of source are read with them.

    Raises
    ------
    HandlingError
        A path does not exist.
    """
    wanted = [*paths]
    if reference:
        wanted.append(reference_folder() / "source-kinds.yml")
    files: list[Path] = []
    findings: list[Finding] = []
    seen: set[Path] = set()
    for path in wanted:
        reached = reach(path)
        findings += reached.findings
        for file in reached.files:
            real = file.resolve()
            if real in seen:  # a folder and a file in it, or the reference data itself, were both given
                continue
            seen.add(real)
            files.append(file)
    return files, findings


def read_files(files: Iterable[Path]) -> tuple[list[tuple[str, str]], list[Finding]]:
    """The name and text of each file, and a fault for each that cannot be read."""
    texts: list[tuple[str, str]] = []
    findings: list[Finding] = []
    for file in files:
        text = _read(file, findings)
        if text is not None:
            texts.append((str(file), text))
    return texts, findings


def _read(file: Path, findings: list[Finding]) -> str | None:
    content = read_bytes(file, findings)
    return None if content is None else text_in(content, file, findings)


def read_bytes(file: Path, findings: list[Finding]) -> bytes | None:
    """The content of a file; None where it cannot be read, with the fault added."""
    place = Place(str(file), 1)
    try:
        if file.stat().st_size > MAX_BYTES:
            told = f"the file is larger than {MAX_BYTES // 1_000_000} MB;"
            findings.append(fault(place, "", told, "split it: one assembly a file."))
            return None
        return file.read_bytes()
    except OSError as error:
        told = f"cannot be read ({error.strerror or error});"
        findings.append(fault(place, "", told, "see who may read it, and whether it is still there."))
        return None


def text_in(content: bytes, file: Path, findings: list[Finding]) -> str | None:
    """The content of a file as text; None where it is none, with the fault added."""
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        findings.append(fault(Place(str(file), line), "", "not UTF-8 text;", "save the file as UTF-8."))
        return None


def record_text(record: Record) -> str:
    """One record as YAML; reading it gives the same record, and writing that the same text."""
    return dump_text(_plain(record))


def records_text(records: Iterable[Record]) -> str:
    """Several records as one YAML list."""
    return dump_text([_plain(record) for record in records])


def _plain(record: Record) -> dict[str, Any]:
    return written(next(kind for kind, model in KINDS.items() if type(record) is model), record)
