"""TOML files with the line of every entry, and every fault of a file told together."""

import datetime as dt
import tomllib
from dataclasses import replace
from decimal import Decimal
from enum import StrEnum
from typing import Annotated, Literal

import pytest
from hypothesis import given, strategies as st
from pydantic import AfterValidator, Field

from wattwright.core.errors import FileError, InputError, JobError
from wattwright.core.fields import DurationS, Held, PowerW, Share, Spec, TemperatureC
from wattwright.core.specfile import dotted, in_order, parse_text, read_text, validated
from wattwright.simulate.supply import Inverter

TEXT = '''# a comment
name = "x"

[site]
zone = "UTC"
roof.pitch = 30
"quoted key" = 1
inline = { a = 1, b = { c = 2 } }

[deep.under.ground]
well = true

[[loads]]
id = "a"   # = [
times = [
    # a comment inside
    { on = 1, off = 2 },
    # more

    { on = 3, off = 4 },
]
[loads.extra]
x = 1
[[loads.parts]]
n = 1
[[loads.parts]]
n = 2

[[loads]]
text = """
[not a table]
k = 1
"""
list = [1,
  2, [3,
  4]]
[[loads.parts]]
n = 3
'''
LINES = {
    ("name",): 2,
    ("site",): 4,
    ("site", "zone"): 5,
    ("site", "roof"): 6,
    ("site", "roof", "pitch"): 6,
    ("site", "quoted key"): 7,
    ("site", "inline", "b", "c"): 8,
    ("deep",): 10,
    ("deep", "under"): 10,
    ("deep", "under", "ground", "well"): 11,
    ("loads", 0): 13,
    ("loads", 0, "id"): 14,
    ("loads", 0, "times"): 15,
    ("loads", 0, "times", 0): 17,
    ("loads", 0, "times", 0, "off"): 17,
    ("loads", 0, "times", 1, "on"): 20,
    ("loads", 0, "extra"): 22,
    ("loads", 0, "extra", "x"): 23,
    ("loads", 0, "parts", 0, "n"): 25,
    ("loads", 0, "parts", 1, "n"): 27,
    ("loads", 1): 29,
    ("loads", 1, "text"): 30,
    ("loads", 1, "list"): 34,
    ("loads", 1, "list", 1): 35,
    ("loads", 1, "list", 2, 1): 36,
    ("loads", 1, "parts", 0): 37,
    ("loads", 1, "parts", 0, "n"): 38,
}


@pytest.mark.parametrize("newline", ["\n", "\r\n"])
def test_every_entry_has_its_line(newline):
    """Lines counted by eye in the text above: tables, arrays of tables, inline tables, dotted keys, lists over lines."""
    source = parse_text(TEXT.replace("\n", newline), "a.toml", InputError)
    assert {path: source.line_of(path) for path in LINES} == LINES
    assert "k" not in source.data["loads"][1]


def test_entry_that_is_not_there_has_the_line_of_its_table():
    """A missing entry stands where its table begins; at the top of the file it has no line."""
    source = parse_text(TEXT, "a.toml", InputError)
    assert source.line_of(("loads", 1, "rating")) == 29
    assert source.line_of(("deep", "other")) == 10
    assert source.line_of(("site", "zone", 3, "x")) == 5
    assert source.line_of(("missing",)) is None
    assert str(source.place(("loads", 1, "rating"))) == "a.toml, line 29, loads[2].rating"


def test_table_opened_first_by_a_longer_header_has_its_own_line():
    """A header of its own is where a table stands, though a longer one came before it."""
    source = parse_text("[a.b]\nx = 1\n[a]\ny = 2\n", "a.toml", InputError)
    assert (source.line_of(("a",)), source.line_of(("a", "b"))) == (3, 1)


def test_dotted_counts_from_one():
    """Names are said as a person counts."""
    assert dotted(("loads", 0, "times", 2, "on")) == "loads[1].times[3].on"
    assert dotted(()) == ""


keys = st.from_regex(r"[a-z]{1,4}", fullmatch=True)


@given(st.dictionaries(keys, st.dictionaries(keys, st.integers(), min_size=1, max_size=4), min_size=1, max_size=4))
def test_lines_of_any_file_point_at_their_entries(tables):
    """In a file written line by line, the line told for each entry is the one it was written on."""
    lines, expected = [], {}
    for name, entries in tables.items():
        lines += ["# ---", f"[[{name}]]"]
        for key, value in entries.items():
            lines.append(f"{key} = {value}  # note")
            expected[(name, 0, key)] = len(lines)
    source = parse_text("\n".join(lines), "t", InputError)
    assert {path: source.line_of(path) for path in expected} == expected


