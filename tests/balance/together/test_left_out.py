"""What is left of a contradiction: against an independent program, and by how much is worked out for it."""

from __future__ import annotations

import random
import shutil
from fractions import Fraction

import numpy as np
import pytest
from scipy.optimize import linprog

from handling_db.balance.together import consistent, reach
from handling_db.balance.together.allowed import Allowed
from handling_db.balance.together.body import BodyBuilder
from handling_db.balance.together.consistent import conflict_among, consistent_sets, sum_tree
from handling_db.balance.together.cut_open import CutOpen
from handling_db.balance.together.left_out import SumTree, without_circle
from handling_db.balance.together.limits import sweep
from handling_db.balance.together.shared_sums import shared_sums_named
from handling_db.files.folders import read_collection
from tests.balance.together.test_allowed import random_body

F = Fraction


def random_tree(rnd, *, together=0):
    """Wholes of parts, a charge that one of them may hold a share of, and figures of which some are off.

    So many figures more are of some parts of one whole on the scale together.
    """
    make = BodyBuilder()
    nodes = [make.unknown() for _ in range(rnd.randrange(3, 9))]
    leaves, wholes, all_parts = list(nodes), [], []
    truth = {leaf: F(rnd.randrange(1, 400), 10) for leaf in leaves}
    while len(nodes) > 1:
        many = min(len(nodes), rnd.randrange(2, 5))
        parts = [(nodes.pop(rnd.randrange(len(nodes))), F(rnd.choice([1, 1, 2, 3]))) for _ in range(many)]
        whole = make.unknown()
        make.whole(whole, parts)
        truth[whole] = sum((truth[part] * count for part, count in parts), start=F(0))
        wholes.append(whole)
        all_parts.append(dict(parts))
        nodes.append(whole)
    oil = make.unknown(F(1), F(3))
    said = [unknown for unknown in (*leaves, *wholes) for _ in range(rnd.choice([0, 1, 1, 1, 1, 2]))]
    oiled = rnd.choice(wholes)
    for place, unknown in enumerate(said):
        half = F(rnd.randrange(1, 20), 10)
        best = truth[unknown] + half * F(rnd.randrange(-100, 101), 100)
        if rnd.random() < 0.2:
            best += rnd.choice([-1, 1]) * F(rnd.randrange(30, 300), 10)
        low, high = best - half, best + half
        if unknown == oiled and rnd.random() < 0.5:  # with all the oil, or with any share of it
            share = {unknown: F(1), oil: F(1)}
            if rnd.random() < 0.5:
                make.member(f"f{place}", (share, low, high))
            else:
                make.member(f"f{place}", ({unknown: F(1)}, None, high), (share, low, None))
        else:
            make.member(f"f{place}", ({unknown: F(1)}, low, high))
    for place in range(together):
        parts = rnd.choice(all_parts)
        some = {part: parts[part] for part in rnd.sample(sorted(parts), rnd.randrange(2, len(parts) + 1))}
        best = sum((truth[part] * count for part, count in some.items()), start=F(rnd.choice([0, 0, 25])))
        make.member(f"t{place}", (some, best - F(1), best + F(1)))
    return make.done()


def fits(body, active):
    """Whether anything fulfils the ties and some members, by a program written here."""
    lines, ends = [], []
    for row in body.rows(active):
        line = np.zeros(len(body.domains))
        for unknown, count in row.terms:
            line[unknown] = float(count)
        for sign, end in ((1, row.high), (-1, row.low)):
            if end is not None:
                lines.append(sign * line)
                ends.append(sign * float(end))
    box = [(None if a is None else float(a), None if b is None else float(b)) for a, b in body.domains]
    return linprog(np.zeros(len(box)), A_ub=np.array(lines), b_ub=ends, bounds=box).status != 2


@pytest.mark.parametrize("seed", range(25))
def test_no_figure_of_a_conflict_can_be_spared_and_it_is_the_one_found_from_the_last(seed):
    rnd = random.Random(seed)
    for _ in range(4):
        body = random_tree(rnd, together=rnd.choice([0, 0, 1, 2]))
        tree = sum_tree(body)
        if not isinstance(
            tree, SumTree
        ):  # of two figures of several parts each knows some that the other does not
            assert not without_circle(body.rows(), len(body.domains))
            continue
        for _ in range(2):  # one tree answers for other figures as well as for the first
            active = [place for place in range(len(body.members)) if rnd.random() < 0.9]
            found = conflict_among(body, body.ties, active, tree)
            if found is None:
                assert fits(body, active)
                continue
            assert not fits(body, found)
            assert all(fits(body, found - {place}) for place in found)
            if not fits(body, active):
                asked = conflict_among(body, body.ties, active, None)  # solved anew for every figure
                assert found == asked


