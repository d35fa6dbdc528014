"""Every command of the window with its name, keys and icon, in one table that menus, buttons and key list read."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QWidget

from app.look.icons import icon
from app.look.tokens import Look
from layout.geometry.value import Value


class Command(Value, frozen=True):
    """One command; `keys` as Qt writes them, more than one separated by two spaces."""

    id: str
    menu: str
    text: str
    keys: str = ""
    icon: str = ""
    checkable: bool = False


COMMANDS = (
    Command("new", "File", "New project", "Ctrl+N"),
    Command("open", "File", "Open…", "Ctrl+O", "open"),
    Command("recent", "File", "Open recent"),
    Command("demo", "File", "Open the demo project"),
    Command("-", "File", ""),
    Command("way_in", "File", "Dies and scraps from a picture or drawing…", "Ctrl+B"),
    Command("by_size", "File", "Shapes by size…", "Ctrl+Shift+B"),
    Command("-", "File", ""),
    Command("save", "File", "Save", "Ctrl+S", "save"),
    Command("save_as", "File", "Save as…", "Ctrl+Shift+S"),
    Command("previous_version", "File", "Bring back the version before the last save"),
    Command("-", "File", ""),
    Command("workshop", "File", "Workshop…", "Ctrl+L", "drawer"),
    Command("print", "File", "Placement guide…", "Ctrl+P", "guide"),
    Command("sheet", "File", "Project sheet…", "Ctrl+Shift+P"),
    Command("export_svg", "File", "Write the layout as SVG…"),
    Command("export_dxf", "File", "Write the layout as DXF…"),
    Command("export_csv", "File", "Write the list of passes as CSV…"),
    Command("export_png", "File", "Write the plate page as a picture…"),
    Command("-", "File", ""),
    Command("quit", "File", "Quit", "Ctrl+Q"),
    Command("undo", "Edit", "Undo", "Ctrl+Z", "undo"),
    Command("redo", "Edit", "Redo", "Ctrl+Shift+Z  Ctrl+Y", "redo"),
    Command("-", "Edit", ""),
    Command("pick_all", "Edit", "Pick all dies", "Ctrl+A"),
    Command("pick_alike", "Edit", "Pick all of this kind", "Ctrl+Shift+A"),
    Command("pick_next", "Edit", "Pick the next thing", "N"),
    Command("pick_previous", "Edit", "Pick the previous thing", "Shift+N"),
    Command("pick_none", "Edit", "Put down", "Ctrl+D"),
    Command("-", "Edit", ""),
    Command("turn_left", "Edit", "Turn by 15° to the left", "Ctrl+["),
    Command("turn_right", "Edit", "Turn by 15° to the right", "Ctrl+]"),
    Command("place", "Edit", "Place and angle…", "Return"),
    Command("swap", "Edit", "Swap two dies", "X"),
    Command("clear", "Edit", "Move to the nearest clear place", "C"),
    Command("hold", "Edit", "Hold in place", "H", "tape"),
    Command("release", "Edit", "Let go", "Shift+H"),
    Command("lift_off", "Edit", "Lift off for this pass, or cut again", "L"),
    Command("to_pass", "Edit", "Move to another pass…", "P"),
    Command("along", "Edit", "A scrap takes along what lies on it", "A", "", True),
    Command("put_back", "Edit", "Put back in drawer or heap", "Del  Backspace", "drawer"),
    Command("-", "Edit", ""),
    Command("box", "Edit", "Make a box blank…", "Ctrl+M"),
    Command("mats", "Edit", "Make mats for a box…", "Ctrl+Alt+M"),
    Command("cuts", "Edit", "Sheets and their cuts…", "Ctrl+Shift+M"),
    Command("plan", "Plan", "Plan", "F5", "plan"),
    Command("plan_rest", "Plan", "Plan the rest round what is held", "Shift+F5"),
    Command("stop", "Plan", "Stop and keep the best", "F6", "stop"),
    Command("-", "Plan", ""),
    Command("previous_pass", "Plan", "Previous pass", "PgUp"),
    Command("next_pass", "Plan", "Next pass", "PgDown"),
    Command("tick", "Plan", "Pass done, or not done", "Ctrl+Return  Ctrl+Enter"),
    Command("by_hand", "Plan", "By hand…", "Ctrl+Shift+Return"),
    Command("kits", "Plan", "Kits…", "Ctrl+I"),
    Command("duplicate", "Plan", "Duplicate the layout"),
    Command("pass_earlier", "Plan", "Move the pass earlier", "Ctrl+Shift+PgUp"),
    Command("pass_later", "Plan", "Move the pass later", "Ctrl+Shift+PgDown"),
    Command("remove_pass", "Plan", "Remove the pass"),
    Command("-", "Plan", ""),
    Command("rollers", "Plan", "Under the rollers…", "Ctrl+R"),
    Command("ease", "Plan", "Take the peak off, by advice", "E"),
    Command("stack", "Plan", "The stack…", "Ctrl+K"),
    Command("embossing", "Plan", "Embossing…"),
    Command("fit", "View", "Fit the plate", "Ctrl+0", "fit"),
    Command("closer", "View", "Closer", "Ctrl++  Ctrl+=", "closer"),
    Command("farther", "View", "Farther", "Ctrl+-", "farther"),
    Command("true_size", "View", "True size", "Ctrl+1", "true_size"),
    Command("calibrate", "View", "Calibrate true size…"),
    Command("mirror", "View", "Seen from below, for blades up", "M", "mirror", True),
    Command("-", "View", ""),
    Command("layer_paper", "View", "Show paper", "Shift+P", "", True),
    Command("layer_images", "View", "Show stamped images", "Shift+I", "", True),
    Command("layer_metal", "View", "Show metal", "Shift+M", "", True),
    Command("layer_cuts", "View", "Show cut lines", "Shift+C", "", True),
    Command("layer_grid", "View", "Show a grid", "G", "", True),
    Command("-", "View", ""),
    Command("inches", "View", "Measure in inches", "U", "", True),
    Command("-", "View", ""),
    Command("fold_left", "View", "Show what is needed and owned", "F7", "", True),
    Command("fold_right", "View", "Show the answers", "F8", "", True),
    Command("fold_bottom", "View", "Show the passes", "F9", "", True),
    Command("-", "View", ""),
    Command("theme", "View", "Light or dark"),
    Command("text_size", "View", "Text size"),
    Command("keys", "Help", "Keys", "F1", "keys"),
    Command("about", "Help", "About Plateful"),
)


def make_actions(owner: QWidget, plate: QWidget, slots: dict[str, Callable[..., None]]) -> dict[str, QAction]:
    """Make the actions that `slots` answer, by command id; plain keys count on the plate alone."""
    made: dict[str, QAction] = {}
    for command in COMMANDS:
        if command.id in slots:
            action = made[command.id] = _action(owner, command, slots[command.id])
            if _plain(command):
                # A letter typed into a field or a table is a letter.
                action.setShortcutContext(Qt.ShortcutContext.WidgetShortcut)
                plate.addAction(action)
            else:
                owner.addAction(action)
    return made


def dress_actions(actions: dict[str, QAction], look: Look, *, some: Iterable[str] = ()) -> None:
    """Ink the icons of the actions for a look: of all, or of some."""
    for command in COMMANDS:
        if command.icon and command.id in actions and (not some or command.id in some):
            actions[command.id].setIcon(icon(command.icon, look.text))


def keys_of(command: Command) -> str:
    """Return a command's keys as this system writes them."""
    written = QKeySequence.SequenceFormat.NativeText
    return ", ".join(QKeySequence(keys).toString(written) for keys in command.keys.split("  ") if keys)


def _action(owner: QWidget, command: Command, slot: Callable[..., None]) -> QAction:
    action = QAction(command.text, owner)
    action.setCheckable(command.checkable)
    if command.keys:
        action.setShortcuts([QKeySequence(keys) for keys in command.keys.split("  ")])
        action.setToolTip(f"{command.text.rstrip('…')} ({keys_of(command)})")
    (action.toggled if command.checkable else action.triggered).connect(slot)
    return action


def _plain(command: Command) -> bool:
    return bool(command.keys) and not re.search(r"Ctrl|F\d", command.keys)
