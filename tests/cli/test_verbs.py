"""Every verb on a job and on a meter file: what it says, in text and as JSON."""

import json
from decimal import Decimal

import openpyxl
import pytest

from tests.job.hand import JOB, TARIFF, readings
from wattwright.checks import registry
from wattwright.checks.registry import Confidence
from wattwright.core.glossary import as_markdown, terms
from wattwright.job.file import load_job

FILE = ("readings.csv", "--zone", "Europe/Athens", "--stamps", "start")
DEMAND_KEYS = {
    "schema", "energy_kwh", "maximum_demand_kw", "maximum_demand_by_window_kw", "base_load_kw", "mean_kw", "load_factor",
    "step_s", "intervals", "missing", "completeness", "first", "last", "stamps", "findings",
}  # fmt: skip


def told(done):
    """The JSON of a call that went well, read strictly."""
    assert done.code == 0, done.err
    assert done.err == ""

    def refuse(constant):
        raise AssertionError(f"{constant} is no JSON")

    return json.loads(done.out, parse_constant=refuse)


@pytest.mark.parametrize("source", [("job",), ("job/job.toml",), FILE], ids=["folder", "job.toml", "file"])
def test_demand_as_json(wattwright, source):
    """The documented keys are there; two days of half a kilowatt-hour an hour are 24 kWh at 500 W throughout."""
    demand = told(wattwright("demand", *source, "--json"))
    assert demand.keys() >= DEMAND_KEYS
    assert demand["schema"] == "wattwright.demand/1"
    assert demand["maximum_demand_by_window_kw"] == {"15": None, "30": None, "60": 0.5}
    assert (demand["energy_kwh"], demand["mean_kw"], demand["base_load_kw"], demand["load_factor"]) == (24, 0.5, 0.5, 1)
    assert (demand["intervals"], demand["missing"], demand["completeness"], demand["step_s"]) == (48, 0, 1, 3600)
    assert (demand["first"], demand["last"]) == ("2025-01-06T00:00:00+02:00", "2025-01-08T00:00:00+02:00")
    assert demand["stamps"]["mark"] == "start"
    assert all({"code", "severity", "says", "why", "do"} <= one.keys() for one in demand["findings"])


@pytest.mark.parametrize("source", [("job",), FILE], ids=["job", "file"])
def test_demand_as_text(wattwright, source):
    """The text names the energy, the maximum, what cannot be known and how many are missing."""
    done = wattwright("demand", *source)
    assert done.code == 0
    for words in ("24.00\N{NARROW NO-BREAK SPACE}kWh", "0.500\N{NARROW NO-BREAK SPACE}kW", "none missing", "cannot be known"):
        assert words in done.out
    assert "ᵐ measured" in done.out


def test_demand_over_months_has_their_table(wattwright, place):
    """A record over two months shows a row for each, parts marked, and readings that are missing counted."""
    rows = readings(hours=24).splitlines()[1:]
    january = [row.replace("2025-01-06", "2025-01-31") for row in rows]
    february = [row.replace("2025-01-06", "2025-02-01") for row in rows]
    (place / "two.csv").write_text("\n".join(["when,Energy kWh", *january[:20], *february]) + "\n")
    out = wattwright("demand", "two.csv", "--zone", "Europe/Athens", "--stamps", "start").out
    assert "2025-01 (part)" in out
    assert "2025-02 (part)" in out
    assert "4 missing" in out


def test_rolling_is_shown_where_it_is_higher(wattwright, place):
    """Two hot half hours side by side over the full hour: the rolling hour is 2 kW, the clock's 1 kW."""
    values = [0, 0, 0, 2, 2, 0, 0, 0]
    rows = [f"2025-01-06 {k // 2:02d}:{30 * (k % 2):02d},{value}" for k, value in enumerate(values)]
    (place / "half.csv").write_text("\n".join(["when,P kW", *rows]) + "\n")
    out = wattwright("demand", "half.csv", "--zone", "Europe/Athens", "--stamps", "start").out
    assert "rolling 2.000" in out
    assert "1.000\N{NARROW NO-BREAK SPACE}kW" in out


