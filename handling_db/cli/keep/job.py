"""``handling-db job``: one unit in hand, written into a record file as work goes on."""

from __future__ import annotations

import functools
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from handling_db.cli.common import PATH, json_option, print_json, tell, together
from handling_db.cli.options import loaded, source_options
from handling_db.errors import HandlingError, some_of
from handling_db.quantities.display import without_count

if TYPE_CHECKING:
    from handling_db.interface.answer_forms import WeighedJson, WrittenJson
    from handling_db.records.kinds.job import Job
    from handling_db.records.proved import Records

Kind = TypeVar("Kind")


@dataclass(frozen=True, slots=True)
class _Entry:
    """Who writes it down, into which folder, on what day, and how that is printed."""

    folder: Path
    by: str
    on: str | None
    as_json: bool

    @property
    def signed(self) -> dict[str, str]:
        """As it stands in a record.

        Raises
        ------
        HandlingError
            The day cannot be read.
        """
        from handling_db.loading import day

        return {"on": day(self.on).isoformat(), "by": self.by}

    @property
    def records(self) -> Records:
        """What stands in the folder."""
        from handling_db.loading import read

        return read([self.folder])

    def change(self, job_id: str, change: Callable[[Job], dict[str, Any] | Job], words: str) -> None:
        """Change a job where it stands, and say so."""
        from handling_db.files.jobs import change_job

        job, file = change_job(self.folder, job_id, lambda old: _made(change(old)))
        self.tell(job, file, words)

    def add(self, kind: str, code: str, fields: Mapping[str, Any]) -> Path:
        """Write another record beside the job."""
        from handling_db.files.observing import add_record
        from handling_db.sharing.take_in import own_collection

        return add_record(self.folder, own_collection(self.folder), kind, code, fields)

    def tell(self, job: Job, file: Path, words: str, weighed: WeighedJson | None = None) -> None:
        """What was written, and which temporary ties are still in."""
        still = [
            f"{tie.count} x {without_count(str(tie.count), tie.what)} (out {tie.out_by})"
            for tie in job.open_temporary_ties
        ]
        if self.as_json:
            made: WrittenJson = {"job": job.id, "written": words, "file": str(file), "still_in": still}
            if weighed is not None:
                made["weighing"] = weighed
            print_json(made)
            return
        for text in still:
            click.echo(f"still in for the time being: {text}")
        click.echo(f"{job.id}: {words}; written to {file}")


def _signed(write: Callable[..., None]) -> Callable[..., None]:
    """Add ``--in``, ``--by``, ``--on`` and ``--json``; what they say comes first, as one entry."""

    @functools.wraps(write)
    def signed(folder: Path, by: str, on: str | None, *, as_json: bool, **given: Any) -> None:
        write(_Entry(folder, by, on, as_json), **given)

    return together(
        click.option(
            "--in",
            "folder",
            required=True,
            type=PATH,
            help="The collection's folder; the job's record is changed in it.",
        ),
        click.option("--by", required=True, metavar="ROLE", help="Who, by role: fitter, rigger."),
        click.option("--on", metavar="DATE", help="When (default: today)."),
        json_option,
    )(signed)


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
    entry: _Entry,
    job_id: str,
    unit: str,
    serial: str | None,
    shop: str | None,
    settings: tuple[str, ...],
) -> None:
    """Open JOB_ID for the component UNIT; its record is written to jobs/JOB_ID.yml in the folder.

    \b
    Example:
      handling-db job open qsn-1188 transfer-box --serial 1188 --in my-records --by fitter
    """
    from handling_db.families.named_builds import given_values
    from handling_db.files.jobs import open_job
    from handling_db.lifting.asked import settings as pairs

    collection = entry.records
    component = _there(collection.components, "component", unit, entry)
    build = pairs(settings, "--set ")
    given_values(component, build)
    if shop is not None:
        _there(collection.shops, "shop", shop, entry)
    said = _said(serial=serial, shop=shop, build=build)
    job = _made({"job": job_id, "unit": unit, "opened": entry.signed, **said})
    entry.tell(job, open_job(entry.folder, job), "opened")


