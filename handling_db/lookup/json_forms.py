"""What the JSON of a look-up holds, field by field; the writers return these, so types hold them to it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TypedDict

from handling_db.records.open_job import OpenJob
from handling_db.weights.answer import Named
from handling_db.weights.verdict import Shared


class LeftForJson(TypedDict):
    """What a weighed whole leaves for a part that nobody weighed, and how many pieces of it. [kg]"""

    id: str
    name: str
    pieces: float
    low_kg: float | None
    high_kg: float | None


class RouteJson(TypedDict):
    """One way to the figure, and its limits; null where it sets none. [kg]"""

    what: str
    low_kg: float | None
    high_kg: float | None


class NarrowedJson(TypedDict):
    """What the evidence allowed a piece to weigh, dry, from a day on; null before the first. [kg]"""

    since: str | None
    low_kg: float | None
    high_kg: float | None
    by: list[str]


class RestsJson(TypedDict):
    """What a figure rests on beyond its parts; null where it is a plain one. [kg, lb]"""

    inferred: bool
    rests_on_one_weighing: str | None
    rests_on_one_figure: str | None
    of_whole: str | None
    left_for: LeftForJson | None
    as_weighed_on_serial: str | None
    second_kg: float | None
    second_lb: float | None
    second_without_limit: bool
    missing_in: str | None
    cannot_all_be_true: list[list[str]]
    guess: str | None
    plan_without_kg: float | None
    plan_without_lb: float | None
    plan_lifted_by: str | None
    every_combination_looked_at: bool
    routes: list[RouteJson]
    narrowed: list[NarrowedJson]


class StateJson(RestsJson):
    """One state: null figures where nothing is known. [kg, lb, m]"""

    state: str
    complete: bool
    at_least: bool
    best_kg: float | None
    low_kg: float | None
    high_kg: float | None
    half_width_worst: float | None
    half_width_rss: float | None
    u: float | None
    not_worked_out: list[str]
    plan_kg: float | None
    plan_lb: float | None
    why_no_plan: str | None
    basis: str
    chosen: str | None
    unknown: list[Named]
    open_lists: list[str]
    fluid_listed_at: list[str]
    centre_m: list[float] | None
    centre_of_known_part_only: bool
    no_place: list[str]
    taken_at_datum: list[str]
    more_taken_at_datum: bool


class StatementJson(TypedDict):
    """One source's figure, its doubt and its verdict. [kg]"""

    id: str
    printed: str
    best_kg: float | None
    low_kg: float | None
    high_kg: float | None
    doubt_from: str
    step_assumed: bool
    columns_original: str | None
    state: str
    counts: str
    without: str
    boundary_known: bool
    source: str
    source_kind: str
    on: str | None
    by: str | None
    derived: str | None
    verdict: str | None
    because: str | None
    parts_low_kg: float | None
    parts_high_kg: float | None
    gap_low_kg: float | None
    gap_high_kg: float | None
    missing_low_kg: float | None
    missing_high_kg: float | None
    hides_up_to_kg: float | None
    both_rest_on: list[Shared]


class PartJson(TypedDict):
    """One part line with its figures; null where nobody weighed it. [kg]"""

    line: str
    id: str
    name: str
    quantity: float
    known: bool
    complete: bool
    each_best_kg: float | None
    each_low_kg: float | None
    each_high_kg: float | None
    line_best_kg: float | None
    basis: str


class ValueJson(TypedDict):
    """One value of a build."""

    value: str
    unit: str
    default: bool


class WeightJson(TypedDict):
    """How heavy it is, who says so, and what is not known."""

    id: str
    name: str
    kind: str
    also_called: list[str]
    part_number: str | None
    fits: list[str]
    build: Mapping[str, ValueJson]
    without: list[str]
    parts_listed: str | None
    states: list[StateJson]
    statements: list[StatementJson]
    parts: list[PartJson]
    goes_into: list[Named]
    jobs: list[OpenJob]
    cautions: list[str]


class SideJson(TypedDict):
    """One side of a comparison. [kg]"""

    name: str
    what: str
    low_kg: float | None
    best_kg: float | None
    high_kg: float | None
    missing: list[str]


class HeavierJson(TypedDict):
    """Which of two is heavier, by least and by most; null where there is no limit. [kg]"""

    first: SideJson
    second: SideJson
    heavier: str
    by_least_kg: float | None
    by_most_kg: float | None
    because: str | None
    jobs: list[OpenJob]
    cautions: list[str]
