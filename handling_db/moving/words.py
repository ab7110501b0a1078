"""The sentences about moves, fixtures, shops and hands: one wording for terminal, page, card and tag."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import ROUND_CEILING, ROUND_FLOOR

from handling_db.carrying.axles import AxleLoads
from handling_db.carrying.checks import SANITY
from handling_db.carrying.demand import RatingBeside
from handling_db.carrying.floor import FootFigure
from handling_db.carrying.fork_entry import EntryFigure
from handling_db.lifting.figures import MassLine
from handling_db.moving.figures import (
    DockFigure,
    FloorFigure,
    MoveAnswer,
    PlanCentre,
    StandEdge,
    StandFigure,
    TransportTieFigure,
    TruckFigure,
)
from handling_db.moving.notices import notice_words as notice_words
from handling_db.moving.notices import told as told
from handling_db.quantities.amount import Amount
from handling_db.quantities.display import (
    ShownMass,
    at_least,
    figure,
    pair,
    planning_text,
    span,
    with_doubt,
    without_count,
)
from handling_db.quantities.sentence import both_units

MM_PER_INCH = 25.4  # exact


def joined(lines: Iterable[str], first: str) -> str:
    """Lines as one text; a mass in one unit alone, from a record or a rule, gets the other too."""
    return "\n".join(both_units(line, first=first) for line in lines)


def load_words(load: Amount | None, *, first: str = "kg") -> str:
    """``373.1 ± 3.3 kg (822 ± 7 lb)``, ``at least 369.2 kg (813.9 lb)``, or ``not known``."""
    if load is None or (load.high is None and load.best == 0.0):
        return "not known"
    if load.high == 0.0:
        return "none"
    return with_doubt(ShownMass.of(load.low, load.best, load.high), first=first)


def plan_words(load: Amount | None, *, first: str = "kg") -> str:
    """The heaviest believable figure rounded up, ``AT LEAST ...`` without an upper one, or ``not known``."""
    if load is None or (load.high is None and load.best == 0.0):
        return "not known"
    if load.high is None:
        return at_least(ShownMass.of(load.low, load.best, None), first=first).replace(
            "at least", "AT LEAST", 1
        )
    return "none" if load.high == 0.0 else planning_text(load.high, first=first)


def gross_words(answer: MoveAnswer, *, first: str = "kg") -> str:
    """The card's headline: ``Gross: plan with 415 kg (915 lb)``, or at least, with what has no mass."""
    load = answer.gross
    if load is None or load.high is None:
        names = ", ".join(answer.missing)
        return f"Gross: {plan_words(load, first=first)}, no upper figure: no mass for {names}"
    return f"Gross: plan with {plan_words(load, first=first)}"


def line_words(line: MassLine, *, first: str = "kg") -> tuple[str, str]:
    """One line of the gross: its name and its mass."""
    return line.name, load_words(line.load, first=first)


def mm(length: float | None) -> str:
    """``600 mm (23.6 in)``; ``not recorded`` where nobody measured. [m]"""
    if length is None:
        return "not recorded"
    millimetres = length * 1000.0
    return f"{figure(round(millimetres, 6), 0)} mm ({figure(round(millimetres / MM_PER_INCH, 6), 1)} in)"


def down_mm(length: float) -> str:
    """A distance that must not be made longer by rounding: ``289 mm (11.3 in)``. [m]"""
    millimetres = round(length * 1000.0, 6)
    inches = round(millimetres / MM_PER_INCH, 6)
    return f"{figure(millimetres, 0, ROUND_FLOOR)} mm ({figure(inches, 1, ROUND_FLOOR)} in)"


def dock_words(dock: DockFigure, *, first: str = "kg") -> tuple[str, ...]:
    """What the scale showed beside each figure of the paper, then what to ask, then what is never done."""
    lines = [f"The scale showed {span(dock.seen_low_kg, dock.seen_high_kg, first=first)}."]
    for line in dock.lines:
        gap = ""
        if line.apart_low_kg is not None and line.apart_high_kg is not None:
            gap = f" by {span(line.apart_low_kg, line.apart_high_kg, first=first)}"
        elif line.apart_low_kg is not None:
            gap = f" by at least {pair(line.apart_low_kg, 1.0, first=first, rounding=ROUND_FLOOR)}"
        because = f" ({notice_words(line.says, first=first)})" if line.says else ""
        lines.append(f"Beside {line.name}, {load_words(line.load, first=first)}: {line.word}{gap}{because}.")
    return (*lines, *told((*dock.ask, dock.says), first))


