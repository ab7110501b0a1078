"""What the rules look at: the collection, its tree, its figures in force and their verdicts, once each."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from typing import Any, NamedTuple

from handling_db.errors import some_of
from handling_db.families.build import BuildError, build_of
from handling_db.findings import Absent, Finding, Place, Verdict
from handling_db.records.collection import KINDS, Collection, field_text
from handling_db.records.connected import connected
from handling_db.weights.compare import Judge, Judgement, judge_of
from handling_db.weights.tree import below
from handling_db.weights.witness import Witness

Path = tuple[str | int, ...]
FieldAt = tuple[str, str, Path]  # kind of record, its id, path of the field
# Lines that advice on what to weigh may walk through in what hangs together: a figure on each of many levels
# would be the square.
STEPS = 200_000


@dataclass(frozen=True, slots=True)
class Judged:
    """One stated whole with the verdict on it."""

    witness: Witness
    judgement: Judgement
    node: int | None

    @property
    def component(self) -> str:
        """Id of the component the figure is about."""
        return self.witness.component


@dataclass(frozen=True, slots=True)
class Stated:
    """Where a statement or a weighing stands."""

    kind: str
    record: str
    path: Path


class At(NamedTuple):
    """Where a finding stands, and what it is about unless it says so."""

    place: Place | None
    field: str
    about: str

    def says(
        self,
        verdict: Verdict,
        rule: str,
        sentence: str,
        remedy: str,
        figures: tuple[tuple[str, Fraction, Fraction], ...] = (),
        gap: tuple[Fraction, Fraction] | None = None,
        **more: Any,
    ) -> Finding:
        """One finding here; `more` are further fields of it, such as another `about`."""
        about = more.pop("about", self.about)
        return Finding(rule, verdict, about, sentence, remedy, self.place, self.field, figures, gap, **more)

    def fault(self, rule: str, sentence: str, remedy: str, **more: Any) -> Finding:
        """It could not be read, or makes no sense as written."""
        return self.says(Verdict.FAULT, rule, sentence, remedy, **more)

    def disagrees(self, rule: str, sentence: str, remedy: str, *compared: Any, **more: Any) -> Finding:
        """Two figures lie apart; `compared` are the figures and the gap."""
        return self.says(Verdict.DISAGREES, rule, sentence, remedy, *compared, **more)

    def unchecked(self, rule: str, sentence: str, remedy: str, **more: Any) -> Finding:
        """It cannot be checked."""
        return self.says(Verdict.CANNOT_BE_CHECKED, rule, sentence, remedy, **more)

    def remark(self, rule: str, sentence: str, remedy: str, *compared: Any, **more: Any) -> Finding:
        """Worth a look."""
        return self.says(Verdict.REMARK, rule, sentence, remedy, *compared, **more)


class Evidence:
    """One collection under the checker's eyes; everything that costs time is worked out once.

    Parameters
    ----------
    collection : Collection
    as_of : date, optional
        The day to judge by; without one, nothing that depends on the day is looked at.
    unread : frozenset of (kind, id)
        Records that stand in the files and could not be read.
    """

    def __init__(
        self,
        collection: Collection,
        as_of: datetime.date | None = None,
        unread: frozenset[tuple[str, str]] = frozenset(),
    ) -> None:
        self.collection = collection
        self.unread = unread
        self.as_of = as_of
        self.judge: Judge = judge_of(collection)
        self.tree = self.judge.tree
        self._walked: dict[frozenset[str], int] = {}

    def steps_left(self, code: str) -> bool:
        """Whether advice on what to weigh may still walk through what hangs together with a component."""
        return self._walked.get(connected(self.collection)[code], 0) < STEPS

    def walked(self, code: str, steps: int) -> None:
        """Count lines that were walked through for a component."""
        together = connected(self.collection)[code]
        self._walked[together] = self._walked.get(together, 0) + steps

    def name(self, code: str) -> str:
        """A component's name, or the id where there is no such component."""
        component = self.collection.components.get(code)
        return component.name if component else code

    def node(self, code: str) -> int | None:
        """The node of a component's default build; None where that cannot be worked out."""
        try:
            return self.tree.start.get((code, build_of(self.collection.components[code])))
        except BuildError:
            return None

    def height(self, code: str) -> int:
        """Longest way down to a part; minus one for what is no component or stands in a cycle."""
        if code not in self.collection.components:
            return -1
        node = self.node(code)
        return -1 if node is None else self.tree.height.get(node, -1)

    def witnesses(self, code: str) -> tuple[Witness, ...]:
        """The figures in force for a component, the most trusted first."""
        return self.judge.totals("dry").witnesses_of(code)

    @cached_property
    def with_figures(self) -> tuple[str, ...]:
        """Components with a statement or a weighing, by id."""
        weighed = {w.of for w in self.collection.weighings.values()}
        found = {code for code, c in self.collection.components.items() if c.masses or code in weighed}
        return tuple(sorted(found))

    @cached_property
    def judged(self) -> tuple[Judged, ...]:
        """The verdict on every figure for something that lists parts."""
        found = []
        for code in self.with_figures:
            if not self.collection.components[code].parts:
                continue
            for witness in self.witnesses(code):
                judgement = self.judge.judge(witness)
                if judgement is not None:
                    found.append(Judged(witness, judgement, self.judge.node_of(witness)))
        return tuple(found)

    @cached_property
    def lines_of(self) -> Mapping[str, tuple[tuple[str, int], ...]]:
        """By component, the part lines that list it: parent and place among the parent's lines."""
        found: dict[str, list[tuple[str, int]]] = {}
        for code, component in sorted(self.collection.components.items()):
            for index, line in enumerate(component.parts):
                found.setdefault(line.component, []).append((code, index))
        return {code: tuple(lines) for code, lines in found.items()}

    @cached_property
    def parents(self) -> Mapping[int, tuple[int, ...]]:
        """By node, the nodes that use it."""
        found: dict[int, list[int]] = {}
        for parent, uses in enumerate(self.tree.uses):
            for child in dict.fromkeys(use.child for use in uses):
                found.setdefault(child, []).append(parent)
        return {node: tuple(above) for node, above in found.items()}

    @cached_property
    def nodes_of(self) -> Mapping[str, tuple[int, ...]]:
        """By component, its node in each build it occurs in."""
        found: dict[str, list[int]] = {}
        for node, (code, _) in enumerate(self.tree.nodes):
            found.setdefault(code, []).append(node)
        return {code: tuple(nodes) for code, nodes in found.items()}

    @cached_property
    def stated(self) -> Mapping[str, tuple[Stated, ...]]:
        """Every statement and weighing by id, in force or replaced, in a fixed order."""
        found: dict[str, list[Stated]] = {}
        for code, component in sorted(self.collection.components.items()):
            for index, statement in enumerate(component.masses):
                here = Stated("component", code, ("masses", index))
                found.setdefault(statement.key(code), []).append(here)
        for code in sorted(self.collection.weighings):
            found.setdefault(code, []).append(Stated("weighing", code, ()))
        return {key: tuple(places) for key, places in found.items()}

    def below(self, code: str) -> frozenset[str]:
        """Ids of everything listed below a component, in whatever build."""
        return below(self.collection, code)

    def above(self, code: str) -> tuple[str, ...]:
        """Ids of every assembly that contains a component, however deep, in order."""
        seen: set[str] = set()
        stack = [code]
        while stack:
            new = {parent for parent, _ in self.lines_of.get(stack.pop(), ())} - seen
            seen |= new
            stack += new
        return tuple(sorted(seen))

    def pieces_below(self, node: int) -> dict[int, Fraction]:
        """How many of each node one piece of a node contains, itself once; parents before children."""
        pieces = {node: Fraction(1)}
        for here in reversed(self.judge.totals("dry").below(node)):
            for use in self.tree.uses[here]:
                pieces[use.child] = pieces.get(use.child, Fraction(0)) + pieces[here] * use.quantity
        return pieces

    def absent(self, kind: str, wanted: str) -> bool:
        """Whether nothing goes by an id: no record, and none that stands in a file and could not be read."""
        return wanted not in self.collection.of_kind(kind) and (kind, wanted) not in self.unread

    def place(self, kind: str, record: str, *path: str | int) -> Place | None:
        """File and line of a field."""
        return self.collection.place(kind, record, *path)

    def at(self, kind: str, record: str, *path: str | int) -> At:
        """Where a field of a record stands."""
        return At(self.place(kind, record, *path), field_text(path), record)

    def where(self, witness: Witness, *more: str) -> At:
        """File, line and field of a figure, or of something said with it."""
        if witness.position is None:
            weighing = self.collection.weighings[witness.id]
            methods = ("gross", "difference", "two supports")
            given = next(m for m in methods if getattr(weighing, m.replace(" ", "_")) is not None)
            here = self.at("weighing", witness.id, *(more or (given,)))
            return here._replace(about=witness.component)
        figure = "shape" if witness.from_shape else "formula" if witness.worked_in is not None else "printed"
        return self.at("component", witness.component, *witness.position, *(more or (figure,)))


