"""Work for the tests: small parts that other processes find by name."""

import os
import signal
import time
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.core.errors import Fault, InputError, Place
from wattwright.core.labour import Work
from wattwright.core.seeds import Streams


@dataclass(frozen=True, slots=True)
class Part:
    """A task: its name, and how long it takes."""

    name: str
    lasts_s: float = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Drawn:
    """A result: a number, an array, and the process that made it."""

    mean: float
    draws: NDArray[np.float64]
    process: int = 0


class Shared:
    """What all tasks share; it counts how often it is packed, and how often it is unpacked in a process."""

    unpacked = 0

    def __init__(self, seed: int) -> None:
        self.seed = seed
        self.packed = 0

    def __getstate__(self):
        self.packed += 1
        return {"seed": self.seed}

    def __setstate__(self, state):
        Shared.unpacked += 1
        self.seed = state["seed"]


def draw(given: Shared, part: Part) -> Drawn:
    time.sleep(part.lasts_s)
    draws = Streams(given.seed).stream(part.name).normal(size=4)
    return Drawn(float(draws.mean()), draws, os.getpid())


def unpackings(given: Shared, part: Part) -> Drawn:
    time.sleep(part.lasts_s)
    return Drawn(float(Shared.unpacked), np.zeros(0), os.getpid())


class Stubborn(Exception):
    """An error that no other process can make anew."""

    def __init__(self, one, two):
        super().__init__(f"{one} and {two}")


def fail(given: Shared, part: Part) -> Drawn:
    if part.name == "input":
        raise InputError([Fault("a.b", Place("x.toml", 3), '"7"', "a colour", "Name one.")])
    if part.name == "plain":
        raise ValueError("seven is no colour")
    if part.name == "stubborn":
        raise Stubborn("this", "that")
    if part.name == "unsendable":
        return lambda: None
    if part.name == "ends":
        os.kill(os.getpid(), signal.SIGKILL)
    if part.name == "leaves":
        os._exit(7)
    return draw(given, part)


def drawing(seed: int = 7, do=draw) -> Work:
    """The work of the tests over a seed."""
    return Work("drawing", do, Shared(seed), Drawn, mark=f"seed {seed}")
