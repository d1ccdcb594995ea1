"""What a person changes on the pages: saved as a revision, or told why not; in this process, without a browser."""

import io
import re
import zipfile
from pathlib import Path

import pytest

from tests.handover.kit import hours
from tests.web.conftest import PORT, Asked
from tests.web.test_answers import plain
from wattwright.core.errors import JobError, Place
from wattwright.job.file import load_job
from wattwright.web.actions import Actions
from wattwright.web.links import SHEETS, links

READINGS = hours([1.0, 2.0] * 48)
TARIFF = """[[tariff]]
id = "flat"
name = "One price"
currency = "EUR"
basis = "assumed"
source = "invented"
[[tariff.energy]]
label = "Energy"
price = "0.20"
"""


@pytest.fixture
def empty(tmp_path: Path) -> Asked:
    """A desk with an empty store."""
    return Asked(None, tmp_path / "store")


@pytest.fixture
def ask(empty: Asked) -> Asked:
    """A desk with a job made on it from four days of hours."""
    answer = empty.post("/jobs/new", {"zone": "Europe/Vienna", "name": "Bakery (invented)"}, {"files": ("a.csv", READINGS)})
    assert answer.status_code == 303
    empty.job = re.search(r"/jobs/(\w+)/meter-files", answer.headers["location"])[1]
    return empty


def spec_of(ask: Asked):
    """What the job says now."""
    return load_job(ask.store.laid_out(ask.store.head(ask.job))).spec


def set_(ask: Asked, group: str, **values: str):
    """Send a group's form with what stands in it and some entries changed."""
    named = {name.replace("__", "."): value for name, value in values.items()}
    return ask.post("/do/set", {"group": group, **named})


def test_new_job(ask: Asked) -> None:
    """A job made of a meter file has it as the main meter's, and its page tells what was read: 96 rows, 144 kWh."""
    words = plain(ask("/meter-files"))
    assert "96 rows" in words
    # 48 hours of 1 kWh and 48 of 2 kWh.
    assert "144" in plain(ask("/demand"))
    assert spec_of(ask).main_file().path == "a.csv"


def test_new_job_in_no_zone(empty: Asked) -> None:
    """A zone there is not is told beside its field, what was typed stays, and no job is made."""
    answer = empty.post("/jobs/new", {"zone": "Europe/Atlantis", "name": "Typed"})
    assert answer.status_code == 422
    assert 'value="Typed"' in answer.text
    assert re.search(r'class="field wrong">\s*<label for="zone"', answer.text)
    assert empty.store.jobs() == ()


def test_files_chosen_with_a_wrong_zone_are_asked_for_again(empty: Asked) -> None:
    """A browser hands chosen files over once; whoever corrects the zone is told to choose them again, and others are not."""
    chosen = empty.post("/jobs/new", {"zone": "Europe/Atlantis", "name": "Typed"}, {"files": ("a.csv", READINGS)})
    assert "Choose the files again, too" in chosen.text
    assert "Choose the files again" not in empty.post("/jobs/new", {"zone": "Europe/Atlantis", "name": "Typed"}).text


def test_new_job_without_a_file(empty: Asked) -> None:
    """Without a file the job begins at its property, under a name of its own."""
    answer = empty.post("/jobs/new", {"zone": "Europe/Vienna", "name": ""})
    assert answer.headers["location"].endswith("/property")
    assert "New job" in plain(empty("/"))


def test_set_saves_a_revision(ask: Asked) -> None:
    """Entries are written with their units, what was left empty is not, and the page says who changed what; undo and redo."""
    values = {"supply__system": "single-phase", "supply__voltage": "230", "supply__voltage__unit": "V",
              "supply__main_protection": "40", "supply__main_protection__unit": "A"}  # fmt: skip
    assert set_(ask, "supply", **values).status_code == 303
    head = ask.store.head(ask.job)
    assert (head.number, head.cause) == (2, "Supply")
    assert 'voltage = "230 V"' in head.text
    assert "power_factor" not in head.text
    assert "behind 40 A" in plain(ask("/property")).replace("\u202f", " ")
    assert "Take back: Supply" in plain(ask("/property"))
    assert ask.post("/do/undo", {"sheet": "property"}).headers["location"].endswith("/property")
    assert spec_of(ask).supply is None
    assert "Make again: Supply" in plain(ask("/survey"))
    ask.post("/do/redo", {"sheet": "nonsense"})
    assert spec_of(ask).supply.main_protection_a == 40
    # The same once more changes nothing and makes no revision.
    set_(ask, "supply", **values)
    assert ask.store.head(ask.job).number == 2
    # Emptied it goes, table and all.
    set_(ask, "supply", supply__system="", supply__voltage="", supply__main_protection="")
    assert spec_of(ask).supply is None


