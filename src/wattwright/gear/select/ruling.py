"""What a rule says of a candidate: held, broken or open, what was found against what limit, and how much is to spare."""

from dataclasses import dataclass
from typing import Literal

PRACTICE = "common practice, no source"

State = Literal["held", "broken", "open"]


@dataclass(frozen=True, slots=True)
class Ruling:
    """One rule run on one candidate.

    ``clause`` is where the rule stands, or "common practice, no source". ``margin`` is the share of the limit that is to spare,
    negative where the rule is broken; None where the rule knows only yes and no, or where something must be asked first.
    """

    rule: str
    clause: str
    state: State
    says: str
    margin: float | None = None

    @property
    def is_broken(self) -> bool:
        """Return whether the candidate is refused by it."""
        return self.state == "broken"


def at_most(rule: str, clause: str, says: str, found: float, limit: float) -> Ruling:
    """Return the ruling of a rule by which ``found`` may reach ``limit`` and no more, both in one unit."""
    margin = (limit - found) / limit if limit > 0 else -1.0
    # A figure worked out from a plate is not exact to the last bit: 20 A are 20 A.
    return Ruling(rule, clause, "broken" if margin < -1e-9 else "held", says, margin)


def at_least(rule: str, clause: str, says: str, found: float, limit: float) -> Ruling:
    """Return the ruling of a rule by which ``found`` must reach ``limit`` at least."""
    margin = (found - limit) / limit if limit > 0 else 1.0
    return Ruling(rule, clause, "broken" if margin < -1e-9 else "held", says, margin)


def yes_or_no(rule: str, clause: str, says: str, *, holds: bool) -> Ruling:
    """Return the ruling of a rule that knows no more and no less."""
    return Ruling(rule, clause, "held" if holds else "broken", says)


def still_open(rule: str, clause: str, ask: str) -> Ruling:
    """Return the ruling of a rule that cannot be run before ``ask`` is answered."""
    return Ruling(rule, clause, "open", ask)


@dataclass(frozen=True, slots=True)
class Judged:
    """A candidate with every rule that was run on it."""

    id: str
    name: str
    rulings: tuple[Ruling, ...]

    @property
    def passes(self) -> bool:
        """Return whether no rule refuses it."""
        return not any(one.is_broken for one in self.rulings)

    @property
    def refused_by(self) -> Ruling | None:
        """Return the first rule that refuses it, None where none does."""
        return next((one for one in self.rulings if one.is_broken), None)

    @property
    def tightest(self) -> Ruling | None:
        """Return the rule with the least to spare, None where no rule has a margin."""
        return min((one for one in self.rulings if one.margin is not None), key=lambda one: one.margin or 0.0, default=None)

    @property
    def asked(self) -> tuple[str, ...]:
        """Return what must be asked before it is certain."""
        return tuple(one.says for one in self.rulings if one.state == "open")
