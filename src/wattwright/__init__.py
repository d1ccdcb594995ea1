"""wattwright: from a meter file to decisions about metering and load control.

What a program needs stands here under one name each; everything is loaded when it is first asked for.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

__version__ = "0.1.0"

if TYPE_CHECKING:
    from wattwright.core.clock import SiteClock as SiteClock
    from wattwright.core.errors import (
        Cancelled as Cancelled,
        FileError as FileError,
        InputError as InputError,
        JobError as JobError,
        OwnFault as OwnFault,
        RecordError as RecordError,
        StoreError as StoreError,
        TariffError as TariffError,
        UnitError as UnitError,
        UsageError as UsageError,
        WattwrightError as WattwrightError,
        WeatherError as WeatherError,
        WorkError as WorkError,
    )
    from wattwright.core.show import Show as Show
    from wattwright.demand.analyse import Demand as Demand, analyse as analyse
    from wattwright.handover.papers import Papers as Papers, write_papers as write_papers
    from wattwright.job.assessment import Assessment as Assessment
    from wattwright.job.file import Job as Job, change_job as change_job, load_job as load_job, new_job as new_job
    from wattwright.record.read import read_record as read_record
    from wattwright.record.record import Record as Record
    from wattwright.record.spec import ColumnSpec as ColumnSpec, LayoutSpec as LayoutSpec
    from wattwright.sky.door import read_weather as read_weather
    from wattwright.sky.weather import Weather as Weather
    from wattwright.tariff.bill import Bill as Bill, bill as bill
    from wattwright.tariff.compare import Comparison as Comparison, compare as compare
    from wattwright.tariff.load import load_tariff as load_tariff
    from wattwright.tariff.usage import Usage as Usage

_HOMES = {
    "wattwright.core.clock": ("SiteClock",),
    "wattwright.core.errors": (
        "Cancelled",
        "FileError",
        "InputError",
        "JobError",
        "OwnFault",
        "RecordError",
        "StoreError",
        "TariffError",
        "UnitError",
        "UsageError",
        "WattwrightError",
        "WeatherError",
        "WorkError",
    ),
    "wattwright.core.show": ("Show",),
    "wattwright.demand.analyse": ("Demand", "analyse"),
    "wattwright.handover.papers": ("Papers", "write_papers"),
    "wattwright.job.assessment": ("Assessment",),
    "wattwright.job.file": ("Job", "change_job", "load_job", "new_job"),
    "wattwright.record.read": ("read_record",),
    "wattwright.record.record": ("Record",),
    "wattwright.record.spec": ("ColumnSpec", "LayoutSpec"),
    "wattwright.sky.door": ("read_weather",),
    "wattwright.sky.weather": ("Weather",),
    "wattwright.tariff.bill": ("Bill", "bill"),
    "wattwright.tariff.compare": ("Comparison", "compare"),
    "wattwright.tariff.load": ("load_tariff",),
    "wattwright.tariff.usage": ("Usage",),
}
_HOME_OF = {name: home for home, names in _HOMES.items() for name in names}

__all__ = [
    "__version__",
    *sorted(_HOME_OF),
]


def __getattr__(name: str) -> Any:
    """Return a public name from its home; raises AttributeError for any other."""
    home = _HOME_OF.get(name)
    if home is None:
        raise AttributeError(f"wattwright has no {name}; it has {', '.join(sorted(_HOME_OF))}")
    return getattr(import_module(home), name)


def __dir__() -> list[str]:
    """Return the public names."""
    return sorted(__all__)
