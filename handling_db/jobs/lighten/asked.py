"""What is asked: of which body, under which limit; and the limit as its record states it."""

from __future__ import annotations

import datetime
import math
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from handling_db.carrying.demand import Demand
from handling_db.carrying.floor import area_load
from handling_db.carrying.plate import plate_row
from handling_db.errors import HandlingError, some_of
from handling_db.jobs.lighten.figures import CeilingFigure
from handling_db.lifting.hook import capacity_of, cell_of
from handling_db.lifting.load.answer import Assumed
from handling_db.lifting.load.group_mass import GroupMass
from handling_db.lifting.said.notices import notice_words
from handling_db.lifting.set_down import faces_of
from handling_db.mechanics.vectors import cross
from handling_db.moving.question import wanted
from handling_db.moving.trucks import TRUCKS, plate_rows
from handling_db.quantities.notice import Facts, Notice
from handling_db.records.collection import Collection
from handling_db.records.kinds.lift_group import LiftGroup
from handling_db.records.kinds.pallet import Pallet
from handling_db.records.kinds.source import Source
from handling_db.records.kinds.workplace import Mover, Shop
from handling_db.records.parts.premises import FloorArea
from handling_db.records.parts.texts import State
from handling_db.records.parts.three_valued import listed

HOOKS = ("hoist", "under")  # limits that see gear and packing, as a hook does


class LimitError(HandlingError):
    """No limit can be named from the records; the message says which figure to write instead."""


