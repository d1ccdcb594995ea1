"""The example files of the project: beside the sources in a checkout, inside the package once it is installed."""

from pathlib import Path

from wattwright.core.errors import OwnFault

_INSTALLED = Path(__file__).parent / "examples"
_CHECKOUT = Path(__file__).parents[3] / "examples"


def example(name: str) -> Path:
    """Return the path of an example such as ``tariffs/worked-bill-1.toml``; raises OwnFault where it is not."""
    for folder in (_INSTALLED, _CHECKOUT):
        if (folder / name).is_file():
            return folder / name
    raise OwnFault(f"the example {name} is not installed")
