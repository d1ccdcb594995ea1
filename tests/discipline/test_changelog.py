"""The changelog and the version say the same, and each news fragment can be read."""

import re
from pathlib import Path

from wattwright import __version__

KINDS = {"added", "changed", "fixed", "removed"}


def test_changelog_heads_with_the_version(root: Path) -> None:
    """The first version heading of CHANGELOG.md is the package's version."""
    headings = re.findall(r"^## (\S+)", (root / "CHANGELOG.md").read_text(encoding="utf-8"), re.MULTILINE)
    assert headings[0] == __version__


def test_fragments_have_kind_and_sentence(root: Path) -> None:
    """A fragment is named topic.kind.md, the kind being one of four, and holds at least one sentence."""
    fragments = [path for path in (root / "changelog.d").iterdir() if path.name != "README.md"]
    odd = [
        path.name
        for path in fragments
        if not re.fullmatch(rf"[\w-]+\.({'|'.join(KINDS)})\.md", path.name)
        or not path.read_text(encoding="utf-8").strip().endswith(".")
    ]
    assert fragments
    assert odd == []