@pytest.mark.parametrize(
    ("text", "line", "found"),
    [
        ("a = 1\nb = \n", 2, '"b ="'),
        ('a = "x\u2028y"\nb == 1\n', 2, '"b == 1"'),  # a separator inside a text is no line of TOML's
        ("a = 1\na = 2\n", 2, '"a = 2"'),
        ("a = [1,\n2\n", 3, "the end of the file"),
        ('a = """x\n', 2, "the end of the file"),
    ],
)
def test_text_that_is_not_toml_is_refused_where_it_breaks(text, line, found):
    """The line, what stands there and what should, as one sentence."""
    with pytest.raises(JobError) as refused:
        parse_text(text, "job.toml", JobError)
    fault = refused.value.faults[0]
    assert (fault.code, fault.place.file, fault.place.line, fault.found) == ("spec.toml", "job.toml", line, found)
    assert fault.next_step.endswith(".")


def test_file_is_read_with_and_without_byte_order_mark(tmp_path):
    """An editor's mark at the head of a file is no part of it."""
    path = tmp_path / "a.toml"
    for head in (b"", b"\xef\xbb\xbf"):
        path.write_bytes(head + b"a = 1\n")
        assert read_text(path, JobError).data == {"a": 1}


def test_file_in_another_encoding_is_refused_at_its_line(tmp_path):
    """The byte that cannot be UTF-8 and its line are told."""
    path = tmp_path / "a.toml"
    path.write_bytes(b"a = 1\nb = '\xfcber'\n")
    with pytest.raises(JobError) as refused:
        read_text(path, JobError)
    fault = refused.value.faults[0]
    assert (fault.code, fault.place.line, fault.found) == ("spec.encoding", 2, "the byte 0xFC")


def test_file_that_is_not_there_is_a_file_error(tmp_path):
    """A missing file is told as such."""
    with pytest.raises(FileError, match="no such file"):
        read_text(tmp_path / "none.toml", JobError)


class Colour(StrEnum):
    RED = "red"
    GREEN = "green"


def _even(number: int) -> int:
    if number % 2:
        raise ValueError("an even number|Add one.")
    return number


class Part(Spec):
    n: int = Field(ge=0, lt=10)
    colour: Colour = Colour.RED
    power_w: PowerW | None = Field(None, alias="power")


class Times(Spec):
    kind: Literal["on off", "cycle"]
    at: dt.time | None = None


class Whole(Spec):
    name: str = Field(min_length=2, max_length=5)
    day: dt.date | None = None
    price: Decimal | None = None
    share: float = Field(0.5, gt=0, le=1)
    flag: bool = False
    even: Annotated[int, AfterValidator(_even)] = 0
    code: str = Field("", pattern="^[A-Z]*$")
    parts: tuple[Part, ...] = Field((), max_length=3)
    either: Part | Times | None = None
    table: dict[str, Part] = Field(default_factory=dict)


GOOD = 'name = "abc"\n'


def faults(text):
    with pytest.raises(JobError) as refused:
        validated(parse_text(text, "w.toml", JobError), Whole, JobError)
    return refused.value.faults


