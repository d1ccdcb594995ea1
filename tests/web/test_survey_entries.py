"""Photos and the file of a visit, given to the desk: shown first, taken and taken back; hostile ones told and nothing changed."""

import io
import json
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.job.test_visited import HEATER, JOB, file, photo
from tests.web.conftest import Asked
from wattwright.core.errors import Fault, InputError, Place, WorkError
from wattwright.job.edit import Edit
from wattwright.store.exchange import read_folder
from wattwright.web import bench as bench_module
from wattwright.web.bench import Bench, Outcome
from wattwright.web.taking_in import opened


@pytest.fixture
def ask(tmp_path: Path) -> Iterator[Asked]:
    """A desk with a job of one load."""
    folder = tmp_path / "job"
    folder.mkdir()
    (folder / "job.toml").write_text(JOB)
    made = Asked(folder)
    yield made
    made.desk.close()


def read(ask: Asked, content: bytes):
    """Give the desk a file of the phone."""
    return ask.post("/do/read-survey", files={"files": ("v-survey.json", content)})


def undo(ask: Asked) -> None:
    """Take the last change back."""
    assert ask.post("/do/undo", {"sheet": "survey"}).status_code == 303


def test_shown_taken_and_taken_back(ask: Asked) -> None:
    """Nothing changes until it is ticked; then one change, with its photos, which undo takes back."""
    other = {"id": "oven", "entries": {"rating": "much"}, "photos": []}
    went = read(ask, file(job="Another", supply={"system": "single-phase", "voltage": "230 V"}, loads=[HEATER, other]))
    assert went.status_code == 303
    assert ask.store.head(ask.job).number == 1
    page = ask(went.headers["location"]).text
    for told in (
        "made for the job “Another”",
        "New load: Water heater",
        "Rating of each: 2 kW → much",
        "photos of its plate: 2",
        "Supply",
    ):
        assert told in page
    assert 'name="take.load-1" value="yes" checked' in page
    assert 'name="mend.load-1.rating" value="much"' in page  # what cannot be taken is a field to mend it in
    print_ = went.headers["location"].rpartition("visit-")[2]
    wrong = ask.post("/do/take-survey", {"entries": print_, "take.load-1": "yes"})
    assert (wrong.status_code, "much" in wrong.text) == (422, True)
    done = ask.post("/do/take-survey", {"entries": print_, "take.load-0": "yes"})
    assert done.status_code == 303
    head = ask.store.head(ask.job)
    assert (head.number, sorted(head.files)) == (2, ["photos/water-heater-1.jpg", "photos/water-heater-2.jpg"])
    assert ask.opened.spec.supply is None
    shown = ask(f"/jobs/{ask.job}/photos/water-heater-1.jpg")
    assert shown.headers["content-type"] == "image/jpeg"
    assert "Plate of Water heater, photo 2" in ask("/survey?look=1").text
    undo(ask)
    assert len(ask.opened.spec.loads) == 1
    assert ask(f"/jobs/{ask.job}/photos/water-heater-1.jpg").status_code == 404


WRONG = {
    "supply": {"system": "single-phase", "voltage": "230 V", "main_protection": "abc A"},
    "loads": [{"id": "", "entries": {"name": "Fan", "rating": "much kW", "length": "2000 m"}, "photos": []}],
}
"""A main fuse that is no number; a load without a kind, with a rating that is none and a way that is too long."""


