"""Every plan made in a test passes the product's own rules and, where it is at hand, the independent checker."""

from __future__ import annotations

import json
import os

from layout.formats.plan_file import plan_bytes
from layout.formats.project_file import project_bytes
from layout.model.plan import Plan
from layout.model.project import Project
from layout.rules import check
from tests.support import shared


def assert_good(project: Project, plan: Plan) -> None:
    """Fail with every broken rule's sentence where a plan breaks one, by either judge."""
    own = [f"{finding.rule}: {finding.where}: {finding.what}" for finding in check(project, plan)]
    assert not own, "\n".join(own)
    if shared.CHECKER.exists() or os.environ.get("CI") == "true":
        others = independent_verdict(project, plan)
        assert not others, "\n".join(others)


def independent_verdict(project: Project, plan: Plan) -> list[str]:
    """Return the independent checker's faults for a project and a plan, through their files' bytes."""
    return shared.independent_faults(json.loads(project_bytes(project)), json.loads(plan_bytes(plan)))
