"""The product and the independent checker (plain geometry, no shared code) agree, case by case and rule by rule.

Where they may not, and why:
- The product is stricter where the checker only adds up: it wants the pieces named as not placed to be right for each
  wanted piece, not in sum, and refuses one sheet at two places of one run. The contract asks for both.
- A sheet named twice in one stack is one fault of rule 3 for the product; the checker also finds the piece too close to
  itself.
- Where a name is not in the project, both say so, but how much else they check about that thing is up to them; the same
  for a panel that is taken for a piece of another shape.
- `passes`, `status` and `proven` follow from a plan's parts in the product's model, so a file that says something else
  is refused while it is read: the faults come as that one sentence.
- Distances within a rounding (about 1e-9 mm) of a limit could fall on either side; no seeded case lies there.
"""

import copy
import json
import re
from random import Random

import pytest

from layout.formats.plan_file import parse_plan, plan_bytes
from layout.formats.project_file import parse_project, project_bytes
from layout.model.errors import FileError
from layout.rules import RULES, check
from tests.support import shared
from tests.support.broken_plans import WAYS, broken
from tests.support.panel_plans import PANEL_WAYS, panel_case
from tests.support.random_plans import lucky_plan
from tests.support.random_projects import random_project

# What each sentence of the checker is about. The order matters: the first that fits counts.
SENTENCES = [
    ("names", r"is not in the project|does not have|nobody asked for"),
    ("panels", r"^panel .*(lies on a spoiled|covers the image|overlaps panel|its part|does not lie on its part)"),
    ("panels", r"is cut down, part|the stacked parts differ|and panel .* overlap"),
    ("webs", r"mm apart on "),
    ("bodies", r"leaves the bed|mm apart$"),
    ("copies", r", \d+ owned|cuts \d+ times in one run"),
    ("papers", r"sheets, asked for|layers of|too wide|hangs out|overlap$|has no sheet"),
    ("margins", r"comes closer|lies on a spoiled part|cuts into the image"),
    ("wishes", r" wants |is turned|misses its image|^panel .*wants paper"),
    ("reach", r"cannot reach"),
    ("passes", r"says \S+ passes"),
    ("sums", r"\d+ due|as unplaced|without a reason|status \w+ with"),
    ("bound", r"lower bound|proven with"),
]
LUCKY = range(30)  # seeds
EACH_WAY = 12  # right plans that are broken in each way
REFUSED = {"passes": "passes", "status": "sums", "proven": "bound"}


def judged_by_the_checker(project, plan):
    """Return the rules broken by the independent checker; None where it stumbles over a name that is not there."""
    try:
        faults = shared.independent_faults(project, plan)
    except KeyError:
        return None
    return {next(rule for rule, words in SENTENCES if re.search(words, fault)) for fault in faults}


def judged_by_the_product(project, plan):
    """Return the rules broken by the product, and whether that was found while the plan's file was read."""
    asked = parse_project(json.dumps(project).encode(), "project")
    try:
        answered = parse_plan(json.dumps(plan).encode(), "plan")
    except FileError as error:
        return {REFUSED[str(error).split(": ")[1]]}, True
    return {finding.rule for finding in check(asked, answered)}, False


def assert_agree(project, plan):
    """Fail where one finds a rule broken that the other does not; return what was found broken."""
    theirs = judged_by_the_checker(project, plan)
    ours, refused = judged_by_the_product(project, plan)
    if theirs is None or "names" in theirs:
        assert ours & {"names", "wishes"} if other_panel(project, plan) else "names" in ours
    elif refused:
        assert ours <= theirs
    else:
        assert theirs - ours <= ({"webs"} if a_stack_repeats(plan) else set())
        assert ours - theirs <= stricter(project, plan)
    return ours


def stricter(project, plan):
    """Return the rules in which the product may find more than the checker in this very plan."""
    return {rule for rule, is_so in STRICTER.items() if is_so(project, plan)}