def size_words(size: Sequence[float | None]) -> str:
    """``1200 x 800 x 690 mm``; a missing one says so. [m]"""
    if all(value is None for value in size):
        return "length x width x height: not recorded"
    shown = ["?" if value is None else figure(round(value * 1000.0, 6), 0) for value in size]
    inches = ["?" if value is None else figure(round(value * 1000.0 / MM_PER_INCH, 6), 1) for value in size]
    gap = "" if None not in size else "; ? is not recorded"
    return f"{' x '.join(shown)} mm ({' x '.join(inches)} in){gap}"


def degrees(angle: float) -> str:
    """A tilt rounded down to a whole degree: never more than it stands."""
    return f"{figure(round(angle, 6), 0, ROUND_FLOOR)}°"


def best_degrees(angle: float) -> str:
    """A tilt by the best figures, to a tenth of a degree, rounded down: nothing stands longer than that."""
    return f"{figure(round(angle, 6), 1, ROUND_FLOOR)}°"


def edge_words(edge: StandEdge, slope: float) -> str:
    """``towards left: 289 mm to the edge, goes over at 49° more tilt (best figures: 53°)``."""
    on = f" more tilt on a slope of {figure(slope, 0)}°" if slope > 0 else ""
    return (
        f"towards {edge.towards}: {down_mm(edge.base_m)} to the edge, "
        f"goes over at {degrees(edge.tips_at)}{on} "
        f"(best figures, level floor: {best_degrees(edge.best_tips_at)})"
    )


def told_edges(stand: StandFigure) -> tuple[str, ...]:
    """Every edge, the nearest first; a round face that is as near all round says so in one line."""
    if stand.round and stand.edges:
        bases = [edge.base_m for edge in stand.edges]
        if max(bases) - min(bases) < 0.001:
            return (edge_words(stand.edges[0], stand.slope).replace(stand.edges[0].towards, "every side", 1),)
    nearest = sorted(stand.edges, key=lambda edge: edge.tips_at)
    return tuple(edge_words(edge, stand.slope) for edge in nearest)


def stand_words(stand: StandFigure) -> str:
    """How it stands in one sentence, or why nothing can be said."""
    if stand.weakest is None:
        why = notice_words(stand.no_figures) if stand.no_figures else "no figures"
        return f"{stand.what}: {why}"
    return f"{stand.what}: centre of gravity {mm(stand.height_m)} up; {told_edges(stand)[0]}"


def push_lines(stand: StandFigure, *, first: str = "kg") -> tuple[str, ...]:
    """What a level push does first, where one was asked about."""
    push = stand.push
    if push is None:
        return ()
    tips = pair(push.tips_kg, 1.0, first=first, rounding=ROUND_FLOOR)
    line = f"pushed level at {mm(push.height_m)}: tips at {tips}"
    if push.slides_kg is not None:
        low, high = push.slides_kg
        slides = pair(low, 1.0, first=first, rounding=ROUND_FLOOR)
        if high is not None:
            slides = span(low, high, first=first)
        line += f", slides at {slides}: {push.first}{'' if push.first == 'may do either' else ' first'}"
    above = f"it tips first where friction is above {push.tips_first_above:.2f}, and slides first below"
    return (line, above)


def foot_words(foot: FootFigure, *, first: str = "kg") -> str:
    """What one foot puts on the floor, rounded up."""
    at = f"foot at {foot.at[0] * 1000:.0f}, {foot.at[1] * 1000:.0f} mm"
    pressure = "" if foot.pressure_kpa is None else f", {foot.pressure_kpa:.0f} kPa"
    if foot.highest_kg is None:
        least = pair(foot.at_least_kg, 1.0, first=first, rounding=ROUND_FLOOR)
        return f"{at}: at least {least}, no upper figure"
    return f"{at}: up to {planning_text(foot.highest_kg, first=first)}{pressure}"


