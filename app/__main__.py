"""The program's door: `python -m app [PROJECT]` opens the window, `python -m app guide|sheet|picture …` writes."""

from __future__ import annotations

import builtins
import gc
import importlib
import sys

WITHOUT_WINDOW = {"guide": "app.guide.command", "picture": "app.picture", "sheet": "app.sheet.command"}


def main(arguments: list[str]) -> int:
    """Open the window or run a subcommand; returns the exit code."""
    if arguments[:1] and arguments[0] in WITHOUT_WINDOW:
        return _without_window(arguments)
    gc.disable()  # until the first picture: collecting finds nothing while everything is being made
    plain_import = builtins.__import__
    import PySide6.QtCore  # noqa: F401

    # Qt for Python's own import reads the source of every module, for a way of writing that is not used here.
    builtins.__import__ = plain_import
    _import_msgspec()
    from app.start import run_window

    return run_window(arguments)


def _import_msgspec() -> None:
    """Import msgspec with what typing itself has; typing_extensions holds no more for it and takes 4 ms to import."""
    if "typing_extensions" in sys.modules:
        return
    sys.modules["typing_extensions"] = None  # so Python marks what may not be imported
    try:
        import msgspec  # noqa: F401
    finally:
        del sys.modules["typing_extensions"]


def _without_window(arguments: list[str]) -> int:
    import argparse

    parser = argparse.ArgumentParser(prog="python -m app")
    importlib.import_module(WITHOUT_WINDOW[arguments[0]]).add_parser(parser.add_subparsers(required=True))
    asked = parser.parse_args(arguments)
    code: int = asked.run(asked)
    return code


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
