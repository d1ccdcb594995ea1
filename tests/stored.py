"""Pictures held against small ones that lie in the repository: tolerant of how a machine smooths edges, not of what is shown.

With the environment variable ``WATTWRIGHT_STORE_PICTURES`` set, what is drawn now is kept instead, to be looked at and committed.
"""

import io
import os
from pathlib import Path

import numpy as np
from PIL import Image

WIDTH_PX = 480
BLOCK_PX = 6
MOST_SHADES = 20
"""By how many of 256 shades the mean of a block may differ: common practice, no source; edges smoothed otherwise stay below."""
MOST_BLOCKS = 0.004
"""The share of blocks that may differ more: a word less in a picture is above it."""
MOST_HEIGHT = 0.02


def held(path: Path, content: bytes) -> None:
    """Hold a PNG picture against the stored one; raises AssertionError where they differ, or where none is stored."""
    drawn = small(content)
    if os.environ.get("WATTWRIGHT_STORE_PICTURES"):
        path.parent.mkdir(exist_ok=True)
        drawn.quantize(16).save(path, optimize=True)
    assert path.is_file(), f"no picture is stored as {path.name}; look at it and keep it with WATTWRIGHT_STORE_PICTURES=1"
    stored = Image.open(path).convert("L")
    assert abs(drawn.height / stored.height - 1.0) <= MOST_HEIGHT, f"{path.name}: {drawn.size} against {stored.size}"
    share = differing(drawn, stored)
    assert share <= MOST_BLOCKS, f"{path.name}: {share:.1%} of it looks otherwise"


def small(content: bytes) -> Image.Image:
    """A picture in shades of grey, as wide as those that are stored."""
    whole = Image.open(io.BytesIO(content)).convert("L")
    return whole.resize((WIDTH_PX, max(1, round(whole.height * WIDTH_PX / whole.width))), Image.Resampling.BOX)


def differing(one: Image.Image, other: Image.Image) -> float:
    """The share of blocks whose mean shade differs."""
    height = min(one.height, other.height) // BLOCK_PX
    across = WIDTH_PX // BLOCK_PX
    means = [
        np.asarray(image, dtype=float)[: height * BLOCK_PX, : across * BLOCK_PX]
        .reshape(height, BLOCK_PX, across, BLOCK_PX)
        .mean(axis=(1, 3))
        for image in (one, other)
    ]
    return float(np.mean(np.abs(means[0] - means[1]) > MOST_SHADES))
