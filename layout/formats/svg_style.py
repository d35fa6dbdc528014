"""The little of CSS that decides whether a shape is drawn at all, and whether it is filled."""

from __future__ import annotations

import re
from dataclasses import dataclass

from layout.formats.safe_xml import Element

_PROPERTIES = ("display", "visibility", "fill", "transform")
_RULE = re.compile(r"([^{}]{1,2000})\{([^{}]{0,4000})\}")
_COMMENT = re.compile(r"/\*.*?\*/", re.DOTALL)


@dataclass(frozen=True, slots=True)
class Style:
    """What an element inherits."""

    visible: bool = True
    filled: bool = True


class StyleSheet:
    """Rules for a class, an id or an element name; other selectors are passed over."""

    def __init__(self, root: Element) -> None:
        self.rules: dict[str, dict[str, str]] = {}
        for element in root.walk():
            if element.name == "style":
                self._read(element.text)

    def _read(self, text: str) -> None:
        for selectors, body in _RULE.findall(_COMMENT.sub("", text)):
            for selector in selectors.split(","):
                self.rules.setdefault(selector.strip(), {}).update(declarations(body))

    def of(self, element: Element) -> dict[str, str]:
        """Return the properties of an element: attributes, then rules (name, class, id), then its own style."""
        made = {p: element.attributes[p].strip() for p in _PROPERTIES[:3] if p in element.attributes}
        names = [element.name, *(f".{c}" for c in element.get("class").split()), f"#{element.get('id')}"]
        for name in names:
            made |= self.rules.get(name, {})
            made |= self.rules.get(f"{element.name}{name}", {}) if name[0] in ".#" else {}
        return made | declarations(element.get("style"))


def declarations(text: str) -> dict[str, str]:
    """Return the declarations that matter here."""
    pairs = (part.partition(":") for part in text.split(";"))
    found = {k.strip().lower(): v.replace("!important", "").strip() for k, _, v in pairs}
    return {k: v for k, v in found.items() if k in _PROPERTIES and v}


def inherited(style: Style, own: dict[str, str]) -> Style:
    """Return an element's style from its parent's and its own properties."""
    visible, filled = style.visible, style.filled
    if "visibility" in own:
        visible = own["visibility"] == "visible"
    if "fill" in own and own["fill"] != "inherit":
        filled = own["fill"] != "none"
    return Style(visible, filled)