def heaviest_foot(feet: Sequence[FootFigure], *, first: str = "kg") -> str:
    """The foot that puts most on the floor, of so many."""
    most = max(feet, key=lambda foot: foot.highest_kg if foot.highest_kg is not None else foot.at_least_kg)
    return f"of {len(feet)} feet the heaviest: {foot_words(most, first=first)}"


def axle_words(axles: AxleLoads, *, first: str = "kg") -> str:
    """What the axles of a truck carry with the load, and the load that tips it forward."""
    front = pair(axles.front_kg, 10.0, first=first, rounding=ROUND_CEILING)
    tips = pair(axles.tips_at_kg, 10.0, first=first, rounding=ROUND_FLOOR)
    if axles.rear_kg <= 0.0:
        return f"TIPS FORWARD: the rear axle leaves the floor; a load of {tips} at this distance is enough"
    rear = pair(axles.rear_kg, 10.0, first=first, rounding=ROUND_FLOOR)
    empty = pair(axles.rear_empty_kg, 10.0, first=first)
    return (
        f"rear axle keeps {rear} of {empty}, front axle up to {front}; standing still it tips forward at "
        f"{tips} "
        "at this distance: that is no capacity"
    )


def side_words(side: str, centre: PlanCentre | None) -> str:
    """``low x (left)``: an entry side of the pallet, and where that is on the piece as installed."""
    if centre is None:
        return side
    end = 1 if side.startswith("high") else 0
    word = (centre.x_words if side.endswith("x") else centre.y_words)[end]
    return f"{side} ({word})"


def entry_words(entry: EntryFigure, answer: MoveAnswer) -> str:
    """One entry side: where the centre of gravity is from the fork face, and how far sideways."""
    limit = ""
    if entry.offset_limit is not None:
        limit = f" ({entry.offset_word}; a published limit is {mm(entry.offset_limit)})"
    made = (
        "the pallet is made for it"
        if entry.made_for == "yes"
        else "whether the pallet is made for it: not recorded"
    )
    return (
        f"from {side_words(entry.side, answer.centre)}: centre of gravity up to {mm(entry.load_centre_high)} "
        f"from the fork face, sideways up to {mm(entry.sideways_high)}{limit}; {made}"
    )


def entries_words(answer: MoveAnswer) -> tuple[str, ...]:
    """Every entry side; sides with the same figures in one line."""
    sides: dict[str, list[str]] = {}
    for entry in answer.entries:
        side = side_words(entry.side, answer.centre)
        sides.setdefault(entry_words(entry, answer).removeprefix(f"from {side}"), []).append(side)
    return tuple(f"from {' and from '.join(names)}{words}" for words, names in sides.items())


def beside_words(beside: RatingBeside, *, first: str = "kg") -> str:
    """``415 kg (915 lb) beside 1250 kg (2756 lb): below, 33 % of it``; a rating is never rounded up."""
    demand = _demand_words(beside, first)
    if beside.rating_kg is None:
        return f"{demand} beside no recorded rating: not known"
    sanity = beside.note == SANITY
    rating = pair(beside.rating_kg, 10.0, first=first) if sanity else _rating(beside.rating_kg, first)
    percent = ""
    if beside.percent is not None:
        least = "at least " if beside.percent_at_least else ""
        percent = f", {least}{figure(beside.percent, 0)} % of it"
    short = ""
    if beside.left_kg is not None and beside.left_kg < 0:
        short = f", short by {planning_text(-beside.left_kg, first=first)}"
    return f"{demand} beside {rating}: {beside.word}{percent}{short}"


def _demand_words(beside: RatingBeside, first: str) -> str:
    if beside.high_kg is not None:
        return planning_text(beside.high_kg, first=first)
    if beside.low_kg is None:
        return "not known"
    half = 0.5  # one decimal: it is a lower limit, not a reading
    return at_least(
        ShownMass(beside.low_kg, beside.low_kg - half, beside.low_kg + half, complete=False), first=first
    )


def _rating(kg: float, first: str) -> str:
    return pair(kg, 10.0 if kg >= 100 else 1.0, first=first, rounding=ROUND_FLOOR)


