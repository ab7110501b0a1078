"""Field types: figures, three-valued fields, counts, ids, texts, days and serial numbers."""

from __future__ import annotations

import datetime
import hashlib
import unicodedata
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from handling_db.quantities.quantity import parse_mass
from handling_db.records.parts import measures
from handling_db.records.parts import texts as fields
from handling_db.records.parts.measures import looks_like_formula
from handling_db.records.parts.texts import canonical, short_id


class Sample(fields.Part):
    """One field of each type."""

    mass: measures.MassText | None = None
    length: measures.LengthText | None = None
    volume: measures.VolumeText | None = None
    angle: measures.AngleText | None = None
    density: measures.DensityText | None = None
    share: measures.MassOrPercent | None = None
    tare: measures.MassOrNone = None
    stays: measures.VolumeOrNone = None
    counts: fields.Counts = None
    without: fields.Without = None
    quantity: measures.Count | None = None
    at: measures.Point | None = None
    litres: measures.VolumeMeasure | None = None
    turn: measures.AngleMeasure | None = None
    id: fields.Id | None = None
    line: fields.Line | None = None
    long_text: fields.Text | None = None
    on: fields.Date | None = None
    serial: fields.Serial | None = None
    state: fields.State | None = None
    from_: fields.Line | None = None


def read(**given):
    return Sample.model_validate({name.replace("_", " "): value for name, value in given.items()})


def test_names_are_written_with_spaces():
    sample = Sample.model_validate({"long text": "a", "from": "b"})

    assert (sample.long_text, sample.from_) == ("a", "b")
    assert sample.as_written() == {"long text": "a", "from": "b"}


def test_figures_keep_their_text():
    sample = read(mass=" 1,830 lb", length="-12 1/2 in", volume="24 L", angle="-90 deg", density="7850 kg/m3")

    assert sample.mass == parse_mass("1,830 lb")
    assert sample.as_written() == {
        "mass": "1,830 lb",
        "length": "-12 1/2 in",
        "volume": "24 L",
        "angle": "-90 deg",
        "density": "7850 kg/m3",
    }


@pytest.mark.parametrize(
    ("field", "value", "message"),
    [
        ("mass", "2 ton", "which ton?"),
        ("mass", "840", "'840' has no unit; write a number and a unit, such as '840.0 lb' or '381 kg'"),
        ("mass", "-5 kg", "a mass cannot be negative"),
        ("mass", ["5 kg"], "write a text here, not a list or a mapping"),
        ("mass", {"kg": "5"}, "write a text here, not a list or a mapping"),
        ("volume", "-5 L", "a volume cannot be negative"),
        ("litres", "-5 L", "a volume cannot be negative"),
        ("litres", "5", "'5' has no unit"),
        ("share", "0 %", "'0 %' is not a share; write a percentage above 0 and below 100, such as 2 %"),
        ("share", "100 %", "'100 %' is not a share"),
        ("share", "two %", "'two %' is not a share"),
        ("share", "5", "'5' has no unit"),
        ("tare", "nobody", "'nobody' does not start with a plain number"),
        ("tare", ["none"], "write a text here, not a list or a mapping"),
        ("stays", "2 kg", "kg is a mass, not a volume"),
        ("quantity", "0", "a quantity of 0 lists nothing; leave the line out, or write the number there are"),
        ("quantity", "0.0", "a quantity of 0 lists nothing"),
        ("quantity", "", "'' is not a count; write a number above 0, such as 14, or a parameter's name"),
        ("quantity", "-2", "'-2' is not a count"),
        ("quantity", "1,5", "'1,5' is not a count"),
        ("quantity", "1e3", "'1e3' is not a count"),
        ("quantity", "１４", "'１４' is not a count"),
        ("at", ["0 mm", "0 mm"], "Field required"),
        ("at", ["0", "0 mm", "0 mm"], "'0' has no unit"),
        ("at", ["0 kg", "0 mm", "0 mm"], "kg is a mass, not a length"),
        ("id", "", "at least 1 character"),
        ("id", "a  b", "'a  b' has odd spaces or control characters; write a plain id such as gear-section"),
        ("id", "a\tb", "has odd spaces or control characters"),
        ("id", "a\N{ZERO WIDTH SPACE}b", "has odd spaces or control characters"),
        ("id", "x" * 81, "at most 80 characters"),
        ("line", "", "at least 1 character"),
        ("line", "   ", "at least 1 character"),
        ("line", "x" * 201, "at most 200 characters"),
        ("line", "a\nb", "'a\\nb' has a line break or a control character in it; write it on one line"),
        ("line", "a\x07b", "has a line break or a control character"),
        ("long text", "a\x00b", "'a\\x00b' has a control character in it; write plain text"),
        ("long text", "x" * 4001, "at most 4000 characters"),
        ("on", "9 March 2026", "'9 March 2026' is not a date; write year-month-day, such as 2026-03-09"),
        ("on", "2026-02-30", "'2026-02-30' is not a date"),
        ("on", "20260309", "'20260309' is not a date"),
        ("on", "２０２６-03-09", "is not a date"),
        ("on", "2026-03-09T10:00", "is not a date"),
        ("serial", "PT-1187", "'PT-1187' is not a serial number in digits; write it as 1187"),
        ("serial", "1_187", "'1_187' is not a serial number"),
        ("serial", "-1", "'-1' is not a serial number"),
        ("serial", "1" * 13, "is not a serial number"),
        ("state", "wet", "Input should be 'dry', 'drained' or 'filled'"),
        ("colour", "blue", "Extra inputs are not permitted"),
    ],
)
def test_what_a_field_refuses(field, value, message, refusal):
    found = refusal(Sample, {field: value})

    assert len(found) == 1
    assert found[0][0].partition(".")[0] == field
    assert message in found[0][1]