@command.command("tie-out")
@click.argument("job_id")
@click.argument("joint")
@click.argument("tie")
@click.option("--count", help="How many came out; all of them where left out.")
@_signed
def tie_out(entry: _Entry, job_id: str, joint: str, tie: str, count: str | None) -> None:
    """A TIE of JOINT is out; a temporary one too.

    \b
    Example:
      handling-db job tie-out qsn-1187 section-joint joint-bolts --count 14 --in my-records --by fitter
    """
    record = entry.records.joints.get(joint)

    def change(job: Job) -> dict[str, Any]:
        fields = _fields(job)
        for own in fields.get("temporary ties", []):
            if (own["joint"], own["id"]) == (joint, tie) and "out" not in own:
                if count is not None and count != own["count"]:
                    raise HandlingError(
                        f"{own['count']} of {tie!r} were put in and {count} came out; "
                        "it stays open until all are out"
                    )
                own["out"] = entry.signed
                return fields
        known = [t.key(joint) for t in record.tie_list] if record else []
        if tie not in known:
            named = ", ".join(known) or "none"
            raise HandlingError(f"joint {joint!r} has no tie {tie!r}; it has: {named}")
        return _with(fields, "ties out", {"joint": joint, "tie": tie, **entry.signed, **_said(count=count)})

    entry.change(job_id, change, f"{tie} out")


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
    entry: _Entry,
    job_id: str,
    joint: str,
    tie: str,
    what: str,
    count: str,
    out_by: str,
    grade: str | None,
    hole: str | None,
) -> None:
    """A temporary TIE was put into JOINT; it stays on every sheet until it is out.

    \b
    Example:
      handling-db job tie-in qsn-1187 section-joint red-m12 --what "M12, red heads" --count 4 \\
        --out-by "before the hook takes the upper half" --in my-records --by fitter
    """
    _there(entry.records.joints, "joint", joint, entry)
    put_in = {"id": tie, "joint": joint, "what": what, "count": count, "out by": out_by, **entry.signed}
    put_in |= _said(grade=grade, hole=hole)
    entry.change(job_id, lambda job: _with(_fields(job), "temporary ties", put_in), f"{tie} in")


@command.command("off")
@click.argument("job_id")
@click.argument("way", nargs=-1, required=True)
@click.option("--quantity", type=click.IntRange(1), metavar="N", help="So many of several alike; else all.")
@_signed
def off(entry: _Entry, job_id: str, way: tuple[str, ...], quantity: int | None) -> None:
    """A piece is off: its WAY from the unit, one id after the other.

    \b
    Example:
      handling-db job off qsn-1187 differential-section parking-brake --in my-records --by fitter
    """
    from handling_db.lifting.load.unit import way_in

    collection = entry.records

    def change(job: Job) -> dict[str, Any]:
        way_in(collection, job, way)
        some = _said(quantity=None if quantity is None else str(quantity))
        return _with(_fields(job), "off", {"of": [*way], **some, **entry.signed})

    many = "" if quantity is None else f"{quantity} of "
    entry.change(job_id, change, f"{many}{' > '.join(way)} off")


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
    entry: _Entry,
    job_id: str,
    lift_group: str,
    seen: str,
    changed: str | None,
    cell: str | None,
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
    from handling_db.files.jobs import change_job, job_in
    from handling_db.jobs.hung import hung_fields
    from handling_db.quantities.quantity import parse_mass

    collection = entry.records
    _there(collection.lift_groups, "lift group", lift_group, entry)
    fields: dict[str, Any] = {}
    if cell is not None:
        known, _ = job_in(entry.folder, job_id)
        source = _there(collection.sources, "source", cell, entry, "; write one for the cell")
        fields = hung_fields(collection, known, lift_group, parse_mass(seen), source)

    def change(job: Job) -> Job:
        read = {"lift group": lift_group, "reading": seen, **entry.signed, **_said(changed=changed)}
        return _made(_with(_fields(job), "readings", read))

    job, file = change_job(entry.folder, job_id, change)
    weighed = None
    if cell is not None:
        weighed = _weighed(entry, fields | {"source": cell, "checked by": entry.by, **entry.signed})
    entry.tell(job, file, f"reading {seen}", weighed)
    if weighed is not None and not entry.as_json:
        _tell_weighed(entry, weighed)


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
    entry: _Entry, job_id: str, way: tuple[str, ...], supports: tuple[str, ...] | None, **read: str | None
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
    from handling_db.files.jobs import job_in
    from handling_db.jobs.hung import weighed_fields

    collection = entry.records
    fields = weighed_fields(collection, job_in(entry.folder, job_id)[0], way)
    fields |= _said(**{name: read[name] for name in ("gross", "tare", "state", "plus_or_minus", "source")})
    if supports is not None:
        names = ("first", "second", "apart", "along", "first at")
        fields["two supports"] = dict(zip(names, supports, strict=True))
    _weighing(entry, fields | {"checked by": entry.by, "packed": "no", **entry.signed})


