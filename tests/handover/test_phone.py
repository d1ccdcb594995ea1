"""The survey for the phone: one file that asks nothing of a network, and in which only its own script runs."""

import base64
import hashlib
import json
import re
from pathlib import Path

from tests.handover.conftest import JOB, write_job
from wattwright.handover.phone import phone
from wattwright.job.file import load_job
from wattwright.job.visited import DAYS, LOAD, SCHEMA, SUPPLY, survey_print

HOSTILE = "</script><script>alert(1)</script> \u2028 <b> {{ 7 * 7 }}"

NAME = json.dumps(HOSTILE)


def of(folder: Path, text: str = JOB) -> str:
    """The file of a job of this text."""
    folder.joinpath("job.toml").write_text(text)
    return phone(load_job(folder).spec)


def given(page: str) -> dict:
    """What the script is given."""
    return json.loads(re.search(r'<script type="application/json" id="given">(.*?)</script>', page, re.DOTALL)[1])


def test_policy_lets_only_its_own_run(tmp_path: Path) -> None:
    """The hashes are those of the script and style inside (CSP 3: SHA-256 in base64 of the text); nothing has an address."""
    page = of(write_job(tmp_path))
    policy = re.search(r'http-equiv="Content-Security-Policy" content="([^"]*)"', page)[1].replace("&#39;", "'")
    for kind, text in (
        ("script", re.findall(r"<script>(.*?)</script>", page, re.DOTALL)),
        ("style", re.findall(r"<style>(.*?)</style>", page, re.DOTALL)),
    ):
        assert len(text) == 1
        assert f"{kind}-src 'sha256-{base64.b64encode(hashlib.sha256(text[0].encode()).digest()).decode()}'" in policy
    assert policy.startswith("default-src 'none'; ")
    assert "unsafe" not in policy
    assert re.findall(r"https?://|\bsrc=|\son\w+=|style=", page) == []


def test_what_the_job_says_is_in_it(tmp_path: Path) -> None:
    """Supply and loads are filled in; its fields are those that the desk reads."""
    made = given(of(write_job(tmp_path), JOB.replace("[[meters]]", '[gear]\nearthing = "TT"\n[[meters]]', 1)))
    assert (made["schema"], made["job"], made["file"]) == (SCHEMA, "Almond Terrace <b>", "almond-terrace-b-survey.json")
    assert made["supply"] == {"earthing": "TT", "system": "single-phase", "voltage": "230 V", "main_protection": "25 A"}
    assert made["loads"][0] == {
        "id": "heater",
        "entries": {
            "name": "=1+1 water heater", "kind": "water heater", "quantity": "1", "rating": "3 kW", "controllable": "yes",
            "interrupt": "mains",
        },
    }  # fmt: skip
    assert {one["name"] for one in made["supply_fields"]} == set(SUPPLY)
    assert {one["name"] for one in made["load_fields"]} == {*LOAD, "duty", *(f"hours_{one}" for one in DAYS)}
    assert made["made_from"] == survey_print(load_job(tmp_path).spec)


def test_more_of_a_load(tmp_path: Path) -> None:
    """What was read on site before is there too, and what was agreed."""
    wiring = 'volume = "120 l"\nwiring = { breaker = "16 A", length = "12.5 m", plate_current = "13 A" }\n'
    text = JOB.replace('rating = "3 kW"\n', f'rating = "3 kW"\n{wiring}').replace('"25 A"', '"25 A"\nagreed_power = "5.75 kW"')
    made = given(of(write_job(tmp_path), text))
    entries = made["loads"][0]["entries"]
    assert {key: entries[key] for key in ("volume", "breaker", "length", "plate_current")} == {
        "volume": "120 l", "breaker": "16 A", "length": "12.5 m", "plate_current": "13 A",
    }  # fmt: skip
    assert made["supply"]["agreed_power"] == "5.75 kW"


def test_a_supply_of_which_little_is_known(tmp_path: Path) -> None:
    """A rating that nobody read is left to be entered."""
    made = given(of(write_job(tmp_path), JOB.replace('main_protection = "25 A"\n', "")))
    assert made["supply"] == {"system": "single-phase", "voltage": "230 V"}


def test_an_almost_empty_job(tmp_path: Path) -> None:
    """A name and a clock are enough."""
    made = given(of(tmp_path, 'version = 2\nname = "!"\n[site]\nzone = "UTC"\n[papers]\ndate = 2025-11-03\n'))
    assert (made["supply"], made["loads"], made["file"]) == ({}, [], "job-survey.json")


def test_nothing_written_can_end_its_place(tmp_path: Path) -> None:
    """A hostile name stays a name."""
    page = of(
        write_job(tmp_path),
        JOB.replace("Almond Terrace <b>", HOSTILE.replace("\u2028", "")).replace('"Oven"', json.dumps(HOSTILE)),
    )
    assert page.count("<script") == 2
    assert given(page)["loads"][1]["entries"]["name"] == HOSTILE
    assert "&lt;/script&gt;" in page
    assert "49" not in re.search(r"<h1>(.*?)</h1>", page)[1]
