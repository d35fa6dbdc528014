"""The program's door: `python -m app [PROJECT]` opens the window, `python -m app guide …` writes the guide."""

from __future__ import annotations

import argparse
import sys


def main(arguments: list[str]) -> int:
    """Open the window or run a subcommand; returns the exit code."""
    if arguments[:1] == ["guide"]:
        return _guide(arguments)
    from app.start import run_window

    return run_window(arguments)


def _guide(arguments: list[str]) -> int:
    from app.guide import command

    parser = argparse.ArgumentParser(prog="python -m app")
    command.add_parser(parser.add_subparsers(required=True))
    asked = parser.parse_args(arguments)
    return command.run(asked)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
