"""A price list as a spreadsheet: what a wholesaler has, with article number, price and stock."""

import pytest
import xlsxwriter

from wattwright.catalogue.equipment import sheet as module
from wattwright.catalogue.equipment.range import load_range
from wattwright.core.errors import FileError, InputError

HEAD = "like;id;article;price;currency;stock\n"
LIST = HEAD + "in-line-20;;4711;62,40;EUR;12\n;;;;;\nmotor-18-230;own-contactor;4712;48.10;EUR;0\n"


def written(tmp_path, text, name="prices.csv"):
    """A price list on disk."""
    path = tmp_path / name
    path.write_text(text)
    return path


def test_rows_refer_to_what_they_are_like(tmp_path):
    """A price list need not repeat ratings; without an id of its own a row takes the place of what it is like."""
    range_ = load_range([written(tmp_path, LIST)])
    sold, own = range_.get("in-line-20"), range_.get("own-contactor")
    assert (str(sold.price), sold.stock, sold.article) == ("62.40", 12, "4711")
    assert own.contact.ratings["AC-3"] == 18.0
    assert own.stock == 0
    assert range_.get("motor-18-230").price is None


def test_a_workbook_says_the_same(tmp_path):
    """The same list as .xlsx, numbers as numbers and text as text."""
    path = tmp_path / "prices.xlsx"
    book = xlsxwriter.Workbook(str(path))
    page = book.add_worksheet()
    for number, row in enumerate([("like", "article", "price", "currency", "stock"), ("in-line-20", 4711, 62.4, "EUR", 12)]):
        page.write_row(number, 0, row)
    book.close()
    sold = load_range([path]).get("in-line-20")
    assert (float(sold.price), sold.stock, sold.article) == (62.4, 12, "4711")


def test_ratings_can_be_given_in_columns(tmp_path):
    """Whole entries too: a point parts a table from its entry, and lists are parted by semicolons."""
    text = (
        "id,name,kind,contact.ratings.AC-1,contact.most_voltage,contact.life.AC-1,carries_load,least_supply,most_supply,works_as,source\n"
        'own-switch,own switch,in-line switch,16 A,250 V,40000,true,110 V,240 V,"radio-switch; wall-timer",data sheet\n'
        'own-lead,own switch,in-line switch,"16 A",250 V,,false,110 V,240 V,,data sheet\n'
    )
    own = load_range([written(tmp_path, text)], only=True).get("own-switch")
    assert own.contact.life == {"AC-1": 40000}
    assert own.works_as == ("radio-switch", "wall-timer")
    assert own.carries_load


def test_a_later_file_can_refer_to_an_earlier_one(tmp_path):
    """Files lie over one another in order."""
    more = written(tmp_path, HEAD + "own-contactor;;4800;50;EUR;3\n", "more.csv")
    assert load_range([written(tmp_path, LIST), more]).get("own-contactor").article == "4800"


FAULTS = [
    ("no-such-thing;;1;1;EUR;1", "row", "like"),
    ("in-line-20;;1;1.234,50;EUR;1", "price", "12.50 or 12,50"),
    ("in-line-20;;1;1;;1", "currency", "three letters"),
    ("in-line-20;;1;1;EUR;some", "stock", "whole number"),
    (";;1;1;EUR;1", "id", "what it is like"),
    ("in-line-20;A b;1;1;EUR;1", "id", "string should match"),
    ("in-line-20;x;1;1;EUR;1\nin-line-16;x;1;1;EUR;1", "id", "row 2 has it too"),
]  # fmt: skip


@pytest.mark.parametrize(("rows", "column", "told"), FAULTS, ids=[one[1] + str(n) for n, one in enumerate(FAULTS)])
def test_a_wrong_cell_says_row_and_column(tmp_path, rows, column, told):
    """Each fault names the file, the row as the spreadsheet counts it, the column, and what was expected."""
    with pytest.raises(InputError) as caught:
        load_range([written(tmp_path, HEAD + rows + "\n")])
    sentence = caught.value.faults[0].sentence()
    assert "prices.csv, line " in sentence
    assert told in sentence
    assert column == "row" or column in sentence


def test_all_faults_are_told_together(tmp_path):
    """A list with three wrong rows is mended once, not three times."""
    with pytest.raises(InputError) as caught:
        load_range([written(tmp_path, HEAD + "\n".join(one[0] for one in FAULTS[:4]) + "\n")])
    assert len(caught.value.faults) == 4


def test_a_missing_rating_names_its_column(tmp_path):
    """A row without what its kind must have says what that is."""
    with pytest.raises(InputError) as caught:
        load_range([written(tmp_path, "id,name,kind,source\nx,x,suppressor,x\n")])
    assert {fault.place.column for fault in caught.value.faults} == {"most_voltage", "most_holding"}


UNUSABLE = [
    (b"\xff\xfeid", "0xFF", ".csv"), (b"", "no such row of names", ".csv"), (b"a;b\n1;2\n", "no such row of names", ".csv"),
    (b"id;id\n1;2\n", 'two columns "id"', ".csv"), (b"no workbook", "no workbook", ".xlsx"), (b'id\n"x\n',
    "parted into columns", ".csv"),
]  # fmt: skip


@pytest.mark.parametrize(("content", "told", "suffix"), UNUSABLE, ids=range(len(UNUSABLE)))
def test_a_file_that_is_no_price_list_is_refused(tmp_path, content, told, suffix):
    """A hostile or torn file is a sentence, never a traceback."""
    path = tmp_path / f"prices{suffix}"
    path.write_bytes(content)
    with pytest.raises(FileError) as caught:
        load_range([path])
    assert told in caught.value.faults[0].sentence()


def test_a_file_beyond_all_measure_is_refused(tmp_path, monkeypatch):
    """Neither bytes nor rows without end."""
    path = written(tmp_path, LIST)
    monkeypatch.setattr(module, "MOST_BYTES", 10)
    with pytest.raises(FileError, match="bytes"):
        load_range([path])
    monkeypatch.setattr(module, "MOST_BYTES", 10_000)
    monkeypatch.setattr(module, "MOST_ROWS", 2)
    with pytest.raises(FileError, match="rows"):
        load_range([path])


@pytest.mark.parametrize(
    ("price", "read"), [("1.234", None), ("1,500", None), ("1.2340", "1.2340"), ("0.125", "0.125"), ("1234,5", "1234.5")]
)
def test_a_price_that_may_be_thousands_is_not_guessed(tmp_path, price, read):
    """1.234 is a thousand and more where a comma parts decimals; a price under one, such as of a metre, is no thousand."""
    path = written(tmp_path, f"{HEAD}in-line-20;;4711;{price};EUR;1\n")
    if read is not None:
        assert str(load_range([path]).get("in-line-20").price) == read
        return
    with pytest.raises(InputError) as caught:
        load_range([path])
    assert caught.value.faults[0].place.column == "price"


def test_a_comma_between_thousands_is_not_guessed(tmp_path):
    """1,500 is fifteen hundred to one reader and one and a half to another."""
    text = "id;name;kind;primary;secondary;accuracy;window_mm;split;source\nx;x;current transformer;50 A;333 mV;1;1,500;true;x\n"
    with pytest.raises(InputError) as caught:
        load_range([written(tmp_path, text)])
    assert caught.value.faults[0].place.column == "window_mm"
