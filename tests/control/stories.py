"""Short stories told to the rules second by second: what the site shows, and what each contact does."""

import datetime as dt
from dataclasses import dataclass, field

import numpy as np

from wattwright.control.columns import C_CLOSED, C_WHY, SIGNALS
from wattwright.control.compiled import Compiled, compile_control, fresh
from wattwright.control.kernels import Standing, decide
from wattwright.control.programmes import Span
from wattwright.control.rule_kernels import gather
from wattwright.control.rules import Control
from wattwright.core.clock import SiteClock

LOADS = ("a", "b", "c")
NOON = int(dt.datetime(2025, 3, 4, 12, tzinfo=dt.UTC).timestamp())


def span(zone="UTC", start_s=NOON, days=1, holidays=()) -> Span:
    """A stretch of time on a site's clock; from noon of Tuesday, 4 March 2025 if nothing is said."""
    return Span(start_s, start_s + 86_400 * days, SiteClock(zone), frozenset(holidays))


def steps(text) -> list[tuple[int, str]]:
    """The text "3000, 10 5000" is 3000 from the start and 5000 from second 10 on."""
    found = []
    for part in str(text).split(","):
        words = part.split()
        found.append((0, words[0]) if not found and len(words) == 1 else (int(words[0]), words[1]))
    return found


def at(text, second) -> str:
    """What a text of steps says at a second."""
    return [value for begins, value in steps(text) if begins <= second][-1]


@dataclass
class Site:
    """Rules at work on three loads; each runs whenever it is fed, unless the story says otherwise."""

    control: Control
    compiled: Compiled = field(init=False)
    standing: Standing = field(init=False)

    def __post_init__(self) -> None:
        self.compiled = compile_control(self.control, LOADS, span())
        self.standing = fresh(self.compiled.rules)
        self.signals = np.zeros(SIGNALS + len(LOADS))

    def contacts(self) -> list[bool]:
        return [bool(one) for one in self.standing.contacts[:, C_CLOSED]]

    def why(self) -> list[str]:
        return [self.compiled.cause(code) for code in self.standing.contacts[:, C_WHY]]

    def step(self, second, told, length=1.0) -> bool:
        """Let one sub-step pass with what ``told`` says of it."""
        amps, volts = (np.array([float(one) for one in told[key].split("/")]) for key in ("amps", "volts"))
        values = np.array([float(told[f"value-{load}"]) for load in LOADS])
        charge, outdoor_c, grid_v = (float(told[key]) for key in ("charge", "outdoor", "grid"))
        gather(self.signals, float(told["power"]), amps, volts, charge, outdoor_c, grid_v, values)
        runs = np.array([{"on": True, "off": False}.get(told.get(f"runs-{load}"), closed) for load, closed in
                         zip(LOADS, self.contacts(), strict=True)])  # fmt: skip
        supplied, linked = told["supply"] == "on", told["link"] == "on"
        return decide(self.compiled.rules, self.standing, float(second), length, self.signals, runs, supplied, linked)


QUIET = {
    "power": "0", "amps": "0/0/0", "volts": "230/230/230", "charge": "1", "outdoor": "15", "grid": "230", "supply": "on",
    "link": "on",
    **{f"value-{load}": "20" for load in LOADS},
}  # fmt: skip


def told_at(story, second) -> dict[str, str]:
    """What the site shows at a second of a story."""
    given = {("value-a" if key == "value" else key): text for key, text in story.items()}
    return {key: at(text, second) for key, text in {**QUIET, **given}.items()}
