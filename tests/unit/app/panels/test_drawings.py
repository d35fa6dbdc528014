"""Dies out of drawings: sizes as drawn, the question where a drawing does not say its unit, faults in words."""

import pytest

SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" {size} viewBox="0 0 100 60">'
    '<rect x="10" y="10" width="40" height="30"/><circle cx="75" cy="30" r="12"/></svg>'
)


@pytest.fixture
def drawn(tmp_path):
    def write(size):
        path = tmp_path / "ticket.svg"
        path.write_text(SVG.format(size=size))
        return path

    return write


def test_a_drawing_in_mm_becomes_dies_of_its_sizes(window, drawn):
    window.commands.open_path(str(drawn('width="100mm" height="60mm"')))
    dies = window.document.project.dies
    assert sorted(die.name for die in dies) == ["ticket 1", "ticket 2"]
    boxes = sorted((round(d.cut.bounds[2] * 2), round(d.cut.bounds[3] * 2)) for d in dies)
    assert boxes == [(24, 24), (40, 30)]
    for die in dies:
        assert die.body.solid.polygon.contains(die.cut.solid.polygon)
    assert window.document.undo.undoText() == "Addition of 2 dies from ticket.svg"
    assert "2 dies from ticket.svg in the drawer." in window.bar.text
    window.document.undo.undo()
    assert window.document.project.dies == ()


def test_a_drawing_without_a_unit_asks_by_sizes_and_obeys(window, drawn):
    window.commands.open_path(str(drawn("")))
    assert window.document.project.dies == ()
    assert "does not say its unit" in window.bar.text
    button = window.bar.buttons[0]
    assert "mm" in button.text()
    button.click()
    assert len(window.document.project.dies) == 2


def test_a_broken_drawing_is_refused_in_words(window, tmp_path):
    path = tmp_path / "broken.svg"
    path.write_text("<svg")
    window.commands.open_path(str(path))
    assert "broken.svg" in window.bar.text
    assert window.document.project.dies == ()
