"""The one way in: a meter file becomes a record, with every decision said and every fault of the file together."""

from dataclasses import replace
from pathlib import Path

from wattwright.core.basis import Basis
from wattwright.core.clock import SiteClock
from wattwright.core.errors import Place, RecordError, quoted
from wattwright.core.files import SourceFile
from wattwright.core.findings import Finding
from wattwright.core.progress import SILENT, Progress
from wattwright.record import grid
from wattwright.record.channels import channels_of, gaps_of
from wattwright.record.derive import derived
from wattwright.record.events import SPREAD, evened, recognised, refuse_months
from wattwright.record.faults.clocks import of_another_zone
from wattwright.record.faults.every import faults_of
from wattwright.record.faults.seen import Seen
from wattwright.record.join import join
from wattwright.record.judge import Judged, judge_table, said_columns
from wattwright.record.metered import judge_metered
from wattwright.record.plausible import refuse_absurd, unlikely_powers, whole_supplies
from wattwright.record.rates import rates_added, with_sums
from wattwright.record.readers.door import open_path
from wattwright.record.readers.source import Metered, Piece
from wattwright.record.record import Record
from wattwright.record.spec import LayoutSpec
from wattwright.record.standpoint import no_use, settled_ways


def read_record(
    path: Path, zone: str = "", layout: LayoutSpec | None = None, meter: str = "main", progress: Progress = SILENT
) -> Record:
    """Return the record in the meter file at ``path``.

    ``zone`` is the site's IANA zone; left empty, the stamps are taken as a clock that never changes, with a finding. ``layout``
    holds what a person said about the file. Raises FileError and RecordError with every fault found, also where the file holds
    several meters and ``layout`` does not say which one to take.
    """
    records = read_records(path, zone, layout, meter, progress)
    if len(records) > 1:
        called = [one.channels[0].meter for one in records]
        raise RecordError.one(
            "record.several",
            Place(path.name),
            found=f"{len(records)} meters: {', '.join(quoted(name) for name in called[:12])}",
            wanted="one meter, or word which of them to take",
            next_step=f'Say which one, for example part = "{called[0]}", in the job file under this file\'s layout.',
            field="part",
            choices=tuple(called),
        )
    return records[0]


def read_records(
    path: Path, zone: str = "", layout: LayoutSpec | None = None, meter: str = "main", progress: Progress = SILENT
) -> tuple[Record, ...]:
    """Return a record for each meter in the file at ``path``; a single one is called ``meter``, several by their own names.

    The arguments and errors are those of :func:`read_record`.
    """
    said = layout or LayoutSpec()
    clock = SiteClock(zone or "UTC")
    progress.at("opening the file", 0, 4)
    found = open_path(path, said, clock)
    pieces, source, notes, several = list(found.pieces), found.source, found.findings, found.several
    del found
    # Each table goes as soon as it is judged: its texts need more memory than the readings.
    judged = [_judged(pieces.pop(0), clock, said, bool(zone), progress) for _ in range(len(pieces))]
    progress.at("putting the readings in order", 3, 4)
    if several:
        judged = join(judged, path.name)
    chosen = _chosen(judged, said.part, path)
    called = [meter] if len(chosen) == 1 else [one.meter or one.name for one in chosen]
    named = [replace(one, meter=name) for one, name in zip(chosen, called, strict=True)]
    return tuple(_record(one, source, clock, bool(zone), said, notes) for one in named)


def _judged(piece: Piece, clock: SiteClock, said: LayoutSpec, zoned: bool, progress: Progress) -> Judged:
    if isinstance(piece.data, Metered):
        return judge_metered(piece.data, piece.packing, said)
    judged = judge_table(piece.data, piece.packing, clock, said, zoned, progress)
    return replace(judged, meter=piece.meter, before=(*piece.notes, *judged.before))


def _chosen(judged: list[Judged], part: str, path: Path) -> list[Judged]:
    """Return the one meter a person named, by its name or its number from 1, or all of them; raises RecordError."""
    if not part:
        return judged
    kept = [one for number, one in enumerate(judged, 1) if part in (one.meter, str(number))]
    if kept:
        return kept[:1]
    raise RecordError.one(
        "record.no-part",
        Place(path.name),
        found=f"no meter called {quoted(part)}",
        wanted="one of " + ", ".join(quoted(one.meter) for one in judged[:12] if one.meter) + ", or its number from 1",
        next_step="Correct the part in the file's layout, or leave it out.",
    )


def _record(
    one: Judged, source: SourceFile, clock: SiteClock, zoned: bool, said: LayoutSpec, notes: tuple[Finding, ...]
) -> Record:
    refuse_absurd(one.found, one.step_s, one.rows)
    refuse_months(one)
    rows = len(one.rows)
    forms = [u.meaning.form for u in one.found.values()]
    shown = "you said so" if said.irregular else recognised(one)
    if shown:
        one = evened(one, said, shown)
    laid = grid.lay_out(one.starts_s, one.step_s, [u.numbers.values for u in one.found.values()], one.rows)
    channels, odd = channels_of(one.found, laid, one.meter, one.mark)
    if shown:
        channels = tuple(
            replace(c, basis=Basis.CALCULATED) if form in SPREAD else c for c, form in zip(channels, forms, strict=True)
        )
    seen = Seen(channels, (), one.mark, clock, zoned)
    channels, way_notes = settled_ways(channels, seen)
    # The highest and lowest within an interval are no power that anything follows from.
    plain = tuple(channel for channel in channels if not channel.meaning.form.is_extreme)
    sums, sum_notes = rates_added(plain)
    wholes = with_sums(plain, sums)
    more, more_notes = derived(wholes, said)
    gaps, gap_notes = gaps_of(wholes or channels, one.mark)
    odd += [note for channel in plain for note in unlikely_powers(channel)]
    odd += [*way_notes, *sum_notes, *more_notes]
    specs = said_columns(one.layout.columns, Place(one.name), said.columns).items()
    ratings = {one.layout.columns[i]: spec.ct_rating_a for i, spec in specs if spec.ct_rating_a is not None}
    odd += faults_of(plain, laid, one.starts_s, gaps, one.mark, clock, zoned, ratings)
    made = Record(source, clock.zone, rows, one.layout, channels, gaps, laid.duplicates, (), (*sums, *more))
    findings = of_another_zone([*notes, *one.before, *laid.findings, *gap_notes, *one.after, *odd])
    findings += [*whole_supplies(plain, made.main), *no_use(made.main)]
    return replace(made, findings=tuple(replace(f, where=f"{one.name}, {f.where}") for f in findings))
