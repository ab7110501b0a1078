"""The sheet of paper or the scale behind a figure, and what a made figure was made from."""

from __future__ import annotations

from dataclasses import replace

from handling_db.evidence.answer import Paper
from handling_db.evidence.provenance import FigureOrigin, Provenance
from handling_db.records.collection import Collection
from handling_db.records.kinds.weighing import Weighing
from handling_db.records.parts.statement import MassStatement
from handling_db.weights.witness import Witness

MOST_STEPS = 50  # of derivation; longer chains are cut, and a circle ends where it closes


class Papers:
    """Papers of one collection, by figure."""

    def __init__(self, collection: Collection, provenance: Provenance | None = None) -> None:
        self.collection = collection
        self.provenance = provenance or Provenance(collection)

    def of(self, witness: Witness) -> Paper:
        """The paper of a figure, with everything it was made from."""
        origin = self.provenance.figures.get(witness.id)
        day = witness.on or witness.source.on
        paper = Paper(
            witness.id,
            witness.component,
            witness.printed,
            witness.mass.low,
            witness.mass.high,
            witness.doubt_from,
            witness.state or "",
            witness.source.id,
            on=day.isoformat() if day else "",
            by=witness.by or witness.source.by or "",
        )
        return self._traced(paper, origin, frozenset({witness.id}))

    def of_id(self, figure: str, seen: frozenset[str] = frozenset()) -> Paper:
        """The paper of a recorded figure by its id, as printed; its id alone where there is none."""
        origin = self.provenance.figures.get(figure)
        if origin is None:
            return Paper(figure, "", "not in this collection", None, None, "", "", "")
        record = self.record(origin)
        paper = Paper(
            figure,
            origin.component,
            printed_text(record),
            None,
            None,
            "",
            record.state or "" if record else "",
            origin.source,
            on=record.on.isoformat() if record and record.on else "",
            by=(record.by or "") if record else "",
        )
        return self._traced(paper, origin, seen | {figure})

    def record(self, origin: FigureOrigin) -> MassStatement | Weighing | None:
        """The statement or the weighing that a figure stands in."""
        weighing = self.collection.weighings.get(origin.id)
        if weighing is not None:
            return weighing
        component = self.collection.components.get(origin.component)
        for statement in component.masses if component else ():
            if statement.key(origin.component) == origin.id:
                return statement
        return None

    def _traced(self, paper: Paper, origin: FigureOrigin | None, seen: frozenset[str]) -> Paper:
        """The same with the sheet or scale it stands on, and what it was made from."""
        source = self.collection.sources.get(paper.source)
        kind = self.collection.source_kinds.get(source.kind) if source else None
        record = self.record(origin) if origin else None
        below = origin.made_from if origin and len(seen) < MOST_STEPS else ()
        return replace(
            paper,
            source_name=source.name if source else paper.source,
            source_kind=kind.name if kind else "",
            document=(source.document or "") if source else "",
            edition=(source.edition or "") if source else "",
            where=(record.where or "") if isinstance(record, MassStatement) else "",
            instrument=source.instrument.name if source and source.instrument else "",
            on=paper.on or (source.on.isoformat() if source and source.on else ""),
            how=origin.how if origin else "",
            made_from=tuple(self.of_id(one, seen) for one in below if one not in seen),
            materials=tuple(self._material(code) for code in origin.materials) if origin else (),
        )

    def _material(self, code: str) -> str:
        material = self.collection.materials[code]
        basis = "no source stated" if material.basis == "none" else material.basis
        return f"{material.name}: {basis}"


def printed_text(record: MassStatement | Weighing | None) -> str:
    """A figure as its record has it: the print, the formula, the readings."""
    from handling_db.weights.witness import readings_of

    if record is None:
        return ""
    if isinstance(record, Weighing):
        return readings_of(record)[2]
    if record.printed is not None:
        also = f" / {record.also_printed.printed.text}" if record.also_printed else ""
        return f"{record.printed.text}{also}"
    return f"by its formula {record.formula}" if record.formula is not None else "from its shape"
