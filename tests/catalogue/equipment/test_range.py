"""The range of equipment: what the generic one holds, series, and a user's own files laid over it."""

import pytest

from wattwright.catalogue.equipment.items import Breaker, Contactor, Controller, CurrentTransformer, Enclosure, Probe
from wattwright.catalogue.equipment.range import generic_range, load_range
from wattwright.catalogue.load import generic_gear
from wattwright.core.errors import FileError, InputError

OWN = """
currency = "EUR"

[[equipment]]
id = "own-timer"
name = "time switch of our own"
kind = "time switch"
contact = { ratings = { AC-1 = "16 A" }, most_voltage = "250 V" }
least_supply = "200 V"
most_supply = "240 V"
price = 31.5
stock = 4
article = "T-16"
source = "data sheet"
"""


def test_every_entry_has_an_id_of_its_own():
    """A bill of materials is by id."""
    ids = [one.id for one in generic_range().items]
    assert len(ids) == len(set(ids)) > 300


def test_no_entry_names_a_price_or_an_article():
    """The generic range is ratings only."""
    assert all(one.price is None and not one.article for one in generic_range().items)


def test_every_class_of_gear_can_be_bought():
    """A plan counts on classes of gear; each is held by some controller, and none names a class there is not."""
    works = {name for one in generic_range().of(Controller) for name in one.works_as}
    assert works == {one.id for one in generic_gear()}


def test_contacts_of_motors_are_rated_apart_from_resistive_ones():
    """In-line devices of 6 to 25 A: each has a resistive rating, and a motor rating, if any, is a lower one."""
    in_line = [one for one in generic_range().of(Controller) if one.kind == "in-line switch"]
    assert sorted({one.contact.ratings["AC-1"] for one in in_line}) == [6.0, 10.0, 16.0, 20.0, 25.0]
    rated = [one.contact for one in in_line if "AC-3" in one.contact.ratings]
    assert rated
    assert all(one.ratings["AC-3"] < one.ratings["AC-1"] for one in rated)


def test_ratings_of_breakers_are_the_preferred_ones():
    """IEC 60898-1: preferred rated currents 6 to 63 A; NEC 240.6(A), from memory."""
    iec = {one.rated_a for one in generic_range().of(Breaker) if one.curve == "C"}
    nec = {one.rated_a for one in generic_range().of(Breaker) if one.curve == "inverse time"}
    assert iec == {6.0, 10.0, 13.0, 16.0, 20.0, 25.0, 32.0, 40.0, 50.0, 63.0}
    assert nec == {15.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0, 50.0, 60.0, 70.0, 80.0, 90.0, 100.0}


@pytest.mark.parametrize("kind", [Controller, Contactor, CurrentTransformer, Probe, Breaker, Enclosure])
def test_every_kind_is_there(kind):
    """Nothing that a job needs is missing."""
    assert generic_range().of(kind)


def test_an_own_file_lies_over_the_generic_range(tmp_path):
    """What a wholesaler sells comes beside what is generic, with its price and its currency."""
    path = tmp_path / "own.toml"
    path.write_text(OWN)
    range_ = load_range([path])
    own = range_.get("own-timer")
    assert own is not None
    assert str(own.price) == "31.5"
    assert own.stock == 4
    assert range_.currency["own-timer"] == "EUR"
    assert range_.get("in-line-20") is not None


def test_an_own_file_can_stand_alone(tmp_path):
    """Who sells nothing else is not told of anything else."""
    path = tmp_path / "own.toml"
    path.write_text(OWN)
    assert [one.id for one in load_range([path], only=True).items] == ["own-timer"]


def test_an_entry_of_the_same_id_replaces_ours(tmp_path):
    """The data sheet of what is bought goes before the generic figure."""
    path = tmp_path / "own.toml"
    path.write_text(OWN.replace("own-timer", "weekly-timer"))
    assert load_range([path]).get("weekly-timer").name == "time switch of our own"
    assert len(load_range([path]).items) == len(generic_range().items)


WRONG = [
    (OWN.replace('kind = "time switch"', 'kind = "time clock"'), "kind", "time switch"),
    (OWN.replace('AC-1 = "16 A"', 'AC-1 = "16 V"'), "contact.ratings", "16 V"),
    (OWN.replace('AC-1 = "16 A"', 'AC-1 = "-16 A"'), "contact", "above nought"),
    (OWN.replace('most_voltage = "250 V"', 'most_voltage = "250 V", least_voltage = "300 V"'), "contact", "Exchange the two"),
    (OWN.replace('most_voltage = "250 V"', 'most_voltage = "250 V", life = { AC-3 = 5 }'), "contact", "a rating for AC-3"),
    (OWN.replace("price = 31.5", "prize = 31.5"), "prize", "price"),
    (OWN.replace('currency = "EUR"', ""), "price", "currency"),
    (OWN + OWN.replace('currency = "EUR"', ""), "id", "Rename one of the two"),
    ('[[series]]\neach = { rated = ["6 A"] }', "series", '"each" and "of"'),
    ('[[series]]\neach = { rated = ["6 A"] }\nof = { kind = "breaker" }', "of", "an id and a name"),
    ('[[series]]\neach = { rated = "6 A" }\nof = { id = "b-{rated}", name = "b" }', "each", "a list"),
    ('[[series]]\neach = { rated = ["6 A", "10 A"], curve = ["B"] }\nof = { id = "b-{rated}", name = "b" }', "id", "{curve}"),
    ("[[series]]\neach = { a = [" + "1," * 60 + "], b = [" + "1," * 60 + ']}\nof = { id = "{a}{b}", name = "b" }', "each",
    "at most"),
    (
        '[[series]]\neach = { rated = ["6 A", "x"] }\nof = { id = "b-{rated}", name = "b", kind = "breaker", curve = "B", '
        'breaks = "6 kA", '
        'poles = 1, source = "x" }',
        "rated", "63 A",
    ),
]  # fmt: skip


@pytest.mark.parametrize(("text", "field", "told"), WRONG, ids=range(len(WRONG)))
def test_a_wrong_file_says_where_and_what(tmp_path, text, field, told):
    """Each fault has its line, the entry, and what was expected."""
    path = tmp_path / "own.toml"
    path.write_text(text)
    with pytest.raises(InputError) as caught:
        load_range([path])
    sentence = caught.value.faults[0].sentence()
    assert "own.toml, line " in sentence
    assert field in sentence
    assert told in sentence


def test_a_missing_file_is_told(tmp_path):
    """A path that leads nowhere is a sentence."""
    with pytest.raises(FileError):
        load_range([tmp_path / "none.toml"])
