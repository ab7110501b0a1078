"""Witnesses: what each source says one component weighs, as a mass with doubt, the most trusted first."""

from __future__ import annotations

import datetime
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from handling_db.families.build import Build, BuildError, build_of, read_value
from handling_db.families.shape_text import words_in
from handling_db.quantities.mass import Mass, within
from handling_db.quantities.number_text import FRACTION, NUMBER, step_range
from handling_db.quantities.quantity import Quantity
from handling_db.records.collection import Collection
from handling_db.records.in_hand import below
from handling_db.records.kinds.component import Component
from handling_db.records.kinds.source import Source, SourceKind
from handling_db.records.kinds.weighing import Weighing
from handling_db.records.parts.common import Serials
from handling_db.records.parts.statement import MassStatement, Several
from handling_db.records.parts.texts import State
from handling_db.weights.columns import Columns, one_witness
from handling_db.weights.doubt import Doubt, ReadFigure, doubt_of
from handling_db.weights.formula_mass import stated_half_width, worked_mass

# Kinds of source that read a mass in the course of work: somebody has to confirm what hung, and that it was
# free.
OF_WORK = frozenset({"hook reading", "truck gauge"})
WEIGHED = OF_WORK | {"weighed", "weighed on two supports"}  # of one unit, on one day
ON_A_SCALE = WEIGHED | {"weighbridge"}  # somebody weighed it; a plate, list or book says so and no more


@dataclass(frozen=True, slots=True)
class Witness:
    """One source's figure for one piece of a component.

    Parameters
    ----------
    id : str
        Id of the statement or weighing.
    printed : str
        As the source has it, with both columns where it has two.
    mass : Mass
        The same in kilograms with its doubt.
    doubt_from : Doubt
        Where the half-width came from.
    step_assumed : bool
        The step of rounding was not stated and was read off the digits.
    columns : Columns, optional
        How two columns of the source go together.
    counts, without : as in the record
        The boundary; None where nobody looked.
    position : (str, int) or None
        ("masses", index) in the component's record; None for a weighing, which is a record itself.
    worked_in : Build, optional
        The build a figure by formula or shape was worked out in; None for a printed or weighed one.
    from_shape : bool
        It comes from a shape.
    step_play : (Fraction, Fraction)
        How much smaller, and how much larger, its half-width is if the step that was assumed is taken as
        fine, or as coarse, as the digits may mean. [kg]
    pieces : int
        How many alike pieces the source's figure is for; `mass` is the mean of them. One where nobody says.
    scatter : Fraction, optional
        How far a single one may be from the mean; None where nobody recorded it. [kg]
    changed : date, optional
        A part in it was changed on that day, after it was weighed: it says nothing of what is in it now.
    waits : bool
        It was read in the course of work and nobody has confirmed it: no sum is made with it.
    confirmed : str
        By whose role and when it was confirmed; empty where nobody had to, or has.
    """

    id: str
    component: str
    printed: str
    mass: Mass
    doubt_from: Doubt
    step_assumed: bool
    source: Source
    kind: SourceKind
    state: State | None
    counts: str | tuple[str, ...] | None
    without: str | tuple[str, ...] | None
    build: tuple[tuple[str, str], ...]
    serials: Serials | None
    on: datetime.date | None
    by: str | None
    columns: Columns | None = None
    derived_how: str | None = None
    derived_from: tuple[str, ...] = ()
    position: tuple[str, int] | None = None
    packed: bool = False
    review_by: datetime.date | None = None
    worked_in: Build | None = None
    from_shape: bool = False
    step_play: tuple[Fraction, Fraction] = (Fraction(0), Fraction(0))
    pieces: int = 1
    scatter: Fraction | None = None
    waits: bool = False
    changed: datetime.date | None = None
    confirmed: str = ""

    def several(self, quantity: Fraction) -> Mass:
        """So many pieces: what was weighed together has its doubt together, and what is left of it scatters.

        All of those that were weighed come to what they weighed. Some of them can be off the mean by the
        scatter each, and by no more than the rest of them in turn; so can each that was not among them.
        """
        mass = self.mass.times(quantity)
        if self.pieces == 1 or not self.scatter:
            return mass
        free = min(quantity, abs(self.pieces - quantity))
        spread = free * self.scatter
        under = mass.low - mass.raised - spread  # below nothing, where the doubt is wider than the mass
        low = max(under, Fraction(0))
        own = mass.half_squared + float(spread) ** 2
        variance = mass.variance + float(spread) ** 2 / 3
        return Mass(
            mass.best,
            min(low, mass.best),
            mass.high + spread,
            variance,
            own,
            mass.shared,
            mass.complete,
            low - under,
        )

    @property
    def boundary_known(self) -> bool:
        """Whether it is said both what the figure counts and what it leaves out."""
        return self.counts is not None and self.without is not None

    @property
    def left_out(self) -> tuple[str, ...]:
        """The components it names as left out."""
        return self.without if isinstance(self.without, tuple) else ()

    @property
    def only(self) -> tuple[str, ...] | None:
        """The components it names as all that it counts; None where it names none."""
        return self.counts if isinstance(self.counts, tuple) else None

    @property
    def is_whole(self) -> bool:
        """Whether it counts everything that is listed and leaves nothing out, as somebody looked up."""
        return self.counts == "as listed" and self.without == "none"

    @property
    def chosen(self) -> bool:
        """Whether it may be handed upward: no guess, nothing that waits or is older than a change in it."""
        return not self.waits and self.changed is None and self.kind.chosen not in {"no", "last"}

    @property
    def hint(self) -> bool:
        """Whether it is used only where nothing better is in force: a figure from a shape."""
        return self.kind.chosen == "hint" or self.from_shape

    @property
    def rank(self) -> Fraction:
        """Trust among witnesses, the smallest first."""
        return Fraction(self.kind.rank)

    @property
    def derived(self) -> bool:
        """Converted, copied, summed or inferred: no witness of its own."""
        return self.derived_how is not None or self.kind.id == "inferred"


