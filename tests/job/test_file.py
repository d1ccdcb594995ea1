"""The job file: every fault with its line, every change with its comments, every new one right at once."""

import json
import tomllib
from datetime import date
from importlib.resources import files

import jsonschema
import pytest
from hypothesis import HealthCheck, given, settings, strategies as st

from tests.job.hand import JOB, write_job
from wattwright.core.errors import FileError, JobError
from wattwright.core.specfile import parse_text
from wattwright.job.file import change_job, changed, job_schema, load_job, new_job, parsed
from wattwright.job.spec import VERSION, JobSpec
from wattwright.job.upgrade import brought_up

NEW = files("wattwright.job").joinpath("new_job.toml").read_text(encoding="utf-8")
DEMO = files("wattwright.demo").joinpath("job.toml").read_text(encoding="utf-8")


def spec(text):
    return parsed(parse_text(text, "job.toml", JobError))


def faults(text):
    with pytest.raises(JobError) as refused:
        spec(text)
    return [(one.place.line, one.place.field, one.found, one.next_step) for one in refused.value.faults]


def comments(text):
    """Every comment of a TOML text whose texts hold no hash."""
    return [line[line.index("#") :].strip() for line in text.splitlines() if "#" in line]


plain_text = st.text(st.characters(codec="utf-8", exclude_characters="#"), min_size=1, max_size=20)
edits = st.fixed_dictionaries(
    {},
    optional={
        "name": plain_text,
        "client": plain_text,
        "seed": st.integers(0, 2**31),
        "invented": st.booleans(),
        "site.zone": st.sampled_from(["Europe/Paris", "America/Toronto", "UTC"]),
        "site.latitude": st.floats(-90, 90).map(lambda one: round(one, 6)),
        "site.country": st.sampled_from(["", "GR", "FR"]),
        "papers.date": st.dates(date(2000, 1, 1), date(2100, 1, 1)),
        "papers.revision": st.sampled_from("ABC"),
        "papers.locale": st.sampled_from(["en_GB", "de_DE", "fr_FR", "en"]),
        "meters.0.name": plain_text,
        "meters.0.measures": plain_text,
        "tariff.files": st.lists(plain_text, max_size=2),
        "tariff.paid": plain_text,
    },
)


@pytest.mark.parametrize("job", ["new", "demo", "small"])
@settings(max_examples=30)
@given(changes=edits)
def test_no_comment_is_lost_and_nothing_else_changes(job, changes):
    """After any edits every comment stands as it stood, in its order, entries are what was asked, all others as before."""
    text = {"new": NEW, "demo": DEMO, "small": JOB}[job]
    after = changed(text, "job.toml", changes)
    assert comments(after) == comments(text)
    data, told = tomllib.loads(text), tomllib.loads(after)
    for dotted, value in changes.items():
        *tables, last = dotted.split(".")
        at, old = told, data
        for step in tables:
            at, old = (one[int(step) if step.isdigit() else step] for one in (at, old))
        assert at.pop(last) == value
        old.pop(last, None)
    assert told == data


@pytest.mark.parametrize(
    ("dotted", "step"),
    [
        ("nowhere.x", "nowhere"),
        ("files.7.path", "7"),
        ("files.x.path", "x"),
        ("name.x", "x"),
        ("site.zone.x", "x"),
        ("meters.id", "id"),
    ],
)
def test_change_without_a_table_is_refused(dotted, step):
    """A dotted name that leads nowhere is told with the step at which it ends."""
    with pytest.raises(JobError) as refused:
        changed(JOB, "job.toml", {dotted: 1})
    fault = refused.value.faults[0]
    assert (fault.code, fault.found, fault.place.field) == ("job.no-table", f'no table "{step}"', dotted)


