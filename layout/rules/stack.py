"""The stack that goes between the rollers: plates, shims, paper, dies, against the machine's opening."""

from __future__ import annotations

from dataclasses import dataclass

RESOLUTION = 0.02
"""Shims are advised in steps of this (mm): paper alone varies by 5 to 7 % of its caliper."""


@dataclass(frozen=True, slots=True)
class Layer:
    """Something in the stack: its thickness in mm, and how many of it lie there."""

    name: str
    thickness: float
    count: int = 1

    def __post_init__(self) -> None:
        if not (0.0 <= self.thickness < 1000.0) or self.count < 0:
            raise ValueError(f"{self.name}: a layer is from 0 to 1000 mm thick, and there are 0 or more of it")

    @property
    def height(self) -> float:
        """Thickness of all of them together, mm."""
        return self.thickness * self.count


@dataclass(frozen=True, slots=True)
class Recipe:
    """A person's own stack for a job, from the top; what the rollers press out of it is `press` (mm), learnt by use."""

    name: str
    layers: tuple[Layer, ...]
    press: float = 0.0

    @property
    def height(self) -> float:
        """Height of the stack, mm; the order does not matter."""
        return sum(layer.height for layer in self.layers)

    def over(self, opening: float) -> float:
        """Return how much (mm) the stack is higher than it should be in a machine's opening; negative: too low."""
        return self.height - opening - self.press


def with_paper(recipe: Recipe, name: str, caliper: float, layers: int) -> Recipe:
    """Return the recipe with every layer of that name replaced by so many sheets of a paper (caliper in mm)."""
    made = [Layer(layer.name, caliper, layers) if layer.name == name else layer for layer in recipe.layers]
    return Recipe(recipe.name, tuple(made), recipe.press)


def advice(recipe: Recipe, opening: float) -> str:
    """Say in a sentence what to add to a stack or take out of it; a machine's manual has the last word."""
    over = recipe.over(opening)
    steps = round(abs(over) / RESOLUTION)
    if steps == 0:
        return f"The stack is {recipe.height:.2f} mm high and fits the opening of {opening:.2f} mm."
    amount = f"{steps * RESOLUTION:.2f} mm"
    if over > 0:
        return f"The stack is {amount} too high: take out a shim or a layer, and do not force the crank."
    return f"The stack is {amount} too low: add a shim of about that thickness."