@pytest.mark.parametrize(
    ("entry", "line", "field", "found", "wanted", "step"),
    [
        ('nane = "x"', 2, "nane", 'the entry "nane"', "one of ", "Did you mean name?"),
        ('zzzzzz = "x"', 2, "zzzzzz", 'the entry "zzzzzz"', "one of ", "Remove it, or look the name up."),
        ("share = 0", 2, "share", "0", "a value greater than 0", ""),
        ("share = 1.5", 2, "share", "1.5", "a value of at most 1", ""),
        ('share = "x"', 2, "share", '"x"', "a number", ""),
        ("share = nan", 2, "share", "nan", "a value ", ""),
        ("flag = 3", 2, "flag", "3", "true or false", ""),
        ('flag = "maybe"', 2, "flag", '"maybe"', "true or false", ""),
        ("even = 3", 2, "even", "3", "an even number", "Add one."),
        ("even = 2.5", 2, "even", "2.5", "a whole number", ""),
        ("even = true", 2, "even", "true", "", ""),
        ('code = "a1"', 2, "code", '"a1"', "text of the form ^[A-Z]*$", ""),
        ('day = "soon"', 2, "day", '"soon"', "a date such as 2025-03-31", ""),
        ('price = "x"', 2, "price", '"x"', 'a number with a decimal point, best in quotes, such as "0.1642"', ""),
        ("parts = 3", 2, "parts", "3", "a list in square brackets", ""),
        ("parts = [1]", 2, "parts[1]", "1", "a table", ""),
        ("parts = [{n = 1}, {n = 1}, {n = 1}, {n = 1}]", 2, "parts", "a list of 4", "at most 3 of them", ""),
        ("[[parts]]\nn = -1", 3, "parts[1].n", "-1", "a value of at least 0", ""),
        ("[[parts]]\nn = 10", 3, "parts[1].n", "10", "a value less than 10", ""),
        ("[[parts]]\nn = 1\n[[parts]]\nm = 1", 4, "parts[2].n", "nothing", 'an entry "n"', "Add it."),
        ('[[parts]]\nn = 1\ncolour = "gren"', 4, "parts[1].colour", '"gren"', "one of red, green", "Did you mean green?"),
        ('[[parts]]\nn = 1\ncolour = "x"', 4, "parts[1].colour", '"x"', "one of red, green", ""),
        ('[[parts]]\nn = 1\npower = "3"', 4, "parts[1].power", '"3"', "a number with its unit", "Write the unit after"),
        ("[[parts]]\nn = 1\npower = 3", 4, "parts[1].power", "3", "text with a number and its unit", "Put it in quotes."),
        ("[table.x]\nn = 1\ncolor = 1", 4, "table.x.color", 'the entry "color"', "one of ", "Did you mean colour?"),
    ],
)  # fmt: skip
def test_each_fault_says_where_what_and_what_instead(entry, line, field, found, wanted, step):
    """Line, field, what stands there, what is wanted and what to do, for every kind of wrong entry."""
    told = faults(GOOD + entry + "\n")
    fitting = [one for one in told if one.place.field == field and one.place.line == line and one.found == found]
    assert fitting, [one.sentence() for one in told]
    assert any(one.wanted.startswith(wanted) and one.next_step.startswith(step) for one in fitting)
    assert all(one.code.startswith("spec.") and "|" not in one.sentence() for one in told)


class Timed(Spec):
    """An entry with another name in code, with bounds in a unit."""

    rests_s: DurationS = Field(60.0, alias="rests", ge=0, le=2_592_000.0, description="a time")
    warm_c: TemperatureC = Field(20.0, alias="warm", le=60, description="a temperature")
    part: Share = Field(0.5, lt=1, description="a share")


@pytest.mark.parametrize(
    ("entry", "wanted"),
    [
        ('rests = "40 d"', "a value of at most 30 d"),
        ('rests = "-3 h"', "a value of at least 0 h"),
        ('warm = "70 degC"', "a value of at most 60 degC"),
        ('part = "120 %"', "a value less than 100 %"),
    ],
)
def test_a_bound_is_said_in_the_unit_that_was_written(entry, wanted):
    """What is too long in days is told in days, a share in per cent."""
    with pytest.raises(JobError) as refused:
        validated(parse_text(entry, "w.toml", JobError), Timed, JobError)
    assert [one.wanted for one in refused.value.faults] == [wanted]


@pytest.mark.parametrize(
    ("model", "entry", "found", "wanted"),
    [
        (Inverter, 'rating = "99 GVA"', '"99 GVA"', "a value of at most 0.001 GVA"),
        (Timed, 'rests = "40 d"', '"40 d"', "a value of at most 30 d"),
    ],
)
def test_a_number_too_large_is_shown_with_the_unit_it_was_written_in(model, entry, found, wanted):
    """Not as what it comes to in the unit that is held: 99000000000.0 says nothing to who wrote 99 GVA."""
    with pytest.raises(JobError) as refused:
        validated(parse_text(entry, "w.toml", JobError), model, JobError)
    (fault,) = refused.value.faults
    assert (fault.found, fault.wanted) == (found, wanted)


def test_names_of_code_are_no_entries():
    """Only what the schema tells may be written; the near name is proposed."""
    with pytest.raises(JobError) as refused:
        validated(parse_text('rests_s = "1 h"', "w.toml", JobError), Timed, JobError)
    (fault,) = refused.value.faults
    assert fault.found == 'the entry "rests_s"'
    assert fault.next_step == "Did you mean rests?"


@pytest.mark.parametrize(
    ("text", "found", "wanted"),
    [
        ("", "nothing", 'an entry "name"'),
        ("name = 3", "3", "text in quotes"),
        ('name = "a"', '"a"', "text of at least 2 characters"),
        ('name = "abcdef"', '"abcdef"', "text of at most 5 characters"),
        ("[name]\nx = 1", "a table", "text in quotes"),
    ],
)
def test_wrong_name(text, found, wanted):
    """Text is wanted, of a length."""
    (fault,) = faults(text)
    assert (fault.found, fault.wanted) == (found, wanted)


