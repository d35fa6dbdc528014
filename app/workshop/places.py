"""What the workshop's window does with the set or tag looked at, with photos, and with ready pieces of the tin."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QFileDialog

from app.workshop.asked import asked_name, asked_pieces
from app.workshop.photos import PHOTOS

if TYPE_CHECKING:
    from app.window import Window
    from app.workshop.deeds import Deeds
    from app.workshop.rows import RowModel
    from layout.workshop import Thing

SET, TAG = "set:", "tag:"  # before the name of a set or tag: the places looked at


class Places:
    """A part of the workshop's window, which shows what is picked and where one looks."""

    if TYPE_CHECKING:
        place: str
        picked: list[str]
        deeds: Deeds
        model: RowModel
        _window: Window
        _things: dict[str, Thing]

        def refresh(self) -> None: ...
        def refresh_kinds(self) -> None: ...

    def take_from_tin(self, spare: str) -> None:
        """Ask for which piece and how many ready ones are taken out of the tin, and take them."""
        fits = self.deeds.fitting(spare)
        if fits and (asked := asked_pieces(self, self._window.document.project, fits, self._things[spare].count)):
            self.deeds.take_from_tin(spare, *asked)

    def rename_place(self) -> None:
        """Ask for another name of the set or tag looked at."""
        place = self.place
        for sign, word in ((SET, "set"), (TAG, "tag")):
            old = place.removeprefix(sign)
            if place.startswith(sign) and (new := asked_name(self, f"Rename the {word}", "Another name:", old)):
                (self.deeds.rename_set if sign == SET else self.deeds.rename_tag)(old, new)
                self.refresh_kinds()

    def remove_place(self) -> None:
        """Take the set looked at apart, or the tag off everything; the things stay."""
        place = self.place
        if place.startswith(SET):
            self.deeds.remove_set(place.removeprefix(SET), list(self._things))
        elif place.startswith(TAG):
            self.deeds.rename_tag(place.removeprefix(TAG), "")
        self.refresh_kinds()

    def choose_photo(self) -> None:
        """Ask for a photo of what is picked."""
        path, _ = QFileDialog.getOpenFileName(self, "A photo of it", "", PHOTOS)
        if path:
            self.give_photo(Path(path))

    def give_photo(self, path: Path) -> None:
        """Show a photo for what is picked."""
        for thing in self.picked:
            self.deeds.picture_from(thing, path)
            self.model.forget(thing)
        self.refresh()

    def take_photo_away(self) -> None:
        """Show the outline of what is picked again."""
        for thing in self.picked:
            self.deeds.tell(lambda store, t=thing: store.set_picture(t, None))
            self.model.forget(thing)
        self.refresh()
