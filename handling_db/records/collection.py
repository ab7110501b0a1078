"""A collection: every record that was read, by kind and id, and where each stands."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any, TypeVar

from handling_db.findings import Place
from handling_db.records.kinds.choice import Choice
from handling_db.records.kinds.component import Component
from handling_db.records.kinds.gear import Gear
from handling_db.records.kinds.job import Job
from handling_db.records.kinds.job_plan import JobPlan
from handling_db.records.kinds.joint import Joint
from handling_db.records.kinds.lift_group import LiftGroup
from handling_db.records.kinds.material import Material
from handling_db.records.kinds.note import Note
from handling_db.records.kinds.origin import Aside, Origin, Pairing, Review
from handling_db.records.kinds.packing import Packing
from handling_db.records.kinds.pallet import Pallet
from handling_db.records.kinds.source import Source, SourceKind
from handling_db.records.kinds.weighing import Weighing
from handling_db.records.kinds.workplace import Fixture, Mover, Shop
from handling_db.records.parts.common import Recorded

Record = Recorded | Weighing

# The key that names a record is also its kind: `component: gear-section`.
KINDS: Mapping[str, type[Record]] = MappingProxyType(
    {
        "component": Component,
        "source": Source,
        "source kind": SourceKind,
        "material": Material,
        "weighing": Weighing,
        "note": Note,
        "joint": Joint,
        "lift group": LiftGroup,
        "gear": Gear,
        "job": Job,
        "job plan": JobPlan,
        "fixture": Fixture,
        "mover": Mover,
        "shop": Shop,
        "pallet": Pallet,
        "packing": Packing,
        "origin": Origin,
        "aside": Aside,
        "review": Review,
        "pairing": Pairing,
        "choice": Choice,
    }
)

Path = tuple[str | int, ...]
Found = TypeVar("Found")


def field_text(path: Path) -> str:
    """``parts[1].quantity`` for ('parts', 1, 'quantity')."""
    text = "".join(f"[{step}]" if isinstance(step, int) else f".{step}" for step in path)
    return text.removeprefix(".")


@dataclass(frozen=True, slots=True)
class Lines:
    """The file of a record and the line of each of its fields."""

    file: str
    at: Mapping[Path, int]

    def place(self, *path: str | int) -> Place:
        """The line of a field, or of the nearest thing around it that has one."""
        where: Path = path
        while where and where not in self.at:
            where = where[:-1]
        return Place(self.file, self.at.get(where, 1))


@dataclass(frozen=True, slots=True)
class Collection:
    """All records of one or more folders, each kind by id.

    Built by `collect`; never changed afterwards.
    """

    components: Mapping[str, Component] = field(default_factory=dict)
    sources: Mapping[str, Source] = field(default_factory=dict)
    source_kinds: Mapping[str, SourceKind] = field(default_factory=dict)
    weighings: Mapping[str, Weighing] = field(default_factory=dict)
    notes: Mapping[str, Note] = field(default_factory=dict)
    fixtures: Mapping[str, Fixture] = field(default_factory=dict)
    movers: Mapping[str, Mover] = field(default_factory=dict)
    shops: Mapping[str, Shop] = field(default_factory=dict)
    pallets: Mapping[str, Pallet] = field(default_factory=dict)
    packings: Mapping[str, Packing] = field(default_factory=dict)
    materials: Mapping[str, Material] = field(default_factory=dict)
    joints: Mapping[str, Joint] = field(default_factory=dict)
    lift_groups: Mapping[str, LiftGroup] = field(default_factory=dict)
    gear: Mapping[str, Gear] = field(default_factory=dict)
    jobs: Mapping[str, Job] = field(default_factory=dict)
    job_plans: Mapping[str, JobPlan] = field(default_factory=dict)
    origins: Mapping[str, Origin] = field(default_factory=dict)
    asides: Mapping[str, Aside] = field(default_factory=dict)
    reviews: Mapping[str, Review] = field(default_factory=dict)
    pairings: Mapping[str, Pairing] = field(default_factory=dict)
    choices: Mapping[str, Choice] = field(default_factory=dict)
    lines: Mapping[tuple[str, str], Lines] = field(default_factory=dict)
    _index: dict[Hashable, Any] = field(default_factory=dict, init=False, repr=False, compare=False)

    def of_kind(self, kind: str) -> Mapping[str, Any]:
        """The records of one kind by id; `kind` as written in the records."""
        return getattr(self, _attribute(kind))  # type: ignore[no-any-return]

    def place(self, kind: str, record_id: str, *path: str | int) -> Place | None:
        """Where a field of a record stands, if the record came from a file."""
        lines = self.lines.get((kind, record_id))
        return lines.place(*path) if lines else None

    def records(self) -> Iterable[tuple[str, Record]]:
        """Every record with its kind, in the order of kinds and ids."""
        for kind in KINDS:
            for _, record in sorted(self.of_kind(kind).items()):
                yield kind, record

    def once(self, key: Hashable, work_out: Callable[[], Found]) -> Found:
        """What follows from these records alone, worked out for the first who asks and kept for the others.

        Parameters
        ----------
        key : hashable
            What is asked, all of it: nothing but the collection and the key may decide the answer.
        work_out : function without arguments
        """
        if key not in self._index:
            self._index[key] = work_out()
        found: Found = self._index[key]
        return found

    def weighings_of(self, component: str) -> tuple[Weighing, ...]:
        """The weighings of one component, by id."""
        return self.once("weighings", self._by_component).get(component, ())

    def _by_component(self) -> Mapping[str, tuple[Weighing, ...]]:
        found: dict[str, list[Weighing]] = {}
        for _, weighing in sorted(self.weighings.items()):
            found.setdefault(weighing.of, []).append(weighing)
        return {code: tuple(several) for code, several in found.items()}

    def replaced_weighings(self) -> frozenset[str]:
        """Ids of the weighings that another one replaces."""
        ids = (weighing.replaces for weighing in self.weighings.values())
        return self.once("replaced", lambda: frozenset(code for code in ids if code))


class _Components(dict[str, Component]):
    """Components by id; asking for one that is not there gives a part that nobody weighed, named as such.

    A line that names what is not recorded is then an unknown part in every calculation ("at least", with its
    name), and never left out. `in` and `get` still say that it is not there; the checker reports it.
    """

    def __missing__(self, code: str) -> Component:
        name = f"{code} (nothing is recorded under this id)"
        return Component.model_construct(component=code, name=name, kind="part")


def components_by_id(components: Mapping[str, Component]) -> Mapping[str, Component]:
    """Components as a collection holds them: one that is asked for and not there is an unknown part."""
    return _Components(components)


def _attribute(kind: str) -> str:
    return "gear" if kind == "gear" else kind.replace(" ", "_") + "s"


def collect(
    records: Iterable[tuple[str, Any]], lines: Mapping[tuple[str, str], Lines] | None = None
) -> Collection:
    """Gather records into a collection; the first of two with one id is kept.

    Parameters
    ----------
    records : iterable of (kind, record)
        The reader has already reported duplicates.
    lines : mapping of (kind, id) to Lines, optional
    """
    shelves: dict[str, dict[str, Any]] = {_attribute(kind): {} for kind in KINDS}
    for kind, record in records:
        shelves[_attribute(kind)].setdefault(record.id, record)
    components = _Components(shelves.pop("components"))
    return Collection(**shelves, components=components, lines=dict(lines or {}))
