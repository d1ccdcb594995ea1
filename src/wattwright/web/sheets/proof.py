"""The page of the proof: what would be frozen, what is, and what a record of the time after showed."""

from dataclasses import replace

from wattwright.core.findings import Severity
from wattwright.handover.context import Context
from wattwright.handover.left_over import residuals
from wattwright.handover.paper import Block, MarginNote, Section, Steps, TableBlock
from wattwright.handover.proved import promised, proved
from wattwright.handover.wide import margin_notes, table, text_column
from wattwright.job.proof_table import plan_rows, promise_line
from wattwright.job.proposed import record_after
from wattwright.job.proved import Proposal
from wattwright.job.unsealing import what_is_broken
from wattwright.proof.seal import AFTER_RECORD, read_seal
from wattwright.web.held import HeldJob
from wattwright.web.open_job import OpenJob
from wattwright.web.sheets.common import Made, context_of, nothing_yet, paper
from wattwright.web.words import words


def sheet(job: OpenJob) -> Made:
    """The page, and the figures of its pictures. Raises InputError where the readings cannot be worked out."""
    if not job.spec.files:
        return paper(job, "proof", [nothing_yet("proof", "file")])
    context = _context(job)
    frozen = promised(context)
    made = [] if frozen is None else [frozen]
    proposal = proposed_of(job)
    if proposal is not None:
        made.insert(0, _would_be(proposal, context))
    if context.seal_text is not None and not context.seal_broken:
        shown = [one for one in (proved(context), residuals(context)) if one is not None]
        made += shown or [_no_record(job)]
    return paper(job, "proof", [_in_words(one) for one in made] or [nothing_yet("proof")])


def _in_words(section: Section) -> Section:
    """The section with the entry that no form calls by its name in the job file called as the plan of measurement calls it."""
    name, told = "static_factors", words("proof.static-factors")
    blocks: list[Block] = []
    for block in section.blocks:
        if isinstance(block, MarginNote):
            block = replace(block, sentence=block.sentence.replace(name, told))
        elif isinstance(block, TableBlock):
            rows = tuple(
                tuple(one.replace(name, told) if isinstance(one, str) else one for one in row) for row in block.table.rows
            )
            block = replace(block, table=replace(block.table, rows=rows))
        blocks.append(block)
    return replace(section, blocks=tuple(blocks))


def proposed_of(job: HeldJob) -> Proposal | None:
    """What freezing would write, where it was worked out for the job as it stands and is not frozen already."""
    made = job.assessment.proposal()
    return None if made is None or made.text == job.assessment.frozen_text() else made


def _context(job: OpenJob) -> Context:
    assessment = job.assessment
    text, proof = assessment.frozen_text(), assessment.proof()
    if proof is not None and proof.sha256 != _after_sha256(job):
        proof = None  # of another record than lies here now
    broken = "" if text is None else what_is_broken(assessment, text)
    lost, others = assessment.proof_lost_its_seal(), assessment.proof_is_of_others()
    made = replace(context_of(job), seal_text=text, seal_broken=broken, seal_lost=lost, is_proof_of_others=others)
    return replace(made, proof=proof)


def _after_sha256(job: OpenJob) -> str:
    return next((sha256 for path, sha256 in job.revision.files.items() if path.startswith(f"{AFTER_RECORD}/")), "")


def _would_be(made: Proposal, context: Context) -> Section:
    """What would be frozen, with everything to know before: the notes too, since this is when they help."""
    seal, show = read_seal(made.text, "proposal"), context.show
    columns = (text_column(words("proof.part")), text_column(words("proof.said")))
    rows = [(label[:1].upper() + label[1:], said) for label, said in plan_rows(seal, show)]
    plan = TableBlock(table(columns, rows, words("proof.would-be.plan")))
    notes = margin_notes(made.findings, show, Severity.NOTE)
    return Section(words("proof.would-be.title"), promise_line(seal.promise, show), (plan, *notes))


def _no_record(job: OpenJob) -> Section:
    record, _ = record_after(job.job.folder)
    lead = words("proof.no-record" if record is None else "proof.not-held", name="" if record is None else record.name)
    step = words("proof.give" if record is None else "proof.hold-again")
    return Section(words("proof.no-record.title"), lead, (Steps((step,)),))
