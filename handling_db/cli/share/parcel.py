"""``handling-db parcel``: what one shop sends another, and what the other makes of it."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from handling_db.cli.common import FILE, FOLDER, json_option, own_database, print_found, tell
from handling_db.errors import HandlingError
from handling_db.loading import day

if TYPE_CHECKING:
    from handling_db.interface.answer_forms import LookJson
    from handling_db.records.collection import Collection
    from handling_db.records.versions import OpenVersion
    from handling_db.sharing.parcel import Parcel
    from handling_db.sharing.same_as import Beside
    from handling_db.sharing.take_in import Look

BY = "Role of the person, such as foreman; no names."

# What may be asked in place of reading all records of the folder.
built_option = click.option(
    "--db",
    "database",
    type=FILE,
    help="Database built from FOLDER: as long as no record changed since, only what is needed is read. "
    "Otherwise your own, where it was.",
)


@click.group()
def command() -> None:
    """Send records to another shop, and look at, take in and review what another shop sent.

    A parcel is one zip file. Nothing that is taken in is believed before a person here has reviewed it,
    and nothing that is here is ever overwritten.

    \b
    Example:
      handling-db parcel make my-records -o out.zip --component gear-section --shop quay --by foreman
      handling-db parcel look my-records in.zip
    """


@command.command()
@click.argument("folder", type=FOLDER)
@click.option("-o", "--out", required=True, type=FILE, help="File to write; it must not be there yet.")
@click.option("--component", metavar="ID", help="This component with everything a receiver needs.")
@click.option("--since", metavar="DATE", help="The news since a day.")
@click.option("--since-parcel", type=FILE, help="What has changed since an earlier parcel.")
@click.option("--all", "everything", is_flag=True, help="Every record.")
@click.option("--shop", required=True, help="Id of the sending shop.")
@click.option("--by", required=True, help=BY)
@click.option("--on", metavar="DATE", help="Day to write into it (default: today).")
@click.option("--pictures", is_flag=True, help="With the photographs and pages that the records name.")
@built_option
@click.option(
    "--key", type=FILE, help="Sign with this key; without one the parcel says that it is not signed."
)
def make(
    folder: Path,
    out: Path,
    component: str | None,
    since: str | None,
    since_parcel: Path | None,
    shop: str,
    by: str,
    on: str | None,
    key: Path | None,
    database: Path | None,
    *,
    everything: bool,
    pictures: bool,
) -> None:
    """Make a parcel from the records in FOLDER.

    \b
    Example:
      handling-db parcel make my-records -o out.zip --since 2026-11-01 --shop quay-shed-nine --by foreman
    """
    from handling_db.files.atomic import write_file
    from handling_db.sharing.make import chosen_keys, make_parcel, pictures_of
    from handling_db.sharing.take_in import own_collection

    given = [component, since, since_parcel, everything or None]
    if sum(one is not None for one in given) != 1:
        raise click.UsageError("say what to send: one of --component, --since, --since-parcel, --all")
    if component is not None:
        from handling_db.database.parcels.own_records import own_to_send

        own, why = own_to_send(folder, component, _built(database))
        _tell_all_read(database, why)
    else:
        own = own_collection(folder, reference=False)
    known = None
    if since_parcel is not None:
        from handling_db.records.versions import versions

        known = versions(_opened(since_parcel, folder).collection)
    since_day = day(since, "--since") if since else None
    keys, about = chosen_keys(own, component=component, day=since_day, known=known)
    found, said = pictures_of(own, keys, folder) if pictures else ({}, [])
    for sentence in said:
        click.echo(sentence, err=True)
    signer = None
    if key is not None:
        from handling_db.sharing.sign import read_key

        signer = read_key(key)
    made = make_parcel(
        own, keys, about=about, sender=shop, by=by, on=day(on, "--on"), pictures=found, sign=signer
    )
    write_file(out, made)
    signed = "signed" if signer else "not signed"
    click.echo(f"{out}: {about}, {len(keys)} records, {len(made):,} bytes, {signed}")


@command.command()
@click.argument("folder", type=FOLDER)
@click.argument("parcel", type=FILE)
@built_option
@json_option
def look(folder: Path, parcel: Path, database: Path | None, *, as_json: bool) -> None:
    """What is in PARCEL, beside what is in FOLDER: new, same, different, contradictory? Changes nothing.

    Exit status: 2 the parcel cannot be read; 1 something in it contradicts what is here, or it may not be
    from whom it says; else 0.

    \b
    Example:
      handling-db parcel look my-records in.zip
    """
    from handling_db.database.parcels.own_records import own_to_hold_against
    from handling_db.sharing.compare import VersionStanding
    from handling_db.sharing.take_in import look_at

    opened = _opened(parcel, folder)
    held, why = own_to_hold_against(folder, opened, _built(database))
    _tell_all_read(database, why)
    found = look_at(held.own, opened, folder, beside=held.beside)
    tell(as_json, lambda: _look_json(opened, found), lambda: [look_text(opened, found)])
    raise SystemExit(1 if found.sender.doubt or found.count(VersionStanding.CONTRADICTORY) else 0)


@command.command()
@click.argument("folder", type=FOLDER)
@click.argument("parcel", type=FILE)
@click.option("--on", metavar="DATE", help="Day to write down (default: today).")
@built_option
def take(folder: Path, parcel: Path, on: str | None, database: Path | None) -> None:
    """Take PARCEL into FOLDER, everything marked as not yet reviewed; nothing there is written over.

    \b
    Example:
      handling-db parcel take my-records in.zip
    """
    from handling_db.database.parcels.own_records import own_to_hold_against
    from handling_db.sharing.take_in import take as take_in

    opened = _opened(parcel, folder)

    def here() -> tuple[Collection, Beside | None]:
        held, why = own_to_hold_against(folder, opened, _built(database))
        _tell_all_read(database, why)
        return held.own, held.beside

    found = take_in(folder, opened, day(on, "--on"), here)
    click.echo(look_text(opened, found))
    if not found.taken:
        click.echo(f"taken; nothing of it is reviewed yet: handling-db parcel review {folder}")


@command.command()
@click.argument("folder", type=FOLDER)
@click.option("--by", help=BY)
@click.option("--on", metavar="DATE", help="Day to write down (default: today).")
@click.option("--decisions", type=FILE, help="Decisions from a file, asking nothing.")
@click.option("--list", "only_list", is_flag=True, help="List what is open, asking nothing.")
@json_option
def review(
    folder: Path, by: str | None, on: str | None, decisions: Path | None, *, only_list: bool, as_json: bool
) -> None:
    """Decide about what other shops sent: one record at a time, asking; or from a file.

    What waits for review comes first, then other versions of records that are here, then the rest. Each
    answer is written down at once with role, day and reason, so stopping loses nothing.

    \b
    Example:
      handling-db parcel review my-records --by "data keeper"
      handling-db parcel review my-records --decisions decisions.yml
    """
    from handling_db.sharing.review import open_questions

    if decisions is not None:
        _from_file(folder, decisions, day(on, "--on"))
        return
    waiting = open_questions(folder)
    if as_json:
        print_found({"questions": waiting})
        return
    if only_list or not waiting:
        for question in waiting:
            click.echo(question_line(question))
        click.echo(f"open: {len(waiting)}", err=True)
        return
    if by is None:
        raise click.UsageError("say in whose role you review: --by ROLE")
    _ask(folder, waiting, by, day(on, "--on"))


@command.command()
@click.argument("folder", type=FOLDER)
@click.argument("keep")
@click.argument("same")
@click.option("--by", required=True, help=BY)
@click.option("--reason", required=True, help="How you know that they are one thing.")
@click.option("--on", metavar="DATE", help="Day to write down (default: today).")
def join(folder: Path, keep: str, same: str, by: str, reason: str, on: str | None) -> None:
    """Say that the components KEEP and SAME in FOLDER are one thing under two ids.

    What was said about either is then said about KEEP. Deleting the file that this writes undoes it. Refused,
    with nothing written, where the records would have a fault with one id for both, such as the two sides of
    one joint, a piece and what is in it, or a SAME with parts where KEEP lists none.

    \b
    Example:
      handling-db parcel join my-records gear-section front-half --by foreman --reason "Same casting number."
    """
    from handling_db.files.new_id import new_id
    from handling_db.sharing.pairing import pair
    from handling_db.sharing.review import Grounds

    target = pair(folder, keep, same, Grounds(by, reason, day(on, "--on")), new_id)
    click.echo(f"{target}: {same} is {keep}")


@command.command()
@click.argument("file", type=FILE)
def key(file: Path) -> None:
    """Write a new signing key to FILE, and its public half beside it, to be handed over by hand.

    \b
    Example:
      handling-db parcel key quay-shed-nine.key
    """
    from handling_db.sharing.sign import new_key

    fingerprint = new_key(file)
    click.echo(f"{file}: keep it to yourself. {file.with_suffix('.public')}: for the other shop")
    click.echo(f"to compare by telephone: {fingerprint}")


def _built(database: Path | None) -> Path | None:
    """The database that may be asked: the one that was named, or a person's own where there is one."""
    if database is not None:
        if not database.is_file():
            raise HandlingError(f"{database}: there is no such database; build it with 'handling-db build'")
        return database
    return own_database() if own_database().is_file() else None


