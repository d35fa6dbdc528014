"""The little of CSS that decides whether a shape is drawn at all, and whether it is filled."""

from __future__ import annotations

import re
from dataclasses import dataclass
from itertools import pairwise

from layout.formats.safe_xml import Element

_ATTRIBUTES = ("display", "visibility", "fill", "stroke", "opacity", "clip-path", "mask")
_PROPERTIES = (*_ATTRIBUTES, "transform", "transform-origin")
_RULE = re.compile(r"([^{}]{1,2000})\{([^{}]{0,4000})\}")
_COMMENT = re.compile(r"/\*.*?\*/", re.DOTALL)
_PARTS = re.compile(r"([.#]?)([\w-]+)|\*")
_COMPOUND = re.compile(r"(?:\*|[\w-]+)?(?:[.#][\w-]+)*")
_NAUGHT = re.compile(r"0*\.?0*%?")
_WHITE = {"white", "#fff", "#ffffff", "#ffff", "#ffffffff", "rgb(255,255,255)", "rgb(100%,100%,100%)"}


@dataclass(frozen=True, slots=True)
class Style:
    """What an element inherits; `white`: it is filled as bare paper is."""

    visible: bool = True
    filled: bool = True
    stroked: bool = False
    white: bool = False


@dataclass(frozen=True, slots=True)
class _Rule:
    """Compounds such as 'path.cut', the last for the element itself; `direct`: the next outer one is its parent."""

    compounds: tuple[tuple[tuple[str, str], ...], ...]
    direct: tuple[bool, ...]
    weight: tuple[int, int, int, int]
    declared: dict[str, str]


class StyleSheet:
    """Rules for names, classes, ids and elements within others (CSS 2.1, chapters 5 and 6)."""

    def __init__(self, root: Element) -> None:
        self.rules: dict[tuple[str, str], list[_Rule]] = {}
        self.unread = False
        for element in root.walk():
            if element.name == "style":
                self._read(element.text)
        nested = any(len(r.compounds) > 1 for rules in self.rules.values() for r in rules)
        self._parents = {id(c): e for e in root.walk() for c in e.children} if nested else {}

    def _read(self, text: str) -> None:
        for selectors, body in _RULE.findall(_COMMENT.sub("", text)):
            for selector in selectors.split(","):
                self._add(selector, declarations(body))

    def _add(self, selector: str, declared: dict[str, str]) -> None:
        words = selector.replace(">", " > ").split()
        if not declared or not words:
            return
        names = [w for w in words if w != ">"]
        if not all(map(_COMPOUND.fullmatch, names)) or words[0] == ">" or words[-1] == ">":
            self.unread = True
            return
        compounds = tuple(tuple((m[1], m[2] or "*") for m in _PARTS.finditer(name)) for name in names)
        kinds = [kind if name != "*" else "*" for compound in compounds for kind, name in compound]
        weight = (kinds.count("#"), kinds.count("."), kinds.count(""), sum(map(len, self.rules.values())))
        direct = tuple(before == ">" for before, word in pairwise(words) if word != ">")
        self.rules.setdefault(compounds[-1][-1], []).append(_Rule(compounds, direct, weight, declared))

    def of(self, element: Element) -> dict[str, str]:
        """Return the properties of an element: attributes, then rules by their weight, then its own style."""
        made = {p: element.attributes[p].strip() for p in _ATTRIBUTES if p in element.attributes}
        rules = [r for key in _keys(element) for r in self.rules.get(key, ()) if self._meant(r, element)]
        for rule in sorted(rules, key=lambda r: r.weight):
            made |= rule.declared
        return made | declarations(element.get("style"))

    def _meant(self, rule: _Rule, element: Element) -> bool:
        *outer, own = rule.compounds
        if not set(own) <= set(_keys(element)):
            return False
        at = self._parents.get(id(element))
        for compound, direct in zip(reversed(outer), reversed(rule.direct), strict=True):
            while at is not None and not direct and not set(compound) <= set(_keys(at)):
                at = self._parents.get(id(at))
            if at is None or not set(compound) <= set(_keys(at)):
                return False
            at = self._parents.get(id(at))
        return True


def _keys(element: Element) -> list[tuple[str, str]]:
    classes = [(".", name) for name in element.get("class").split()]
    return [("", "*"), ("", element.name), *classes, ("#", element.get("id"))]


def declarations(text: str) -> dict[str, str]:
    """Return the declarations that matter here."""
    pairs = (part.partition(":") for part in text.split(";"))
    found = {k.strip().lower(): v.replace("!important", "").strip() for k, _, v in pairs}
    return {k: v for k, v in found.items() if k in _PROPERTIES and v}


def inherited(style: Style, own: dict[str, str]) -> Style:
    """Return an element's style from its parent's and its own properties."""
    told = {k: v for k, v in own.items() if v != "inherit"}
    return Style(
        told["visibility"] == "visible" if "visibility" in told else style.visible,
        told["fill"] not in ("none", "transparent") if "fill" in told else style.filled,
        told["stroke"] not in ("none", "transparent") if "stroke" in told else style.stroked,
        told["fill"].replace(" ", "").lower() in _WHITE if "fill" in told else style.white,
    )


def hidden(own: dict[str, str]) -> bool:
    """Tell whether an element's own properties hide it with all that is in it."""
    return own.get("display") == "none" or bool(_NAUGHT.fullmatch(own.get("opacity", "1")))