def test_wrong_change_leaves_the_file_as_it_was(tmp_path):
    """A zone nobody has is refused, and not a byte of the file is other than before."""
    folder = write_job(tmp_path)
    before = (folder / "job.toml").read_bytes()
    with pytest.raises(JobError, match="Did you mean Europe/Athens"):
        change_job(folder, {"site.zone": "Europe/Athen"})
    assert (folder / "job.toml").read_bytes() == before
    assert change_job(folder / "job.toml", {"site.zone": "Europe/Paris"}).clock.zone == "Europe/Paris"


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=30)
@given(st.text(min_size=1, max_size=80).filter(lambda text: text.isprintable()), st.booleans())
def test_new_job_is_right_at_once(tmp_path_factory, name, with_file):
    """A new job of any name, with or without a meter file, can be loaded, keeps its comments and has the entries given."""
    folder = tmp_path_factory.mktemp("new")
    path = new_job(folder, name, "Europe/Athens", date(2025, 3, 1), 'x "y".csv' if with_file else "")
    job = load_job(folder)
    assert (job.spec.name, job.spec.site.zone, job.spec.papers.date) == (name, "Europe/Athens", date(2025, 3, 1))
    assert [one.path for one in job.spec.files] == (['x "y".csv'] if with_file else [])
    main = job.spec.main_file()
    assert (main.meter if main else None) == ("main" if with_file else None)
    assert path.read_text(encoding="utf-8").count("#") >= 20
    assert job.inside("a") == folder / "a"


def test_every_commented_entry_of_a_new_job_is_right():
    """The entries offered as comments are entries of a job: with their marks taken away the file is still one."""
    lines = [line.removeprefix("# ") if "=" in line or line.startswith("# [") else line for line in NEW.splitlines()]
    whole = spec("\n".join(lines))
    assert whole.supply.main_protection_a == 63
    assert whole.loads[0].rating_w == 3000
    assert whole.control.rules[0].load == whole.loads[0].id == "water-heater"
    assert whole.files[0].layout.stamps in ("start", "end")


def test_job_is_never_written_over(tmp_path):
    """Where a job lies already a new one is refused and the old one stays."""
    folder = write_job(tmp_path)
    with pytest.raises(FileError, match="a folder without one"):
        new_job(folder, "x", "UTC", date(2025, 1, 1))
    assert (folder / "job.toml").read_text() == JOB


def test_new_job_with_a_wrong_zone_writes_nothing(tmp_path):
    """A refused entry leaves no file behind."""
    with pytest.raises(JobError):
        new_job(tmp_path / "x", "x", "Mars/Base", date(2025, 1, 1))
    assert not (tmp_path / "x").exists()


def test_missing_job_is_told(tmp_path):
    """A folder without a job file is told by the file that is missing."""
    with pytest.raises(FileError, match=r"job\.toml: found no such file"):
        load_job(tmp_path)


BAD = JOB.replace('id = "sub"\nbehind = "main"', 'id = "main"\nbehind = "mian"').replace("3 kW", "3").replace(
    'load = "heater"', 'load = "haeter"'
).replace('meter = "sub"', 'meter = "sb"').replace("latitude = 37.1", "latitude = 137.1")  # fmt: skip


def test_all_faults_come_at_once_in_the_order_of_the_file():
    """Wrong entries, ids used twice and references that lead nowhere, each with the line it stands on."""
    lines = BAD.splitlines()

    def line(text):
        return lines.index(text) + 1

    twice = [i + 1 for i, one in enumerate(lines) if one == 'id = "main"'][1]
    assert faults(BAD) == [
        (line("latitude = 137.1"), "site.latitude", "137.1", ""),
        (twice, "meters[2].id", '"main" again', "Choose another id."),
        (line('behind = "mian"'), "meters[2].behind", '"mian"', "Did you mean main?"),
        (line('meter = "sb"'), "files[2].meter", '"sb"', "Add that meter, or correct the id."),
        (line('rating = "3"'), "loads[1].rating", '"3"', "Write the unit after the number."),
        (line('load = "haeter"'), "control.rule[1].load", '"haeter"', "Did you mean heater?"),
    ]


HEAD = 'name = "x"\n[site]\nzone = "UTC"\n[papers]\ndate = 2025-01-01\n'


