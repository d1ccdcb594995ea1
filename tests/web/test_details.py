"""All that can be said of one load, in forms made from the specs of its kind: behaviour, what is asked of it, how it is fed."""

import re
from pathlib import Path

import pytest

from tests.handover.kit import PLAIN
from tests.web.conftest import Asked, asked_of
from tests.web.test_answers import plain
from wattwright.job.edit import Edit
from wattwright.job.file import load_job
from wattwright.job.loads import KINDS
from wattwright.job.spec import JobSpec
from wattwright.web.forms import Field, changes, fields_of, filled, plain_entries, to_write
from wattwright.web.groups import detail, details_of

LOADS = """
[[loads]]
id = "boiler"
name = "Boiler"
kind = "water heater"
rating = "2 kW"
volume = "150 l"
[loads.model]
set_point = "58 degC"
[[loads]]
id = "pump"
name = "Pump"
kind = "pool pump"
rating = "1 kW"
"""


@pytest.fixture
def ask(tmp_path: Path) -> Asked:
    """A desk with a job of two loads, one of which is simulated."""
    return asked_of(tmp_path, PLAIN + LOADS)


def spec(ask: Asked) -> JobSpec:
    """What the job says now."""
    return ask.opened.spec


def shown(text: str, form: str) -> dict[str, str]:
    """The text fields of a form with what stands in them, and the units chosen."""
    part = re.search(rf'id="{form}".*?</form>', text, re.S)[0]
    found = dict(re.findall(r'<input id="[^"]*" name="([^"]*)" value="([^"]*)"', part))
    for name, choices in re.findall(r'<select[^>]* name="([^"]*)"[^>]*>(.*?)</select>', part, re.S):
        chosen = re.search(r'<option(?: value="([^"]*)")? selected>([^<]*)', choices)
        found[name] = "" if chosen is None else chosen[1] if chosen[1] is not None else chosen[2]
    return found


def test_a_load_has_a_page_of_its_own(ask: Asked) -> None:
    """The survey leads to all that can be said of each load; behaviour only where it is simulated."""
    page = ask("/survey")
    assert f'href="/jobs/{ask.job}/survey?look=0"' in page.text
    boiler, pump = plain(ask("/survey?look=0")), plain(ask("/survey?look=1"))
    assert "Boiler: How it behaves" in boiler
    assert "usual: 60 degC" in boiler
    assert ("Boiler: What is asked of it" in boiler, "Boiler: How it is fed" in boiler) == (True, True)
    assert ("Pump: How it behaves" in pump, "Pump: How it is fed" in pump) == (False, True)
    assert shown(ask("/survey?look=0").text, "model-0")["loads.0.model.set_point"] == "58"
    assert "A load" in plain(ask("/survey?look=9"))


def test_saved_as_it_stands_changes_nothing(ask: Asked) -> None:
    """A form sent back as it was shown is no change, also where choices stand on what is usual."""
    text, before = ask("/survey?look=0").text, ask.store.head(ask.job)
    for form in ("model-0", "use-0", "wiring-0"):
        answer = ask.post("/do/set", {"group": form, **shown(text, form)})
        assert answer.headers["location"].endswith(f"/survey?look=0#{form}")
    assert ask.store.head(ask.job) == before


@pytest.mark.parametrize(
    ("form", "entry", "value", "unit", "told"),
    [("model-0", "loads.0.model.set_point", "55", "degC", "55 degC"), ("wiring-1", "loads.1.wiring.length", "18", "m", "18 m")],
)
def test_an_entry_is_set(ask: Asked, form: str, entry: str, value: str, unit: str, told: str) -> None:
    """What is typed is written with its unit."""
    sent = {"group": form, **shown(ask(f"/survey?look={form[-1]}").text, form), entry: value, f"{entry}.unit": unit}
    assert ask.post("/do/set", sent).status_code == 303
    assert Edit(ask.store.head(ask.job).text).value(entry) == told


def test_a_load_with_usual_values_stays_simulated(ask: Asked) -> None:
    """Where the last entry of a model is cleared the usual values hold, and the load is simulated as before."""
    sent = {"group": "model-0", **shown(ask("/survey?look=0").text, "model-0"), "loads.0.model.set_point": ""}
    assert ask.post("/do/set", sent).status_code == 303
    # 60 degC is the usual set point of the model's own description.
    assert spec(ask).loads[0].model.set_c == 60.0


