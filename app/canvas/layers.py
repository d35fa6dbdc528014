"""What of the plate is drawn: each layer can be put aside to see the others."""

from __future__ import annotations

from layout.geometry.value import Value


class Layers(Value, frozen=True):
    """Which layers are drawn."""

    paper: bool = True
    images: bool = True
    metal: bool = True
    cuts: bool = True
    grid: bool = False


ALL = Layers()
