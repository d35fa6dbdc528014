"""Words made a sentence."""

from __future__ import annotations


def sentence(text: str) -> str:
    """Return words with a capital first and a full stop last."""
    text = text.strip()
    text = text[:1].upper() + text[1:]
    return text if not text or text.endswith((".", "!", "?")) else text + "."
