"""Serial numbers: figures, notes, lifts and jobs for units that the component does not fit."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from handling_db.checker.evidence import At, Evidence, listed
from handling_db.families.serials import outside_fits
from handling_db.findings import Finding, Verdict
from handling_db.records.parts.common import Fits, Serials


def serials_outside(evidence: Evidence) -> Iterator[Finding]:
    """What speaks of serial numbers that its component does not fit: a figure, a note, a lift, a job."""
    for code in evidence.with_figures:
        fits = evidence.collection.components[code].fits
        for witness in evidence.witnesses(code):
            verdict = _leaves(witness.serials, fits) if witness.serials else None
            if verdict is not None and witness.serials is not None:
                field = "serial" if witness.position is None else "serials"
                at = evidence.where(witness, field)
                told = f"the figure {witness.printed} is for serials {witness.serials.in_words()}"
                yield _outside(evidence, code, told, fits, verdict, at)
    for code, note in sorted(evidence.collection.notes.items()):
        at = evidence.at("note", code, "fits")
        yield from _fitted(evidence, at, "note", note.fits, note.about.component or "")
    for code, group in sorted(evidence.collection.lift_groups.items()):
        at = evidence.at("lift group", code, "fits")
        yield from _fitted(evidence, at, "lift", group.fits, group.root)
    yield from _jobs(evidence)


def _fitted(evidence: Evidence, at: At, what: str, fits: Sequence[Fits], code: str) -> Iterator[Finding]:
    """A note or a lift for serials that its component does not fit."""
    component = evidence.collection.components.get(code)
    for fit in fits if component else ():
        same = [own for own in component.fits if own.model == fit.model] if component else []
        verdict = _leaves(fit.serials, same) if fit.serials and same else None
        if verdict is not None and fit.serials is not None:
            told = f"the {what} is for {fit.model}, serials {fit.serials.in_words()}"
            yield _outside(evidence, code, told, same, verdict, at)


def _jobs(evidence: Evidence) -> Iterator[Finding]:
    """Jobs on a serial number that their unit is not recorded for."""
    for job_id, job in sorted(evidence.collection.jobs.items()):
        unit = evidence.collection.components.get(job.unit)
        if unit is None or job.serial is None:
            continue
        models = {fit.model for fit in unit.fits}
        inside = [evidence.collection.components[code] for code in sorted(evidence.below(unit.id))
                  if code in evidence.collection.components]  # fmt: skip
        ranges = {one.name: outside_fits(one.fits, job.serial, models) for one in (unit, *inside)}
        wrong = {name: fit for name, fit in ranges.items() if fit}
        if wrong:
            first = next(iter(wrong))
            yield evidence.at("job", job_id, "serial").disagrees(
                "serials-outside",
                f"job {job_id} is on serial {job.serial}, which is outside of what {listed(wrong)} "
                f"{'is' if len(wrong) == 1 else 'are'} recorded for ({first}: {wrong[first]});",
                "correct the serial, or the 'fits' of what is built into that unit.",
                about=unit.id,
            )


def _leaves(serials: Serials, fits: Sequence[Fits]) -> Verdict | None:
    """Disagrees if no serial of a range is fitted, a remark if some are not, None if all may be.

    A model without a range fits all its serials, so nothing can be said against any.
    """
    ranges = [own.serials for own in fits if own.serials is not None]
    if not ranges or len(ranges) < len(fits):
        return None
    if any(serials.within(own) for own in ranges):
        return None
    if any(serials.overlaps(own) for own in ranges):
        return Verdict.REMARK
    return Verdict.DISAGREES


def _outside(
    evidence: Evidence,
    code: str,
    told: str,
    fits: Sequence[Fits],
    verdict: Verdict,
    at: At,
) -> Finding:
    ranges = ", ".join(f"{own.model} {own.serials.in_words()}" for own in fits if own.serials)
    some = "some of which are" if verdict is Verdict.REMARK else "which are"
    told = f"{told}, {some} outside what {evidence.name(code)} fits ({ranges});"
    remedy = "correct the serials, or the 'fits' of the component."
    return at.says(verdict, "serials-outside", told, remedy, about=code)
