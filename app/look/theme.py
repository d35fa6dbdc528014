"""From tokens to Qt: palette and style sheet of the whole program."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QGuiApplication, QPalette
from PySide6.QtWidgets import QApplication

from app.look.fonts import font, load_fonts
from app.look.icons import FOLDER
from app.look.tokens import DARK, GAP, LARGE, LIGHT, RADIUS, ROOM, SCROLL, SPACE, TARGET, TEXT_POINTS, Look
from app.settings import Settings

DRESSED = "dressed"  # what the program wears now: dressing it again costs a third of a second
ARROW, LEFT, RIGHT, CHECKED = ((FOLDER / f"{way}.svg").as_posix() for way in ("down", "left", "right", "checked"))


def look_for(settings: Settings) -> Look:
    """Return the look that is set, or the system's where none is."""
    if settings.theme != "system":
        return DARK if settings.theme == "dark" else LIGHT
    hints = QGuiApplication.styleHints()
    return DARK if hints.colorScheme() == Qt.ColorScheme.Dark else LIGHT


def apply_look(app: QApplication, look: Look, text_scale: float) -> None:
    """Dress the whole program in one look at one text size."""
    if app.property(DRESSED) == [look.name, text_scale]:
        return
    app.setProperty(DRESSED, [look.name, text_scale])
    load_fonts()
    app.setPalette(palette(look))
    app.setFont(font(text_scale=text_scale))
    app.setStyleSheet(style_sheet(look, text_scale))


def palette(look: Look) -> QPalette:
    """Return Qt's palette for a look."""
    made = QPalette()
    role = QPalette.ColorRole
    for which, colour in {
        role.Window: look.window,
        role.WindowText: look.text,
        role.Base: look.field,
        role.AlternateBase: look.panel,
        role.Text: look.text,
        role.Button: look.panel,
        role.ButtonText: look.text,
        role.PlaceholderText: look.quiet,
        role.Highlight: look.accent,
        role.HighlightedText: look.on_accent,
        role.ToolTipBase: look.field,
        role.ToolTipText: look.text,
        role.Link: look.accent,
        role.Mid: look.line,
        role.Accent: look.accent,
    }.items():
        made.setColor(which, QColor(colour))
    for which in (role.WindowText, role.Text, role.ButtonText):
        made.setColor(QPalette.ColorGroup.Disabled, which, QColor(look.quiet))
    return made


