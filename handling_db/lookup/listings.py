"""Plain answers that are lists: notes, hits, findings, fixtures, shops, sources, and what was built.

No pydantic, no SQL, so that a look-up starts fast. Texts are as recorded; an empty one was not recorded.
"""

from __future__ import annotations

from handling_db.classes import dataclass
from handling_db.weights.answer import Named, PartFigure, StateFigure


@dataclass(frozen=True, slots=True)
class ListedNote:
    """One handling note.

    Parameters
    ----------
    about_kind, about, about_name : str
        What it is about: kind of record, id, and the name of it.
    replaced_by : str
        Id of the note that replaced this one.
    stale : bool
        Whether its review date has passed; worked out when looked at, never stored.
    marked : str
        The text with found words between the two signs of a search; empty where nothing was searched.
    """

    id: str
    kind: str
    about_kind: str
    about: str
    about_name: str
    text: str
    hazard: str
    exposed: str
    attitude: str
    state: str
    fits: str
    reading: str
    gear_used: str
    rated: str
    told_by: str
    source: str
    author: str
    shop: str
    shop_name: str
    on: str
    seen: str
    status: str
    reason: str
    checked_by: str
    review_by: str
    replaced_by: str
    stale: bool = False
    marked: str = ""


@dataclass(frozen=True, slots=True)
class IndexEntry:
    """One line of an index.

    Parameters
    ----------
    kind, code : str
        Kind of record and its id.
    name : str
        What the line is sorted by: a name, another name, a part number.
    goes_by : str
        The name of the piece, where the line begins with something else.
    """

    kind: str
    code: str
    name: str
    goes_by: str


@dataclass(frozen=True, slots=True)
class Hit:
    """One thing found: ``component`` or ``note``, its id, its title and where the words stand in it."""

    kind: str
    id: str
    title: str
    snippet: str


@dataclass(frozen=True, slots=True)
class StoredFinding:
    """One thing the checker had to say when the file was built.

    Parameters
    ----------
    about_name : str
        Name of the component it is about; empty for anything else.
    gap_low, gap_high : float, optional
        The least and the most the two figures differ by. [kg]
    because_of : tuple of component ids
        Where it follows from what disagrees in other components.
    """

    rule: str
    verdict: str
    about: str
    about_name: str
    sentence: str
    remedy: str
    file: str
    line: int | None
    field: str
    gap_low: float | None = None
    gap_high: float | None = None
    because_of: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Need:
    """A component that needs a fixture, and for which act."""

    component: str
    name: str
    for_: str


@dataclass(frozen=True, slots=True)
class Instead:
    """What people used in place of a fixture, and whether that was rated."""

    what: str
    rated: str
    shop: str
    shop_name: str
    outcome: str


@dataclass(frozen=True, slots=True)
class FixtureFigure:
    """A fixture, what needs it, who has one and what was used in its place.

    Parameters
    ----------
    for_ : str
        The act the component asked about needs it for; empty where none was asked about.
    shops : tuple of str
        Names of the shops that have one.
    """

    id: str
    name: str
    kind: str
    standing: str
    rated_load: str
    own_mass: str
    faces: str
    clearance: str
    inspection_due: str
    remark: str
    needs: tuple[Need, ...] = ()
    shops: tuple[str, ...] = ()
    used_instead: tuple[Instead, ...] = ()
    for_: str = ""


@dataclass(frozen=True, slots=True)
class ListedMover:
    """A hoist, crane, forklift or pallet truck."""

    id: str
    name: str
    kind: str
    rated: str
    rated_note: str
    inspection_due: str
    remark: str


@dataclass(frozen=True, slots=True)
class ShopFigure:
    """A place with its movers, fixtures, scales and rules."""

    id: str
    name: str
    place: str
    first_unit: str
    hand_limit: str
    who_to_call: str
    rules: tuple[str, ...]
    remark: str
    movers: tuple[ListedMover, ...] = ()
    fixtures: tuple[Named, ...] = ()
    scales: tuple[Named, ...] = ()


@dataclass(frozen=True, slots=True)
class PictureFigure:
    """A photograph or a page that a component or a note about it names.

    Parameters
    ----------
    name : str
        Under which it is served; empty where it is not there or is not what its name says.
    kind : str
        Content type; empty where there is none.
    """

    name: str
    file: str
    caption: str
    kind: str


@dataclass(frozen=True, slots=True)
class RestsOnSource:
    """A figure that rests on a source: the component's id and name, and the figure as printed."""

    id: str
    name: str
    printed: str


@dataclass(frozen=True, slots=True)
class SourceFigure:
    """A source.

    Parameters
    ----------
    kind_name, basis : str
        Its kind in words, and what that kind is usually good for.
    count : int
        How many figures rest on it.
    rests : tuple of RestsOnSource
        These figures, where one source was asked for.
    """

    id: str
    name: str
    kind_name: str
    basis: str
    document: str
    edition: str
    instrument: str
    by: str
    on: str
    review_by: str
    remark: str
    count: int
    rests: tuple[RestsOnSource, ...] = ()


@dataclass(frozen=True, slots=True)
class Heavy:
    """One of the heaviest components, with the figure to plan with."""

    id: str
    name: str
    state: StateFigure


@dataclass(frozen=True, slots=True)
class Branch:
    """A part line, and what its part is made of as far as it was opened."""

    part: PartFigure
    below: tuple[Branch, ...] = ()


@dataclass(frozen=True, slots=True)
class Stamp:
    """What a database file was built from.

    Parameters
    ----------
    stamp : str
        Hash of everything that was read; the same input gives the same.
    version : str
        Of the program that built it.
    data_date : str
        The latest date in the records.
    demo : bool
        Whether it is the invented collection that comes with the program.
    first_unit : str
        The unit the first shop reads first.
    in_words : str
        How much there is of everything.
    closing : str
        What the checker compared and what it did not.
    built : str
        Day and time at which the file was written, on this machine's clock; empty where there is no file. The
        file itself holds no clock.
    """

    stamp: str
    version: str
    data_date: str
    demo: bool
    first_unit: str
    in_words: str
    closing: str
    built: str = ""

    @property
    def told(self) -> str:
        """What stands at the foot of every page and print."""
        dated = f"data as of {self.data_date or 'no date recorded'}"
        return "; ".join([dated, *([f"built {self.built}"] if self.built else []), f"stamp {self.stamp}"])
