"""The verb demand with --survey."""

from tests.cli.test_verbs import FILE, told


def test_survey_as_text_and_json(wattwright, place):
    """The job's heater, 3 kW from 6 to 7 at a sixth of the time, explains one of 24 equal hours; a bare file has no survey."""
    path = place / "job" / "job.toml"
    path.write_text(
        path.read_text().replace(
            'rating = "3 kW"', 'rating = "3 kW"\nhours = [{ from = 06:00:00, until = 07:00:00, duty = "10 %" }]'
        )
    )
    survey = told(wattwright("demand", "job", "--survey", "--json"))["survey"]
    assert survey["measured_kwh"] == 24.0
    assert survey["explained_kwh"] == 0.6
    assert survey["loads"][0]["surveyed_kwh"] == 0.6
    words = " ".join(wattwright("demand", "job", "--survey").out.split())
    assert "The survey against the record: 2.50" in words
    assert "coincidence factor 0.167;" in words  # 24 kWh in 48 hours are 0.5 kW, of 3 kW
    path.write_text(path.read_text().replace('rating = "3 kW"', 'rating = "400 W"'))
    words = " ".join(wattwright("demand", "job", "--survey").out.split())
    assert "does not hold yet all that runs: no coincidence factor;" in words
    done = wattwright("demand", *FILE, "--survey")
    assert done.code != 0
    assert "loads" in done.err
