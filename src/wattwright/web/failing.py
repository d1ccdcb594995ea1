"""What a page says when something is wrong: what, where, what was expected, what to do. One shape for all."""

import traceback
from dataclasses import dataclass

from wattwright.core.errors import Fault, InputError, Place, StoreError, WattwrightError, quoted

_TITLES = {
    400: "This address is not answered",
    403: "This change is not made",
    404: "There is no such page",
    405: "This cannot be asked of the desk",
    408: "What was sent did not arrive",
    409: "The job was changed meanwhile",
    410: "The job was changed meanwhile",
    413: "This is too much",
    422: "This cannot be shown as the job stands",
    500: "This is a fault of wattwright",
    503: "This is still being worked out",
}


@dataclass(frozen=True, slots=True)
class Failing:
    """A failure to tell: HTTP status, title, sentence and the faults one by one."""

    status: int
    title: str
    sentence: str
    faults: tuple[Fault, ...]


def failing_of(status: int, *faults: Fault) -> Failing:
    """A failure of some faults."""
    many = "" if len(faults) == 1 else f" There are {len(faults)} things to put right."
    return Failing(status, _TITLES[status], _SENTENCES[status] + many, faults)


_SENTENCES = {
    400: "The desk answers only on the machine that runs it, under that machine's own name.",
    403: "A change is only made from a page of the desk itself.",
    404: "Nothing is kept under this address.",
    405: "The desk shows pages and takes changes from its own forms, and does nothing else.",
    408: "It stopped coming before it was whole, so nothing was kept of it.",
    409: "Another tab or window saved a change after you opened this page. That change stands; yours is not saved.",
    410: "This address is of another revision of the job than holds now, so nothing is given that may be out of date.",
    413: "The desk takes no more than this at once, so that one file cannot fill the machine.",
    422: "Something in the job or its files keeps this page from being made. Nothing was changed.",
    503: "The sheet it belongs to is worked out first.",
    500: "It is not of your making, and no file is half-written.",
}


def missing(address: str, wanted: str) -> Failing:
    """The failure of an address that leads nowhere."""
    fault = Fault(
        "desk.missing",
        Place(field="the address"),
        found=quoted(address),
        wanted=wanted,
        next_step="Go on from the stages above, or from the first page.",
    )
    return failing_of(404, fault)


def of_another(asked: str, number: int) -> StoreError:
    """What is told where a file is asked for of another revision than the one that holds."""
    return StoreError.one(
        "desk.other-revision",
        Place(field="the address"),
        found=f"revision {quoted(asked)}",
        wanted=f"revision {number}, which holds",
        next_step="Load the sheet again, and take it from there.",
    )


def not_yet(address: str, wanted: str) -> Failing:
    """The failure of an address whose page is still being made."""
    step = "Go to the sheet, and take it from there when it is shown."
    return failing_of(
        503, Fault("desk.not-yet", Place(field="the address"), found=quoted(address), wanted=wanted, next_step=step)
    )


def failing(error: Exception) -> Failing:
    """What is to be told of an error: its faults, or where in wattwright it arose, never the trace of calls."""
    if isinstance(error, InputError):
        return failing_of(422, *error.faults)
    if isinstance(error, WattwrightError) and error.exit_code in (1, 2):
        return failing_of(422, Fault("desk.told", Place(), found=str(error), wanted="work that goes on to its end"))
    last = traceback.extract_tb(error.__traceback__)[-1:]
    where = f"{last[0].name}, line {last[0].lineno}" if last else "wattwright"
    fault = Fault(
        "desk.own-fault",
        Place(field=where),
        found=type(error).__name__,
        wanted="a page",
        next_step="Load the page again. If it stays, run the job on the command line with WATTWRIGHT_DEBUG=1.",
    )
    return failing_of(500, fault)
