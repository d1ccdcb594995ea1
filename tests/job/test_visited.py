"""What was entered on the visit: read with care, shown first, taken part by part; and photos as plain pictures."""

import base64
import io
import json

import pytest
from PIL import Image

from wattwright.core.errors import InputError
from wattwright.job import photos as photos_module, visited as module
from wattwright.job.edit import Edit
from wattwright.job.photos import LONGEST_PX, cleaned
from wattwright.job.visited import SCHEMA, as_text, proposed, read_entered, take

JOB = """
version = 2
name = "House"
[site]
zone = "UTC"
[papers]
date = 2025-11-03
[[loads]]
id = "oven"
name = "Oven"   # by the window
kind = "cooking"
rating = "2 kW"
"""


def photo(size=(40, 30), kind="JPEG", **more) -> bytes:
    """A photo of one colour."""
    out = io.BytesIO()
    Image.new("RGB", size, (200, 30, 30)).save(out, kind, **more)
    return out.getvalue()


def file(**more) -> bytes:
    """A file of a visit."""
    return json.dumps({"schema": SCHEMA, "job": "House", "made_from": "x", "supply": {}, "loads": [], **more}).encode()


HEATER = {
    "id": "",
    "photos": [base64.b64encode(photo()).decode(), "data:image/png;base64," + base64.b64encode(photo(kind="PNG")).decode()],
    "entries": {
        "name": "Water heater", "kind": "water heater", "rating": "3 kW", "volume": "150 l", "controllable": "yes",
        "interrupt": "mains", "quantity": "1", "duty": "40",
        "hours_working": "06:00-08:30, 22:00-24:00", "hours_sunday": "07:00-09:00", "breaker": "16 A", "length": "12 m",
    },
}  # fmt: skip


def test_taken_part_by_part() -> None:
    """A new load and a changed one are told apart; what is taken is written, the rest of the file stays as it was."""
    loads = [HEATER, {"id": "oven", "entries": {"rating": "2.5 kW", "kind": "cooking"}, "photos": []}]
    entered = read_entered(file(supply={"system": "three-phase", "voltage": "230 V"}, loads=loads), "f.json")
    supply, heater, oven = proposed(entered, JOB)
    assert [(one.key, one.name, one.is_new, one.photos, one.wrong) for one in (supply, heater, oven)] == [
        ("supply", "", False, 0, ()), ("load-0", "Water heater", True, 2, ()), ("load-1", "Oven", False, 0, ()),
    ]  # fmt: skip
    assert [(line.entry, line.before, line.after) for line in oven.lines] == [("rating", "2 kW", "2.5 kW")]
    hours = next(line.after for line in heater.lines if line.entry == "hours")
    assert hours == (
        "06:00-08:30 on working day, at 40 %, 22:00-00:00 on working day, at 40 %, 07:00-09:00 on Sunday or holiday, at 40 %"
    )
    edit = Edit(JOB)
    files = take(entered, edit, frozenset({"load-0"}), frozenset({"photos/water-heater-1.jpg"}))
    text, spec = edit.done()
    assert "# by the window" in text
    assert spec.supply is None
    assert (spec.loads[0].rating_w, spec.loads[1].id) == (2000.0, "water-heater")
    made = spec.loads[1]
    assert made.photos == ("photos/water-heater-2.jpg", "photos/water-heater-3.jpg") == tuple(files)
    assert (made.wiring.rated_a, made.wiring.length_m, made.volume_l, made.controllable) == (16.0, 12.0, 150.0, True)
    told = [(f"{one.begins:%H:%M}", f"{one.ends:%H:%M}", one.days, one.duty) for one in made.runs]
    assert told == [
        ("06:00", "08:30", ("working day",), 0.4), ("22:00", "00:00", ("working day",), 0.4),
        ("07:00", "09:00", ("Sunday or holiday",), 0.4),
    ]  # fmt: skip
    assert all(content.startswith(b"\xff\xd8\xff") for content in files.values())


def test_taken_again_changes_nothing() -> None:
    """What the job says already is not proposed again, hours among it; nor is what nobody filled in."""
    loads = [{"id": "oven", "entries": {"name": "Oven", "hours_saturday": "12:00-13:00", "note": " "}, "photos": []}]
    entered = read_entered(file(loads=loads), "f.json")
    edit = Edit(JOB)
    take(entered, edit, frozenset({"load-0"}), frozenset())
    assert proposed(entered, edit.done()[0]) == ()
    plain = read_entered(file(loads=[{"id": "oven", "entries": {"controllable": "no", "interrupt": "never"}, "photos": []}]), "f")
    assert proposed(plain, JOB) == ()


