"""Photos of known dies beside a card of ISO/IEC 7810 ID-1's size."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import affinity
from shapely.geometry import Point, Polygon, box

from layout.formats.pictures.photo import reference_on, trace_photo
from layout.model.errors import FileError
from tests.support.border_distance import border_distance, laid_over
from tests.support.picture_maker import Look, photo

LOOK = Look(ground=(52, 54, 53), metal=165, texture=2, streaks=30, shadow=0.3, vignette=0.2, dust=10, jpeg=88)

RING = Point(35, 40).buffer(16, 64).difference(Point(35, 40).buffer(12, 64))
LABEL = affinity.rotate(box(140, 25, 180, 50).difference(box(144, 29, 176, 46)), 20)
PLAIN = [RING, LABEL]


def best_match(found: list[Polygon], true: Polygon) -> tuple[float, float]:
    alike = [f for f in found if abs(f.area - true.area) < 0.15 * true.area]
    return min((border_distance(laid_over(f, true), true) for f in alike), default=(99.0, 99.0))


@pytest.mark.parametrize("tilt", [3.0, 22.0])
def test_a_card_gives_true_size_under_any_tilt(tilt: float) -> None:
    made = photo(np.random.default_rng(8), tilt=tilt, size=(1500, 2000), look=LOOK, bodies=PLAIN)
    traced = trace_photo(made.pixels)
    assert len(traced.outlines) == len(made.bodies)
    found = [o.polygon for o in traced.outlines]
    errors = [best_match(found, body)[0] for body in made.bodies]
    assert max(errors) <= 0.35
    assert max(errors) <= traced.uncertainty_mm <= 1.5


def test_a_cards_shadow_is_not_taken_for_its_side() -> None:
    look = Look(ground=(75, 75, 75), metal=155, shadow=0.5, shadow_reach=0.5, shadow_soft=0.5, shadow_side=4.5,
                vignette=0.25, blur=1.0, noise=2)  # fmt: skip
    made = photo(np.random.default_rng(1), tilt=15, count=1, size=(1125, 1500), look=look)
    camera = reference_on(made.pixels, None, None).fit.camera
    (body,) = made.bodies
    seen = [made.to_pixels(np.asarray(r.coords)) - 0.5 for r in (body.exterior, *body.interiors)]
    found = Polygon(camera.to_plane(seen[0]), [camera.to_plane(s) for s in seen[1:]])
    assert border_distance(laid_over(found, body), body)[0] < 0.1


def test_a_higher_edge_is_brought_down_to_the_cards_plane() -> None:
    made = photo(np.random.default_rng(8), tilt=3.0, size=(1500, 2000), look=LOOK, bodies=PLAIN)
    plain, lowered = (trace_photo(made.pixels, edge_above_card=h) for h in (0.0, 2.0))
    # pinhole geometry: an edge h above the plane looks larger by h / (D - h), D the camera's height; one picture
    # tells D to about a fifth, so the correction of 0.65 % is known to 0.15 %
    shrunk = (lowered.outlines[0].area / plain.outlines[0].area) ** 0.5
    assert shrunk == pytest.approx(1 - 2.0 / made.notes["far"], abs=1.5e-3)


def test_a_photo_without_a_card_ends_in_one_sentence() -> None:
    made = photo(np.random.default_rng(9), tilt=5.0, size=(900, 1200), look=LOOK, with_reference=False, bodies=PLAIN)
    with pytest.raises(FileError, match="no bank card"):
        trace_photo(made.pixels)


def test_a_coin_serves_and_warns_of_mix_ups() -> None:
    # 24.26 mm: the quarter, US Mint's coin specifications page; 24.25 mm: 50 euro cent, Reg. (EC) 975/98
    made = photo(np.random.default_rng(11), tilt=0.0, size=(1500, 2000), look=LOOK, coin=24.26, bodies=PLAIN)
    traced = trace_photo(made.pixels, coin_diameter=24.26)
    assert any("50 cent 24.25" in f for f in traced.findings)
    assert best_match([o.polygon for o in traced.outlines], made.bodies[0])[0] < 1.0