def test_what_cannot_be_taken_is_mended_in_place(ask: Asked) -> None:
    """Each has its field with its sentence; refused, all stands there as it was typed; mended or emptied, the rest is taken."""
    location = read(ask, file(**WRONG)).headers["location"]
    page, print_ = ask(location).text, location.rpartition("visit-")[2]
    fuse = "mend.supply.main_protection"
    assert f'name="{fuse}" value="abc" inputmode="decimal"' in page
    assert 'name="mend.load-0.rating" value="much"' in page
    assert 'name="mend.load-0.length" value="2000"' in page
    assert '<select id="mend.load-0.kind"' in page
    assert "Expected a value of at most 1000 m." in page
    for told in ("System: single-phase; Voltage: 230 V; Main protection: abc A", "Rating of each: much kW; Length: 2000 m"):
        assert told in page  # as the fields of the desk are called
    assert "supply.main_protection:" not in page
    assert ">Supply: Main protection</label>" in page
    assert ">Fan: Rating of each</label>" in page
    assert "This cannot be left open." in page
    ticks = {"entries": print_, "take.supply": "yes", "take.load-0": "yes"}
    typed = {
        fuse: "25",
        f"{fuse}.unit": "A",
        "mend.load-0.rating": "60",
        "mend.load-0.rating.unit": "W",
        "mend.load-0.length": "",
    }
    refused = ask.post("/do/take-survey", {**ticks, **typed})
    assert (refused.status_code, "Not saved yet" in refused.text) == (422, True)
    for told in ('value="25"', 'value="60"', "<option selected>W</option>", "This cannot be left open.", 'id="entries"'):
        assert told in refused.text
    assert 'class="fault"' not in refused.text  # each stands at its field
    assert ask.store.head(ask.job).number == 1
    assert ask.post("/do/take-survey", {**ticks, **typed, "mend.load-0.kind": "other"}).status_code == 303
    spec = ask.opened.spec
    assert (spec.supply.main_protection_a, spec.loads[1].rating_w, spec.loads[1].wiring.length_m) == (25.0, 60.0, None)


def test_what_was_not_ticked_does_not_hinder(ask: Asked) -> None:
    """The supply is taken while the load beside it is still wrong, and nothing of the load is."""
    print_ = read(ask, file(**WRONG)).headers["location"].rpartition("visit-")[2]
    done = ask.post("/do/take-survey", {"entries": print_, "take.supply": "yes", "mend.supply.main_protection": ""})
    assert done.status_code == 303
    assert (ask.opened.spec.supply.main_protection_a, len(ask.opened.spec.loads)) == (None, 1)


