"""``handling-db reconcile``: all figures adjusted together, and which is likely wrong. It changes nothing."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from handling_db.cli.common import columns, print_json
from handling_db.cli.options import loaded, source_options, state_option, unit_option

if TYPE_CHECKING:
    from handling_db.evidence.answer import ReconcileAnswer


@click.command()
@click.argument("component", required=False)
@state_option("dry")
@click.option(
    "--significance",
    type=float,
    default=0.05,
    show_default=True,
    help="Share of collections without any error in which a figure is still named.",
)
@unit_option
@source_options
def command(
    component: str | None,
    state: Any,
    significance: float,
    unit: str | None,
    folders: tuple[Path, ...],
    database: Path | None,
    *,
    as_json: bool,
) -> None:
    """Adjust all figures around COMPONENT (or all there are) so that every sum holds, and test them.

    For people who keep the data: it names what is likely wrong and proposes. Nothing is changed, and no lift
    is planned with adjusted figures.

    \b
    Example:
      handling-db reconcile ferry-pinion-group
      handling-db reconcile --state drained --significance 0.01
    """
    from handling_db.balance.answer import reconcile_answer

    found = loaded(folders, database, component, reach="around")
    collection = found.records
    code = found.code
    first = found.first_unit
    answer = reconcile_answer(collection, code, state=state, significance=significance)
    if as_json:
        from handling_db.lookup.number_json import number_json

        print_json(number_json(answer))
        return
    click.echo(reconcile_text(answer, unit or first))


def reconcile_text(answer: ReconcileAnswer, first: str) -> str:
    """The reconciliation as lines of text."""
    from handling_db.lookup import words as wording
    from handling_db.quantities.display import counted, pair

    what = f"Around {answer.name} ({answer.about})" if answer.about else "All components"
    checks = counted(answer.freedom, "independent check")
    lines = [f"{what}, {answer.state}: {counted(len(answer.figures), 'figure')}, {checks}"]
    if answer.best is not None and answer.u is not None:
        lines.append(
            f"  adjusted: {pair(answer.best, answer.u, first=first)}, standard uncertainty {answer.u:.2g} kg"
        )
    elif answer.about:
        lines.append("  adjusted: the figures do not determine it")
    if not answer.freedom:
        lines.append("  Nothing checks anything: no figure used here can be worked out from the others.")
    else:
        verdict = "beyond what chance allows" if answer.beyond else "within what chance allows"
        lines.append(
            f"  all together: {answer.statistic:.2f}, limit {answer.limit:.2f} at a significance of "
            f"{answer.significance:g}: {verdict}"
        )
        if answer.suspects:
            together = "" if len(answer.suspects) == 1 else ", which cannot be told apart"
            lines.append(f"  most likely wrong: {', '.join(answer.suspects)}{together}")
        else:
            lines.append("  no single figure stands out; that does not prove any of them")
        rows = [["figure", "the others say", "gap over its uncertainty", "who says it"]]
        for one in answer.figures:
            if one.normalised is None or one.others is None or one.others_u is None:
                continue
            mark = ", beyond the limit" if one.beyond else ""
            rows.append(
                [
                    f"{one.name}: {pair(one.read, abs(one.read) / 1000, first=first)}",
                    pair(one.others, max(one.others_u, 0.001), first=first),
                    f"{one.normalised:+.2f} (limit {answer.each_limit:.2f}){mark}",
                    f"{one.says} [{one.id}]",
                ]
            )
        lines += ["", columns(rows)]
    alone = sum(one.normalised is None for one in answer.figures)
    lines.append(f"  checked by nothing: {counted(alone, 'figure')}; take no part: {len(answer.unused)}")
    return "\n".join([*lines, "", wording.FIGURES_NOT_PERMISSION])
