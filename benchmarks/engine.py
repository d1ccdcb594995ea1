"""The whole engine: one load against a bare C loop and against Python, ten loads with rules and a battery, and its start.

The C loop is that of benchmarks.loads; it takes about a thirtieth of the loop written by hand in Python, so no bar of a fiftieth
can be held against that one. The site of ten loads is invented: rooms of different size, each on a time programme, a few shed at
a limit, one held by a limit of its own, with sun, a battery and a rated connection; all ratings grow with the number of loads.
"""

import datetime as dt
import os
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from functools import partial
from math import exp, expm1, log
from pathlib import Path

import numpy as np
from numba import config

from benchmarks.harness import Action, Benchmark, Growth
from benchmarks.loads import BEGIN, CEASE, HEAT, LOSS, LOW, RATING, Floats, compile_c, drivers, in_c
from wattwright.control.compiled import compile_control
from wattwright.control.programmes import Span
from wattwright.control.rules import Control
from wattwright.core.clock import SiteClock
from wattwright.core.fields import Held
from wattwright.core.quantity import Phase
from wattwright.loads.columns import W_AIR_C
from wattwright.loads.room import Room
from wattwright.simulate.drivers import steady
from wattwright.simulate.run import simulate
from wattwright.simulate.scenario import Scenario, SiteLoad
from wattwright.simulate.supply import Battery, Connection, Inverter, Supply

DAY = 1440
START_S = 1735689600
BRANCH = """
from wattwright.control.compiled import compile_control
from wattwright.control.programmes import Span
from wattwright.control.rules import Control
from wattwright.core.clock import SiteClock
from wattwright.core.fields import Held
from wattwright.core.quantity import Phase
from wattwright.loads.room import Room
from wattwright.simulate.drivers import steady
from wattwright.simulate.run import simulate
from wattwright.simulate.scenario import Scenario, SiteLoad
from wattwright.simulate.supply import Connection, Supply
span = Span(0, 86400, SiteClock("UTC"))
room = Room(rating_w=Held(6000.0), heat_kwh_k=2.0, loss_w_k=200.0, set_c=Held(20.0), differential_k=Held(1.0)).compiled("room")
rules = compile_control(Control.model_validate({}), ["room"], span)
simulate(Scenario(span, 60.0, (SiteLoad(room, Phase.TOTAL),), rules, Supply(connection=Connection()), steady(1440, 1)))
"""


def year() -> int:
    """Return the minutes of a year; of a day where compiling is switched off, since then nobody asks for the time."""
    return DAY if config.DISABLE_JIT else 365 * DAY


def _scenario(loads: Sequence[SiteLoad], told: dict[str, object], supply: Supply, steps: int) -> Scenario:
    ids = [one.load.id for one in loads]
    span = Span(START_S, START_S + 60 * steps, SiteClock("UTC"))
    weather = steady(steps, len(loads), rest_w=30.0 * len(loads))
    weather.weather[:, W_AIR_C], gains = drivers(steps)
    weather.uses[:, :, 0] = gains
    weather.pv_w[:] = np.maximum(0.0, 300.0 * len(loads) * np.sin((np.arange(steps) % DAY - 360) / 720 * np.pi))
    return Scenario(span, 60.0, tuple(loads), compile_control(Control.model_validate(told), ids, span), supply, weather)


def one_load(steps: int) -> Scenario:
    """Return the room of benchmarks.loads, alone on a grid."""
    spec = Room(rating_w=Held(RATING), heat_kwh_k=HEAT / 3.6e6, loss_w_k=LOSS, set_c=Held(20.0), differential_k=Held(1.0))
    return _scenario([SiteLoad(spec.compiled("room"), Phase.TOTAL)], {}, Supply(connection=Connection()), steps)


def many_loads(steps: int, count: int = 10) -> Scenario:
    """Return rooms of different size with rules at work, a battery and a rated connection."""
    return _ruled(steps, [k % 10 for k in range(count)], limit=1.0)


def like_loads(steps: int, count: int) -> Scenario:
    """Return the same rules over rooms that are all alike, under limits so high that more loads do not mean more switching."""
    return _ruled(steps, [0] * count, limit=5.0)


