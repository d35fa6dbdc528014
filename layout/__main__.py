"""The headless commands: `python -m layout plan|makeable|lists|trace|import|export …`."""

from __future__ import annotations

import argparse
import contextlib
import importlib
import os
import sys

COMMANDS = {
    "plan": "layout.planning.command",
    "makeable": "layout.planning.makeable_command",
    "lists": "layout.planning.lists_command",
    "trace": "layout.formats.pictures.command",
    "import": "layout.formats.import_command",
    "export": "layout.planning.export_command",
}


def main(arguments: list[str] | None = None) -> int:
    """Run one headless command; returns its exit code."""
    arguments = sys.argv[1:] if arguments is None else arguments
    parser = argparse.ArgumentParser(prog="python -m layout", description="Plateful without a window")
    commands = parser.add_subparsers(required=True, metavar="COMMAND")
    asked = arguments[0] if arguments and arguments[0] in COMMANDS else None
    for module in [COMMANDS[asked]] if asked else COMMANDS.values():
        importlib.import_module(module).add_parser(commands)
    args = parser.parse_args(arguments)
    code: int = args.run(args)
    return code


def _leave(code: int) -> None:
    """End at once: taking compiled loops down in order takes half a second, and everything is written by now."""
    with contextlib.suppress(OSError):
        sys.stdout.flush()
        sys.stderr.flush()
    os._exit(code)


if __name__ == "__main__":
    _leave(main())
