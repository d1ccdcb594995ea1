"""Minutes of one thermostat load against a bare C loop of the same load, and against our own functions as pure Python.

The C loop solves the room from switching to switching too and keeps the same counts: running time, starts, heat lost, gained and
given, degree-seconds outside the band.
"""

import ctypes
import os
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np
from numba import config
from numpy.typing import NDArray

from benchmarks.harness import Action, Benchmark
from benchmarks.loads_kernels import every_step
from wattwright.core.fields import Held
from wattwright.loads.columns import S_ENERGY_J, S_STARTS, S_UNMET, USES, W_AIR_C, WEATHER
from wattwright.loads.compiled import stack
from wattwright.loads.room import Room

Floats = NDArray[np.float64]
MONTH = 30 * 1440
HEAT, LOSS, RATING, BEGIN, CEASE, LOW = 2.0 * 3.6e6, 200.0, 6000.0, 19.5, 20.5, 19.0

C_LOOP = r"""
#include <math.h>
static double area(double now, double end, double tau, double t) { return end * t + (now - end) * tau * -expm1(-t / tau); }
static double below(double now, double then, double end, double tau, double t, double limit) {
    if (now >= limit && then >= limit) return 0.0;
    if (now <= limit && then <= limit) return limit * t - area(now, end, tau, t);
    double met = tau * log((now - end) / (limit - end));
    if (now < limit) return limit * met - area(now, end, tau, met);
    return limit * (t - met) - area(limit, end, tau, t - met);
}
void year(long steps, const double *outdoors, const double *gains, double step, double heat, double loss, double rating,
          double begin, double cease, double low, double *counts) {
    double now = 20.0, tau = heat / loss, lost = 0, gained = 0, given = 0, unmet = 0, ran = 0, starts = 0, since = 1e9;
    int runs = 0;
    for (long k = 0; k < steps; k++) {
        double left = step, rest = outdoors[k] + gains[k] / loss;
        while (left > 0) {
            int calls = now <= begin ? 1 : now >= cease ? 0 : runs;
            if (calls != runs) { runs = calls; starts += runs; since = 0; }
            double end = runs ? rest + rating / loss : rest, target = runs ? cease : begin, t = left;
            double then = end + (now - end) * exp(-t / tau);
            if ((now < target && target <= then) || (now > target && target >= then)) {
                t = fmin(t, tau * log((now - end) / (target - end)));
                then = target;
            }
            lost += loss * (area(now, end, tau, t) - outdoors[k] * t);
            gained += gains[k] * t;
            unmet += below(now, then, end, tau, t, low);
            if (runs) { given += rating * t; ran += t; }
            since += t; now = then; left -= t;
        }
    }
    counts[0] = given; counts[1] = starts; counts[2] = unmet; counts[3] = lost; counts[4] = gained; counts[5] = ran;
    counts[6] = since;
}
"""


def year() -> int:
    """Return the minutes of a year; of a month where compiling is switched off, since then nobody asks for the time."""
    return MONTH if config.DISABLE_JIT else 365 * 1440


def drivers(steps: int) -> tuple[Floats, Floats]:
    """Return invented outdoor temperatures in degC and gains in W, minute by minute."""
    time, draws = np.arange(steps) / (365 * 1440), np.random.default_rng(4)
    outdoors = 8.0 - 9.0 * np.cos(2 * np.pi * time) + 4.0 * np.sin(2 * np.pi * 365 * time)
    return outdoors, 400.0 * draws.random(steps)


def compiled(outdoors: Floats, gains: Floats) -> Callable[[], tuple[float, float, float]]:
    """Return the year by our kernel, as an action that gives (energy, starts, degree-seconds)."""
    spec = Room(rating_w=Held(RATING), heat_kwh_k=HEAT / 3.6e6, loss_w_k=LOSS, set_c=Held(20.0), differential_k=Held(1.0))
    load = stack([spec.compiled("room")])
    weather, use = np.zeros((len(gains), WEATHER)), np.zeros((len(gains), USES))
    weather[:, W_AIR_C], use[:, 0] = outdoors, gains

    def run() -> tuple[float, float, float]:
        states = load.states.copy()
        every_step(int(load.kinds[0]), load.params, states, weather, use, 60.0)
        return float(states[0, S_ENERGY_J]), float(states[0, S_STARTS]), float(states[0, S_UNMET])

    return run


def compile_c(folder: Path) -> ctypes.CDLL:
    """Compile the C loop with gcc -O3 into ``folder`` and load it."""
    source, library = folder / "loop.c", folder / "loop.so"
    source.write_text(C_LOOP, encoding="utf-8")
    subprocess.run(["gcc", "-O3", "-shared", "-fPIC", "-o", str(library), str(source), "-lm"], check=True)
    return ctypes.CDLL(str(library))


def in_c(library: ctypes.CDLL, outdoors: Floats, gains: Floats) -> tuple[float, float, float]:
    """Return the same by the C loop."""
    pointer, counts = ctypes.POINTER(ctypes.c_double), np.zeros(7)
    plain = [ctypes.c_double(value) for value in (60.0, HEAT, LOSS, RATING, BEGIN, CEASE, LOW)]
    arrays = [one.ctypes.data_as(pointer) for one in (outdoors, gains, counts)]
    library.year(ctypes.c_long(len(gains)), arrays[0], arrays[1], *plain, arrays[2])
    return float(counts[0]), float(counts[1]), float(counts[2])


@contextmanager
def prepare_c() -> Iterator[tuple[Action, Action]]:
    """Compile the C loop into a folder of its own and give the two actions."""
    outdoors, gains = drivers(year())
    with tempfile.TemporaryDirectory() as name:
        library = compile_c(Path(name))
        yield compiled(outdoors, gains), lambda: in_c(library, outdoors, gains)


@contextmanager
def prepare_python() -> Iterator[tuple[Action, Action]]:
    """Start an interpreter with compiling switched off, and give a month of ours and of the same functions there."""
    outdoors, gains = drivers(MONTH)
    environment = {**os.environ, "NUMBA_DISABLE_JIT": "1", "PYTHONPATH": os.pathsep.join(sys.path)}
    command = [sys.executable, "-m", "benchmarks.loads"]
    with subprocess.Popen(command, env=environment, text=True, stdin=subprocess.PIPE, stdout=subprocess.PIPE) as plain:
        yield compiled(outdoors, gains), lambda: ask(plain)
        plain.communicate()


def ask(plain: "subprocess.Popen[str]") -> tuple[float, ...]:
    """Let the other interpreter work out the month once."""
    if plain.stdin is None or plain.stdout is None:
        raise ValueError("the other interpreter cannot be asked")
    print("month", file=plain.stdin, flush=True)
    return tuple(float(word) for word in plain.stdout.readline().split())


def answer() -> None:
    """Work out the month for each line that comes in."""
    run = compiled(*drivers(MONTH))
    for _ in sys.stdin:
        print(*run(), flush=True)


ONE_LOAD = Benchmark(name="loads: a year against C", bar=8.0, pairs=9, prepare=prepare_c)
ONE_LOAD_PLAIN = Benchmark(name="loads: a month against Python", bar=0.02, pairs=3, prepare=prepare_python)

if __name__ == "__main__":
    answer()
