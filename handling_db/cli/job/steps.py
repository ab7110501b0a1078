"""``handling-db steps``: a planned job, step by step."""

from __future__ import annotations

from typing import Any

import click

from handling_db.cli.answers import Found, Told, answered
from handling_db.cli.options import as_of_option, assume_option, build_options
from handling_db.errors import HandlingError


def _found_against(figures: Any) -> bool:
    from handling_db.jobs.steps.beside import StepsBeside

    return bool((figures.asked if isinstance(figures, StepsBeside) else figures).findings)


@click.command()
@click.argument("name", metavar="PLAN")
@click.option("--shop", metavar="SHOP", help="What if another shop did it.")
@click.option("--without", multiple=True, metavar="STEP", help="What if a step is left out; repeat for more.")
@click.option(
    "--move",
    "moves",
    multiple=True,
    metavar="STEP=AFTER",
    help="What if a step comes after another; 0: first.",
)
@build_options
@assume_option
@as_of_option
@answered(("job plan",), against=_found_against)
def command(
    found: Found,
    moves: tuple[str, ...],
    settings: tuple[str, ...],
    build_name: str | None,
    assumed: tuple[str, ...],
    as_of: str | None,
    **what_if: Any,
) -> Told:
    """The job plan PLAN step by step: bodies, what carries them, kg, tip angles, hook readings, findings.

    With a what-if the plan and the change stand side by side. Ends with status 1 where something is found
    against the plan. Figures, not permission.

    \b
    Example:
      handling-db steps transfer-box-apart
      handling-db steps transfer-box-apart --without caliper-off
      handling-db steps transfer-box-apart --shop low-tarrowby --set discs=12
    """
    import handling_db as hd
    from handling_db.lifting.asked import assumed_ranges
    from handling_db.lifting.asked import settings as values
    from handling_db.loading import day

    return hd.steps(
        found.records,
        found.id,
        as_of=day(as_of),
        rules=hd.rules(),
        assume=assumed_ranges(assumed, "--assume "),
        set=values(settings, "--set "),
        build=build_name,
        moved=[_move(text) for text in moves],
        **what_if,
    )


def _move(text: str) -> tuple[str, str]:
    step, sign, after = text.partition("=")
    if not sign or not step.strip() or not after.strip():
        raise HandlingError(
            f"--move {text!r}: write STEP=AFTER, such as caliper=part, or caliper=0 for first"
        )
    return step.strip(), after.strip()