@pytest.mark.parametrize(
    ("text", "field", "wanted"),
    [
        ('[[meters]]\nid = "a"\nbehind = "a"\n', ["meters[1].behind"], "meters that form a tree"),
        ('[[meters]]\nid = "a"\nbehind = "b"\n[[meters]]\nid = "b"\nbehind = "a"\n',
         ["meters[1].behind", "meters[2].behind"], "a tree"),
        ('[[meters]]\nid = "Main"\n', ["meters[1].id"], "small letters"),
        ('[[files]]\nid = "f"\npath = "x"\nmeter = "m"\n', ["files[1].meter"], "there is none yet"),
        ('[[control.rule]]\nid = "r"\nload = ""\nkind = "time programme"\n',
         ["control.rule[1].times"], 'an entry "times"'),
        ('[[control.rule]]\nid = "r"\nload = ""\nkind = "repeat-cycle timer"\non_for = "5 min"\n',
         ["control.rule[1].off_for"], 'an entry "off_for"'),
        ('[[control.rule]]\nid = "r"\nload = ""\nkind = "repeat-cycle timer"\non_for = "5 min"\noff_for = "5 min"\n'
         'months = [13]\n',
         ["control.rule[1].months[1]"], "at most 12"),
        ("meters = 3\n", ["meters"], "a list"),
        ("meters = [3]\n", ["meters[1]"], "a table"),
    ],
)  # fmt: skip
def test_what_no_single_entry_shows(text, field, wanted):
    """Loops of meters, ids, references and rules that do not fit their kind are told at their entries."""
    text = text + HEAD if text.startswith("meters =") else HEAD + text
    with pytest.raises(JobError) as refused:
        spec(text)
    assert [one.place.field for one in refused.value.faults] == field
    assert all(wanted in one.sentence() for one in refused.value.faults)


@pytest.mark.parametrize("locale", ["zz_ZZ", "en_EU", "EN", "en-GB"])
def test_locale_nobody_has_is_refused(locale):
    """A locale CLDR does not know is told when the job is read, not when a number is shown."""
    ((line, field, found, _),) = faults(HEAD + f'locale = "{locale}"\n')
    assert (line, field, found) == (6, "papers.locale", f'"{locale}"')


def test_rules_of_version_1_become_part_of_control():
    """What switched loads in a file of version 1 stands under [control] now; its other entries and comments stay."""
    old = JOB.replace("version = 2", "version = 1").replace("[[control.rule]]", "[[rules]]")
    assert spec(brought_up(old, "job.toml")) == spec(JOB)
    assert "# nobody lives here" in brought_up(old, "job.toml")
    summer = spec(brought_up(old + "months = [6, 7]\n", "job.toml")).control.rules[0]
    assert (summer.months, summer.other_months) == ((6, 7), "open")
    assert brought_up(old.replace("version = 1\n", ""), "job.toml").count("[[control.rule]]") == 1


LOAD = '[[loads]]\nid = "l"\nname = "L"\nkind = "other"\nrating = "1 W"\n'


@pytest.mark.parametrize(
    ("text", "field", "found"),
    [
        ('[[control.actuator]]\nload = "x"\n', "control.actuator[1].load", '"x"'),
        ('[[control.override]]\nload = "x"\nstate = "on"\nbegins = 2025-01-01T08:00:00\nends = 2025-01-01T09:00:00\n',
         "control.override[1].load", '"x"'),
        ('[[control.interlock]]\nkind = "never both"\nloads = ["l", "x"]\n', "control.interlock[1].loads[2]", '"x"'),
        ('[control]\nreturns = ["x"]\n', "control.returns[1]", '"x"'),
        ('[control.shedding]\npick_up = "9 kW"\nrestore = "8 kW"\norder = ["x"]\n', "control.shedding.order[1]", '"x"'),
        ('[[control.rule]]\nid = "r"\nload = "l"\nkind = "set point"\nquantity = "load value"\nof = "x"\ncalls = "below"\n'
         'set_point = 5\ndifferential = 1\n', "control.rule[1].of", '"x"'),
        ('[[control.rule]]\nid = "r"\nload = "l"\nkind = "repeat-cycle timer"\non_for = "5 min"\noff_for = "5 min"\n' * 2,
         "control.rule[2].id", '"r" again'),
    ],
)  # fmt: skip
def test_what_switches_loads_names_loads_that_are_there(text, field, found):
    """Every id under [control] is held against the loads, wherever it stands."""
    with pytest.raises(JobError) as refused:
        spec(HEAD + LOAD + text)
    assert [(one.place.field, one.found) for one in refused.value.faults] == [(field, found)]


