"""The sheet of PV strings: modules, voltages, what conductors carry and their first size, with the cautions of direct current."""

from wattwright.charts.table import Table
from wattwright.core.bounds import as_least
from wattwright.core.show import MISSING, THIN, Show
from wattwright.gear.circuit.direct import DirectCable
from wattwright.gear.circuit.working import figure
from wattwright.handover.paper import Block, Caution, Section, TableBlock
from wattwright.handover.sheet_words import sheet_words
from wattwright.handover.wide import table, text_column
from wattwright.job.array_wiring import ArrayWiring, array_wirings
from wattwright.job.spec import JobSpec


def array_sheet(spec: JobSpec, show: Show) -> Section:
    """Return the sheet of a job's strings of PV modules."""
    words, wired = sheet_words()["array"], array_wirings(spec)
    failing = [f"{told.where}, {words['refused']} {told.says(show)}" for one in wired for told in one.refused]
    blocks: list[Block] = [Caution(one) for one in (*failing, *words["cautions"])]
    blocks += [TableBlock(one, wide=True) for one in (_voltages(wired), _conductors(wired, show))]
    return Section(words["title"], words["lead"], tuple(blocks), new_page=True)


def _voltages(wired: tuple[ArrayWiring, ...]) -> Table:
    heads = ("Strings", "Modules", "Cold Voc", "Hot Vmp", "Current at work, all", "Direct over alternating power")
    rows = []
    for one in wired:
        name, module, made = f"{one.number}, array {one.told.array}", one.told.module, one.design
        name += f": {sheet_words()['array']['marked']}" if one.refused else ""
        if made is None:
            rows.append((name, f"{one.told.parallel} x ?", *[sheet_words()["array"]["asked"], MISSING, MISSING, MISSING]))
            continue
        working_a = figure(one.told.parallel * module.working_a, "A")
        cold, hot = (f"{value:.0f}{THIN}V" for value in (made.cold_open_v, made.hot_working_v))
        cold, hot = f"{cold} at {one.told.coldest_c:g}{THIN}°C", f"{hot} at {one.told.hottest_c:g}{THIN}°C"
        series = f"{made.series}" if one.is_told else f"at most {made.series}: {sheet_words()['array']['series']}"
        rows.append((name, f"{one.told.parallel} x {series}", cold, hot, working_a, f"{made.ratio:.2f}"))
    return table([text_column(head) for head in heads], rows, "Strings and their voltages", "rules and margins: see below")


def _conductors(wired: tuple[ArrayWiring, ...], show: Show) -> Table:
    heads = ("Strings", "Conductors", "Must carry", "Copper, at least", "Carries", "In air of", "Drop", "By")
    rows = []
    for one in wired:
        if one.design is None:
            continue
        must = [one.design.a_string_a, one.told.string_fuse_a or 0.0]
        fused = f", and the fuse of {must[1]:g}{THIN}A" if must[1] > must[0] else ""
        drop = MISSING if one.drop_share is None else show.percent(one.drop_share, 2)
        warm, number = f"{one.warm_c:g}{THIN}°C", str(one.number)
        rows.append(
            (
                number,
                "of a string",
                figure(as_least(must[0], 4), "A") + fused,
                *_sized(one.a_string),
                warm,
                drop,
                _by(one.a_string),
            )
        )
        if one.told.parallel > 1:
            rows.append(
                (
                    number,
                    "all joined",
                    figure(as_least(one.together_a, 4), "A"),
                    *_sized(one.together),
                    warm,
                    MISSING,
                    _by(one.together),
                )
            )
    return table(
        [text_column(head) for head in heads], rows, "Conductors of the array, each way", "first size; laid by the local code"
    )


def _sized(cable: DirectCable | None) -> tuple[str, str]:
    return (sheet_words()["array"]["beyond"], MISSING) if cable is None else (cable.size, figure(cable.carries_a, "A"))


def _by(cable: DirectCable | None) -> str:
    return MISSING if cable is None else cable.basis
