"""The sentences of an answer: one wording for terminal, page and print."""

from __future__ import annotations

from collections.abc import Sequence

from handling_db.lookup.worth_words import worth_words
from handling_db.quantities.display import at_least, counted, figure, pair, planning_text, span, with_doubt
from handling_db.weights.answer import (
    MOST_AT_DATUM,
    Named,
    Narrowed,
    Number,
    ParameterValue,
    PartFigure,
    StateFigure,
    StatementFigure,
    WeightAnswer,
)
from handling_db.weights.conflicts import COMMON, few_of

FIGURES_NOT_PERMISSION = (
    "Figures, not permission. Data plates, tags and local rules come first; "
    "a competent person plans the lift."
)


def alone_words(weighed: bool) -> str:
    """What a figure rests on that is the only one; a plate, a list or a book is no weighing."""
    return f"one {'weighing' if weighed else 'figure, not a weighing'}, nothing checks it"


def whole_words(name: str, weighed: bool) -> str:
    """The whole whose figure leaves something for a part: ``the weighed Transfer box``."""
    return f"the weighed {name}" if weighed else f"the figure of {name}"


def names(listed: Sequence[Named], most: int = 4) -> str:
    """``auxiliary drive, 5 x planet gear and 3 more``."""
    shown = [
        named.name if named.pieces in (0, 1) else f"{_plain(named.pieces)} x {named.name}"
        for named in listed[:most]
    ]
    more = len(listed) - most
    return ", ".join(shown) + (f" and {more} more" if more > 0 else "")


def _plain(number: Number) -> str:
    return f"{float(number):g}"


def headline(answer: WeightAnswer, *, first: str = "kg") -> str:
    """The heaviest believable figure by state, with what is unknown in the same line.

    Examples: ``Plan with 452 kg (995 lb) dry, 455 kg (1003 lb) drained, at most 473 kg (1043 lb) with all the
    oil in it``; ``At least 369.2 kg (813.9 lb): no weight for auxiliary drive``.
    """
    state = answer.headline
    if state.nothing_known and [named.id for named in state.unknown] == [answer.id]:
        return "Nobody has weighed it"
    plans = [one.planning for one in answer.states]
    if len(plans) == 1 or state.planning is None or len(set(plans)) == 1:
        named = f" {state.state}" if len(plans) == 1 and state.planning is not None else ""
        return plan_words(state, first=first, named=named)
    words = [
        f"{planning_text(one.planning, first=first)} {one.state}"
        for one in answer.states[:-1]
        if one.planning is not None
    ]
    last = planning_text(state.planning, first=first)
    if state.fluid_elsewhere:
        words.append(f"at most {last} with all of {charge_words(state)} in it")
    else:
        words.append(f"{last} {state.state}")
    return f"Plan with {', '.join(words)}{_raised(state, first)}{second_words(state, first=first)}"


def plan_words(state: StateFigure, *, first: str = "kg", named: str = "") -> str:
    """What to plan with in one state, or what is known at least and why there is no upper figure."""
    if state.planning is not None:
        plan = planning_text(state.planning, first=first)
        return f"Plan with {plan}{named}{_raised(state, first)}{second_words(state, first=first)}"
    gaps = state.why_none if state.rests.disputes else gap_words(state)
    if state.nothing_known:
        return f"Nobody has weighed it: {gaps}" if gaps else "Nobody has weighed it"
    known = at_least(state, first=first)
    return f"{known[0].upper()}{known[1:]}, no upper figure: {gaps or state.why_none}"


def _raised(state: StateFigure, first: str) -> str:
    """What sets the plan above the sum; for a figure that waits the plan without it, too."""
    told = f", because a source prints {state.raised_by}" if state.raised_by else ""
    if state.rests.without is None:
        return told
    return f"{told}, {planning_text(state.rests.without, first=first)} without {state.rests.waits}"


def charge_words(state: StateFigure) -> str:
    """The fluid that may be in it, by its name: ``the oil charge of Transfer box``."""
    of = names(state.fluid_elsewhere)
    fluids = " and ".join(f"{name[:1].lower()}{name[1:]}" for name in state.rests.charges)
    return f"the {fluids or 'fluid'} of {of}"


