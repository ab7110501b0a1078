"""How heavy it is, who says so, and what the figures together allow."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any, TypedDict, TypeVar, Unpack

from handling_db.errors import HandlingError
from handling_db.loading import PIECE, named
from handling_db.lookup.numbers.as_json import number_json
from handling_db.lookup.numbers.text import (
    bounds_text,
    doubt_text,
    explain_text,
    reconcile_text,
    sweep_text,
    why_text,
)
from handling_db.records.proved import Records
from handling_db.serialise import Answer, marked_by, told_weight

if TYPE_CHECKING:
    from handling_db.evidence.answer import (
        BoundsAnswer,
        DoubtAnswer,
        ExplainAnswer,
        ReconcileAnswer,
        SweepAnswer,
        WhyAnswer,
    )
    from handling_db.families.build import Value
    from handling_db.lookup.heavier import ComparedWeight, Heavier
    from handling_db.records.parts.texts import State
    from handling_db.weights.answer import WeightAnswer

OfUnit = TypeVar("OfUnit", "SweepAnswer", "BoundsAnswer", "ReconcileAnswer", "ExplainAnswer", "WhyAnswer")


def component(records: Records, name: str) -> str:
    """The id of the component that goes by an id, name, alias or part number.

    Raises
    ------
    UnknownNameError, AmbiguousNameError
        None, or more than one, does.
    """
    return named(records, name)[1]


def given(
    records: Records, code: str, settings: Mapping[str, str] | None, build: str | None
) -> Mapping[str, Value]:
    """The values of a named build, and of single settings on top of it.

    Raises
    ------
    BuildError
        No such build or parameter, or a value it cannot take.
    """
    from handling_db.families.named_builds import given_values

    return given_values(records.components[code], dict(settings or {}), build)


class BuildAsked(TypedDict, total=False):
    """Which build of a component is asked about, and what of it is off.

    Parameters
    ----------
    without : iterable of str
        Parts taken off already, by id, name, alias or part number.
    settings : mapping of parameter to text, optional
        Another size: ``{"discs": "12"}``.
    build : str, optional
        A named build; `settings` come on top of it.
    """

    without: Iterable[str]
    settings: Mapping[str, str] | None
    build: str | None


class WeightAsked(BuildAsked, total=False):
    """What is asked besides the component.

    Parameters
    ----------
    state : str, optional
        ``dry``, ``drained`` or ``filled``; all three where none is asked for.
    serial : int, optional
        The unit at hand: what was weighed on others is a hint, and only where nothing else bounds it.
    """

    state: State | None
    serial: int | None


def weight(records: Records, name: str, **asked: Unpack[WeightAsked]) -> Answer[WeightAnswer]:
    """How heavy is it? Dry, drained and filled, with doubt, sources, parts and what is not known. [kg]

    Parameters
    ----------
    records : Records
    name : str
        Id, name, alias or part number of a component.
    **asked
        As in `WeightAsked`.

    Raises
    ------
    HandlingError
        Nothing goes by a name, a build that cannot be, or something that is not in it is to be off.
    """
    from handling_db.lookup.weight import answer
    from handling_db.records.in_hand import open_jobs
    from handling_db.weights.tree import below

    code = component(records, name)
    off = [component(records, part) for part in asked.get("without", ())]
    inside = below(records, code)
    for part in off:
        if part not in inside:
            told = records.components[code].name
            raise HandlingError(f"{part!r} is not in {told}, so it cannot be off already")
    values = given(records, code, asked.get("settings"), asked.get("build"))
    state, serial = asked.get("state"), asked.get("serial")
    found = answer(records, code, given=values, state=state, without=off, serial=serial)
    with_jobs = replace(found, jobs=open_jobs(records, code))
    return told_weight(with_jobs, records.first_unit, marked_by(records, ("component", code)))


def heavier(
    records: Records, first: str, second: str, *, state: State, as_of: datetime.date
) -> Answer[Heavier]:
    """Which of two is heavier? Worst-case ranges, and "cannot tell" where they overlap. [kg]

    Parameters
    ----------
    records : Records
    first, second : str
        Each a lift group, taken as it is parted, or a component, taken as listed.
    state : str
        Of components.
    as_of : date
        The day by which a lift is looked at.

    Raises
    ------
    UnknownNameError, AmbiguousNameError
        Nothing, or more than one thing, goes by a name.
    """
    from handling_db.lookup.heavier import HEAVIER
    from handling_db.lookup.heavier import heavier as compared
    from handling_db.lookup.heavier_text import heavier_text

    found = compared(*(_range(records, name, state, as_of) for name in (first, second)))
    marks = marked_by(records, *(named(records, name, PIECE) for name in (first, second)))
    return Answer(found, records.first_unit, heavier_text, HEAVIER.write, _marks=marks)


def _range(records: Records, name: str, state: State, as_of: datetime.date) -> ComparedWeight:
    from handling_db.interface.lifting import lift, rules
    from handling_db.lookup.heavier import ComparedWeight

    kind, code = named(records, name, PIECE)
    if kind == "lift group":
        parted = lift(records, code, as_of=as_of, rules=rules()).figures
        if parted.lift is None:
            return ComparedWeight(parted.name, "as parted", 0, 0, None, parted.missing, parted.jobs)
        load = parted.lift
        what = "as parted, with what is inside"
        return ComparedWeight(parted.name, what, load.low, load.best, load.high, parted.missing, parted.jobs)
    told = weight(records, code, state=state).figures
    (figure,) = [one for one in told.states if one.state == state]
    missing = tuple(one.name for one in (*figure.unknown, *figure.open_lists))
    high = figure.high if figure.complete else None
    what = f"as listed, {state}"
    return ComparedWeight(told.name, what, figure.low, figure.best, high, missing, told.jobs)


def _told(
    records: Records, found: OfUnit, code: str | None, text: Callable[[Any, str], str]
) -> Answer[OfUnit]:
    """With the jobs that have temporary ties in on the unit, wherever it is asked about."""
    from handling_db.records.in_hand import open_jobs

    if code is not None:
        found = replace(found, jobs=open_jobs(records, code))
    marks = marked_by(records, None if code is None else ("component", code))
    return Answer(found, records.first_unit, text, number_json, _marks=marks)


def why(
    records: Records,
    name: str,
    *,
    state: State,
    settings: Mapping[str, str] | None = None,
    build: str | None = None,
) -> Answer[WhyAnswer]:
    """Where does the figure come from, part by part, down to the sheet or the scale?

    Raises
    ------
    HandlingError
        As `weight`.
    """
    from handling_db.lookup.why import why as chain

    code = component(records, name)
    found = chain(records, code, state=state, given=given(records, code, settings, build))
    return _told(records, found, code, why_text)


def sweep(
    records: Records,
    name: str,
    parameter: str,
    values: Iterable[str] | None = None,
    *,
    state: State,
    **asked: Unpack[BuildAsked],
) -> Answer[SweepAnswer]:
    """Mass and centre over the values of one parameter; every choice or step where no value is given. [kg, m]

    Everything else is held as asked: see `BuildAsked`.

    Raises
    ------
    HandlingError
        As `weight`.
    """
    from handling_db.lookup.sweep import Held
    from handling_db.lookup.sweep_answer import sweep_answer

    code = component(records, name)
    off = [component(records, part) for part in asked.get("without", ())]
    held = Held(state, given(records, code, asked.get("settings"), asked.get("build")), off)
    found = sweep_answer(records, code, parameter, held, values)
    return _told(records, found, code, sweep_text)


def bounds(
    records: Records, name: str | None = None, *, state: State, serial: int | None = None
) -> Answer[BoundsAnswer]:
    """What all figures together allow a component and its parts to weigh. [kg]

    Parameters
    ----------
    records : Records
    name : str, optional
        Without one: what is inferred, and where figures contradict one another.
    state : str
    serial : int, optional
        The unit at hand: what was weighed on others is a hint, and only where nothing else bounds it.

    Raises
    ------
    HandlingError
        Nothing goes by the name, or it contains itself.
    """
    from handling_db.balance.bounds import bounds_answer

    code = None if name is None else component(records, name)
    return _told(records, bounds_answer(records, code, state=state, serial=serial), code, bounds_text)


def reconcile(
    records: Records, name: str | None = None, *, state: State, significance: float = 0.05
) -> Answer[ReconcileAnswer]:
    """All figures adjusted together, and which is likely wrong. It changes nothing; no lift is planned by it.

    Raises
    ------
    HandlingError
        Nothing goes by the name, or there is too much of it.
    """
    from handling_db.balance.answer import reconcile_answer

    code = None if name is None else component(records, name)
    found = reconcile_answer(records, code, state=state, significance=significance)
    return _told(records, found, code, reconcile_text)


def explain(records: Records, name: str) -> Answer[ExplainAnswer]:
    """Where do figures of a component disagree, and what single thing would explain it?

    Raises
    ------
    UnknownNameError, AmbiguousNameError
        Nothing, or more than one thing, goes by the name.
    """
    from handling_db.balance.explained import explain_answer

    code = component(records, name)
    return _told(records, explain_answer(records, code), code, explain_text)


def doubt(records: Records, source: str) -> Answer[DoubtAnswer]:
    """Which records become doubtful if a source was off: a scale, a document, a list, a density?

    Raises
    ------
    UnknownNameError
        There is no such source.
    """
    from handling_db.evidence.doubt import doubt_answer, source_named

    found = doubt_answer(records, source_named(records, source))
    marks = marked_by(records, None)
    return Answer(found, records.first_unit, doubt_text, number_json, _marks=marks)