def test_what_cannot_be_taken_is_told_in_its_place(ask: Asked) -> None:
    """A value beyond its bounds is told under its field; the rest of what was typed stays; nothing is saved."""
    answer = set_(ask, "supply", supply__system="single-phase", supply__voltage="lots", supply__voltage__unit="V")
    assert answer.status_code == 422
    assert "Not saved yet" in answer.text
    assert re.search(r'class="field wrong">\s*<label for="supply.voltage"', answer.text)
    assert 'value="lots"' in answer.text
    assert ask.store.head(ask.job).number == 1
    answer = set_(ask, "site", site__zone="Europe/Vienna", site__latitude="123", site__longitude="1")
    assert re.search(r'class="field wrong">\s*<label for="site.latitude"', answer.text)


def test_numbers_dates_and_flags(ask: Asked) -> None:
    """A decimal comma is read, a date is a date, what is no date is refused."""
    job = {"site__zone": "Europe/Vienna", "site__latitude": "48,2", "site__longitude": "16.4"}
    assert set_(ask, "site", **job).status_code == 303
    assert spec_of(ask).site.latitude_deg == 48.2
    papers = {"papers__revision": "B", "papers__locale": "de_AT", "papers__units": "SI", "papers__paper": "A4"}
    assert set_(ask, "papers", papers__date="2026-02-30", **papers).status_code == 422
    assert set_(ask, "papers", papers__date="2026-02-28", **papers).status_code == 303
    assert str(spec_of(ask).papers.date) == "2026-02-28"


def test_a_change_tells_what_it_did(ask: Asked) -> None:
    """After a change the page holds the key figures against those before it: with a second price the cost is another."""
    ask("/demand")
    ask.post("/do/simple-tariff", {"currency": "eur", "price": "0,20", "standing": "", "source": ""})
    words = plain(ask("/tariff"))
    # 144 kWh at 0.20.
    assert "What your change did, against revision 1" in words
    assert re.search(r"–\s*, now\s+29\sEUR", words)
    set_(ask, "job", name="Bakery, again (invented)", place="", client="")
    assert "It moved none of the figures" in plain(ask("/property"))


def test_loads(ask: Asked) -> None:
    """A load is added with an id of its own, changed, simulated on request, and taken out; a wrong one is told and not added."""
    load = {"loads.0.name": "Boiler", "loads.0.kind": "water heater", "loads.0.rating": "3", "loads.0.rating.unit": "kW",
            "loads.0.volume": "150", "loads.0.volume.unit": "l", "loads.0.controllable": "yes", "loads.0.interrupt": "mains",
            "loads.0.model": "yes"}  # fmt: skip
    assert ask.post("/do/add-load", load).status_code == 303
    assert (
        ask.post("/do/add-load", {**{k.replace(".0.", ".1."): v for k, v in load.items()}, "loads.1.model": ""}).status_code
        == 303
    )
    first, second = spec_of(ask).loads
    assert (first.id, first.rating_w, first.can_be_simulated) == ("boiler", 3000, True)
    assert (second.id, second.can_be_simulated) == ("boiler-2", False)
    wrong = ask.post(
        "/do/add-load", {"loads.2.name": "", "loads.2.kind": "other", "loads.2.rating": "-1", "loads.2.rating.unit": "kW"}
    )
    assert wrong.status_code == 422
    assert re.search(r'class="field wrong">\s*<label for="loads.2.rating"', wrong.text)
    change = {**load, "loads.0.rating": "2.4", "loads.0.model": ""}
    assert ask.post("/do/set", {"group": "load-0", **change}).status_code == 303
    assert (spec_of(ask).loads[0].rating_w, spec_of(ask).loads[0].model) == (2400, None)
    assert "Boiler" in plain(ask("/survey"))
    ask.post("/do/remove-load", {"index": "0"})
    assert [one.id for one in spec_of(ask).loads] == ["boiler-2"]
    for action, values in (("remove-load", {"index": "7"}), ("set", {"group": "load-9"}), ("set", {"group": "none"})):
        answer = ask.post(f"/do/{action}", values)
        assert answer.status_code == 422
        assert "no such entry" in plain(answer)


