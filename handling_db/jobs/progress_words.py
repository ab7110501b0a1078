"""Where a unit in hand is in its planned job, as lines of text and as JSON."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from handling_db.jobs.progress import ProgressAnswer
from handling_db.lifting.said.as_json import as_told
from handling_db.lifting.said.notices import Rank
from handling_db.lookup.json_forms import plain
from handling_db.quantities.notice import Notice
from handling_db.quantities.sentence import said

# What differs between the record of a job and its plan, in words.
WORDS: Mapping[str, str] = {
    "tie in, planned out": "{tie}: out by the plan, and nobody wrote it out",
    "tie out, planned in": "{tie}: written out, and still in by the plan",
    "temporary in, planned out": "temporary {tie}: still in, and out by the plan",
    "temporary out, planned in": "temporary {tie}: in by the plan, and nobody wrote it in",
    "off, planned on": "{pieces:and}: off, and still on by the plan",
    "on, planned off": "{pieces:and}: off by the plan, and nobody wrote it off",
    "so many off": "{piece}: {off} written off, {planned} off by the plan",
    "off nowhere": "{why}",
}


def progress_lines(answer: ProgressAnswer, first: str = "kg") -> list[str]:
    """Temporary ties first, then where it stands, what differs, what comes next."""
    serial = f", serial {answer.serial}" if answer.serial else ""
    lines = [f"{answer.job}: {answer.unit_name}{serial}, follows {answer.plan_name}."]
    lines += [f"IN FOR THE TIME BEING: {tie}." for tie in answer.temporary]
    many = len(answer.done) + len(answer.left) + len(answer.skipped)
    lines.append(f"{len(answer.done)} of {many} steps done.")
    lines += [f"  {step.number:>2}  {step.what}: {step.by}, {step.on}" for step in answer.done]
    lines += [f"      found otherwise: {step.differs}" for step in answer.done if step.differs]
    lines += [f"NOT DONE, though a later step is: {step.number} {step.what}." for step in answer.skipped]
    lines += [f"DIFFERS: {told}" for told in differences_told(answer, first)]
    following = answer.following
    if following is None:
        lines.append("No step is left.")
    else:
        lines.append(f"Next: step {following.number} ({following.id}): {following.what}.")
    return [*lines, *answer.cautions]


def differences_told(answer: ProgressAnswer, first: str = "kg") -> list[str]:
    """What the record of the job and the steps done do not say alike, a sentence each."""
    told = [said(WORDS[notice.kind], notice.facts, first=first) for notice in answer.differs]
    return [f"{text[:1].upper()}{text[1:]}." for text in told]


def progress_json(answer: ProgressAnswer, first: str = "kg") -> dict[str, Any]:
    """The fields of an answer, what differs with its words, and the step that comes next."""

    def tell(value: Any) -> Any:
        if not isinstance(value, Notice):
            return value
        words = said(WORDS[value.kind], value.facts, first=first)
        return as_told(value, Rank.TIES, words, words)

    return {**plain(answer, tell), "next": plain(answer.following)}
