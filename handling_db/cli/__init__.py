"""The command line: parse, call one function, print. Commands are loaded only when they are asked for."""

from __future__ import annotations

import gc

from handling_db.cli.starting import Startup, first_collection_late

with Startup():
    import importlib
    from typing import Any

    import click

    from handling_db.cli.parameters import Helped

# name: (module, one line for the overview). The overview needs no command to be imported.
COMMANDS: dict[str, tuple[str, str]] = {
    "add-note": ("keep.add_note", "Write down what was learned."),
    "add-weighing": ("keep.add_weighing", "Write down what a scale showed."),
    "bounds": ("numbers.bounds", "What all figures together allow, and what is inferred."),
    "build": ("keep.build", "Build the database file from record folders and tables."),
    "check": ("keep.check", "Do the parts sum to the whole? Check every record."),
    "demo": ("demo", "Build the demo collection, look it up, check it and serve it."),
    "doubt": ("numbers.doubt", "Which records become doubtful if this source was off?"),
    "explain": ("numbers.explain", "What single thing would explain a disagreement?"),
    "export": ("keep.export", "Write a component, or everything, for other programs and for paper."),
    "find": ("look_up.find", "Find components and notes by name, alias, part number or word."),
    "fleet": ("share.fleet", "Many shops' collections together: totals, gaps, disagreements, use."),
    "fixtures": ("move.fixtures", "Which fixture is needed, who has one, what was used instead."),
    "gaps": ("numbers.gaps", "What to weigh, look at or review next."),
    "hands": ("move.hands", "Which pieces are above the hand limit, unknown ones included."),
    "history": ("share.history", "What changed between two folders or parcels."),
    "job": ("keep.job", "Keep one unit's job: ties out and in, what is off, readings seen."),
    "joint": ("lift.joint", "What still holds two pieces together?"),
    "legs": ("lift.legs", "What does each leg carry, and which go slack?"),
    "lift": ("lift.lift", "What comes up, what still holds it, what should the hook read?"),
    "lighten": ("lift.lighten", "It is too heavy: which pieces come off first?"),
    "move": ("move.move", "Where does it go: forks, floor, pallet, way and marks."),
    "new": ("keep.new", "Write a record to fill in."),
    "notes": ("look_up.notes", "Show handling notes, stored energy first."),
    "pallets": ("move.pallets", "Pallets recorded, and several pieces onto the fewest of them."),
    "parcel": ("share.parcel", "Send records to another shop; look at, take in and review what one sent."),
    "reading": ("lift.reading", "The hook shows something else than expected: what could that be?"),
    "reconcile": ("numbers.reconcile", "Adjust all figures together; name what is likely wrong."),
    "schema": ("keep.schema", "Print the JSON Schema of every kind of record."),
    "serve": ("serve", "Serve a database file as a read-only view."),
    "shop": ("move.shop", "What a shop has for one lift and move, and what it lacks."),
    "stand": ("move.stand", "How does it stand: distance to every edge, and the tilt that tips it."),
    "steps": ("job.steps", "A whole job in steps: what hangs, what stands, what holds after each."),
    "sweep": ("numbers.sweep", "Mass and centre over the values of one size."),
    "sheet": ("keep.sheet", "Read a shop's own spreadsheet and write records from it."),
    "template": ("keep.template", "Write a spreadsheet template to fill in."),
    "tidy": ("keep.tidy", "Put record files into one form, comments kept."),
    "level": ("lift.level", "Leg lengths that hang a load level, in whole links."),
    "tilt": ("lift.tilt", "It hung out of level: where is the centre, which leg to shorten?"),
    "turn": ("lift.turn", "Hook load over the angle of a turn, and where it goes over by itself."),
    "heavier": ("look_up.heavier", "Which of two pieces or lifts is heavier, or that nobody can tell."),
    "two-hooks": ("lift.two_hooks", "What two hooks carry while one raises the head of a load."),
    "weight": ("look_up.weight", "How heavy is it, who says so, and what is not known?"),
    "why": ("look_up.why", "Where each figure comes from, down to paper."),
}


