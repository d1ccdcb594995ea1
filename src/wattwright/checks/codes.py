"""Codes and hashes against the standards that define them."""

from functools import partial
from pathlib import Path

from wattwright.checks.registry import Confidence, register
from wattwright.core.files import source_of
from wattwright.core.quality import Quality

_ESPI = "NAESB REQ.21 ESPI, published schema, QualityOfReading"

for _code, _number in (
    (Quality.VALID, 0),
    (Quality.MANUALLY_EDITED, 7),
    (Quality.ESTIMATED_REFERENCE_DAY, 8),
    (Quality.ESTIMATED_LINEAR, 9),
    (Quality.QUESTIONABLE, 10),
    (Quality.RAW, 14),
    (Quality.VALIDATED, 17),
    (Quality.REVENUE, 19),
):
    register(
        f"quality.{_code.name.lower().replace('_', '-')}",
        f"code of a reading that is {_code.name.lower().replace('_', ' ')}",
        unit="",
        source=_ESPI,
        confidence=Confidence.PUBLISHED,
        published=float(_number),
        ours=partial(float, _code),
    )

register(
    "files.sha-256",
    "SHA-256 of the three letters abc, first 16 digits",
    unit="",
    source="FIPS 180-4, example of SHA-256",
    confidence=Confidence.FROM_MEMORY,
    published="ba7816bf8f01cfea",
    ours=lambda: source_of(Path("abc"), b"abc").sha256[:16],
)
