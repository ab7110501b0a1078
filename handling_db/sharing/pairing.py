"""Recording that a person found two ids to be one thing, where the records can still be read so."""

from __future__ import annotations

from pathlib import Path

from handling_db.errors import HandlingError
from handling_db.files.atomic import only_one, write_file
from handling_db.files.joined import stands_for
from handling_db.files.yaml_text import dump_text
from handling_db.records.collection import Collection, collect
from handling_db.records.kinds.origin import Pairing
from handling_db.records.written import written
from handling_db.sharing.compare import faults_here
from handling_db.sharing.review import REVIEWS, Grounds, NewId
from handling_db.sharing.take_in import own_collection


def pair(folder: Path, keep: str, same: str, grounds: Grounds, new_id: NewId) -> Path:
    """Record that two ids of components are one thing.

    Raises
    ------
    HandlingError
        One of the two is not here, they are one already, or with one id for both the records would have
        faults that they have not now; then each is told, and nothing is written.
    """
    with only_one(folder):
        own = own_collection(folder)
        for code in (keep, same):
            if code not in own.components:
                raise HandlingError(f"there is no component {code!r} in {folder}")
        if keep == same:
            raise HandlingError(f"{keep!r} and {same!r} are one id; there is nothing to join")
        pairing = grounds.put_into(Pairing, pairing=new_id(), keep=keep, same=same)
        refuse(own, pairing)
        target = folder / REVIEWS / f"{pairing.pairing}.yml"
        write_file(target, dump_text([written("pairing", pairing)]).encode())
        return target


def refuse(own: Collection, pairing: Pairing) -> None:
    """Refuse a pairing that would do nothing, or with which the records would have faults.

    Raises
    ------
    HandlingError
        Each fault is told, at the line of the record that has it.
    """
    keep, same = pairing.keep, pairing.same
    stands = stands_for(own, same)
    if stands_for(own, keep) == stands:
        raise HandlingError(f"{keep!r} and {same!r} are joined already; there is nothing to join")
    if stands != same:
        raise HandlingError(
            f"{same!r} is joined to {stands!r} already; join {keep!r} and {stands!r}, or delete that pairing"
        )
    now = faults_here(own)
    then = faults_here(collect([*own.records(), ("pairing", pairing)], own.lines))
    found = [str(finding) for what, finding in then.items() if what not in now]
    if found:
        many = "1 fault" if len(found) == 1 else f"{len(found)} faults"
        raise HandlingError(
            f"{same!r} is not joined to {keep!r} and nothing is written: with one id for both the records "
            f"would have {many}. If they are two things, leave them two; if they are one, correct this "
            "first:\n" + "\n".join(found)
        )
