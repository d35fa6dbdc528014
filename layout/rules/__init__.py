"""Floor 2: the contract's rules, each a function that returns findings with numbers."""

from layout.rules.check import check, check_in_parts, layout_findings
from layout.rules.finding import RULES, Finding

__all__ = ["RULES", "Finding", "check", "check_in_parts", "layout_findings"]
