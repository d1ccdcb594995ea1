"""What a form of the desk brings: values and files, taken whole, and refused where the form is not one of the desk's own."""

import secrets
from collections.abc import Mapping
from dataclasses import dataclass, replace

from fastapi import Request
from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException

from wattwright.core.errors import Fault, Place, StoreError
from wattwright.store.named import too_long
from wattwright.web.failing import Failing, failing_of
from wattwright.web.guard import TooMuch

_MOST_FILES, _MOST_VALUES = 60, 600
_MOST_TEXT = 8 * 1024 * 1024
"""Of one value: far more than the longest text that is taken, so that one too long is told of and stays as it was typed."""
_TOO_LONG = "exceeded maximum size"


@dataclass(frozen=True, slots=True)
class Posted:
    """Values by name, and files by the names that the browser gave them."""

    values: Mapping[str, str]
    files: Mapping[str, bytes]

    @property
    def base(self) -> int:
        """The revision that the page showed. Raises StoreError where it is no number."""
        return self.number("base")

    def number(self, name: str) -> int:
        """A whole number that the desk itself wrote into the form. Raises StoreError where it is none."""
        text = self.values.get(name, "")
        if not (text.isascii() and text.isdigit() and len(text) < 10):
            raise StoreError.one(
                "desk.form", Place(field=name), found="no number", wanted="a form of the desk as it was made",
                next_step="Load the page again and send it anew.",
            )  # fmt: skip
        return int(text)

    def placed(self, entry: str, at: int) -> "Posted":
        """The same, what was typed for a new entry of a list named for the place where it would stand now.

        The page may be older than the job, and have named its fields for the place that was free then.
        """
        begins = f"{entry}."
        numbers = {name.removeprefix(begins).partition(".")[0] for name in self.values if name.startswith(begins)}
        if len(numbers) != 1 or not _is_place(seen := numbers.pop()):
            return self
        was, now = f"{begins}{seen}.", f"{begins}{at}."
        values = {now + name.removeprefix(was) if name.startswith(was) else name: one for name, one in self.values.items()}
        return replace(self, values=values)


def _is_place(text: str) -> bool:
    return text.isascii() and text.isdigit() and len(text) < 5


async def posted(request: Request) -> Posted:
    """What a request brings. A body that is no form is an HTTP error 400, which has a page of its own.

    Raises TooMuch where a value is longer than anything that could be shown again.
    """
    try:
        async with request.form(max_files=_MOST_FILES, max_fields=_MOST_VALUES, max_part_size=_MOST_TEXT) as form:
            values = {name: value for name, value in form.multi_items() if isinstance(value, str)}
            files: dict[str, bytes] = {}
            for _, value in form.multi_items():
                if isinstance(value, UploadFile) and value.filename:
                    files[_free(value.filename, files)] = await value.read()
    except HTTPException as error:
        if _TOO_LONG in error.detail:
            raise TooMuch(failing_of(413, *too_long(f"more than {_MOST_TEXT // 1024:,} kB", "the text").faults)) from error
        raise
    except (ValueError, UnicodeDecodeError) as error:
        raise HTTPException(400) from error
    return Posted(values, files)


def foreign(given: Posted, token: str) -> Failing | None:
    """The refusal of a form that this desk did not make, None for one of its own."""
    if secrets.compare_digest(given.values.get("token", "").encode(), token.encode()):
        return None
    fault = Fault(
        "desk.token",
        Place(field="the form"),
        found="a form that this desk did not make",
        wanted="one of its own",
        next_step="Load the page again and make the change anew. Nothing was changed.",
    )
    return failing_of(403, fault)


def _free(name: str, taken: Mapping[str, bytes]) -> str:
    """The name, marked where the same one came before."""
    while name in taken:
        name = f"again-{name}"
    return name
