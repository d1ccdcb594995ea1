"""The forms of the page of the proof: look at what would be frozen, freeze it, and give a record of the time after."""

from collections.abc import Iterator

from wattwright.job.proposed import record_after
from wattwright.proof.seal import read_seal
from wattwright.web.errand import FREEZE, PROVE
from wattwright.web.forms import Field, Form
from wattwright.web.held import HeldJob
from wattwright.web.links import Links
from wattwright.web.sheets.proof import proposed_of
from wattwright.web.words import words

AGREED, WHAT = "agreed", "what"
RECORD, WEATHER = "record", "weather"


def proof_forms(job: HeldJob, links: Links, accept: str) -> Iterator[Form]:
    """Yield the forms that hold as things stand; files of the names in ``accept`` are taken."""
    if not job.spec.files:
        return
    is_frozen = job.assessment.frozen_text() is not None
    if proposed_of(job) is not None:
        yield freeze_form(job, links)
    title, button = ("proof.anew", "do.propose-anew") if is_frozen else ("proof.propose", "do.propose")
    note = words("proof.anew.note" if is_frozen else "proof.propose.note")
    propose = Form("propose", words(title), links.act(job.id, f"begin-{FREEZE}"), (), words(button), note, closed=is_frozen)
    if not is_frozen:
        yield propose
        return
    yield after_form(job, links, accept)
    if record_after(job.job.folder)[0] is not None:
        yield Form("hold", words("proof.hold"), links.act(job.id, f"begin-{PROVE}"), (), words("do.prove"), closed=True)
    yield propose


def freeze_form(job: HeldJob, links: Links) -> Form:
    """The form that freezes exactly what the page shows, once both sides agreed."""
    made = proposed_of(job)
    shown = "" if made is None else read_seal(made.text, "proposal").fingerprint
    agreed = Field(AGREED, words("field.agreed"), words("field.agreed.help"), "flag")
    hidden = (("print", shown),)
    note = words("proof.freeze.note", print=shown[:16])
    return Form("freeze", words("proof.freeze"), links.act(job.id, "freeze"), (agreed,), words("do.freeze"), note, hidden=hidden)


def after_form(job: HeldJob, links: Links, accept: str) -> Form:
    """The form that takes the record of the time after, or measured weather of its days."""
    what = (RECORD, WEATHER)
    told = tuple(words(f"proof.{one}") for one in what)
    field = Field(WHAT, words("field.after"), words("field.after.help"), "choice", value=RECORD, choices=what, told=told)
    return Form(
        "after", words("proof.after"), links.act(job.id, "add-after"), (field,), words("do.after"), words("proof.after.note"),
        files=words("files.choose"), accept=accept,
    )  # fmt: skip
