"""The checker: every record against every rule, what was found and what was compared."""

from __future__ import annotations

import datetime
from collections.abc import Callable

from handling_db.checker.closing import closing_from, closing_words, whole_words
from handling_db.checker.evidence import Evidence
from handling_db.checker.rules.sums import CIRCULAR, RULE
from handling_db.checker.verdicts import not_our_fault
from handling_db.findings import Absent, Finding, Verdict
from handling_db.records.collection import Collection

_GRAVITY = {verdict: place for place, verdict in enumerate(Verdict)}


def check(
    collection: Collection,
    *,
    as_of: datetime.date | None = None,
    unread: frozenset[tuple[str, str]] = frozenset(),
) -> tuple[Finding, ...]:
    """Look at a whole collection with every rule. Nothing is repaired.

    Parameters
    ----------
    collection : Collection
    as_of : date, optional
        The day to judge by. Without one nothing that depends on the day is found, so that the same
        records give the same findings.
    unread : frozenset of (kind, id)
        Records that are there and could not be read: naming one of them is no fault.

    Returns
    -------
    tuple of Finding
        In one fixed order: the gravest verdict first; in it what follows from others last, and the sums
        first, the deepest assembly first, but of those that agree the weakest; then by file, line and id.
    """
    from handling_db.checker.table import RULES  # all rules are loaded where something is looked at

    evidence = Evidence(collection, as_of, unread)
    found = [finding for rule in RULES.values() for finding in rule.look(evidence)]
    if unread:
        found = [finding for finding in found if _its_own(finding)]
    return tuple(sorted(not_our_fault(collection, found), key=lambda one: order_of(one, evidence.height)))


def _its_own(finding: Finding) -> bool:
    """Whether a finding stands though some record could not be read, and is not there for the rules."""
    from handling_db.checker.proof import BY_OTHERS

    if finding.verdict is not Verdict.FAULT or finding.rule not in BY_OTHERS:
        return True
    return isinstance(finding, Absent)


def order_of(
    finding: Finding, height: Callable[[str], int]
) -> tuple[int, bool, int, float, str, int, str, str, str]:
    """By what findings are sorted; `height` is that of a component above its parts."""
    is_sum = finding.rule in (RULE, CIRCULAR)
    hides = finding.hides
    return (
        _GRAVITY[finding.verdict],
        bool(finding.because_of),  # what follows from others comes after what it follows from
        0 if is_sum else 1,
        (height(finding.about) if hides is None else -float(hides)) if is_sum else 0,
        finding.place.file if finding.place else "",
        finding.place.line if finding.place else 0,
        finding.about,
        finding.rule,
        finding.sentence,
    )


__all__ = ["check", "closing_from", "closing_words", "order_of", "whole_words"]