@pytest.mark.parametrize("name", ["when,Energy [kWh]", "when,[bold]Energy kWh[/x]"])
def test_names_in_brackets_are_shown_as_they_are(wattwright, place, name):
    """A file and a column may have brackets in their names: they are shown whole and never taken as an instruction."""
    (place / "meter [copy].csv").write_text(readings().replace("when,Energy kWh", name))
    for verb in ("record", "demand"):
        done = wattwright(verb, "meter [copy].csv", "--zone", "Europe/Athens")
        assert done.code == 0
        assert "meter [copy].csv" in done.out
    assert name.partition(",")[2] in wattwright("record", "meter [copy].csv", "--zone", "Europe/Athens").out.replace("\n", "")


def test_record_as_json(wattwright):
    """A file is one record; a job holds one for each of its files."""
    record = told(wattwright("record", *FILE, "--json"))
    assert record["schema"] == "wattwright.record/1"
    assert record["channels"][0]["intervals"] == 48
    records = told(wattwright("record", "job", "--json"))["records"]
    assert [one["channels"][0]["meter"] for one in records] == ["main", "sub"]


def test_record_as_text(wattwright):
    """The text names the file, how it was read, its channels and its span."""
    out = wattwright("record", *FILE).out
    for words in ("readings.csv", "decimal mark", "active power", "2025-01-06 00:00 to 2025-01-08 00:00"):
        assert words in out
    assert "sub.csv" in wattwright("record", "job").out


def test_column_may_be_said(wattwright, place):
    """What a column holds can be said on the command line, parts left out keeping their usual value; a phase is shown."""
    (place / "odd.csv").write_text(readings().replace("Energy kWh", "Z=9"))
    done = wattwright("record", "odd.csv", "--zone", "UTC", "--column", "Z=9=active power, energy per interval, Wh, L1", "--json")
    channel = told(done)["channels"][0]
    assert (channel["column"], channel["unit"], channel["phase"], channel["direction"]) == ("Z=9", "Wh", "L1", "import")
    out = wattwright("record", "odd.csv", "--zone", "UTC", "--column", "Z=9=active power,mean,kW,L1").out
    assert "active power, L1" in out


@pytest.mark.parametrize(
    ("source", "options"), [(("job",), ()), (FILE, ("--tariff", "tariff.toml", "--compare", "two"))], ids=["job", "file"]
)
def test_bill_adds_up_as_decimals(wattwright, source, options):
    """24 kWh at 0.20 and two days at 0.10 are 5.00 EUR, and lines and months add up to it exactly."""
    bill = told(wattwright("bill", *source, *options, "--json"))
    assert bill.keys() >= {"schema", "lines", "by_month", "total", "currency"}
    assert (bill["total"], bill["currency"], bill["schema"]) == ("5.00", "EUR", "wattwright.bill/1")
    assert all(one.keys() >= {"label", "quantity", "unit", "rate", "amount"} for one in bill["lines"])
    assert sum(Decimal(one["amount"]) for one in bill["lines"]) == Decimal(bill["total"])
    assert sum(Decimal(one["amount"]) for one in bill["by_month"]) == Decimal(bill["total"])
    if options:
        # 24 x 0.30 = 7.20, which is 2.20 more
        assert [(one["id"], one["total"], one["difference"]) for one in bill["compared"]] == [
            ("one", "5.00", "0.00"),
            ("two", "7.20", "2.20"),
        ]


def test_bill_as_text(wattwright):
    """Lines, total, average price and the other tariff with its difference."""
    out = wattwright("bill", *FILE, "--tariff", "tariff.toml", "--paid", "one", "--compare", "two").out
    for words in ("Under One these readings cost €5.00", "Standing", "5.00", "7.20", "2.20", "part of the month", "EUR/kWh"):
        assert words in out
    alone = wattwright("bill", *FILE, "--tariff", "tariff.toml", "--paid", "two").out
    assert "7.20" in alone
    assert "Difference" not in alone


