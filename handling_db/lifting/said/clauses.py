"""What is said of a lift beside its figures or inside a sentence: each kind with its words."""

from __future__ import annotations

from collections.abc import Mapping

from handling_db.rigging.words import CLAUSES as RIGGING

CLAUSES: Mapping[str, str] = {
    **RIGGING,
    # Where the line that carries lies, beside the centre.
    "level with": "at the height of",
    "so much over": "{by_m} over",
    "so much under": "{by_m} under",
    # Legs.
    "not held level": "it cannot be held level with these legs: {why}",
    "longer than level": "the leg at {leg} is {longer_m} longer than the level pose needs: shorten it, or it "
    "hangs out of level.",
    "leg lengths within": "leg lengths taken as within ±{spread_m}, none is recorded ({by}).",
    "places exact": "no doubt is recorded for the place of any piece: places count as exact.",
    # The centre of gravity.
    "taken at its datum": "Centre of {count} piece taken at its datum, since nobody recorded it: "
    "{names:and}.",
    "taken at their datum": "Centre of {count} pieces taken at their datum, since nobody recorded it: "
    "{names:and}.",
    "many taken at their datum": "Centre of {count} pieces taken at their datum, since nobody recorded it: "
    "{names:and} and {more} more.",
    "where its part line says": "{name}: counted where its part line says; nobody recorded where what is "
    "inside lies.",
    "fluid anywhere inside": "where the fluid sits is not recorded: taken as anywhere in the recorded "
    "outline.",
    "a range of mass": "{name}: a range of mass, {by}.",
    # Set down.
    "as recorded": "{told}",
    "where set down nobody looked": "nobody looked where it is set down.",
    "which face nobody looked": "nobody looked on which face.",
    "which face not recorded": "on which face it stands is not recorded.",
    "no such face here": "no set-down face {face} is recorded on what is lifted; there are: {known}.",
    "no outline of the face": "the outline of the face is not recorded, so no tip angle can be given.",
    "no figures for a body": "{body}: {why}",
    "centre by its shape": "its own centre is not recorded: taken from its shape, with the side down that is "
    "as large as the face.",
    "where it bears not recorded": "where the piece bears on {name} is not recorded: the whole face counts.",
    "where on the stand not recorded": "where it stands on {name} is not recorded: taken at the middle.",
    "centre of the stand not recorded": "the own centre of {name} is not recorded: taken anywhere over its "
    "feet.",
    # Two hooks.
    "centre aside": "the centre of gravity lies {aside_m} beside the line of the two picks: it rolls about "
    "that line until it hangs under it.",
    "tail may go slack": "by the doubt of masses and places the tail hook may go slack from {from_deg} on, "
    "and "
    "may carry until {until_deg}.",
    "tail may carry to the end": "by the doubt of masses and places the tail hook may go slack from "
    "{from_deg} "
    "on, and may carry until the end.",
    # Breaking loose.
    "hook without leg lengths": "without the leg lengths nobody knows where the hook stands.",
    "no pose of rest": "how it would come to rest cannot be worked out.",
    # Something lets go, or gives way.
    "no stop figure to let go at": "no stop figure, so no over-pull to release from.",
    "stop figure below the load": "the stop figure lies below the load: no over-pull is left.",
    "load may weigh nothing": "by its doubt the load may weigh nothing: how far it swings cannot be named.",
    "lets go": "if it lets go at the stop figure: swings between {lowest_kg} and {highest_kg}.",
    "lets go, legs go slack": "if it lets go at the stop figure: swings between {lowest_kg} and "
    "{highest_kg}; the legs go slack and snatch.",
    "any fall doubles the weight": "even a fall of nothing doubles the weight: keep the legs taut.",
    "falls": "a fall of {drop_m} makes {times} times the weight.",
}
