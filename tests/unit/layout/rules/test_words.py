import pytest

from layout.rules import words


@pytest.mark.parametrize(
    ("value", "text"),
    [(0.4, "0.4"), (1.0, "1.0"), (0.996, "0.99"), (0.29, "0.29"), (12.3456, "12.34"), (-0.125, "-0.12"), (0.0, "0.0")],
)
def test_numbers_are_cut_off_not_rounded(value, text):
    """0.996 mm must not read as 1.0 mm where 1.0 is needed."""
    assert words.cut_off(value, 2) == text


def test_lengths_in_either_unit():
    assert words.length(25.4, "mm") == "25.4 mm"
    assert words.length(25.4, "in") == "1.0 in"  # the inch is 25.4 mm exactly, by international agreement of 1959
    assert words.length(0.396875, "in") == "0.015 in"  # 1/64


def test_pieces_and_angles():
    assert [words.pieces(1), words.pieces(2)] == ["1 piece", "2 pieces"]
    assert [words.angle(90.0), words.angle(12.34)] == ["90°", "12.3°"]
