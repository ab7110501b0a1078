"""Addresses of the view and names of plain files: what is written, under which name, and what is left out."""

from __future__ import annotations

import hashlib
import posixpath
import re
from dataclasses import dataclass
from urllib.parse import parse_qsl, urlencode, urlsplit

from datasette.utils import tilde_decode

from handling_db.web.ways import OURS

START = "index.html"
LEFT_OUT = "left-out.html"

# Questions that are records of their own, by the first step of the address: a unit in hand, a named build, a
# packing, a shop. Every other question is a what-if.
_KEPT: dict[str, frozenset[str]] = {
    "component": frozenset({"build"}),
    "lift": frozenset({"job"}),
    "joint": frozenset({"job"}),
    "turn": frozenset({"job"}),
    "move": frozenset({"job", "packing"}),
    "hands": frozenset({"shop"}),
    "notes": frozenset({"component", "kind", "page"}),
    "lifts": frozenset({"page"}),
    "checker": frozenset({"page"}),
    "a-z": frozenset({"letter"}),
}
_STATIC = "/-/static-plugins/handling_db/"
_LONGEST = 100  # of a name on most memory cards with room to spare [characters]
_PLAIN = re.compile(r"[^a-z0-9._~/-]")


@dataclass(frozen=True, slots=True)
class Kind:
    """Why something is left out.

    Parameters
    ----------
    mark : str
        Where it stands on the page of what is left out.
    title : str
    words : str
        What to do instead.
    """

    mark: str
    title: str
    words: str


KINDS = {
    kind.mark: kind
    for kind in (
        Kind(
            "search",
            "Search and lists by choice",
            "Go by the index from A to Z, by part numbers or by the words of notes.",
        ),
        Kind(
            "unit",
            "The other unit first",
            "Every figure stands in kg and in lb; which is first was chosen when the copy was made.",
        ),
        Kind("state", "One state by itself", "The page of the piece has dry, drained and filled."),
        Kind(
            "off",
            "With parts off already",
            "The figures of the whole stand here; the view has the rest.",
        ),
        Kind(
            "build",
            "Another build",
            "Named builds are here; the view works out the others.",
        ),
        Kind("range", "With a range that somebody gives", "What nobody weighed stays not known here."),
        Kind("shop", "With another shop, truck or way", "The view compares them."),
        Kind(
            "pieces",
            "Cards, tags and shops for single pieces",
            "Lifts and what has a packing of its own have theirs here; the view makes them for any piece.",
        ),
        Kind(
            "figures",
            "Questions with figures of your own",
            "The view works them out.",
        ),
        Kind("programs", "For other programs", "JSON, tables and the database are had from the view itself."),
    )
}
_BY_NAME = {
    "q": "search", "kind": "search", "component": "search", "unit": "unit", "state": "state",
    "without": "off", "set": "build", "build": "build", "assume": "range", "shop": "shop",
    "before": "shop", "route": "shop",
    "pallet": "shop", "packing": "shop", "fixture": "shop", "job": "shop",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Address:
    """An address of the view, taken apart.

    Parameters
    ----------
    path : str
    query : tuple of (name, value)
    anchor : str
    """

    path: str
    query: tuple[tuple[str, str], ...]
    anchor: str

    @classmethod
    def read(cls, link: str, at: str) -> Address | None:
        """A link of the page at some address; None where it leads out of the view.

        Parameters
        ----------
        link : str
        at : str
            Path of the page it stands on.
        """
        parts = urlsplit(link)
        if parts.scheme or parts.netloc:
            return None
        path = posixpath.normpath(posixpath.join(posixpath.dirname(at), parts.path)) if parts.path else at
        return cls(path, tuple(parse_qsl(parts.query, keep_blank_values=True)), parts.fragment)

    @property
    def asked(self) -> str:
        """What the view is asked for: path and question."""
        return f"{self.path}?{urlencode(self.query)}" if self.query else self.path

    @property
    def file_is_static(self) -> bool:
        """Whether it is a file that comes with the program, or a picture."""
        return self.path.startswith((_STATIC, "/picture/"))

    @property
    def left_out(self) -> Kind | None:
        """Why it is left out; None where it is written."""
        if self.file_is_static and not self.query:
            return None
        if OURS.match(self.path) is None or self.path.endswith(".json") or self.path.startswith("/-/"):
            return KINDS["programs"]
        kept = _KEPT.get(self.path.strip("/").partition("/")[0], frozenset())
        other = [name for name, _ in self.query if name not in kept]
        if not other:
            return None
        if self.path == "/notes" and {name for name, _ in self.query} <= {"q", "kind", "shop", "component"}:
            return KINDS["search"]
        return KINDS[min((_BY_NAME.get(name, "figures") for name in other), key=list(KINDS).index)]


class FileNames:
    """One file name for each address; none differ by capitals alone, none is too long for a memory card.

    Parameters
    ----------
    handled : frozenset of str
        Ids of lifts, and of pieces with a packing of their own: they have cards, tags and shops.
    """

    def __init__(self, handled: frozenset[str] = frozenset()) -> None:
        self._handled = handled
        self._names: dict[str, str] = {"/": START, "/start": START}
        self._taken: set[str] = {START, LEFT_OUT}

    def of(self, address: Address) -> str:
        """The file of an address, without its anchor."""
        asked = address.asked
        if asked not in self._names:
            name = self._made(address)
            self._names[asked] = name
            self._taken.add(name)
        return self._names[asked]

    def left_out(self, address: Address) -> Kind | None:
        """Why an address is left out; None where it is written."""
        steps = [tilde_decode(step) for step in address.path.strip("/").split("/")]
        card = len(steps) == 3 and steps[0] == "move" and steps[1] not in self._handled
        shop = len(steps) == 3 and steps[0] == "shop" and steps[2] not in self._handled
        return KINDS["pieces"] if card or shop else address.left_out

    def name(self, address: Address, file: str) -> None:
        """Give an address a file of our choice."""
        self._names[address.asked] = file
        self._taken.add(file)

    def _made(self, address: Address) -> str:
        if address.path.startswith(_STATIC):
            return f"static/{address.path.removeprefix(_STATIC)}"
        if address.file_is_static:
            return address.path.strip("/")
        words = "".join(f"--{name}-{value}" for name, value in address.query)
        plain = _PLAIN.sub("-", f"{address.path.strip('/')}{words}".lower())
        if (
            plain != f"{address.path.strip('/')}{words}"
            or len(plain) > _LONGEST
            or f"{plain}.html" in self._taken
        ):
            digest = hashlib.sha256(address.asked.encode()).hexdigest()[:8]
            plain = f"{plain[: _LONGEST - 10].rstrip('/')}-{digest}"
        return f"{plain}.html"


def relative(to: str, at: str) -> str:
    """The link from one file to another."""
    return posixpath.relpath(to, posixpath.dirname(at) or ".")
