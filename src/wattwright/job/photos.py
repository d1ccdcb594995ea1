"""Photos of plates: taken from anywhere, kept as plain pictures that hold nothing but what is seen."""

import io
import warnings
from typing import Final

from wattwright.core.errors import InputError, Place

MOST_BYTES: Final = 25 * 2**20
MOST_PIXELS: Final = 60_000_000
"""Beyond what telephones take; a small file may claim more, to fill the memory."""
LONGEST_PX: Final = 1600
"""Letters of a plate can be read at this; common practice, no source."""
_KINDS: Final = ("JPEG", "PNG")
_QUALITY: Final = 80


def cleaned(content: bytes, name: str) -> bytes:
    """Return a photo as a JPEG file of its own: decoded as a whole, upright, made small, written anew without anything beside it.

    So no place, time, owner or hidden part of a photo is kept. Raises InputError for what is no JPEG or PNG, is damaged, or is
    too large.
    """
    from PIL import Image, ImageOps

    if len(content) > MOST_BYTES:
        raise _refused(name, f"{len(content) / 2**20:.0f} MB")
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error")  # what its library warns of is refused
            with Image.open(io.BytesIO(content), formats=_KINDS) as photo:
                if photo.width * photo.height > MOST_PIXELS:
                    raise _refused(name, f"{photo.width} by {photo.height} points")
                photo.draft("RGB", (2 * LONGEST_PX, 2 * LONGEST_PX))
                upright = ImageOps.exif_transpose(photo).convert("RGB")
    except InputError:
        raise
    except Exception as error:  # a library that reads hostile files may raise anything
        raise _refused(name, "what is no photo, or a damaged one") from error
    upright.thumbnail((LONGEST_PX, LONGEST_PX))
    bare = Image.new("RGB", upright.size)
    bare.paste(upright)
    out = io.BytesIO()
    bare.save(out, "JPEG", quality=_QUALITY, optimize=True)
    return out.getvalue()


def _refused(name: str, found: str) -> InputError:
    wanted = f"a JPEG or PNG photo of {MOST_BYTES // 2**20} MB and {MOST_PIXELS // 1_000_000} million points at most"
    step = "Take the photo anew, or save it as JPEG. Nothing was changed."
    return InputError.one("job.photo", Place(file=name), found=found, wanted=wanted, next_step=step)
