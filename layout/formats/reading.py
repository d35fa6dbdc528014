"""From a path or bytes to a checked tree of JSON values; every refusal is one sentence with the file's name in it."""

from __future__ import annotations

import re
import stat
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import msgspec

from layout.formats.fields import Fields, Steps, done
from layout.formats.values import FieldError, quoted
from layout.model.errors import FileError

if TYPE_CHECKING:
    import json

MOST_BYTES = 16 * 2**20  # a project of 300 dies with 600 corners each has 8 MB
MOST_DIGITS = 4000  # Python refuses to turn longer digit strings into whole numbers
VERSION = 1
HALF_WORD = re.compile(r"[-+.\w\\]{0,8}\s*")  # all that may be left of a file that was cut off in a number or a word

T = TypeVar("T")


def read_bytes(path: Path) -> bytes:
    """Read a whole file of at most `MOST_BYTES` bytes; raises FileError."""
    name = one_line(str(path))
    try:
        # A pipe or a device would block or never end, so only plain files are opened.
        mode = path.stat().st_mode
        if stat.S_ISDIR(mode):
            raise FileError(f"{name}: this is a folder; give the file inside it")
        if not stat.S_ISREG(mode):
            raise FileError(f"{name}: this is not a plain file; give a file")
        with path.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
    except (OSError, ValueError) as error:
        raise FileError(f"{name}: {_why_unreadable(error)}") from error
    if len(data) > MOST_BYTES:
        raise FileError(f"{name}: larger than {MOST_BYTES // 2**20} MB, which no project or plan is; check the file")
    return data


def parse(data: bytes, name: str, kind: str, read: Callable[[Fields], T]) -> T:
    """Decode a file of a `kind` ("project", "plan") and hand its fields to `read`; raises FileError."""
    name = one_line(name)
    return done(parse_tree(_decode(data, name), name, kind, lambda fields: _at_once(read, fields)))


def parse_tree(tree: Any, name: str, kind: str, read: Callable[[Fields], Steps[T]]) -> Steps[T]:
    """Hand the fields of a decoded file to `read`, which does a little at every step; raises FileError."""
    try:
        fields = Fields(tree)
        _check_header(fields, kind)
        return (yield from read(fields))
    except FieldError as error:
        raise FileError(one_line(f"{name}: {error}")) from error


def _at_once(read: Callable[[Fields], T], fields: Fields) -> Steps[T]:
    yield
    return read(fields)


def one_line(text: str) -> str:
    """Make a text fit for one line: line breaks and other control signs are shown as escapes."""
    return "".join(c if c.isprintable() else c.encode("unicode_escape").decode() for c in text)


def _check_header(fields: Fields, kind: str) -> None:
    found = fields.text("format")
    if found != f"plateful-{kind}":
        raise FieldError("format", f'this is no {kind}: it says {quoted(found)}, "plateful-{kind}" is needed')
    version = fields.whole("version", least=1, most=2**31)
    if version > VERSION:
        newer = f"version {version} was made by a newer Plateful, this one reads version {VERSION}"
        raise FieldError("version", f"{newer}; update Plateful to open it")


def _decode(data: bytes, name: str) -> Any:
    try:
        return msgspec.json.decode(data)
    except (ValueError, RecursionError):
        return _decode_slowly(data, name)


def _decode_slowly(data: bytes, name: str) -> Any:
    """What the strict and quick reader does not take: either Python's own does, or it can say where the fault lies."""
    import json

    text = _text(data, name)
    if not text.strip():
        raise FileError(f"{name}: the file is empty; open another or an older copy of it")
    try:
        return json.loads(text, parse_int=_whole_number)
    except json.JSONDecodeError as error:
        raise FileError(f"{name}: {_where_broken(text, error)}") from error
    except RecursionError as error:
        raise FileError(f"{name}: the values are nested too deeply for a project or plan; check the file") from error


def _text(data: bytes, name: str) -> str:
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        where = f"byte {error.start} is no UTF-8"
        raise FileError(f"{name}: this is not a text file ({where}); choose a project or plan file") from error


def _whole_number(digits: str) -> int | float:
    return int(digits) if len(digits) <= MOST_DIGITS else float(digits)


def _where_broken(text: str, error: json.JSONDecodeError) -> str:
    place = f"line {error.lineno}, column {error.colno}"
    unended = error.msg.startswith("Unterminated string") or (error.pos > 0 and HALF_WORD.fullmatch(text, error.pos))
    if unended:
        return f"the file is cut off: it ends inside what begins at {place}; open another or an older copy of it"
    return f"not readable as JSON at {place}, near {quoted(text[error.pos : error.pos + 20])}; mend or replace the file"


def _why_unreadable(error: OSError | ValueError) -> str:
    if isinstance(error, FileNotFoundError):
        return "there is no such file; check the name and the folder"
    if isinstance(error, PermissionError):
        return "no permission to read this file; ask its owner or change its rights"
    why = (isinstance(error, OSError) and error.strerror) or str(error)
    return f"the file cannot be read ({why}); check the disk and the name"
