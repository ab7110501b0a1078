"""Every rule of the checker by its documented name."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from types import MappingProxyType
from typing import NamedTuple

from handling_db.checker.evidence import Evidence
from handling_db.checker.rules import (
    choices,
    contradictions,
    dates,
    families,
    inner_names,
    masses,
    places,
    references,
    serials,
    shared,
    slips,
    structure,
    sums,
    together,
    witnesses,
)
from handling_db.checker.rules.handling import gear, held, job_plans, lifting, moving, notes
from handling_db.findings import Finding


class Rule(NamedTuple):
    """A pure function from the evidence to findings, and what it looks for in one line."""

    look: Callable[[Evidence], Iterable[Finding]]
    meaning: str


def _unit_slip(evidence: Evidence) -> Iterable[Finding]:
    yield from contradictions.unit_slip(evidence)
    yield from slips.unit_slip(evidence)


def _lift_reference(evidence: Evidence) -> Iterable[Finding]:
    yield from lifting.lift_reference(evidence)
    yield from inner_names.inner_reference(evidence)


def _statements_apart(evidence: Evidence) -> Iterable[Finding]:
    yield from contradictions.statements_apart(evidence)
    yield from families.apart_in_builds(evidence)


RULES: Mapping[str, Rule] = MappingProxyType(
    {
        "unknown-reference": Rule(references.unknown_reference, "an id that nothing goes by"),
        "duplicate-id": Rule(references.duplicate_id, "a figure or a part line with an id that is taken"),
        "name-clash": Rule(references.name_clash, "one name for several components"),
        "derivation": Rule(references.derivation, "figures worked out from, or replacing, each other"),
        "cycle": Rule(structure.cycle, "components that contain each other"),
        "quantity": Rule(structure.quantity, "a count that cannot be worked out"),
        "place": Rule(structure.place, "a place that cannot be worked out"),
        "build": Rule(structure.build, "a parameter or a value that the component does not have"),
        "worked-figure": Rule(structure.worked_figure, "a formula or a shape that cannot be worked out"),
        "build-offered": Rule(families.build_offered, "an end of a range that cannot be built"),
        "not-handed-down": Rule(families.not_handed_down, "a parameter that parent and part do not share"),
        "part-listed-twice": Rule(structure.listed_twice, "one part on two lines of an assembly"),
        "place-size": Rule(places.place_size, "a place or a centre far from everything beside it"),
        "centre-by-supports": Rule(
            places.centre_by_supports, "a centre by two supports beside the recorded one"
        ),
        "choice-reference": Rule(choices.choice_reference, "a choice that names what is not there"),
        "choice-without-effect": Rule(
            choices.choice_without_effect, "a choice that is not asked, or cannot stand for the whole"
        ),
        "conflict-overdue": Rule(choices.conflict_overdue, "a conflict kept open past its day"),
        "mass-missing": Rule(masses.mass_missing, "a part that nobody gave a mass"),
        "parts-sum": Rule(sums.parts_sum, "whether the parts sum to the stated whole"),
        "circular": Rule(sums.circular, "a worked-out figure used to check what it came from"),
        "statements-apart": Rule(_statements_apart, "two figures for one thing that do not touch"),
        "figures-together": Rule(
            together.figures_together, "figures that cannot all be true over all states and sums"
        ),
        "serials-overlap": Rule(
            contradictions.serials_overlap, "two figures of one source for the same serials"
        ),
        "serials-outside": Rule(serials.serials_outside, "serials that the component does not fit"),
        "part-heavier-than-whole": Rule(slips.heavier_than_whole, "a line heavier than the whole it is in"),
        "likely-unit-slip": Rule(_unit_slip, "pounds that may stand for kilograms, or the reverse"),
        "likely-quantity-slip": Rule(slips.quantity_slip, "counts that would close a gap"),
        "likely-size-slip": Rule(families.size_slip, "lengths of a shape that may be mixed up"),
        "shape-off-datum": Rule(
            families.shape_off_datum, "a shape with its middle far from the datum it is taken at"
        ),
        "columns-differ": Rule(witnesses.columns_differ, "two columns of which neither gives the other"),
        "columns-converted": Rule(witnesses.columns_converted, "two columns that are one witness"),
        "could-be-a-conversion": Rule(witnesses.could_be_conversion, "two sources, one perhaps converted"),
        "same-figure-twice": Rule(witnesses.same_figure, "the same figure stated twice"),
        "boundary-not-stated": Rule(masses.boundary_not_stated, "a whole that does not say what it counts"),
        "nothing-listed": Rule(
            masses.nothing_listed, "a figure that counts what is listed, with nothing listed"
        ),
        "state-not-stated": Rule(masses.state_not_stated, "a whole with fluid that does not say its state"),
        "reading-waits": Rule(masses.reading_waits, "a reading of work done that nobody has confirmed"),
        "weighed-before-change": Rule(
            masses.weighed_before_change, "a weighing older than a change of parts in what was weighed"
        ),
        "step-assumed": Rule(masses.step_assumed, "a step of rounding read off the digits"),
        "review-passed": Rule(dates.review_passed, "a review date that has passed"),
        "instrument-check-passed": Rule(
            dates.instrument_check_passed, "an instrument whose check is overdue"
        ),
        "note-under-load": Rule(notes.person_under_load, "words that may put a person under a load"),
        "note-gear": Rule(notes.gear_unrated, "an accepted note with gear that has no rating"),
        "note-range": Rule(notes.range_not_stated, "an accepted note for nobody knows which machines"),
        "note-units": Rule(notes.units_incomplete, "a figure in a note without a clear unit"),
        "note-one-report": Rule(notes.seen_by_whom, "an accepted note that does not say how often seen"),
        "version-waits": Rule(shared.version_waits, "a record from another shop that waits for review"),
        "version-beside": Rule(shared.version_beside, "two versions of one record"),
        "not-reviewed": Rule(shared.not_reviewed, "a record from another shop, not reviewed here"),
        "lift-reference": Rule(_lift_reference, "an id about lifting that nothing goes by"),
        "tie-part": Rule(lifting.tie_part, "a tie that names no part line, or one that is not there"),
        "tie-count": Rule(lifting.tie_count, "a tie whose count is not that of its part line"),
        "tie-not-looked-for": Rule(lifting.tie_not_looked_for, "a tie that nobody looked for"),
        "lift-group": Rule(lifting.lift_group, "a lift group that cannot be followed"),
        "pick-point": Rule(lifting.pick_point, "a pick point without a rating or a load path"),
        "held-ring": Rule(held.held_ring, "pieces that hold one another in, so that none comes off first"),
        "gear-inspection": Rule(lifting.gear_inspection, "lifting gear past its inspection"),
        "gear-at-picks": Rule(gear.gear_at_picks, "gear that the picks need and the list leaves out"),
        "gear-order": Rule(gear.gear_order, "gear that hangs from nothing, from itself, or nobody wrote"),
        "gear-angles": Rule(gear.gear_angles, "a tag that does not say from where its angles count"),
        "plate-and-chart": Rule(gear.plate_and_chart, "a chart that prints more than the plate of its crane"),
        "job-record": Rule(lifting.job_record, "a job that names what is not there"),
        "job-plan-reference": Rule(
            job_plans.job_plan_reference, "a planned job that names what is not there"
        ),
        "job-plan-step": Rule(
            job_plans.job_plan_step, "a step of a planned job that cannot follow the one before"
        ),
        "move-reference": Rule(moving.move_reference, "an id about moving that nothing goes by"),
        "plate-row": Rule(moving.plate_rows, "a row of a data plate that contradicts the rating"),
        "pallet-rating": Rule(moving.pallet_rating, "ratings of a pallet out of order or without a source"),
        "shop-made-papers": Rule(moving.gear_papers, "shop-made gear rated without its papers"),
        "pallet-inspection": Rule(moving.pallet_inspection, "a pallet or papers of gear out of date"),
        "inspection-passed": Rule(dates.inspection_passed, "gear whose inspection is overdue"),
    }
)