def test_new_job(wattwright, place):
    """A new job is written, named for its folder, and can be read at once; its path is told."""
    assert told(wattwright("new", "almond", "--zone", "Europe/Athens", "--json"))["path"] == "almond/job.toml"
    assert load_job(place / "almond").spec.name == "almond"
    done = wattwright("new", "other", "--name", "The other", "--record", "r.csv")
    assert done.out.startswith("other/job.toml\n")
    assert load_job(place / "other").spec.files[0].path == "r.csv"
    again = wattwright("new", "other")
    assert again.code == 1
    assert load_job(place / "other").spec.name == "The other"


def test_handover_writes_the_papers_and_says_when_nothing_changed(wattwright, place):
    """Report, page and workbook lie where they were asked for; the second time nothing is made."""
    papers = told(wattwright("handover", *FILE, "--into", "out", "--json"))
    assert papers["made"]
    assert (place / papers["report"]).read_bytes().startswith(b"%PDF")
    assert "<html" in (place / papers["page"]).read_text(encoding="utf-8")
    assert openpyxl.load_workbook(place / papers["workbook"], read_only=True).sheetnames
    before = {path: path.stat().st_mtime_ns for path in (place / "out").iterdir()}
    done = wattwright("handover", *FILE, "--into", "out")
    assert done.out.startswith("Nothing has changed")
    assert {path: path.stat().st_mtime_ns for path in (place / "out").iterdir()} == before


@pytest.mark.parametrize(
    ("source", "folder"), [("job", "job/papers"), ("job/job.toml", "job/papers"), ("readings.csv", "readings-papers")]
)
def test_papers_lie_beside_their_source(wattwright, monkeypatch, source, folder):
    """Without a folder of its own the papers go beside the job or the meter file."""
    asked = []

    def stop(_, into, __):
        asked.append(str(into))
        raise KeyboardInterrupt

    monkeypatch.setattr("wattwright.cli.verbs.write_papers", stop)
    assert wattwright("handover", source).code == 1
    assert asked == [folder]


def test_what_the_visit_needs_is_written_alone(wattwright, place):
    """Logging plan and survey sheet of a job without readings; a bare meter file or prices are no job."""
    assert wattwright("new", "early", "--zone", "Europe/Athens").code == 0
    done = wattwright("handover", "early", "--survey")
    assert (done.code, done.out) == (0, "early/papers/survey.pdf\nearly/papers/survey.html\n")
    assert sorted(one.name for one in (place / "early/papers").iterdir()) == ["survey.html", "survey.pdf"]
    assert told(wattwright("handover", "early", "--survey", "--into", "v", "--json"))["survey"] == "v/survey.pdf"
    assert wattwright("handover", "readings.csv", "--survey").code == 2
    assert wattwright("handover", "early", "--survey", "--tariff", "t.toml").code == 2


def test_demo_writes_a_job_that_says_it_is_invented(wattwright, monkeypatch):
    """The verb asks for the job and its papers, and says that everything in it is invented; as JSON it says the paths alone."""
    calls = []

    def job(into, _):
        calls.append(into)
        return into.parent / "job" / "job.toml"

    from wattwright.handover.papers import Papers

    monkeypatch.setattr("wattwright.cli.verbs.demo_job", job)
    monkeypatch.setattr(
        "wattwright.cli.verbs.write_papers",
        lambda _, into, __: Papers(into / "a.pdf", into / "a.html", into / "a.xlsx", into / "b.pdf", ("a.pdf",)),
    )
    out = wattwright("demo", "--into", "d").out
    assert "Everything in this job is invented" in out
    assert "d/papers/a.pdf" in out
    assert told(wattwright("demo", "--into", "d", "--json"))["report"] == "d/papers/a.pdf"
    assert [str(one) for one in calls] == ["d", "d"]


