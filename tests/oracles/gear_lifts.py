"""Random lifts, from records to answer, against a walk from the hook down in plain arithmetic.

Even legs on a circle about the centre: every leg takes the same part, mass over (legs x cos lean), so that what
each piece of gear is asked, and the reading at which its rating is reached, can be added up on paper. The walk
takes every mass at both ends of its doubt and the published factors from its own lines below.
"""

from __future__ import annotations

import itertools
import re
import time
from dataclasses import dataclass, field

import numpy as np

from handling_db.checker import check as checked
from handling_db.errors import HandlingError
from handling_db.files.rating_factors import rating_factors
from handling_db.findings import Verdict
from handling_db.lifting.answer import lift_answer
from handling_db.lifting.case import LiftQuestion
from handling_db.lifting.figures import LiftAnswer, RatingFigure
from handling_db.lifting.said.words import lift_lines
from handling_db.records.parts.three_valued import listed
from tests.from_text import SCALE, collection, reading
from tests.oracles.count import Count

NEAR = 2e-3  # figures nearer to each other than this decide nothing: lengths have a little doubt
TOP = ("hook", "master link", "swivel", "lifting beam", "spreader bar", "shackle")


@dataclass
class Item:
    """One piece of gear as it is written, and where it hangs in truth."""

    name: str
    record: str
    low: float
    high: float
    rating: float | None
    above: bool = False
    under: list[Item] = field(default_factory=list)  # what hangs from it, all the way down


def mass_of(rng: np.random.Generator, most: float) -> tuple[float, float, str]:
    best, doubt = round(float(rng.uniform(0.2, most)), 3), round(float(rng.uniform(0.0, 0.2)), 3)
    doubt = max(doubt, 0.001)
    return max(0.0, best - doubt), best + doubt, f"own mass: {best:.3f} kg, plus or minus: {doubt:.3f} kg"


def single_of(legs: int, limit: float, rated: float) -> float:
    """What one leg may carry by a tag for several: over the largest of the two published factors."""
    uniform = {2: (1.4, 1.0), 3: (2.1, 1.5)}[legs]
    factors = [legs * np.cos(np.radians(limit))]
    if 15.0 <= limit <= 45.0 + 1e-6:
        factors.append(uniform[0])
    elif 45.0 < limit <= 60.0 + 1e-6:
        factors.append(uniform[1])
    return float(rated / max(factors))


def printed_angle(rng: np.random.Generator, limit: float) -> tuple[str, float]:
    way = str(rng.choice(["vertical", "horizontal", "included"]))
    return way, {"vertical": limit, "horizontal": 90.0 - limit, "included": 2.0 * limit}[way]


