"""What is seen of a drawing: style sheets, hidden layers, unpainted shapes, white grounds, switches, inner drawings."""

from __future__ import annotations

import pytest

from layout.formats.svg_file import parse_svg

NAMES = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'
CUT = '<rect x="20" y="20" width="5" height="5" stroke="red"/>'


def read(body, head='width="100mm" height="80mm" viewBox="0 0 100 80"'):
    return parse_svg(f"<svg {NAMES} {head}>{body}</svg>".encode(), "drawing.svg")


def widths(got):
    return sorted(round(o.bounds[2] - o.bounds[0], 3) for o in got.outlines)


# which of the shapes a, b, c (1, 2 and 3 mm wide) are hidden, by the rules of CSS 2.1, chapters 5 and 6
SHEETS = [
    ("#a{display:none}", "a"),
    (".x{display:none}", "ab"),
    ("rect{display:none}", "abc"),
    ("g rect{display:none} g rect.y{display:inline}", "c"),
    ("g .x{display:none}", "b"),
    ("g > rect{display:none}", "bc"),
    ("g > g > rect{display:none}", "b"),
    ("svg g g.k rect{display:none}", "b"),
    (".x.y{display:none}", "b"),
    ("rect#a, #c{opacity:0}", "ac"),
    ("#a{display:inline} .x{display:none}", "b"),
    ("/* .x{display:none} */ ellipse{display:none}", ""),
    ("#a:hover{display:none}", ""),
]


@pytest.mark.parametrize(("sheet", "gone"), SHEETS)
def test_rules_hide_what_they_mean(sheet, gone):
    body = f"""<style>{sheet}</style><rect id="a" class="x" width="1" height="1"/>
    <g><g class="k"><rect id="b" class="x y" x="10" width="2" height="2"/></g>
    <rect id="c" x="20" width="3" height="3"/></g><circle cx="50" cy="50" r="2.5"/>"""
    got = read(body)
    kept = [w for name, w in zip("abc", (1, 2, 3), strict=True) if name not in gone]
    assert widths(got) == [*kept, 5]


def test_a_shape_neither_filled_nor_stroked_is_left_out_where_others_are_seen():
    frame = '<rect width="100%" height="100%" fill="none"/>'
    got = read(frame + CUT)
    assert widths(got) == [5]
    assert "shapes without fill and stroke left out: 1" in got.findings
    assert widths(read(frame)) == [100]


@pytest.mark.parametrize(
    "ground",
    [
        '<rect width="100%" height="100%" fill="#fff"/>',
        '<path d="M0 0H100V80H0Z" style="fill: white"/>',
        '<g fill="rgb(255, 255, 255)"><rect x="-1" y="-1" width="102" height="82" stroke="none"/></g>',
    ],
)
def test_a_white_ground_is_no_outline(ground):
    got = read(ground + CUT)
    assert widths(got) == [5]
    assert "the page's white ground left out: 1" in got.findings


@pytest.mark.parametrize("frame", ['fill="none" stroke="black"', 'fill="white" stroke="black"', 'fill="black"'])
def test_a_frame_round_the_page_that_is_drawn_is_an_outline(frame):
    got = read(f'<rect width="100" height="80" {frame}/>' + CUT)
    assert widths(got) == [100]
    assert len(got.outlines[0].holes) == 1


def test_a_switch_shows_the_first_that_can_be_shown():
    body = f"""<switch><foreignObject requiredExtensions="http://else.where/x" width="9" height="9"/>
    <g>{CUT}</g><g><rect width="9" height="9"/></g></switch>"""
    assert widths(read(body)) == [5]


def test_clips_and_masks_are_passed_over_and_said_to_be():
    body = f"""<defs><clipPath id="c"><rect width="1" height="1"/></clipPath></defs>
    <g clip-path="url(#c)">{CUT}</g><g style="mask:url(#m)"><circle cx="50" cy="50" r="5"/></g>"""
    got = read(body)
    assert widths(got) == [5, 10]
    assert "clippings left out: 2" in got.findings


def test_visibility_goes_down_and_comes_back():
    body = f"""<g visibility="hidden"><rect width="1" height="1"/><g visibility="inherit"><rect width="2" height="2"/>
    </g><rect visibility="visible" x="50" width="3" height="3"/></g>{CUT}"""
    assert widths(read(body)) == [3, 5]


def test_an_inner_drawing_lies_at_shares_of_the_outer_one():
    body = '<svg x="50%" y="25%" width="20" height="10" viewBox="0 0 200 100"><rect width="50" height="50"/></svg>'
    assert read(body).outlines[0].bounds == pytest.approx((50, 55, 55, 60))


def test_a_symbol_hands_down_its_own_style_and_a_used_drawing_may_be_hidden():
    body = f"""<defs><symbol id="s" fill="none"><rect width="7" height="7"/></symbol>
    <svg id="t" display="none"><rect width="8" height="8"/></svg></defs><use href="#s"/><use href="#t"/>{CUT}"""
    got = read(body)
    assert widths(got) == [5]
    assert "shapes without fill and stroke left out: 1" in got.findings


def test_of_two_alike_names_the_first_is_meant():
    body = '<defs><rect id="a" width="4" height="4"/><rect id="a" width="6" height="6"/></defs><use href="#a"/>'
    assert widths(read(body)) == [4]


def test_a_declared_transform_stands_for_the_attribute():
    body = '<rect width="4" height="4" transform="scale(3)" style="transform: scale(2) translate(3px, 4px)"/>'
    assert read(body).outlines[0].bounds == pytest.approx((6, 64, 14, 72))
    said = read('<rect width="4" height="4" transform="scale(2)" transform-origin="50% 50%"/>').findings
    assert any("transform-origin was passed over" in f for f in said)