def _tell_all_read(database: Path | None, why: str) -> None:
    """Say why a database that was named did not spare reading all records."""
    if database is not None and why:
        click.echo(f"({database}: {why}; all records were read)", err=True)


def _opened(path: Path, folder: Path) -> Parcel:
    """A parcel, or the end of the run with everything that is wrong with it."""
    from handling_db.sharing.read import open_parcel
    from handling_db.sharing.sign import known_keys

    reading = open_parcel(path, known_keys(folder))
    if reading.parcel is None:
        for finding in reading.findings:
            click.echo(str(finding))
        click.echo(f"{path}: refused; nothing was changed", err=True)
        raise SystemExit(2)
    return reading.parcel


def look_text(parcel: Parcel, look: Look) -> str:
    """What a parcel holds beside what is here, as lines of text."""
    from handling_db.sharing.compare import VersionStanding

    manifest = parcel.manifest
    made = f"from {manifest.sender}, made by {manifest.by} on {manifest.on.isoformat()}"
    # What is proved of the sender stands before anything that he says himself.
    lines = [f"! Ask the sender before you believe it: {look.sender.doubt}"] if look.sender.doubt else []
    lines.append(f"{look.sender.signed}: {parcel.file}: {manifest.about}, {made}")
    if look.taken:
        lines.append("  it was taken already; nothing in it is new")
        return "\n".join(lines)
    counts = ", ".join(f"{look.count(standing)} {standing}" for standing in VersionStanding)
    lines.append(f"  {counts}")
    if look.waiting:
        lines.append(f"  {look.waiting} would wait, not in force, until somebody here decides")
    for standing in (VersionStanding.CONTRADICTORY, VersionStanding.DIFFERENT):
        beside = [one for one in look.incoming if one.standing is standing]
        lines += [f"  {standing}: {one.kind} {one.id}: {one.why}" for one in beside]
    for one in look.incoming:
        if one.standing is VersionStanding.NEW:
            name = getattr(one.record, "name", None) or getattr(one.record, "text", "")
            words = f": {' '.join(str(name).split())[:70]}" if name else ""
            waits = f" It waits. {one.why}" if one.waits else ""
            lines.append(f"  new: {one.kind} {one.id}{words}{waits}")
    lines += [
        f"  perhaps one thing: {like.own} here, {like.other} there: {'; '.join(like.reasons)}"
        for like in look.likenesses
    ]
    if look.more_alike:
        code, count = max(look.more_alike.items(), key=lambda one: one[1])
        others = f", and so for {len(look.more_alike) - 1} more" if look.more_alike.keys() - {code} else ""
        lines.append(f"  {count} more here go by a name like that of {code}, not held against it{others}")
    lines += [f"  named in it, and neither in it nor here: {one.kind} {one.id}" for one in look.missing]
    return "\n".join(lines)