def test_what_cannot_stand_is_told_and_can_be_left() -> None:
    """A rating or hours that nobody can read, a load without a kind: each is told beside its change and hinders no other."""
    loads = [
        {"id": "", "entries": {"name": "!", "rating": "much"}, "photos": []},
        {"id": "oven", "entries": {"hours_working": "all day", "quantity": "two"}, "photos": []},
        {"id": "oven", "entries": {"hours_working": "25:00-26:00"}, "photos": []},
        {"id": "gone", "entries": {"name": "Oven", "kind": "other", "rating": "1 kW"}, "photos": []},
    ]
    made = proposed(read_entered(file(loads=loads), "f.json"), JOB)
    assert [bool(one.wrong) for one in made] == [True, True, True, False]
    assert (made[3].is_new, made[3].name) == (True, "Oven")
    edit = Edit(JOB)
    take(read_entered(file(loads=loads), "f.json"), edit, frozenset({"load-3"}), frozenset())
    assert [one.id for one in edit.done()[1].loads] == ["oven", "oven-2"]


def test_each_slip_says_which_entry_it_is_of() -> None:
    """A number, hours of several days, a share that is none or of no hours, a kind that is missing beside more that is wrong."""

    def slips(part: dict) -> list[tuple[tuple[str, ...], str]]:
        """The entries of each slip, and the code of its fault."""
        (one,) = proposed(read_entered(file(**part), "f.json"), JOB)
        return [(slip.entries, slip.fault.code) for slip in one.wrong]

    def of_oven(**entries: str) -> dict:
        return {"loads": [{"id": "oven", "entries": entries, "photos": []}]}

    assert slips({"supply": {"system": "single-phase", "voltage": "230 V", "main_protection": "abc A"}}) == [
        (("main_protection",), "spec.value_error")
    ]
    assert slips({"supply": {"main_protection": "25 A"}}) == [(("system",), "spec.missing"), (("voltage",), "spec.missing")]
    assert slips(of_oven(length="2 km")) == [(("length",), "spec.less_than_equal")]
    assert (
        slips(of_oven(hours_working="06:00-07:00", hours_saturday="late", hours_sunday="late"))
        == [(("hours_saturday", "hours_sunday"), "spec.time_parsing")] * 2
    )
    assert slips(of_oven(hours_working="06:00-26:00"))[0][0] == ("hours_working",)
    assert slips(of_oven(hours_working="06:00-07:00", duty="140")) == [(("duty",), "spec.less_than_equal")]
    assert slips(of_oven(duty="40")) == [(("duty", "hours_working", "hours_saturday", "hours_sunday"), "job.entries-hours")]
    new = {"id": "", "entries": {"name": "Fan", "rating": "much"}, "photos": []}
    assert slips({"loads": [new]}) == [(("kind",), "spec.union_tag_not_found"), (("rating",), "spec.value_error")]


def test_a_slip_of_the_whole_may_be_of_any_entry() -> None:
    """Where the job file says only that the load is wrong, each entry that was given may be mended: of a modelled load, two."""
    modelled = JOB.replace("cooking", "motor") + "[loads.model]\n"
    given = {"id": "oven", "entries": {"quantity": "2", "note": "two of them"}, "photos": []}
    (one,) = proposed(read_entered(file(loads=[given]), "f.json"), modelled)
    assert [slip.entries for slip in one.wrong] == [("quantity", "note")]


def test_mended_before_it_is_taken() -> None:
    """Another text for an entry, or none, and the rest is taken; what the phone does not have is passed over."""
    loads = [{"id": "", "entries": {"name": "Fan", "rating": "much", "length": "far"}, "photos": []}]
    entered = read_entered(file(supply={"main_protection": "abc A", "earthing": "TT"}, loads=loads), "f.json")
    better = module.mended(
        entered,
        {
            "supply": {"main_protection": "", "name": "x"},
            "load-0": {"rating": "60 W", "kind": "other", "length": "", "shell": "x"},
        },
    )
    assert [one.wrong for one in proposed(better, JOB)] == [(), ()]
    edit = Edit(JOB)
    take(better, edit, frozenset({"supply", "load-0"}), frozenset())
    spec = edit.done()[1]
    assert (spec.gear.earthing, spec.supply, spec.loads[1].rating_w, spec.loads[1].wiring.length_m) == ("TT", None, 60.0, None)


