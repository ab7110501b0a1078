"""Whether a parcel is from whom it says: names of senders, and whose key signed it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from handling_db.errors import HandlingError
from handling_db.records.collection import Collection
from handling_db.records.versions import came_from
from handling_db.sharing.sign import Signature

# Letters that look alike in several alphabets, spaces and signs let one shop pass for another.
_PLAIN = re.compile("[a-z0-9]+(-[a-z0-9]+)*")
_LONGEST = 60
OWN = "this-shop.txt"


@dataclass(frozen=True, slots=True)
class Sender:
    """What is known of who sent a parcel.

    Parameters
    ----------
    signed : str
        In words: ``not signed``, or by whose key.
    doubt : str
        Why it may not be from whom it says, in a sentence; empty where nothing speaks against it. With a
        doubt nothing of the parcel is in force before a person has looked at it.
    """

    signed: str
    doubt: str = ""

    @property
    def words(self) -> str:
        """Both in one line, for the mark of where a record came from."""
        return f"{self.signed}; {self.doubt.removesuffix('.')}" if self.doubt else self.signed


UNSIGNED = Sender("not signed")


def odd_name(sender: str) -> str:
    """Why a sender may not be called so; empty if it may."""
    if len(sender) > _LONGEST or not _PLAIN.fullmatch(sender):
        return (
            f"its sender {sender[:_LONGEST]!r} is no plain id: small letters a-z, digits and single hyphens, "
            f"at most {_LONGEST}"
        )
    return ""


def look_at_sender(
    sender: str, signature: Signature | None, keys: Mapping[bytes, str], own: frozenset[str]
) -> Sender:
    """Hold a parcel's sender against its signature and what is known here.

    Parameters
    ----------
    sender : str
        As the manifest says.
    signature : Signature, optional
        None where the parcel has none.
    keys : mapping of public key to shop
        Keys that were exchanged by hand.
    own : frozenset of str
        Names of this shop, as `own_names` gives them.
    """
    known = sender in keys.values()
    whose = keys.get(signature.public) if signature is not None else None
    if signature is None:
        signed = "not signed"
        doubt = f"a key of {sender} is known here, and this parcel is not signed by it." if known else ""
    elif signature.why:
        signed = f"signed by key {signature.digits}, not checked: {signature.why}"
        doubt = f"a key of {sender} is known here, and the signature was not checked." if known else ""
    elif whose is None:
        signed = f"signed by key {signature.digits}, which nobody here has said whose it is"
        doubt = f"a key of {sender} is known here, and this parcel is signed by another." if known else ""
    else:
        signed = f"signed by key of {whose}"
        doubt = (
            f"it is signed by the key of {whose}, and says that it is from {sender}."
            if whose != sender
            else ""
        )
    # A parcel of our own that comes back signed by our own key is ours; any other in our name is not.
    if not doubt and sender in own and whose != sender:
        doubt = f"it says that it is from {sender}, which is this shop or may be, and no key proves it."
    return Sender(signed, doubt)


def own_names(folder: Path, collection: Collection) -> frozenset[str]:
    """The ids that this shop goes by.

    What `keys/this-shop.txt` in the collection's folder says, a line each. Without that file every shop whose
    record did not come from elsewhere may be this one.

    Raises
    ------
    HandlingError
        The file cannot be read.
    """
    file = folder / "keys" / OWN
    try:
        said = frozenset(
            line.strip() for line in file.read_text(encoding="utf-8").splitlines() if line.strip()
        )
    except FileNotFoundError:
        said = frozenset()
    except (OSError, UnicodeDecodeError) as error:
        raise HandlingError(f"{file}: cannot be read ({error})") from None
    if said:
        return said
    elsewhere = came_from(collection)
    return frozenset(code for code in collection.shops if ("shop", code) not in elsewhere)