def _look_json(parcel: Parcel, look: Look) -> LookJson:
    manifest = parcel.manifest
    return {
        "parcel": manifest.id,
        "sender": manifest.sender,
        "on": manifest.on.isoformat(),
        "about": manifest.about,
        "signed": look.sender.signed,
        "doubt": look.sender.doubt,
        "taken_already": look.taken,
        "records": list(look.incoming),
        "perhaps_one_thing": list(look.likenesses),
        "more_alike": [{"there": code, "count": count} for code, count in look.more_alike.items()],
        "missing": [{"kind": m.kind, "id": m.id} for m in look.missing],
    }


def question_line(question: OpenVersion) -> str:
    """One open version in one line."""
    shop = question.shop or "this shop"
    return f"{question.wait}: {question.kind} {question.id}, from {shop} [{question.version[:8]}]"


def _from_file(folder: Path, file: Path, today: datetime.date) -> None:
    from handling_db.files.new_id import new_id
    from handling_db.sharing.review import apply_decisions, read_decisions, record
    from handling_db.sharing.take_in import own_collection

    try:
        text = file.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise HandlingError(f"{file}: cannot be read ({error})") from None
    decisions, findings = read_decisions(text, str(file))
    if findings:
        for finding in findings:
            click.echo(str(finding))
        click.echo("nothing was recorded", err=True)
        raise SystemExit(2)
    made, said = apply_decisions(own_collection(folder), decisions, today=today, new_id=new_id)
    record(folder, made)
    for one in made:
        click.echo(f"decided: {question_line(one.question)}")
    for sentence in said:
        click.echo(sentence, err=True)
    raise SystemExit(1 if said else 0)


def _ask(folder: Path, waiting: tuple[OpenVersion, ...], by: str, on: datetime.date) -> None:
    """Ask about one version after the other; every answer is on disk before the next question."""
    from handling_db.files.new_id import new_id
    from handling_db.files.yaml_text import dump_text
    from handling_db.records.versions import Wait, questions
    from handling_db.records.written import written
    from handling_db.sharing.review import Grounds, decide, record
    from handling_db.sharing.take_in import own_collection

    for place, question in enumerate(waiting, 1):
        own = own_collection(folder)
        if question.version not in {q.version for q in questions(own)}:
            continue
        click.echo(f"\n({place} of {len(waiting)}) {question_line(question)}")
        click.echo(dump_text(written(question.kind, question.record)))
        choices = {"a": "accept", "r": "refuse", "l": "later", "q": "stop"}
        if question.wait is Wait.OTHER:
            mine = own.of_kind(question.kind)[question.id]
            click.echo("In force here:\n" + dump_text(written(question.kind, mine)))
            if question.kind == "component":
                choices["m"] = "add its masses"
        told = ", ".join(f"{letter} {word}" for letter, word in choices.items())
        letter = click.prompt(told, type=click.Choice(list(choices)), show_choices=False)
        if letter == "q":
            return
        if letter == "l":
            continue
        reason = click.prompt("reason, in a sentence")
        decision: Any = choices[letter]
        made = decide(own, question, decision, Grounds(by, reason, on), new_id)
        (target,) = record(folder, [made])
        click.echo(f"written: {target}")
