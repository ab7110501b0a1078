"""What has to hold before a note is accepted: its range, its units, its gear, and nobody under a load.

The words of a note are searched for a few patterns, which finds the plain cases and no others; the list of
what an accepted note has to say is common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from handling_db.checker.evidence import At, Evidence
from handling_db.errors import UnitError
from handling_db.findings import Finding, Verdict
from handling_db.quantities.quantity import find_unit
from handling_db.quantities.table import ADVICE
from handling_db.records.kinds.note import Note

_LOAD = r"(hang\w*|hook|load|lifted|raised|suspended|half|halves|section|unit|casing|jack)"
_ACT = (
    r"(crawl|creep|reach|lean|stand|sit|lie|kneel|go|get|step|work|"
    r"put (?:a|an|your|one|the)? ?(?:hand|hands|arm|arms|head|finger|fingers|foot))"
)
_UNDER = re.compile(
    rf"\b{_ACT}\b[^.;:]{{0,40}}\b(under|underneath|beneath|below|inside|into|between)\b[^.;:]{{0,40}}\b{_LOAD}\b",
    re.IGNORECASE,
)
_BESIDE = re.compile(
    r"\b(hammer|strike|hit|pry|lever|push|bounce)\b[^.;:]{0,80}\b(while|as long as)\b"
    r"[^.;:]{0,40}\b(hook|crane|hoist|cell)\b",
    re.IGNORECASE,
)
_NOT = re.compile(
    r"\b(nobody|no one|never|not|don't|no (?:hand|hands|foot|feet|head|person))\b", re.IGNORECASE
)
_FIGURE = re.compile(
    r"\b(?:weigh|weighs|weighed|weight|weight of|weight is|reads|read|load of|pull of|rated|heavy)\s+"
    r"(?:about |around |only |over |under |at |to |is )*(\d[\d,]*(?:\.\d+)?)(?![\d,.]*\d)\s*([^\s\d,.;:)]*)",
    re.IGNORECASE,
)
_AMBIGUOUS = re.compile(
    r"(?<![\w.,])(\d[\d,]*(?:\.\d+)?)\s?(tons?|Tons?|TONS?|T|MT|Mg|cwt|#|kgf|gal|gallons?)(?!\w)"
)
_NOT_RECOMMENDED = "not recommended"


def range_not_stated(evidence: Evidence) -> Iterator[Finding]:
    """An accepted note that holds for nobody knows which machines."""
    for note in _standing(evidence, "accepted"):
        if not note.fits and not _inherits_a_range(evidence, note):
            yield _at(evidence, note, "fits").remark(
                "note-range",
                f"note {note.note}: accepted, but neither the note nor anything it is about says for which "
                "model and serials;",
                "write 'fits', or make it checked until somebody knows.",
            )


def _inherits_a_range(evidence: Evidence, note: Note) -> bool:
    """Whether what the note is about, or anything that contains it, states what it fits."""
    collection = evidence.collection
    code = note.about.id
    if note.about.kind in ("joint", "tie"):
        joint = collection.joints.get(code) or next(
            (j for j in collection.joints.values() if code in [t.key(j.joint) for t in j.tie_list]), None
        )
        code = joint.within if joint else code
    elif note.about.kind == "lift group":
        group = collection.lift_groups.get(code)
        code = group.root if group else code
    elif note.about.kind == "fixture":
        return True  # gear is gear, whatever stands on it
    # A pick point or what is not in the collection: nothing to ask.
    if note.about.kind == "pick point" or code not in collection.components:
        return True
    return any(collection.components[one].fits for one in (code, *evidence.above(code)))


def units_incomplete(evidence: Evidence) -> Iterator[Finding]:
    """A figure in a note's words that has no unit, or one that could mean two things."""
    for note in _standing(evidence, "checked", "accepted"):
        for figure, unit, advice in figures_without_unit(note.text):
            shown = f"{figure} {unit}".strip()
            yield _at(evidence, note, "text").remark(
                "note-units",
                f"note {note.note}: {note.status}, but {shown!r} in its text {advice};",
                "replace it by a note with the unit written out.",
            )


