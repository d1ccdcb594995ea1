"""What was asked by options as a spec, its faults told as those of the options that a person wrote."""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from typing import TypeVar

from pydantic import BaseModel

from wattwright.core.errors import Fault, InputError, Place, quoted
from wattwright.core.specfile import SpecText, validated

Model = TypeVar("Model", bound=BaseModel)

_NOT_OPTIONS = ("", "appliance")
_BOUNDS = {f"spec.{one}" for one in ("greater_than", "greater_than_equal", "less_than", "less_than_equal")}


def spec_of(asked: dict[str, object], model: type[Model]) -> Model:
    """Return options, named as the entries of a spec, as that spec; raises InputError with every fault."""
    return validated(SpecText("", "", asked, {}), model, InputError, of_code=True)


@contextmanager
def as_options(written: Mapping[str, object]) -> Iterator[None]:
    """Tell the faults of entries as those of the options they were ``written`` by."""
    try:
        yield
    except InputError as error:
        raise InputError(_as_option(one, written) for one in error.faults) from error


def _as_option(fault: Fault, written: Mapping[str, object]) -> Fault:
    """Return a fault with the option and its text in the place of entry and value, since that is what the person wrote."""
    name = fault.place.field.rpartition(".")[2]
    if name in _NOT_OPTIONS:
        return fault
    found = quoted(written[name]) if fault.code in _BOUNDS else fault.found
    return replace(fault, place=Place(field=f"--{name.replace('_', '-')}"), found=found)
