"""The wiring of a job's PV strings: modules in series, cold voltage, what conductors must carry, and their first size."""

from dataclasses import dataclass, replace

from wattwright.core.errors import InputError
from wattwright.core.findings import Finding, Severity
from wattwright.gear.circuit.direct import DirectCable, direct_cable, drop_share
from wattwright.gear.circuit.tables import table
from wattwright.generation.string import StringDesign, strings
from wattwright.job import kinds
from wattwright.job.spec import JobSpec
from wattwright.job.strings_spec import StringsSpec

_APART = 0.02
"""Power of an array and of its strings may differ by so much: common practice, no source."""


@dataclass(frozen=True, slots=True)
class ArrayWiring:
    """One row of [[strings]], by its number from 1, with its design; None where its cold voltage cannot be known.

    ``a_string`` carries one string, ``together`` all of them where they are joined, None where tables end before that, or there
    is only one; ``warm_c`` is the air they lie in; ``drop_share`` that of a string at work, None where its route is not known.
    """

    number: int
    told: StringsSpec
    design: StringDesign | None
    a_string: DirectCable | None = None
    together: DirectCable | None = None
    together_a: float = 0.0
    warm_c: float = 0.0
    drop_share: float | None = None

    @property
    def is_told(self) -> bool:
        """Return whether somebody said how many modules are in series; else the most that fit are reckoned with."""
        return self.told.series is not None

    @property
    def long(self) -> tuple[Finding, ...]:
        """Return that a string's route takes much of its voltage; nothing where it does not, or is not known."""
        if self.drop_share is None or self.told.length_m is None or self.drop_share <= table("iec")["drop"]["lamp"]:
            return ()
        return (kinds.STRING_DROP.at(f"strings {self.number}", length=self.told.length_m, drop=self.drop_share),)

    @property
    def refused(self) -> tuple[Finding, ...]:
        """Return what refuses the strings: they are not to be built so."""
        grave = () if self.design is None else tuple(one for one in self.design.findings if one.severity is Severity.STOP)
        return tuple(replace(one, where=f"strings {self.number}") for one in grave)


def array_wirings(spec: JobSpec) -> tuple[ArrayWiring, ...]:
    """Return the wiring of every row of strings of a job.

    Conductors lie behind warm modules: in air as warm as the cells at full sun (common practice, no source). A fuse in each
    string protects its conductors only where they carry the fuse's rating too.
    """
    return tuple(_wired(number, one) for number, one in enumerate(spec.strings, start=1))


def refused_strings(spec: JobSpec) -> tuple[Finding, ...]:
    """Return what refuses any strings of a job."""
    return tuple(told for one in array_wirings(spec) for told in one.refused)


def of_strings(spec: JobSpec) -> tuple[Finding, ...]:
    """Return all there is to say of the strings of a job: what refuses them, long routes, and power that is not the array's."""
    wired = array_wirings(spec)
    refused = (told for one in wired for told in one.refused)
    return (*refused, *(told for one in wired for told in one.long), *strings_apart(spec, wired))


def strings_apart(spec: JobSpec, wired: tuple[ArrayWiring, ...]) -> tuple[Finding, ...]:
    """Return for which arrays the modules in series and side by side come to another power than their [[pv]] has.

    Nothing is said of an array whose strings nobody counted.
    """
    found = []
    for number, array in enumerate(spec.pv, start=1):
        mine = [one for one in wired if one.told.array == number]
        if not mine or not all(one.is_told for one in mine):
            continue
        strings_w = sum((one.told.series or 0) * one.told.parallel * one.told.module.peak_w for one in mine)
        if abs(strings_w - array.peak_w) > _APART * array.peak_w:
            found.append(kinds.STRINGS_APART.at("strings", array=number, array_w=array.peak_w, strings_w=strings_w))
    return tuple(found)


def string_must_a(design: StringDesign, told: StringsSpec) -> float:
    """Return what conductors of a string must carry, A: its current, and what the fuse in it lets pass."""
    return max(design.a_string_a, told.string_fuse_a or 0.0)


def _wired(number: int, told: StringsSpec) -> ArrayWiring:
    try:
        design = strings(told)
    except InputError:
        return ArrayWiring(number, told, None)
    warm_c, each_a = told.hottest_c + told.over_air_k, string_must_a(design, told)
    a_string = direct_cable(told.rules, each_a, warm_c, told.parallel)
    together_a = design.conductor_a * told.parallel
    together = direct_cable(told.rules, together_a, warm_c, 1) if told.parallel > 1 else None
    drop = None
    if told.length_m is not None and a_string is not None:
        drop = drop_share(a_string, told.length_m, told.module.working_a, design.series * told.module.working_v)
    return ArrayWiring(number, told, design, a_string, together, together_a, warm_c, drop)
