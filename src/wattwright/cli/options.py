"""The options that several verbs share, and what they add up to."""

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import wraps
from inspect import Parameter, Signature, signature
from pathlib import Path
from typing import Annotated, Any

import typer

Source = Annotated[
    Path, typer.Argument(help="A job (its folder or job.toml), a meter file, or a folder of meter files.", show_default=False)
]
Json = Annotated[bool, typer.Option("--json", help="Write JSON for programs.")]
Zone = Annotated[str, typer.Option("--zone", help="IANA time zone of the site, such as Europe/Athens.", show_default=False)]
Channel = Annotated[str, typer.Option("--channel", help="Column that holds the active power, where there are several.")]
DateOrder = Annotated[str, typer.Option("--date-order", help='"day first", "month first" or "year first".')]
StampsMark = Annotated[str, typer.Option("--stamps", help='"start" or "end": which end of its interval a stamp marks.')]
Clock = Annotated[str, typer.Option("--clock", help='"site", "standard time" or "UTC": the clock of stamps without offset.')]
Decimal = Annotated[str, typer.Option("--decimal", help='Decimal mark, "." or ",".')]
Delimiter = Annotated[str, typer.Option("--delimiter", help='What separates columns: , ; | or the words "tab", "space".')]
Unreadable = Annotated[str, typer.Option("--unreadable", help='Text where a number should stand: "refuse" or "missing".')]
TariffFile = Annotated[Path | None, typer.Option("--tariff", help="Tariff file; a job names its own.")]
Paid = Annotated[str, typer.Option("--paid", help="Id of the tariff to bill by, where the file holds several.")]
Compare = Annotated[list[str] | None, typer.Option("--compare", help="Id of a tariff to hold beside it; repeatable.")]
Part = Annotated[str, typer.Option("--part", help="Which meter or sheet to take, where the file holds several.")]
Hold = Annotated[
    str, typer.Option("--hold", help='Readings at no fixed step: hold each until the next, averaged over this step ("1 min").')
]
Gaps = Annotated[str, typer.Option("--gaps", help='"leave" them, or "estimate" them by published rules.')]
Columns = Annotated[
    list[str] | None,
    typer.Option("--column", help='What a column holds, "NAME=quantity,form,unit", such as "P1=active power,mean,W".'),
]


@dataclass(frozen=True, slots=True)
class Reading:
    """What a person asked to be read, and what was said about the file."""

    source: Path
    zone: str
    channel: str
    layout: dict[str, object]
    gaps: str = "leave"
    is_job: bool = field(init=False)

    def __post_init__(self) -> None:
        """Settle whether the source is a job or a bare meter file: a job whose file goes later does not turn into a record."""
        object.__setattr__(self, "is_job", self.source.suffix == ".toml" or (self.source / "job.toml").is_file())


def read(
    source: Source,
    zone: Zone = "",
    channel: Channel = "",
    date_order: DateOrder = "",
    stamps: StampsMark = "",
    clock: Clock = "",
    decimal: Decimal = "",
    delimiter: Delimiter = "",
    unreadable: Unreadable = "refuse",
    column: Columns = None,
    part: Part = "",
    hold: Hold = "",
    gaps: Gaps = "leave",
) -> Reading:
    """Return the options about a meter file gathered, names as the layout spec has them."""
    layout: dict[str, object] = {
        "date_order": date_order,
        "stamps": stamps,
        "clock": clock,
        "decimal": decimal,
        "delimiter": delimiter,
        "unreadable": unreadable,
        "columns": [_column(text) for text in column or []],
        "part": part,
    }
    if hold:
        layout |= {"irregular": "hold", "step": hold}
    return Reading(source, zone, channel, layout, gaps)


def of_reading(*left_out: str) -> Callable[[Callable[..., None]], Callable[..., None]]:
    """Return what gives a verb the options of :func:`read`, but those ``left_out``, in place of its parameter ``reading``."""
    return gathered(read, "reading", *left_out)


def gathered(
    gather: Callable[..., object], into: str, *left_out: str
) -> Callable[[Callable[..., None]], Callable[..., None]]:  # fmt: skip
    """Return what gives a verb the options of ``gather``, but those ``left_out``, in place of its parameter ``into``."""

    def joined(verb: Callable[..., None]) -> Callable[..., None]:
        shared = [one for name, one in signature(gather).parameters.items() if name not in left_out]
        own = [one for name, one in signature(verb).parameters.items() if name != into]

        @wraps(verb)
        def told(**given: Any) -> None:
            verb(**{into: gather(**{one.name: given.pop(one.name) for one in shared})}, **given)

        # The verb's own come first, and how it is shown comes last.
        placed = sorted([*own, *shared], key=lambda one: (one.name != "source", one.name == "json"))
        parameters = [one.replace(kind=Parameter.KEYWORD_ONLY) for one in placed]
        told.__signature__ = Signature(parameters)  # type: ignore[attr-defined]  # read by inspect, known to no type
        told.__annotations__ = {one.name: one.annotation for one in parameters}
        return told

    return joined


def _column(text: str) -> dict[str, str]:
    """Return "NAME=quantity,form,unit,phase,direction" as entries of a column spec; parts left out keep their usual value."""
    name, _, rest = text.rpartition("=")
    parts = [part.strip() for part in rest.split(",")]
    wanted = ("quantity", "form", "unit", "phase", "direction")
    if not name or len(parts) > len(wanted):
        told = f'--column: found "{text}"; expected NAME=quantity,form,unit,phase,direction, such as "P1=active power,mean,W".'
        raise typer.BadParameter(told)
    return {"column": name, **{key: value for key, value in zip(wanted, parts, strict=False) if value}}


LookAt = Annotated[
    bool, typer.Option("--look", help="Show completeness, first and last rows, and what each open question would change.")
]
DeskSource = Annotated[
    Path | None,
    typer.Argument(help="A job or a meter file to take in and open; the list of jobs if left out.", show_default=False),
]
DeskFolder = Annotated[
    Path | None, typer.Option("--folder", help="Where jobs are kept; the usual place of this machine if left out.")
]
Give = Annotated[str, typer.Option("--give", help="Id or name of a job to write into a folder, with --into.")]
GiveInto = Annotated[Path | None, typer.Option("--into", help="New or empty folder for it, or one with a state of the same job.")]
Take = Annotated[Path | None, typer.Option("--take", help="Folder or zip file of a job to take in, or to take back.")]
Database = Annotated[
    str, typer.Option("--database", help="Keep jobs in this database, such as postgresql://user@host/name, in place of a file.")
]
