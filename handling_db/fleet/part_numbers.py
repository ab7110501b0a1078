"""Parts of one maker and part number, in whichever shop and however they are written."""

from __future__ import annotations

# Signs between the digits of a part number are written or not, and letters large or small.
SIGNS = ("-", " ", ".", "/")


def key_of(column: str) -> str:
    """The expression that gives a part number or a maker without its signs, in small letters."""
    for sign in SIGNS:
        column = f"replace({column}, '{sign}', '')"
    return f"lower({column})"


def plain(number: str) -> str:
    """The same of a text."""
    for sign in SIGNS:
        number = number.replace(sign, "")
    return number.lower()


def numbered(*, any_maker: bool = False) -> str:
    """The statement for every component with a part number, the makers told apart or not."""
    maker = "''" if any_maker else f"coalesce({key_of('n.maker')}, '')"
    number = key_of("n.part_number")
    return f"""
      create view numbered as
      select n.shop, n.node, n.component, n.build, n.name, n.maker, n.part_number,
        {maker} as maker_key, {number} as number_key
      from names n where n.part_number is not null and {number} <> ''
    """
