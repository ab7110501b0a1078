"""Lists that can be there, be known to be none, or not have been looked for: three answers, never two."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Annotated, Any, Literal, TypeVar

from pydantic import PlainSerializer, PlainValidator, TypeAdapter

from handling_db.records.parts.patterns import NOBODY_LOOKED, NONE
from handling_db.records.parts.texts import Part

Item = TypeVar("Item", bound=Part)
Looked = tuple[Item, ...] | Literal["none"] | None


def _reader(model: type[Part]) -> Callable[[Any], Any]:
    @cache  # made when first used, and once: making it takes longer than reading a list
    def items() -> TypeAdapter[Any]:
        return TypeAdapter(tuple[model, ...])  # type: ignore[valid-type]

    def read(value: Any) -> Any:
        if value is None or value in (NONE, NOBODY_LOOKED):
            return NONE if value == NONE else None
        if isinstance(value, str) or not value:
            raise ValueError("write a list, 'none' (with 'checked by'), or leave it out: nobody looked")
        return items().validate_python(value)

    return read


def _written(value: Any) -> Any:
    return [item.as_written() for item in value] if isinstance(value, tuple) else value


def looked(model: type[Part]) -> tuple[PlainValidator, PlainSerializer]:
    """How to read and write a list of `model`, the word "none", or nothing: nobody looked."""
    shape: Any = tuple[model, ...] | Literal["none", "nobody looked"]  # type: ignore[valid-type]
    return PlainValidator(_reader(model), json_schema_input_type=shape), PlainSerializer(_written)


def listed(value: Looked[Item]) -> tuple[Item, ...]:
    """What is listed; empty for "none" and for "nobody looked" alike, so ask which before saying "none"."""
    return value if isinstance(value, tuple) else ()


def none_needs_a_name(checked_by: str | None, **fields: Any) -> None:
    """Refuse a "none" that nobody stands for.

    Raises
    ------
    ValueError
        A field is "none" and `checked_by` is missing.
    """
    if checked_by is not None:
        return
    for name, value in fields.items():
        if value == NONE:
            word = name.rstrip("_").replace("_", " ")
            raise ValueError(f"'{word}: none' needs 'checked by': write whose role looked, or leave it out")


def _there(value: Any) -> Any:
    if value is None or value == NOBODY_LOOKED:
        return None
    if value in ("yes", NONE):
        return value
    raise ValueError(f"{value!r}: write yes, none (with 'checked by'), or leave it out: nobody looked")


# Whether something is there: yes, known to be none, or nobody looked.
There = Annotated[
    Literal["yes", "none"] | None,
    PlainValidator(_there, json_schema_input_type=Literal["yes", "none", "nobody looked"]),
]