def test_glossary(wattwright):
    """A word is explained in text, as JSON and as the page of the documentation; an unknown one is wrong usage."""
    assert "mean power divided by maximum demand" in wattwright("glossary", "load factor").out.replace("\n", " ")
    assert "power factor (cos φ)" in wattwright("glossary", "power factor").out
    assert len(told(wattwright("glossary", "--json"))["terms"]) == len(terms())
    assert wattwright("glossary", "--markdown").out == as_markdown()
    assert wattwright("glossary", "zzz").code == 2


@pytest.fixture
def checks(monkeypatch):
    """A register with one check that holds, one that does not and one on texts, and nothing else."""
    monkeypatch.setattr(registry, "all_checks", lambda: tuple(registry._CHECKS[key] for key in sorted(registry._CHECKS)))
    monkeypatch.setattr(registry, "_CHECKS", {})
    for id_, ours in (("units.foot", 0.3048), ("units.wrong", 0.5)):
        registry.register(
            id_,
            "foot in m",
            unit="m",
            source="NIST SP 811",
            confidence=Confidence.PUBLISHED,
            published=0.3048,
            ours=lambda x=ours: x,
        )
    registry.register(
        "words.one", "a word", unit="", source="x", confidence=Confidence.FROM_MEMORY, published="a", ours=lambda: "a"
    )


def test_checks_that_hold(wattwright, checks):
    """Each comparison with its source, its deviation and whether it holds."""
    out = wattwright("check", "--only", "units.foot").out
    assert "holds" in out
    assert "NIST SP 811" in out
    assert "1 of 1 checks hold." in out
    assert told(wattwright("check", "--only", "words", "--json"))["checks"][0]["passed"] is True


def test_check_that_does_not_hold_is_our_fault(wattwright, checks):
    """Where a comparison fails on this machine the exit code is 3 and the check is named, after everything was shown."""
    done = wattwright("check")
    assert done.code == 3
    assert "2 of 3 checks hold." in done.out
    assert "units.wrong" in done.err
    assert wattwright("check", "--only", "zzz").code == 2


def test_tariff_without_a_meter_file(wattwright, place):
    """A job names its own tariff; a meter file needs one named; each mistake says which."""
    assert "--tariff, --paid and --compare belong in the job file" in wattwright("bill", "job", "--tariff", "tariff.toml").err
    assert "Name a tariff file with --tariff" in wattwright("bill", *FILE).err
    (place / "job" / "job.toml").write_text(JOB.replace('files = ["tariff.toml"]', ""))
    done = wattwright("bill", "job")
    assert (done.code, "under [tariff]" in done.err) == (1, True)
    assert "euro" not in TARIFF


def test_totals_stand_with_and_without_estimates(wattwright, place):
    """Two weeks of 0.5 kWh an hour with a gap of three hours beside a register: 168 kWh, of which 166.5 were read and 1.5 not."""
    rows = [(f"2025-06-{1 + i // 24:02d} {i % 24:02d}:00", f"0.5,{100 + i / 2:.1f}") for i in range(14 * 24)]
    held = [",".join(row) for i, row in enumerate(rows) if i not in (100, 101, 102)]
    (place / "gap.csv").write_text("\n".join(["start,Energy kWh,Register kWh", *held, ""]))
    done = wattwright("demand", "gap.csv", "--zone", "Europe/Athens", "--gaps", "estimate")
    text = done.out.replace("\N{NARROW NO-BREAK SPACE}", " ")
    assert "168.00 kWhᵉ" in text
    assert "166.50 kWhᵐ" in text
    assert "1.50 kWhᵉ, between 1.40 kWh and 1.60 kWh" in text


