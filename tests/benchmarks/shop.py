"""A shop's records for the benchmarks: units like those of the demo, each with figures and ids of its own.

What a shop has once, such as gear, movers, fixtures and sources, stands once; what belongs to a unit stands
again for every unit: components, joints, lifts, notes, weighings, choices, a planned job. Sources are shared by
all units; with ``--shared`` some small parts, such as bolts, are too. ``python -m tests.benchmarks.shop FOLDER --components 10000`` writes one.
"""

from __future__ import annotations

import argparse
import random
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from handling_db.files.folders import data_folder
from handling_db.files.yaml_text import dump_text, load_text

UNIT = ("component", "joint", "lift group", "note", "weighing", "choice", "job plan")
BOLTS = frozenset(
    {"joint-bolt", "joint-dowel", "lubrication-pipe"}
)  # the same part in every unit, where asked
_FIGURE = re.compile(r"(\d+)\.(\d+) kg\Z")
_SPREAD = 0.005  # how far a unit's single figures lie from those of the demo, at most


def write_shop(folder: Path, components: int, seed: int, *, shared: frozenset[str] = frozenset()) -> int:
    """Write the records of a shop into a new folder.

    Parameters
    ----------
    folder : Path
        Made here.
    components : int
        About how many; the demo's records are the first unit.
    seed : int
    shared : frozenset of str
        Components of the demo that are the same part in every unit, such as `BOLTS`.

    Returns
    -------
    int
        How many components stand in it.
    """
    demo = data_folder() / "demo"
    files = {file.relative_to(demo): _records(file) for file in sorted(demo.rglob("*.yml"))}
    own = [record for records in files.values() for record in records if _kind(record) in UNIT]
    ids = {_id(record) for record in own} | {name for record in own for name in _inner(record)}
    ids -= shared
    chance = random.Random(seed)
    each = sum(_kind(record) == "component" for records in files.values() for record in records)
    count = 0
    for unit in range(max(round(components / each), 1)):
        for path, records in files.items():
            again = [record for record in records if _of_a_unit(record) and _id(record) not in shared]
            kept = again if unit else records
            if not kept:
                continue
            if unit:
                kept = [_renamed(record, ids, f"u{unit:04d}-", chance) for record in kept]
            out = folder / (f"u{unit:04d}" if unit else "shop") / path
            out.parent.mkdir(parents=True, exist_ok=True)
            out.write_text(dump_text(kept), encoding="utf-8")
            count += sum(_kind(record) == "component" for record in kept)
    return count


def _records(file: Path) -> list[dict[str, Any]]:
    value = load_text(file.read_text(encoding="utf-8"), str(file)).value
    return value if isinstance(value, list) else [value]


def _kind(record: dict[str, Any]) -> str:
    return str(next(iter(record)))


def _id(record: dict[str, Any]) -> str:
    return str(record[_kind(record)])


def _of_a_unit(record: dict[str, Any]) -> bool:
    """Whether a unit has a record of its own like it; what is noted of a fixture is noted once."""
    return _kind(record) in UNIT and "fixture" not in record.get("about", {})


def _inner(record: dict[str, Any]) -> Iterator[str]:
    """Ids inside a record, such as of ties, faces and figures."""
    for value in record.values():
        for item in value if isinstance(value, list) else ():
            if isinstance(item, dict) and isinstance(item.get("id"), str):
                yield item["id"]


def _renamed(value: Any, ids: set[str], unit: str, chance: random.Random, key: str = "") -> Any:
    if isinstance(value, dict):
        return {
            (f"{unit}{name}" if name in ids else name): _renamed(item, ids, unit, chance, name)
            for name, item in value.items()
        }
    if isinstance(value, list):
        return [_renamed(item, ids, unit, chance, key) for item in value]
    if value in ids and key != "kind":
        return f"{unit}{value}"
    found = _FIGURE.match(value) if key == "printed" and isinstance(value, str) else None
    if found:  # another figure with as many decimals
        kg = float(f"{found[1]}.{found[2]}") * chance.uniform(1 - _SPREAD, 1 + _SPREAD)
        return f"{max(kg, 10 ** -len(found[2])):.{len(found[2])}f} kg"
    return value


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("folder", type=Path)
    parser.add_argument("--components", type=int, default=10_000)
    parser.add_argument("--seed", type=int, default=20261130)
    parser.add_argument("--shared", action="store_true", help="some small parts are the same in every unit")
    asked = parser.parse_args()
    shared = BOLTS if asked.shared else frozenset[str]()
    count = write_shop(asked.folder, asked.components, asked.seed, shared=shared)
    print(f"{count:,} components, seed {asked.seed}")


if __name__ == "__main__":
    main()