def test_meter_files(ask: Asked) -> None:
    """Files are added behind the main meter, told as they were read, changed in their reading, and taken out."""
    files = [("files", ("a.csv", READINGS)), ("files", ("../../x/sub.csv", READINGS)), ("files", ("a.csv", READINGS))]
    assert ask.post("/do/add-files", {"whose": "behind"}, files).status_code == 303
    spec = spec_of(ask)
    assert [one.path for one in spec.files] == ["a.csv", "a-2.csv", "sub.csv", "again-a.csv"]
    assert all(one.behind == "main" for one in spec.meters[1:])
    assert "sub.csv" in plain(ask("/meter-files"))
    assert ask.post("/do/set", {"group": "file-2", "files.2.layout.stamps": "end"}).status_code == 303
    assert spec_of(ask).files[2].layout.stamps == "end"
    ask.post("/do/remove-file", {"index": "2"})
    assert "sub.csv" not in ask.store.head(ask.job).files
    assert ask.post("/do/remove-file", {"index": "9"}).status_code == 422
    nothing = ask.post("/do/add-files", {"whose": "behind"})
    assert nothing.status_code == 422
    assert "Choose a file first" in nothing.text


def test_finer_readings(ask: Asked) -> None:
    """Finer readings of the main meter are named as such."""
    ask.post("/do/add-files", {"whose": "finer"}, {"files": ("fine.csv", READINGS)})
    assert (spec_of(ask).files[1].finer, spec_of(ask).files[1].meter) == (True, "main")


def test_a_question_is_asked_and_answered(empty: Asked) -> None:
    """Days and months that may be exchanged: each answer is shown with what it comes to, the one taken is written."""
    rows = "".join(f"0{1 + i // 24}/02/2025 {i % 24:02d}:00,{1 + i % 2}\n" for i in range(9 * 24))
    answer = empty.post("/jobs/new", {"zone": "UTC", "name": "Q"}, {"files": ("q.csv", "time,P [kW]\n" + rows)})
    empty.job = re.search(r"/jobs/(\w+)/", answer.headers["location"])[1]
    page = empty("/meter-files?look=q")
    assert "A question about q.csv" in plain(page)
    # Nine days of 36 kWh each.
    assert "day first: 324" in plain(page)
    choice = re.search(r'<option value="(\d+)"[^>]*>day first', page.text)[1]
    form = re.search(r'id="question-0-(\d+)"', page.text)[1]
    assert empty.post("/do/answer", {"file": "0", "question": form, "choice": choice}).status_code == 303
    assert spec_of(empty).files[0].layout.date_order == "day first"
    # Of the job as it is now nobody has looked at the file yet: that is done first.
    again = empty.post("/do/answer", {"file": "0", "question": "9", "choice": "9"})
    assert again.headers["location"].endswith("/meter-files?look=q")
    empty(again.headers["location"])
    assert empty.post("/do/answer", {"file": "0", "question": "9", "choice": "9"}).status_code == 422
    assert empty.post("/do/answer", {"file": "9", "question": "0", "choice": "0"}).status_code == 422
    assert empty.post("/do/answer", {"file": "x", "question": "0", "choice": "0"}).status_code == 422


def test_tariffs(ask: Asked) -> None:
    """A price is typed, a file is given; what is wrong with either is told and not kept."""
    wrong = ask.post("/do/simple-tariff", {"currency": "money", "price": "much", "standing": "-1", "source": ""})
    assert wrong.status_code == 422
    assert wrong.text.count("field wrong") == 3
    assert ask.post("/do/add-tariff", {}, {"files": ("t.toml", TARIFF)}).status_code == 303
    assert ask.post("/do/add-tariff", {}, {"files": ("t.toml", TARIFF.replace("flat", "other"))}).status_code == 303
    assert spec_of(ask).tariff.files == ("t.toml", "t-2.toml")
    assert "28.80" in plain(ask("/tariff"))
    for content in (b"[[tariff]]\nid = 1\n", b"\xff\xfe"):
        answer = ask.post("/do/add-tariff", {}, {"files": ("t.toml", content)})
        assert answer.status_code == 422
        assert "was not taken" in answer.text
    assert ask.post("/do/add-tariff").status_code == 422
    ask.post("/do/set", {"group": "tariff", "tariff.paid": "other"})
    assert spec_of(ask).tariff.paid == "other"


def test_standing_charge_is_a_month(ask: Asked) -> None:
    """A standing charge typed beside the price is part of the tariff."""
    ask.post("/do/simple-tariff", {"currency": "EUR", "price": "0.2", "standing": "10", "source": "a bill (invented)"})
    text = ask.store.content(ask.store.head(ask.job).files["tariff.toml"]).decode()
    assert 'per = "month"' in text
    assert 'source = "a bill (invented)"' in text
    assert ask("/tariff").status_code == 200


