"""The table of densities that comes with the program, as material records."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from typing import Any

from handling_db.errors import HandlingError
from handling_db.files.yaml_text import load_text
from handling_db.records.collection import Collection, collect
from handling_db.records.kinds.material import Material


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