def test_a_model_takes_from_the_survey_what_stands_there():
    """Rating and content stand once, in the survey; writing them again in the model, or twice the load, is refused."""
    heater = '[[loads]]\nid = "h"\nname = "H"\nkind = "water heater"\nrating = "2 kW"\nvolume = "120 l"\n'
    load = spec(HEAD + heater + '[loads.model]\nset_point = "55 degC"\n').loads[0]
    assert (load.model.rating_w, load.model.volume_l, load.model.set_c) == (2000, 120, 55)
    for extra, wanted in (
        ('[loads.model]\nrating = "2 kW"\n', "alone"),
        ('quantity = 2\n[loads.model]\nset_point = "55 degC"\n', "single piece"),
    ):
        with pytest.raises(JobError, match=wanted):
            spec(HEAD + heater + extra)
    with pytest.raises(JobError) as refused:
        spec(HEAD + heater + '[loads.model]\nset_piont = "55 degC"\n')
    assert refused.value.faults[0].next_step == "Did you mean set_point?"


def test_good_repeat_cycle_rule():
    """A repeat-cycle timer has two durations, held in seconds."""
    text = HEAD + '[[loads]]\nid = "l"\nname = "L"\nkind = "other"\nrating = "1 W"\n[[control.rule]]\nid = "r"\nload = "l"\n'
    rule = spec(text + 'kind = "repeat-cycle timer"\non_for = "15 min"\noff_for = "45 min"\nmonths = [1, 12]\n').control.rules[0]
    assert (rule.on_for_s, rule.off_for_s) == (900, 2700)


def test_demo_is_a_job():
    """The demonstration's file is right, and says that it is invented."""
    demo = spec(DEMO)
    assert demo.invented
    assert demo.main_file().id == "main-readings"
    assert sum(load.quantity for load in demo.loads) == len(demo.loads) + 6  # two fans and six room units


def as_json(value):
    """Plain twin: TOML's dates and times as JSON Schema writes them."""
    if isinstance(value, dict):
        return {key: as_json(one) for key, one in value.items()}
    if isinstance(value, list):
        return [as_json(one) for one in value]
    return value.isoformat() if hasattr(value, "isoformat") else value


@pytest.mark.parametrize("text", [DEMO, JOB, NEW])
def test_schema_accepts_what_we_read(text):
    """By jsonschema, with formats checked: the published schema takes the jobs that wattwright takes."""
    schema = json.loads(job_schema())
    checker = jsonschema.Draft202012Validator.FORMAT_CHECKER
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.Draft202012Validator(schema, format_checker=checker).validate(as_json(tomllib.loads(text)))


@pytest.mark.parametrize(
    ("old", "new"),
    [('kind = "water heater"', 'kind = "heater"'), ("date = 2025-02-01", 'date = "soon"'), ('rating = "3 kW"', "rating = 3"),
     ('name = "Two days"', ""), ("latitude = 37.1", "latitude = 100"), ("version = 2", "version = 2\nodd = 1")],
)  # fmt: skip
def test_schema_refuses_what_we_refuse(old, new):
    """Entries that wattwright refuses are refused by the schema too, so that an editor shows them."""
    text = JOB.replace(old, new)
    assert faults(text)
    validator = jsonschema.Draft202012Validator(
        json.loads(job_schema()), format_checker=jsonschema.Draft202012Validator.FORMAT_CHECKER
    )
    assert list(validator.iter_errors(as_json(tomllib.loads(text))))


def test_every_field_says_what_it_is():
    """Each entry of the schema has a description, for the person who writes it and the page that asks for it."""
    schema = JobSpec.model_json_schema(by_alias=True)
    bare = []
    for name, one in [("JobSpec", schema), *schema["$defs"].items()]:
        for field, entry in one.get("properties", {}).items():
            if "description" not in entry and "$ref" not in json.dumps(entry):
                bare.append(f"{name}.{field}")
    assert bare == []


def rename(document):
    document["place"] = document.pop("where")


def double(document):
    document["seed"] = document["seed"] * 2


OLD = '# head\nversion = 1\nname = "x" # who\nwhere = "here" # where it is\nseed = 3\n'


def test_older_files_are_brought_up_step_by_step():
    """From version 1 by way of 2 to 3: each step changes what it says, comments stay, and the version is the newest."""
    told = brought_up(OLD, "job.toml", {1: rename, 2: double}, newest=3)
    assert tomllib.loads(told) == {"name": "x", "place": "here", "seed": 6, "version": 3}
    assert {"# head", "# who"} <= set(comments(told))
    text = OLD.replace("where", "place").replace("version = 1", "version = 2")
    assert tomllib.loads(brought_up(text, "job.toml", {2: double}, newest=3))["seed"] == 6


