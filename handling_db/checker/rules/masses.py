"""What nobody knows: parts without a mass, and what a figure does not say of itself."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator

from handling_db.checker.evidence import Evidence, listed
from handling_db.findings import Finding
from handling_db.records.kinds.component import Component
from handling_db.records.parts.texts import STATES, State

ANCESTORS = 50  # how many totals are looked at for one part; the sentence names a few of them


def mass_missing(evidence: Evidence) -> Iterator[Finding]:
    """A part without a usable figure: it is never counted as nothing, and totals become "at least"."""
    for code, component in sorted(evidence.collection.components.items()):
        if component.parts:
            continue
        states = _unknown_in(evidence, code, component)
        if states:
            yield _missing(evidence, code, component, states)


def _unknown_in(evidence: Evidence, code: str, component: Component) -> dict[State, int]:
    """The states in which a part has no mass, each with a node where it has none."""
    asked: tuple[State, ...] = STATES if component.fluid is not None else ("dry",)
    found: dict[State, int] = {}
    for state in asked:
        figures = evidence.judge.totals(state).figures
        for node in evidence.nodes_of.get(code, ()):
            if figures[node].mass is None:
                found.setdefault(state, node)
    return found


def _missing(evidence: Evidence, code: str, component: Component, states: dict[State, int]) -> Finding:
    state, node = next(iter(states.items()))
    if component.fluid is not None:
        field: tuple[str, ...] = ("fluid", "stays") if state == "drained" else ("fluid", "litres")
        what = f"{component.name} has no mass {' or '.join(states)}"
        why = "nobody looked how much stays inside" if state == "drained" else "its litres are a formula"
        remedy = "Write the litres that stay after draining ('stays'), or 'none' with 'checked by'."
        if state != "drained":
            remedy = "Write how many litres go in."
    else:
        field = ("masses" if component.masses else "component",)
        what, why = f"{component.name} has no mass", _why(evidence, code)
        remedy = "Weigh it, or write its figure under 'masses' with the source."
    sentence = f"{what}: {why}; {_goes_into(evidence, code, node, state)}."
    return evidence.at("component", code, *field).unchecked("mass-missing", sentence, remedy)


def _why(evidence: Evidence, code: str) -> str:
    found = evidence.witnesses(code)
    if not found:
        return "no source says what it weighs"
    if all(witness.packed for witness in found):
        return "it was only weighed with its packing"
    if all(witness.waits for witness in found):
        return "there is only a reading of work done, which nobody has confirmed"
    if all(witness.changed is not None for witness in found):
        return "a part in it was changed after it was weighed"
    if not any(witness.chosen for witness in found):
        only = found[0].kind.name
        return f"there is only a figure {only}, which is never added up"
    return "no figure is for this build"


def _goes_into(evidence: Evidence, code: str, node: int, state: State) -> str:
    parents = list(dict.fromkeys(parent for parent, _ in evidence.lines_of.get(code, ())))
    if not parents:
        return "it goes into nothing"
    into = f"it goes into {listed(evidence.name(parent) for parent in parents)}"
    above = _at_least(evidence, node, state)
    if not above:
        return into
    names = listed(evidence.name(code) for code in above)
    if len(above) > ANCESTORS:
        names = f"{listed(evidence.name(code) for code in above[:3])} and at least {ANCESTORS - 3} more"
    total = "the total of" if len(above) == 1 else "the totals of"
    verb = "is" if len(above) == 1 else "are"
    return f'{into}; {total} {names} {verb} "at least"'


def _at_least(evidence: Evidence, node: int, state: State) -> list[str]:
    """Components whose total lacks this part, the nearest first, no more than a few over `ANCESTORS`."""
    figures = evidence.judge.totals(state).figures
    reached = {node}
    found: dict[str, None] = {}
    queue = deque([node])
    while queue and len(found) <= ANCESTORS:
        for parent in evidence.parents.get(queue.popleft(), ()):
            mass = figures[parent].mass
            if parent in reached or mass is None or mass.complete:
                continue
            reached.add(parent)
            found[evidence.tree.component(parent)] = None
            queue.append(parent)
    return list(found)


def boundary_not_stated(evidence: Evidence) -> Iterator[Finding]:
    """A whole whose source does not say what it counts: it can disprove the parts, never bear them out."""
    for one in evidence.judged:
        witness = one.witness
        if witness.boundary_known:
            continue
        lacks = "counts" if witness.counts is None else "without"
        said = "what it counts" if witness.counts is None else "what it leaves out"
        yield evidence.where(witness).remark(
            "boundary-not-stated",
            f"{witness.source.name} has {witness.printed}, but {said} is not stated;",
            f"look it up and write '{lacks}' ('without: none' needs 'checked by').",
        )


def nothing_listed(evidence: Evidence) -> Iterator[Finding]:
    """A figure that counts what is listed, for something that lists nothing: its only part may be lost."""
    for code in evidence.with_figures:
        component = evidence.collection.components[code]
        if component.parts:
            continue
        for witness in evidence.witnesses(code):
            ids = isinstance(witness.counts, tuple) or isinstance(witness.without, tuple)
            if witness.counts != "as listed" and not ids:
                continue
            says = "names parts it counts or leaves out" if ids else "counts what is listed"
            yield evidence.where(witness, "without" if witness.counts is None else "counts").remark(
                "nothing-listed",
                f"{component.name}: the figure {witness.printed} {says}, and no part is listed here;",
                "list its parts, or take the boundary out if it is one piece.",
            )


def state_not_stated(evidence: Evidence) -> Iterator[Finding]:
    """A whole with fluid inside whose source does not say whether it is dry, drained or filled."""
    has_fluid = evidence.judge.totals("dry").has_fluid
    for one in evidence.judged:
        witness = one.witness
        if witness.state is None and one.node is not None and has_fluid[one.node]:
            yield evidence.where(witness).remark(
                "state-not-stated",
                f"{witness.source.name} has {witness.printed}, and fluid is listed inside: "
                "dry, drained or filled is not stated;",
                "write 'state'.",
            )


def step_assumed(evidence: Evidence) -> Iterator[Finding]:
    """A figure whose step of rounding was read off its digits, the coarser reading."""
    for code in evidence.with_figures:
        for witness in evidence.witnesses(code):
            if witness.step_assumed:
                yield evidence.where(witness).remark(
                    "step-assumed",
                    f"{witness.printed}: the step of rounding is assumed from the digits;",
                    "write 'step' (or 'plus or minus') if the source says more.",
                )


def reading_waits(evidence: Evidence) -> Iterator[Finding]:
    """A weighing read in the course of work that nobody has confirmed: it may raise a plan, and no more."""
    for code in evidence.with_figures:
        for witness in evidence.witnesses(code):
            if not witness.waits:
                continue
            day = f", {witness.on.isoformat()}" if witness.on else ""
            yield evidence.where(witness).unchecked(
                "reading-waits",
                f"{evidence.name(code)}: {witness.printed} ({witness.source.name}{day}) was read in the "
                "course of work and nobody has confirmed it; it is in no sum, it may only raise the plan.",
                "Ask what hung or stood there, and whether it was free; then: handling-db job confirm "
                f"{witness.id}. Or write a weighing that replaces it.",
            )


def weighed_before_change(evidence: Evidence) -> Iterator[Finding]:
    """A weighing older than a change of parts in what was weighed: it no longer counts for it."""
    for code in evidence.with_figures:
        for witness in evidence.witnesses(code):
            if witness.changed is None or witness.on is None:
                continue
            yield evidence.where(witness).unchecked(
                "weighed-before-change",
                f"{evidence.name(code)}: {witness.printed} ({witness.source.name}, {witness.on.isoformat()}) "
                f"was weighed before a part in it was changed on {witness.changed.isoformat()}; it no longer "
                "counts for it.",
                "Weigh it again, or retire it: write a weighing that 'replaces' it.",
            )