def test_estimates_without_a_band_say_so(wattwright, place):
    """Four days are too few to try a gap of three hours nineteen times."""
    rows = [f"2025-06-{2 + i // 24:02d} {i % 24:02d}:00,0.5" for i in range(96) if i not in (40, 41, 42)]
    (place / "gap.csv").write_text("\n".join(["start,Energy kWh", *rows, ""]))
    done = wattwright("demand", "gap.csv", "--zone", "Europe/Athens", "--gaps", "estimate")
    assert "how far off is not known" in done.out


@pytest.mark.parametrize("ending", ["csv", "xlsx", "parquet", "jsonl", "xml"])
def test_export(wattwright, place, ending):
    """Two days of half a kilowatt-hour an hour, written at two hours, are 24 steps of 500 W when read again."""
    written = told(wattwright("export", *FILE, "--to", f"out.{ending}", "--step", "2 h", "--json"))
    assert (written["path"], written["left_out"]) == (f"out.{ending}", [])
    record = told(wattwright("record", f"out.{ending}", "--zone", "Europe/Athens", "--json"))
    assert [(one["step_s"], one["intervals"], one["missing"]) for one in record["channels"]] == [(7200, 24, 0)]
    assert told(wattwright("demand", f"out.{ending}", "--zone", "Europe/Athens", "--json"))["energy_kwh"] == 24


def test_export_says_where_it_wrote(wattwright, place):
    """In words: the path; a channel that the format has no code for is named."""
    (place / "air.csv").write_text("time,P [W],Humidity [%]\n" + "".join(f"2025-06-01 {h:02d}:00Z,5,50\n" for h in range(24)))
    done = wattwright("export", "air.csv", "--zone", "UTC", "--to", "air.xml")
    assert (done.code, done.out.splitlines()) == (
        0, ["air.xml", "Left out, since the format has no code for them: humidity."]
    )  # fmt: skip


def test_export_with_an_empty_step_is_no_export(wattwright, place):
    """A step that holds nothing, such as an unset variable, is a mistake and not the record's own step."""
    done = wattwright("export", *FILE, "--to", "out.csv", "--step", "")
    assert (done.code, '--step: found ""' in done.err) == (1, True)
    assert not (place / "out.csv").exists()


@pytest.mark.parametrize("step", ["90 min", "1.5 s", "0 s"])
def test_export_with_a_step_that_does_not_fit(wattwright, place, step):
    """No multiple of an hour, no whole seconds, nothing: a wrong call, and no file."""
    assert wattwright("export", *FILE, "--to", "out.csv", "--step", step).code == 2
    assert not (place / "out.csv").exists()


def test_readings_that_are_held(wattwright, place):
    """Changes of value at no fixed step: --hold names the step over which they are averaged."""
    rows = ["2025-06-01 00:00:00Z,100", "2025-06-01 00:01:30Z,400", "2025-06-01 00:02:00Z,0", "2025-06-01 01:00:00Z,50"]
    (place / "events.csv").write_text("\n".join(["time,P [W]", *rows, ""]))
    record = told(wattwright("record", "events.csv", "--zone", "UTC", "--hold", "30 min", "--json"))
    assert [(one["step_s"], one["intervals"]) for one in record["channels"]] == [(1800, 2)]


def house(sign=""):
    """Two weeks of hours of a house; with a minus as a transformer clamped the wrong way round gives them."""
    watts = [0.4 + 0.3 * (i % 24 > 17) + 0.01 * (i % 7) for i in range(24 * 14)]
    return "\n".join(
        ["start,P kW", *(f"2025-06-{2 + i // 24:02d} {i % 24:02d}:00,{sign}{one:.2f}" for i, one in enumerate(watts)), ""]
    )


