"""What all the evidence allows several pieces to weigh together, and the charges that may be in them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from fractions import Fraction

from handling_db.balance.together.body import Limit, Terms, terms_of
from handling_db.balance.together.reach import AllEvidence
from handling_db.weights.tree import Node

NOTHING = Fraction(0)


def with_charges(
    evidence: AllEvidence, pieces: Mapping[Node, Fraction], charges: Mapping[Node, Fraction], plan: Fraction
) -> Limit:
    """The plan of some pieces with all of some charges in them; None where figures contradict, or say less.

    Parameters
    ----------
    pieces : mapping of (component id, build) to count
    charges : mapping of (fluid id, build) to count
    plan : Fraction
        Of the same pieces without any. [kg]
    """
    if any(evidence.node(which) is None for which in pieces):
        return None
    start = evidence.recorded.tree.start
    dry = evidence.recorded.several({start[which]: many for which, many in pieces.items()})
    both = _added(dry, charge_terms(evidence, charges))
    if evidence.allowed.disputed(both):
        return None
    empty, full = evidence.most(dry), evidence.most(both)
    return None if empty is None or full is None else plan + max(full - empty, NOTHING)


def most_of(evidence: AllEvidence, charges: Mapping[Node, Fraction]) -> Limit:
    """All of some charges together, at most. [kg]"""
    return evidence.allowed.most(terms_of(dict(charge_terms(evidence, charges))))


def charge_terms(evidence: AllEvidence, charges: Mapping[Node, Fraction]) -> Terms:
    """Some charges, filled, as a weighted sum; nothing of one that the evidence knows no build of."""
    found: dict[int, Fraction] = {}
    for which, many in charges.items():
        node = evidence.node(which)
        if node is not None and node in evidence.recorded.charges:
            unknown = evidence.recorded.charges[node][1]
            found[unknown] = found.get(unknown, NOTHING) + many
    return terms_of(found)


def charges_around(evidence: AllEvidence, nodes: Iterable[Node]) -> dict[Node, Fraction]:
    """Charges listed around some pieces, any share of which may be in them; one charge counts once."""
    found: dict[Node, Fraction] = {}
    tree = evidence.recorded.tree
    for which in nodes:
        node = evidence.node(which)
        for fluid, many in evidence.recorded.around[node].items() if node is not None else ():
            key = tree.nodes[fluid]
            found[key] = max(found.get(key, NOTHING), many)
    return found


def unlisted_most(evidence: AllEvidence, which: Node) -> Limit:
    """The most that whatever belongs to a component and is not listed may weigh; None: no limit. [kg]"""
    node = evidence.node(which)
    if node is None or node not in evidence.recorded.unlisted:
        return None
    return evidence.most(((evidence.recorded.unlisted[node], Fraction(1)),))


def most_with_unlisted(
    evidence: AllEvidence, pieces: Mapping[Node, Fraction], opened: Iterable[tuple[Node, Fraction]]
) -> Limit:
    """The most that some pieces weigh with whatever else belongs to what they are in, dry. [kg]"""
    start = evidence.recorded.tree.start
    terms = evidence.recorded.several({start[which]: many for which, many in pieces.items()})
    rest = [
        (evidence.recorded.unlisted[start[which]], many)
        for which, many in opened
        if which in start and start[which] in evidence.recorded.unlisted
    ]
    return evidence.most(_added(terms, *(((unknown, many),) for unknown, many in rest)))


def _added(*several: Terms) -> Terms:
    counts: dict[int, Fraction] = {}
    for terms in several:
        for unknown, many in terms:
            counts[unknown] = counts.get(unknown, NOTHING) + many
    return terms_of(counts)