def test_job_file_as_text(ask: Asked) -> None:
    """The whole file may be changed as text, also one pasted with the mark of a system before it (U+FEFF) and its ends of lines.

    A wrong entry is told with its line and what was typed stays.
    """
    text = ask.store.head(ask.job).text
    assert html_has(ask("/text"), "[site]")
    pasted = "\ufeff" + text.replace("Bakery", "Mill").replace("\n", "\r\n")
    assert ask.post("/do/text", {"text": pasted}).status_code == 303
    assert ask.store.head(ask.job).text == text.replace("Bakery", "Mill")
    assert spec_of(ask).name == "Mill (invented)"
    answer = ask.post("/do/text", {"text": text.replace("Europe/Vienna", "Europe/Atlantis")})
    assert answer.status_code == 422
    assert "line" in plain(answer)
    assert "Europe/Atlantis" in answer.text
    late = ask.post("/do/text", {"text": text, "base": "1"})
    assert late.status_code == 409
    assert "changed in another tab" in late.text


def test_a_text_that_is_too_long(ask: Asked) -> None:
    """How long it may be is said, and what was typed stays; beyond what a page could show again it is said alone."""
    before = ask.store.head(ask.job)
    for more in ({}, {"files": {"of": (None, "a form in parts")}}):
        answer = ask.post("/do/text", {"text": before.text + "# typed\n" * (3 * 2**20 // 8)}, **more)
        assert answer.status_code == 422
        assert "a text of 256 kB at most" in plain(answer)
        assert answer.text.count("# typed\n") == 3 * 2**20 // 8
        answer = ask.post("/do/text", {"text": "#" * (9 * 2**20)}, **more)
        assert answer.status_code == 413
        assert "more than 8,192 kB" in plain(answer)
        assert "a text of 256 kB at most" in plain(answer)
    assert ask.store.head(ask.job) == before


@pytest.mark.parametrize(
    "line",
    [
        "x = abc", "x = [1, 2", "[[", "x = 01", "x = 1\nx = 2", '[site]\nzone = "UTC"', "x = 'a", "x = 2025-13-40", "\x00",
        "x = {a = 1", 'x = "\\q"', "= 3", "[a]\n[a]", "a.b = 1\na = 2", "[files]\na = 1", f"a = {'[' * 150}{']' * 150}",
        f"a = {'[' * 3000}{']' * 3000}",
    ],
)  # fmt: skip
def test_job_file_that_is_no_toml(ask: Asked, line: str) -> None:
    """A slip of the typist is told with its place, and the text stays as it was typed, to be put right."""
    text = ask.store.head(ask.job).text
    answer = ask.post("/do/text", {"text": f"{text}\n# typed for an hour\n{line}\n"})
    assert answer.status_code == 422
    assert "typed for an hour" in answer.text
    assert "not of your making" not in plain(answer)
    assert ask.store.head(ask.job).text == text


def html_has(answer, words: str) -> bool:
    """Whether a page holds some words."""
    return words in answer.text


def test_one_word_of_a_change_that_was_not_saved(ask: Asked) -> None:
    """Beside a change not saved nothing is said of the one before it, and the first wrong field has the focus, and no other."""
    ask("/demand")
    set_(ask, "job", name="Bakery (invented)", place="Vienna", client="")
    assert "Your change is saved." in plain(ask("/property"))
    answer = set_(ask, "supply", supply__system="single-phase", supply__voltage="x", supply__main_protection="y")
    assert (answer.status_code, "Not saved yet" in answer.text, "Your change is saved." in plain(answer)) == (422, True, False)
    assert answer.text.count('aria-invalid="true"') == 2
    assert re.findall(r'<[^>]* name="([^"]+)"[^>]* autofocus', answer.text) == ["supply.voltage"]
    assert " autofocus" not in ask("/property").text


def test_a_group_of_ticks_that_is_wrong_has_the_focus_on_its_first(ask: Asked, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where what was ticked is refused, the first tick has the focus and no other; the group is told as a whole."""

    def refuse(*_: object) -> None:
        raise JobError.one("spec.x", Place(field="repair.refuse"), found="both", wanted="one of them", next_step="Leave one.")

    monkeypatch.setattr(ask.desk, "change", refuse)
    answer = ask.post("/do/set", {"group": "repair", "sheet": "meter-files", "repair.refuse.register": "yes"})
    assert (answer.status_code, "Expected one of them. Leave one." in answer.text) == (422, True)
    assert re.findall(r'<[^>]* name="([^"]+)"[^>]* autofocus', answer.text) == ["repair.refuse.straight line"]
    assert 'name="repair.refuse.register" value="yes" checked aria-invalid="true"' in answer.text
    assert '<fieldset class="field several wrong" id="repair.refuse"' in answer.text


def test_a_link_leads_to_a_group_of_ticks(ask: Asked) -> None:
    """The group is one place of the page: its own id stands at its frame, which is what a link names."""
    assert ask("/meter-files").text.count('id="repair.refuse"') == 1


def test_late_changes(ask: Asked) -> None:
    """What was made on another revision is never saved unseen: entries keep what was typed, the rest is as it is now."""
    set_(ask, "job", name="Bakery (invented)", place="Vienna", client="")
    late = ask.post("/do/set", {"group": "job", "base": "1", "name": "Bakery (invented)", "place": "", "client": "the baker"})
    assert late.status_code == 409
    assert 'value="the baker"' in late.text
    assert 'value="Vienna"' in late.text
    for action in ("remove-load", "remove-file", "answer"):
        answer = ask.post(f"/do/{action}", {"base": "1", "index": "0", "file": "0"})
        assert answer.status_code == 409
        assert "Look at it as it is now" in answer.text
    for action in ("undo", "redo", "remove"):
        answer = ask.post(f"/do/{action}", {"base": "1"})
        assert answer.status_code == 409
        assert "That change stands" in answer.text
        assert f'href="/jobs/{ask.job}/property"' in answer.text
    assert spec_of(ask).client == ""


def test_remove(ask: Asked) -> None:
    """A removed job is gone, and its pages say so."""
    assert ask.post("/do/remove").headers["location"] == "/"
    assert "No job yet" in plain(ask("/"))
    assert ask("/property").status_code == 404


def test_zip_out_and_in(ask: Asked) -> None:
    """A job taken along as a zip file and taken in again is the same; what is no job is told and not kept."""
    assert f"wattwright jobs --give {ask.job} --into FOLDER" in ask("/property").text  # beside the zip file
    given = ask(f"/jobs/{ask.job}/job.zip")
    assert "bakery-invented.zip" in given.headers["content-disposition"]
    with zipfile.ZipFile(io.BytesIO(given.content)) as archive:
        assert set(archive.namelist()) == {"job.toml", "a.csv"}
    answer = ask.post("/jobs/import", {}, {"files": ("job.zip", given.content)})
    assert answer.status_code == 303
    first, second = ask.store.jobs()
    assert first.head.files == second.head.files
    refused = ask.post("/jobs/import", {}, {"files": ("job.zip", b"nothing")})
    assert refused.status_code == 422
    assert "Not taken in." in refused.text
    assert len(ask.store.jobs()) == 2


def test_every_form_carries_token_and_revision(ask: Asked) -> None:
    """Each form of each page carries the desk's token; each that changes a job the revision it was shown for."""
    for sheet in SHEETS:
        text = ask(f"/{sheet}").text
        forms = re.findall(r"<form.*?</form>", text, flags=re.S)
        for form in forms:
            assert f'name="token" value="{ask.desk.token}"' in form
            assert 'name="base" value="1"' in form
            assert re.search(r'action="/jobs/\w+/do/([\w-]+)"', form)[1] in Actions(ask.desk, links()).names()


@pytest.mark.parametrize("action", ["nothing", "set/x", "../undo"])
def test_unknown_actions(ask: Asked, action: str) -> None:
    """An action there is not has the page of an address that leads nowhere."""
    assert ask.post(f"/do/{action}").status_code == 404


def test_form_of_elsewhere(ask: Asked) -> None:
    """A form without the desk's token is refused whatever it asks, and nothing is changed."""
    origin = {"origin": f"http://127.0.0.1:{PORT}"}
    for path in ("/do/remove", "/jobs/new", "/jobs/import", "/jobs/demo"):
        answer = ask(path, "POST", headers=origin, data={"token": "guessed", "base": "1"})
        assert answer.status_code == 403
        assert "a form that this desk did not make" in plain(answer)
    assert len(ask.store.jobs()) == 1


def test_demo(empty: Asked) -> None:
    """The invented job is opened, once."""
    first = empty.post("/jobs/demo").headers["location"]
    assert empty.post("/jobs/demo").headers["location"] == first
    assert "Invented example" in plain(empty(first))