def second_words(state: StateFigure, *, first: str = "kg") -> str:
    """``; 34 kg are missing somewhere in Transfer box: if here, up to 64 kg``; empty where nothing is."""
    rests = state.rests
    if rests.second is not None and state.planning is not None:
        gap = rests.second - state.planning
        return (
            f"; {pair(gap, gap / 10, first=first)} are missing somewhere in {rests.where}: "
            f"if here, up to {planning_text(rests.second, first=first)}"
        )
    if rests.second_open:
        return f"; figures in {rests.where} disagree: if what is missing there is here, no upper figure"
    return ""


def rests_words(state: StateFigure, *, first: str = "kg") -> list[str]:
    """What a figure rests on beyond its parts, a line each; none for a plain figure."""
    rests = state.rests
    lines: list[str] = []
    alone, whole = alone_words(rests.weighed), whole_words(rests.whole, rests.weighed)
    if rests.left is not None and rests.whole:
        part, low, high = rests.left
        left = f"{span(low, high, first=first)} for it"
        if rests.inferred:
            who = f"nobody weighed {names([part])}" if rests.routes else "nobody weighed it"
            lines.append(f"inferred: {who}; {whole} leaves {left} ({alone})")
        else:
            lines.append(f"{alone}: nobody weighed {names([part])}, it leaves {left}")
        if rests.routes:
            lines.append(f"not simply added: a light {names([part])} goes with a heavy rest")
    elif rests.inferred and rests.whole:
        lines.append(f"inferred: what {whole} leaves for it ({alone})")
    elif rests.inferred:
        lines.append("inferred from weighed wholes around it")
    elif rests.alone:
        lines.append(alone)
    if rests.serial:
        lines.append(f"as weighed on serial {rests.serial}")
    if rests.narrowed:
        lines.append(narrowed_words(rests.narrowed, first=first))
    if rests.guess:
        lines.append(f"a guess, because nothing measured bounds it: {rests.guess}")
    lines += conflict_words(rests.disputes)
    if not rests.all_looked_at:
        lines.append("more figures disagree than can be looked at in every combination")
    return lines


def conflict_words(conflicts: Sequence[tuple[str, ...]]) -> list[str]:
    """A line for each set of figures that cannot all be true; of many the few that tell most."""
    few = few_of(conflicts)
    lines = []
    for figures, left_out in zip(few.shown, few.left_out, strict=True):
        rest = f"; and {left_out} more" if left_out else ""
        lines.append(f"these cannot all be true: {'; '.join(figures)}{rest}")
    if few.more:
        left_out = len(few.common) - COMMON
        rest = f" and {counted(left_out, 'figure')} more" if left_out > 0 else ""
        common = f"; in every one stand {'; '.join(few.common[:COMMON])}{rest}" if few.common else ""
        lines.append(f"and {few.more} more sets of figures that cannot all be true{common}")
    return lines


def narrowed_words(steps: Sequence[Narrowed], *, first: str = "kg") -> str:
    """``narrower since 2026-09-07: 12.7 to 31.8 kg dry, by 844.0 kg (floor scale); before that ...``."""
    before, now = steps[-2], steps[-1]
    changed = "narrower" if _narrower(before, now) else "other"
    told = f"since {now.since}: {limits_words(now, first=first)} dry, by {'; '.join(now.by)}"
    return f"{changed} {told}; before that {limits_words(before, first=first)}"


def _narrower(before: Narrowed, now: Narrowed) -> bool:
    if now.low < before.low or (now.high is None and before.high is not None):
        return False
    return before.high is None or (now.high is not None and now.high <= before.high)


def limits_words(one: Narrowed, *, first: str = "kg") -> str:
    """``12.7 to 31.8 kg (28 to 70 lb)``, or at least so much."""
    if one.high is None:
        return f"at least {pair(one.low, one.low / 1000, first=first)}" if one.low else "nothing known"
    return span(one.low, one.high, first=first)