class Lift:
    """A random lift: its records and its truth."""

    def __init__(self, rng: np.random.Generator) -> None:
        self.rng = rng
        self.legs = int(rng.integers(1, 4))
        self.best = round(float(rng.uniform(50, 3000)), 1)
        self.doubt = round(float(rng.uniform(0.1, 0.02 * self.best)), 1)
        self.lean = 0.0 if self.legs == 1 else float(rng.uniform(3.0, 58.0))
        self.length = round(float(rng.uniform(500, 3000)), 3)
        self.aside = self.length * np.sin(np.radians(self.lean))
        self.part = 1.0 / (self.legs * np.cos(np.radians(self.lean)))  # tension per kg of the piece
        self.several = self.legs > 1 and bool(rng.random() < 0.5)
        self.items: list[Item] = []
        self.links: list[list[Item]] = []
        self.order_told = bool(rng.random() < 0.7)
        self._gear()

    def rated(self, about: float) -> float:
        return round(float(about * self.rng.uniform(0.6, 1.8)), 1)

    def _item(
        self, name: str, kind: str, tag: str, rating: float | None, most: float, more: str = ""
    ) -> Item:
        low, high, mass = mass_of(self.rng, most)
        record = f"- {{gear: {name}, name: piece {name}, kind: {kind}, {mass}, tag: {tag}{more}}}\n"
        item = Item(name, record, low, high, rating)
        self.items.append(item)
        return item

    def _gear(self) -> None:
        rng, pull = self.rng, self.best * self.part
        self.chain: list[Item] = []
        for number in range(int(rng.integers(0, 4))):
            rating = self.rated(self.best)
            self.chain.append(
                self._item(f"top{number}", str(rng.choice(TOP)), f"[{{rated: {rating} kg}}]", rating, 300)
            )
        above = int(rng.integers(0, len(self.chain) + 1)) if rng.random() < 0.3 else 0
        for item in self.chain[:above]:
            item.above = True
        self.single: float | None = None
        self.whole: float | None = None
        if self.several:
            limit = float(rng.choice([30.0, 45.0, 60.0]))
            way, angle = printed_angle(rng, limit)
            rated = self.rated(self.best)
            covers = self.lean <= limit
            self.single = single_of(self.legs, limit, rated) if covers else None
            self.whole = rated if covers else None
            tag = f"[{{legs: {self.legs}, up to: {angle:g} deg, rated: {rated} kg}}]"
            more = f", legs: {self.legs}, angles from: {way}"
            self.slings = [self._item("sling", "chain sling", tag, None, 30, more)]
        else:
            self.slings = []
            for number in range(self.legs):
                rating = self.rated(pull)
                tag = f"[{{legs: 1, rated: {rating} kg}}]"
                self.slings.append(self._item(f"sling{number}", "web sling", tag, rating, 10, ", legs: 1"))
        for leg in range(self.legs):
            own = []
            for number in range(int(rng.integers(0, 3))):
                rating = self.rated(pull)
                kind = str(rng.choice(["hoist ring", "swivel"]))
                tag = (
                    f"[{{up to: 90 deg, rated: {rating} kg}}]"
                    if kind == "hoist ring"
                    else f"[{{rated: {rating} kg}}]"
                )
                more = ", angles from: axis" if kind == "hoist ring" else ""
                own.append(self._item(f"link{leg}x{number}", kind, tag, rating, 3, more))
            self.links.append(own)
        for leg, own in enumerate(self.links):
            sling = self.slings[0] if self.several else self.slings[leg]
            sling.under += own
            for number, link in enumerate(own):
                link.under = own[number + 1 :]
        below = [*self.slings, *(link for own in self.links for link in own)]
        for number, item in enumerate(self.chain):
            item.under = [*self.chain[number + 1 :], *below]

    def text(self) -> str:
        rng = self.rng
        ways = [2 * np.pi * leg / self.legs for leg in range(self.legs)]
        points = "".join(
            f"    - {{id: p{leg}, name: point {leg}, at: [{self.aside * np.cos(way):.6f} mm,"
            f" {self.aside * np.sin(way):.6f} mm, 300 mm], direction: z, through: none, blocked by: none,"
            " checked by: rigger}\n"
            for leg, way in enumerate(ways)
        )
        picks = "".join(
            f"    - {{point: p{leg}, sling: {self.slings[0 if self.several else leg].name}, length: {self.length} mm,"
            f" length plus or minus: 0.001 mm, links: [{', '.join(link.name for link in self.links[leg])}]}}\n"
            for leg in range(self.legs)
        )
        used = []
        over = "hook"
        for item in self.chain:
            told = f", hangs from: {over}" if self.order_told else ""
            used.append(
                f"    - {{gear: {item.name}, count: 1{', above cell: yes' if item.above else ''}{told}}}"
            )
            over = item.name
        for item in self.slings:
            told = f", hangs from: {over}" if self.order_told else ""
            used.append(f"    - {{gear: {item.name}, count: 1{told}}}")
        used += [f"    - {{gear: {link.name}, count: 1}}" for own in self.links for link in own]
        # The order of a list tells nothing: only `hangs from` does.
        rng.shuffle(used)
        self.share = round(float(rng.choice([0.0, 0.5, 1.0, 2.0])), 1)
        self.zeroed = str(rng.choice(["yes", "no", ""]))
        self.plate = self.rated(self.best * 1.2)
        self.chart = self.rated(self.best * 1.2) if rng.random() < 0.3 else None
        chart = ""
        if self.chart is not None:
            chart = f", chart: [{{radius: 2 m, capacity: {self.chart} kg}}], block included: yes"
        error = f", cell error: {self.share} %" if self.share else ", cell error: 1 kg"
        return (
            SCALE
            + "- component: block\n  name: Block\n  kind: part\n  centre: [0 mm, 0 mm, 0 mm]\n"
            + f"  masses: [{{printed: {self.best} kg, plus or minus: {self.doubt} kg, source: scale}}]\n"
            + f"  attitudes: [{{id: up, name: up}}]\n  pick points:\n{points}"
            + "- lift group: block-up\n  name: Block up\n  root: block\n  takes: [[block]]\n  attitude: up\n"
            + "  trapped: none\n  packing: none\n  checked by: rigger\n"
            + f"  gear:\n{chr(10).join(used)}\n  picks:\n{picks}  mover: hoist\n  radius: 2 m\n"
            + (f"  zeroed with gear: {self.zeroed}\n" if self.zeroed else "")
            + f"- {{mover: hoist, name: Hoist, kind: crane, rated: {self.plate} kg{chart}{error}}}\n"
            + "".join(item.record for item in self.items)
        )

    def asked(self, item: Item) -> float:
        """The most that one piece is asked, by the walk."""
        high = self.best + self.doubt
        steep = 1.0 / np.cos(np.radians(self.lean))
        in_leg = any(item is link for own in self.links for link in own) or (
            not self.several and any(item is sling for sling in self.slings)
        )
        below = sum(other.high for other in item.under)
        return float(high * self.part + steep * below) if in_leg else float(high + below)

    def reached(self, item: Item, rating: float) -> float:
        """The lowest reading at which a piece reaches its rating, by the walk, less the error of the cell."""
        steep = 1.0 / np.cos(np.radians(self.lean))
        in_leg = any(item is link for own in self.links for link in own) or (
            not self.several and any(item is sling for sling in self.slings)
        )
        pull, weight = (self.part, steep) if in_leg else (1.0, 1.0)
        shown = [] if self.zeroed == "yes" else [other for other in self.items if not other.above]
        least = np.inf
        # Masses enter one by one, so each end by itself is looked at.
        at = rating / pull
        for other in self.items:
            factor = sum(1.0 for one in shown if one is other)
            factor -= weight / pull * sum(1.0 for one in item.under if one is other)
            at += min(factor * other.low, factor * other.high)
        least = min(least, at)
        return float(least - self.error(least))

    def error(self, reading: float) -> float:
        return self.share / 100.0 * max(0.0, reading) if self.share else 1.0