def build_spoken_of(witness: Witness, component: Component) -> Build | None:
    """The build that a figure speaks of; one that names none is taken for the default one.

    Returns
    -------
    Build or None
        None where what it names cannot be built; the checker reports it.
    """
    if witness.worked_in is not None:
        return witness.worked_in
    try:
        given = {
            name: read_value(name, component.parameters[name], text)
            for name, text in witness.build
            if name in component.parameters
        }
        return build_of(component, given)
    except BuildError:
        return None


def witnesses(
    collection: Collection, component: Component, build: Build | None = None
) -> tuple[Witness, ...]:
    """Every figure that is in force for a component, the most trusted first.

    Replaced statements and weighings are left out, and so are those whose source or kind of source is
    not in the collection, and figures by formula or shape that cannot be worked out: the checker reports
    these.

    Parameters
    ----------
    collection : Collection
    component : Component
    build : Build, optional
        To work figures by formula or shape out in; the default one unless given.
    """
    if collection.components.get(component.id) is not component:
        return _witnesses(collection, component, build)
    key = ("witnesses", component.id, build if varies(component) else None)
    return collection.once(key, lambda: _witnesses(collection, component, build))


def _witnesses(collection: Collection, component: Component, build: Build | None) -> tuple[Witness, ...]:
    replaced = {s.replaces for s in component.masses} | collection.replaced_weighings()
    found = [
        witness
        for index, statement in enumerate(component.masses)
        if statement.key(component.id) not in replaced
        and (witness := statement_witness(collection, component, index, build)) is not None
    ]
    for weighing in collection.weighings_of(component.id):
        if weighing.id not in replaced:
            weighed = _from_weighing(collection, weighing)
            if weighed is not None:
                found.append(weighed)
    return tuple(sorted((_dated(collection, one) for one in found), key=_trust))


def _dated(collection: Collection, witness: Witness) -> Witness:
    """The same, with the day on which a part in it was changed after it was weighed."""
    if witness.on is None or not (witness.position is None or witness.kind.id in WEIGHED):
        return witness  # a list or a drawing is of no unit in which a part was changed
    last = _last_change(collection, witness.component)
    return replace(witness, changed=last) if last is not None and last > witness.on else witness


def _last_change(collection: Collection, code: str) -> datetime.date | None:
    """The last day on which a part in it, however deep, was changed; None where nobody wrote one."""
    inside = (collection.components.get(one) for one in below(collection, code))
    days = (line.changed_on for part in inside if part is not None for line in part.parts)
    return max((day for day in days if day is not None), default=None)


def waiting_witness(
    collection: Collection, component: Component, figure: Weighing | MassStatement
) -> Witness | None:
    """A figure that lies aside as a witness would give it; None where its source says nothing of its kind."""
    if isinstance(figure, Weighing):
        return _from_weighing(collection, figure)
    alone = component.model_copy(update={"masses": (figure,)})
    return statement_witness(collection, alone, 0)


def varies(component: Component) -> bool:
    """Whether any figure of a component is worked out by formula or shape, and so depends on its build."""
    return any(statement.worked_out for statement in component.masses)


