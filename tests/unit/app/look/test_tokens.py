"""Contrast of every look, by the formula of WCAG 2 (relative luminance and contrast ratio; from memory of the text,
held to its two published neighbours of 4.5:1: #767676 on white passes, #777777 fails)."""

import pytest

from app.look.papers import WORDS
from app.look.tokens import DARK, LIGHT, PAPERS

LOOKS = pytest.mark.parametrize("look", [LIGHT, DARK], ids=["light", "dark"])


def luminance(colour):
    parts = [int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5)]
    lit = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return 0.2126 * lit[0] + 0.7152 * lit[1] + 0.0722 * lit[2]


def contrast(one, other):
    a, b = sorted((luminance(one), luminance(other)))
    return (b + 0.05) / (a + 0.05)


def test_the_formula_parts_the_published_neighbours():
    assert contrast("#767676", "#ffffff") >= 4.5 > contrast("#777777", "#ffffff")


@LOOKS
def test_text_reads_well_on_every_ground(look):
    for ground in (look.window, look.panel, look.field, look.accent_soft, look.fault_soft):
        assert contrast(look.text, ground) >= 7, ground
    for ground in (look.window, look.panel, look.field):
        for ink in (look.quiet, look.good, look.warn, look.fault):
            assert contrast(ink, ground) >= 5.5, (ink, ground)
    assert contrast(look.fault, look.fault_soft) >= 5.5
    assert contrast(look.on_accent, look.accent) >= 7
    assert contrast(look.ruler_ink, look.ruler) >= 7
    assert contrast(look.metal_ink, look.metal_light) >= 7


@LOOKS
def test_what_is_picked_and_what_is_wrong_stand_out_from_the_table(look):
    for ground in (look.table, look.plate):
        assert contrast(look.accent, ground) >= 3
        assert contrast(look.fault, ground) >= 3
    assert contrast(look.focus, look.window) >= 3


@LOOKS
def test_words_on_paper_read_well(look):
    for ground in (*PAPERS, *WORDS.values()):
        if contrast("#000000", ground) >= 8:  # the dark papers carry no words of this ink
            assert contrast(look.paper_ink, ground) >= 4.5, ground