def row(answer: LiftAnswer, name: str) -> RatingFigure | None:
    return next((one for one in answer.ratings if one.name.startswith(name)), None)


def check(lift: Lift, answer: LiftAnswer, found: Count, words: str) -> None:
    """Every figure of one answer beside the walk."""
    high = lift.best + lift.doubt
    gear = [0.0, 0.0]
    for item in lift.items:
        gear[0] += item.high
        gear[1] += 0.0 if item.above else item.high
    expected = answer.reading.expected
    reading = high + (0.0 if lift.zeroed == "yes" else gear[1])
    if expected is None or expected.high is None or abs(expected.high - reading) > 1e-6 * reading:
        found.note("dangerous", f"{words}: reading up to {expected}, by the walk {reading}")
    hoist = row(answer, "Hoist")
    plate = min(lift.plate, lift.chart) if lift.chart is not None else lift.plate
    compare(found, f"{words}: Hoist", hoist, high + gear[0], plate, exact=True)
    for item in lift.items:
        if item.rating is None:
            continue
        own = row(answer, f"piece {item.name}")
        compare(found, f"{words}: {item.name}", own, lift.asked(item), item.rating, exact=lift.order_told)
        named = f"piece {item.name}"
        at = next(
            (s.at_kg for s in answer.reading.stops if str(s.reason.facts.get("name")).startswith(named)), None
        )
        truth = lift.reached(item, item.rating)
        if at is None or at > truth + NEAR * max(1.0, abs(truth)):
            found.note("dangerous", f"{words}: {item.name} reached at {at}, by the walk {truth}")
        elif lift.order_told and at < truth - NEAR * max(1.0, abs(truth)):
            found.note("wide", f"{words}: {item.name} reached at {at}, by the walk {truth}")
    if lift.several:
        pulls = [
            high * lift.part + sum(link.high for link in own) / np.cos(np.radians(lift.lean))
            for own in lift.links
        ]
        compare(
            found,
            f"{words}: one leg",
            row(answer, "one leg of"),
            max(pulls),
            lift.single,
            exact=lift.order_told,
        )
        whole = row(answer, "piece sling")
        below = sum(link.high for own in lift.links for link in own)
        compare(found, f"{words}: whole tag", whole, high + below, lift.whole, exact=lift.order_told)
        half = row(answer, "piece sling, legs not even")
        if abs(lift.lean - 15.0) > 0.05 and (half is not None) is not (
            lift.lean < 15.0 and lift.whole is not None
        ):
            found.note("dangerous", f"{words}: half of the tag at {lift.lean:.2f}°: {half}")


def compare(
    found: Count, words: str, own: RatingFigure | None, asked: float, rating: float | None, *, exact: bool
) -> None:
    """One row: what it is asked, what it may carry, and whether it says that this is too much."""
    if own is None:
        found.note("dangerous", f"{words}: neither compared nor named")
        return
    if own.demand_kg is None or own.demand_kg < asked * (1.0 - 1e-3):
        found.note("dangerous", f"{words}: asked {own.demand_kg}, by the walk {asked}")
    elif exact and own.demand_kg > asked * (1.0 + NEAR):
        found.note("wide", f"{words}: asked {own.demand_kg}, by the walk {asked}")
    if rating is None:
        if own.rating_kg is not None or not own.not_compared:
            found.note("dangerous", f"{words}: rated {own.rating_kg} where nothing is")
        return
    if own.rating_kg is None or own.rating_kg > rating * (1.0 + 1e-6):
        found.note("dangerous", f"{words}: rated {own.rating_kg}, by the walk {rating}")
    if asked > rating * (1.0 + NEAR) and own.over is not True:
        found.note("dangerous", f"{words}: {asked} on {rating} and no word")
    if exact and asked < rating * (1.0 - NEAR) and own.over is not False:
        found.note(
            "wide", f"{words}: {asked} on {rating} and said to be too much: {own.over} {own.not_compared}"
        )


