"""Each picture as it was looked at: held against a small one in the repository, on light and, for some, on dark paper."""

import io
from dataclasses import replace
from pathlib import Path

import pytest
from PIL import Image

from tests.charts import gallery
from tests.stored import MOST_BLOCKS, differing, held, small
from wattwright.charts.render import png, titled

STORED = Path(__file__).parent / "stored"
ALL = (*gallery.MAKERS, gallery.hidden, gallery.simulated)


@pytest.mark.parametrize("make", ALL, ids=lambda make: make.__name__)
def test_picture_as_it_was_looked_at(make) -> None:
    """The picture with its title and source looks as the stored one does."""
    held(STORED / f"{make.__name__}.png", png(titled(make()), 1.0))


@pytest.mark.parametrize("make", [gallery.heat, gallery.peaks], ids=lambda make: make.__name__)
def test_dark_picture_as_it_was_looked_at(make) -> None:
    """The same on dark paper, and in the form for a telephone."""
    held(STORED / f"{make.__name__}-dark.png", png(make().narrow, 1.0, "dark"))


def test_what_is_told_apart() -> None:
    """Another title is seen; a picture moved by a fifth of a pixel, or saved again with fewer shades, is the same one."""
    picture = gallery.duration()
    drawn = png(titled(picture), 1.0)
    other = png(titled(replace(picture, title="Another result altogether")), 1.0)
    assert differing(small(drawn), small(other)) > MOST_BLOCKS
    assert differing(small(drawn), small(png(titled(gallery.profile()), 1.0))) > MOST_BLOCKS
    whole = Image.open(io.BytesIO(drawn)).convert("RGB")
    moved = whole.transform(whole.size, Image.Transform.AFFINE, (1, 0, 0.2, 0, 1, 0.2), Image.Resampling.BILINEAR)
    for same in (moved, whole.quantize(32)):
        out = io.BytesIO()
        same.save(out, "PNG")
        assert differing(small(drawn), small(out.getvalue())) <= MOST_BLOCKS


def test_what_is_not_stored_is_asked_for(tmp_path: Path) -> None:
    """A picture that nobody looked at yet does not pass."""
    with pytest.raises(AssertionError, match="look at it and keep it"):
        held(tmp_path / "new.png", png(gallery.duration().spec, 1.0))