def test_figures_in_doubt_carry_it_where_they_stand(wattwright, place):
    """Each figure of a supply that runs backwards has its mark, the finding comes before them, and nothing is called used."""
    (place / "back.csv").write_text(house("-"))
    call = ("back.csv", "--zone", "Europe/Athens")
    lines = wattwright("demand", *call).out.splitlines()
    for name in ("energy", "mean", "base load", "maximum demand", "load factor"):
        assert next(line for line in lines if line.startswith(f"  {name}")).count("(?)") == 1
    text = "\n".join(lines)
    assert text.index("clamped the") < text.index("base load")
    assert "the site used" not in text
    assert "(?) in doubt" in text
    doubted = told(wattwright("demand", *call, "--json"))["in_doubt"]
    assert doubted["energy_kwh"] == doubted["maximum_demand_kw"] == ["record.reversed"]
    (place / "tariff.toml").write_text(TARIFF)
    bill = wattwright("bill", *call, "--tariff", "tariff.toml").out
    assert "(?)" in bill.splitlines()[0]
    assert told(wattwright("bill", *call, "--tariff", "tariff.toml", "--json"))["in_doubt"] == ["record.reversed"]


def test_a_record_without_doubt_has_no_such_mark(wattwright, place):
    """Neither text nor JSON puts sound readings in doubt."""
    (place / "sound.csv").write_text(house())
    call = ("demand", "sound.csv", "--zone", "Europe/Athens")
    assert "(?)" not in wattwright(*call).out
    assert told(wattwright(*call, "--json"))["in_doubt"] == {}


def test_net_readings_are_told_as_taken_and_given_back(wattwright, place):
    """A site that gives power back took one energy and gave another: 12 h at 1 kW in and 12 h at 0.5 kW out, by hand."""
    rows = [f"2025-06-02 {hour:02d}:00,{-0.5 if 6 <= hour < 18 else 1}" for hour in range(24)]
    (place / "net.csv").write_text("\n".join(["start,P net kW", *rows, ""]))
    said = " ".join(
        wattwright("demand", "net.csv", "--zone", "Europe/Athens").out.replace("\N{NARROW NO-BREAK SPACE}", " ").split()
    )
    assert "took 12.00 kWh from the grid and gave 6.00 kWh back" in said
    assert "what it used is not known" in said


LONG = "start;Wirkarbeit Bezug Hauptzähler kWh;Blindarbeit Bezug Hauptzähler kvarh;Scheinleistung VA\n" + "".join(
    f"2025-06-{2 + i // 24:02d} {i % 24:02d}:00;{0.5 + i % 7 / 10};{0.1 + i % 5 / 10};{600 + i % 11}\n" for i in range(480)
)


@pytest.mark.parametrize("columns", [40, 60, 80, 100, 200])
@pytest.mark.parametrize("verb", ["record", "look", "demand", "bill", "check"])
def test_no_word_is_broken(wattwright, place, monkeypatch, columns, verb):
    """At any breadth the words of heads, names and ids stand whole, and no line is broader than the terminal."""
    monkeypatch.setenv("COLUMNS", str(columns))
    (place / "long.csv").write_text(LONG)
    (place / "tariff.toml").write_text(TARIFF)
    given = {
        "record": ("record", "long.csv"), "look": ("record", "long.csv", "--look"), "demand": ("demand", "long.csv"),
        "bill": ("bill", "long.csv", "--tariff", "tariff.toml"), "check": ("check", "--only", "tariff"),
    }[verb]  # fmt: skip
    done = wattwright(*given)
    assert done.code == 0, done.err
    whole = {
        "record": ["wirkarbeit-bezug-hauptzahler-kwh", "Hauptzähler", "Scheinleistung", "apparent", "interval", "Readings"],
        "look": ["blindarbeit-bezug-hauptzahler-kvarh", "reactive", "Missing"],
        "demand": ["maximum", "kWh"],
        "bill": ["Quantity", "Amount", "Total"],
        "check": ["published"],
    }[verb]
    said = done.out.split()
    for word in whole:
        assert any(word in one for one in said), word
    assert max(len(line) for line in done.out.splitlines()) <= columns
