"""Whether a collection is free of faults: the rules that can stop an answer, and no other."""

from __future__ import annotations

from handling_db.checker.evidence import Evidence
from handling_db.checker.table import RULES
from handling_db.checker.verdicts import POINTING, not_our_fault
from handling_db.findings import Finding, Verdict
from handling_db.records.collection import Collection

# Rules whose faults follow from what other records hold: of a record that could not be read nobody knows.
BY_OTHERS = ("unknown-reference", "build", "held-ring", *POINTING)
# The rules whose findings can be faults; `check` finds faults by no other (a test holds them together).
STOPPING = ("duplicate-id", "derivation", "cycle", "quantity", "place", "worked-figure", *BY_OTHERS)


def faults(collection: Collection) -> tuple[Finding, ...]:
    """Every fault that `check` would find, by file and line, without looking at what is no fault."""
    evidence = Evidence(collection, None)
    found = [finding for name in STOPPING for finding in RULES[name].look(evidence)]
    stops = [f for f in not_our_fault(collection, found) if f.verdict is Verdict.FAULT]
    return tuple(sorted(stops, key=lambda f: (f.place.file, f.place.line) if f.place else ("", 0)))
