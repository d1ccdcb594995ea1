"""The report: an assessment composed into one paper, answers first, then the evidence, then what was assumed."""

from dataclasses import replace

from wattwright.core.clock import SiteClock
from wattwright.handover.context import LANGUAGE, Context
from wattwright.handover.costs import costs
from wattwright.handover.evidence import assumptions, evidence, survey
from wattwright.handover.fitted import fitted, not_to_be_built
from wattwright.handover.heights import heights
from wattwright.handover.hidden import hidden
from wattwright.handover.left_over import residuals
from wattwright.handover.opening import opening, with_doubt
from wattwright.handover.outages import outages
from wattwright.handover.paper import Paper, Section, TitleBlock
from wattwright.handover.planned import planned
from wattwright.handover.proved import promised, proved
from wattwright.handover.quoted import quoted
from wattwright.handover.usage import months, when
from wattwright.job.assessment import Assessment
from wattwright.job.backup import kept_backup
from wattwright.job.equipping import Equipped
from wattwright.job.unsealing import what_is_broken


def report(assessment: Assessment, equipped: Equipped | None = None) -> Paper:
    """Return the metering report of a job, with its equipment where given.

    Raises FileError, RecordError, TariffError, JobError.
    """
    context = context_of(assessment)
    sections: list[Section | None] = [
        opening(context),
        with_doubt(context, when(context)) if context.within_day else None,
        with_doubt(context, months(context)),
        with_doubt(context, heights(context)),
        hidden(context),
        with_doubt(context, costs(context)) if context.costs is not None else costs(context),
        planned(context),
        None if (sized := quoted(context)) is None else with_doubt(context, sized),
        promised(context),
        proved(context),
        outages(context, kept_backup(assessment)),
        fitted(context, equipped) if equipped is not None and equipped.gear.loads else not_to_be_built(context),
        survey(context),
        evidence(context),
        residuals(context),
        assumptions(context),
    ]
    return Paper(
        title_block(context, context.words("sheet")),
        tuple(section for section in sections if section is not None),
        language=LANGUAGE,
        decimal_mark=context.chart_words.decimal_mark,
    )


def context_of(assessment: Assessment) -> Context:
    """Return the results and words that sections are made of. Raises FileError, RecordError, TariffError, JobError."""
    files = tuple((file, assessment.record(file.id)) for file in assessment.job.spec.files)
    costs = assessment.costs() if assessment.has_tariff else None
    made = replace(readings_of(assessment), costs=costs, files=files, peaks=assessment.peaks())
    beside = replace(made, plan=assessment.plan(), quote=assessment.quote())
    text = assessment.frozen_text()
    broken = "" if text is None else what_is_broken(assessment, text)
    lost, others = assessment.proof_lost_its_seal(), assessment.proof_is_of_others()
    made = replace(beside, seal_text=text, seal_broken=broken, seal_lost=lost, is_proof_of_others=others)
    return replace(made, proof=assessment.proof())


def readings_of(assessment: Assessment) -> Context:
    """Return the same of the main meter's readings alone, without costs and other files, so that neither can be in the way.

    Raises FileError, RecordError, JobError.
    """
    return Context(
        spec=assessment.job.spec,
        record=assessment.judged_record(),
        power=assessment.power(),
        demand=assessment.demand(),
        show=assessment.show,
        fingerprint=assessment.graph.fingerprint_of("demand"),
        bills=assessment.paid_bills(),
    )


def title_block(context: Context, sheet: str) -> TitleBlock:
    """Return the title block that every paper of the job carries."""
    spec = context.spec
    clock = SiteClock(spec.site.zone)
    series = context.power.series
    days = dict.fromkeys(clock.text(time_s)[:10] for time_s in (series.start_s, series.end_s - 1))
    basis = " to ".join(days)
    if context.quote is not None and context.quote.days != (min(days), max(days)):
        first, last = context.quote.days
        basis = context.words("quote.basis", basis=basis, first=first, last=last)
    return TitleBlock(spec.name, spec.place, sheet, spec.papers.date.isoformat(), spec.papers.revision, basis, spec.invented)
