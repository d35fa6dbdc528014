"""XML read with its teeth drawn: no entities, nothing fetched, bounded depth and number of elements."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from xml.parsers import expat

MOST_ELEMENTS = 300_000
MOST_DEPTH = 200


class XmlError(ValueError):
    """A text that is no XML, or one that could do harm; the message says which, for a person."""


@dataclass(slots=True)
class Element:
    """An element: its name without the namespace, its attributes likewise, its children and its own text."""

    name: str
    attributes: dict[str, str]
    line: int
    children: list[Element] = field(default_factory=list)
    text: str = ""

    def get(self, name: str, default: str = "") -> str:
        """Return an attribute's value."""
        return self.attributes.get(name, default)

    def walk(self) -> Iterator[Element]:
        """Return this element and all below it, in the order of the file."""
        waiting = [self]
        while waiting:
            at = waiting.pop()
            yield at
            waiting.extend(reversed(at.children))


def parse_xml(data: bytes) -> Element:
    """Parse a document; raises XmlError."""
    reader = _Reader()
    parser = expat.ParserCreate(namespace_separator=" ")
    parser.buffer_text = True
    parser.StartElementHandler = lambda name, attributes: reader.start(name, attributes, parser.CurrentLineNumber)
    parser.EndElementHandler = reader.end
    parser.CharacterDataHandler = reader.characters
    parser.EntityDeclHandler = _refuse_entity
    parser.ExternalEntityRefHandler = _refuse_link
    try:
        parser.Parse(data, True)
    except expat.ExpatError as error:
        raise XmlError(f"line {error.lineno} is not XML ({expat.ErrorString(error.code)})") from error
    if reader.root is None:
        raise XmlError("there is nothing in it")
    return reader.root


class _Reader:
    def __init__(self) -> None:
        self.root: Element | None = None
        self.path: list[Element] = []
        self.count = 0

    def start(self, name: str, attributes: dict[str, str], line: int) -> None:
        self.count += 1
        if self.count > MOST_ELEMENTS:
            raise XmlError(f"it has more than {MOST_ELEMENTS:,} elements; export the shapes alone")
        if len(self.path) >= MOST_DEPTH:
            raise XmlError(f"line {line} is nested deeper than {MOST_DEPTH} elements; ungroup the shapes")
        made = Element(_local(name), {_local(k): v for k, v in attributes.items()}, line)
        if self.path:
            self.path[-1].children.append(made)
        else:
            self.root = made
        self.path.append(made)

    def end(self, _name: str) -> None:
        self.path.pop()

    def characters(self, text: str) -> None:
        if self.path and self.path[-1].name == "style":
            self.path[-1].text += text


def _local(name: str) -> str:
    return name.rpartition(" ")[2]


def _refuse_entity(*_ignored: object) -> None:
    raise XmlError("it defines entities, which a drawing does not need; save it again as plain SVG")


def _refuse_link(*_ignored: object) -> int:
    raise XmlError("it refers to another file, which is not fetched; save it again as plain SVG")
