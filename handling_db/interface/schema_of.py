"""JSON Schema of an answer, read off the classes it is made of: fields, types and what is said of them."""

from __future__ import annotations

import datetime
import inspect
import re
import types
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import fields, is_dataclass
from enum import Enum
from fractions import Fraction
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints, is_typeddict

Schema = dict[str, Any]

_PLAIN: Mapping[Any, Schema] = {
    str: {"type": "string"},
    bool: {"type": "boolean"},
    int: {"type": "integer"},
    float: {"type": "number"},
    Fraction: {"type": "number"},
    datetime.date: {"type": "string", "format": "date"},
    type(None): {"type": "null"},
    Any: {},
    object: {},
}
_FIELD = re.compile(r"^(\w+(?:, \w+)*) : (.*)$")


class Definitions:
    """The definitions that answers share, by the name of the class.

    Parameters
    ----------
    instead : mapping of class to class
        What a writer of JSON puts in place of a class.
    nothing : mapping of class to names of fields
        What a writer of JSON leaves null where it is not known, though the class has a figure there.
    sentences : tuple of str
        Rooms in whose classes a notice is written as its sentence.
    """

    def __init__(
        self,
        instead: Mapping[type, type],
        nothing: Mapping[type, Sequence[str]],
        sentences: tuple[str, ...],
    ) -> None:
        self.sentences = sentences
        self.instead = instead
        self.nothing = nothing
        self.found: dict[str, Schema] = {}

    def of(self, asked: Any) -> Schema:
        """The schema of a type; classes with fields are defined once and referred to.

        Raises
        ------
        TypeError
            A type that has no form in JSON here.
        """
        if asked in _PLAIN:
            return dict(_PLAIN[asked])
        origin, inside = get_origin(asked), get_args(asked)
        if origin in (Union, types.UnionType):
            return self._either(inside)
        if origin is Literal:
            return {"enum": list(inside)}
        if origin is tuple:
            if len(inside) == 2 and inside[1] is Ellipsis:
                return {"type": "array", "items": self.of(inside[0])}
            each = [self.of(one) for one in inside]
            return {"type": "array", "prefixItems": each, "minItems": len(each), "maxItems": len(each)}
        if origin is not None and issubclass(origin, Mapping):
            return {"type": "object", "additionalProperties": self.of(inside[1])}
        if origin is not None and issubclass(origin, Sequence | set | frozenset):
            return {"type": "array", "items": self.of(inside[0])}
        if isinstance(asked, type) and issubclass(asked, Enum):
            return {"enum": [one.value for one in asked]}
        if is_typeddict(asked) or is_dataclass(asked):
            return self._named(self.instead.get(asked, asked))
        raise TypeError(f"no JSON is written for {asked!r}")

    def _either(self, several: Iterable[Any]) -> Schema:
        forms: list[Schema] = []
        for one in several:
            form = self.of(one)
            # a whole number is a number: one of them is enough
            if form not in forms and not (form == {"type": "integer"} and {"type": "number"} in forms):
                forms.append(form)
        if {"type": "number"} in forms:
            forms = [form for form in forms if form != {"type": "integer"}]
        if all(form.keys() == {"type"} for form in forms):
            return {"type": sorted(form["type"] for form in forms)} if len(forms) > 1 else forms[0]
        return {"anyOf": forms}

    def _named(self, asked: Any) -> Schema:
        name = f"{asked.__module__.removeprefix('handling_db.')}.{asked.__name__}"
        if name not in self.found:
            self.found[name] = {}  # a class may hold others of its kind
            self.found[name] = self.fields_of(asked)
        return {"$ref": f"#/$defs/{name}"}

    def fields_of(self, asked: Any) -> Schema:
        """The schema of a class with fields, its own fields written out.

        Every field is there, and no other one: a later version may have more.
        """
        told: dict[str, type] = {"Fraction": Fraction}  # classes of a look-up start without that name
        if asked.__module__.startswith(self.sentences):
            told["Notice"] = str
        hints = get_type_hints(asked, localns=told)
        if is_typeddict(asked):
            names, needed = [*hints], asked.__required_keys__
        else:
            names = [field.name for field in fields(asked)]
            needed = frozenset(names)
        said = described(asked)
        may_lack = self.nothing.get(asked, ())
        properties = {
            name: self.of(hints[name] | None if name in may_lack else hints[name]) for name in names
        }
        for name, words in said.items():
            if name in properties:
                properties[name]["description"] = words
        first = (asked.__doc__ or "").strip().split("\n\n")[0]
        return {
            "type": "object",
            "description": " ".join(first.split()),
            "properties": properties,
            "required": [name for name in names if name in needed],
            "additionalProperties": False,
        }


def described(asked: Any) -> dict[str, str]:
    """What the text of a class says of its fields, by name."""
    found: dict[str, list[str]] = {}
    now: list[list[str]] = []
    for line in inspect.cleandoc(asked.__doc__ or "").splitlines():
        head = _FIELD.match(line)
        if head:
            now = [found.setdefault(name, []) for name in head[1].split(", ")]
        elif line.startswith(" ") and line.strip():
            for words in now:
                words.append(line.strip())
        elif line.strip():
            now = []
    return {name: " ".join(words) for name, words in found.items() if words}
