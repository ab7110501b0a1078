"""What is said of hanging, two hooks and standing: each kind with its words, as they stand beside figures."""

from __future__ import annotations

from collections.abc import Mapping

CLAUSES: Mapping[str, str] = {
    "not worked out": "{why}",
    # The pose that a load comes to rest in.
    "slack, others carry": "slack: {legs:and}; the other legs carry everything.",
    "other pose": "the load could also come to rest turned by {tilt_deg}, its centre of gravity {lower_m} "
    "lower: "
    "a push may let it go over.",
    "under 30 degrees": "under 30° from the horizontal: {legs:and}; not used unless the maker says so.",
    "a range for each leg": "more tight legs than statics can share out: each has a range, not a figure.",
    # Two hooks.
    "head takes it all": "the head hook takes the whole load once it is upright: size it for all of it.",
    "tail slack": "the tail hook is slack from {from_deg}: from there it hangs from the head alone.",
    "tail takes most later": "the tail hook takes most not at the start but at {at_deg}: {most_kg:up}.",
    "head would push": "from {from_deg} the head hook would have to push: the load swings over the tail hook "
    "there, before it is up.",
    "may swing over": "by the doubt of masses and places the load may swing over the tail hook from "
    "{from_deg} "
    "on, before it is up.",
    "picks plumb at the end": "at the end the picks come plumb over one another: the tail's share jumps to "
    "nothing there.",
    # A piece on its stand.
    "stand not recorded": "of {name} is not recorded: {what:and}.",
}