def _trust(witness: Witness) -> tuple[Fraction, bool, int, str]:
    """Rank first, a printed figure before one worked out here, then the later, then the id for good order."""
    day = witness.on or witness.source.on
    return (
        witness.rank,
        witness.worked_in is not None,
        -day.toordinal() if day else 0,
        witness.id,
    )


def _kind_of(collection: Collection, source_id: str) -> tuple[Source, SourceKind] | None:
    source = collection.sources.get(source_id)
    kind = collection.source_kinds.get(source.kind) if source else None
    return (source, kind) if source and kind else None


def statement_witness(
    collection: Collection, component: Component, index: int, build: Build | None = None
) -> Witness | None:
    """The figure of one mass statement; None where its source is not known or it cannot be worked out."""
    statement = component.masses[index]
    known = _kind_of(collection, statement.source)
    if known is None:
        return None
    if statement.worked_out:
        try:
            return worked_witness(collection, component, index, build)
        except BuildError:
            return None  # the checker reports it
    source, kind = known
    printed, also = statement.printed, statement.also_printed
    assert printed is not None  # the record has exactly one of printed, formula and shape
    step = statement.step or (source.instrument.step if source.instrument else None)
    step_kg = step.base if step else printed.step_base
    columns = None
    best = printed.base
    if also is not None:
        also_step = also.step.base if also.step else also.printed.step_base
        columns = one_witness(printed, step_kg, also.printed, also_step)
        best = columns.best
    half = stated_half_width(statement.plus_or_minus, best)
    mass, doubt_from = doubt_of(
        ReadFigure(best, step_kg, half, statement.u, columns, [printed]), source, kind
    )
    text = printed.text if also is None else f"{printed.text} / {also.printed.text}"
    mass, text = _each(mass, text, statement)
    stepless = step is None or (also is not None and also.step is None)
    plain = step is None and also is None and doubt_from == "half the step"
    return replace(
        _stated(component, index, known, text, mass, doubt_from),
        step_assumed=stepless and doubt_from in ("half the step", "both columns"),
        columns=columns,
        step_play=_play(printed, statement.pieces or 1) if plain else (Fraction(0), Fraction(0)),
    )


def _of_one_density(mass: Mass, shape: object, collection: Collection) -> Mass:
    """The same with what the density of its one material may be off, which all shapes of it share."""
    materials = sorted(words_in(shape) & set(collection.materials)) if shape is not None else []
    if len(materials) != 1:
        return mass  # none, or a mixture of which nobody says how much is of each
    material = collection.materials[materials[0]]
    low, high = material.lowest, material.highest
    if low is None or high is None or low.base + high.base == 0:
        return mass
    half = mass.best * (high.base - low.base) / (high.base + low.base)
    own = mass.half_width_worst + mass.raised / 2 - sum(mass.shared.values(), start=Fraction(0))
    shared = {**mass.shared, f"density of {material.id}": max(min(half, own), Fraction(0))}
    below = mass.best - mass.low + mass.raised
    return within(mass.best, below, mass.high - mass.best, shared=shared)


def _each(mass: Mass, text: str, said: Several) -> tuple[Mass, str]:
    """The mean of several that were weighed together, and what the source says, with its scatter."""
    if said.pieces is None:
        return mass, text
    scatter = f"scatter {said.scatter}" if said.scatter is not None else "scatter not known"
    return mass.times(Fraction(1, said.pieces)), f"{text} for {said.pieces} together, {scatter}"


def _play(printed: Quantity, pieces: int) -> tuple[Fraction, Fraction]:
    """How much smaller and larger the half-width of a figure may be by its digits. [kg]"""
    shown = printed.text.strip()
    match = NUMBER.match(shown)
    if match is None or match["over"] is not None or FRACTION.match(shown):
        return Fraction(0), Fraction(0)  # a fraction of a pound says its step
    fine, coarse = step_range(match[0])
    half = printed.unit.factor / 2 / pieces
    return max(printed.step - fine, Fraction(0)) * half, max(coarse - printed.step, Fraction(0)) * half


def worked_witness(
    collection: Collection, component: Component, index: int, build: Build | None = None
) -> Witness:
    """The figure of a statement by formula or shape in a build, the default one unless given.

    Raises
    ------
    BuildError
        It cannot be worked out in this build, or nothing says how far a formula may be out.
    """
    statement = component.masses[index]
    known = _kind_of(collection, statement.source)
    if known is None:
        raise BuildError(f"the source {statement.source!r} is not known, or its kind is not")
    build = build_of(component) if build is None else build
    if collection.components.get(component.id) is not component:  # one that is only supposed
        return _worked(collection, component, index, known, build)
    # rules and stages of weighings ask for the same ones
    return collection.once(
        ("worked figure", component.id, index, build),
        lambda: _worked(collection, component, index, known, build),
    )


