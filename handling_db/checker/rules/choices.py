"""Recorded choices: do they name what there is, do they have a say, and is what stays open overdue?"""

from __future__ import annotations

from collections.abc import Iterator

from handling_db.checker.evidence import At, Evidence
from handling_db.families.build import BuildError, read_value
from handling_db.findings import Finding
from handling_db.records.kinds.choice import Choice
from handling_db.records.parts.texts import STATES
from handling_db.weights.choose import not_replaced
from handling_db.weights.witness import Witness


def choice_reference(evidence: Evidence) -> Iterator[Finding]:
    """A choice about a component, a figure or another choice that is not there."""
    collection = evidence.collection
    replaced = {choice.replaces for choice in collection.choices.values()}
    for code, choice in sorted(collection.choices.items()):
        if choice.component not in collection.components:
            if evidence.absent("component", choice.component):
                yield _fault(evidence, choice, "component", f"there is no component {choice.component!r};")
            continue
        figures = {witness.id for witness in evidence.witnesses(choice.component)}
        if choice.statement is not None and choice.statement not in figures and code not in replaced:
            yield _at(evidence, choice, "statement").unchecked(
                "choice-reference",
                f"choice {code} took the figure {choice.statement!r} of {evidence.name(choice.component)}, "
                "which is no longer in force, so it has no effect;",
                "choose again among the figures that are, with a choice that says 'replaces'.",
            )
        earlier = collection.choices.get(choice.replaces or "")
        if earlier is None:
            if choice.replaces is not None:
                yield _fault(evidence, choice, "replaces", f"there is no choice {choice.replaces!r};")
        elif earlier.component != choice.component:
            told = f"choice {earlier.id!r} is about {evidence.name(earlier.component)!r}, not about the same;"
            yield _fault(evidence, choice, "replaces", told)
        elif _in_a_ring(evidence, choice):
            told = f"choice {code!r} replaces itself by way of {earlier.id!r}, so none of them is in force;"
            yield _fault(evidence, choice, "replaces", told)


def _in_a_ring(evidence: Evidence, choice: Choice) -> bool:
    """Whether following 'replaces' leads back to a choice."""
    seen: set[str] = set()
    at: Choice | None = choice
    while at is not None and at.replaces is not None and at.id not in seen:
        seen.add(at.id)
        if at.replaces == choice.id:
            return True
        at = evidence.collection.choices.get(at.replaces)
    return False


def choice_without_effect(evidence: Evidence) -> Iterator[Finding]:
    """A settled choice that is never asked, or whose figure cannot stand for what it was chosen for."""
    for code, several in sorted(not_replaced(evidence.collection.choices.values()).items()):
        if code not in evidence.collection.components:
            continue
        figures = {witness.id: witness for witness in evidence.witnesses(code)}
        for choice in several:
            witness = figures.get(choice.statement or "")
            wrong = _wrong_build(evidence, choice)
            if wrong:
                remedy = "name parameters that the component has, with values they can take."
                yield _at(evidence, choice, "build").unchecked(
                    "choice-without-effect", f"choice {choice.id}: {wrong};", remedy
                )
            elif witness is not None:
                yield from _never_asked(evidence, choice, witness)


def _wrong_build(evidence: Evidence, choice: Choice) -> str:
    parameters = evidence.collection.components[choice.component].parameters
    for name, text in (choice.build or {}).items():
        if name not in parameters:
            return f"{evidence.name(choice.component)} has no parameter {name!r}"
        try:
            read_value(name, parameters[name], text)
        except BuildError as error:
            return str(error)
    return ""


def _never_asked(evidence: Evidence, choice: Choice, witness: Witness) -> Iterator[Finding]:
    name = evidence.name(choice.component)
    asked, unfinished, other = False, False, ""
    for node in evidence.nodes_of.get(choice.component, ()):
        for state in STATES if choice.state is None else (choice.state,):
            totals = evidence.judge.totals(state)
            decided = totals.decided(node)
            if decided is not None and decided.choice is choice:
                asked = True
                unfinished = unfinished or totals.figures[node].basis != "sum of parts"
                unfinished = unfinished or not totals.of(node).known
            elif decided is not None and decided.gone is not choice:
                newer = decided.choice or decided.open
                other = newer.id if newer is not None else other
    if asked:
        parts = evidence.collection.components[choice.component].parts
        if parts and unfinished and not witness.is_whole:
            yield _at(evidence, choice, "statement").unchecked(
                "choice-without-effect",
                f"choice {choice.id} took {witness.printed} for {name}, but that does not say that it counts "
                "everything listed and leaves nothing out, so it cannot stand for the whole;",
                "look up what the figure counts and write 'counts' and 'without' with it.",
            )
    elif other:
        told = f"choice {choice.id} about {name} has no effect, because choice {other} stands beside it;"
        yield _at(evidence, choice, "choice").unchecked(
            "choice-without-effect", told, "write in the one that holds that it 'replaces' the other."
        )
    elif evidence.nodes_of.get(choice.component):
        yield _at(evidence, choice, "statement").unchecked(
            "choice-without-effect",
            f"choice {choice.id} took {witness.printed} for {name}, which is of another state or build, or "
            "was weighed packed, so it has no effect;",
            "choose a figure of the state and build it is for.",
        )


def _at(evidence: Evidence, choice: Choice, field: str) -> At:
    return evidence.at("choice", choice.id, field)._replace(about=choice.component)


def _fault(evidence: Evidence, choice: Choice, field: str, sentence: str) -> Finding:
    remedy = "correct the id, or take the choice out."
    return evidence.at("choice", choice.id, field).fault("choice-reference", sentence, remedy)


def conflict_overdue(evidence: Evidence) -> Iterator[Finding]:
    """A conflict that somebody keeps open past the day it was to be settled by."""
    for code, several in sorted(not_replaced(evidence.collection.choices.values()).items()):
        for choice in sorted(several, key=lambda one: one.id):
            due = choice.settle_by
            if due is None or evidence.as_of is None or due >= evidence.as_of:
                continue
            if any(_settles(other, choice) for other in several):
                continue
            yield _at(evidence, choice, "settle by").remark(
                "conflict-overdue",
                f"the figures of {evidence.name(code)} were to be settled by {due.isoformat()} by "
                f"{choice.owner}: {choice.reason}",
                "Weigh it, choose, or name a new day; until then the larger upper figure is planned with.",
            )


def _settles(other: Choice, choice: Choice) -> bool:
    """Whether a choice answers the question that another one holds open."""
    same = other.state in (None, choice.state) and other.build in (None, choice.build)
    return other.settled and same and other.on >= choice.on


def decision_on(evidence: Evidence, witness: Witness) -> tuple[str, bool]:
    """Who chose among the figures that one is of, or who has the open question and until when.

    Empty where nobody recorded either; with it whether somebody chose.
    """
    node = evidence.judge.node_of(witness) if evidence.collection.choices else None
    if node is None:
        return "", False
    decided = evidence.judge.totals(witness.state or "filled").decided(node)
    if decided is None:
        return "", False
    if decided.choice is not None and decided.witness is not None:
        choice = decided.choice
        return f"{decided.witness.printed} was chosen by {choice.by} on {choice.on.isoformat()}.", True
    if decided.open is not None and decided.open.settle_by is not None:
        return f"It is with {decided.open.owner} until {decided.open.settle_by.isoformat()}.", False
    return "", False