def route_words(state: StateFigure, *, first: str = "kg") -> list[str]:
    """Each way to the figure, a line each, where there are several."""
    return [
        f"{route.what}: {span(route.low, route.high, first=first)}"
        if route.high is not None
        else f"{route.what}: at least {pair(route.low, route.low / 1000, first=first)}"
        for route in state.rests.routes
    ]


def gap_words(state: StateFigure) -> str:
    """``no weight for auxiliary drive; parts of gear case may not all be listed``."""
    words = []
    if state.unknown:
        words.append(
            f"{counted(len(state.unknown), 'part has', 'parts have')} no weight: {names(state.unknown)}"
        )
    if state.open_lists:
        words.append(f"nobody says that all parts are listed of {names(state.open_lists)}")
    if not words and state.why_none:
        words.append(state.why_none)
    return "; ".join(words)


def state_words(state: StateFigure, *, first: str = "kg") -> str:
    """The figure of one state with its doubt, and what it rests on."""
    if state.nothing_known:
        return "no figure: nobody has weighed it"
    chosen = f"; {state.chosen}" if state.chosen else ""
    if state.complete and state.rests.ranged and not state.rests.disputes:
        fluid = ""
        if state.fluid_elsewhere:
            fluid = f", with none to all of {charge_words(state)} in it"
        return f"{span(state.low, state.high, first=first)}, {state.basis}{fluid}{chosen}"
    fluid = ", fluid not counted" if state.fluid_elsewhere else ""
    return f"{with_doubt(state, first=first)}, {state.basis}{fluid}{chosen}"


def mass_words(state: StateFigure, *, first: str = "kg") -> str:
    """The mass alone: a range where several figures give its ends, else a figure with its doubt."""
    if state.complete and state.rests.ranged:
        return span(state.low, state.high, first=first)
    return with_doubt(state, first=first)


def fluid_words(state: StateFigure) -> str:
    """``fluid is listed at transfer box; the share in this part is not recorded``; empty where none is."""
    if not state.fluid_elsewhere:
        return ""
    where = names(state.fluid_elsewhere)
    return f"fluid is listed at {where}; the share in this part is not recorded"


def build_words(build: Sequence[ParameterValue]) -> str:
    """``8 discs (default, not confirmed for this unit)``; empty where there are no parameters."""
    chosen = [_value_words(value) for value in build if not value.is_default]
    defaults = [_value_words(value) for value in build if value.is_default]
    words = list(chosen)
    if defaults:
        which = "default" if len(defaults) == 1 else "defaults"
        words.append(f"{', '.join(defaults)} ({which}, not confirmed for this unit)")
    return "; ".join(words)


def _value_words(value: ParameterValue) -> str:
    counted = value.unit == "each" and value.text[:1].isdigit()
    return f"{value.text} {value.name}" if counted else f"{value.name} {value.text}"


def states_words(answer: WeightAnswer) -> str:
    """Which state the headline speaks of."""
    if len(answer.states) == 1:
        return answer.states[0].state
    same = {(s.best, s.high, s.complete, s.planning) for s in answer.states}
    if len(same) == 1:
        return fluid_words(answer.headline) or "dry, drained or filled: it lists no fluid"
    if answer.headline.fluid_elsewhere:
        return "how much of it is in here nobody recorded: none to all of it"
    plan = answer.headline.planning
    heavier = [s.state for s in answer.states if plan is not None and (s.planning or 0) > plan]
    if heavier:
        return f"{answer.headline.state}; planned heavier: {' and '.join(heavier)}"
    return f"{answer.headline.state}, the heaviest state"


def centre_words(state: StateFigure) -> str:
    """Where the mass sits in the component's own frame, in millimetres, or why that is not known."""
    if state.no_place:
        return f"centre of gravity not known: no place recorded for {names(state.no_place)}"
    if state.centre is None:
        return "centre of gravity not known"
    x, y, z = (figure(v * 1000, 0) for v in state.centre)
    part = "" if not state.parts_missing else "of the known part only, the true one lies elsewhere: "
    return f"centre of gravity {part}x {x}, y {y}, z {z} mm"


