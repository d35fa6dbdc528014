"""What can I make? Squares on square sheets: how many go on one is counted by hand."""

import pytest

from layout.geometry.outline import Outline
from layout.geometry.value import replace
from layout.model.project import Die, Machine, Paper, Project, Scrap, Wanted
from layout.planning.makeable import (
    MOST_KITS,
    Makeable,
    Patience,
    most_kits,
    parted,
    usual_sides,
    what_can_i_make,
    with_sheets,
)

# On 100 mm less 2 mm at each edge go (96 + 1.5) / (40 + 1.5) = 2 squares each way: 4 off a sheet, since a third would
# need 123 mm.
SQUARE = Outline.rectangle(40.0, 40.0)
PATIENCE = Patience(seconds=60.0, attempts=12, seed=1, sheet=(100.0, 100.0))


def squares(sheets: int, a_kit: int, kits: int, *more: Scrap) -> Project:
    return Project(
        machine=Machine("machine", 120.0, 120.0),
        dies=(Die("square", "square", Outline.rectangle(44.0, 44.0, x=-2.0, y=-2.0), SQUARE),),
        papers=(Paper("cream", "cream"), Paper("moss", "moss")),
        scraps=(Scrap("sheet", "cream", Outline.rectangle(100.0, 100.0), sheets), *more),
        wanted=(Wanted("w", "square", a_kit, "cream"),),
        kits=kits,
    )


def test_three_sheets_of_four_squares_make_four_kits_of_three_and_six_kits_need_two_sheets_more() -> None:
    told = what_can_i_make(squares(3, 3, 6), PATIENCE)
    assert told.kits == 4
    assert told.kits <= told.most
    assert told.asked == 6
    assert [(s.wanted.id, s.count) for s in told.short] == [("w", 6)]  # 18 asked, 12 made
    assert told.short[0].needs == (44.0, 44.0)  # 40 and 2 mm each side
    (cure,) = told.cures
    assert (cure.paper, cure.sides, cure.sheets) == ("cream", (100.0, 100.0), 2)  # 5 sheets: 20 squares
    assert cure.least <= cure.sheets


def test_two_papers_that_are_short_at_once_are_cured_together() -> None:
    any_paper = Wanted("any", "square", 1)  # binds the papers together
    moss = Wanted("moss", "square", 4, "moss")
    project = squares(1, 4, 1)
    project = replace(project, wanted=(*project.wanted, moss, any_paper))
    told = what_can_i_make(replace(project, spares={"any": 9, "w": 4}, kits=2), PATIENCE)
    # 2 kits: 8 cream of which 4 are in the tin and 4 come off the sheet; 8 moss and no sheet: 2 sheets of 4.
    assert told.kits == 0
    assert [(c.paper, c.sheets) for c in told.cures] == [("moss", 2)]
    both = what_can_i_make(replace(project, spares={"any": 9}, kits=2), PATIENCE)
    assert sorted((c.paper, c.sheets) for c in both.cures) == [("cream", 1), ("moss", 2)]


def test_where_more_fits_than_asked_it_says_what_one_more_kit_lacks() -> None:
    told = what_can_i_make(squares(1, 2, 1), PATIENCE)
    assert (told.kits, told.asked) == (2, 3)
    assert [(c.sheets, c.least) for c in told.cures] == [(1, 1)]


def test_pieces_in_the_tin_count() -> None:
    told = what_can_i_make(replace(squares(1, 2, 1), spares={"w": 2}), PATIENCE)
    assert told.kits == 3


def test_the_upper_limit_is_reached_where_widths_decide() -> None:
    strip = Scrap("strip", "cream", Outline.rectangle(50.0, 50.0))  # less its edges 46 mm: one square, 83 mm for two
    told = what_can_i_make(squares(0, 1, 1, strip), PATIENCE)
    assert (told.kits, told.most, told.proven) == (1, 1, True)


def test_without_the_paper_nothing_can_be_made_and_a_sheet_is_named() -> None:
    told = what_can_i_make(replace(squares(1, 1, 2), scraps=()), PATIENCE)
    assert (told.kits, told.most) == (0, 0)
    assert [(c.paper, c.sheets) for c in told.cures] == [("cream", 1)]


def test_what_is_too_large_for_the_bed_no_sheet_cures() -> None:
    project = replace(squares(1, 1, 1), machine=Machine("small", 30.0, 30.0))
    told = what_can_i_make(project, PATIENCE)
    assert (told.kits, told.cures, told.incurable) == (0, (), ("cream",))
    assert "bed" in told.short[0].why


def test_papers_are_asked_one_by_one_but_not_where_any_will_do() -> None:
    project = replace(squares(1, 1, 1), wanted=(Wanted("a", "square", 1, "cream"), Wanted("b", "square", 1, "moss")))
    assert [[w.id for w in part.wanted] for part in parted(project)] == [["a"], ["b"]]
    any_paper = replace(project, wanted=(*project.wanted, Wanted("c", "square")))
    assert [[w.id for w in part.wanted] for part in parted(any_paper)] == [["a", "b", "c"]]


def test_a_project_that_wants_nothing_makes_nothing() -> None:
    assert what_can_i_make(replace(squares(1, 1, 1), wanted=()), PATIENCE) == Makeable(0, 0, 1)


def test_the_limit_by_area_is_that_of_a_plain_search() -> None:
    # Brute force: the largest k with k * (2 * 1600 + 900) square mm in 3 * 10000 and no kind alone beyond its supply.
    small = Die("small", "small", Outline.rectangle(32.0, 32.0), Outline.rectangle(30.0, 30.0))
    project = replace(squares(3, 2, 1), wanted=(Wanted("w", "square", 2, "cream"), Wanted("s", "small", 1, "cream")))
    project = replace(project, dies=(*project.dies, small))
    by_area = max(k for k in range(MOST_KITS) if k * (2 * 1600 + 900) <= 30000)
    assert most_kits(project) == min(by_area, most_kits(squares(3, 2, 1)))


@pytest.mark.parametrize(("sides", "best"), [((50.0, 50.0), (100.0, 100.0)), ((210.0, 297.0), (210.0, 297.0))])
def test_the_sheet_to_buy_is_the_largest_known(sides: tuple[float, float], best: tuple[float, float]) -> None:
    assert usual_sides(squares(1, 1, 1), "cream", sides) == best


def test_sheets_are_added_beside_what_is_there() -> None:
    more = with_sheets(squares(1, 1, 1), "gold", (10.0, 20.0), 3)
    assert [(s.paper, s.count) for s in more.scraps] == [("cream", 1), ("gold", 3)]
    assert "gold" in {p.id for p in more.papers}


def test_when_told_to_stop_it_claims_only_what_it_has() -> None:
    told = what_can_i_make(squares(3, 3, 6), replace_stopped(PATIENCE))
    assert told.kits == 0
    assert told.cures == ()


def replace_stopped(patience: Patience) -> Patience:
    return Patience(patience.seconds, patience.attempts, patience.seed, patience.sheet, lambda: True)
