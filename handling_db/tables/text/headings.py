"""What people head columns with: one table of words in several languages for every kind of sheet."""

from __future__ import annotations

import functools
import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from handling_db.errors import UnitError
from handling_db.files.folders import reference_values
from handling_db.quantities.quantity import find_unit

# What each measuring field measures; only such a field can have a unit in its heading.
DIMENSIONS: Mapping[str, str] = {
    **dict.fromkeys(
        ("mass", "also", "mass together", "step", "plus_minus", "u", "stated", "stated_step"), "mass"
    ),
    **dict.fromkeys(("x", "y", "z", "cg_x", "cg_y", "cg_z"), "length"),
    **dict.fromkeys(("roll", "pitch", "yaw"), "angle"),
}
_GAPS = re.compile(r"[\s_\-.,:;*'\"]+")
_BRACKETS = re.compile(r"[(\[{]([^)\]}]*)[)\]}]")
# Say neither that they are of one piece nor of all.
_BARE = frozenset({"mass", "weight", "wt", "wgt", "gewicht", "gew", "masse"})
_LINKING = frozenset({"in", "per", "je", "pro", "of", "a"})


@dataclass(frozen=True, slots=True)
class Heading:
    """What one heading says.

    Parameters
    ----------
    fields : tuple of str
        The fields it can mean, the likeliest first; empty where it is not known.
    unit : str
        What stands behind the field or in brackets: a unit, or what was meant as one.
    bracketed : bool
        Whether that stands in brackets.
    plain : bool
        Whether it is this program's own word for the field.
    qualified : bool
        For masses: whether it says that it is of one piece, or of all of them.
    state : str
        For masses: which fluid was in, as in "dry weight"; empty where it does not say.
    decimal : str
        ``point`` or ``comma`` where the heading states the decimal sign of the sheet.
    """

    fields: tuple[str, ...] = ()
    unit: str = ""
    bracketed: bool = False
    plain: bool = False
    qualified: bool = False
    state: str = ""
    decimal: str = ""


@dataclass(frozen=True, slots=True)
class Vocabulary:
    """The table of words, folded."""

    fields: Mapping[str, tuple[str, ...]]
    plain: frozenset[str]
    of_one: frozenset[str]
    of_all: frozenset[str]
    unknown: frozenset[str]
    totals: frozenset[str]
    subtotals: frozenset[str]
    states: Mapping[str, str]
    decimal_sign: frozenset[str]
    decimals: Mapping[str, str]


def fold(text: str) -> str:
    """A heading without what makes no difference: ``Teile-Nr.`` and ``teilenr`` give the same."""
    return _fold(text) if len(text) <= 80 else _fold.__wrapped__(text)  # a long remark is not kept


@functools.lru_cache(maxsize=4096)  # the cells above the headings are looked at for every table
def _fold(text: str) -> str:
    plain = unicodedata.normalize("NFKC", text).casefold()
    for sign, instead in (("ä", "ae"), ("ö", "oe"), ("ü", "ue"), ("#", " no ")):
        plain = plain.replace(sign, instead)
    return "".join(_GAPS.split(plain)) or "".join(plain.split())


@functools.lru_cache(maxsize=1)
def vocabulary() -> Vocabulary:
    """The words that come with the program, read once.

    Raises
    ------
    HandlingError
        The file cannot be read.
    """
    value = reference_values("headings.yml")
    fields: dict[str, tuple[str, ...]] = {}
    plain: set[str] = set()
    for field, languages in value["fields"].items():
        for language, words in languages.items():
            for word in words:
                folded = fold(word)
                fields[folded] = tuple(dict.fromkeys((*fields.get(folded, ()), field)))
                if language == "plain":
                    plain.add(folded)
    for word, either in value["either"].items():
        fields[fold(word)] = tuple(either)

    def words_of(key: str) -> frozenset[str]:
        return frozenset(map(fold, value[key]))

    return Vocabulary(
        fields,
        frozenset(plain),
        words_of("of one"),
        words_of("of all"),
        frozenset(word.casefold() for word in value["unknown"]),
        words_of("totals"),
        words_of("subtotals"),
        {fold(word): state for state, words in value["states"].items() for word in words},
        words_of("decimal sign"),
        {fold(word): sign for sign in ("comma", "point") for word in value[f"decimal {sign}"]},
    )  # fmt: skip


def is_unknown(text: str) -> bool:
    """Whether a cell is empty or says that nobody knows; that is no figure, and not zero."""
    shown = text.strip()
    return not shown or shown.casefold() in vocabulary().unknown