def runs_of(plan):
    return [run for layout in plan["layouts"] for run in layout["runs"]]


def a_stack_repeats(plan):
    stacks = [s.get("copies", [0]) for run in runs_of(plan) for s in run["scraps"]]
    return any(len(set(stack)) < len(stack) for stack in stacks)


def a_sheet_lies_twice(_, plan):
    for run in runs_of(plan):
        sheets = [(s["scrap"], c, s.get("part")) for s in run["scraps"] for c in s.get("copies", [0])]
        if len(set(sheets)) < len(sheets):
            return True
    return False


def sums_differ_somewhere(project, plan):
    made = shared.independent_made(project, plan)
    told = {w["id"]: sum(u["count"] for u in plan["unplaced"] if u["wanted"] == w["id"]) for w in project["wanted"]}
    spares, kits = project.get("spares", {}), project.get("kits", 1)
    due = {w["id"]: max(0, w.get("count", 1) * kits - spares.get(w["id"], 0)) for w in project["wanted"]}
    return any(max(0, due[w] - made[w]) != told[w] for w in told)


def other_panel(project, plan):
    """A panel taken for a piece of another shape: the checker looks no further there, the product does."""
    shapes = {w["id"]: w["shape"] for w in project["wanted"]}
    return any(shapes.get(p["wanted"]) != p["panel"] for p in plan.get("panels", []))


STRICTER = {"papers": a_sheet_lies_twice, "sums": sums_differ_somewhere}


def trees(project, plan):
    return json.loads(project_bytes(project)), json.loads(plan_bytes(plan))


@pytest.fixture(scope="module")
def right_plans():
    """Known plans of the cases and plans placed by luck, all right, as pairs of trees."""
    cases = [case for case in shared.case_projects() if shared.known_plan(case).exists()]
    known = [(shared.load(case), shared.load(shared.known_plan(case))) for case in cases]
    projects = [random_project(seed) for seed in LUCKY]
    return known + [trees(p, lucky_plan(p, seed, tries=6)) for seed, p in zip(LUCKY, projects, strict=True)]


def test_known_and_lucky_plans_are_right(right_plans):
    shared.need(shared.CASES)
    assert len(right_plans) > len(LUCKY)
    assert sum(bool(plan["layouts"]) for _, plan in right_plans) > 50
    for project, plan in right_plans:
        assert assert_agree(project, plan) == set()


@pytest.mark.parametrize("way", WAYS, ids=lambda way: way.__name__)
def test_broken_in_one_place(right_plans, way):
    """Break right plans in one way each; where that leaves them right, both must say so."""
    done = 0
    for k, (project, plan) in enumerate(Random(way.__name__).sample(right_plans, len(right_plans))):
        if done == EACH_WAY:
            break
        asked, answered = copy.deepcopy(project), copy.deepcopy(plan)
        if broken(k, asked, answered, (way,)):
            assert_agree(asked, answered)
            done += 1
    assert done >= 5


@pytest.mark.parametrize("way", PANEL_WAYS, ids=lambda way: way.__name__)
def test_panels_and_parts_broken_in_one_place(way):
    for seed in range(15):
        project, plan = panel_case(seed)
        assert assert_agree(project, plan) == set()
        broken(seed, project, plan, (way,))
        assert_agree(project, plan)


def test_every_rule_is_broken_alone_somewhere(right_plans):
    """Else the agreement above would say nothing about that rule; "copies" is broken alone in a test of its own."""
    alone = set()
    cases = [(*trees, WAYS) for trees in right_plans * 3] + [(*panel_case(k), PANEL_WAYS) for k in range(40)]
    for k, (project, plan, ways) in enumerate(cases):
        asked, answered = copy.deepcopy(project), copy.deepcopy(plan)
        broken(k, asked, answered, ways)
        found = judged_by_the_product(asked, answered)[0]
        alone |= found if len(found) == 1 else set()
    assert alone >= set(RULES) - {"copies"}
