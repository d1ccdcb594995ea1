"""JSON for programs: every document names its schema, money is a decimal string, NaN is null."""

import json
import math
from datetime import date
from decimal import Decimal
from enum import Enum
from typing import Any


def to_json(schema: str, content: dict[str, Any]) -> str:
    """Return ``content`` as a JSON text that begins with its schema name, such as ``wattwright.demand/1``."""
    return json.dumps({"schema": schema, **plain(content)}, indent=2, ensure_ascii=False)


def plain(value: Any) -> Any:
    """Return ``value`` as JSON's own kinds: Decimals and dates as text, arrays as lists, numbers that are not finite as null.

    Nought has no sign.
    """
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, float):
        return value + 0.0 if math.isfinite(value) else None
    if isinstance(value, Decimal | date):
        return str(value)
    if isinstance(value, dict):
        return {str(key): plain(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [plain(one) for one in value]
    if hasattr(value, "tolist"):
        return plain(value.tolist())
    return value
