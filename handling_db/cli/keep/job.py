"""``handling-db job``: one unit in hand, written into a record file as work goes on."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from handling_db.cli.common import json_option, print_json
from handling_db.cli.options import loaded, source_options
from handling_db.errors import HandlingError
from handling_db.quantities.display import without_count

if TYPE_CHECKING:
    from handling_db.interface.answer_forms import WeighedJson, WrittenJson
    from handling_db.records.kinds.job import Job, Signed
    from handling_db.records.kinds.note import Note
    from handling_db.records.proved import Records

Decorated = TypeVar("Decorated", bound=Callable[..., Any])


def _signed(command: Decorated) -> Decorated:
    """Add ``--in``, ``--by``, ``--on`` and ``--json``."""
    command = json_option(command)
    command = click.option("--on", "on", metavar="DATE", help="When (default: today).")(command)
    command = click.option("--by", "by", required=True, metavar="ROLE", help="Who, by role: fitter, rigger.")(
        command
    )
    return click.option(
        "--in",
        "folder",
        required=True,
        type=click.Path(path_type=Path),
        help="The collection's folder; the job's record is changed in it.",
    )(command)


@click.group()
def command() -> None:
    """Keep one unit's job: which ties are out, which temporary ones are in, what is off, what was read.

    Each step is written into the job's record at once, whole or not at all.

    \b
    Example:
      handling-db job open qsn-1188 transfer-box --serial 1188 --in my-records --by fitter
      handling-db job tie-out qsn-1188 section-joint joint-bolts --count 14 --in my-records --by fitter
    """


@command.command("open")
@click.argument("job_id")
@click.argument("unit")
@click.option("--serial", help="Serial number of the unit.")
@click.option("--shop", help="Id of the shop.")
@click.option("--set", "settings", multiple=True, metavar="PARAM=VALUE", help="Its build, as far as seen.")
@_signed
def open_(
    job_id: str,
    unit: str,
    serial: str | None,
    shop: str | None,
    settings: tuple[str, ...],
    folder: Path,
    by: str,
    on: str | None,
    *,
    as_json: bool,
) -> None:
    """Open JOB_ID for the component UNIT; its record is written to jobs/JOB_ID.yml in the folder.

    \b
    Example:
      handling-db job open qsn-1188 transfer-box --serial 1188 --in my-records --by fitter
    """
    from handling_db.families.named_builds import given_values
    from handling_db.files.jobs import open_job
    from handling_db.loading import read

    collection = read([folder])
    component = collection.components.get(unit)
    if component is None:
        raise HandlingError(f"there is no component {unit!r} in {folder}")
    build = dict(_pair(text) for text in settings)
    given_values(component, build)
    if shop is not None and shop not in collection.shops:
        raise HandlingError(f"there is no shop {shop!r} in {folder}")
    fields: dict[str, Any] = {"job": job_id, "unit": unit, "opened": _by(by, on)}
    fields |= {"serial": serial} if serial else {}
    fields |= {"shop": shop} if shop else {}
    fields |= {"build": build} if build else {}
    job = _made(fields)
    file = open_job(folder, job)
    _told(job, file, "opened", as_json=as_json)


@command.command("tie-out")
@click.argument("job_id")
@click.argument("joint")
@click.argument("tie")
@click.option("--count", help="How many came out; all of them where left out.")
@_signed
def tie_out(
    job_id: str,
    joint: str,
    tie: str,
    count: str | None,
    folder: Path,
    by: str,
    on: str | None,
    *,
    as_json: bool,
) -> None:
    """A TIE of JOINT is out; a temporary one too.

    \b
    Example:
      handling-db job tie-out qsn-1187 section-joint joint-bolts --count 14 --in my-records --by fitter
    """
    from handling_db.loading import read
    from handling_db.records.kinds.joint import Joint

    record: Joint | None = read([folder]).joints.get(joint)

    def change(job: Job) -> Job:
        fields = _fields(job)
        for own in fields.get("temporary ties", []):
            if (own["joint"], own["id"]) == (joint, tie) and "out" not in own:
                if count is not None and count != own["count"]:
                    raise HandlingError(
                        f"{own['count']} of {tie!r} were put in and {count} came out; "
                        "it stays open until all are out"
                    )
                own["out"] = _by(by, on)
                return _made(fields)
        known = [t.key(joint) for t in record.tie_list] if record else []
        if tie not in known:
            named = ", ".join(known) or "none"
            raise HandlingError(f"joint {joint!r} has no tie {tie!r}; it has: {named}")
        entry = {"joint": joint, "tie": tie, **_by(by, on), **({"count": count} if count else {})}
        fields["ties out"] = [*fields.get("ties out", []), entry]
        return _made(fields)

    _changed(folder, job_id, change, f"{tie} out", as_json=as_json)


@command.command("tie-in")
@click.argument("job_id")
@click.argument("joint")
@click.argument("tie")
@click.option("--what", required=True, help="What was put in, such as 'through-bolts M10, red heads'.")
@click.option("--count", required=True, help="How many.")
@click.option("--out-by", required=True, metavar="WHEN", help="By when they must be out again.")
@click.option("--grade", help="Grade, as marked.")
@click.option("--hole", help="Which holes.")
@_signed
def tie_in(
    job_id: str,
    joint: str,
    tie: str,
    what: str,
    count: str,
    out_by: str,
    grade: str | None,
    hole: str | None,
    folder: Path,
    by: str,
    on: str | None,
    *,
    as_json: bool,
) -> None:
    """A temporary TIE was put into JOINT; it stays on every sheet until it is out.

    \b
    Example:
      handling-db job tie-in qsn-1187 section-joint red-m12 --what "M12, red heads" --count 4 \\
        --out-by "before the hook takes the upper half" --in my-records --by fitter
    """
    from handling_db.loading import read

    if joint not in read([folder]).joints:
        raise HandlingError(f"there is no joint {joint!r} in {folder}")

    def change(job: Job) -> Job:
        fields = _fields(job)
        entry = {"id": tie, "joint": joint, "what": what, "count": count, "out by": out_by, **_by(by, on)}
        entry |= {key: value for key, value in (("grade", grade), ("hole", hole)) if value}
        fields["temporary ties"] = [*fields.get("temporary ties", []), entry]
        return _made(fields)

    _changed(folder, job_id, change, f"{tie} in", as_json=as_json)


@command.command("off")
@click.argument("job_id")
@click.argument("way", nargs=-1, required=True)
@click.option("--quantity", type=click.IntRange(1), metavar="N", help="So many of several alike; else all.")
@_signed
def off(
    job_id: str,
    way: tuple[str, ...],
    quantity: int | None,
    folder: Path,
    by: str,
    on: str | None,
    *,
    as_json: bool,
) -> None:
    """A piece is off: its WAY from the unit, one id after the other.

    \b
    Example:
      handling-db job off qsn-1187 differential-section parking-brake --in my-records --by fitter
    """
    from handling_db.lifting.load.unit import way_in
    from handling_db.loading import read

    collection = read([folder])

    def change(job: Job) -> Job:
        way_in(collection, job, way)
        fields = _fields(job)
        some = {} if quantity is None else {"quantity": str(quantity)}
        fields["off"] = [*fields.get("off", []), {"of": [*way], **some, **_by(by, on)}]
        return _made(fields)

    many = "" if quantity is None else f"{quantity} of "
    _changed(folder, job_id, change, f"{many}{' > '.join(way)} off", as_json=as_json)


@command.command("reading")
@click.argument("job_id")
@click.argument("lift_group")
@click.argument("seen")
@click.option("--changed", help="What was changed because of it.")
@click.option(
    "--free",
    "cell",
    metavar="SOURCE",
    help="It hung still and free: keep it as a weighing too, read on this cell; it waits to be confirmed.",
)
@_signed
def reading(
    job_id: str,
    lift_group: str,
    seen: str,
    changed: str | None,
    cell: str | None,
    folder: Path,
    by: str,
    on: str | None,
    *,
    as_json: bool,
) -> None:
    """The hook showed SEEN while it held LIFT_GROUP.

    With --free it is a weighing of what hung, gear and fluid taken off. Until somebody confirms it (`job
    confirm`) it may only raise the plan of that piece and of what holds it.

    \b
    Example:
      handling-db job reading qsn-1187 upper-half-lift "386 kg" --in my-records --by rigger
      handling-db job reading qsn-1187 upper-half-lift "386 kg" --free quay-hoist-cell \\
        --in my-records --by rigger
    """
    from handling_db.files.jobs import jobs_in
    from handling_db.jobs.hung import hung_fields
    from handling_db.loading import read
    from handling_db.quantities.quantity import parse_mass

    collection = read([folder])
    if lift_group not in collection.lift_groups:
        raise HandlingError(f"there is no lift group {lift_group!r} in {folder}")
    fields: dict[str, Any] = {}
    if cell is not None:
        known, _ = _job_of(jobs_in(folder), job_id, folder)
        source = collection.sources.get(cell)
        if source is None:
            raise HandlingError(f"there is no source {cell!r} in {folder}; write one for the cell")
        fields = hung_fields(collection, known, lift_group, parse_mass(seen), source)

    def change(job: Job) -> Job:
        own = _fields(job)
        entry = {"lift group": lift_group, "reading": seen, **_by(by, on)}
        entry |= {"changed": changed} if changed else {}
        own["readings"] = [*own.get("readings", []), entry]
        return _made(own)

    if cell is None:
        _changed(folder, job_id, change, f"reading {seen}", as_json=as_json)
        return
    from handling_db.files.jobs import change_job

    job, file = change_job(folder, job_id, change)
    weighed = _weighed(folder, fields | {"source": cell, "checked by": by, **_by(by, on)})
    _told(job, file, f"reading {seen}", weighed, as_json=as_json)
    if not as_json:
        _tell_weighed(folder, weighed)


@command.command("weighed")
@click.argument("job_id")
@click.argument("way", nargs=-1, required=True)
@click.option("--gross", help="What the scale or the truck showed, with unit.")
@click.option("--tare", help="What on it is not the piece, with unit; or none.")
@click.option(
    "--supports",
    nargs=5,
    metavar="R1 R2 APART AXIS AT",
    help="One end at a time: both readings, how far apart, along x, y or z, and where the first is on it.",
)
@click.option("--plus-or-minus", help="Half-width of its doubt, with unit.")
@click.option("--state", type=click.Choice(["dry", "drained", "filled"]), help="What fluid is in it.")
@click.option("--source", required=True, help="Id of the scale's, or the truck's, source record.")
@_signed
def weighed(
    job_id: str,
    way: tuple[str, ...],
    gross: str | None,
    tare: str | None,
    supports: tuple[str, str, str, str, str] | None,
    plus_or_minus: str | None,
    state: str | None,
    source: str,
    folder: Path,
    by: str,
    on: str | None,
    *,
    as_json: bool,
) -> None:
    """A piece of the job's unit was weighed: a closing weight, on forks, on two supports.

    WAY leads to it from the unit, one id after the other.
    What the job says is off by now is not counted. It waits until somebody confirms it (`job confirm`); until
    then it may only raise the plan of that piece and of what holds it.

    \b
    Example:
      handling-db job weighed qsn-1187 differential-section --gross "452 kg" --tare "12 kg" \\
        --state drained --source quay-floor-scale --in my-records --by fitter
    """
    from handling_db.files.jobs import jobs_in
    from handling_db.jobs.hung import weighed_fields
    from handling_db.loading import read

    collection = read([folder])
    known, _ = _job_of(jobs_in(folder), job_id, folder)
    fields = weighed_fields(collection, known, way)
    fields |= {key: value for key, value in (("gross", gross), ("tare", tare), ("state", state)) if value}
    fields |= {"plus or minus": plus_or_minus} if plus_or_minus else {}
    if supports is not None:
        names = ("first", "second", "apart", "along", "first at")
        fields["two supports"] = dict(zip(names, supports, strict=True))
    _weighing(
        folder, fields | {"source": source, "checked by": by, "packed": "no", **_by(by, on)}, as_json=as_json
    )


@command.command("confirm")
@click.argument("weighing_id", metavar="WEIGHING")
@_signed
def confirm(weighing_id: str, folder: Path, by: str, on: str | None, *, as_json: bool) -> None:
    """Confirm a WEIGHING that was read in the course of work: from now on it counts like any other.

    It is written anew, with your role and the day, and takes the place of the one that waited.

    \b
    Example:
      handling-db job confirm 01J9ZW3V6K --in my-records --by foreman
    """
    from handling_db.files.folders import record_text
    from handling_db.files.yaml_text import load_text
    from handling_db.loading import read
    from handling_db.weights.witness import witnesses

    collection = read([folder])
    record = collection.weighings.get(weighing_id)
    if record is None or record.of not in collection.components:
        waiting = [w.id for c in collection.components.values() for w in witnesses(collection, c) if w.waits]
        raise HandlingError(
            f"there is no weighing {weighing_id!r} in {folder}; waiting to be confirmed: "
            f"{', '.join(sorted(waiting)) or 'none'}"
        )
    found = witnesses(collection, collection.components[record.of])
    one = next((w for w in found if w.id == weighing_id), None)
    if one is None or not one.waits:
        why = "was replaced by another" if one is None else "does not wait to be confirmed"
        raise HandlingError(f"weighing {weighing_id!r} {why}")
    fields: dict[str, Any] = load_text(record_text(record), weighing_id).value
    fields.pop("weighing")
    _weighing(folder, fields | {"replaces": weighing_id, "confirmed": _by(by, on)}, as_json=as_json)


def _weighing(folder: Path, fields: dict[str, Any], *, as_json: bool) -> None:
    """Write a weighing of a job and say where it stands and what it does."""
    weighed = _weighed(folder, fields)
    if as_json:
        print_json(weighed)
    else:
        _tell_weighed(folder, weighed)


def _weighed(folder: Path, fields: dict[str, Any]) -> WeighedJson:
    from handling_db.files.new_id import new_id
    from handling_db.files.observing import add_record
    from handling_db.sharing.take_in import own_collection

    code = new_id()
    file = add_record(folder, own_collection(folder), "weighing", code, fields)
    return {"weighing": code, "of": fields["of"], "file": str(file), "confirmed": "confirmed" in fields}


def _tell_weighed(folder: Path, weighed: WeighedJson) -> None:
    code = weighed["weighing"]
    told = (
        "confirmed: it counts from now on"
        if weighed["confirmed"]
        else "it waits, and may only raise a plan; once it is known what hung or stood there, confirm it: "
        f"handling-db job confirm {code} --in {folder} --by ROLE"
    )
    click.echo(f"weighing {code} of {weighed['of']}, written to {weighed['file']}; {told}")


def _job_of(found: dict[str, tuple[Job, Path]], job_id: str, folder: Path) -> tuple[Job, Path]:
    if job_id not in found:
        known = ", ".join(sorted(found)) or "none"
        raise HandlingError(f"there is no job {job_id!r} in {folder}; there are: {known}")
    return found[job_id]


@command.command("follow")
@click.argument("job_id")
@click.argument("plan")
@_signed
def follow(job_id: str, plan: str, folder: Path, by: str, on: str | None, *, as_json: bool) -> None:
    """JOB_ID follows the job plan PLAN from here on.

    \b
    Example:
      handling-db job follow qsn-1188 transfer-box-apart --in my-records --by foreman
    """
    from handling_db.loading import read
    from handling_db.records.in_hand import not_followed

    _by(by, on)
    records = read([folder])

    def change(job: Job) -> Job:
        not_followed(records, job, plan)
        return _made({**_fields(job), "follows": plan})

    _changed(folder, job_id, change, f"follows {plan}", as_json=as_json)


@command.command("done")
@click.argument("job_id")
@click.argument("step")
@click.option("--differs", help="What was found other than planned; a draft note keeps it for the next one.")
@_signed
def done(
    job_id: str, step: str, differs: str | None, folder: Path, by: str, on: str | None, *, as_json: bool
) -> None:
    """A STEP of the plan of JOB_ID is done: what it takes out, puts in or takes off is written down.

    \b
    Example:
      handling-db job done qsn-1188 caliper-off --in my-records --by fitter
    """
    from handling_db.jobs.progress import with_step_done
    from handling_db.loading import read
    from handling_db.records.kinds.job import Signed

    signed = Signed.model_validate(_by(by, on))
    records = read([folder])

    def change(job: Job) -> Job:
        _fields(job)  # a closed job is refused
        return with_step_done(records, job, step, signed, differs)

    # The note is looked at before anything is written: a text that no note may have leaves the job as it is.
    note = _note(records, job_id, step, differs, signed) if differs else None
    _changed(folder, job_id, change, f"step {step} done", as_json=as_json)
    if note is not None:
        _noted(folder, note, job_id, as_json=as_json)


def _note(records: Records, job_id: str, step: str, differs: str, signed: Signed) -> Note | None:
    """What was found other than planned as a draft note; None where there is no such job, which is told."""
    from handling_db.files.new_id import new_id
    from handling_db.jobs.progress import difference_note
    from handling_db.records.kinds.note import Note

    job = records.jobs.get(job_id)
    if job is None:
        return None
    return Note.model_validate({"note": new_id(), **difference_note(records, job, step, differs, signed)})


def _noted(folder: Path, note: Note, job_id: str, *, as_json: bool) -> None:
    """Keep a draft note beside the job."""
    from handling_db.files.observing import add_record
    from handling_db.sharing.take_in import own_collection

    fields = {name: value for name, value in note.as_written().items() if name != "note"}
    add_record(folder, own_collection(folder), "note", note.note, fields)
    if not as_json:
        about = f"{note.about.kind} {note.about.id}"
        click.echo(f"{job_id}: kept as a draft note about {about}, for a foreman to check")


@command.command("where")
@click.argument("job_id")
@source_options
def where(job_id: str, folders: tuple[Path, ...], database: Path | None, *, as_json: bool) -> None:
    """Where JOB_ID is in the plan that it follows: steps done, what differs, what comes next.

    \b
    Example:
      handling-db job where qsn-1188 --from my-records
    """
    from handling_db.jobs.progress import progress_answer, progress_json, progress_lines

    found = loaded(folders, database, job_id, ("job",), "handled")
    answer = progress_answer(found.records, found.records.jobs[found.id])
    if as_json:
        print_json(progress_json(answer, found.first_unit))
        return
    click.echo("\n".join(progress_lines(answer, found.first_unit)))


@command.command("close")
@click.argument("job_id")
@_signed
def close(job_id: str, folder: Path, by: str, on: str | None, *, as_json: bool) -> None:
    """Close the job; refused while a temporary tie is in.

    \b
    Example:
      handling-db job close qsn-1187 --in my-records --by foreman
    """
    _changed(
        folder, job_id, lambda job: _made({**_fields(job), "closed": _by(by, on)}), "closed", as_json=as_json
    )


def _pair(text: str) -> tuple[str, str]:
    name, sign, value = text.partition("=")
    if not sign or not name.strip() or not value.strip():
        raise HandlingError(f"--set {text!r}: write PARAM=VALUE, such as discs=12")
    return name.strip(), value.strip()


def _by(by: str, on: str | None) -> dict[str, str]:
    from handling_db.loading import day

    return {"on": day(on).isoformat(), "by": by}


def _fields(job: Job) -> dict[str, Any]:
    """A job as plain values that may be changed; a closed one is refused."""
    from handling_db.files.folders import record_text
    from handling_db.files.yaml_text import load_text

    if job.closed is not None:
        raise HandlingError(f"job {job.id!r} was closed on {job.closed.on.isoformat()}; open a new one")
    fields: dict[str, Any] = load_text(record_text(job), job.id).value
    return fields


def _made(fields: dict[str, Any]) -> Job:
    """A job from plain values.

    Raises
    ------
    HandlingError
        The values make no job; every fault is said.
    """
    from pydantic import ValidationError

    from handling_db.records.kinds.job import Job

    try:
        return Job.model_validate(fields)
    except ValidationError as error:
        said = "; ".join(_fault_words(item) for item in error.errors())
        raise HandlingError(f"job {fields.get('job')!r} was not written: {said}") from None


def _fault_words(item: Any) -> str:
    where = ".".join(str(step) for step in item["loc"])
    told = str(item["msg"]).removeprefix("Value error, ")
    return f"{where}: {told}" if where else told


def _changed(folder: Path, job_id: str, change: Callable[[Job], Job], words: str, *, as_json: bool) -> None:
    from handling_db.files.jobs import change_job

    job, file = change_job(folder, job_id, change)
    _told(job, file, words, as_json=as_json)


def _told(job: Job, file: Path, words: str, weighed: WeighedJson | None = None, *, as_json: bool) -> None:
    """What was written, and which temporary ties are still in."""
    still = [
        f"{tie.count} x {without_count(str(tie.count), tie.what)} (out {tie.out_by})"
        for tie in job.open_temporary_ties
    ]
    if as_json:
        made: WrittenJson = {"job": job.id, "written": words, "file": str(file), "still_in": still}
        if weighed is not None:
            made["weighing"] = weighed
        print_json(made)
        return
    for text in still:
        click.echo(f"still in for the time being: {text}")
    click.echo(f"{job.id}: {words}; written to {file}")