@pytest.mark.parametrize("seed", range(25))
def test_what_the_others_leave_a_figure_is_what_solving_without_it_leaves(seed):
    rnd = random.Random(500 + seed)
    for _ in range(3):
        body = random_tree(rnd)
        conflict = conflict_among(body, body.ties, range(len(body.members)), sum_tree(body))
        if not conflict:
            continue
        tree = SumTree(body, body, exact=True)
        for place, left in tree.left_by_the_rest(conflict, body.ties):
            swept = sweep(body.domains, body.rows(conflict - {place})).spans
            assert left == {unknown: swept[unknown] for unknown in left}
            assert set(left) == {unknown for row in body.members[place].rows for unknown, _ in row.terms}


def test_what_contradicts_itself_in_any_of_several_trees_is_heard():
    make = BodyBuilder()
    for name in "ab":
        piece = make.unknown()
        make.member(f"{name} light", ({piece: F(1)}, F(1), F(2)))
        make.member(f"{name} heavy", ({piece: F(1)}, F(3), F(4)))
    body = make.done()
    tree = sum_tree(body)
    assert tree.hold((0, 2), ())
    assert not tree.hold((0, 1, 2), ())
    assert not tree.hold((1, 2, 3), ())
    assert {frozenset(one) for one in consistent_sets(body).conflicts} == {
        frozenset({0, 1}),
        frozenset({2, 3}),
    }


def test_figures_of_one_sum_do_not_hide_one_another():
    make = BodyBuilder()
    piece, oil = make.unknown(), make.unknown(F(1), F(2))
    for name, low, high in (("a", 10, 12), ("b", 10, 12), ("c", 30, 31), ("d", 0, 50)):
        make.member(name, ({piece: F(1), oil: F(1)}, F(low), F(high)))
    body = make.done()
    assert conflict_among(body, body.ties, range(4), sum_tree(body)) == {0, 2}
    assert conflict_among(body, body.ties, (1, 2, 3), sum_tree(body)) == {1, 2}
    assert conflict_among(body, body.ties, (0, 1, 3), sum_tree(body)) is None


def test_two_pieces_weighed_together_twice_cannot_weigh_both():
    make = BodyBuilder()
    one, two = make.unknown(), make.unknown()
    for name, low in (("light", 282), ("heavy", 307), ("wide", 280)):
        make.member(name, ({one: F(1), two: F(1)}, F(low), F(low + (2 if name != "wide" else 50))))
    found = consistent_sets(make.done())
    assert found.conflicts == (frozenset({0, 1}),)
    assert set(found.removed) == {frozenset({0}), frozenset({1})}
    body = Allowed(make.done())
    assert (body.least(((one, F(1)), (two, F(1)))), body.most(((one, F(1)), (two, F(1))))) == (282, 309)


@pytest.mark.parametrize("seed", range(25))
def test_naming_what_two_sums_share_changes_nothing_that_can_be_true(seed):
    rnd = random.Random(900 + seed)
    body = random_tree(rnd, together=1)
    by = shared_sums_named(body)
    assert without_circle(by.rows(), len(by.domains))
    assert not without_circle(body.rows(), len(body.domains))
    for _ in range(4):
        active = [place for place in range(len(body.members)) if rnd.random() < 0.7]
        assert fits(by, active) == fits(body, active) == sum_tree(body).hold(active, body.ties)


@pytest.mark.parametrize("seed", range(30))
def test_a_body_cut_open_at_its_oil_finds_the_conflicts_that_solving_anew_finds(seed):
    rnd = random.Random(3000 + seed)
    for _ in range(6):
        body, _ = random_body(rnd, wrong=rnd.choice([1, 2, 3]))
        tree = sum_tree(body)
        if not isinstance(tree, CutOpen):
            continue
        active = [place for place in range(len(body.members)) if rnd.random() < 0.9]
        found = conflict_among(body, body.ties, active, tree)
        assert found == conflict_among(body, body.ties, active, None)
        if found is None:
            assert fits(body, active)
        else:
            assert not fits(body, found)
            assert all(fits(body, found - {place}) for place in found)