@command.command("confirm")
@click.argument("weighing_id", metavar="WEIGHING")
@_signed
def confirm(entry: _Entry, weighing_id: str) -> None:
    """Confirm a WEIGHING that was read in the course of work: from now on it counts like any other.

    It is written anew, with your role and the day, and takes the place of the one that waited.

    \b
    Example:
      handling-db job confirm 01J9ZW3V6K --in my-records --by foreman
    """
    from handling_db.files.folders import record_text
    from handling_db.files.yaml_text import load_text
    from handling_db.weights.witness import witnesses

    collection = entry.records
    record = collection.weighings.get(weighing_id)
    if record is None or record.of not in collection.components:
        waiting = [w.id for c in collection.components.values() for w in witnesses(collection, c) if w.waits]
        raise HandlingError(
            f"there is no weighing {weighing_id!r} in {entry.folder}; waiting to be confirmed: "
            f"{some_of(sorted(waiting))}"
        )
    found = witnesses(collection, collection.components[record.of])
    one = next((w for w in found if w.id == weighing_id), None)
    if one is None or not one.waits:
        why = "was replaced by another" if one is None else "does not wait to be confirmed"
        raise HandlingError(f"weighing {weighing_id!r} {why}")
    fields: dict[str, Any] = load_text(record_text(record), weighing_id).value
    fields.pop("weighing")
    _weighing(entry, fields | {"replaces": weighing_id, "confirmed": entry.signed})


def _weighing(entry: _Entry, fields: dict[str, Any]) -> None:
    """Write a weighing of a job and say where it stands and what it does."""
    weighed = _weighed(entry, fields)
    if entry.as_json:
        print_json(weighed)
    else:
        _tell_weighed(entry, weighed)


def _weighed(entry: _Entry, fields: dict[str, Any]) -> WeighedJson:
    from handling_db.files.new_id import new_id

    code = new_id()
    file = entry.add("weighing", code, fields)
    return {"weighing": code, "of": fields["of"], "file": str(file), "confirmed": "confirmed" in fields}


def _tell_weighed(entry: _Entry, weighed: WeighedJson) -> None:
    code = weighed["weighing"]
    told = (
        "confirmed: it counts from now on"
        if weighed["confirmed"]
        else "it waits, and may only raise a plan; once it is known what hung or stood there, confirm it: "
        f"handling-db job confirm {code} --in {entry.folder} --by ROLE"
    )
    click.echo(f"weighing {code} of {weighed['of']}, written to {weighed['file']}; {told}")


