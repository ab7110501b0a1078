"""Formula text to tokens: everything that is not plain arithmetic is refused here, with its column.

Python's own parser sees the text only afterwards, so what it is given is short, of a few characters and
balanced. That keeps its surprises out: names that are Python's words, digits with underscores, exponents.
"""

from __future__ import annotations

import keyword
import re
from dataclasses import dataclass

from handling_db.formulas.faults import FormulaError

MAX_TEXT = 200
MAX_DEPTH = 20
MAX_DIGITS = 24

EXAMPLE = "such as 64*mm + 7*mm*discs"

_TOKEN = re.compile(
    r"(?P<number>[0-9]+(?:\.[0-9]+)?)"
    r"|(?P<name>[A-Za-z][A-Za-z0-9_]*)"
    r"|(?P<quoted>'[^'\"\\]*'|\"[^'\"\\]*\")"
    r"|(?P<sign>\*\*|==|!=|<=|>=|[-+*/(),=<>])",
    re.ASCII,
)

_ADVICE = {
    "^": "write ** for a power",
    "×": "write * to multiply",
    "·": "write * to multiply",
    "÷": "write / to divide",
    "−": "write a plain minus sign: -",
    "–": "write a plain minus sign: -",
    "²": "write **2",
    "³": "write **3",
    "°": "write 90*deg",
    "π": "write pi",
    "%": "write 0.05 for 5 %",
    ".": "a number is written with a digit on both sides of its one decimal point, such as 0.5",
    "_": "a name starts with a letter, and a number has digits only, such as 1000",
    "[": "use round brackets",
    "{": "use round brackets",
    "'": "close the quotation mark, and use letters only between the marks",
    '"': "close the quotation mark, and use letters only between the marks",
}


@dataclass(frozen=True, slots=True)
class Token:
    """One token with where it starts (column from 1) and what kind it is."""

    kind: str
    text: str
    column: int


def read_tokens(text: str) -> tuple[Token, ...]:
    """Split a formula into tokens.

    Parameters
    ----------
    text : str
        At most 200 characters.

    Returns
    -------
    tuple of Token
        At least one; brackets balanced and at most 20 deep; no two operands side by side.

    Raises
    ------
    FormulaError
        With the column and what to write.
    """
    if len(text) > MAX_TEXT:
        raise FormulaError(
            f"this is {len(text)} characters long and a formula has at most {MAX_TEXT}; "
            "split it into parameters of its own"
        )
    if not text.strip():
        raise FormulaError(f"this is empty; write a formula, {EXAMPLE}")
    tokens: list[Token] = []
    place = 0
    while place < len(text):
        if text[place] == " ":
            place += 1
            continue
        match = _TOKEN.match(text, place)
        if match is None:
            raise FormulaError(_odd_character(text[place]), place + 1)
        token = Token(str(match.lastgroup), match.group(), place + 1)
        if tokens:
            _check_neighbours(tokens[-1], token)
        _check_number(token)
        tokens.append(token)
        place = match.end()
    _check_brackets(tokens)
    return tuple(tokens)


def for_python(text: str, tokens: tuple[Token, ...]) -> str:
    """The text with Python's own words masked, width kept, so that columns still fit."""
    letters = list(text)
    for token in tokens:
        if token.kind == "name" and keyword.iskeyword(token.text):
            letters[token.column - 1] = "_"
    return "".join(letters)


def _odd_character(character: str) -> str:
    advice = _ADVICE.get(character, f"write numbers, names, units, + - * / ** and brackets only, {EXAMPLE}")
    shown = character if character.isprintable() else f"the character U+{ord(character):04X}"
    return (
        f"{shown!r} is not used in formulas; {advice}"
        if len(shown) == 1
        else f"{shown} is not used; {advice}"
    )


def _check_number(token: Token) -> None:
    if token.kind != "number":
        return
    if sum(letter != "." for letter in token.text) > MAX_DIGITS:
        raise FormulaError(f"this number has more than {MAX_DIGITS} digits; write fewer", token.column)
    if len(token.text) > 1 and token.text[0] == "0" and token.text[1] != ".":
        raise FormulaError(f"{token.text} starts with a zero; write it without", token.column)


def _check_neighbours(before: Token, token: Token) -> None:
    """Two operands side by side need a sign between them; a call is a name before a bracket."""
    operands = {"number", "name", "quoted"}
    opens = token.kind in operands or (token.text == "(" and before.kind != "name")
    if not opens or not (before.kind in operands or before.text == ")"):
        return
    if before.kind == "number" and re.fullmatch(r"[eE][0-9]*", token.text):
        raise FormulaError("write the figure out, without an exponent", token.column)
    if before.kind == "number" and token.kind == "number":
        raise FormulaError("no spaces inside a number; write 1000, or put a sign between", token.column)
    raise FormulaError(
        f"there is no sign between {before.text} and {token.text}; "
        f"to multiply write {before.text}*{token.text}"
        if token.text != "(" and before.text != ")"
        else "there is no sign before or after this bracket; write * to multiply",
        token.column,
    )


def _check_brackets(tokens: list[Token]) -> None:
    opened: list[Token] = []
    for token in tokens:
        if token.text == "(":
            opened.append(token)
            if len(opened) > MAX_DEPTH:
                raise FormulaError(
                    f"brackets are nested more than {MAX_DEPTH} deep; write it flatter", token.column
                )
        elif token.text == ")":
            if not opened:
                raise FormulaError("this bracket closes nothing; take it out or open one", token.column)
            opened.pop()
    if opened:
        raise FormulaError("this bracket is never closed", opened[-1].column)
