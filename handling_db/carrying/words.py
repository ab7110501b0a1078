"""What is said of forks, floors, ways, pallets and hands: each kind with its words."""

from __future__ import annotations

from collections.abc import Mapping

KINDS: Mapping[str, str] = {
    # What closes an answer.
    "person decides": "Figures, not permission: a competent person decides, with the data plate, the tags "
    "and the local rules.",
    "plate governs": "The plate governs: look the load up on the data plate of the truck that is really "
    "used.",
    # Somebody's own words, or why something cannot be worked out.
    "open": "{why}",
    # Beside a rating.
    "no rating": "{name}: no rating is recorded; read it on the plate or tag before it is used.",
    "no upper figure": "{name}: at least, no upper figure; not known: {missing:and}.",
    "doubt reaches": "{name}: the doubt of the mass reaches the rating; weigh before this is relied on.",
    # Feet and load per area.
    "feet for one point": "The doubt of the centre of gravity is not recorded: the shares are for one point "
    "only.",
    "patch outside the feet": "Part of the patch of the centre of gravity lies outside the area between the "
    "feet: it may tip.",
    "more than three feet": "More than three feet: statics alone does not say how they share. The even share "
    "is for evenly stiff feet on a flat floor; on an uneven floor each can have anything from lowest to "
    "highest.",
    "area says nothing of feet": "A limit per area says nothing of small feet, wheels or edges: look at the "
    "point loads too.",
    "mover not counted": "The mover that brings it stands on the same floor: its own mass is not counted "
    "here.",
    # Forks.
    "forks for one point": "The doubt of the centre of gravity is not recorded: these are single points.",
    "no offset limit": "The rated capacity is not recorded: no published offset limit can be chosen.",
    "offset": "Entering from the {side} side the centre is up to {off_m} off the middle; above {limit_m} the "
    "ordinary plate rows do not cover it: ask the maker or shift the load.",
    "no fork length": "The fork length is not recorded: whether it reaches under the centre is not known.",
    "centre not over the forks": "The centre of gravity, at up to {at_m}, is not over the forks: they are "
    "{length_m} long.",
    "forks end short": "The forks end {short_m} short of the far side.",
    "no fork spread": "The fork spread is not recorded: whether the centre lies between is not known.",
    "centre outside the forks": "The centre of gravity may lie outside the forks: up to {off_m} sideways "
    "with the forks {spread_m} apart.",
    # A data plate, and rules of moment.
    "no plate row": "No data-plate row is recorded for {what}.",
    "plate ends": "No data-plate row for {what} reaches a load centre of {at_m}: the farthest is {most_m}.",
    "no lift height": "The lift height is not recorded: the lowest capacity of any height is shown.",
    "plate without height": "The plate row as recorded states no height: read it on the plate itself.",
    "plate too low": "No data-plate row for {what} at {at_m} or more reaches a lift of {height_m}: the "
    "highest is {most}.",
    "several plate rows": "Several plate rows cover this load; the lowest capacity of them is shown.",
    "plate above rated": "Plate row {row_kg:plain}, above the rated {rated_kg:plain}: one of them is "
    "recorded wrongly; read the plate.",
    "no rated point": "Rated capacity or rated load centre is not recorded: no figure to show.",
    "one rule of moment": "The distance from front axle to fork face is not recorded: one rule of moment "
    "only.",
    "held at rated": "A shorter load centre does not raise the capacity: the rated figure stands.",
    "sanity figures": "Sanity figures by moment, for forks alone at low height; they are not a capacity.",
    "attachment without mass": "{name} counts only by its own plate rows and none covers this load: nothing "
    "is compared. Any moment figure shown is for bare forks; what the attachment takes from it is not "
    "recorded.",
    "attachment": "{name} counts only by its own plate rows and none covers this load: nothing is compared. "
    "Any moment figure shown is for bare forks; the attachment takes at least its own {own_kg:plain} from "
    "it.",
    # Pallets.
    "spread not recorded": "How the load is spread is not recorded: taken as standing on a few points (any).",
    "no rating for the spread": "No rating that holds for this way of standing is recorded for the pallet.",
    "rating for a harder spread": "No rating for {spread} is recorded: the lower one for {used} is used.",
    "feet on single boards": "Feet on single boards: a board can break far below the rating of the pallet.",
    "not stacked": "Not to be stacked: nothing is stated about a load on top.",
    "stated not stacked": "Not to be stacked: stated.",
    "stacked": "Stated for a load on top: {limit_kg:plain}.",
    # Several pieces on few pallets.
    "solver not used": "The exact solver was not used: there is too much to try. Not proved smallest.",
    "solver out of time": "The exact solver gave no answer in its time: not proved smallest.",
    "not proved": "Not proved smallest: fewer may do.",
    "not placed": "Not placed: {names:and}. The number is for the other pieces: at least.",
    # The way.
    "no opening": "No door, gate or beam is recorded for this way: nobody looked, or nobody wrote it down.",
    "way not recorded": "Not recorded: {names:and}. Measure before it moves.",
    "too low": "{name}: too low by {short_m}.",
    "too narrow": "{name}: too narrow both ways round.",
    "turning room": "Room to turn is not worked out; stated: {stated}.",
    "no clearance": "No clearance is taken off: mast, driver, mover, ramps and swinging come on top.",
    # Marks.
    "gross mark": "Gross mass of 1000 kg or more: to be marked plainly and durably outside.",
    "gross mark not known": "The gross mass has no upper figure: whether it is to be marked is not known.",
    "gross mark maybe": "It may be 1000 kg or more: mark it with the maximum.",
    "no gross mark": "Below 1000 kg gross: this rule does not ask for the mark.",
    "nothing to mark": "At least {low_kg:down}; no figure can be marked before it is weighed.",
    "mark a maximum": "The figure is worked out, not weighed: mark it as a maximum.",
    "other rules of the way": "For sea and inland waterway; other rules of the way and the carrier are not "
    "looked at.",
    "sling here": "A sling-here mark shows where, not how; equal slings hang it level only if the marks are "
    "equally far from the centre of gravity.",
    "dangerous goods": "Marks for dangerous goods, such as oil left inside, are a matter of their own.",
    # By hand.
    "no rule of the shop": "The shop's rule is not recorded.",
    "no hand limit": "The shop states no limit for lifting by hand: ask before anything is lifted.",
    "perhaps above": "Not known, so perhaps above the limit: {names:and}.",
    "mass is not all": "Mass is not all: reach, grip, height, turning, oil on the hands and how often count "
    "too.",
    "two do not double": "Two people do not double the limit, and the second one has to be there: ask.",
    "nobody to call": "Who is called is not recorded for this shop.",
    "call": "To call: {who}.",
    "one hand": "The equation leaves out lifting with one hand, seated, kneeling or in a cramped place.",
    "carrying left out": "It leaves out carrying, pushing and pulling, loads that are unstable or hot, and "
    "slippery floors.",
    "oily hands": "Oily hands or gloves count as a poor grip.",
    "for one person": "It is for one person: two lifting together do not make the figure double.",
    "in one unit set": "Worked out in {mass} and {length}; the other unit set gives a slightly other figure.",
    "limit is zero": "No index: the limit is zero because {reasons}.",
    "index far above": "Index {index}: above 3.0, where many jobs raise the risk for nearly all workers.",
    "index above": "Index {index}: above 1.0, the figure the manual sets as the goal.",
    "index not above": "Index {index}: not above 1.0, the figure the manual sets as the goal.",
}

# Inside a sentence, or beside a figure.
CLAUSES: Mapping[str, str] = {
    # What was recorded beside a rating.
    "sanity figure": "sanity figure, plate governs",
    "by the plate": "plate governs",
    "no row covers it": "no plate row covers this load",
    "no row recorded": "no plate row recorded",
    "by the area": "limit per area times the footprint",
    "as noted": "{told}",
    # Why a mark goes on.
    "mark because": "{why}",
    "stated": "stated",
    "stated to stack": "stated: {limit_kg:plain}",
    "stacking not stated": "nothing is stated about stacking",
    # The rule of a shop for lifting by hand.
    "rule of the shop": "{rule}",
    # Why a piece is not placed.
    "mass not known": "its mass is not known",
    "mass over": "{own_kg:plain} is above the limit of {limit_kg:plain} by itself",
}
