"""What is fitted: the switch and the circuit of each load in a line, what it adds up to, and what is open."""

from wattwright.core.findings import Finding, Severity
from wattwright.handover.context import Context
from wattwright.handover.paper import Block, Caution, Section, TableBlock, Text
from wattwright.handover.wide import margin_notes, table, text_column
from wattwright.job.array_wiring import refused_strings
from wattwright.job.equipping import Equipped
from wattwright.job.gearing import LoadGear
from wattwright.job.guarding import failing_guards


def fitted(context: Context, equipped: Equipped) -> Section:
    """Return the section of the report on equipment; the sheets for whoever mounts it say the rest."""
    made = equipped.gear
    switched = sum(one.answer.choice.selected is not None for one in made.loads)
    designed = sum(one.circuit is not None for one in made.loads)
    lead = context.words(
        "fitted.lead", switched=switched, count=len(made.loads), designed=designed, rules=equipped.ruled.says
    )  # fmt: skip
    columns = (text_column("No."), text_column("Load"), text_column("Switched by"), text_column("Circuit"))
    rows = [(str(one.number), one.load.name, _switch(context, one), _circuit(context, one)) for one in made.loads]
    blocks: list[Block] = [TableBlock(table(columns, rows, context.words("fitted.table")), wide=True)]
    blocks += margin_notes(_once(made.findings), context.show, Severity.STOP)
    blocks.append(Text(" ".join((*_total(context, equipped), _open(context, equipped)))))
    blocks.append(Caution(context.words("fitted.caution")))
    return Section(context.words("fitted.title"), lead, tuple(blocks))


def not_to_be_built(context: Context) -> Section | None:
    """Return the section that stands in place of equipment where strings of PV, or guards of a source, are refused, or None."""
    refused = (*refused_strings(context.spec), *failing_guards(context.spec))
    if not refused:
        return None
    lead = context.words("refused.lead", what=", ".join(dict.fromkeys(one.where for one in refused)))
    return Section(context.words("refused.title"), lead, tuple(margin_notes(_once(refused), context.show, Severity.STOP)))


def _switch(context: Context, one: LoadGear) -> str:
    scheme = one.answer.choice.selected
    if scheme is None:
        return context.words("fitted.none")
    return f"{scheme.way}: {(scheme.contactor or scheme.controller).name}"


def _circuit(context: Context, one: LoadGear) -> str:
    if one.circuit is None:
        return context.words("fitted.open")
    chosen = one.circuit.chosen
    breaker = f"{chosen.protection.curve} {chosen.protection.rated_a:g} A".strip()
    return context.words(
        "fitted.circuit", breaker=breaker, size=chosen.cable.size, length=one.circuit.spec.length_m
    )  # fmt: skip


def _once(findings: tuple[Finding, ...]) -> list[Finding]:
    """Return findings, of each kind the first: the sheets say it of every load. What fails of each source is another thing."""
    return list({(one.code, one.data.get("of")): one for one in reversed(findings)}.values())


def _total(context: Context, equipped: Equipped) -> list[str]:
    bill = equipped.gear.bill
    if not bill.totals:
        return []
    total = " + ".join(f"{context.show.fixed(whole, 2)} {currency}" for currency, whole in bill.totals.items())
    key = "fitted.total.part" if bill.unpriced else "fitted.total"
    return [context.words(key, total=total, unpriced=bill.unpriced)]


def _open(context: Context, equipped: Equipped) -> str:
    asked = {question for one in equipped.gear.loads for question in one.asked}
    return context.words("fitted.asked" if asked else "fitted.asked.none", count=len(asked))
