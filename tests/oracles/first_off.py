"""Random small units under a limit: the fewest pieces that come off, against brute force over every choice.

The unit, what holds what in, the wholes weighed and the limit are made here as numbers; the program sees YAML
text. Here every choice of acts is tried, its order is looked for by going forward, and the rest is bounded by
a linear program of its own (scipy's `linprog`, HiGHS) over all masses that the readings allow.
"""

from __future__ import annotations

import datetime
import itertools
import math
import time
from dataclasses import dataclass, field

import numpy as np
from scipy.optimize import linprog

from handling_db.jobs.lighten.answer import lighten_answer
from handling_db.jobs.lighten.asked import LightenQuestion
from tests.from_text import collection
from tests.oracles.count import Count

NEAR = 1e-6  # [kg]
HANDS = 25.0  # hand limit of the shop [kg]


@dataclass
class Leaf:
    """A part line of an assembly: so many alike, weighed or not, and what they hold in."""

    name: str
    many: int
    true: float
    half: float
    weighed: bool
    holds: list[str] = field(default_factory=list)


class Case:
    """One random unit of two or three assemblies and some loose parts."""

    def __init__(self, rng: np.random.Generator) -> None:
        number = itertools.count()
        self.groups: list[list[Leaf]] = []
        for _ in range(int(rng.integers(1, 4))):
            self.groups.append([self._leaf(rng, next(number)) for _ in range(int(rng.integers(1, 4)))])
        self.as_one = [bool(rng.random() < 0.6) for _ in self.groups]
        self.open = [bool(rng.random() < 0.15) for _ in self.groups]
        self.more = [float(rng.integers(1, 30)) if opened else 0.0 for opened in self.open]
        self.loose = [self._leaf(rng, next(number)) for _ in range(int(rng.integers(0, 3)))]
        leaves = self.leaves()
        for place, leaf in enumerate(leaves):  # only what comes later is behind it: no ring
            behind = [other.name for other in leaves[place + 1 :] if rng.random() < 0.2]
            leaf.holds = behind
        self.whole = bool(rng.random() < 0.6)
        self.whole_half = float(rng.choice([0.5, 2.0]))
        self.weighed_groups = [bool(rng.random() < 0.3) for _ in self.groups]
        total = sum(leaf.many * leaf.true for leaf in leaves) + sum(self.more)
        self.total = total
        self.limit = round(total * float(rng.uniform(0.25, 1.02)) + 0.00037, 5)
        self.share = float(rng.choice([0.0, 0.0, 0.1]))

    @staticmethod
    def _leaf(rng: np.random.Generator, number: int) -> Leaf:
        true = round(float(rng.choice([rng.uniform(1, 24), rng.uniform(26, 200)])), 2)
        half = float(rng.choice([0.05, 0.5]))
        many = int(rng.choice([1, 1, 1, 2]))
        return Leaf(f"part{number}", many, true, half, bool(rng.random() < 0.8))

    def leaves(self) -> list[Leaf]:
        return [*(leaf for group in self.groups for leaf in group), *self.loose]

    def text(self) -> str:
        """The records."""
        lines = [
            "- {source: scale, name: floor scale, kind: weighed}",
            f"- {{shop: here, name: Here, hand limit: {HANDS:g} kg, break loose: 10 %}}",
            "- component: unit\n  name: Unit\n  kind: assembly\n  parts listed: all\n  parts:",
        ]
        lines += [f"    - {{component: group{n}, quantity: 1}}" for n in range(len(self.groups))]
        lines += [f"    - {{component: {leaf.name}, quantity: {leaf.many}}}" for leaf in self.loose]
        known = "state: dry, counts: as listed, without: none, checked by: me"
        if self.whole:
            lines.append(
                f"  masses:\n    - {{printed: {self.total:.2f} kg, plus or minus: {self.whole_half} kg, "
                f"source: scale, {known}}}"
            )
        for n, group in enumerate(self.groups):
            listed = "some" if self.open[n] else "all"
            lines.append(
                f"- component: group{n}\n  name: Group {n}\n  kind: assembly\n  parts listed: {listed}\n  parts:"
            )
            lines += [f"    - {{component: {leaf.name}, quantity: {leaf.many}}}" for leaf in group]
            if self.as_one[n]:
                lines.append("  attitudes: [{id: up, name: as it stands}]")
            if self.weighed_groups[n]:
                mass = sum(leaf.many * leaf.true for leaf in group) + self.more[n]
                lines.append(
                    f"  masses:\n    - {{printed: {mass:.2f} kg, plus or minus: 0.5 kg, source: scale, {known}}}"
                )
        for leaf in self.leaves():
            lines.append(f"- component: {leaf.name}\n  name: {leaf.name}\n  kind: part")
            if leaf.holds:
                lines.append(f"  holds in: [{', '.join(f'{{part: {name}}}' for name in leaf.holds)}]")
            if leaf.weighed:
                lines.append(
                    f"  masses:\n    - {{printed: {leaf.true:.2f} kg, plus or minus: {leaf.half} kg, source: scale}}"
                )
        loose = "parts joints: [seam]" if self.share else "checked by: me"
        lines.append(
            "- lift group: up\n  name: Up\n  root: unit\n  takes: [[unit]]\n  trapped: none\n  packing: none\n"
            f"  gear: none\n  picks: none\n  {loose}\n" + ("  checked by: me\n" if self.share else "")
        )
        if self.share:  # a joint of another unit altogether: something breaks loose, nothing is in the way
            lines.append(
                "- component: other\n  name: Other\n  kind: assembly\n  parts listed: all\n  parts:\n"
                "    - {component: left, quantity: 1}\n    - {component: right, quantity: 1}\n"
                "- {component: left, name: Left, kind: part}\n- {component: right, name: Right, kind: part}\n"
                "- {joint: seam, name: Seam, within: other, between: [left, right], ties: none, checked by: me}"
            )
        return "\n".join(lines) + "\n"

    def most(self, counts: np.ndarray) -> float:
        """What so many of each leaf, and so much of each open rest, weigh at most. [kg]"""
        leaves, groups = self.leaves(), len(self.groups)
        bounds: list[tuple[float, float | None]] = [
            (leaf.true - leaf.half, leaf.true + leaf.half) if leaf.weighed else (0.0, None) for leaf in leaves
        ]
        bounds += [(0.0, None if opened else 0.0) for opened in self.open]
        rows, ends = [], []

        def whole(row: np.ndarray, read: float, half: float) -> None:
            rows.extend((row, -row))
            ends.extend((read + half, -(read - half)))

        everything = np.array([leaf.many for leaf in leaves] + [1.0] * groups)
        if self.whole:
            whole(everything, round(self.total, 2), self.whole_half)
        start = 0
        for n, group in enumerate(self.groups):
            if self.weighed_groups[n]:
                row = np.zeros(len(everything))
                row[start : start + len(group)] = [leaf.many for leaf in group]
                row[len(leaves) + n] = 1.0
                read = sum(leaf.many * leaf.true for leaf in group) + self.more[n]
                whole(row, round(read, 2), 0.5)
            start += len(group)
        found = linprog(-counts, A_ub=np.array(rows) if rows else None, b_ub=ends or None, bounds=bounds)
        return math.inf if found.status == 3 else float(-found.fun)

    def best(self) -> tuple[int, float, dict[frozenset[tuple[str, int]], float]] | None:
        """Fewest acts, least kilograms on the hook for them, and the rest of each such choice; None: none."""
        leaves, groups = self.leaves(), len(self.groups)
        full = np.array([leaf.many for leaf in leaves] + [float(opened) for opened in self.open])
        spans, start = [], 0
        for group in self.groups:
            spans.append(range(start, start + len(group)))
            start += len(group)
        acts = [(f"part {leaf.name}", i) for i, leaf in enumerate(leaves)]
        wholes = [
            n for n in range(groups) if self.as_one[n] and self._several(n) and len(spans[n]) < len(full)
        ]
        budget = self.limit / (1 + self.share)
        heavy: dict[object, float] = {}

        def on_hook(which: object, counts: np.ndarray) -> float:
            if which not in heavy:
                heavy[which] = self.most(counts)
            return 0.0 if heavy[which] <= HANDS else (1e5 if math.isinf(heavy[which]) else heavy[which])

        found: dict[int, list[tuple[float, frozenset[tuple[str, int]], float]]] = {}
        ranges = [range(leaf.many + 1) for leaf in leaves] + [range(2)] * len(wholes)
        choices = sorted(itertools.product(*ranges), key=sum)
        for choice in choices:
            size = sum(choice)
            if size == 0 or (found and size > min(found)):
                continue
            off = np.zeros(len(full))
            off[: len(leaves)] = choice[: len(leaves)]
            for one, n in zip(choice[len(leaves) :], wholes, strict=True):
                if one:
                    off[list(spans[n])] = full[list(spans[n])]
                    off[len(leaves) + n] = full[len(leaves) + n]
            if not (off < full)[: len(leaves)].any() or not self._possible(choice, wholes, spans):
                continue
            rest = self.most(full - off)
            if rest > budget + 1e-9:
                continue
            hook = 0.0
            for (_, i), many in zip(acts, choice, strict=False):
                unit = np.zeros(len(full))
                unit[i] = 1.0
                hook += many * (on_hook(i, unit) if many else 0.0)
            for one, n in zip(choice[len(leaves) :], wholes, strict=True):
                unit = np.zeros(len(full))
                unit[list(spans[n])] = full[list(spans[n])]
                unit[len(leaves) + n] = full[len(leaves) + n]
                hook += on_hook(("group", n), unit) if one else 0.0
            names = frozenset(
                [(leaves[i].name, many) for i, many in enumerate(choice[: len(leaves)]) if many]
                + [(f"group{n}", 1) for one, n in zip(choice[len(leaves) :], wholes, strict=True) if one]
            )
            found.setdefault(size, []).append((hook, names, rest))
        if not found:
            return None
        size = min(found)
        least = min(hook for hook, _, _ in found[size])
        return size, least, {names: rest for _, names, rest in found[size]}

    def _several(self, n: int) -> bool:
        """Whether an assembly is more than one thing."""
        return sum(leaf.many for leaf in self.groups[n]) + self.open[n] > 1

    def _possible(self, choice: tuple[int, ...], wholes: list[int], spans: list[range]) -> bool:
        """Whether some order of these acts keeps every piece on until what holds it in is off."""
        leaves = self.leaves()
        place = {leaf.name: i for i, leaf in enumerate(leaves)}
        holders: dict[int, list[int]] = {}
        for i, leaf in enumerate(leaves):
            for name in leaf.holds:
                holders.setdefault(place[name], []).append(i)
        waiting = [[i] for i, many in enumerate(choice[: len(leaves)]) for _ in range(many)]
        waiting += [list(spans[n]) for one, n in zip(choice[len(leaves) :], wholes, strict=True) if one]
        single = [len(act) == 1 and w < sum(choice[: len(leaves)]) for w, act in enumerate(waiting)]
        left = [leaf.many for leaf in leaves]
        pending = list(zip(waiting, single, strict=True))
        while pending:
            for number, (act, one) in enumerate(pending):
                gone = [i for i in act if left[i] > 0]
                ready = all(left[h] == 0 or (h in act and not one) for i in gone for h in holders.get(i, []))
                if ready:
                    for i in act:
                        left[i] = max(0, left[i] - 1) if one else 0
                    pending.pop(number)
                    break
            else:
                return False
        return True


