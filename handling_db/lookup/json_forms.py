"""How JSON is made of answers: plain values, and forms, one table each for the writer and for the schema."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import fields, is_dataclass, make_dataclass
from fractions import Fraction
from functools import cache, cached_property
from operator import attrgetter
from typing import Any, get_type_hints

Field = tuple[str, Any, Callable[[Any], Any]]  # its name in JSON, its type, and what is written
_FORMS: dict[type, Form] = {}
_AS_THEY_ARE = frozenset({str, int, bool, type(None)})


def plain(value: Any, tell: Callable[[Any], Any] | None = None, digits: int = 17) -> Any:
    """Dataclasses, tuples and fractions as JSON has them; masses in kilograms.

    Parameters
    ----------
    value
        What is written.
    tell : callable, optional
        What stands for a dataclass, a notice above all; others it gives back.
    digits : int
        Of a figure; 17 for all of them.
    """
    if type(value) in _AS_THEY_ARE:  # by far the most
        return value
    if is_dataclass(value) and tell is not None:
        value = tell(value)
    if is_dataclass(value) and not isinstance(value, type):
        return {name: plain(getattr(value, name), tell, digits) for name in _field_names(type(value))}
    if isinstance(value, dict | Mapping):
        return {str(key): plain(item, tell, digits) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [plain(item, tell, digits) for item in value]
    if isinstance(value, Fraction | float):
        told = float(value) if digits >= 17 else float(f"{float(value):.{digits}g}")  # 17 are all it has
        return told + 0.0  # minus nothing is nothing
    return value


@cache
def _field_names(kind: type) -> tuple[str, ...]:
    return tuple(field.name for field in fields(kind))


class Form:
    """What the JSON of a class holds, field by field.

    Parameters
    ----------
    name : str
        In the schema.
    of : type
        The class that it is made of.
    says : str
        What the schema says of it.
    *listed : str or (name, type, callable)
        Names as they stand in JSON, several in one text. ``best_kg`` is the field ``best``, ``since?`` is
        null where that is empty, ``guess=rests.guess`` is written from another field.
    """

    def __init__(self, name: str, of: type, says: str, *listed: str | Field) -> None:
        self.name = name
        self.of = of
        self.says = says
        self._listed = listed
        _FORMS[of] = self

    def write(self, value: Any) -> dict[str, Any]:
        """The JSON of one of its class, and of whatever in it has a form."""
        return {name: plain(get(value), written) for name, _, get in self._fields}

    @cached_property
    def _fields(self) -> list[Field]:
        return [field for one in self._listed for field in ([one] if isinstance(one, tuple) else _named(one))]

    @cached_property
    def schema(self) -> type:
        """A class with the same fields and their types, of which the schema is made."""
        typed = [
            (name, _type(self.of, kind) if isinstance(kind, str) else kind) for name, kind, _ in self._fields
        ]
        return make_dataclass(self.name, typed, namespace={"__doc__": self.says, "__module__": __name__})


def written(value: Any) -> Any:
    """The JSON of what has a form; others as they are."""
    form = _FORMS.get(type(value))
    return value if form is None else form.write(value)


def _named(text: str) -> Iterator[Field]:
    """Fields by their names; in place of a type the path to it, with ``?`` where it may be null."""
    for word in text.split():
        name, _, path = word.partition("=")
        path = path or name.replace("_kg", "")
        yield name.rstrip("?"), path, _written_from(path)


def _written_from(path: str) -> Callable[[Any], Any]:
    get = attrgetter(path.rstrip("?"))
    return (lambda value: get(value) or None) if path.endswith("?") else get


class _Names(dict[str, type]):
    """Classes by name, those with a form by the class of the form."""

    def __missing__(self, name: str) -> type:
        # What a look-up imports only where it is needed, then its forms.
        late = {"Fraction": Fraction}
        return late[name] if name in late else {of.__name__: form for of, form in _FORMS.items()}[name].schema


def _type(of: Any, path: str) -> Any:
    """The type of a field or property, and of one in it."""
    first, _, rest = path.rstrip("?").partition(".")
    own = getattr(of, first, None)
    told = own.fget if isinstance(own, property) else of
    kind = get_type_hints(told, localns=_Names())["return" if isinstance(own, property) else first]
    kind = _type(kind, rest) if rest else kind
    return kind | None if path.endswith("?") else kind


CAUTIONS: Field = ("cautions", list[str], lambda _: ["figures, not permission"])
