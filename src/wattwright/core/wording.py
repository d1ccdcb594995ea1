"""Sentences built from data: a template in some language, and values formatted only when shown.

Rooms register their English templates beside the code that uses them; another language registers the same keys.
A template names a value and how to show it: ``{missing:count} of {total:count} intervals``.
"""

from collections.abc import Mapping
from string import Formatter
from typing import Any

from wattwright.core.errors import OwnFault
from wattwright.core.show import Show

_TEMPLATES: dict[str, dict[str, str]] = {"en": {}}


def register(language: str, templates: Mapping[str, str]) -> None:
    """Add templates of a language by key; raises OwnFault when a key is taken by another text."""
    known = _TEMPLATES.setdefault(language, {})
    for key, template in templates.items():
        if known.setdefault(key, template) != template:
            raise OwnFault(f'two texts for "{key}" in {language}')


def keys(language: str = "en") -> frozenset[str]:
    """Return the keys that have a template in ``language``."""
    return frozenset(_TEMPLATES.get(language, {}))


def template(key: str, language: str = "en") -> str:
    """Return the template for ``key``, in English where ``language`` has none; raises OwnFault for an unknown key."""
    english = _TEMPLATES["en"]
    text = _TEMPLATES.get(language, {}).get(key, english.get(key))
    if text is None:
        raise OwnFault(f'no text for "{key}"')
    return text


def say(key: str, data: Mapping[str, object], show: Show) -> str:
    """Return the sentence for ``key`` with ``data`` shown in the way of ``show``."""
    return fill(template(key, show.language), data, show)


def fill(text: str, data: Mapping[str, object], show: Show) -> str:
    """Return a template that has no key of its own, with ``data`` shown in the way of ``show``."""
    return _Showing(show).vformat(text, (), data)


class _Showing(Formatter):
    """A formatter whose format specs are ways of showing: ``{power:power}``, ``{when:time}``."""

    def __init__(self, show: Show) -> None:
        self._show = show

    def format_field(self, value: Any, format_spec: str) -> str:
        return self._show.value(value, format_spec or "text")
