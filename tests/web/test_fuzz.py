"""Every address of the desk asked with whatever may come: never a fault of ours, and one shape of refusal."""

import re
from collections.abc import Iterator
from itertools import cycle
from urllib.parse import quote

import pytest
from hypothesis import HealthCheck, given, settings, strategies as st

from tests.handover.kit import PLAIN, hours
from tests.web.conftest import PORT, Asked
from wattwright.web.app import Answers
from wattwright.web.links import SHEETS, links
from wattwright.web.page_forms import forms_of

OWN = f"http://127.0.0.1:{PORT}"
REFUSALS = {400, 403, 404, 405, 409, 413, 422, 503}
SECONDS = 'import json, sys\nprint(json.dumps({"doing": "counting", "done": 1, "total": 3}), flush=True)\n'

ODD = (
    "", "0", "-1", "1", "2", "99999999999", "1e400", "nan", "..", "../..", "%00", "<b>", "=1+1", "2 kW", "yes", "main", "\x00",
    "\u0661", "a" * 5000,
)  # fmt: skip
"""Numbers and none, ways out, markup, a formula, a digit that is not ASCII, and much."""
NAMES = ("year-heat", "year-heat.csv", "year-heat.svg", "year-heat.wide.json", "report.pdf", "report")
text = st.one_of(st.text(max_size=30), st.sampled_from(ODD))
values = st.dictionaries(text, text, max_size=4)
answers = st.lists(st.one_of(st.none(), text), min_size=12, max_size=12)
contents = st.one_of(st.binary(max_size=200), st.sampled_from([b"", b"PK\x03\x04", b"\x1f\x8b", hours([1.0] * 24).encode()]))


@pytest.fixture(scope="module")
def ask(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Asked]:
    """A desk with a small job, and long work that is done at once."""
    folder = tmp_path_factory.mktemp("fuzz") / "job"
    folder.mkdir()
    (folder / "job.toml").write_text(PLAIN)
    (folder / "readings.csv").write_text(hours([1.0, 2.0] * 48))
    made = Asked(folder, program=SECONDS)
    yield made
    made.desk.close()


def filled(path: str, parts: dict[str, str]) -> str:
    """An address with something in each of its places."""
    return re.sub(r"\{(\w+)\}", lambda found: quote(parts.get(found[1], ""), safe="") or "-", path)


def routes(ask: Asked, method: str) -> list[str]:
    """The addresses that are asked with a method."""
    return [path for one, path, _ in Answers(ask.desk).routes() if one == method]


def right(answer) -> None:
    """An answer, or a refusal in the one shape."""
    if answer.status_code >= 400:
        assert answer.status_code in REFUSALS, answer.text[:3000]
        assert 'class="fault"' in answer.text or 'class="came"' in answer.text or 'class="field wrong"' in answer.text


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_whatever_is_asked(ask: Asked, data: st.DataObject) -> None:
    """Any address of the desk, its places filled with real names or with anything, and any question behind it."""
    path = data.draw(st.sampled_from(routes(ask, "GET")))
    parts = {
        "job": data.draw(st.one_of(st.just(ask.job), text)), "sheet": data.draw(st.one_of(st.sampled_from(SHEETS), text)),
        "name": data.draw(st.one_of(st.sampled_from(NAMES), text)),
        "print_": data.draw(st.one_of(st.just(links().print_), text)), "run": data.draw(text),
    }  # fmt: skip
    right(
        ask(
            filled(path, parts),
            params=data.draw(
                st.one_of(
                    st.just({}),
                    st.just({"look": "readings"}),
                    st.just({"from": "1"}),
                    st.just({"from": "nan", "until": "inf"}),
                    values,
                )
            ),
        )
    )


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_whatever_is_sent(ask: Asked, data: st.DataObject) -> None:
    """Any action with the desk's own token: real fields and made-up ones, numbers and none, files and none."""
    names = [name for name in actions(ask) if name != "remove"]
    action = data.draw(st.one_of(st.sampled_from([*names, "text"]), text.filter(lambda one: one != "remove")))
    sheet = data.draw(st.sampled_from(SHEETS))
    sent = {"sheet": sheet, **data.draw(values)}
    # Which forms there are depends on what was sent before, so nothing is drawn from them: a place among them is.
    forms, place, given_ = [*forms_of(ask.opened, sheet, links())], data.draw(st.integers(0, 40)), data.draw(answers)
    if forms:
        form = forms[place % len(forms)]
        sent |= dict(form.hidden)
        sent |= {one.name: told for one, told in zip(form.fields, cycle(given_), strict=False) if told is not None}
    if data.draw(st.booleans()):
        sent["base"] = data.draw(text)
    files = {"files": (data.draw(text.filter(bool)), data.draw(contents))} if data.draw(st.booleans()) else None
    answer = ask.post(filled("/do/{action}", {"action": action}), plainly(sent), files)
    right(answer)
    assert ask("/property").status_code == 200


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(sent=values, content=contents, name=text.filter(bool), path=st.sampled_from(["/jobs/new", "/jobs/import", "/quick/keep"]))
def test_whatever_becomes_a_job(
    tmp_path_factory: pytest.TempPathFactory, sent: dict, content: bytes, name: str, path: str
) -> None:
    """A new job from anything, with any file; what becomes of it can be opened."""
    ask = Asked(None, tmp_path_factory.mktemp("any") / "store")
    answer = ask.post(path, plainly({"zone": "UTC", **sent}), {"files": (name, content)})
    right(answer)
    for one in ask.store.jobs():
        right(ask(f"/jobs/{one.id}/property"))
    ask.desk.close()


def actions(ask: Asked) -> tuple[str, ...]:
    """The names of all actions."""
    return Answers(ask.desk)._actions.names()


def plainly(sent: dict[str, str]) -> dict[str, str]:
    """What can be written into a form: no half of a pair of surrogates."""
    return {name.encode("utf-8", "replace").decode(): value.encode("utf-8", "replace").decode() for name, value in sent.items()}