def _worked(
    collection: Collection, component: Component, index: int, known: tuple[Source, SourceKind], build: Build
) -> Witness:
    statement, (source, kind) = component.masses[index], known
    worked = worked_mass(statement, component, dict(build), kind, collection.materials)
    step = statement.step.base if statement.step else Fraction(0)
    half = stated_half_width(statement.plus_or_minus, worked.best)
    mass, doubt_from = doubt_of(ReadFigure(worked.best, step, half, statement.u), source, kind)
    if doubt_from in ("half the step", "usual for its kind"):
        below = max(mass.best - mass.low + mass.raised, worked.best - worked.low)
        above = max(mass.high - mass.best, worked.high - worked.best)
        if above == 0:
            raise BuildError(
                f"nothing says how far {statement.formula!r} may be out; "
                "write 'plus or minus' (a mass or a percentage) or 'step'"
            )
        if (below, above) != (mass.best - mass.low + mass.raised, mass.high - mass.best):
            mass, doubt_from = within(worked.best, below, above, shared=mass.shared), "usual for its kind"
    mass = _of_one_density(mass, statement.shape, collection)
    return replace(_stated(component, index, known, worked.text, mass, doubt_from), worked_in=build)


def _stated(
    component: Component,
    index: int,
    known: tuple[Source, SourceKind],
    printed: str,
    mass: Mass,
    doubt_from: Doubt,
) -> Witness:
    """A statement's figure with everything else the statement says."""
    statement = component.masses[index]
    derived = statement.derived
    return Witness(
        id=statement.key(component.id),
        component=component.id,
        printed=printed,
        mass=mass,
        doubt_from=doubt_from,
        step_assumed=False,
        serials=statement.serials,
        derived_how=derived.how if derived else None,
        derived_from=derived.from_ if derived else (),
        position=("masses", index),
        from_shape=statement.shape is not None,
        **_recorded(statement, known),
    )


def _recorded(figure: MassStatement | Weighing, known: tuple[Source, SourceKind]) -> dict[str, Any]:
    """What a statement and a weighing record alike."""
    source, kind = known
    alike = ("state", "counts", "without", "on", "by", "review_by")
    return {
        **{name: getattr(figure, name) for name in alike},
        "source": source,
        "kind": kind,
        "build": tuple(sorted((figure.build or {}).items())),
        "pieces": figure.pieces or 1,
        "scatter": figure.scatter.base if figure.scatter is not None else None,
    }


def _from_weighing(collection: Collection, weighing: Weighing) -> Witness | None:
    known = _kind_of(collection, weighing.source)
    if known is None:
        return None
    source, kind = known
    readings, best, text = readings_of(weighing)
    step = source.instrument.step if source.instrument else None
    step_kg = max(step.base if step else reading.step_base for reading in readings)
    half = stated_half_width(weighing.plus_or_minus, best)
    figure = ReadFigure(best, step_kg * len(readings), half, readings=readings)
    mass, doubt_from = doubt_of(figure, source, kind)
    mass, text = _each(mass, text, weighing)
    return Witness(
        id=weighing.id,
        component=weighing.of,
        printed=text,
        mass=mass,
        doubt_from=doubt_from,
        step_assumed=step is None and doubt_from == "half the step",
        serials=Serials.model_validate({"from": str(weighing.serial), "to": str(weighing.serial)})
        if weighing.serial is not None
        else None,
        packed=weighing.packed == "yes",
        waits=weighing.confirmed is None and (weighing.job is not None or kind.id in OF_WORK),
        confirmed="" if weighing.confirmed is None else f"{weighing.confirmed.by}, {weighing.confirmed.on}",
        **_recorded(weighing, known),
    )


def readings_of(weighing: Weighing) -> tuple[list[Quantity], Fraction, str]:
    """The readings of a weighing, the mass they give in kilograms, and how to print it."""
    if weighing.difference is not None:
        on, off = weighing.difference.with_it, weighing.difference.without_it
        return [on, off], on.base - off.base, f"{on} with it, {off} without it"
    if weighing.two_supports is not None:
        first, second = weighing.two_supports.first, weighing.two_supports.second
        return [first, second], first.base + second.base, f"{first} at one end, {second} at the other"
    gross = weighing.gross
    assert gross is not None  # the record checks that exactly one method is given
    if isinstance(weighing.tare, Quantity):
        text = f"{gross} gross, {weighing.tare} tare"
        return [gross, weighing.tare], gross.base - weighing.tare.base, text
    return [gross], gross.base, gross.text
