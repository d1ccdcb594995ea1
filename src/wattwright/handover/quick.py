"""A quick answer for one load as a paper: what to use, why, and what must be asked, with its cautions before all else."""

import tomllib
from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache
from importlib.resources import files
from typing import Any

from wattwright.charts.table import Column, Table
from wattwright.core.show import MISSING, Show
from wattwright.core.wording import fill
from wattwright.gear.circuit.results import CircuitDesign
from wattwright.gear.circuit.told import CAUTIONS
from wattwright.gear.quick import Quick
from wattwright.gear.select.answer import Answer
from wattwright.gear.select.ruling import Judged
from wattwright.handover.context import LANGUAGE
from wattwright.handover.paper import Caution, Paper, Section, Standing, Steps, TableBlock, TitleBlock

_NEAREST = 5
_RULES = {"iec": "IEC 60364", "nec": "NEC"}


@lru_cache(maxsize=1)
def _words() -> Mapping[str, Any]:
    return tomllib.loads(files("wattwright.handover").joinpath("quick_en.toml").read_text(encoding="utf-8"))


def how(made: Answer) -> str:
    """Return in words how a load is switched; it has to have a scheme."""
    scheme = made.choice.selected
    assert scheme is not None  # only asked where something was chosen
    if scheme.on_input:
        return f"by its own control input: the dry contact of the {scheme.controller.name}"
    if scheme.contactor is None:
        return f"in its own line: {scheme.controller.name}"
    part = "" if scheme.suppressor is None else f", with an {scheme.suppressor.name} across its coil"
    return f"by a contactor: {scheme.contactor.name}, its coil fed over the contact of the {scheme.controller.name}{part}"


def says(made: Answer) -> str:
    """Return the answer as one sentence."""
    if made.choice.selected is None:
        return f"Nothing in the range switches this {made.appliance.name}: {len(made.choice.refused)} devices refused."
    return f"Switch the {made.appliance.name} {how(made)}."


def quick_paper(made: Quick, show: Show, date: str) -> Paper:
    """Return the answer as a paper of a date (ISO 8601)."""
    words, rules = _words(), _RULES[made.spec.rule_set]
    block = TitleBlock(made.spec.load, "", words["sheet"], date, "", fill(words["basis"], {"rules": rules}, show))
    return Paper(block, (_use(made, rules, show), _why(made, show), _asked(made)), basis_legend=(), language=LANGUAGE)


def nearest(refused: Sequence[Judged]) -> list[Judged]:
    """Return what was refused, the nearest to passing first."""
    return sorted(refused, key=lambda one: _nearness(one))


def _nearness(judged: Judged) -> float:
    by = judged.refused_by
    return 1.0 if by is None or by.margin is None else -by.margin


def _use(made: Quick, rules: str, show: Show) -> Section:
    words = _words()
    cautions = dict.fromkeys((*made.answer.cautions, *(CAUTIONS if made.circuit is not None else ())))
    caption = fill(words["use_caption"], {"load": made.spec.load}, show)
    table = _table(words["use_head"], list(_parts(made, show)), caption, fill(words["source"], {"rules": rules}, show))
    blocks: tuple[Standing, ...] = (*(Caution(one) for one in cautions), TableBlock(table, wide=True))
    drawn = fill(words["current_lead"], {"running": made.answer.current.running_a}, show)
    return Section(words["use"], f"{says(made.answer)} {drawn}", blocks)


def _parts(made: Quick, show: Show) -> Iterator[tuple[str, str, str]]:
    words, scheme = _words(), made.answer.choice.selected
    yield (
        words["switch"],
        words["none"] if scheme is None else scheme.controller.name,
        _least(None if scheme is None else scheme.judged, show),
    )
    if scheme is not None and scheme.contactor is not None:
        yield words["contactor"], scheme.contactor.name, ""
    if scheme is not None and scheme.suppressor is not None:
        yield words["suppressor"], scheme.suppressor.name, ""
    yield from _circuit_parts(made, show)
    clamp = {} if made.clamp is None else {"primary": made.clamp.primary_a, "window": made.clamp.window_mm}
    yield words["clamp"], fill(words["clamped"], clamp, show) if clamp else words["none"], ""
    probing = made.answer.probing
    probe = None if probing is None else probing.selected
    yield (
        words["probe"],
        words["no_probe"] if probing is None else words["none"] if probe is None else probe.name,
        _least(probe, show),
    )


def _circuit_parts(made: Quick, show: Show) -> Iterator[tuple[str, str, str]]:
    words, circuit = _words(), made.circuit
    if circuit is None:
        yield words["cable"], made.not_designed, ""
        return
    chosen = circuit.chosen
    curve = f"{chosen.protection.curve} " if chosen.protection.curve else ""
    told = {"kind": chosen.protection.kind, "curve": curve, "rated": chosen.protection.rated_a, "poles": chosen.protection.poles}
    spare = min((one.margin for one in circuit.steps if one.margin is not None), default=None)
    yield words["protection"], fill(words["protected"], told, show), ""
    size = {"size": chosen.cable.size, "earth": chosen.cable.earth_size}
    yield words["cable"], fill(words["copper"], size, show), MISSING if spare is None else show.percent(spare, 2)


def _least(judged: Judged | None, show: Show) -> str:
    tightest = None if judged is None else judged.tightest
    return MISSING if tightest is None or tightest.margin is None else f"{show.percent(tightest.margin, 2)}, {tightest.rule}"


def _why(made: Quick, show: Show) -> Section:
    words, scheme = _words(), made.answer.choice.selected
    blocks: list[Standing] = []
    if scheme is not None:
        rows = [
            (one.rule, one.says, MISSING if one.margin is None else show.percent(one.margin, 2), one.clause)
            for one in scheme.judged.rulings
        ]
        blocks.append(TableBlock(_table(words["why_head"], rows, words["why_caption"]), wide=True))
    if made.circuit is not None:
        blocks.append(TableBlock(_steps(made.circuit, show), wide=True))
    refused = [
        (one.name, f"{by.rule}: {by.says} ({by.clause})")
        for one in nearest(made.answer.choice.refused)[:_NEAREST]
        if (by := one.refused_by) is not None
    ]
    if refused:
        blocks.append(TableBlock(_table(words["refused_head"], refused, words["refused_caption"]), wide=True))
    count = 0 if scheme is None else len(scheme.judged.rulings)
    lead = fill(words["why_lead"], {"count": count}, show) if scheme is not None else words["why_none"]
    return Section(words["why"], lead, tuple(blocks))


def _steps(circuit: CircuitDesign, show: Show) -> Table:
    words = _words()
    rows = [
        (one.what, one.working, MISSING if one.margin is None else show.percent(one.margin, 2), one.clause)
        for one in circuit.steps
    ]
    return _table(words["why_head"], rows, words["circuit_caption"])


def _asked(made: Quick) -> Section:
    words = _words()
    more = () if made.circuit is None else (one.ask for one in made.circuit.not_checked)
    asked = tuple(dict.fromkeys((*made.answer.asked, *more)))
    if not asked:
        return Section(words["ask"], words["ask_none"])
    return Section(words["ask"], words["ask_lead"], (Steps(tuple(one[:1].upper() + one[1:] for one in asked)),))


def _table(head: Sequence[str], rows: Sequence[tuple[str, ...]], caption: str, source: str = "") -> Table:
    return Table(tuple(Column(one, align="left") for one in head), tuple(rows), caption, source)
