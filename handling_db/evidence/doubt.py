"""Which records become doubtful if one source was off: a plain answer."""

from __future__ import annotations

import difflib

from handling_db.errors import AmbiguousNameError, UnknownNameError, some_of
from handling_db.evidence.answer import DoubtAnswer, DoubtfulComponent, DoubtfulFigure
from handling_db.evidence.documents import Papers, printed_text
from handling_db.evidence.provenance import Provenance, RestingOnSource
from handling_db.records.collection import Collection
from handling_db.records.parts.texts import STATES
from handling_db.weights.compare import Judge


def doubt_answer(collection: Collection, source: str) -> DoubtAnswer:
    """Everything that rests on a source or on the density of a material, the nearest first.

    Parameters
    ----------
    collection : Collection
        The whole of it.
    source : str
        Id of a source or a material.

    Raises
    ------
    UnknownNameError
        Nothing has that id.
    """
    judge = Judge(collection)
    provenance = Provenance(collection)
    found = provenance.doubtful(source, [judge.totals(state) for state in STATES])
    papers = Papers(collection, provenance)
    if source in collection.sources:
        record = collection.sources[source]
        kind = collection.source_kinds.get(record.kind)
        name, kind_name = record.name, kind.name if kind else ""
    else:
        name, kind_name = collection.materials[source].name, "density"
    return DoubtAnswer(
        source,
        name,
        kind_name,
        tuple(_figure(collection, papers, one) for one in (*found.direct, *found.derived)),
        tuple(_component(collection, one) for one in found.components),
    )


def source_named(collection: Collection, name: str) -> str:
    """The id of the source or material that goes by an id or a name, whatever the case of its letters.

    Raises
    ------
    UnknownNameError, AmbiguousNameError
        Nothing, or more than one thing, goes by it.
    """
    if name in collection.sources or name in collection.materials:
        return name
    names = {code: source.name for code, source in collection.sources.items()}
    names |= {code: material.name for code, material in collection.materials.items()}
    wanted = " ".join(name.casefold().split())
    found = [
        (code, called)
        for code, called in sorted(names.items())
        if wanted in (code.casefold(), " ".join(called.casefold().split()))
    ]
    if len(found) == 1:
        return found[0][0]
    if found:
        raise AmbiguousNameError(name, tuple(found))
    near = difflib.get_close_matches(name, [*names, *names.values()], 3)
    hint = f"did you mean: {', '.join(near)}?" if near else f"sources: {some_of(sorted(collection.sources))}"
    raise UnknownNameError(f"there is no source or material {name!r}; {hint}")


def _figure(collection: Collection, papers: Papers, one: RestingOnSource) -> DoubtfulFigure:
    origin = papers.provenance.figures[one.id]
    how = "read from it" if one.depth == 0 else origin.how or "made"
    return DoubtfulFigure(
        one.id,
        one.component,
        collection.components[one.component].name
        if one.component in collection.components
        else one.component,
        printed_text(papers.record(origin)),
        one.depth,
        how,
        one.by_way_of,
        not one.replaced,
    )


def _component(collection: Collection, one: RestingOnSource) -> DoubtfulComponent:
    by = collection.components.get(one.by_way_of) if one.depth else None
    return DoubtfulComponent(
        one.id, collection.components[one.component].name, one.depth, by.name if by else one.by_way_of
    )
