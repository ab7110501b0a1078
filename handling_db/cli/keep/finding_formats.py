"""Findings in forms that code hosts show beside the lines of a change."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence

from handling_db import __version__
from handling_db.findings import Finding, Verdict

# Level of an annotation and in SARIF, and severity in a report of code quality.
_GRAVE = {
    Verdict.FAULT: ("error", "blocker"),
    Verdict.DISAGREES: ("error", "critical"),
    Verdict.CANNOT_BE_CHECKED: ("warning", "major"),
    Verdict.REMARK: ("note", "info"),
    Verdict.AGREES: ("note", "info"),
}


def as_annotations(findings: Sequence[Finding]) -> str:
    """One workflow command a finding: ``::error file=F,line=N,title=RULE::SENTENCE``."""
    return "\n".join(map(_annotation, findings))


def _annotation(finding: Finding) -> str:
    level = _GRAVE[finding.verdict][0].replace("note", "notice")
    where = [f"file={_property(finding.place.file)}", f"line={finding.place.line}"] if finding.place else []
    where.append(f"title={_property(finding.rule)}")
    return f"::{level} {','.join(where)}::{_data(_told(finding))}"


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
    result: dict[str, object] = {
        "ruleId": finding.rule,
        "level": _GRAVE[finding.verdict][0],
        "message": {"text": _told(finding)},
    }
    if finding.place is not None:
        place = {
            "artifactLocation": {"uri": finding.place.file.replace("\\", "/")},
            "region": {"startLine": max(1, finding.place.line)},
        }
        result["locations"] = [{"physicalLocation": place}]
    return result


def as_code_quality(findings: Sequence[Finding]) -> str:
    """A JSON list of issues as reports of code quality have them: description, check_name, severity, place.

    A finding without a file has none to be shown beside, and stands at the first line of ``.``. Its
    fingerprint leaves the line out, so that a line put in above it does not make it another one.
    """
    seen: dict[str, int] = {}
    issues = []
    for finding in findings:
        text = _told(finding)
        path = finding.place.file.replace("\\", "/") if finding.place else "."
        mark = hashlib.sha256("\0".join((finding.rule, finding.about, path, text)).encode()).hexdigest()
        seen[mark] = seen.get(mark, 0) + 1  # two of the same are told apart by their order
        issues.append(
            {
                "description": text,
                "check_name": finding.rule,
                "fingerprint": hashlib.sha256(f"{mark} {seen[mark]}".encode()).hexdigest(),
                "severity": _GRAVE[finding.verdict][1],
                "location": {
                    "path": path,
                    "lines": {"begin": max(1, finding.place.line) if finding.place else 1},
                },
            }
        )
    return json.dumps(issues, indent=1, ensure_ascii=False)


def _told(finding: Finding) -> str:
    text = f"{finding.field}: {finding.sentence}" if finding.field else finding.sentence
    return f"{text} {finding.remedy}".strip()


FORMATS = {"annotations": as_annotations, "sarif": as_sarif, "code-quality": as_code_quality}
