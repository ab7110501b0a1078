"""Findings in forms that code hosts show beside the lines of a change."""

from __future__ import annotations

import json
from collections.abc import Sequence

from handling_db import __version__
from handling_db.findings import Finding, Verdict

_LEVEL = {
    Verdict.FAULT: "error",
    Verdict.DISAGREES: "error",
    Verdict.CANNOT_BE_CHECKED: "warning",
    Verdict.REMARK: "note",
    Verdict.AGREES: "note",
}


def as_annotations(findings: Sequence[Finding]) -> str:
    """One workflow command a finding: ``::error file=F,line=N,title=RULE::SENTENCE``."""
    return "\n".join(map(_annotation, findings))


def _annotation(finding: Finding) -> str:
    level = _LEVEL[finding.verdict].replace("note", "notice")
    where = [f"file={_property(finding.place.file)}", f"line={finding.place.line}"] if finding.place else []
    where.append(f"title={_property(finding.rule)}")
    text = f"{finding.field}: {finding.sentence}" if finding.field else finding.sentence
    return f"::{level} {','.join(where)}::{_data(f'{text} {finding.remedy}'.strip())}"


def _data(text: str) -> str:
    return text.replace("%", "%25").replace("\r", "%0D").replace("\n", "%0A")


def _property(text: str) -> str:
    return _data(text).replace(":", "%3A").replace(",", "%2C")


def as_sarif(findings: Sequence[Finding]) -> str:
    """One run in SARIF 2.1.0.

    References
    ----------
    .. [1] OASIS, "Static Analysis Results Interchange Format (SARIF) Version 2.1.0", 2020, sections 3.13,
       3.14, 3.27.
    """
    rules = sorted({finding.rule for finding in findings})
    driver = {"name": "handling-db", "version": __version__, "rules": [{"id": rule} for rule in rules]}
    run = {"tool": {"driver": driver}, "results": [_result(finding) for finding in findings]}
    log = {
        "version": "2.1.0",
        "$schema": "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json",
        "runs": [run],
    }
    return json.dumps(log, indent=1, ensure_ascii=False)


def _result(finding: Finding) -> dict[str, object]:
    text = f"{finding.field}: {finding.sentence}" if finding.field else finding.sentence
    result: dict[str, object] = {
        "ruleId": finding.rule,
        "level": _LEVEL[finding.verdict],
        "message": {"text": f"{text} {finding.remedy}".strip()},
    }
    if finding.place is not None:
        place = {
            "artifactLocation": {"uri": finding.place.file.replace("\\", "/")},
            "region": {"startLine": max(1, finding.place.line)},
        }
        result["locations"] = [{"physicalLocation": place}]
    return result