# What is asked most, in the order of a job; then every room of commands under its heading.
FIRST = ("weight", "lift", "joint", "reading", "move")
HEADINGS = {
    "look_up": "Look up",
    "lift": "Lift",
    "move": "Move and set down",
    "job": "The whole job",
    "keep": "Keep records",
    "share": "Share with other shops",
    "numbers": "Numbers",
    "": "Show",
}


def contents() -> list[tuple[str, list[str]]]:
    """Headings with their commands, each command once."""
    rooms: dict[str, list[str]] = {room: [] for room in HEADINGS}
    for name, (module, _) in COMMANDS.items():
        if name not in FIRST:
            rooms[module.rpartition(".")[0]].append(name)
    return [("Asked most", list(FIRST)), *((HEADINGS[room], sorted(names)) for room, names in rooms.items())]


class _Lazy(Helped, click.Group):
    """Looks a command up in the table and imports its module only then."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return sorted(COMMANDS)

    def get_command(self, ctx: click.Context, name: str) -> click.Command | None:
        entry = COMMANDS.get(name)
        if entry is None:
            return None
        module = importlib.import_module(f"handling_db.cli.{entry[0]}")
        command: click.Command = module.command
        if ctx.resilient_parsing:  # the shell asks what may stand there
            from handling_db.cli.completion import complete_names

            for one in (command, *getattr(command, "commands", {}).values()):
                complete_names(one)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the overview as a table of contents: what is asked most, then a heading for each room."""
        width = max(len(name) for name in COMMANDS)
        for heading, names in contents():
            with formatter.section(heading):
                formatter.write_dl([(name.ljust(width), COMMANDS[name][1]) for name in names])

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        name = args[0] if args else ""
        if name and not name.startswith("-") and name not in COMMANDS:
            import difflib

            near = difflib.get_close_matches(name, COMMANDS, 1)
            hint = f" Did you mean {near[0]!r}?" if near else f" Commands: {', '.join(sorted(COMMANDS))}."
            raise click.UsageError(f"There is no command {name!r}.{hint}", ctx)
        return super().resolve_command(ctx, args)

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command; click would end a closed pipe with 1, which here says that something disagrees."""
        try:
            return super().invoke(ctx)
        except BrokenPipeError:
            from handling_db.cli.statuses import CLOSED
            from handling_db.errors import HandlingError

            raise HandlingError(CLOSED) from None

    def main(self, *args: Any, **kwargs: Any) -> Any:
        """Run; whatever fails becomes a sentence and a status, as `handling_db.cli.statuses` says."""
        from handling_db.cli.statuses import run

        alone = kwargs.pop("standalone_mode", True)
        inner: Any = super().main
        if not alone:
            return inner(*args, standalone_mode=False, **kwargs)
        own_process = not args and kwargs.get("args") is None  # what was typed is read from the process
        if own_process:
            first_collection_late()
        status = run(lambda: inner(*args, standalone_mode=False, **kwargs))
        if own_process:
            gc.freeze()  # the process ends and gives all back at once, without a last collection
        raise SystemExit(status)


def _version(ctx: click.Context, _param: click.Parameter, value: bool) -> None:
    if value and not ctx.resilient_parsing:
        from handling_db import __version__

        click.echo(f"handling-db {__version__}")
        ctx.exit()


@click.group(cls=_Lazy, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.option(
    "--version", is_flag=True, is_eager=True, expose_value=False, callback=_version, help="Print the version."
)
def main() -> None:
    """Weights, doubts and handling notes of heavy assemblies, for the people who take them apart.

    Figures, not permission: data plates, tags and local rules come first; a competent person plans the lift.

    \b
    Example:
      handling-db demo --no-serve
      handling-db weight "differential section"
    """