MOST_NAMED = 5  # pieces in one sentence


def datum_words(state: StateFigure) -> str:
    """``centre of 2 pieces taken at their datum, nobody recorded it: Harness, Oil pump``; empty for none."""
    found = [one.name for one in state.at_datum]
    if not found:
        return ""
    many = f"more than {MOST_AT_DATUM}" if len(found) > MOST_AT_DATUM else str(len(found))
    pieces = "1 piece taken at its" if len(found) == 1 else f"{many} pieces taken at their"
    more = " and others" if len(found) > MOST_NAMED else ""
    return f"centre of {pieces} datum, nobody recorded it: {', '.join(found[:MOST_NAMED])}{more}"


def doubt_words(statement: StatementFigure) -> str:
    """Where the doubt of a figure comes from."""
    assumed = " (step assumed from the digits)" if statement.step_assumed else ""
    return f"doubt: {statement.doubt_from}{assumed}"


def witness_words(statement: StatementFigure) -> str:
    """What two columns of one source are worth together; empty where there is one."""
    return {
        "": "",
        "first": "two columns, one witness: the second was converted from the first",
        "second": "two columns, one witness: the first was converted from the second",
        "either": "two columns, one witness: one was converted from the other",
        "neither": "two columns that do not fit each other",
    }[statement.columns]


def default_build_words(statement: StatementFigure, build: Sequence[ParameterValue]) -> str:
    """In another build: a figure that names no build is held against the parts of the default one."""
    if statement.build or not statement.verdict or all(value.is_default for value in build):
        return ""
    return "it names no build, so it is compared with the parts of the default build"


def verdict_words(statement: StatementFigure, *, first: str = "kg") -> str:
    """The verdict on one stated figure, with both figures, the gap and what is missing."""
    if not statement.verdict:
        return ""
    if statement.parts_low is None or statement.parts_high is None or statement.gap_low is None:
        return f"{statement.verdict}: {statement.because}"
    parts = span(statement.parts_low, statement.parts_high, first=first)
    stated = span(statement.low, statement.high, first=first)
    if statement.verdict == "disagrees":
        heavier = statement.gap_low > 0
        low, high = (statement.gap_low, statement.gap_high or 0)
        if not heavier:
            low, high = -(statement.gap_high or 0), -statement.gap_low
        which = "heavier" if heavier else "lighter"
        hint = (
            "; the printed figure may leave something out" if not statement.boundary_known and heavier else ""
        )
        gap = span(low, high, first=first)
        return f"disagrees: the parts are {parts}, it allows {stated}; the parts are {gap} {which}{hint}"
    if statement.missing_low is not None and statement.missing_high is not None:
        low = max(statement.missing_low, 0 * statement.missing_low)
        missing = span(low, statement.missing_high, first=first)
        return (
            f"cannot be checked: {statement.because}; the known parts are {parts}, it allows {stated}, "
            f"so what is missing would have to weigh {missing}"
        )
    if statement.hides is not None:
        worth = worth_words(statement.hides, statement.shared, first=first)
        return f"agrees; {worth}; the parts are {parts}, it allows {stated}"
    because = f": {statement.because}" if statement.because else ""
    return f"{statement.verdict}{because}; the parts are {parts}, it allows {stated}"


def quantity_words(part: PartFigure) -> str:
    """``14``, or ``8 (discs)`` where a formula says how many."""
    number = _plain(part.quantity)
    return number if part.quantity_text == number else f"{number} ({part.quantity_text})"


def part_words(part: PartFigure, *, first: str = "kg") -> tuple[str, str]:
    """Each and line mass of a part line, in words where they are not known."""
    if not part.known:
        return "not known", "not known"
    each = with_doubt(part, first=first)
    if part.quantity == 1:
        return each, each
    doubt = (part.high - part.low) / 2 * part.quantity
    line = pair(part.best * part.quantity, doubt, first=first)
    return each, line if part.complete else f"at least {line}"
