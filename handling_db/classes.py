"""Frozen classes with slots as `dataclasses` makes them, at a thirtieth of the price.

The standard decorator writes the source of eight methods for each class and compiles it at every start: for
the classes of a look-up that took longer than the look-up. Here the methods are closures. A type checker sees
the standard decorator; what `fields`, `replace`, `asdict` and `inspect.signature` go by is made by the
standard one when it is first asked for.
"""

from __future__ import annotations

from operator import attrgetter
from typing import TYPE_CHECKING, Any

__all__ = ["dataclass", "field", "replace"]


class _Field:
    """How one field differs from a plain one, in the words of `dataclasses.field`."""

    def __init__(self, said: dict[str, Any]) -> None:
        self.said = said


class _Standard:
    """An attribute of a class that the standard decorator makes, of the same fields, when it is asked for."""

    def __init__(self, body: dict[str, Any]) -> None:
        self.body = body

    def __set_name__(self, _owner: type, name: str) -> None:
        self.name = name

    def __get__(self, _one: object, owner: type) -> Any:
        import dataclasses

        body = {
            name: dataclasses.field(**value.said) if isinstance(value, _Field) else value
            for name, value in self.body.items()
        }
        body["__doc__"] = owner.__doc__ or owner.__name__  # else the standard one writes one
        written: type[Any] = type(owner.__name__, (), body)
        found: Any
        if self.name == "__signature__":
            import inspect

            found = inspect.signature(dataclasses.dataclass(written))
        else:
            methods = self.name != "__dataclass_fields__"  # these need none
            twin = dataclasses.dataclass(init=methods, repr=methods, eq=methods, frozen=methods)(written)
            found = getattr(twin, self.name)
        setattr(owner, self.name, found)
        return found


def _made(written: type) -> type:
    """The class anew, with slots and methods."""
    if any(base.__dict__.get("__slots__") for base in written.__mro__[1:]):
        raise TypeError(f"{written.__name__}: fields of another class go by the standard decorator only")
    names = tuple(written.__annotations__)
    given = {name: value for name, value in written.__dict__.items() if name in names}
    said = {name: one.said if isinstance(one, _Field) else {"default": one} for name, one in given.items()}
    standard = {"__annotations__": written.__annotations__, "__module__": written.__module__, **given}
    puts: list[tuple[str, Any]] = []  # each field with what fills its slot
    body = {
        **{n: kept for n, kept in written.__dict__.items() if n not in (*names, "__dict__", "__weakref__")},
        **_methods(written.__qualname__, names, said, puts),
        **{n: _Standard(standard) for n in ("__dataclass_fields__", "__dataclass_params__", "__signature__")},
        "__qualname__": written.__qualname__,
        "__slots__": names,
        "__match_args__": names,
    }
    made = type(written)(written.__name__, written.__bases__, body)
    puts += [(name, made.__dict__[name].__set__) for name in names]
    return made


def _methods(
    of: str, names: tuple[str, ...], said: dict[str, dict[str, Any]], puts: list[tuple[str, Any]]
) -> dict[str, Any]:
    every, defaults = frozenset(names), {n: one["default"] for n, one in said.items() if "default" in one}
    shown = [name for name in names if said.get(name, {}).get("repr", True)]
    compared = attrgetter(*(name for name in names if said.get(name, {}).get("compare", True)))

    def by_name(given: tuple[Any, ...], named: dict[str, Any]) -> dict[str, Any]:
        told = {**defaults, **dict(zip(names, given, strict=False)), **named}
        twice = given and (len(given) > len(names) or not named.keys().isdisjoint(names[: len(given)]))
        if told.keys() != every or twice:
            raise TypeError(f"{of} takes each of these once: {', '.join(names)}")
        return told

    def fill(self: Any, /, *given: Any, **named: Any) -> None:
        if named or len(given) != len(names):
            told = by_name(given, named) if given or named.keys() != every else named
            for name, put in puts:
                put(self, told[name])
        else:
            for (_, put), value in zip(puts, given, strict=True):
                put(self, value)

    def same(self: Any, other: object) -> Any:
        return compared(self) == compared(other) if other.__class__ is self.__class__ else NotImplemented

    def refuse(_self: Any, name: str, *_value: Any) -> None:
        from dataclasses import FrozenInstanceError

        raise FrozenInstanceError(f"cannot assign to or delete field {name!r}")

    def show(self: Any) -> str:
        return f"{of}({', '.join(f'{name}={getattr(self, name)!r}' for name in shown)})"

    def parts(self: Any) -> Any:
        return type(self), tuple(getattr(self, name) for name in names)

    return {
        "__init__": fill,
        "__eq__": same,
        "__hash__": lambda self: hash(compared(self)),
        "__setattr__": refuse,
        "__delattr__": refuse,
        "__repr__": show,
        "__reduce__": parts,  # copies and pickles
    }


if TYPE_CHECKING:
    from dataclasses import dataclass, field, replace
else:

    def field(**said: Any) -> Any:
        """How a field differs: `default`, `repr` and `compare` as in the standard library."""
        return _Field(said)

    def replace(one: Any, /, **changes: Any) -> Any:
        """An object of such a class again, with other values."""
        return type(one)(**{name: getattr(one, name) for name in one.__match_args__} | changes)

    def dataclass(*, frozen: bool, slots: bool) -> Any:
        """A decorator for a class whose fields are all its own.

        Raises
        ------
        TypeError
            The class is not to be frozen, or to have no slots.
        """
        if not (frozen and slots):
            raise TypeError("only for frozen classes with slots; else take the one of the standard library")
        return _made
