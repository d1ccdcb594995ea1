"""A job's name and place on the lists, read from the head of its text and no further."""

import tomllib

import pytest

from wattwright.store.jobs import Listed, Revision
from wattwright.web.titles import title


def _listed(text: str) -> Listed:
    return Listed("ab12", "", Revision("ab12", 1, None, None, 0, "", text, {}))


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ('name = "Mill"\nplace = "Hill"\n[site]\nzone = "UTC"\nname = "no"\n', ("Mill", "Hill")),
        ('name = "Mill"\r\n\r\n[site]\r\nplace = "no"\r\n', ("Mill", "")),
        ('note = """\n[site]\n"""\nname = "Mill"\n[site]\n', ("Mill", "")),
        ("tags = [\n[1],\n]\nname = 'Mill'\n", ("Mill", "")),
        ("[site]\nname = 'no'\n", ("ab12", "")),
        ("= [", ("ab12", "")),
        ("", ("ab12", "")),
    ],
)
def test_name_and_place(text: str, told: tuple[str, str]) -> None:
    """They stand before every table, wherever a line begins with a bracket; of what is no TOML only the id is known."""
    assert title(_listed(text)) == told


def test_of_a_long_text_only_the_head_is_read(monkeypatch: pytest.MonkeyPatch) -> None:
    """A list of a hundred long jobs reads a hundred lines."""
    read = list[int]()
    loads = tomllib.loads

    def measured(text: str) -> dict[str, object]:
        read.append(len(text))
        return loads(text)

    monkeypatch.setattr(tomllib, "loads", measured)
    assert title(_listed('name = "Mill"\n' + "[[loads]]\nid = 'x'\n" * 9000)) == ("Mill", "")
    assert read == [len('name = "Mill"')]