@functools.lru_cache(maxsize=4096)
def read_heading(text: str) -> Heading:
    """Which field a heading means, with its unit: ``Weight (lb)``, ``Gewicht in kg je Stück``."""
    if len(text) > 80:
        return Heading()
    known = vocabulary()
    brackets = [inside.strip() for inside in _BRACKETS.findall(text)]
    outside = _BRACKETS.sub(" ", text)
    whole = known.fields.get(fold(text))
    if whole:
        return Heading(whole, plain=fold(text) in known.plain, qualified=_says_which(text, known))
    words = [*_words(outside), *(word for inside in brackets for word in _words(inside))]
    for count in range(len(words), 0, -1):
        for start in range(len(words) - count + 1):
            fields = known.fields.get(fold(" ".join(words[start : start + count])))
            if not fields:
                continue
            rest = [*words[:start], *words[start + count :]]
            found = _with_rest(fields, words[start : start + count], rest, known, bracketed=bool(brackets))
            if found is not None:
                return found
    unit, qualifier = _unit_and_which([word for word in words if word.casefold() not in _LINKING], known)
    if is_unit(unit, "mass"):  # a column headed only "kg", or "lb each"
        field = "mass together" if qualifier == "all" else "mass"
        return Heading((field,), unit, bool(brackets), qualified=bool(qualifier))
    return Heading()


def _words(text: str) -> list[str]:
    return [
        word.strip(",;:*")
        for word in re.split(r"[\s_/]+|(?<=[a-z])-(?=[A-Za-z])", text)
        if word.strip(".,;:*-")
    ]


def _says_which(text: str, known: Vocabulary) -> bool:
    folded = {fold(word) for word in _words(text)}
    return bool(folded & (known.of_one | known.of_all)) or fold(text) not in _BARE


def _with_rest(
    fields: tuple[str, ...], named: Sequence[str], rest: Sequence[str], known: Vocabulary, *, bracketed: bool
) -> Heading | None:
    """The heading, if all that stands beside its field is a unit, or says of one piece or of all."""
    field = fields[0]
    dimension = DIMENSIONS.get(field, "")
    folded = fold(" ".join(named))
    decimal, left = _taken_out(rest, known.decimals, 2)
    state = ""
    if dimension == "mass":  # of a length, "in" is the unit
        state, left = _taken_out(left, known.states, 2)
        left = [word for word in left if word.casefold().strip(".") not in _LINKING]
    if not left:
        return Heading(fields, plain=folded in known.plain and not rest, qualified=_says_which(folded, known),
                       state=state, decimal=decimal)  # fmt: skip
    if not dimension:
        return None
    unit, which = _unit_and_which(left, known) if dimension == "mass" else (" ".join(left), "")
    if field == "mass" and which == "all":
        fields = ("mass together",)
    if not unit and not which:
        return None
    if unit and not bracketed and not _was_meant(unit, dimension):
        return None
    return Heading(
        fields, unit, bracketed, plain=folded in known.plain and not which,
        qualified=bool(which) or _says_which(folded, known), state=state, decimal=decimal,
    )  # fmt: skip


def _taken_out(words: Sequence[str], meanings: Mapping[str, str], most: int) -> tuple[str, list[str]]:
    """What the first of some words that has a meaning here means, and the words without it."""
    for count in range(most, 0, -1):
        for start in range(len(words) - count + 1):
            meant = meanings.get(fold(" ".join(words[start : start + count])))
            if meant and fold(words[start]):
                return meant, [*words[:start], *words[start + count :]]
    return "", list(words)


def _unit_and_which(words: Sequence[str], known: Vocabulary) -> tuple[str, str]:
    """A unit among some words, and whether the others say of one piece (one) or of all (all)."""
    which = ""
    left = list(words)
    for group, name in ((known.of_all, "all"), (known.of_one, "one")):
        for count in (3, 2, 1):
            for start in range(len(left) - count + 1):
                if fold(" ".join(left[start : start + count])) in group and count <= len(left):
                    which = which or name
                    left = [*left[:start], *left[start + count :]]
                    break
    return " ".join(word.strip(".") for word in left), which


def is_unit(text: str, dimension: str) -> bool:
    """Whether a text is a unit of what is measured."""
    try:
        find_unit(text, dimension)
    except UnitError:
        return False
    return True


def _was_meant(text: str, dimension: str) -> bool:
    """Whether a text is a unit, or none that can be read, yet was meant as one: ``t(on)``, ``#``."""
    try:
        find_unit(text, dimension)
    except UnitError as error:
        return not str(error).startswith("the unit ")
    return True