def test_wrong_only_with_the_rest_of_what_is_ticked(ask: Asked, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each may stand alone and not beside the other: told above the form, which keeps its ticks."""
    one = {"id": "oven", "entries": {"name": "Oven of the kitchen", "duty": ""}, "photos": []}
    print_ = read(ask, file(loads=[one])).headers["location"].rpartition("visit-")[2]

    def refuse(*_: object) -> None:
        raise InputError.one("spec.x", Place(field="loads"), found="both", wanted="one of them", next_step="Leave one.")

    monkeypatch.setattr(ask.desk, "change", refuse)
    told = ask.post("/do/take-survey", {"entries": print_, "take.load-0": "yes"})
    assert (told.status_code, "Leave one." in told.text, 'name="take.load-0" value="yes" checked' in told.text) == (
        422,
        True,
        True,
    )


def test_taken_without_a_tick_or_too_late(ask: Asked) -> None:
    """Nothing ticked, another change meanwhile, or a file that is gone: told, and nothing is changed."""
    location = read(ask, file(loads=[HEATER])).headers["location"]
    print_ = location.rpartition("visit-")[2]
    assert "Nothing was ticked" in ask.post("/do/take-survey", {"entries": print_}).text
    assert ask.post("/do/take-survey", {"entries": print_, "take.load-0": "yes", "base": "9"}).status_code == 409
    for gone in ("0" * 64, "../../job", ""):
        assert "not kept here any more" in ask.post("/do/take-survey", {"entries": gone, "take.load-0": "yes"}).text
    assert "not kept here any more" in ask("/survey?look=visit-..").text
    assert ask.store.head(ask.job).number == 1


def test_nothing_new(ask: Asked) -> None:
    """A file that says what the job says is told so; one of an older survey too."""
    from wattwright.job.visited import survey_print

    location = read(ask, file(made_from=survey_print(ask.opened.spec))).headers["location"]
    assert "adds and changes nothing" in ask(location).text
    assert "was changed since" in ask(read(ask, file(loads=[HEATER])).headers["location"]).text


@pytest.mark.parametrize("content", [b"", b"{", b"[" * 100_000, json.dumps({"schema": "x"}).encode(), b"\x89PNG\r\n\x1a\n"])
def test_hostile_file(ask: Asked, content: bytes) -> None:
    """One clear sentence; nothing is kept."""
    told = read(ask, content)
    assert (told.status_code, "Not taken in." in told.text, told.text.count('class="fault"')) == (422, True, 1)
    assert ask.store.head(ask.job).number == 1
    assert "Nothing was chosen" in ask.post("/do/read-survey").text


def test_photos_attached_and_removed(ask: Asked, tmp_path: Path) -> None:
    """Attached clean, shown beside the load, in the zip and folder of the job, taken out and taken back."""
    sent = [("files", ("a.jpg", photo(comment=b"secret"))), ("files", ("b.png", photo(kind="PNG")))]
    done = ask.post("/do/add-photos", {"index": "0"}, sent)
    assert done.headers["location"].endswith("survey?look=0#photos-0")
    assert ask.opened.spec.loads[0].photos == ("photos/oven-1.jpg", "photos/oven-2.jpg")
    archive = ask(f"/jobs/{ask.job}/job.zip").content
    with zipfile.ZipFile(io.BytesIO(archive)) as packed:
        assert packed.read("photos/oven-1.jpg").startswith(b"\xff\xd8\xff")
        assert b"secret" not in packed.read("photos/oven-1.jpg")
        packed.extractall(tmp_path / "out")
    assert set(read_folder(tmp_path / "out")[1]) == {"photos/oven-1.jpg", "photos/oven-2.jpg"}
    (tmp_path / "out/photos/oven-2.jpg").unlink()
    assert set(read_folder(tmp_path / "out")[1]) == {"photos/oven-1.jpg"}
    again = ask.post("/jobs/import", files={"files": ("job.zip", archive)}).headers["location"].split("/")[2]
    assert ask(f"/jobs/{again}/photos/oven-2.jpg").status_code == 200
    assert ask.post("/do/remove-photo", {"index": "0", "photo": "0"}).status_code == 303
    assert ask.opened.spec.loads[0].photos == ("photos/oven-2.jpg",)
    assert set(ask.store.head(ask.job).files) == {"photos/oven-2.jpg"}
    undo(ask)
    assert ask(f"/jobs/{ask.job}/photos/oven-1.jpg").status_code == 200


def test_one_photo_of_two_loads_stays(ask: Asked) -> None:
    """A photo that another load shows too is kept when the first lets it go."""
    ask.post("/do/add-photos", {"index": "0"}, {"files": ("a.jpg", photo())})
    text = ask.store.head(ask.job).text
    second = '[[loads]]\nid = "two"\nname = "Two"\nkind = "other"\nrating = "1 kW"\nphotos = ["photos/oven-1.jpg"]\n'
    ask.post("/do/text", {"text": text + second})
    ask.post("/do/remove-photo", {"index": "0", "photo": "0"})
    assert set(ask.store.head(ask.job).files) == {"photos/oven-1.jpg"}


def test_photos_refused(ask: Asked) -> None:
    """What is no photo, too many, none, of no load, or on an older state of the job."""
    no = ask.post("/do/add-photos", {"index": "0"}, [("files", ("a.jpg", photo())), ("files", ("b.jpg", b"GIF89a"))])
    assert (no.status_code, "JPEG or PNG" in no.text) == (422, True)
    many = [("files", (f"{i}.jpg", photo((2, 2)))) for i in range(13)]
    assert "12 photos at most" in ask.post("/do/add-photos", {"index": "0"}, many).text
    assert "Nothing was chosen" in ask.post("/do/add-photos", {"index": "0"}).text
    assert ask.post("/do/add-photos", {"index": "7"}, {"files": ("a.jpg", photo())}).status_code == 422
    assert ask.post("/do/add-photos", {"index": "0", "base": "8"}, {"files": ("a.jpg", photo())}).status_code == 409
    assert ask.post("/do/remove-photo", {"index": "0", "photo": "0"}).status_code == 422
    assert ask.post("/do/remove-photo", {"index": "0", "photo": "0", "base": "8"}).status_code == 409
    assert ask.store.head(ask.job).number == 1


def zipped(**files: bytes) -> bytes:
    """A job in a zip file, with files in its folder of photos."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as packed:
        packed.writestr("job.toml", JOB + 'photos = ["photos/x.jpg"]\n')
        for name, content in files.items():
            packed.writestr(f"photos/{name}.jpg", content)
    return out.getvalue()


def test_photos_of_a_zip_file_are_written_anew(ask: Asked) -> None:
    """As those that are attached: nothing that was hidden in one is kept, whether a load names it yet or not."""
    archive = zipped(x=photo(comment=b"secret"), y=photo() + b"secret")
    job = ask.post("/jobs/import", files={"files": ("job.zip", archive)}).headers["location"].split("/")[2]
    kept = [ask.store.content(sha256) for sha256 in ask.store.head(job).files.values()]
    assert [one.startswith(b"\xff\xd8\xff") and b"secret" not in one for one in kept] == [True, True]
    assert ask(f"/jobs/{job}/photos/x.jpg").content in kept
    assert ask(f"/jobs/{job}/photos/y.jpg").status_code == 404  # of no load


def test_photos_of_a_folder_are_written_anew(ask: Asked, tmp_path: Path) -> None:
    """As those of a zip file; opened again unchanged it is the same revision, and what is no photo is told."""
    folder = tmp_path / "other"
    (folder / "photos").mkdir(parents=True)
    (folder / "job.toml").write_text(JOB + 'photos = ["photos/x.jpg"]\n')
    (folder / "photos" / "x.jpg").write_bytes(photo(comment=b"secret"))
    job = opened(ask.store, ask.desk.making.bench, folder, "read")
    head = ask.store.head(job)
    (kept,) = (ask.store.content(sha256) for sha256 in head.files.values())
    assert kept.startswith(b"\xff\xd8\xff")
    assert b"secret" not in kept
    assert (opened(ask.store, ask.desk.making.bench, folder, "read"), ask.store.head(job).number) == (job, head.number)
    (folder / "photos" / "x.jpg").write_bytes(b"nothing")
    with pytest.raises(InputError, match="JPEG or PNG"):
        opened(ask.store, ask.desk.making.bench, folder, "read")
    assert ask.store.head(job).number == head.number


@pytest.mark.parametrize("content", [b"<script>alert(1)</script>", b"", photo()[:200], b"\xff\xd8\xff" + b"x" * 500])
def test_a_zip_file_with_what_is_no_photo_is_refused(ask: Asked, content: bytes) -> None:
    """A job from elsewhere may name anything a photo: it is told which one, and no job is added."""
    before = ask.store.jobs()
    told = ask.post("/jobs/import", files={"files": ("job.zip", zipped(x=photo(), z=content))})
    assert (told.status_code, "photos/z.jpg" in told.text, "photos/x.jpg" in told.text) == (422, True, False)
    assert "JPEG or PNG" in told.text
    assert ask.store.jobs() == before


def test_what_is_no_picture_is_never_shown_as_one(ask: Asked) -> None:
    """What stands in the store under the name of a photo, wherever it came from, is given as a JPEG picture or not at all."""
    text = ask.store.head(ask.job).text + 'photos = ["photos/x.html"]\n'
    job = ask.store.add(text, {"photos/x.html": b"<script>alert(1)</script>"}, "read")
    assert ask(f"/jobs/{job}/photos/x.html").status_code == 404


def test_phone_is_given(ask: Asked) -> None:
    """The Survey sheet gives the file for the phone."""
    assert f"/jobs/{ask.job}/visit/survey.html" in ask("/survey").text
    given = ask(f"/jobs/{ask.job}/visit/survey.html")
    assert "attachment" in given.headers["content-disposition"]
    assert "default-src &#39;none&#39;" in given.text


def test_jobs_and_texts_are_read_beside_the_server(monkeypatch: pytest.MonkeyPatch) -> None:
    """A zip file, a job file as text and a tariff: in the same process, with its bounds; their faults come back."""
    bench = Bench()
    try:
        made = bench.job("job.zip", zipped(x=photo(comment=b"secret")))
        assert (made.content.decode().count("[[loads]]"), b"secret" in made.files["photos/x.jpg"]) == (1, False)
        assert bench.job("job.zip", b"no zip").faults[0].code == "store.refused"
        read = bench.text(JOB.encode(), "text", "job.toml")
        assert (read.content.decode(), read.spec, made.spec.loads[0].photos) == (JOB, Edit(JOB).done()[1], ("photos/x.jpg",))
        assert bench.text(b"x = [", "text", "job.toml").faults[0].code == "spec.toml"
        assert bench.text(b"x = 1", "tariff", "t.toml").faults[0].place.file == "t.toml"
        monkeypatch.setattr(bench_module, "_MOST_TEXT_S", -1.0)
        (told,) = bench.text(JOB.encode(), "text", "job.toml").faults
        assert bench.job("job.zip", zipped()).faults == (told,)
        assert (told.code, told.next_step) == ("desk.beyond-bounds", "Give a plainer or a shorter file. Nothing was kept.")
    finally:
        bench.close()


def test_the_server_parses_nothing_that_was_given(ask: Asked, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the process beside it refuses, nothing of it is read in the server, and nothing is kept."""
    fault = Fault("desk.beyond-bounds", Place(field="what was given"), "too much", "less")
    monkeypatch.setattr(ask.desk.making.bench, "_given", lambda given: Outcome(faults=(fault,)))
    head, jobs = ask.store.head(ask.job), ask.store.jobs()
    archive = ask.post("/jobs/import", files={"files": ("job.zip", zipped(x=photo()))})
    text = ask.post("/do/text", {"text": JOB + "# more\n"})
    tariff = ask.post("/do/add-tariff", files={"files": ("t.toml", b"x = 1")})
    assert [(one.status_code, "desk.beyond-bounds" in one.text or "too much" in one.text) for one in (archive, text, tariff)] == [
        (422, True)
    ] * 3
    assert (ask.store.head(ask.job), ask.store.jobs()) == (head, jobs)


def test_read_beside_the_server(monkeypatch: pytest.MonkeyPatch) -> None:
    """In a process of its own, with a bound of memory and of time; what ends it is told."""
    bench = Bench()
    try:
        assert bench.photo("a.jpg", photo()).content.startswith(b"\xff\xd8\xff")
        assert bench.entries("a", file(loads=[HEATER])).content
        assert bench.photo("a.jpg", b"no").faults[0].code == "job.photo"

        def ends(*_: object) -> None:
            raise WorkError("gone")

        monkeypatch.setattr(bench._takers.processes, "map", ends)
        assert bench.photo("a.jpg", photo()).faults[0].code == "desk.beyond-bounds"
    finally:
        bench.close()

    def full(*_: object) -> bytes:
        raise MemoryError

    monkeypatch.setattr(bench_module, "cleaned", full)
    monkeypatch.setattr(bench_module, "_bound_memory", lambda _: None)
    assert "GB of memory" in bench_module.take_given(2**30, bench_module.Given("photo", "a.jpg", b"")).faults[0].found
