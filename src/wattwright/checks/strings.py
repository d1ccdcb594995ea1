"""Strings of PV modules against the table of cold factors and worked strings."""

from functools import partial

from wattwright.checks.registry import Confidence, register
from wattwright.core.fields import Held
from wattwright.generation.string import StringDesign, Strings, strings

_TABLE = "NEC Table 690.7(A), row by row; the same in IEC 62548"
_TRAINING = "a public electrician's training text"
_BY_HAND = "worked by hand from the formula Voc (1 + b (T - 25))"


def _design(
    open_v: float, per_k: float | None, coldest_c: float, most_v: float, *, series: int | None = None, nec: bool = False
) -> StringDesign:  # fmt: skip
    """Return a string of invented modules with a given cold voltage; hot: 34.2 V, -0.36 %/K, 40 + 30 degC."""
    module = {
        "peak": "410 W",
        "open_v": Held(open_v),
        "working": "34.2 V",
        "short": "11.4 A",
        "at_work": "10.8 A",
        "open_per_k": None if per_k is None else Held(per_k),
        "working_per_k": "-0.36 %",
        "system": "1500 V",
        "fuse": "20 A",
    }
    tracker = {
        "most_v": Held(most_v),
        "window_low": "200 V",
        "window_high": "550 V",
        "input_current": "13 A",
        "short": "18 A",
        "ac": "5 kW",
    }
    asked = {"coldest_c": Held(coldest_c), "hottest": "40 degC", "building": "elsewhere", "module": module, "tracker": tracker}
    return strings(Strings.model_validate({**asked, "rules": "nec" if nec else "iec", "series": series}))


def _factor(coldest_c: float) -> float:
    return _design(100.0, None, coldest_c, 600.0, series=1).cold_open_v / 100.0


def _most(open_v: float, per_k: float | None, coldest_c: float, most_v: float) -> float:
    return float(_design(open_v, per_k, coldest_c, most_v).most)


for _coldest, _value in ((24, 1.02), (15, 1.04), (5, 1.08), (0, 1.10), (-5, 1.12), (-10, 1.14), (-20, 1.18), (-25, 1.20),
                         (-30, 1.21), (-40, 1.25)):  # fmt: skip
    register(
        f"generation.string-cold-{_coldest}".replace("--", "-minus-"),
        f"factor on the open-circuit voltage at {_coldest} degC",
        unit="",
        source=_TABLE,
        confidence=Confidence.PUBLISHED,
        published=_value,
        tolerance=1e-9,
        why="floating point",
        ours=partial(_factor, float(_coldest)),
    )
for _id, _what, _source, _sure, _value, _given in (
    ("training", "49.5 V, -0.27 %/K, -10 degC, 600 V", _TRAINING, Confidence.PUBLISHED, 11.0,
     (49.5, -0.0027, -10.0, 600.0)),
    ("by-table", "44.8 V by the table, -10 degC, 600 V", "worked by hand: 600 / 51.072", Confidence.CLOSED_FORM, 11.0,
     (44.8, None, -10.0, 600.0)),
    ("long", "41.5 V, -0.28 %/K, -15 degC, 1000 V", _BY_HAND, Confidence.CLOSED_FORM, 21.0, (41.5, -0.0028, -15.0, 1000.0)),
    ("edge", "41.5 V, -0.28 %/K, -15 degC, 600 V", _BY_HAND, Confidence.CLOSED_FORM, 13.0, (41.5, -0.0028, -15.0, 600.0)),
    ("past-edge", "41.6 V, -0.28 %/K, -15 degC, 600 V", _BY_HAND, Confidence.CLOSED_FORM, 12.0, (41.6, -0.0028, -15.0, 600.0)),
):  # fmt: skip
    register(
        f"generation.string-most-{_id}",
        f"most modules in series, {_what}",
        unit="",
        source=_source,
        confidence=_sure,
        published=_value,
        ours=partial(_most, *_given),
    )
for _id, _what, _unit, _source, _sure, _value, _most_off, _ours in (
    ("training-volts", "cold voltage of that module", "V", _TRAINING, Confidence.PUBLISHED, 54.18, 0.005,
     lambda: _design(49.5, -0.0027, -10.0, 600.0, series=1).cold_open_v),
    ("hot-volts", "hot voltage: 34.2 V, -0.36 %/K, 40 + 30 degC", "V", "worked by hand", Confidence.CLOSED_FORM, 28.66, 0.005,
     lambda: _design(41.5, -0.0028, -15.0, 600.0, series=1).hot_working_v),
    ("hot-least", "least modules in series for 200 V at that", "", "worked by hand: 6.98, up", Confidence.CLOSED_FORM, 7.0, 0.0,
     lambda: float(_design(41.5, -0.0028, -15.0, 600.0).least)),
    ("conductor-nec", "current of conductors, Isc 11.4 A", "A", "NEC 690.8(B): 1.5625 Isc", Confidence.PUBLISHED, 17.8125, 1e-9,
     lambda: _design(41.5, -0.0028, -15.0, 600.0, nec=True).conductor_a),
    ("conductor-iec", "the same by IEC 62548", "A", "IEC 62548: 1.25 Isc", Confidence.FROM_MEMORY, 14.25, 1e-9,
     lambda: _design(41.5, -0.0028, -15.0, 600.0).conductor_a),
):  # fmt: skip
    register(
        f"generation.string-{_id}",
        _what,
        unit=_unit,
        source=_source,
        confidence=_sure,
        published=_value,
        tolerance=_most_off,
        why="rounded as printed, or floating point" if _most_off else "",
        ours=_ours,
    )
