"""The words beside what is in hand stand whole and in sight, and hide neither it nor one another."""

from itertools import pairwise

import pytest
from PySide6.QtCore import QRectF
from PySide6.QtGui import QFontMetricsF

from app.canvas.marks import WRAPPED, plaques_about

LONG = "dewdrop punch and night flower touch or overlap on scrap silver-corner (silver), a gap of 1.5 mm is needed"
TOLD = ["leaf and star are 0.4 mm apart, 1.0 is needed", LONG, LONG]


@pytest.mark.parametrize("scale", [1.0, 2.0])
@pytest.mark.parametrize("share", [0.1, 0.4, 0.8])
def test_the_words_about_what_is_in_hand_are_whole_and_beside_it(planned, settings, scale, share):
    settings.text_scale = scale
    canvas = planned.canvas
    canvas.resize(560, 400)
    around = QRectF(240, share * canvas.height(), 80, 60)
    plaques = plaques_about(canvas, TOLD, around)
    metrics = QFontMetricsF(canvas.text_font)
    assert len(plaques) >= 1
    for plaque, words in zip(plaques, TOLD, strict=False):
        assert QRectF(canvas.rect()).contains(plaque)
        assert not plaque.intersects(around)
        needed = metrics.boundingRect(QRectF(0, 0, plaque.width(), 1000), WRAPPED, words)
        assert needed.width() <= plaque.width()
        assert needed.height() <= plaque.height()
    for above, below in pairwise(plaques):
        assert below.top() > above.bottom()
