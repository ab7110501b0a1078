"""What hangs together: compared with the connected components of networkx on random collections."""

from __future__ import annotations

import networkx
from hypothesis import given, settings
from hypothesis import strategies as st

from handling_db.records.connected import connected, part_of
from tests.from_text import collection as read_text

CODES = [f"p{number}" for number in range(8)]


def _text(lines: list[tuple[str, str]], came: list[tuple[str, str]]) -> str:
    found = []
    for code in CODES:
        parts = "".join(
            f"\n    - {{component: {below}, quantity: 1}}" for over, below in lines if over == code
        )
        listed = f"\n  parts:{parts}" if parts else ""
        from_ = ", ".join(f"m-{other}" for one, other in came if one == code)
        derived = f"derived: {{how: copied, from: [{from_}]}}, " if from_ else ""
        found.append(
            f"- component: {code}\n  name: {code}\n  kind: assembly{listed}\n"
            f"  masses:\n    - {{id: m-{code}, printed: 5 kg, {derived}source: s}}\n"
        )
    return "".join(found)


pairs = st.lists(st.tuples(st.sampled_from(CODES), st.sampled_from(CODES)), max_size=5, unique=True)


@given(lines=pairs, came=pairs)
@settings(max_examples=16, deadline=None)
def test_hanging_together_is_what_the_graph_says(
    lines: list[tuple[str, str]], came: list[tuple[str, str]]
) -> None:
    lines = [(over, below) for over, below in lines if CODES.index(over) < CODES.index(below)]
    came = [(one, other) for one, other in came if one != other]
    found = connected(read_text(_text(lines, came)))
    graph = networkx.Graph([*lines, *came])
    graph.add_nodes_from(CODES)
    expected = {code: several for several in networkx.connected_components(graph) for code in several}
    assert found == expected


def test_weighings_that_replace_each_other_tie_their_components() -> None:
    text = "".join(f"- {{component: {code}, name: {code}, kind: part}}\n" for code in "abc")
    weighings = (
        "- {weighing: w1, of: a, gross: 5 kg, tare: none, checked by: foreman, counts: as listed, without: none, source: s, on: 2026-01-01, by: fitter}\n"
        "- {weighing: w2, of: b, gross: 5 kg, tare: none, checked by: foreman, counts: as listed, without: none, source: s, on: 2026-01-02, by: fitter, replaces: w1}\n"
    )
    collection = read_text(text + weighings)
    assert connected(collection)["a"] == {"a", "b"}
    assert connected(collection)["c"] == {"c"}


def test_a_part_keeps_its_weighings_and_everything_that_is_no_component() -> None:
    text = "".join(f"- {{component: {code}, name: {code}, kind: part}}\n" for code in "ab")
    weighings = "".join(
        f"- {{weighing: w-{code}, of: {code}, gross: 5 kg, tare: none, checked by: foreman, counts: as listed, without: none, source: s, on: 2026-01-01, by: fitter}}\n"
        for code in "ab"
    )
    source = "- {source: s, name: Scale, kind: weighed}\n"
    part = part_of(read_text(text + weighings + source), {"a"})
    assert [*part.components] == ["a"]
    assert [*part.weighings] == ["w-a"]
    assert [*part.sources] == ["s"]
    assert part.components["b"].name.startswith("b (nothing is recorded")  # asked for all the same
