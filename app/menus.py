"""The menus, filled from the table of commands."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QActionGroup
from PySide6.QtWidgets import QMenu

from app.actions import COMMANDS
from app.settings import TEXT_SCALES, THEMES

if TYPE_CHECKING:
    from app.window import Window

THEME_NAMES = {"system": "As the system", "light": "Light", "dark": "Dark"}


def fill_menus(window: Window) -> None:
    """Make the menu bar; a menu is filled when it is first opened."""
    for name in dict.fromkeys(command.menu for command in COMMANDS):
        menu = window.menuBar().addMenu(f"&{name}")
        menu.aboutToShow.connect(partial(_fill, window, menu, name), Qt.ConnectionType.SingleShotConnection)


def _fill(window: Window, menu: QMenu, name: str) -> None:
    for command in COMMANDS:
        if command.menu != name:
            continue
        if command.id == "-":
            menu.addSeparator()
        elif command.id in SUBMENUS:
            SUBMENUS[command.id](window, menu.addMenu(command.text))
        elif command.id in window.actions_by_id:
            menu.addAction(window.actions_by_id[command.id])


def fill_plate_menu(window: Window, menu: QMenu) -> None:
    """Fill the menu of the plate itself."""
    for name in (
        "place",
        "swap",
        "clear",
        "hold",
        "release",
        "lift_off",
        "to_pass",
        "along",
        "put_back",
        "-",
        "pick_alike",
        "pick_all",
        "-",
        "plan_rest",
    ):
        if name == "-":
            menu.addSeparator()
        else:
            menu.addAction(window.actions_by_id[name])


def _recent(window: Window, menu: QMenu) -> None:
    def fill() -> None:
        menu.clear()
        for path in window.settings.recent:
            menu.addAction(_shown(path)).triggered.connect(partial(window.commands.open_path, str(path)))
        menu.setEnabled(bool(window.settings.recent))

    window.settings.recent_changed.connect(fill)
    fill()


def _shown(path: Path) -> str:
    """Return a file as the menu shows it; an ampersand would be taken for a key."""
    return f"{path.stem} – {path.parent}".replace("&", "&&")


def _theme(window: Window, menu: QMenu) -> None:
    choices = {name: THEME_NAMES[name] for name in THEMES}
    _choices(window, menu, choices, lambda: window.settings.theme, lambda name: setattr(window.settings, "theme", name))


def _text_size(window: Window, menu: QMenu) -> None:
    choices = {f"{scale}": f"{scale:.0%}".replace("%", " %") for scale in TEXT_SCALES}
    _choices(
        window,
        menu,
        choices,
        lambda: str(window.settings.text_scale),
        lambda name: setattr(window.settings, "text_scale", float(name)),
    )


def _choices(
    window: Window, menu: QMenu, choices: dict[str, str], now: Callable[[], str], choose: Callable[[str], None]
) -> None:
    group = QActionGroup(menu)
    made: dict[str, QAction] = {}
    for name, text in choices.items():
        action = made[name] = menu.addAction(text)
        action.setCheckable(True)
        group.addAction(action)
        action.triggered.connect(partial(_choose, choose, name))

    def follow() -> None:
        if now() in made:
            made[now()].setChecked(True)

    window.settings.look_changed.connect(follow)
    follow()


def _choose(choose: Callable[[str], None], name: str, _checked: bool) -> None:
    choose(name)


SUBMENUS = {"recent": _recent, "theme": _theme, "text_size": _text_size}
