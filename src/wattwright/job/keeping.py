"""What is kept beside a job for its papers: plan, quote and proof, each for as long as what it was made from holds."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeVar

from wattwright.core.errors import FileError, JobError
from wattwright.core.files import read_bytes, source_of
from wattwright.core.fingerprint import code_version, fingerprint
from wattwright.job.cache import Shelf
from wattwright.job.file import Job
from wattwright.job.graph import Graph
from wattwright.proof.seal import AFTER_RECORD, AFTER_WEATHER, FROZEN, read_seal
from wattwright.record.readers.door import source_at

if TYPE_CHECKING:
    from wattwright.job.planned import KeptPlan
    from wattwright.job.proved import Proof, Proposal
    from wattwright.supply.sizing.answer import Quote

Result = TypeVar("Result")
_NO_PLAN = ("papers", "gear", "quote", "island", "strings", "outage_rate", "measurement", "adjustments")
"""Tables of a job that change no plan."""
_PLAN_ROOMS = tuple(
    f"wattwright.{room}" for room in ("sky", "loads", "control", "catalogue", "generation", "simulate", "plan", "job")
)
_QUOTE_ROOMS = ("wattwright.supply",)
_PROOF_ROOMS = tuple(f"wattwright.{room}" for room in ("record", "sky", "control", "demand", "tariff", "proof", "job"))


@dataclass(frozen=True, slots=True)
class _Held:
    """What came of holding something against what was frozen, as it is kept."""

    told: str


class Kept:
    """A job with its shelf and the graph of its stages."""

    job: Job
    graph: Graph
    _shelf: Shelf

    def plan(self) -> "KeptPlan | None":
        """Return the plan sought last for this job as it stands; None where none was, or readings, job or code are others now."""
        if not self.plan_print():
            return None
        from wattwright.job.planned import KeptPlan

        return self._shelf.find("plan", self._plan_mark(), KeptPlan)

    def keep_plan(self, plan: "KeptPlan") -> None:
        """Keep a plan beside the job for its papers. Raises FileError when it cannot be written."""
        self._shelf.keep("plan", self._plan_mark(), plan)

    def quote(self) -> "Quote | None":
        """Return the quote asked for last for this job and its plan as they stand; None where none was."""
        if not self.quote_print():
            return None
        # Beside the type it brings the words of every finding that a quote may hold.
        from wattwright.job.quoting import Quote

        return self._shelf.find("quote", self._quote_mark(), Quote)

    def keep_quote(self, quote: "Quote") -> None:
        """Keep a quote beside the job for its papers. Raises FileError when it cannot be written."""
        self._shelf.keep("quote", self._quote_mark(), quote)

    def frozen_text(self) -> str | None:
        """Return what is frozen of the job's proof, as text; None where nothing is. Raises FileError if it cannot be read."""
        path = self.job.inside(FROZEN)
        there = self.job.path.suffix == ".toml" and path.exists()
        return read_bytes(path).decode("utf-8", errors="replace") if there else None

    def proof(self) -> "Proof | None":
        """Return what a record of the time after showed last of the job's frozen promise as it stands; None where none was."""
        return self._proof_and_print()[0]

    def proposal(self) -> "Proposal | None":
        """Return what freezing would write, worked out last for the job as it stands; None where it was not."""
        if not self.proposal_print():
            return None
        from wattwright.job.proved import Proposal

        return self._shelf.find("proposal", self._proposal_mark(), Proposal)

    def proposal_print(self) -> str:
        """Return a hash of what ``proposal`` returns; empty where there is nothing."""
        try:
            return self._shelf.holds("proposal", self._proposal_mark())
        except FileError:
            return ""  # as of a plan

    def keep_proposal(self, proposal: "Proposal") -> None:
        """Keep what freezing would write beside the job. Raises FileError when it cannot be written."""
        self._shelf.keep("proposal", self._proposal_mark(), proposal)

    def proof_lost_its_seal(self) -> bool:
        """Return whether a proof is kept beside the job, and what was frozen lies there no more."""
        return self.frozen_text() is None and self._shelf.has_other("proof", "")

    def proof_is_of_others(self) -> bool:
        """Return whether a proof is kept beside the job, but of another frozen part, of other files or by other code than now."""
        return self.frozen_text() is not None and not self.proof_print() and self._shelf.has_other("proof", "")

    def keep_proof(self, proof: "Proof") -> None:
        """Keep what a record showed beside the job for its papers. Raises FileError when it cannot be written."""
        self._shelf.keep("proof", self._proof_mark(), proof)

    def proof_print(self) -> str:
        """Return a hash of the proof that ``proof`` returns; empty where there is none."""
        return self._proof_and_print()[1]

    def _proof_and_print(self) -> "tuple[Proof | None, str]":
        """Return the proof that is kept and holds, and its hash; None where there is none, or a file it rests on was changed."""
        if self.frozen_text() is None:
            return None, ""
        try:
            mark = self._proof_mark()
        except (FileError, JobError):
            return None, ""  # as of a plan, or nothing holds that was frozen
        print_ = self._shelf.holds("proof", mark)
        if not print_:
            return None, ""
        # Beside the type it brings the words of every finding that a proof may hold.
        from wattwright.job.given import is_changed
        from wattwright.job.proved import Proof as Proved

        found = self._shelf.find("proof", mark, Proved)
        if found is None or any(is_changed(self.job, one) for one in found.given):
            return None, ""
        return found, print_

    def held_seal(self, make: Callable[[], str]) -> str:
        """Return in a word what came of holding readings and models against the frozen part, as ``make`` gives it.

        It is kept, but for an empty one. Raises what ``make`` does, JobError where the frozen part cannot be read, and FileError.
        """
        mark = self._proof_mark()
        found = self._shelf.find("sealed", mark, _Held)
        made = _Held(make()) if found is None else found
        if found is None and made.told:
            self._shelf.keep("sealed", mark, made)
        return made.told

    def quote_print(self) -> str:
        """Return a hash of the quote that ``quote`` returns; empty where there is none."""
        try:
            return self._shelf.holds("quote", self._quote_mark())
        except FileError:
            return ""  # as of a plan

    def plan_is_stale(self) -> bool:
        """Return whether only plans of other inputs are kept. Raises FileError where a file is gone."""
        return self._shelf.has_other("plan", self._plan_mark())

    def quote_is_stale(self) -> bool:
        """Return whether only quotes of other inputs are kept. Raises FileError where a file is gone."""
        return self._shelf.has_other("quote", self._quote_mark())

    def plan_print(self) -> str:
        """Return a hash of the plan that ``plan`` returns; empty where there is none."""
        try:
            return self._shelf.holds("plan", self._plan_mark())
        except FileError:
            # A file that is gone cannot be what a plan was made from; who needs the file itself is told.
            return ""

    def kept(self, name: str, more: object, kind: type[Result], make: Callable[[], Result]) -> Result:
        """Return what ``make`` gives, kept beside the job under ``name`` for as long as the plan, its ground and ``more`` hold.

        Raises what ``make`` raises, and FileError when it cannot be written.
        """
        mark = fingerprint(self._plan_mark(), self.plan_print(), more)
        found = self._shelf.find(name, mark, kind)
        if found is None:
            found = make()
            self._shelf.keep(name, mark, found)
        return found

    def _proof_mark(self) -> str:
        """Return a fingerprint of what any proof of this job is made from, but for the files that stand in the proof itself."""
        spec, job = self.job.spec, self.job
        held = read_seal(self.frozen_text() or "", FROZEN)
        named = [FROZEN, *(one.path for one in held.files)]
        after = (one for folder in (AFTER_RECORD, AFTER_WEATHER) for one in sorted(job.inside(folder).glob("*")))
        beside = [source_at(path).sha256 for path in (*map(job.inside, named), *(one for one in after if one.is_file()))]
        # How a file is read decides what was read, though the file stays as it is.
        reads = spec.files, spec.meters, spec.repair, spec.pv, spec.battery, spec.inverter, spec.generator
        asked = spec.adjustments, spec.measurement, spec.site, spec.tariff, spec.weather.file
        return fingerprint(beside, reads, asked, code_version(_PROOF_ROOMS))

    def _proposal_mark(self) -> str:
        """Return a fingerprint of what a promise would be frozen from."""
        spec = self.job.spec
        named = (*spec.tariff.files, *(one for one in (spec.measurement.weather,) if one))
        beside = [source_at(path).sha256 for path in map(self.job.inside, named)]
        rests_on = spec.measurement, spec.papers.date, spec.name, spec.site, code_version(_PROOF_ROOMS)
        return fingerprint(self._plan_mark(), self.plan_print(), beside, *rests_on)

    def _quote_mark(self) -> str:
        """Return a fingerprint of what any quote for this job is made from, the outage asked for left out."""
        return fingerprint(self._plan_mark(), self.plan_print(), self.job.spec.quote, code_version(_QUOTE_ROOMS))

    def _plan_mark(self) -> str:
        """Return a fingerprint of what any plan for this job is made from, its objective and effort left out.

        Which cable goes where, how its plate looks, what is to be quoted and what is drawn on paper does not change a plan.
        """
        spec = self.job.spec
        left_out: Any = {"loads": {"__all__": {"wiring", "photos"}}, **dict.fromkeys(_NO_PLAN, True)}
        named = [one for one in (spec.weather.file, spec.plan.gear) if one]
        beside = [source_of(path, read_bytes(path)) for path in (self.job.inside(one) for one in named)]
        stages = {name: self.graph.fingerprint_of(name) for name in self.graph.names()}
        return fingerprint(stages, spec.model_dump(exclude=left_out), beside, spec.seed, code_version(_PLAN_ROOMS))