def test_all_faults_come_together_in_the_order_of_the_lines():
    """A person mends a file once, from top to bottom."""
    text = 'name = "a"\nshare = 2\nnane = 1\n[[parts]]\nn = -1\n[[parts]]\ncolour = "x"\nn = 11\n'
    assert [fault.place.line for fault in faults(text)] == [1, 2, 3, 5, 7, 8]


def test_union_is_told_without_the_names_of_classes():
    """Where one of two kinds of table may stand, no step of the field's name is a class of ours."""
    for fault in faults(GOOD + "[either]\nx = 1\n"):
        assert "Part" not in fault.sentence()
        assert "Times" not in fault.sentence()
        assert fault.place.field.startswith("either")


def test_good_file_becomes_the_model():
    """What is right is read."""
    text = GOOD + 'day = 2025-03-31\nprice = "0.1642"\n[[parts]]\nn = 1\npower = "2 kW"\n[table.x]\nn = 2\n'
    whole = validated(parse_text(text, "w.toml", JobError), Whole, JobError)
    assert (whole.day, whole.price) == (dt.date(2025, 3, 31), Decimal("0.1642"))
    assert (whole.parts[0].power_w, whole.table["x"].n) == (2000.0, 2)


json_like = st.recursive(
    st.none() | st.booleans() | st.integers(-5, 20) | st.text("abgren 1W", max_size=6),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from(list(Whole.model_fields)), inner, max_size=3),
    max_leaves=12,
)


@given(st.dictionaries(st.sampled_from([*Whole.model_fields, "nane"]), json_like, max_size=6))
def test_any_content_is_read_or_told(content):
    """Whatever a file holds, it is read or every fault has a sentence."""
    source = parse_text("", "w.toml", JobError)
    try:
        validated(replace(source, data=content), Whole, JobError)
    except JobError as error:
        told = error.faults
    else:
        return
    assert all("expected " in fault.sentence() for fault in told)
    assert list(told) == in_order(told)


def test_lines_agree_with_the_standard_reader():
    """The text used above is TOML to Python's own reader, with the values its lines were counted for."""
    data = tomllib.loads(TEXT)
    assert data["loads"][0]["times"][1] == {"on": 3, "off": 4}
    assert data["loads"][1]["parts"] == [{"n": 3}]


def test_wrong_element_does_not_make_its_list_too_short() -> None:
    """A list that needs an element, and has a wrong one, is told about the element only."""

    class Inner(Spec):
        """One element."""

        name: str

    class Outer(Spec):
        """At least one of them."""

        inner: tuple[Inner, ...] = Field(min_length=1)

    with pytest.raises(JobError) as refused:
        validated(parse_text("[[inner]]\nname = 3\n", "x.toml", JobError), Outer, JobError)
    assert [fault.place.field for fault in refused.value.faults] == ["inner[1].name"]
    with pytest.raises(JobError) as refused:
        validated(parse_text("inner = []\n", "x.toml", JobError), Outer, JobError)
    assert [fault.code for fault in refused.value.faults] == ["spec.too_short"]


@pytest.mark.parametrize("text", ["a = " + "[" * 100_000, "seed = " + "9" * 5000], ids=["deep lists", "a long number"])
def test_what_no_person_writes_is_refused_as_input(text):
    """Neither brackets by the thousand nor a number of thousands of digits is a fault of ours."""
    with pytest.raises(JobError, match="too deep or a number too long"):
        parse_text(text, "job.toml", JobError)


