"""Taking a parcel into a collection's folder: whole or not at all, and never over what is there."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from handling_db.errors import HandlingError
from handling_db.files.atomic import only_one, replace_file, write_folder
from handling_db.files.folders import read_collection
from handling_db.files.yaml_text import dump_text
from handling_db.findings import Finding, Verdict
from handling_db.records.collection import Collection, collect
from handling_db.records.kinds.origin import Of
from handling_db.records.versions import in_force
from handling_db.records.written import written
from handling_db.sharing.compare import Came, Incoming, VersionStanding, additions, compare
from handling_db.sharing.parcel import Parcel
from handling_db.sharing.same_as import Beside, Likeness, likenesses
from handling_db.sharing.senders import UNSIGNED, Sender, look_at_sender, own_names
from handling_db.sharing.sign import known_keys

TAKEN = "taken"


@dataclass(frozen=True, slots=True)
class Look:
    """What a parcel holds, beside what is here.

    Parameters
    ----------
    incoming : tuple of Incoming
        Every version in the parcel, and what it is here.
    likenesses : tuple of Likeness
        Ids that may stand for one thing.
    missing : tuple of Of
        What the parcel's records name and neither the parcel nor this collection holds.
    taken : bool
        It was taken already.
    sender : Sender
        Whether it is from whom it says.
    more_alike : mapping of its id to int
        How many more of ours go by a name like that of a component, and were not held against it.
    """

    incoming: tuple[Incoming, ...]
    likenesses: tuple[Likeness, ...]
    missing: tuple[Of, ...]
    taken: bool
    sender: Sender = UNSIGNED
    more_alike: Mapping[str, int] = field(default_factory=dict)

    def count(self, standing: VersionStanding) -> int:
        """How many of its records are new, the same, different or contradictory."""
        return sum(one.standing is standing for one in self.incoming)

    @property
    def waiting(self) -> int:
        """How many would be kept aside until a person decides."""
        return sum(one.waits for one in self.incoming)


def own_collection(folder: Path, *, reference: bool = True) -> Collection:
    """A shop's own records as they are in force, with everything that is kept aside.

    Parameters
    ----------
    folder : Path
    reference : bool
        Whether to add kinds of source and materials that come with the program.

    Raises
    ------
    HandlingError
        There is no such folder, or a record in it has a fault: then nothing can be compared.
    """
    reading = read_collection([folder], reference=reference, settled=False)
    faults = [finding for finding in reading.findings if finding.verdict is Verdict.FAULT]
    if faults:
        raise HandlingError(_first(folder, faults))
    return in_force(reading.collection)


def _first(folder: Path, faults: list[Finding]) -> str:
    more = (
        f" (and {len(faults) - 1} more; 'handling-db check {folder}' lists them)" if len(faults) > 1 else ""
    )
    return f"{folder}: the records here have faults, put them right first: {faults[0]}{more}"


def look_at(
    own: Collection, parcel: Parcel, folder: Path | None = None, *, beside: Beside | None = None
) -> Look:
    """Compare a parcel with a collection; changes nothing.

    Parameters
    ----------
    own : Collection
        As `own_collection` gives it, or as much of it as the parcel may say anything of.
    parcel : Parcel
    folder : Path, optional
        The collection's folder, to see whether the parcel was taken already.
    beside : Beside, optional
        Among which components one is looked for that may be the same thing; `own` unless given.
    """
    sent = _without_reference(parcel.collection)
    here = {(kind, record.id) for kind, record in own.records()}
    there = {(kind, record.id) for kind, record in sent.records()}
    keys = known_keys(folder) if folder is not None else {}
    names = own_names(folder, own) if folder is not None else frozenset()
    sender = look_at_sender(parcel.manifest.sender, parcel.signature, keys, names)
    alike, more = likenesses(own, sent, beside)
    return Look(
        compare(own, sent, doubt=sender.doubt),
        alike,
        tuple(b for b in parcel.manifest.builds_on if (b.kind, b.id) not in here | there),
        folder is not None and (folder / TAKEN / parcel.manifest.id).is_dir(),
        sender,
        more,
    )


def _without_reference(sent: Collection) -> Collection:
    """What was sent; kinds of source and materials that come with the program are the program's own."""
    from handling_db.files.folders import reference_folder

    shipped = read_collection([reference_folder() / "source-kinds.yml"], settled=False).collection
    known = {(kind, record.id) for kind, record in shipped.records()}
    return collect(((k, r) for k, r in sent.records() if (k, r.id) not in known), sent.lines)


def take(
    folder: Path,
    parcel: Parcel,
    on: datetime.date,
    here: Callable[[], tuple[Collection, Beside | None]] | None = None,
) -> Look:
    """Add a parcel's records to a folder, each marked with where it came from.

    Nothing that is there is written to: the new records come into a folder of their own, which appears in
    one step. Taking the same parcel again does nothing.

    Parameters
    ----------
    folder : Path
        The collection.
    parcel : Parcel
        As `open_parcel` gives it.
    on : date
        Today.
    here : function, optional
        Gives `own` and `beside` of `look_at`; all records of the folder unless given.

    Returns
    -------
    Look
        What it was beside what was there before.

    Raises
    ------
    HandlingError
        The folder cannot be read, its records have faults, or another command is writing to it.
    """
    with only_one(folder):
        own, beside = here() if here is not None else (own_collection(folder), None)
        look = look_at(own, parcel, folder, beside=beside)
        if look.taken:
            return look
        came = Came(parcel.manifest.sender, parcel.manifest.id, on, look.sender.words)
        for name, data in parcel.pictures:
            if not (folder / name).exists():
                replace_file(folder / name, data)  # named by its content: it cannot say anything else
        by_kind: dict[str, list[dict[str, object]]] = {}
        for kind, record in additions(look.incoming, came):
            by_kind.setdefault(kind, []).append(written(kind, record))
        files = {
            f"{kind.replace(' ', '-')}s.yml": _text(parcel, records)
            for kind, records in sorted(by_kind.items())
        }
        files["parcel.txt"] = _label(parcel).encode()
        write_folder(folder / TAKEN / parcel.manifest.id, files)
        return look


def _text(parcel: Parcel, records: list[dict[str, object]]) -> bytes:
    head = f"# From {parcel.manifest.sender}, {parcel.manifest.about}; {parcel.signed}.\n"
    return (head + dump_text(records)).encode()


def _label(parcel: Parcel) -> str:
    manifest = parcel.manifest
    return (
        f"Parcel {manifest.id} from {manifest.sender}, made by {manifest.by} on {manifest.on.isoformat()}: "
        f"{manifest.about}; {parcel.signed}.\n"
    )