def run(rng: np.random.Generator, seconds: float) -> Count:
    """New cases for so long. [s]"""
    count = Count()
    end = time.monotonic() + seconds
    while time.monotonic() < end or count.cases < 3:
        case = Case(rng)
        count.cases += 1
        text = case.text()
        try:
            answer = lighten_answer(
                collection(text),
                LightenQuestion(
                    what="up", under_kg=_kg(case.limit), shop="here", as_of=datetime.date(2026, 1, 1)
                ),
            )
        except Exception as error:
            count.note("crashes", f"{type(error).__name__}: {error}\n{text}")
            continue
        _hold(count, case, answer, text)
    return count


def _kg(limit: float):
    from fractions import Fraction

    return Fraction(f"{limit:.5f}")


def _hold(count: Count, case: Case, answer, text: str) -> None:
    leaves = case.leaves()
    full = np.array([leaf.many for leaf in leaves] + [float(opened) for opened in case.open])
    whole = case.most(full) * (1 + case.share)
    if whole <= case.limit:
        if answer.fewest != 0:
            count.note("wide", f"everything on is {whole}, under {case.limit}; said {answer.fewest}\n{text}")
        return
    best = case.best()
    if best is None:
        if answer.fewest is not None:
            count.note("dangerous", f"nothing serves; said {answer.fewest} off\n{text}")
        return
    size, hook, rests = best
    if answer.fewest != size or not answer.proved:
        kind = "dangerous" if answer.fewest is not None and answer.fewest < size else "wide"
        said = f"{size} are the fewest under {case.limit}; said {answer.fewest}, proved {answer.proved}"
        count.note(kind, f"{said}: {sorted(map(sorted, rests))}\n{text}")
        return
    least = min(option.hook_kg for option in answer.options)
    named = {name for one in answer.others for name in one}
    if abs(least - hook) > NEAR and not named:
        count.note("wide", f"{hook} kg on the hook is the least; said {least}\n{text}")
    for option in answer.options:
        names: dict[str, int] = {}
        for one in option.off:
            names[one.id] = names.get(one.id, 0) + 1
        true = rests.get(frozenset(names.items()))
        if true is None:
            count.note("dangerous", f"{names} is no choice that serves\n{text}")
        elif abs(option.rest.pieces.high - true) > NEAR + 1e-6 * true:
            kind = "dangerous" if option.rest.pieces.high < true else "wide"
            count.note(
                kind, f"the rest without {names} is at most {true}; said {option.rest.pieces.high}\n{text}"
            )