def test_what_is_left_empty_is_no_change() -> None:
    """An entry of the supply that was emptied changes nothing."""
    assert proposed(read_entered(file(supply={"system": " "}), "f.json"), JOB) == ()
    both = read_entered(file(supply={"earthing": "TT", "voltage": ""}), "f.json")
    assert [line.entry for line in proposed(both, JOB)[0].lines] == ["gear.earthing"]


def test_same_supply_is_no_change() -> None:
    """What the job says of the supply already is not proposed again."""
    told = read_entered(file(supply={"system": "single-phase", "voltage": "230 V"}), "f.json")
    assert proposed(told, JOB.replace("[[loads]]", '[supply]\nsystem = "single-phase"\nvoltage = "230 V"\n[[loads]]')) == ()


def test_kept_as_it_was_read() -> None:
    """What is kept until it is taken is read as the same, photos already clean."""
    entered = read_entered(file(loads=[HEATER]), "f.json")
    assert module.Entered.model_validate_json(as_text(entered)) == entered


@pytest.mark.parametrize(
    "content",
    [
        b"", b"\xff\xfe", b"[]", b"{", b"[" * 100_000, b'{"schema": "other/1"}', file(more=1), file(loads=[{"id": 3}]),
        file(loads=[{"id": "x", "entries": {"shell": "x"}}]), file(supply={"name": "x"}),
        file(loads=[{"id": "", "photos": ["%%"]}]),
        file(loads=[{"id": "", "photos": [base64.b64encode(b"<svg/>").decode()]}]), file(loads=[{}] * 301),
        file(loads=[{"photos": [""] * 13}]),
    ],
    ids=range(14),
)  # fmt: skip
def test_hostile_or_damaged(content: bytes) -> None:
    """One sentence, whatever the file is."""
    with pytest.raises(InputError) as told:
        read_entered(content, "f.json")
    assert len(told.value.faults) == 1
    assert told.value.faults[0].code in ("job.entries", "job.photo")
    assert "Nothing was changed" in told.value.faults[0].sentence()


def test_bounds(monkeypatch: pytest.MonkeyPatch) -> None:
    """Too large a file or photo, and one that claims more points than a telephone takes."""
    monkeypatch.setattr(module, "MOST_BYTES", 100)
    with pytest.raises(InputError, match="at most"):
        read_entered(b" " * 101, "f.json")
    monkeypatch.setattr(photos_module, "MOST_PIXELS", 1000)
    with pytest.raises(InputError, match="40 by 30 points"):
        cleaned(photo(), "p.jpg")
    monkeypatch.setattr(photos_module, "MOST_BYTES", 10)
    with pytest.raises(InputError, match="MB"):
        cleaned(photo(), "p.jpg")


def test_photo_is_only_a_picture() -> None:
    """Place and owner are gone, it stands upright and is small; what is not shown is not kept."""
    exif = Image.Exif()
    exif[0x0112] = 6  # to be turned by a quarter: TIFF 6.0, orientation
    exif[0x013B] = "somebody"
    given = photo((2400, 1200), exif=exif, comment=b"at home")
    made = cleaned(given, "p.jpg")
    seen = Image.open(io.BytesIO(made))
    assert seen.format == "JPEG"
    assert seen.size == (LONGEST_PX // 2, LONGEST_PX)
    assert not seen.getexif()
    assert b"somebody" not in made
    assert b"at home" not in made
    assert all(abs(a - b) < 12 for a, b in zip(seen.getpixel((5, 5)), (200, 30, 30), strict=True))


@pytest.mark.parametrize(
    "content", [b"", b"GIF89a", photo()[:200], photo(kind="GIF"), photo(kind="BMP"), b"\xff\xd8\xff" + b"\0" * 99]
)
def test_no_photo(content: bytes) -> None:
    """Other kinds and damaged ones are refused."""
    with pytest.raises(InputError, match="JPEG or PNG"):
        cleaned(content, "p.jpg")
