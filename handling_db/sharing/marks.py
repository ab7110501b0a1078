"""What an answer rests on that came from another shop and nobody has reviewed, and what waits beside it."""

from __future__ import annotations

from typing import Any

from handling_db.errors import HandlingError
from handling_db.lookup.weight import answer
from handling_db.quantities.display import planning_text
from handling_db.records.collection import Collection
from handling_db.records.kinds.component import Component
from handling_db.records.kinds.lift_group import LiftGroup
from handling_db.records.kinds.weighing import Weighing
from handling_db.records.versions import OpenVersion, Wait, questions
from handling_db.records.waiting import texts_of
from handling_db.sharing.contents import for_component
from handling_db.sharing.marked import Marks

# What a figure that waits makes of a plan, told beside the plan without it, and only where it lifts it.
#
# A figure of another shop that nobody here has reviewed is no evidence. But where it says that a piece is
# heavier, whoever lifts it has to know that before somebody finds the time to review it.


def lifted_plan(collection: Collection, code: str) -> tuple[str, str]:
    """Which figure that waits lifts the plan of a component, and a sentence on it; both empty for none.

    Parameters
    ----------
    collection : Collection
    code : str
        The component whose plan is asked about: the piece itself, or one above it.

    Returns
    -------
    (str, str)
        Id of the figure, and the plan with it and without it.
    """
    try:
        figure = answer(collection, code).headline
    except HandlingError:
        return "", ""  # what is asked cannot be worked out here; that a figure waits is said anyway
    if figure.planning is None or figure.rests.without is None or not figure.rests.waits_id:
        return "", ""
    one, two = (planning_text(kg) for kg in (figure.planning, figure.rests.without))
    return figure.rests.waits_id, f"with it plan with {one}, without it {two}"


def ids_of_figures(question: OpenVersion) -> frozenset[str]:
    """Ids of the figures of a version that waits."""
    record = question.record
    if isinstance(record, Component):
        return frozenset(statement.key(record.component) for statement in record.masses)
    return frozenset((question.id,))


_STARTS = {"joint": "within", "lift group": "root", "job": "unit", "job plan": "unit"}
_THINGS = ("component", "joint", "lift group", "job", "job plan")
_FIGURES = 3  # of one record
_PLANS = 24  # pieces whose plans are worked out for what waits beside an answer


def marks_about(collection: Collection, kind: str | None, code: str | None) -> Marks:
    """What came from elsewhere and nobody here has decided about, as far as an answer rests on it.

    Parameters
    ----------
    collection : Collection
        With its asides and marks of origin.
    kind, code : str or None
        What is asked about: a component, joint, lift group, job or job plan; None for everything.
    """
    asked = questions(collection)
    if not asked:
        return Marks()
    around = _around(collection, kind, code)
    unreviewed: list[tuple[bool, str]] = []
    waiting: list[tuple[bool, bool, str]] = []
    plans: dict[str, tuple[str, str]] = {}  # of each piece once, however many figures wait
    for question in asked:
        key = (question.kind, question.id)
        if question.wait is Wait.UNREVIEWED:
            if around is None or key in around:
                unreviewed.append((key != (kind, code), f"not yet reviewed: {_what(question)}"))
        elif around is None or is_about(*key, question.record, around):
            said, lifted = _figures(collection, question), ""
            ids: frozenset[str] = ids_of_figures(question) if said else frozenset()
            own = len(plans) < _PLANS
            for piece in _pieces(collection, kind, code, question, own=own) if ids else ():
                if piece not in plans:
                    plans[piece] = lifted_plan(collection, piece)
                which, lifted = plans[piece] if plans[piece][0] in ids else ("", "")
                if which:
                    named = "" if piece == code else f"{collection.components[piece].name}: "
                    said += f"; {named}{lifted}"
                    break
            line = f"waits for review and is in no sum: {_what(question)}{said}"
            waiting.append((not lifted, not said, line))
    # The thing itself stands first, and what would make a plan heavier, then figures: the rest is counted.
    unreviewed.sort(key=lambda one: one[0])
    waiting.sort(key=lambda one: one[:2])
    return Marks(tuple(one[-1] for one in unreviewed), tuple(one[-1] for one in waiting))


def _pieces(
    collection: Collection, kind: str | None, code: str | None, question: OpenVersion, *, own: bool
) -> tuple[str, ...]:
    """The components whose plan a figure that waits may lift in an answer, those first that it is most about.

    What was asked about; what a lift takes, and what it starts from; then what the figure itself is about,
    which a list of pieces for hands or a planned job shows.
    """
    asked = collection.of_kind(kind).get(code or "") if kind is not None else None
    found = [code or ""] if kind == "component" else []
    if isinstance(asked, LiftGroup):
        found += [*(way.of[-1] for way in asked.takes if way.of), asked.root]
    record = question.record
    if own:
        found.append(record.of if isinstance(record, Weighing) else question.id)
    return tuple(piece for piece in dict.fromkeys(found) if piece in collection.components)


def is_about(kind: str, code: str, record: Any, around: frozenset[tuple[str, str]]) -> bool:
    """Whether a record that waits is among some records, or names a thing that is."""
    return (kind, code) in around or not _ids(around).isdisjoint(texts_of(record))


def start_of(collection: Collection, kind: str, code: str) -> str:
    """The component with whose tree an answer about something starts; empty for none."""
    own = collection.of_kind(kind).get(code)
    return code if kind == "component" else str(getattr(own, _STARTS[kind], "")) if kind in _STARTS else ""


def _around(collection: Collection, kind: str | None, code: str | None) -> frozenset[tuple[str, str]] | None:
    """What an answer about one thing may rest on; None for everything."""
    if kind is None or code is None:
        return None
    root = start_of(collection, kind, code)
    below = for_component(collection, root) if root in collection.components else frozenset()
    return below | {(kind, code)}


def _ids(around: frozenset[tuple[str, str]]) -> frozenset[str]:
    """What a record that waits may be about: things, not the sources and materials they name."""
    return frozenset(code for kind, code in around if kind in _THINGS)


def _what(question: OpenVersion) -> str:
    sent = f"from {question.shop} ({question.signed or 'not signed'})" if question.shop else "of this shop"
    return f"{question.kind} {question.id}, {sent}"


def _figures(collection: Collection, question: OpenVersion) -> str:
    """What it would weigh by a version that waits: the reader has to know that somebody says so."""
    record = question.record
    said: list[str] = []
    if isinstance(record, Weighing):
        name = collection.components[record.of].name if record.of in collection.components else record.of
        said = [f"{name} {record.gross}"] if record.gross is not None else []
    elif isinstance(record, Component):
        own = collection.components.get(record.component)
        have = {statement.key(record.component) for statement in own.masses} if own is not None else set()
        said = [
            str(statement.printed)
            for statement in record.masses
            if statement.printed is not None and statement.key(record.component) not in have
        ]
    return f": it says {', '.join(said[:_FIGURES])}" if said else ""
