"""The type of what writes a file for a test."""

from collections.abc import Callable
from pathlib import Path

Write = Callable[[str | bytes], Path]
