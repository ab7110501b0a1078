"""What is said of hooks, hoists, legs and charts: each kind with its words, as they stand beside figures."""

from __future__ import annotations

from collections.abc import Mapping

from handling_db.mechanics.words import CLAUSES as MECHANICS
from handling_db.rigging.line_words import CLAUSES as LINE

CLAUSES: Mapping[str, str] = {
    **MECHANICS,
    **LINE,
    # Why a reading is one to stop at.
    "rating reached": "rating of {name}, {rating_kg}, which sees {sees}",
    "rating reached, cell error off": "rating of {name}, {rating_kg}, which sees {sees}, less {error_kg:1} "
    "for the error of the cell",
    "break-loose limit": "the shop's limit for breaking loose, {part} over the expected reading",
    "both halves come up": "both halves come up: expected {expected_kg} and the other half {other_kg} make "
    "{together_kg}, at the earliest {early_kg:down}",
    # What could not be counted for it.
    "mass of": "mass of {name}",
    "rating of": "rating of {name}",
    "rating of, not used": "rating of {name} ({why})",
    "reading of a rating": "at which reading {name} reaches its rating",
    "no ratings listed": "ratings of hoist, slings and points: none listed",
    "cell error of ratings": "the error of the cell, which comes off each rating",
    "no break-loose limit": "the shop's limit for breaking loose",
    "break-loose limit of at least": "the shop's limit for breaking loose, because the expected reading is "
    "only 'at least'",
    "other half not weighed": "the mass of the other half, so the reading at which both come up",
    # Legs in one pose.
    "shares only": "the mass is not known: shares of the weight only, no forces.",
    "hook beside the centre": "the hook line passes {aside_m} beside the centre of gravity: it will tilt by "
    "about {tilt_deg:1}.",
    "leg would push": "the leg at {legs:and} would have to push: it goes slack and the load rolls.",
    "pose not held": "these legs cannot hold the load in this pose.",
    "shared by stiffness": "more legs than statics can share out: each leg lies between two figures, by "
    "stiffness and length.",
    # Rules of thumb.
    "rule does not cover": "does not cover {count} legs at {lean_deg} from the vertical.",
    "rule for even legs": "holds for even legs only: {because:on}",
    "rule counts": "counts {times} times one leg's rating.",
    "leg nearly plumb": "a leg leans {lean_deg}, less than 15° from the vertical.",
    "legs lean apart": "the legs lean {apart_deg} apart, more than 15°.",
    "legs not spread evenly": "seen from above the legs are not spread evenly within 15°.",
    # Links.
    "link without rating": "no rating",
    "no rating on a tag": "{name}: no rating on a tag or in the record, so nothing can be compared; "
    "published "
    "tables are no substitute for the tag.",
    "source of a rating not stated": "{name}: where the rating comes from is not stated.",
    "straight pull": "straight pull, {by}",
    "not rated across the eye": "not rated across the plane of the eye",
    "pull leaves the plane": "{name}: the pull leaves the plane of the eye, where eye bolts are not rated "
    "unless "
    "their own sheet says so.",
    "in the plane only": "in the plane of the eye only",
    "in the plane nobody looked": "in the plane of the eye only, and nobody looked whether the pull stays "
    "in it",
    "up to from its axis": "up to {angle_deg:plain} from its axis, {by}",
    "no rating at this angle": "no rating at this angle",
    "no recorded rating at": "{name}: the record has no rating for {angle_deg}.",
    "no factors for the link": "{name}: no published factors for this {link}, and the record has no rating "
    "for "
    "{angle_deg}.",
    "strictest family": "{name}: its family is not recorded, so the strictest is taken of: {families:and}.",
    "family has no rating at": "{name}: {family} has no rating at {angle_deg} from its axis ({book}).",
    "share of the straight rating": "{part} of the straight rating ({by}) by {family}, {book}",
    # Hoists and cranes.
    "no dynamic allowance": "no dynamic allowance is counted",
    "dynamic allowance": "times {factor} by {name}, {book}",
    "caution as published": "{told}",
    "crane without a mass": "at least: no mass for {names:and}.",
}
