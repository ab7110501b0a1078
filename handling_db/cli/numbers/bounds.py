"""``handling-db bounds``: what all figures together allow."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from handling_db.cli.common import columns, print_json
from handling_db.cli.options import loaded, source_options, state_option, unit_option
from handling_db.errors import HandlingError

if TYPE_CHECKING:
    from handling_db.evidence.answer import BoundsAnswer


@click.command()
@click.argument("component", required=False)
@state_option("dry")
@click.option("--exact", is_flag=True, help="The narrowest bounds of COMPONENT, by a solver (needs scipy).")
@unit_option
@source_options
def command(
    component: str | None,
    state: Any,
    unit: str | None,
    folders: tuple[Path, ...],
    database: Path | None,
    *,
    exact: bool,
    as_json: bool,
) -> None:
    """What all figures together allow COMPONENT and its parts to weigh, from above and from below.

    Without COMPONENT: everything that is inferred only, or where figures contradict one another. An inferred
    range is shown and never used to check what it came from; bounds never lower a figure to plan with.

    \b
    Example:
      handling-db bounds gear-section --state drained
      handling-db bounds
    """
    from handling_db.balance.answer import bounds_answer

    if exact and component is None:
        raise HandlingError("--exact is worked out for one component; name it")
    found = loaded(folders, database, component, reach="around")
    collection = found.records
    code = found.code
    first = found.first_unit
    answer = bounds_answer(collection, code, state=state, by_solver=exact)
    if as_json:
        from handling_db.lookup.number_json import number_json

        print_json(number_json(answer))
        return
    click.echo(bounds_text(answer, unit or first))


def bounds_text(answer: BoundsAnswer, first: str) -> str:
    """The bounds as lines of text."""
    from handling_db.lookup import number_words
    from handling_db.lookup import words as wording
    from handling_db.quantities.display import counted

    how = "the narrowest possible" if answer.exact else "outer bounds: never too narrow, perhaps too wide"
    what = f"{answer.name} ({answer.about})" if answer.about else "All components"
    figures = counted(answer.figures, "figure")
    lines = [f"{what}, {answer.state}: {figures} put together over {counted(answer.nodes, 'mass', 'masses')}"]
    lines.append(f"  bounds are {how}" + ("; the first by the solver" if answer.by_solver else ""))
    rows = [
        [f"{one.name}{f' ({one.build})' if one.build else ''}", number_words.bound_words(one, first=first)]
        for one in answer.bounds
    ]
    if rows:
        lines += ["", columns(rows)]
    elif not answer.about:
        lines += ["", "Nothing is inferred from a whole, and no figures contradict one another."]
    for one in answer.bounds:
        lines += [f"  {one.name}: cannot all be true: {told}" for told in one.contradicts]
    if answer.inferred:
        lines += ["", "Inferred"]
        lines += [f"  {one.name}: {number_words.inferred_words(one, first=first)}" for one in answer.inferred]
    if answer.unused:
        lines += ["", "Figures that take no part"]
        lines += [f"  {because}: {', '.join(names)}" for because, names in _by_reason(answer).items()]
    return "\n".join([*lines, "", wording.FIGURES_NOT_PERMISSION])


def _by_reason(answer: BoundsAnswer) -> dict[str, list[str]]:
    """The figures that take no part, together where the reason is the same."""
    reasons: dict[str, list[str]] = {}
    for one in answer.unused:
        reasons.setdefault(one.because, []).append(f"{one.name} [{one.id}]")
    return reasons
