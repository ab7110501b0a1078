"""Leg lengths for hanging level, and a tilt seen, as lines of text."""

from __future__ import annotations

from decimal import ROUND_CEILING

from handling_db.lifting.levelling.lengths import LevelAnswer, LevelLegFigure
from handling_db.lifting.levelling.seen_tilt import SeenTiltAnswer, TiltExplanation
from handling_db.lifting.said.notices import first_lines
from handling_db.lifting.said.words import place_words, title_words
from handling_db.quantities.display import counted
from handling_db.quantities.sentence import both_units, whole


def level_text(answer: LevelAnswer, first: str) -> str:
    """Lengths of the legs; what stands first comes first."""
    lines = [line for _, line in first_lines(answer.lift.first, first=first)]
    lines += ["", title_words(answer.lift), *level_lines(answer, first)]
    return "\n".join([*lines, "", *answer.cautions])


def level_lines(answer: LevelAnswer, first: str) -> list[str]:
    """The lengths and the tilt that remains, or why there are none."""
    if answer.no_figures:
        return [f"No figures: {both_units(answer.no_figures)}"]
    over = answer.hook_over_centre_m or 0.0
    lines = [f"hook {over * 1000:.0f} mm over the centre of gravity, {answer.lift.attitude_name}"]
    lines += [_leg_line(leg, first) for leg in answer.legs]
    tilt = answer.tilt or 0.0
    low = f", low on the {answer.low_words} side" if answer.low_words and tilt >= 0.05 else ""
    if any(leg.links is not None for leg in answer.legs):
        lines.append(f"tilt that remains in whole links: {tilt:.1f}°{low}")
    else:
        lines.append("no pitch of a chain is recorded: lengths as they would have to be, not in links")
        if low:
            lines.append(
                f"it cannot hang level from these points: with these lengths it tilts by {tilt:.1f}°{low}"
            )
    if answer.tilt_most is not None:
        lines.append(f"with the lengths as they are it hangs up to {answer.tilt_most:.1f}° out of level")
    if len(answer.legs) > 3:
        lines.append("Which of four legs and more carry, millimetres decide: 'legs' gives the most of each.")
    else:
        lines.append("Pulls are for the best centre; 'legs' gives the most over all doubt.")
    lines.append("Never a knot.")
    return lines


def _leg_line(leg: LevelLegFigure, first: str) -> str:
    """One leg: what to make of it, and what it then pulls."""
    shorter = 0.0 if leg.full_m is None else leg.full_m - leg.length_m
    if leg.links is None:
        what = f"make it {_mm(leg.length_m)}" + (f", {_mm(shorter)} shorter" if shorter >= 5e-4 else "")
    else:
        links = "leave it" if leg.links == 0 else f"{counted(leg.links, 'link')} shorter"
        what = f"{links}: {_mm(leg.length_m)} (level would be {_mm(leg.fits_m)})"
    full = "length not recorded" if leg.full_m is None else _mm(leg.full_m)
    told = f"{leg.name} ({leg.point}), {full}: {what}"
    if leg.tension_kg is None:
        return told
    return f"{told}; pulls {whole(leg.tension_kg, first=first, rounding=ROUND_CEILING)}"


def seen_tilt_text(answer: SeenTiltAnswer, first: str) -> str:
    """The centre by the tilt seen, beside the records; what stands first comes first."""
    lines = [line for _, line in first_lines(answer.lift.first, first=first)]
    lines += ["", title_words(answer.lift), *seen_tilt_lines(answer, first)]
    return "\n".join([*lines, "", *answer.cautions])


def seen_tilt_lines(answer: SeenTiltAnswer, first: str) -> list[str]:
    """The line of the centre, what it contradicts and what to shorten, or why there are no figures."""
    if answer.no_figures:
        return [f"No figures: {both_units(answer.no_figures)}"]
    assert answer.at is not None  # given with every figure
    assert answer.at_low is not None
    assert answer.at_high is not None
    lines = [f"seen: {answer.seen:.1f}° ± {answer.seen_within:.1f}°, low: {answer.low}"]
    half = [(high - low) / 2.0 * 1000 for low, high in zip(answer.at_low, answer.at_high, strict=True)]
    lines.append(
        f"the centre of gravity is plumb under the hook: on the line through {place_words(answer.at)} "
        f"(±{half[0]:.0f}, ±{half[1]:.0f}, ±{half[2]:.0f} mm by what was seen and the lengths of the legs)"
    )
    lines.append(f"  {answer.lift.frame}")
    if answer.fits is None:
        lines.append("the records have no centre of gravity to set beside it")
    elif answer.fits:
        lines.append(f"the recorded centre is {_mm(answer.off_m)} beside the line: inside the doubt of both")
    else:
        lines.append(
            f"the recorded centre is {_mm(answer.off_m)} beside the line, more than the doubt of both: "
            "a mass, a place or a length is not as recorded"
        )
    if answer.explanations and not answer.fits:
        lines.append("one of these alone would explain it:")
        lines += [f"  {_explained(one, first)}" for one in answer.explanations]
    if answer.shorten:
        lines.append("to hang it level with the centre as seen:")
        for one in answer.shorten:
            links = "" if one.links is None else f", {counted(one.links, 'link')}"
            lines.append(f"  shorten the leg at {one.name} ({one.point}) by {one.by_m * 1000:.0f} mm{links}")
        if answer.tilt_left is not None and any(one.links is not None for one in answer.shorten):
            lines.append(f"  tilt that remains in whole links: {answer.tilt_left:.1f}°")
    lines.append("Set down before a leg is changed; lift a hand's breadth again and look.")
    return lines


def _explained(one: TiltExplanation, first: str) -> str:
    x, y, z = (value * 1000 for value in one.place_off_m)
    moved = f"placed x {x:+.0f}, y {y:+.0f}, z {z:+.0f} mm from where it is recorded"
    if one.mass_off_kg is None:
        return f"{one.name}: {moved}"
    more = "more" if one.mass_off_kg > 0 else "less"
    inside = ", inside its doubt" if one.within_doubt else ""
    return f"{one.name}: {whole(abs(one.mass_off_kg), first=first, places=1)} {more}{inside}; or {moved}"


def _mm(metres: float | None) -> str:
    return "not known" if metres is None else f"{metres * 1000:.0f} mm"