def style_sheet(look: Look, text_scale: float) -> str:
    """Return the style sheet for a look; distances grow with the text."""

    def px(size: float) -> str:
        return f"{round(size * text_scale)}px"

    return f"""
    QWidget {{ color: {look.text}; }}
    QMainWindow, QDialog {{ background: {look.window}; }}
    QToolTip {{ background: {look.field}; color: {look.text}; border: 1px solid {look.line}; padding: {px(GAP)}; }}
    QMenuBar {{ background: {look.window}; padding: 2px {px(SPACE)}; }}
    QMenuBar::item {{ padding: {px(GAP)} {px(SPACE)}; border-radius: {RADIUS}px; }}
    QMenuBar::item:selected {{ background: {look.accent_soft}; }}
    QMenu {{ background: {look.field}; border: 1px solid {look.line}; padding: {px(GAP)}; }}
    QMenu::item {{ padding: {px(GAP + 1)} {px(22)}; border-radius: {RADIUS - 2}px; }}
    QMenu::item:selected {{ background: {look.accent}; color: {look.on_accent}; }}
    QMenu::item:disabled {{ color: {look.quiet}; }}
    QMenu::separator {{ height: 1px; background: {look.line}; margin: {px(GAP)} {px(SPACE)}; }}
    QPushButton, QToolButton {{
        background: {look.field}; border: 1px solid {look.line}; border-radius: {RADIUS}px;
        padding: {px(GAP)} {px(10)}; min-height: {px(TARGET - 2 * GAP)};
    }}
    QToolButton {{ padding: {px(GAP)} {px(GAP + 2)}; }}
    QToolButton[flat="true"] {{ background: transparent; border-color: transparent; }}
    QPushButton:hover, QToolButton:hover {{ border-color: {look.accent}; }}
    QPushButton:pressed, QToolButton:pressed, QToolButton:checked {{ background: {look.accent_soft}; }}
    QPushButton:checked {{ background: {look.accent_soft}; border: 2px solid {look.accent}; font-weight: bold; }}
    QPushButton:focus, QToolButton:focus, QToolButton[flat="true"]:focus {{ border: 2px solid {look.focus}; }}
    QPushButton:disabled, QToolButton:disabled {{ color: {look.quiet}; background: transparent; }}
    QPushButton[role="main"] {{
        background: {look.accent}; color: {look.on_accent}; border-color: {look.accent}; font-weight: bold;
        padding: {px(GAP)} {px(ROOM)};
    }}
    QPushButton[role="main"]:hover {{ border-color: {look.text}; }}
    QPushButton[role="main"]:focus {{ border: 2px solid {look.text}; }}
    QPushButton[role="main"]:disabled {{ background: {look.line}; color: {look.quiet}; }}
    QPushButton[role="link"] {{
        background: transparent; border: 1px solid transparent; color: {look.accent}; text-align: left;
        padding: 1px 0; min-height: {px(TARGET - 2 * GAP)}; text-decoration: underline;
    }}
    QPushButton[role="link"]:focus {{ border: 2px solid {look.focus}; }}
    QLineEdit, QComboBox {{
        background: {look.field}; border: 1px solid {look.line}; border-radius: {RADIUS - 2}px;
        padding: {px(GAP - 1)} {px(GAP + 2)}; min-height: {px(TARGET - 2 * GAP)};
        selection-background-color: {look.accent}; selection-color: {look.on_accent};
    }}
    QCheckBox {{ spacing: {px(GAP + 2)}; }}
    QCheckBox::indicator, QAbstractItemView::indicator {{
        width: {px(14)}; height: {px(14)}; background: {look.field};
        border: 1px solid {look.quiet}; border-radius: {RADIUS - 3}px;
    }}
    QCheckBox::indicator:checked, QAbstractItemView::indicator:checked {{
        image: url("{CHECKED}"); border: 1px solid {look.accent};
    }}
    QCheckBox::indicator:focus {{ border: 2px solid {look.focus}; }}
    QCheckBox::indicator:disabled {{ border-color: {look.line}; }}
    QComboBox::drop-down {{ border: 0; width: {px(20)}; }}
    QComboBox::down-arrow {{ image: url("{ARROW}"); width: {px(12)}; height: {px(12)}; }}
    QLineEdit:focus, QComboBox:focus {{ border: 2px solid {look.focus}; }}
    QLineEdit[wrong="true"] {{ border: 2px solid {look.fault}; }}
    QAbstractItemView {{
        background: {look.field}; border: 1px solid {look.line}; border-radius: {RADIUS}px;
        selection-background-color: {look.accent_soft}; selection-color: {look.text}; outline: 0;
    }}
    QAbstractItemView:focus {{ border: 2px solid {look.focus}; }}
    QAbstractItemView::item {{ padding: {px(GAP - 1)}; }}
    QAbstractItemView::item:selected {{ background: {look.accent_soft}; color: {look.text}; }}
    QHeaderView::section {{
        background: {look.panel}; border: 0; border-bottom: 1px solid {look.line};
        padding: {px(GAP)} {px(GAP + 2)}; color: {look.quiet};
    }}
    QTabWidget::pane {{ border: 0; }}
    QTabBar::tab {{ padding: {px(GAP + 1)} {px(SPACE)}; border: 0; border-bottom: 3px solid transparent; }}
    QTabBar::tab:selected {{ border-bottom-color: {look.accent}; font-weight: bold; }}
    QTabBar::tab:hover {{ border-bottom-color: {look.line}; }}
    QTabBar::tab:focus {{ background: {look.accent_soft}; }}
    QToolButton[tab="true"] {{
        background: transparent; border: 0; border-bottom: 3px solid transparent; border-radius: 0;
        padding: {px(GAP)} {px(GAP + 1)}; min-height: 0;
    }}
    QToolButton[tab="true"]:checked {{ border-bottom-color: {look.accent}; font-weight: bold; }}
    QToolButton[tab="true"]:hover {{ border-bottom-color: {look.line}; }}
    QToolButton[tab="true"]:checked:hover {{ border-bottom-color: {look.accent}; }}
    QToolButton[tab="true"]:focus {{ background: {look.accent_soft}; }}
    QTabBar::scroller {{ width: {px(TARGET)}; }}
    QTabBar QToolButton {{ padding: 0; min-height: 0; }}
    QTabBar QToolButton::left-arrow {{ image: url("{LEFT}"); width: {px(14)}; height: {px(14)}; }}
    QTabBar QToolButton::right-arrow {{ image: url("{RIGHT}"); width: {px(14)}; height: {px(14)}; }}
    QScrollArea, QScrollArea > QWidget > QWidget {{ background: transparent; border: 0; }}
    QScrollArea:focus {{ border: 2px solid {look.focus}; }}
    QFrame[card="true"] {{ background: {look.panel}; border: 1px solid {look.line}; border-radius: {RADIUS + 2}px; }}
    QFrame[bar="true"] {{ background: {look.panel}; border: 0; border-bottom: 1px solid {look.line}; }}
    QFrame[strip="true"] {{ background: {look.panel}; border: 0; border-top: 1px solid {look.line}; }}
    QFrame[message="fault"] {{ background: {look.fault_soft}; border: 0; border-bottom: 1px solid {look.fault}; }}
    QFrame[message="news"] {{ background: {look.accent_soft}; border: 0; border-bottom: 1px solid {look.accent}; }}
    QFrame[floating="true"] {{ border: 1px solid {look.accent}; border-radius: {px(RADIUS)}; }}
    QFrame[message="fault"][floating="true"] {{ border-color: {look.fault}; }}
    QFrame[hint="true"] {{
        background: {look.accent_soft}; border: 1px solid {look.accent}; border-radius: {px(RADIUS)};
    }}
    QLabel[rank="large"] {{ font-size: {TEXT_POINTS * LARGE * text_scale:.1f}pt; font-weight: bold; }}
    QLabel[rank="name"] {{ font-weight: bold; padding-right: {px(GAP)}; }}
    QLabel[tone="quiet"] {{ color: {look.quiet}; }}
    QLabel[tone="good"] {{ color: {look.good}; }}
    QLabel[tone="warn"] {{ color: {look.warn}; }}
    QLabel[tone="fault"] {{ color: {look.fault}; }}
    QProgressBar {{
        background: {look.line}; border: 0; border-radius: 3px; max-height: {px(6)}; min-height: {px(6)};
    }}
    QProgressBar::chunk {{ background: {look.accent}; border-radius: 3px; }}
    QFrame[strip="true"] QAbstractItemView {{ background: transparent; border: 0; }}
    QSplitter::handle {{ background: {look.line}; }}
    QSplitter::handle:horizontal {{ width: 1px; }}
    QSplitter::handle:vertical {{ height: 1px; }}
    QScrollBar:vertical {{ background: transparent; width: {px(SCROLL)}; margin: 0; }}
    QScrollBar:horizontal {{ background: transparent; height: {px(SCROLL)}; margin: 0; }}
    QScrollBar::handle {{ background: {look.quiet}; border-radius: 3px; margin: 3px; }}
    QScrollBar::handle:vertical {{ min-height: 24px; }}
    QScrollBar::handle:horizontal {{ min-width: 24px; }}
    QScrollBar::add-line, QScrollBar::sub-line {{ width: 0; height: 0; }}
    """
