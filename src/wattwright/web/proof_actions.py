"""What a person does on the page of the proof: freezes what was shown, and gives a record of the time after."""

from wattwright.core.errors import Fault, Place
from wattwright.job.freezing import name_of_copy
from wattwright.proof.seal import AFTER_RECORD, AFTER_WEATHER, FROZEN, read_seal
from wattwright.store.paths import name_of
from wattwright.web.desk import Desk
from wattwright.web.errand import PROVE
from wattwright.web.forms import with_faults
from wattwright.web.links import Links
from wattwright.web.page_forms import READINGS, with_fields
from wattwright.web.posted import Posted
from wattwright.web.proof_forms import AGREED, WEATHER, WHAT, after_form, freeze_form
from wattwright.web.sheets.proof import proposed_of
from wattwright.web.showing import Tried
from wattwright.web.words import words


def frozen(desk: Desk, id_: str, given: Posted, links: Links) -> tuple[Tried, int] | None:
    """Freeze the proposal that the page showed; return why not, with the HTTP status, None where it is frozen."""
    job = desk.job(id_)
    made = proposed_of(job)
    seal = None if made is None else read_seal(made.text, "proposal")
    if made is None or seal is None or given.base != job.revision.number or given.values.get("print") != seal.fingerprint:
        return Tried(None, words("proof.other")), 409
    if given.values.get(AGREED) != "yes":
        form = freeze_form(job, links)
        fault = Fault("desk.agreed", Place(field=AGREED), found="", wanted=words("wanted.agreed"))
        fields, left = with_faults(form.fields, (fault,))
        return Tried(with_fields(form, fields), words("proof.not-frozen"), left), 422
    files, old = {FROZEN: made.text.encode()}, job.assessment.frozen_text()
    if old is not None:
        files[name_of_copy(old.encode())[0]] = old.encode()
    desk.change(job, job.revision.text, words("cause.freeze", print=seal.shown), files)
    return None


def record_given(desk: Desk, id_: str, given: Posted, links: Links) -> tuple[Tried, int] | None:
    """Keep a file of the time after in the job, in place of the one before, and hold a record against the promise."""
    job = desk.job(id_)
    if not given.files:
        return Tried(after_form(job, links, READINGS), words("nothing-chosen")), 422
    if given.base != job.revision.number:
        return Tried(None, words("conflict.remove")), 409
    into = AFTER_WEATHER if given.values.get(WHAT) == WEATHER else AFTER_RECORD
    name, content = next(iter(given.files.items()))
    path = f"{into}/{name_of(name)}"
    before = tuple(one for one in job.revision.files if one.startswith(f"{into}/") and one != path)
    now = desk.change(job, job.revision.text, words("cause.after", name=name_of(name)), {path: content}, before)
    if any(one.startswith(f"{AFTER_RECORD}/") for one in now.files):
        desk.begin(id_, now.number, PROVE, "{}")
    return None