def listed(names: Iterable[str], *, shown: int = 3, last: str = "and") -> str:
    """``A``, ``A and B``, ``A, B, C and 4 more``."""
    every = list(names)
    more = len(every) - shown
    if more > 0:
        return f"{', '.join(every[:shown])} and {more} more"
    if len(every) < 2:
        return "".join(every)
    return f"{', '.join(every[:-1])} {last} {every[-1]}"


def nothing_there(
    evidence: Evidence,
    rule: str,
    at: FieldAt,
    target: str,
    wanted: str,
    known: Iterable[str] | None = None,
) -> Finding:
    """The fault that a field names what is not there.

    Parameters
    ----------
    at : (kind of record, its id, path of the field)
    target : str
        What it should be: a component, a source.
    wanted : str
        The id that it names.
    known : iterable of str, optional
        The ids that it may name, where these are few.
    """
    kind, record, path = at
    there = "" if known is None else f" there are: {some_of(sorted(known))};"
    # an attitude, a face or a tie stands inside a record, which may be one that could not be read
    said = Absent if target in KINDS else Finding
    return said(
        rule,
        Verdict.FAULT,
        record,
        f"there is no {target} {wanted!r};{there}",
        f"correct the id, or add the {target}.",
        evidence.place(kind, record, *path),
        field_text(path),
    )