def figures_without_unit(text: str) -> Iterator[tuple[str, str, str]]:
    """Figures of weight in a text whose unit is missing or ambiguous: number, unit, what is wrong."""
    seen = set()
    for match in _AMBIGUOUS.finditer(text):
        seen.add(match.start(1))
        advice = ADVICE.get(match[2]) or "could mean two units"
        yield match[1], match[2], f"could mean two things: {advice}"
    for match in _FIGURE.finditer(text):
        if match.start(1) in seen:
            continue
        try:
            find_unit(match[2])
        except UnitError:
            if match[2] not in ("%", "times", "mm", "cm", "m", "L", "days", "bolts", "people"):
                yield match[1], "", "has no unit"


def person_under_load(evidence: Evidence) -> Iterator[Finding]:
    """Words that may put a person under, into or beside what hangs."""
    for note in _standing(evidence, "draft", "checked", "accepted", "doubtful"):
        words = puts_a_person_under(note.text)
        if words is None or _said_not_to(note):
            continue
        believed = note.status in ("checked", "accepted")
        yield evidence.at("note", note.note, "text").says(
            Verdict.CANNOT_BE_CHECKED if believed else Verdict.REMARK,
            "note-under-load",
            f"note {note.note} is {note.status}, and its words {words!r} may put a person under or beside a "
            "load;",
            "replace it by one that does not, or withdraw it; as something seen it stays doubtful, with the "
            "reason 'was done, not recommended'.",
            about=note.about.id,
        )


def puts_a_person_under(text: str) -> str | None:
    """The words of a text that may put a person under, into or beside a hanging load; None for none found."""
    for sentence in re.split(r"(?<=[.;:])\s+|\n", text):
        found = _UNDER.search(sentence) or _BESIDE.search(sentence)
        if found and not _NOT.search(sentence[: found.end()]):
            return " ".join(found[0].split())
    return None


def gear_unrated(evidence: Evidence) -> Iterator[Finding]:
    """An accepted note whose gear has no rating, or is shop-made gear without its papers."""
    for note in _standing(evidence, "accepted"):
        if _said_not_to(note):
            continue
        fixture = evidence.collection.fixtures.get(note.about.id) if note.about.kind == "fixture" else None
        if note.gear_used is not None and not _rated(note):
            told = f"accepted with gear that has no rating recorded ({note.gear_used});"
        elif fixture is not None and fixture.shop_made == "yes" and fixture.standing != "rated":
            told = f"accepted, about shop-made gear that is {fixture.standing} ({fixture.name});"
        else:
            continue
        yield _at(evidence, note, "gear used").remark(
            "note-gear",
            f"note {note.note}: {told}",
            "write 'rated' and who checked it, or keep the note doubtful as 'was done, not recommended'.",
        )


def seen_by_whom(evidence: Evidence) -> Iterator[Finding]:
    """An accepted note of a shop that does not say how often it was seen: one report, or more?"""
    for note in _standing(evidence, "accepted"):
        if note.told_by in ("shop", "incident") and note.seen is None and note.times_seen is None:
            yield _at(evidence, note, "seen").remark(
                "note-one-report",
                f"note {note.note}: accepted, but it does not say whether anybody saw it a second time;",
                "write 'seen: one report', or how often and in which shops.",
            )


def _standing(evidence: Evidence, *statuses: str) -> Iterator[Note]:
    for _, note in sorted(evidence.collection.notes.items()):
        if note.status in statuses:
            yield note


def _rated(note: Note) -> bool:
    if note.rated is not None and note.rated != "none":
        return True
    return note.facts is not None and note.facts.rating is not None and note.facts.rating != "none"


def _said_not_to(note: Note) -> bool:
    return _NOT_RECOMMENDED in f"{note.text} {note.reason or ''}".lower()


def _at(evidence: Evidence, note: Note, field: str) -> At:
    return evidence.at("note", note.note, field)._replace(about=note.about.id)
