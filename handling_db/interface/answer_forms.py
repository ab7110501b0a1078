"""What the JSON of those commands holds that have no answer class of their own, field by field."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TypedDict

from handling_db.carrying.floor import FootFigure
from handling_db.checker.gaps import Gap
from handling_db.checker.settles import Bounded
from handling_db.findings import FindingJson
from handling_db.lookup.history import Change
from handling_db.lookup.json_forms import Form
from handling_db.lookup.listings import ListedNote
from handling_db.moving.figures import StandFigure
from handling_db.records.open_job import OpenJob
from handling_db.records.versions import OpenVersion
from handling_db.sharing.compare import Incoming
from handling_db.sharing.same_as import Likeness
from handling_db.tables.sheets.fates import Fate


class FoundJson(TypedDict):
    """One thing that was found, and from whom it came; empty for what is our own."""

    kind: str
    id: str
    title: str
    snippet: str
    came: str


class FindJson(TypedDict):
    """What holds the words, and units in hand with temporary ties in that the pieces found are about."""

    hits: list[FoundJson]
    jobs: list[OpenJob]


class NotesJson(TypedDict):
    """Handling notes, stored energy first."""

    notes: list[ListedNote]
    jobs: list[OpenJob]


class StandJson(TypedDict):
    """How a piece stands: of an answer about moving, what is about standing. [m, degrees, kg, kPa]"""

    id: str
    standing: list[StandFigure]
    feet: list[FootFigure]
    must_not_rest_on: list[str]
    not_known: list[str]
    cautions: list[str]


class PalletJson(TypedDict):
    """One pallet as it is recorded, in words."""

    id: str
    name: str
    kind: str
    shop: str
    ratings: str
    size: str
    own_mass: str
    fork_entry: str
    remark: str


class PalletsJson(TypedDict):
    """Every pallet recorded."""

    pallets: list[PalletJson]


class CheckJson(TypedDict):
    """What the checker says, the gravest first, and the exit status."""

    findings: list[FindingJson]
    closing: str
    exit_status: int


class BuiltJson(TypedDict):
    """What was built: the file, the mark of its content, and how many of what."""

    file: str
    stamp: str
    counts: Mapping[str, int]


class WeighedJson(TypedDict):
    """A weighing that was written, and whether it counts already."""

    weighing: str
    of: str
    file: str
    confirmed: bool


class _Written(TypedDict):
    job: str
    written: str
    file: str
    still_in: list[str]


class WrittenJson(_Written, total=False):
    """What was written into a job, which temporary ties are still in, and a weighing that was made of it."""

    weighing: WeighedJson


class GapsJson(TypedDict):
    """What to do next, what helps most first; and how many answers have an upper figure."""

    gaps: list[Gap]
    answers: Bounded


class SheetJson(TypedDict):
    """One sheet: what became of its rows, and the record files made of it."""

    file: str | None
    sheet: str | None
    table: str | None
    rows: list[Fate]
    findings: list[FindingJson]
    files: Mapping[str, str]


class SheetsJson(TypedDict):
    """Every sheet of what was read."""

    sheets: list[SheetJson]


class ChangesJson(TypedDict):
    """What changed between two collections."""

    changes: list[Change]


class RecordJson(TypedDict):
    """A record by its kind and id."""

    kind: str
    id: str


class MoreAlikeJson(TypedDict):
    """How many more of ours go by a name like that of a component that is sent, and were not looked at."""

    there: str
    count: int


class LookJson(TypedDict):
    """What a parcel holds beside what is here."""

    parcel: str
    sender: str
    on: str
    about: str
    signed: str
    doubt: str
    taken_already: bool
    records: list[Incoming]
    perhaps_one_thing: list[Likeness]
    more_alike: list[MoreAlikeJson]
    missing: list[RecordJson]


class QuestionsJson(TypedDict):
    """Everything that is open."""

    questions: list[OpenVersion]


# What these hold, as JSON writes it.
INSIDE = (
    Form(
        "GapJson",
        Gap,
        "One thing to weigh, look at or review, and what that would help. [kg]",
        "act kind id what lifts totals doubt_kg settles",
    ),
    Form(
        "BoundedJson",
        Bounded,
        "How many answers have an upper figure: by own figures and parts alone, and with all the evidence.",
        "pieces answers without_by_parts=by_parts without_by_evidence=by_evidence",
    ),
    Form("SentJson", Incoming, "One record of a parcel beside ours.", "kind id standing waits why"),
    Form("LikeJson", Likeness, "Two ids that may be one thing.", "here=own there=other reasons"),
    Form(
        "QuestionJson",
        OpenVersion,
        "One version of a record that a person has to decide about.",
        "kind id version wait shop parcel",
    ),
)