def _ruled(steps: int, sizes: Sequence[int], limit: float) -> Scenario:
    """Return a room for each size; ``limit`` says how high all limits stand beside those of the site of ten."""
    count, least = len(sizes), limit * len(sizes)
    rooms = [
        Room(
            rating_w=Held(800.0 + 50.0 * size), heat_kwh_k=1.0 + 0.2 * size, loss_w_k=20.0 + 2.0 * size,
            set_c=Held(20.0), differential_k=Held(1.0),
        ).compiled(f"room{k}")
        for k, size in enumerate(sizes)
    ]  # fmt: skip
    ids = [one.id for one in rooms]
    rules: list[dict[str, object]] = [
        {
            "id": f"times{k}", "load": id_, "kind": "time programme",
            "times": [{"on": dt.time(5, 7 * k % 60), "off": dt.time(22, 11 * k % 60)}],
        }
        for k, id_ in enumerate(ids)
    ]  # fmt: skip
    own = {
        "kind": "limit", "quantity": "site power", "pick_up": f"{0.8 * least} kW", "drop_out": f"{0.6 * least} kW",
        "on_delay": "10 s",
    }  # fmt: skip
    shedding = {
        "pick_up": f"{0.9 * least} kW", "restore": f"{0.5 * least} kW", "order": ids[: max(1, count // 3)], "delay": "5 s",
        "next_after": "5 s", "back_after": "3 min",
    }  # fmt: skip
    supply = Supply(
        connection=Connection(rating_a=Held(6.3 * least)),
        battery=Battery(capacity_wh=Held(1000.0 * count), charge_w=Held(500.0 * count), discharge_w=Held(500.0 * count)),
        inverter=Inverter(rating_va=Held(600.0 * least), role="carries the site in outages"),
    )
    told: dict[str, object] = {"rule": [*rules, {"id": "limit", "load": ids[-1], **own}], "shedding": shedding}
    return _scenario([SiteLoad(one, Phase.TOTAL) for one in rooms], told, supply, steps)


def plainly(outdoors: Floats, gains: Floats) -> tuple[float, float, float]:
    """Return the same as the C loop, written by hand as a loop of plain Python: energy, starts, degree-seconds too cold."""
    now, tau, since, runs = 20.0, HEAT / LOSS, 1e9, False
    given, starts, unmet, lost, gained, ran = 0.0, 0, 0.0, 0.0, 0.0, 0.0
    for air, gain in zip(outdoors.tolist(), gains.tolist(), strict=True):
        left, rest = 60.0, air + gain / LOSS
        while left > 0.0:
            calls = True if now <= BEGIN else False if now >= CEASE else runs
            if calls != runs:
                runs, since = calls, 0.0
                starts += runs
            end, target, stay = (rest + RATING / LOSS, CEASE, left) if runs else (rest, BEGIN, left)
            then = end + (now - end) * exp(-stay / tau)
            if (now < target <= then) or (now > target >= then):
                stay, then = min(stay, tau * log((now - end) / (target - end))), target
            held = end * stay - (now - end) * tau * expm1(-stay / tau)
            lost += LOSS * (held - air * stay)
            gained += gain * stay
            if now < LOW and then < LOW:
                unmet += LOW * stay - held
            if runs:
                given, ran = given + RATING * stay, ran + stay
            since, now, left = since + stay, then, left - stay
    return given, float(starts), unmet


def whole(of: Scenario) -> Callable[[], object]:
    """Return the run of a scenario as an action."""
    return partial(simulate, of)


@contextmanager
def prepare_c(make: Callable[[int], Scenario]) -> Iterator[tuple[Action, Action]]:
    """Give the year of a scenario and that of the C loop."""
    outdoors, gains = drivers(year())
    with tempfile.TemporaryDirectory() as name:
        library = compile_c(Path(name))
        yield whole(make(year())), lambda: in_c(library, outdoors, gains)


@contextmanager
def prepare_python() -> Iterator[tuple[Action, Action]]:
    """Give a month of the room through the engine, and the loop written by hand in Python."""
    steps = DAY if config.DISABLE_JIT else 30 * DAY
    outdoors, gains = drivers(steps)
    yield whole(one_load(steps)), lambda: plainly(outdoors, gains)


@contextmanager
def prepare_uncompiled() -> Iterator[tuple[Action, Action]]:
    """Give a day of the room through the engine, and the same in an interpreter in which nothing is compiled."""
    environment = {**os.environ, "NUMBA_DISABLE_JIT": "1", "PYTHONPATH": os.pathsep.join(sys.path)}
    with subprocess.Popen(
        [sys.executable, "-m", "benchmarks.engine"], env=environment, text=True, stdin=subprocess.PIPE, stdout=subprocess.PIPE
    ) as plain:
        yield whole(one_load(DAY)), lambda: ask(plain)
        plain.communicate()


def ask(plain: "subprocess.Popen[str]") -> float:
    """Let the other interpreter work out the day once; return the energy, J."""
    if plain.stdin is None or plain.stdout is None:
        raise ValueError("the other interpreter cannot be asked")
    print("day", file=plain.stdin, flush=True)
    return float(plain.stdout.readline())


def answer() -> None:
    """Work out the day for each line that comes in."""
    of = one_load(DAY)
    for _ in sys.stdin:
        print(float(simulate(of).energy_j[0]), flush=True)


def start(code: str) -> None:
    """Run a piece of code in a new interpreter."""
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)}
    subprocess.run([sys.executable, "-c", code], env=environment, check=True)


@contextmanager
def prepare_start() -> Iterator[tuple[Action, Action]]:
    """Give a new process to its first day, machine code at hand, and one that only imports numba."""
    yield partial(start, BRANCH), partial(start, "import numba")


@contextmanager
def prepare_steps(sizes: Sequence[int]) -> Iterator[Sequence[Action]]:
    """Give the site of ten loads for each number of days."""
    yield [whole(many_loads(days * DAY)) for days in sizes]


@contextmanager
def prepare_counts(sizes: Sequence[int]) -> Iterator[Sequence[Action]]:
    """Give a month of a site for each number of loads."""
    days = 1 if config.DISABLE_JIT else 30
    yield [whole(like_loads(days * DAY, count)) for count in sizes]


ENGINE: tuple[Benchmark | Growth, ...] = (
    Benchmark(name="engine: a year of one load against C", bar=8.0, pairs=9, prepare=partial(prepare_c, one_load)),
    Benchmark(name="engine: a year of ten loads against C", bar=60.0, pairs=5, prepare=partial(prepare_c, many_loads)),
    Benchmark(name="engine: a month against Python by hand", bar=0.5, pairs=5, prepare=prepare_python),
    Benchmark(name="engine: a day against itself as Python", bar=0.02, pairs=3, prepare=prepare_uncompiled),
    Benchmark(name="engine: start to the first day", bar=3.0, pairs=5, prepare=prepare_start),
    Growth(name="engine: time by steps", bar=1.1, pairs=3, sizes=(30, 90, 270), prepare=prepare_steps),
    Growth(name="engine: time by loads", bar=1.1, pairs=3, sizes=(2, 8, 32), prepare=prepare_counts),
)

if __name__ == "__main__":
    answer()