@pytest.mark.parametrize("field", ["tare", "stays"])
def test_a_figure_none_and_nobody_looked_are_three_things(field):
    figure = {"tare": "12.5 kg", "stays": "2.5 L"}[field]

    assert str(getattr(read(**{field: figure}), field)) == figure
    assert getattr(read(**{field: "none"}), field) == "none"
    assert getattr(read(**{field: "nobody looked"}), field) is None
    assert getattr(read(), field) is None
    assert read(**{field: "nobody looked"}) == read()
    assert read(**{field: "none"}).as_written() == {field: "none"}
    assert read(**{field: "nobody looked"}).as_written() == {}


def test_what_a_boundary_counts_and_leaves_out():
    assert read(counts="as listed", without="none").as_written() == {"counts": "as listed", "without": "none"}
    assert read(counts=["a", "b"], without=["c"]).as_written() == {"counts": ["a", "b"], "without": ["c"]}
    assert read(counts="nobody looked", without="nobody looked").as_written() == {}


LIST_OR_LEFT_OUT = "a list of ids, or leave the field out (nobody looked)"


@pytest.mark.parametrize(
    ("field", "value", "message"),
    [
        ("counts", "everything", f"'everything': write 'as listed', {LIST_OR_LEFT_OUT}"),
        ("counts", "none", f"'none': write 'as listed', {LIST_OR_LEFT_OUT}"),
        ("without", "brake", f"'brake': write 'none', {LIST_OR_LEFT_OUT}"),
        ("without", [], "write a list of ids, such as [parking-brake]"),
        ("without", [""], "'' has odd spaces or control characters; write a plain id such as gear-section"),
        ("without", [["a"]], "write a list of ids, such as [parking-brake]"),
        ("without", {"a": "b"}, "write a list of ids, such as [parking-brake]"),
    ],
)  # fmt: skip
def test_what_a_boundary_refuses(field, value, message, refusal):
    assert refusal(Sample, {field: value}) == [(field, message)]


