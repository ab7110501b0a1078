"""What to write in each field: the words below the fields of the models."""

from __future__ import annotations

import ast
import functools
import inspect
import itertools
import textwrap
import typing
from collections.abc import Iterator

from pydantic import BaseModel

from handling_db.records.parts.texts import Part


@functools.cache
def described(model: type[BaseModel]) -> dict[str, str]:
    """The words below each field of a model, those of its bases included.

    They stand in the source as a text below the field; Pydantic could read them at every start, which
    costs the reader of records, so they are read here by whoever asks.

    Parameters
    ----------
    model : class
        A kind of record, or a mapping inside one.

    Returns
    -------
    dict of str to str
        By the field's name in Python; a field without words is left out.

    Raises
    ------
    OSError
        Where the source of the class is not at hand.
    """
    words: dict[str, str] = {}
    for base in reversed(model.__mro__):
        if isinstance(base, type) and issubclass(base, BaseModel) and base is not BaseModel:
            words |= _of_source(base)
    return {name: words[name] for name in model.model_fields if name in words}


def _of_source(model: type[BaseModel]) -> dict[str, str]:
    tree = ast.parse(textwrap.dedent(inspect.getsource(model)))
    body = tree.body[0].body if isinstance(tree.body[0], ast.ClassDef) else []
    words: dict[str, str] = {}
    for field, below in itertools.pairwise(body):
        if isinstance(field, ast.AnnAssign) and isinstance(field.target, ast.Name):
            match below:
                case ast.Expr(value=ast.Constant(value=str() as text)):
                    words[field.target.id] = " ".join(text.split())
    return words


def mappings_of(model: type[Part]) -> Iterator[type[Part]]:
    """A kind of record and every mapping that may stand inside one, each once."""
    seen: set[type[Part]] = set()
    waiting = [model]
    while waiting:
        part = waiting.pop(0)
        if part not in seen:
            seen.add(part)
            yield part
            for field in part.model_fields.values():
                waiting.extend(_inside(field.annotation))


def _inside(annotation: typing.Any) -> Iterator[type[Part]]:
    if isinstance(annotation, type) and issubclass(annotation, Part):
        yield annotation
    for argument in typing.get_args(annotation):
        yield from _inside(argument)