@command.command("follow")
@click.argument("job_id")
@click.argument("plan")
@_signed
def follow(entry: _Entry, job_id: str, plan: str) -> None:
    """JOB_ID follows the job plan PLAN from here on.

    \b
    Example:
      handling-db job follow qsn-1188 transfer-box-apart --in my-records --by foreman
    """
    from handling_db.records.in_hand import not_followed

    _ = entry.signed  # a day that cannot be read is refused
    records = entry.records

    def change(job: Job) -> dict[str, Any]:
        not_followed(records, job, plan)
        return {**_fields(job), "follows": plan}

    entry.change(job_id, change, f"follows {plan}")


@command.command("done")
@click.argument("job_id")
@click.argument("step")
@click.option("--differs", help="What was found other than planned; a draft note keeps it for the next one.")
@_signed
def done(entry: _Entry, job_id: str, step: str, differs: str | None) -> None:
    """A STEP of the plan of JOB_ID is done: what it takes out, puts in or takes off is written down.

    \b
    Example:
      handling-db job done qsn-1188 caliper-off --in my-records --by fitter
    """
    from handling_db.files.new_id import new_id
    from handling_db.jobs.progress import difference_note, with_step_done
    from handling_db.records.kinds.job import Signed
    from handling_db.records.kinds.note import Note

    signed = Signed.model_validate(entry.signed)
    records = entry.records

    def change(job: Job) -> Job:
        _fields(job)  # a closed job is refused
        return with_step_done(records, job, step, signed, differs)

    # The note is looked at before anything is written: a text that no note may have leaves the job as it is.
    known = records.jobs.get(job_id) if differs else None
    note = None
    if known is not None and differs:
        kept = difference_note(records, known, step, differs, signed)
        note = Note.model_validate({"note": new_id(), **kept})
    entry.change(job_id, change, f"step {step} done")
    if note is not None:
        entry.add("note", note.note, {n: value for n, value in note.as_written().items() if n != "note"})
        if not entry.as_json:
            about = f"{note.about.kind} {note.about.id}"
            click.echo(f"{job_id}: kept as a draft note about {about}, for a foreman to check")


@command.command("where")
@click.argument("job_id")
@source_options
def where(job_id: str, folders: tuple[Path, ...], database: str | None, *, as_json: bool) -> None:
    """Where JOB_ID is in the plan that it follows: steps done, what differs, what comes next.

    \b
    Example:
      handling-db job where qsn-1188 --from my-records
    """
    from handling_db.jobs.progress import progress_answer
    from handling_db.jobs.progress_words import progress_json, progress_lines

    found = loaded(folders, database, job_id, ("job",), "handled")
    answer = progress_answer(found.records, found.records.jobs[found.id])
    first = found.first_unit
    tell(as_json, lambda: progress_json(answer, first), lambda: progress_lines(answer, first))


@command.command("close")
@click.argument("job_id")
@_signed
def close(entry: _Entry, job_id: str) -> None:
    """Close the job; refused while a temporary tie is in.

    \b
    Example:
      handling-db job close qsn-1187 --in my-records --by foreman
    """
    entry.change(job_id, lambda job: {**_fields(job), "closed": entry.signed}, "closed")


def _said(**given: Any) -> dict[str, Any]:
    """What was given, under the names of a record."""
    return {name.replace("_", " "): value for name, value in given.items() if value}


def _with(fields: dict[str, Any], name: str, one: dict[str, Any]) -> dict[str, Any]:
    """The fields with one more in a list."""
    return {**fields, name: [*fields.get(name, []), one]}


def _there(known: Mapping[str, Kind], kind: str, id: str, entry: _Entry, remedy: str = "") -> Kind:
    if id not in known:
        raise HandlingError(f"there is no {kind} {id!r} in {entry.folder}{remedy}")
    return known[id]


def _fields(job: Job) -> dict[str, Any]:
    """A job as plain values that may be changed; a closed one is refused."""
    from handling_db.files.folders import record_text
    from handling_db.files.yaml_text import load_text

    if job.closed is not None:
        raise HandlingError(f"job {job.id!r} was closed on {job.closed.on.isoformat()}; open a new one")
    fields: dict[str, Any] = load_text(record_text(job), job.id).value
    return fields


def _made(fields: Any) -> Job:
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
