"""The quick decorator against the standard one: whatever a class of either says is the same."""

import copy
import dataclasses
import inspect
import pickle
import subprocess
import sys
from typing import Generic, TypeVar

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handling_db import classes
from handling_db.weights.answer import Named, Rests, StateFigure
from handling_db.weights.verdict import Shared

T = TypeVar("T")


def pair(decorator, field):
    @decorator(frozen=True, slots=True)
    class Pair:
        """Two things."""

        one: str
        two: tuple[float, ...] = ()
        three: object = field(default=None, repr=False, compare=False)
        four: int = field(default=4, repr=False)

        @property
        def both(self) -> str:
            return f"{self.one}{self.two}"

        @classmethod
        def of(cls, one):
            return cls(one, (1.0,))

    return Pair


OURS, STANDARD = (pair(module.dataclass, module.field) for module in (classes, dataclasses))
told = st.one_of(
    st.tuples(st.text(max_size=3)),
    st.tuples(st.text(max_size=3), st.tuples(st.floats(allow_nan=False))),
    st.tuples(st.sampled_from("ab"), st.just(()), st.integers(0, 2), st.integers(3, 5)),
)


@given(told, told)
def test_objects_show_compare_hash_and_copy_alike(one, other) -> None:
    ours, standard = (OURS(*one), OURS(*other)), (STANDARD(*one), STANDARD(*other))
    assert repr(ours[0]).split(".")[-1] == repr(standard[0]).split(".")[-1]
    assert (ours[0] == ours[1]) is (standard[0] == standard[1])
    assert hash(ours[0]) == hash(standard[0])
    assert dataclasses.asdict(ours[0]) == dataclasses.asdict(standard[0])
    assert copy.deepcopy(ours[0]) == ours[0] == copy.copy(ours[0])
    changed = dataclasses.replace(ours[0], two=(2.0,), three=3)
    assert (changed.one, changed.two, changed.three, changed.both) == (one[0], (2.0,), 3, f"{one[0]}(2.0,)")


@given(st.permutations(["one", "two", "three", "four"]), st.integers(0, 4))
def test_fields_are_given_by_place_or_by_name(names, placed) -> None:
    values = {"one": "a", "two": (1.0,), "three": 3, "four": 5}
    first = list(values.values())[:placed]
    rest = {name: values[name] for name in names if name not in list(values)[:placed]}
    assert OURS(*first, **rest) == OURS("a", (1.0,), 3, 5)


@pytest.mark.parametrize(
    ("places", "names"),
    [
        ((), {}),
        ((), {"two": ()}),
        (("a",), {"one": "b"}),
        (("a",), {"five": 5}),
        ((), {"one": "a", "five": 5}),
        (("a", (), 3, 4, 5), {}),
        (("a", (), 3, 4, 5), {"four": 4}),
        (("a", (), 3, 4), {"one": "b"}),
    ],
)
def test_what_the_standard_class_refuses_is_refused(places, names) -> None:
    with pytest.raises(TypeError):
        STANDARD(*places, **names)
    with pytest.raises(TypeError, match=r"Pair takes each of these once: one, two, three, four"):
        OURS(*places, **names)


def test_nothing_is_changed_added_or_deleted() -> None:
    ours = OURS("a")
    for change in (
        lambda: setattr(ours, "one", "b"),
        lambda: setattr(ours, "more", 1),
        lambda: delattr(ours, "one"),
    ):
        with pytest.raises(dataclasses.FrozenInstanceError, match="cannot assign to or delete field"):
            change()
    assert not hasattr(ours, "__dict__")
    assert ours != STANDARD("a")
    assert OURS.of("b").two == (1.0,)


def test_a_class_says_of_itself_what_a_standard_one_says() -> None:
    def said(one):
        return [(f.name, f.type, f.default, f.repr, f.compare) for f in dataclasses.fields(one)]

    assert said(OURS) == said(STANDARD) == said(OURS("a"))
    assert inspect.signature(OURS) == inspect.signature(STANDARD)
    assert dataclasses.is_dataclass(OURS)
    assert OURS.__doc__ == STANDARD.__doc__
    assert OURS.__match_args__ == STANDARD.__match_args__
    assert OURS.__annotations__ == STANDARD.__annotations__
    assert (OURS.__name__, OURS.__qualname__, OURS.__module__) == (
        STANDARD.__name__,
        STANDARD.__qualname__,
        STANDARD.__module__,
    )
    match OURS("a", (2.0,)):
        case OURS(one, two):
            assert (one, two) == ("a", (2.0,))


def test_a_generic_class_stays_one() -> None:
    @classes.dataclass(frozen=True, slots=True)
    class Told(Generic[T]):
        """Something told."""

        what: T

    assert Told[int](3) == Told(3)
    assert Told.__parameters__ == (T,)


def test_other_kinds_of_class_are_refused() -> None:
    with pytest.raises(TypeError, match="only for frozen classes with slots"):
        classes.dataclass(frozen=False, slots=True)
    with pytest.raises(TypeError, match="More: fields of another class go by the standard decorator only"):

        @classes.dataclass(frozen=True, slots=True)
        class More(OURS):
            """More fields."""

            five: int


def test_answers_go_to_another_process_and_back() -> None:
    figure = StateFigure("dry", 1.0, 0.5, 1.5, complete=True, basis="weighed", rests=Rests(whole="box"))
    assert pickle.loads(pickle.dumps(figure)) == figure
    assert pickle.loads(pickle.dumps(Named("a", "b"))) == Named("a", "b", 1)
    assert {Shared("scale", "s", "Scale"), Shared("scale", "s", "Scale")} == {Shared("scale", "s", "Scale")}


def test_a_class_costs_no_start() -> None:
    """Neither the standard decorator nor what it imports is loaded by classes that nobody looks into."""
    code = "import sys, handling_db.weights.answer; sys.exit('dataclasses' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