def test_counts_are_exact_numbers_or_formulas():
    assert read(quantity="14").quantity.base == 14
    assert read(quantity="2.5").quantity.base == Fraction(5, 2)
    formula = read(quantity="2*discs").quantity
    assert formula.is_formula
    assert formula.base is None
    assert str(formula) == "2*discs"


def test_a_place_is_three_lengths_or_formulas():
    at = read(at=["-17 mm", "0 mm", "64*mm + 7*mm*discs"]).at

    assert [axis.base for axis in at] == [Fraction(-17, 1000), 0, None]
    assert read(turn="-90 deg").turn.base == -90
    assert read(litres="24 L").litres.base == 24


@pytest.mark.parametrize("text", ["discs", "2*discs", "(a)", "a + b", "-a", "length_1", "5 mm + a"])
def test_what_looks_like_a_formula(text):
    assert looks_like_formula(text)


@pytest.mark.parametrize("text", ["14", "1,5", "12 1/2 in", "", "-5 mm", "5.5", "9/16"])
def test_what_does_not_look_like_a_formula(text):
    assert not looks_like_formula(text)


def test_a_share_is_of_the_figure_beside_it():
    share = read(share="2 %").share

    assert share.of(Fraction(415)) == Fraction("8.3")
    assert str(share) == "2 %"
    assert read(share="0.5 kg").share == parse_mass("0.5 kg")


class Needed(fields.Part):
    """Fields that must be there."""

    quantity: measures.Count
    mass: measures.MassText
    on: fields.Date


def test_a_key_without_a_value_is_not_a_figure(refusal):
    nothing = [(name, "write a text here, not nothing") for name in ("quantity", "mass", "on")]

    assert refusal(Needed, dict.fromkeys(("quantity", "mass", "on"))) == nothing
    assert [message for _, message in refusal(Needed, {})] == ["Field required"] * 3


def test_days_and_serials_are_written_as_they_are_read():
    sample = read(on=" 2026-03-09", serial="01187")

    assert sample.on == datetime.date(2026, 3, 9)
    assert sample.serial == 1187
    assert sample.as_written() == {"on": "2026-03-09", "serial": "1187"}


def test_a_record_cannot_be_changed():
    with pytest.raises(ValidationError, match="frozen"):
        read(line="a").line = "b"


PLAIN = st.recursive(
    st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=4), inner, max_size=3),
    max_leaves=8,
)


def backwards(value):
    """The same value with every mapping's keys in the other order."""
    if isinstance(value, dict):
        return {key: backwards(value[key]) for key in reversed(value)}
    return [backwards(item) for item in value] if isinstance(value, list) else value


@given(PLAIN)
def test_the_order_of_keys_says_nothing(value):
    assert canonical(backwards(value)) == canonical(value)
    assert short_id(backwards(value)) == short_id(value)


@given(PLAIN, PLAIN)
def test_two_values_have_two_canonical_texts(one, other):
    assert (canonical(one) == canonical(other)) == (one == other)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("[a]", ["a"]),
        ({"a": "b"}, "{a:b}"),
        ({"a": "b,c:d"}, {"a": "b", "c": "d"}),
        ([], [""]),
        (["a,b"], ["a", "b"]),
    ],
)
def test_what_looks_alike_is_told_apart(one, other):
    assert canonical(one) != canonical(other)


def test_an_id_is_the_start_of_a_sha_256_and_stays_what_it_is():
    written = {"printed": "415 kg", "source": "book"}

    assert short_id(written) == hashlib.sha256(b'{"printed":"415 kg","source":"book"}').hexdigest()[:12]
    assert short_id(written) == short_id({"source": "book", "printed": "415 kg"})


def test_what_counts_as_a_control_character_is_what_unicode_says() -> None:
    """Of every character there is: controls, halves of pairs, breaks of lines and paragraphs."""
    every = [chr(number) for number in range(0x110000)]
    said = {sign for sign in every if unicodedata.category(sign) in {"Cc", "Cs", "Zl", "Zp"}}
    assert set(fields._CONTROL.findall("".join(every))) == said