def test_what_cannot_be_is_told_at_its_field(ask: Asked) -> None:
    """A value beyond its bounds is told beside its field, what was typed stays, nothing is saved."""
    sent = {"group": "model-0", **shown(ask("/survey?look=0").text, "model-0"), "loads.0.model.set_point": "300"}
    answer = ask.post("/do/set", sent)
    assert answer.status_code == 422
    assert 'class="field wrong"' in answer.text
    assert 'value="300"' in answer.text
    assert spec(ask).loads[0].model.set_c == 58.0


def test_two_tabs(ask: Asked) -> None:
    """A change made on an older state of the job is shown again and not saved."""
    sent = {"group": "model-0", **shown(ask("/survey?look=0").text, "model-0"), "loads.0.model.set_point": "50"}
    ask.post("/do/set", {"group": "job", "name": "Other (invented)", "place": "", "client": ""})
    answer = ask.post("/do/set", {**sent, "base": "1"})
    assert (answer.status_code, 'value="50"' in answer.text) == (409, True)


@pytest.mark.parametrize("id_", ["model-1", "model-9", "model-x", "use-99999", "other-0", "model"])
def test_details_there_are_not(ask: Asked, id_: str) -> None:
    """No group for a load that is not simulated or not there."""
    assert detail(id_, spec(ask)) is None


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_has_its_forms(tmp_path: Path, kind: str) -> None:
    """For every kind of load that needs no more than its plate, what can be said of it is one or several forms."""
    text = f'[[loads]]\nid = "one"\nname = "One"\nkind = "{kind}"\nrating = "2 kW"\n'
    (tmp_path / "job.toml").write_text(PLAIN + text)
    groups = details_of(load_job(tmp_path).spec, 0)
    assert [one.id for one in groups] == ["hours-0", "wiring-0"]
    assert all(field.help for one in groups for field in one.fields(Edit(PLAIN + text)))


def test_yes_or_no_where_yes_is_usual() -> None:
    """What is usual where nothing is written is shown as chosen, and only another answer is written."""
    from wattwright.core.fields import Spec

    class Odd(Spec):
        first: bool = True
        second: bool | None = None
        third: bool = False
        many: tuple[int, ...] = ()

    assert plain_entries(Odd, ("third",)) == ("first", "second")
    first, second = filled(fields_of(Odd, "", ("first", "second")), {})
    assert (first.value, second.value) == ("yes", "")
    assert list(changes([first, second], {})) == []
    assert filled([first], {"first": False})[0].value == "no"
    assert to_write(Field("x", "X", "", "choice", choices=("yes", "no"), value="no")) is False


@pytest.mark.parametrize(("count", "most_kb"), [(40, 400), (100, 80)])
def test_many_loads(tmp_path: Path, count: int, most_kb: int) -> None:
    """Forms of forty loads stand on the page; of more each has its own sheet, led to from the place that others name."""
    loads = [f'[[loads]]\nid = "l{i}"\nname = "Machine {i}"\nkind = "motor"\nrating = "1 kW"\n' for i in range(count)]
    ask = asked_of(tmp_path, PLAIN + "".join(loads))
    page = ask("/survey")
    assert len(page.content) < most_kb * 1000
    assert (f'name="loads.{count - 1}.rating"' in page.text) == (count == 40)
    address = f"/jobs/{ask.job}/survey?look={count - 1}"
    assert (f'<a id="load-{count - 1}" href="{address}">Machine {count - 1}</a>' in page.text) == (count == 100)
    assert page.text.count(f'id="load-{count - 1}"') == 1
    own = ask(address)
    assert f'name="loads.{count - 1}.rating" value="1"' in own.text
    refused = ask.post("/do/set", {"group": f"load-{count - 1}", f"loads.{count - 1}.rating": "much"})
    assert (refused.status_code, 'value="much"' in refused.text) == (422, True)
    assert f'<form class="quiet" id="remove-load-{count - 1}"' in own.text
