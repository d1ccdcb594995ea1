"""What every verb is spared: wrong calls under --json, Ctrl-C and readers that have gone are told in one voice."""

import errno
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import typer
from typer.core import TyperGroup

_WRONG_CALL: Any = typer.BadParameter.__base__  # typer's usage error, which it does not export itself


class Verbs(TyperGroup):
    """The verbs, with what typer would settle in ways of its own: wrong calls under --json, Ctrl-C, a reader that has gone."""

    def make_context(self, *given: Any, **more: Any) -> Any:
        """Return the context of a call, wrong ones told in our voice."""
        with _one_voice():
            return super().make_context(*given, **more)

    def invoke(self, ctx: Any) -> Any:
        """Run the verb, what ends it told in our voice."""
        with _one_voice():
            done = super().invoke(ctx)
            sys.stdout.flush()
            return done


@contextmanager
def _one_voice() -> Iterator[None]:
    from wattwright.core.errors import Cancelled, UsageError, WattwrightError

    try:
        yield
    except _WRONG_CALL as error:
        if "--json" not in sys.argv:
            raise
        raise UsageError(error.format_message()) from error
    except KeyboardInterrupt as error:
        raise Cancelled("Stopped. What was finished stays; no file is half-written.") from error
    except OSError as error:
        if not isinstance(error, BrokenPipeError) and error.errno != errno.ENOSPC:
            raise
        if error.errno == errno.ENOSPC:
            # Whatever is still to be written goes nowhere, so that closing down does not fail as well.
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
            raise WattwrightError("There is no space left where the output goes. Free some, or write it elsewhere.") from error
        # The reader, such as head, has gone; nothing is wrong, and what is still to be written goes nowhere.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        raise typer.Exit from error