def test_a_circle_is_left_to_the_program():
    make = BodyBuilder()
    one, two, whole = make.unknown(), make.unknown(), make.unknown()
    make.whole(whole, [(one, F(1)), (two, F(1))])
    assert without_circle(make.done().rows(), 3)
    make.member("both", ({one: F(1), two: F(2)}, F(1), F(2)))
    assert not without_circle(make.done().rows(), 3)
    make = BodyBuilder()
    one, two = make.unknown(), make.unknown()
    make.member("both", ({one: F(1), two: F(1)}, F(1), F(2)))
    make.member("other", ({one: F(1), two: F(2)}, F(1), F(2)))  # two sums of the same two: each turns round
    assert not without_circle(make.done().rows(), 2)
    assert sum_tree(make.done()) is None


def unit_with_a_slip():
    """A unit of six assemblies of seven weighed parts, one of 15 kg written with 60, and all of it weighed."""
    make = BodyBuilder()
    rnd = random.Random(15)
    parts = [make.unknown() for _ in range(42)]
    masses = [F(15) if place == 20 else F(rnd.randrange(10, 400), 10) for place in range(42)]
    wholes = [make.unknown() for _ in range(6)]
    unit, oil = make.unknown(), make.unknown(F(10), F(12))
    for place, whole in enumerate(wholes):
        make.whole(whole, [(part, F(1)) for part in parts[place * 7 : place * 7 + 7]])
    make.whole(unit, [(whole, F(1)) for whole in wholes])
    for place, part in enumerate(parts):
        mass = F(60) if place == 20 else masses[place]
        make.member(f"p{place}", ({part: F(1)}, mass - F(1, 10), mass + F(1, 10)))
    total = sum(masses, start=F(11))
    make.member("u", ({unit: F(1), oil: F(1)}, total - F(20), total + F(20)))
    return make.done()


def test_a_gross_slip_is_not_solved_anew_for_each_figure_of_each_contradiction(monkeypatch):
    solved, worked_out = [], []
    sweep, tell = consistent.sweep_in_grid, SumTree._tell
    monkeypatch.setattr(consistent, "sweep_in_grid", lambda *given: solved.append(1) or sweep(*given))
    monkeypatch.setattr(SumTree, "_tell", lambda *given: worked_out.append(1) or tell(*given))
    body = unit_with_a_slip()

    found = consistent_sets(body)

    assert len(found.conflicts) >= 20
    assert min(len(one) for one in found.conflicts) > 25
    figures = sum(len(one) for one in found.conflicts)
    assert len(solved) <= len(found.conflicts) + 5  # by halving it was twice for each figure of each
    assert len(worked_out) < 8 * figures  # a few sums between one figure and the next, not all of them


def test_a_part_of_the_demo_written_down_four_times_too_heavy_is_told_apart_and_put_into_words_once(
    demo_folder, tmp_path, monkeypatch
):
    folder = tmp_path / "demo"
    shutil.copytree(demo_folder, folder)
    file = folder / "components" / "planet-differential.yml"
    text = file.read_text()
    assert text.count("printed: 15.10 kg") == 1
    file.write_text(text.replace("printed: 15.10 kg", "printed: 60.4 kg"))
    solved, put_into_words = [], []
    sweep_all, told = consistent.sweep_in_grid, reach.figures_told
    monkeypatch.setattr(consistent, "sweep_in_grid", lambda *given: solved.append(1) or sweep_all(*given))
    monkeypatch.setattr(reach, "figures_told", lambda *given: put_into_words.append(1) or told(*given))

    evidence = reach.AllEvidence(read_collection([folder]).collection)

    assert len(evidence.disputes) > 100
    assert min(len(one) for one in evidence.disputes) > 30
    assert len(solved) < len(evidence.disputes) + 20  # 10,600 before
    asked = [evidence.of(node, "dry") for node in evidence.recorded.tree.nodes]
    touched = [one.disputes for one in asked if one is not None and one.disputes]
    assert len(touched) > 40
    words = [evidence.told(disputes) for disputes in touched]
    assert all(len(said) == len(one) for one, said in zip(touched, words, strict=True))
    assert len(put_into_words) <= len(evidence.disputes)