def test_file_of_today_is_left_as_it_is():
    """Nothing is written anew where nothing is to be done, even without a version."""
    assert brought_up(JOB, "job.toml") is JOB
    assert brought_up(HEAD, "job.toml") is HEAD
    assert VERSION == 2


@pytest.mark.parametrize(
    ("version", "sentence"),
    [("3", "written by a newer wattwright"), ("0", "from 1 to 2"), ("true", "from 1 to 2"), ('"1"', "from 1 to 2")],
)
def test_version_nobody_can_read_is_refused(version, sentence):
    """A newer version, and what is no version, are told as such."""
    with pytest.raises(JobError, match=sentence):
        brought_up(f"version = {version}\n{HEAD}", "job.toml")


def test_version_without_a_way_up_is_refused():
    """Where a step is lacking nothing is guessed."""
    with pytest.raises(JobError, match="can bring up to 3"):
        brought_up(OLD, "job.toml", {1: rename}, newest=3)


def test_job_of_an_older_version_is_loaded(tmp_path, monkeypatch):
    """Loading brings an older text up in memory and leaves the file as the person wrote it."""
    folder = write_job(tmp_path)
    text = (folder / "job.toml").read_text()
    monkeypatch.setattr("wattwright.job.file.brought_up", lambda given, _: given.replace("Two days", "Brought up"))
    assert load_job(folder).spec.name == "Brought up"
    assert (folder / "job.toml").read_text() == text


@pytest.mark.parametrize(
    ("line", "field", "wanted"),
    [
        ('country = "XX"', "site.country", "a country by its two letters"),
        ('country = "gr"', "site.country", "a country by its two letters"),
        ('country = "CA"\nsubdivision = "QQ"', "site", "a subdivision of CA"),
        ("latitude = nan", "site.latitude", "a finite number"),
    ],
)
def test_site_is_checked_when_the_job_is_read(line, field, wanted):
    """A country, subdivision or latitude that cannot be is refused with its place, before anything is worked out."""
    text = f'version = 2\nname = "x"\n[site]\nzone = "UTC"\n{line}\n[papers]\ndate = 2025-01-01\n'
    with pytest.raises(JobError) as refused:
        parsed(parse_text(text, "job.toml", JobError))
    fault = refused.value.faults[0]
    assert fault.place.field == field
    assert fault.place.line in (3, 5)
    assert wanted in fault.wanted


def test_version_and_double_entries_have_their_line(tmp_path):
    """A wrong version and an entry given twice are named with the line they stand on."""
    path = tmp_path / "job.toml"
    path.write_text('name = "x"\n# first\nversion = 99\n')
    with pytest.raises(JobError) as refused:
        load_job(path)
    assert (refused.value.faults[0].place.line, refused.value.faults[0].place.field) == (3, "version")
    path.write_text('name = "x"\nseed = 1\nname = "y"\n')
    with pytest.raises(JobError, match=r"line 3.*each entry and each \[table\] once"):
        load_job(path)


@pytest.mark.parametrize(
    ("text", "field", "found", "step"),
    [
        ('[[control.rule]]\nid = "r"\nload = "l"\nkind = "limt"\n', "control.rule[1].kind", '"limt"', "Did you mean limit?"),
        ('[[control.rule]]\nid = "r"\nload = "l"\n', "control.rule[1].kind", "nothing", "Add it."),
        ('[[loads]]\nid = "m"\nname = "M"\nkind = "waterheater"\nrating = "1 W"\n', "loads[2].kind", '"waterheater"',
         "Did you mean water heater?"),
        ('[[control.rule]]\nid = "r"\nload = "l"\nkind = "limit"\nquantity = "site power"\npick_up = "9"\ndrop_out = "8 kW"\n',
         "control.rule[1].pick_up", '"9"', "Write the unit after the number."),
        ('[control.shedding]\npick_up = "9 kW"\nrestore = "8 A"\norder = ["l"]\n', "control.shedding.restore", '"8 A"', None),
    ],
)  # fmt: skip
def test_a_wrong_kind_or_threshold_is_told_where_it_stands(text, field, found, step):
    """A kind that is none, and a threshold without its unit, are told at the entry itself, with the nearest that would do."""
    with pytest.raises(JobError) as refused:
        spec(HEAD + LOAD + text)
    (fault,) = refused.value.faults
    assert (fault.place.field, fault.found) == (field, found)
    assert step is None or fault.next_step == step
