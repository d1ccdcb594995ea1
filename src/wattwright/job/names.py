"""Ids in a job file."""

import re
from typing import Annotated

from pydantic import AfterValidator, Field


def _is_id(text: str) -> str:
    if not re.fullmatch(r"[a-z][a-z0-9-]*", text):
        raise ValueError("small letters, digits and hyphens, beginning with a letter|Write for example water-heater.")
    return text


Id = Annotated[str, AfterValidator(_is_id), Field(description="stable id: small letters, digits and hyphens")]