class NoLimitError(LimitError):
    """None was named, and the piece has no hoist of its own."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LightenQuestion:
    """What is asked; one limit at most, else the hoist of the lift itself.

    Parameters
    ----------
    what : str
        Id of a lift group or a component.
    under_kg : Fraction or None
        A limit given as a mass. [kg]
    hoist, fork, pallet, floor, scale, hands : str or None
        Ids: mover, mover, pallet, floor area of a shop, source, shop with a hand limit.
    load_centre_m : float or None
        For a fork: from the fork face; otherwise its rated one. [m]
    shop : str or None
        Whose rules count, and whose largest hook where no limit is named.
    break_loose : bool or None
        Whether the shop's share for breaking loose counts; None: where the lift parts a joint.
    state : State or None
        Of a component; None: filled.
    build : mapping of parameter to text
    job : str or None
    as_of : date or None
        Past which an inspection is over: that rating is not used.
    assumed : mapping or None
        Ranges for parts that nobody weighed. [kg]
    """

    what: str
    under_kg: Fraction | None = None
    hoist: str | None = None
    fork: str | None = None
    pallet: str | None = None
    floor: str | None = None
    scale: str | None = None
    hands: str | None = None
    load_centre_m: float | None = None
    shop: str | None = None
    break_loose: bool | None = None
    state: State | None = None
    build: Mapping[str, str] | None = None
    job: str | None = None
    serial: int | None = None
    as_of: datetime.date | None = None
    assumed: Assumed | None = None

    def limits(self) -> dict[str, object]:
        """The limits that were named."""
        others = ("hoist", "fork", "pallet", "floor", "scale", "hands")
        named = {"under": self.under_kg, **{name: getattr(self, name) for name in others}}
        return {name: value for name, value in named.items() if value is not None}


def _recorded(told: str) -> Notice:
    """A limit as it is written."""
    return Notice("as recorded", {"told": told})


def _plate(mover: Mover, centre: str = "") -> Notice:
    kind = "plate at a load centre" if centre else "plate"
    return Notice(kind, {"rated": str(mover.rated), "centre": centre})


class Limits:
    """Reads limits out of the records of a collection.

    Parameters
    ----------
    collection : Collection
    question : LightenQuestion
    group : LiftGroup
        What is asked about, as a lift.
    mass : GroupMass
    """

    def __init__(
        self, collection: Collection, question: LightenQuestion, group: LiftGroup, mass: GroupMass
    ) -> None:
        self.collection = collection
        self.question = question
        self.group = group
        self.mass = mass

    def shop(self) -> Shop | None:
        """The shop whose rules count: the one asked for, else that of the limit, the job or the hoist."""
        question = self.question
        if question.shop is not None or question.hands is not None:
            named: Shop = wanted(self.collection, "shop", question.shop or question.hands)
            return named
        mover = self.collection.movers.get(question.hoist or question.fork or "")
        pallet = self.collection.pallets.get(question.pallet or "")
        source = self.collection.sources.get(question.scale or "")
        if question.floor is not None:
            return self._floor()[0]
        own = [thing.shop for thing in (mover, pallet, source) if thing is not None and thing.shop]
        job = self.collection.jobs.get(question.job or "")
        usual = self.collection.movers.get(self.group.mover or "")
        own += [thing.shop for thing in (job, usual) if thing is not None and thing.shop]
        if own:
            return self.collection.shops.get(own[0])
        return next(iter(self.collection.shops.values())) if len(self.collection.shops) == 1 else None

    def ceiling(self) -> CeilingFigure:
        """The limit, named.

        Raises
        ------
        LimitError
            Several limits were named, none can be found, or its record states no figure.
        UnknownNameError
            There is no such record.
        """
        named = self.question.limits()
        if len(named) > 1:
            raise LimitError(f"write one limit, not {len(named)}: {', '.join(named)}")
        kind = next(iter(named), "hoist")
        if self.question.load_centre_m is not None and kind != "fork":
            raise LimitError("a load centre goes with a fork: write --fork too")
        if kind == "under":
            kg = float(self.question.under_kg or 0)
            if kg <= 0.0:
                raise LimitError(
                    "the limit is above 0 kg; write what the rest is to be under, such as 500 kg"
                )
            return self._with_share("under", "", "the limit asked for", kg, _recorded("as asked"))
        work = {
            "hoist": self._by_hoist,
            "fork": self._by_fork,
            "pallet": self._by_pallet,
            "floor": self._by_floor,
            "scale": self._by_scale,
            "hands": self._by_hands,
        }
        return work[kind]()

    def _with_share(
        self, kind: str, code: str, name: str, stated: float, basis: Notice, cell: float | None = None
    ) -> CeilingFigure:
        """A limit with what comes off it, and what breaking loose puts on the load."""
        shop = self.shop()
        share = None
        told = "nothing breaks loose here: no joint is parted"
        asked = self.question.break_loose
        parts = bool(self.group.parts_joints)
        if kind in HOOKS and (parts if asked is None else asked):
            recorded = shop.break_loose if shop is not None else None
            why = "the lift parts a joint" if parts and asked is None else "as asked"
            if recorded is None:
                whose = f"{shop.name} records" if shop is not None else "no shop is named, so nobody records"
                told = f"{why}, and {whose} no share for breaking loose: none is added"
            else:
                share = float(recorded.share)
                told = f"{why}: {recorded} of {shop.name if shop else ''} on the whole reading, gear included"
        elif kind not in HOOKS:
            told = "no hook pulls here"
        elif parts and asked is False:
            told = "left out, as asked, though the lift parts a joint"
        planning = float(shop.planning.share) * stated if shop is not None and shop.planning else None
        return CeilingFigure(
            kind,
            code,
            name,
            stated,
            basis,
            cell,
            stated - (cell or 0.0),
            share,
            told,
            planning if kind in ("hoist", "fork") else None,
        )

    def _by_hoist(self) -> CeilingFigure:
        code = self.question.hoist or (None if self.question.shop else self.group.mover)
        if code is None:
            code = self._largest_hook()
        mover: Mover = wanted(self.collection, "mover", code)
        if mover.kind in (*TRUCKS, "hands", "skates"):
            raise LimitError(
                f"{mover.name} is a {mover.kind}, not a hook; for a forklift write --fork {mover.id}"
            )
        found = capacity_of(mover, self.group, self.question.as_of)
        if found.rating_kg is None:
            raise LimitError(
                f"{mover.name}: {notice_words(found.basis)}; write the figure itself with --under"
            )
        cell = cell_of(mover)
        error = None if cell is None else cell.at(found.rating_kg)
        return self._with_share("hoist", mover.id, mover.name, found.rating_kg, found.basis, error)

    def _largest_hook(self) -> str:
        shop = self.shop()
        if shop is None:
            names = some_of(sorted(self.collection.movers))
            raise NoLimitError(
                "no limit is named and no hoist is recorded for it; write --under 500kg, or --hoist, --fork, "
                f"--pallet, --floor, --scale, --hands or --shop (movers: {names})"
            )
        hooks = [
            mover
            for code in shop.movers
            if (mover := self.collection.movers.get(code)) is not None
            and mover.kind not in (*TRUCKS, "hands", "skates")
            and capacity_of(mover, self.group, self.question.as_of).rating_kg is not None
        ]
        if not hooks:
            raise LimitError(f"{shop.name} has no hoist or crane with a rating that counts; write --under")
        best = max(
            hooks, key=lambda m: capacity_of(m, self.group, self.question.as_of).rating_kg or -math.inf
        )
        return best.id

    def _by_fork(self) -> CeilingFigure:
        mover: Mover = wanted(self.collection, "mover", self.question.fork)
        if mover.kind not in TRUCKS:
            raise LimitError(f"{mover.name} is a {mover.kind}, not a fork; write --hoist {mover.id}")
        due = mover.inspection_due
        if self.question.as_of is not None and due is not None and due < self.question.as_of:
            raise LimitError(
                f"{mover.name}: inspection was due on {due}: its rating is not used; write --under"
            )
        rated = float(mover.rated_load_centre.base) if mover.rated_load_centre else None
        centre = self.question.load_centre_m if self.question.load_centre_m is not None else rated
        if mover.rated is None and not mover.plate:
            raise LimitError(f"{mover.name}: no rating is recorded; read its plate and write --under")
        if centre is None:
            if mover.rated is None or mover.kind == "forklift":
                raise LimitError(
                    f"{mover.name}: its load centre is not recorded; write --load-centre, such as 500mm"
                )
            return self._with_share("fork", mover.id, mover.name, float(mover.rated.base), _plate(mover))
        found: list[tuple[float, Notice]] = []
        if mover.rated is not None and rated is not None and centre <= rated + 1e-9:
            found.append((float(mover.rated.base), _plate(mover, str(mover.rated_load_centre))))
        row, _ = plate_row(plate_rows(mover), load_centre=centre, lift_height=None)
        if row is not None:
            facts: Facts = {"row_kg": row.capacity_kg, "centre_m": row.load_centre}
            found.append((row.capacity_kg, Notice("plate row", facts)))
        if not found:
            raise LimitError(
                f"{mover.name}: no row of its plate is recorded for a load centre of {centre * 1000:g} mm; "
                "read the plate and write --under"
            )
        kg, basis = min(found, key=lambda one: one[0])
        lowest = Notice("lowest of any lift height", {"basis": basis})
        return self._with_share("fork", mover.id, mover.name, kg, lowest)

    def _by_pallet(self) -> CeilingFigure:
        pallet: Pallet = wanted(self.collection, "pallet", self.question.pallet)
        ratings = listed(pallet.ratings)
        if not ratings:
            raise LimitError(f"{pallet.name}: no rating is recorded; write --under")
        lowest = min(ratings, key=lambda one: one.rated.base)
        words = f"rated {lowest.rated}, load {lowest.spread if lowest.spread != 'any' else 'in any way'}"
        more = ", the lowest of its ratings" if len(ratings) > 1 else ""
        return self._with_share(
            "pallet", pallet.id, pallet.name, float(lowest.rated.base), _recorded(words + more)
        )

    def _floor(self) -> tuple[Shop, FloorArea]:
        asked = self.question.floor or ""
        found = [
            (shop, area)
            for _, shop in sorted(self.collection.shops.items())
            for area in shop.floors
            if asked in (area.id, f"{shop.id}:{area.id}")
            and (self.question.shop is None or shop.id == self.question.shop)
        ]
        if len(found) != 1:
            known = ", ".join(
                f"{shop.id}:{area.id}"
                for _, shop in sorted(self.collection.shops.items())
                for area in shop.floors
            )
            many = "several floors go" if found else "no floor goes"
            raise LimitError(f"{many} by {asked!r}; recorded: {known or 'none'}")
        return found[0]

    def _by_floor(self) -> CeilingFigure:
        shop, area = self._floor()
        found: list[tuple[float, str]] = []
        if area.whole_limit is not None:
            found.append((float(area.whole_limit.base), f"{area.whole_limit} as a whole"))
        if area.limit is not None:
            size = self._footprint()
            if size is not None:
                load = area_load(
                    Demand(name=area.name, low_kg=0.0, high_kg=0.0),
                    area=size[0],
                    limit=float(area.limit.number),
                    limit_unit=area.limit.unit,
                )
                if load.beside.rating_kg is not None:
                    found.append((load.beside.rating_kg, f"{area.limit} on {size[1]}"))
        if not found:
            why = (
                f"{area.limit}, and on which face it stands is not recorded"
                if area.limit is not None
                else "no limit is recorded"
            )
            raise LimitError(f"{area.name} of {shop.name}: {why}; write the mass it may take with --under")
        kg, words = min(found)
        stated = f", stated by {area.stated_by}" if area.stated_by else ""
        return self._with_share("floor", f"{shop.id}:{area.id}", area.name, kg, _recorded(words + stated))

    def _footprint(self) -> tuple[float, str] | None:
        """Area of the face it stands on, and its name. [m2]"""
        faces = faces_of(self.collection, self.mass)
        down = self.group.set_down.face if self.group.set_down else None
        named = [f for f in faces if f.corners and (f.face.id == down if down else f.face.may_rest == "yes")]
        if len(named) != 1:
            return None
        corners = named[0].corners
        around = [(0.0, 0.0, 0.0)]
        for here, there in zip(corners, (*corners[1:], corners[0]), strict=True):
            x, y, z = cross(here, there)  # twice the area of the triangle with the origin
            around.append((x, y, z))
        return math.hypot(*(math.fsum(one[i] for one in around) for i in range(3))) / 2, named[0].face.name

    def _by_scale(self) -> CeilingFigure:
        source: Source = wanted(self.collection, "source", self.question.scale)
        reach = source.instrument.reach if source.instrument else None
        if reach is None:
            raise LimitError(f"{source.name}: how far it reads is not recorded; write --under")
        return self._with_share(
            "scale", source.id, source.name, float(reach.base), _recorded(f"reads up to {reach}")
        )

    def _by_hands(self) -> CeilingFigure:
        shop: Shop = wanted(self.collection, "shop", self.question.hands)
        if shop.hand_limit is None:
            raise LimitError(f"{shop.name} records no hand limit; write --under")
        words = f"hand limit {shop.hand_limit} for one person"
        return self._with_share("hands", shop.id, shop.name, float(shop.hand_limit.base), _recorded(words))
