"""What a person sees when something is wrong: sentences, or JSON, and never a traceback."""

import json
import os
import sys
import traceback
from unicodedata import category

from wattwright.core.errors import OwnFault, WattwrightError


def tell(error: object, *, as_json: bool) -> int:
    """Write a known error to standard error and return the exit code."""
    known = error if isinstance(error, WattwrightError) else OwnFault(str(error))
    # What a file or its name holds must not command the terminal.
    sentences = "".join(one for one in str(known) if one == "\n" or category(one) != "Cc")
    sys.stderr.write(json.dumps(known.as_json(), indent=2, ensure_ascii=False) + "\n" if as_json else f"{sentences}\n")
    return known.exit_code


def own_fault(error: Exception, *, as_json: bool) -> int:
    """Say that the fault is ours, where it happened, and how to show the rest; return 3."""
    last = traceback.extract_tb(error.__traceback__)[-1:]
    where = f" in {last[0].name}, line {last[0].lineno}" if last else ""
    sentence = (
        f"This is a fault of wattwright, not of yours: {type(error).__name__}{where}. No file is half-written. "
        "Set WATTWRIGHT_DEBUG=1 and run it again to see the whole of it."
    )
    if os.environ.get("WATTWRIGHT_DEBUG"):
        traceback.print_exception(error)
    return tell(OwnFault(sentence), as_json=as_json)
