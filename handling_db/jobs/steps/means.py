"""What a planned job is worked out with: its unit, scales, lifts and shop, each made once."""

from __future__ import annotations

from handling_db.jobs.steps.answer import ShopLimit
from handling_db.jobs.steps.holds.places import UnitPlaces
from handling_db.jobs.steps.holds.state import State
from handling_db.jobs.steps.holds.unit import Unit
from handling_db.jobs.steps.lifts import Lifts, StepsQuestion
from handling_db.jobs.steps.weighing import Scales, WeighedBody
from handling_db.quantities.notice import Notice
from handling_db.records.collection import Collection
from handling_db.records.kinds.job_plan import JobPlan
from handling_db.records.kinds.workplace import Shop

LEAST_TIP = 8.0  # where the shop states none; common practice, no source [deg]


class Means:
    """What every step of one planned job is worked out with.

    Parameters
    ----------
    collection : Collection
        With the lifts on a hoist of the shop.
    plan : JobPlan
    question : StepsQuestion
    """

    def __init__(self, collection: Collection, plan: JobPlan, question: StepsQuestion) -> None:
        self.collection = collection
        self.plan = plan
        self.question = question
        self.unit = Unit(collection, plan)
        self.places = UnitPlaces(self.unit)
        self.scales = Scales(self.unit, question.assumed)
        self.lifts = Lifts(self.unit, plan, question)
        self.told: set[tuple[str, Notice]] = set()  # of each lift, what was said of it already
        self.shop: Shop | None = collection.shops.get(plan.shop or "")

    @property
    def share(self) -> float | None:
        """The shop's break-loose share."""
        return float(self.shop.break_loose.share) if self.shop and self.shop.break_loose else None

    @property
    def least_tip(self) -> float:
        """Below it a piece stands narrow: the shop's figure, or the common one. [deg]"""
        return float(self.shop.least_tip.base) if self.shop and self.shop.least_tip else LEAST_TIP

    @property
    def whose_tip(self) -> str:
        """Whose figure that is."""
        return self.shop.name if self.shop and self.shop.least_tip else "common practice, no source"

    @property
    def limits(self) -> tuple[ShopLimit, ...]:
        """The limits that the chain is held against, each with whose it is."""
        shop = self.shop
        hand = float(shop.hand_limit.base) if shop and shop.hand_limit else None
        name = shop.name if shop else ""
        return (
            ShopLimit("hand limit", hand, "kg", name if hand is not None else ""),
            ShopLimit("least tip", self.least_tip, "deg", self.whose_tip),
            ShopLimit("break loose", self.share, "", name if self.share is not None else ""),
        )

    def weighed(self, state: State, piece: int) -> WeighedBody:
        """The body that a piece is in, with the fluid in it."""
        body = state.body_of(self.unit, piece)
        return self.scales.weigh(body, state.oil, state.pieces(self.unit), state.some)
