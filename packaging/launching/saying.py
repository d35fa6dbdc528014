"""The one way the two commands speak to a person."""

from __future__ import annotations

import sys
from collections.abc import Callable


class SetupError(Exception):
    """What a person must do before it can go on, in one sentence."""


def say(words: str) -> None:
    """Print a line at once, so that it stands before what a child process prints."""
    print(words, flush=True)


def spoken(work: Callable[[], int]) -> int:
    """Run a command; turn what stops it into one line on standard error and exit code 1, or 130 for Ctrl-C."""
    try:
        return work()
    except SetupError as stop:
        print(stop, file=sys.stderr)
        return 1
    except OSError as error:
        print(f"This start could not go on: {error}.", file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        print("Stopped. The next start takes up what is missing.", file=sys.stderr)
        return 130
