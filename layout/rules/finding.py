"""What a broken rule is told as, and how far rounding may go before it counts."""

from __future__ import annotations

from dataclasses import dataclass

SLACK = 0.005  # mm: what rounding may cost a distance
AREA_SLACK = 0.05  # square mm: what rounding may cost an overlap
ANGLE_SLACK = 0.01  # degrees

RULES = ("names", "bodies", "copies", "papers", "margins", "webs", "wishes", "reach", "panels", "sums", "bound")
"""The contract's ten rules in its order (so `RULES[4]` is rule 4), behind the one that every name is in the project."""


@dataclass(frozen=True, slots=True)
class Finding:
    """One broken rule: `what` is a sentence for a person, `things` are the paths in the plan of what it is about.

    `rule` is one of RULES, `where` says it in words ("layout A, run 2"); `amount` and `needed` are the two numbers of
    the sentence in mm, square mm, degrees or pieces. A path looks like `layouts[0].dies[2]`; what is wrong with the
    sums is about a wanted piece, and names its id.
    """

    rule: str
    where: str
    what: str
    amount: float | None = None
    needed: float | None = None
    things: tuple[str, ...] = ()