@pytest.mark.parametrize(
    ("text", "wanted", "step"),
    [
        ("zone = Europe/Athens\n", "text in quotes", "Put text in quotes"),
        ('name = "One\n', "a closing quote", "where the text ends"),
        ('name = "One', "a closing quote", "where the text ends"),
        ("name = 'One", "a closing quote", "where the text ends"),
        ("a = 1\na = 2\n", "once", "Take one of the two out"),
        ("[a]\n[a]\n", "once", "Take one of the two out"),
        ("a = {b = 1, b = 2}\n", "once", "Take one of the two out"),
        ("name One\n", "an equals sign", "then = and the value"),
        ("rate = 1,5\n", "nothing behind it", "Write decimals with a point"),
        ("[site\n", "between [ ]", "Close the brackets"),
        ("[[files]\n", "between [ ]", "Close the brackets"),
        ("a = [1, 2\nb = 3\n", "a closing ]", "Close the list"),
        ("a = {b = 1\n", "a closing }", "Close the brace"),
        ('path = "C:\\users"\n', "no backslash", "Write paths with /"),
        ("a = 1\x00\n", "nothing behind it", "one entry in each line"),
        ("# a\x01\n", "can be seen", "Take the invisible sign out"),
        ("a = 2025-02-30\n", "a date such as", "Correct the date"),
        ("= 3\n", "an entry such as", "Correct that line"),
        ("a = " + "[" * 9000, "a person wrote", "the right file"),
    ],
)
def test_text_that_is_not_toml_gets_a_next_step(text, wanted, step):
    """Whatever breaks, the fault says what belongs there and what to do, in words of ours."""
    with pytest.raises(JobError) as told:
        parse_text(text, "job.toml", JobError)
    fault = told.value.faults[0]
    assert wanted in fault.wanted
    assert step in fault.next_step
    assert "Invalid" not in str(told.value)


@pytest.mark.parametrize("key", [".".join(["a"] * 40), ' . "x" . '.join(["b"] * 20), ".".join(["'a'"] * 40)])
@pytest.mark.parametrize("written", ["{} = 1\n", "[{}]\n", "t = {{ {} = 1 }}\n"])
def test_a_key_through_more_tables_than_are_meant(key: str, written: str) -> None:
    """To read one takes memory as the square of its parts: refused with its line, before it is read."""
    with pytest.raises(InputError, match=r"dotted through more tables than are meant") as told:
        parse_text(f"x = 1\n{written.format(key)}", "a.toml", InputError)
    assert told.value.faults[0].place.line == 2


def test_what_people_write_with_points_is_no_long_key() -> None:
    """Twenty parts, a list of decimals, an address, a row of points and a long word are read as they are."""
    text = f'{".".join("abcdefghijklmnopqrst")} = 1\nn = "{"." * 400} {"w" * 5000} a. b. c."\nl = [{"1.5, " * 200}]\n'
    assert parse_text(text, "a.toml", InputError).data["l"] == [1.5] * 200


def test_many_unknown_entries_ask_for_the_schema_once() -> None:
    """Each is told; a file of five hundred took 40 s while the schema was made anew for each."""
    made = []

    class Plain(Spec):
        known: int = 0

        @classmethod
        def model_json_schema(cls, *given: object, **more: object) -> dict:
            made.append(cls)
            return super().model_json_schema(*given, **more)

    text = "".join(f"a{i} = 1\n" for i in range(500))
    with pytest.raises(JobError) as told:
        validated(parse_text(text, "job.toml", JobError), Plain, JobError)
    assert (len(told.value.faults), len(made)) == (500, 1)


class Sizes(Spec):
    """Entries of every form that holds numbers."""

    power_w: PowerW = Field(Held(0.0), alias="power", description="a quantity")
    share: float = Field(0.0, description="a plain number")
    price: Decimal = Field(Decimal(0), description="an exact one")
    table: tuple[tuple[float, ...], ...] = Field((), description="rows of them")
    count: int = Field(0, description="a whole number")
    unbounded: float = Field(float("inf"), description="one whose usual value is none at all")


@pytest.mark.parametrize(
    ("text", "field", "found"),
    [
        ('power = "1e308 W"', "power", '"1e308 W"'),
        ('power = "1e10 kW"', "power", '"1e10 kW"'),
        ('power = "1e-300 kW"', "power", '"1e-300 kW"'),
        ("share = -1e13", "share", "-10000000000000.0"),
        ('price = "1e30"', "price", '"1e30"'),
        ("table = [[1.0], [2.0, 1e-13]]", "table[2][2]", "1e-13"),
        ("unbounded = inf", "unbounded", "inf"),
        (f"count = 1{'0' * 400}", "count", f"1{'0' * 400}"),
    ],
)
def test_a_number_of_no_size_is_refused_where_it_stands(text, field, found):
    """Beyond a million of millions, or below a billionth of a thousandth, of the unit we hold; nought stands."""
    with pytest.raises(JobError) as refused:
        validated(parse_text(text, "sizes.toml", JobError), Sizes, JobError)
    (fault,) = refused.value.faults
    assert (fault.code, str(fault.place.field), fault.found) == ("spec.size", field, found)
    edge = 'power = "1e9 kW"\nshare = -1e-12\nprice = "0"\ntable = [[0.0], [1e12]]'
    assert validated(parse_text(edge, "sizes.toml", JobError), Sizes, JobError).share == -1e-12