def spoilt(rng: np.random.Generator, text: str) -> str:
    """The same records as somebody in a hurry leaves them: things left out, doubled, hung from the wrong place."""
    names = re.findall(r"- \{gear: (\w+), name", text)

    def some(pattern: str, put: str, times: float = 0.3) -> str:
        return re.sub(pattern, lambda match: match.expand(put) if rng.random() < times else match[0], text)

    for _ in range(int(rng.integers(1, 5))):
        other = str(rng.choice([*names, "hook", "nothing"]))
        text = [
            lambda: some(r"own mass: [\d.]+ kg, plus or minus: [\d.]+ kg, ", ""),
            lambda: some(r", hangs from: \w+", ""),
            lambda o=other: some(r", hangs from: \w+", f", hangs from: {o}"),
            lambda: some(r"count: 1", f"count: {rng.choice(['2', '3', '0.5', '12'])}"),
            lambda: some(r"    - \{gear: \w+, count: 1[^}]*\}\n", ""),
            lambda: some(r"  attitude: up\n", "", 0.8),
            lambda: some(r", tag: \[[^\]]*\]", ""),
            lambda: some(r", above cell: yes", ", above cell: no"),
            lambda: some(r"count: 1", "count: 1, above cell: yes"),
            lambda: some(r"sling: \w+, ", ""),
            lambda: some(r", legs: \d", f", legs: {rng.integers(1, 6)}"),
            lambda: some(r"direction: z, ", "", 0.5),
            lambda: some(r"length: [\d.]+ mm, length plus", "length: 1 mm, length plus", 0.5),
            lambda: some(r"kind: (hook|swivel|master link)", r"kind: eye bolt"),
            lambda: some(r", rated: [\d.]+ kg", "", 0.5),
            lambda: some(r"masses: .*\n", "remark: nobody weighed it\n", 0.5),
        ][int(rng.integers(16))]()
    return text


def survives(rng: np.random.Generator, text: str, found: Count) -> None:
    """Records that are left like this are refused with a reason, or answered with every piece of gear named."""
    read = reading(text)
    if any(finding.verdict is Verdict.FAULT for finding in read.findings):
        return
    list(checked(read.collection))
    try:
        answer = lift_answer(read.collection, "block-up", LiftQuestion(factors=rating_factors()))
    except HandlingError:
        return
    lift_lines(answer)
    group = read.collection.lift_groups["block-up"]
    used = {entry.gear for entry in listed(group.gear)}
    for pick in listed(group.picks):
        used |= {pick.sling, *pick.links} - {None}
    rows = " | ".join(one.name for one in answer.ratings)
    for gear in used:
        record = read.collection.gear.get(gear)
        if (record.name if record is not None else gear) not in rows:
            found.note("dangerous", f"{gear} neither compared nor named\n{text}")
    for one in answer.ratings:
        if one.over is None and not one.not_compared:
            found.note("dangerous", f"{one.name}: neither compared nor a reason\n{text}")
        if one.over is False and (one.demand_kg is None or one.at_least or one.rating_kg is None):
            found.note("dangerous", f"{one.name}: compared with what is not known\n{text}")


def run(rng: np.random.Generator, seconds: float) -> Count:
    """Random lifts for so many seconds."""
    until, found = time.monotonic() + seconds, Count()
    rules = rating_factors()
    for _ in itertools.count():
        if found.cases and time.monotonic() >= until:
            return found
        found.cases += 1
        lift = Lift(rng)
        text = lift.text()
        if rng.random() < 0.4:
            text = spoilt(rng, text)
            try:
                survives(rng, text, found)
            except Exception as error:
                found.note("crashes", f"{type(error).__name__}: {error}\n{text}")
            continue
        try:
            answer = lift_answer(collection(text), "block-up", LiftQuestion(factors=rules))
        except Exception as error:
            found.note("crashes", f"{type(error).__name__}: {error}\n{text}")
            continue
        check(lift, answer, found, f"{lift.legs} legs at {lift.lean:.1f}°, order {lift.order_told}")
    return found
