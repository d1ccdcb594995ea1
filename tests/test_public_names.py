"""The one door: what it lists is there, has its documentation, and comes from the home it names."""

import inspect
import subprocess
import sys

import pytest

import wattwright
from wattwright.core import errors


@pytest.mark.parametrize("name", sorted(set(wattwright.__all__) - {"__version__"}))
def test_each_name_is_there_and_documented(name: str) -> None:
    """A listed name can be had, is what its home defines, and says what it is."""
    thing = getattr(wattwright, name)
    assert thing.__name__ == name
    assert thing.__module__.startswith("wattwright.")
    assert inspect.getdoc(thing)


def test_every_error_has_a_place_at_the_door() -> None:
    """Whoever calls the library can catch each error by its public name."""
    family = {one for one in vars(errors).values() if inspect.isclass(one) and issubclass(one, errors.WattwrightError)}
    assert {one.__name__ for one in family} <= set(wattwright.__all__)


def test_unknown_name() -> None:
    """A name that is not there is refused with those that are."""
    with pytest.raises(AttributeError, match="read_record"):
        _ = wattwright.read_recrod


def test_types_and_homes_agree() -> None:
    """What type checkers see at the door is what is there: the imports under TYPE_CHECKING name the same homes."""
    source = inspect.getsource(wattwright)
    for home, names in wattwright._HOMES.items():
        assert f"from {home} import" in source
        for name in names:
            assert f"{name} as {name}" in source
    assert sorted(dir(wattwright)) == sorted(wattwright.__all__)


def test_the_door_itself_loads_nothing() -> None:
    """Importing the package alone loads no room and no heavy library."""
    program = "import sys, wattwright; print([m for m in sys.modules if m.startswith('wattwright.') or m == 'numpy'])"
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
