"""What ratings rest on, why there is none, and what they hold under: each kind with its words."""

from __future__ import annotations

from collections.abc import Mapping

_PRACTICE = "(common practice, no source)"
CLAUSES: Mapping[str, str] = {
    # No rating, or none that is used.
    "inspection past": "inspection was due on {due}: its rating is not used",
    "no such gear": "no such gear is recorded",
    "tag nobody looked": "tag: nobody looked",
    "no tag": "no tag, says {by}: no rating",
    "which sling nobody recorded": "which sling it is nobody recorded",
    "gear nobody looked": "nobody looked",
    "rating nobody looked": "rating: nobody looked",
    "point without rating": "no rating",
    "rating none": "rating: none",
    "across its plane not rated": "pulled across its plane, for which no rating is recorded",
    # Why a rating is not compared.
    "legs not worked out": "the legs are not worked out, so it is set beside the whole load",
    "asked at least": "only 'at least' is known of what it is asked",
    "hangs at least": "only 'at least' is known of what hangs on it",
    "chart not read": "its chart was not read",
    "at which point not recorded": "at which point it sits is not recorded",
    "not rated by direction": "no rating by direction for this kind: how it is pulled nobody compared",
    "link not compared": "cannot be compared: {why}",
    "lean not recorded": "how its legs lean is not recorded (write 'lean'); no line of its tag gives more "
    "than "
    "{most_kg}",
    # Links and points.
    "tag": "tag",
    "tag, straight pull": "tag, straight pull",
    "tag, turns into the leg": "tag, straight pull: it turns into the leg",
    "own sheet across": "its own sheet, across the plane of the eye",
    "own sheet without a line": "its own sheet has no line across the plane at {angle_deg}",
    "direction taken across": "{point}: its direction is not recorded: taken as pulled straight across, 90°.",
    "no rating from its direction": "no rating at {angle_deg} from its direction",
    "lowest recorded": "lowest that is recorded, {by}",
    "up to from its direction": "up to {angle} from its direction, {by}",
    "as stated": "{by}",
    # Slings.
    "single leg": "tag, single leg",
    "one of several legs": "{row}, over {factor} by {by}",
    "one of legs alike": "{row}, over {factor} by all legs alike: no published factor for so many legs",
    "line of a tag": "tag {rated_kg:plain}, {legs}",
    "line of a tag to a lean": "tag {rated_kg:plain}, {legs} up to {lean_deg:plain} from the vertical",
    "tag for its legs": "tag, {legs} legs, {lean_deg} from the vertical",
    "some legs carry": "{carry} of {legs} legs carry, {lean_deg} from the vertical: one leg of {row}, times "
    "{factor}",
    "some legs carry, by": "{carry} of {legs} legs carry, {lean_deg} from the vertical: one leg of {row}, "
    "times "
    "{factor}, {by}",
    "lowest line of the tag": "lowest line of the tag for {legs} legs",
    "highest line of the tag": "highest line of the tag, {legs} legs",
    "no line for so many legs": "its tag has no line for so many legs",
    "no line of the tag": "its tag has no line for {legs} at {lean_deg} from the vertical",
    "half for uneven legs": "half of it for legs that are not even: {because:on} EN 818-6, from memory; it "
    "only "
    "tightens",
    "and choked": "{basis}; {more}",
    "choker line of the tag": "choker line of the tag",
    "half choked": "choked: half counts, no published factors are loaded",
    "choked by": "choked: {factor} of it, {by}",
    # Heat.
    "too hot for its kind": "the load is at {temperature}: web and round slings only as hot as their label "
    "allows",
    "too hot for its kind, by": "{why} (EN 1492-1, from memory)",
    "no factor for the heat": "the load is at {temperature}, and no published factor for its kind and "
    "grade is "
    "at hand: its maker's sheet decides",
    "not used so hot": "the load is at {temperature}: {by} does not use it there",
    "less in the heat": "{basis}; {part} % of it at {temperature}, {by}",
    # What a rating holds under.
    "as its tag shows": "loaded as its tag shows, hung where its tag shows",
    "clamp as its tag names": "a clamp holds in the direction and on the plate its tag names",
    "two legs in the bow": "two legs in the bow: at most 120° between them",
    "wide choke": "choked: the figure holds for a choke of 120° and more; sharper ones carry less (from "
    "memory)",
    "person may decide": "a competent person may decide otherwise",
    "padded over edges": f"padded over edges, kept from heat and chemicals as its label says {_PRACTICE}",
    "no knot or twist": f"no knot, twist or bare edge {_PRACTICE}",
    "chain in the heat": "hot: over 200 °C 90 %, over 300 °C 75 % (EN 818-4 grade 8, secondary source)",
    "no bare edge": f"no bare edge, no kink {_PRACTICE}",
    "chain that was hot": f"chain that was hot is looked over before it is used again {_PRACTICE}",
    # Hoists and cranes.
    "no hoist for this lift": "none is recorded for this lift",
    "plate": "plate: {rated}",
    "plate with a note": "plate: {rated}, {note}",
    "plate at a load centre": "plate: {rated} at {centre}",
    "plate row": "plate row of {row_kg:plain} at {centre_m}",
    "lowest of any lift height": "{basis}, lowest of any lift height recorded",
    "lowest row of its plate": "lowest row of its plate: {capacity}",
    "no rating to read": "no rating is recorded; read its plate",
    "lowest of several": "{lowest}; the lowest of {count}, beside it: {others}",
    "at most, chart not read": "at most, {basis}; its chart may give less: {why}",
    "by its chart": "{told}",
    "chart at": "chart at {radius}: {net_kg:down}",
    "between printed lines": "between printed lines: the smallest of {count} printed neighbours is taken",
    "block deducted": "nobody looked whether the chart allows for the block, so {block} is deducted",
}
