"""Whose fault a finding is: what a parcel's records name and did not bring stops nothing here."""

from __future__ import annotations

from dataclasses import replace

from handling_db.findings import Finding, Verdict
from handling_db.records.collection import Collection
from handling_db.records.versions import came_from

# Rules about what a record names besides its parts.
POINTING = (
    "choice-reference",
    "lift-reference",
    "tie-part",
    "lift-group",
    "job-record",
    "move-reference",
    "job-plan-reference",
)


def not_our_fault(collection: Collection, found: list[Finding]) -> list[Finding]:
    """What a record from another shop names and its parcel did not bring is no fault and stops no build."""
    ids = {record for _, record in came_from(collection)}
    if not ids:
        return found
    return [
        replace(
            finding,
            verdict=Verdict.CANNOT_BE_CHECKED,
            remedy="it stayed with the other shop; ask for it if you need it.",
        )
        if finding.verdict is Verdict.FAULT and finding.rule in POINTING and finding.about in ids
        else finding
        for finding in found
    ]
