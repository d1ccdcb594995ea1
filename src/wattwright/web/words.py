"""The desk's own sentences, kept apart from the code so that they can be translated."""

import tomllib
from importlib.resources import files

from wattwright.core.show import Show
from wattwright.core.wording import register, say

_TEXTS = tomllib.loads(files("wattwright.web").joinpath("desk_en.toml").read_text(encoding="utf-8"))
register("en", {f"desk.{key}": text for key, text in _TEXTS.items()})


def words(key: str, show: Show | None = None, **data: object) -> str:
    """Return the sentence for `key` of the desk, its values shown the way of `show`."""
    return say(f"desk.{key}", data, show or Show())