def truck_title(truck: TruckFigure, answer: MoveAnswer) -> str:
    """``Forklift: forks alone, from low x (left)``."""
    return trucks_title([truck], answer)


def trucks_title(alike: Sequence[TruckFigure], answer: MoveAnswer) -> str:
    """``Forklift: forks alone, from low x (left) and from high x (right)``: one truck from sides alike."""
    one = alike[0]
    with_what = f"with {one.attachment}" if one.attachment else "forks alone"
    sides = " and ".join(f"from {side_words(each.side, answer.centre)}" for each in alike if each.side)
    return f"{one.name}: {with_what}{f', {sides}' if sides else ''}"


def truck_lines(truck: TruckFigure, *, first: str = "kg") -> tuple[str, ...]:
    """What to look up on the plate, and the figures beside it, the lower first."""
    lines = []
    if truck.look_up_m is not None:
        lines.append(f"look up on the data plate at a load centre of {mm(truck.look_up_m)}")
    lines += [f"{beside.what}: {beside_words(beside, first=first)}" for beside in truck.beside]
    if truck.axles is not None:
        lines.append(axle_words(truck.axles, first=first))
    if truck.attachment and truck.moments:
        shown = " / ".join(pair(kg, 10.0, first=first) for _, kg in truck.moments)
        lines.append(f"by moment, bare forks, sanity figures only: {shown}, less {truck.attachment}")
    return tuple(lines)


def area_words(floor: FloorFigure) -> str:
    """``432 kg/m2, 4.2 kN/m2, 89 lb/ft2``; at least, where there is no upper figure."""
    if floor.kg_per_m2 is None or floor.kn_per_m2 is None or floor.lb_per_ft2 is None:
        return "load per area not known"
    least = "at least " if floor.at_least else ""
    return (
        f"{least}{figure(floor.kg_per_m2, 0)} kg/m2, {figure(floor.kn_per_m2, 1)} kN/m2, "
        f"{figure(floor.lb_per_ft2, 0)} lb/ft2"
    )


def floor_words(floor: FloorFigure, *, first: str = "kg") -> tuple[str, ...]:
    """Load per area three ways, and beside every limit that is stated."""
    lines = []
    if floor.kg_per_m2 is not None:
        stated = f" ({floor.stated_by})" if floor.stated_by else ""
        lines.append(f"{area_words(floor)}; limit: {both_units(floor.limit, first=first)}{stated}")
    lines += [
        f"{beside.what}: {beside_words(beside, first=first)}"
        for beside in floor.beside
        if beside.rating_kg is not None
    ]
    return tuple(lines)


def tie_words(tie: TransportTieFigure) -> str:
    """``4 x through-bolts M10: out before the hook takes the upper half``."""
    by = f" [{tie.by}]" if tie.by else ""
    out = tie.out_by if tie.out_by.startswith("before ") else f"by {tie.out_by}"
    return f"{tie.count} x {without_count(tie.count, tie.what)}: out {out}{by}"


def tie_count(answer: MoveAnswer) -> str:
    """How many things have to come out, or that nobody looked."""
    numbers = []
    for tie in answer.ties:
        try:
            numbers.append(float(tie.count))
        except ValueError:
            return f"{len(answer.ties)} kinds"
    return f"{sum(numbers):g}"


def room_words(room: float | None, fit: str) -> str:
    """``1600 mm left``, ``short by 100 mm``, ``open``, ``not recorded``. [m]"""
    if room is None:
        return "nothing there" if fit == "room left" else "not recorded"
    return f"{down_mm(room)} left" if fit == "room left" else f"short by {mm(-room)}"


def build_words(build: Sequence[tuple[str, str, bool]]) -> str:
    """``length 780 mm, discs 8 (default, not confirmed for this unit)``; empty without parameters."""
    sure = [f"{name} {value}" for name, value, certain in build if certain]
    assumed = [f"{name} {value}" for name, value, certain in build if not certain]
    word = "default" if len(assumed) == 1 else "defaults"
    told = f"{', '.join(assumed)} ({word}, not confirmed for this unit)" if assumed else ""
    return ", ".join(text for text in (*sure, told) if text)
