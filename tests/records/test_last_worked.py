"""What is kept of records goes by the record itself, and ends where it should."""

from __future__ import annotations

from handling_db.records.last_worked import LastWorked


class Alike:
    def __eq__(self, other: object) -> bool:
        return isinstance(other, Alike)

    __hash__ = None  # type: ignore[assignment]


def test_an_equal_object_is_another_one():
    one, other = Alike(), Alike()
    kept: LastWorked[str] = LastWorked(4)

    assert kept.keep("of one", (one,), "dry") == "of one"
    assert kept.get((one,), "dry") == "of one"
    assert kept.get((one,), "filled") is None
    assert kept.get((other,), "dry") is None
    assert kept.get((one, other), "dry") is None


def test_an_object_in_the_place_of_another_is_not_taken_for_it():
    kept: LastWorked[str] = LastWorked(4)
    one, other = Alike(), Alike()
    kept.keep("of one", (one,))
    kept._kept[(id(other),)] = kept._kept.pop((id(one),))  # as if `other` had the number that `one` had

    assert kept.get((other,)) is None


def test_only_the_last_are_kept():
    several = [Alike() for _ in range(3)]
    kept: LastWorked[int] = LastWorked(2)
    for number, one in enumerate(several):
        kept.keep(number, (one,))

    assert [kept.get((one,)) for one in several] == [None, 1, 2]


def test_what_was_worked_out_of_one_object_is_let_go():
    one, other = Alike(), Alike()
    kept: LastWorked[str] = LastWorked(9)
    kept.keep("of both", (other, one), 1)
    kept.keep("of other", (other,), 2)
    kept.forget(one)

    assert kept.get((other, one), 1) is None
    assert kept.get((other,), 2) == "of other"
