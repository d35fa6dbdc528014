"""What may be done in the workshop: each asks the store, and tells in one sentence what came of it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from app.document.asking import ask
from app.document.document import Document
from app.document.owed import FROM_TIN
from app.document.state import State
from app.look.papers import paper_looks
from app.messages.channel import Messages
from app.panels.words import count
from app.workshop.keeper import Keeper
from app.workshop.photos import photo_from
from app.workshop.words import renamed, tags_of
from layout.geometry.units import UnitError, format_length, parse_length

if TYPE_CHECKING:
    from layout.model.project import Wanted
    from layout.workshop import Entry, Thing, Workshop

Got = TypeVar("Got")
MOST_BACK = 200
EVERY = 1_000_000


class Deeds:
    """Changes of the drawer, and of the project from the drawer."""

    def __init__(self, keeper: Keeper, document: Document, messages: Messages) -> None:
        self._keeper, self._document, self._messages = keeper, document, messages
        self._backwards: set[int] = set()

    def ask(self, question: Callable[[Workshop], Got]) -> Got | None:
        """Ask the store; None where it refused and the person was told."""
        return self._keeper.ask(question, self._messages)

    def tell(self, deed: Callable[[Workshop], object]) -> bool:
        """Let the store do something; False where it refused and the person was told."""
        return self._keeper.tell(deed, self._messages)

    def put_into_project(self, things: Sequence[str]) -> None:
        """Put things into the open project, as one undo step."""
        document = self._document
        after = self.ask(lambda store: store.into_project(document.project, things))
        if after is None:
            return
        if after == document.project:
            self._messages.news("All of it is in the project already.")
            return
        what = count(len(things), "thing")
        ask(document, f"Addition of {what} from the workshop", after)
        self._messages.step(f"{what} put into the project.", "Undo", document.undo)

    def fitting(self, spare: str) -> tuple[Wanted, ...]:
        """Return the pieces still due that ready ones of the tin can be; tells where there are none."""
        from layout.model.done import Spare
        from layout.workshop.tin import fitting

        found = self.ask(lambda store: store.load(spare))
        if not isinstance(found, Spare):
            return ()
        fits = fitting(self._document.project, found)
        if not fits:
            self._messages.news(f"The project needs no more {found.name} of {found.paper or 'any paper'}.")
        return fits

    def take_from_tin(self, spare: str, wanted: str, count_taken: int) -> None:
        """Take ready pieces out of the tin for the open project, as one undo step; the planner counts them as made."""
        from layout.workshop.tin import with_more

        document = self._document
        held = self.ask(lambda store: store.thing(spare).count)
        if held is None or count_taken > held:
            self._messages.fault("The tin holds fewer of these by now; look at it again.")
            return
        after = with_more(self._keeper.named(), spare, wanted, count_taken)
        ask(document, "Pieces taken from the tin", after)
        if document.project.extra.get(FROM_TIN) == after.extra.get(FROM_TIN):  # it was not refused
            self._messages.step(f"{count(count_taken, 'ready piece')} taken from the tin.", "Put back", document.undo)

    def rename_set(self, old: str, new: str) -> None:
        """Call a set otherwise."""
        if self.tell(lambda store: store.rename_set(old, new)):
            self._messages.news(f"The set is called “{new}” now.")

    def remove_set(self, name: str, things: Sequence[str]) -> None:
        """Take a set apart, and offer to put it together again."""
        if self.tell(lambda store: store.remove_set(name)):
            back = ("Put it together again", lambda: self.put_set(name, things))
            self._messages.news(f"Set “{name}” taken apart; its things stay.", back)

    def rename_tag(self, old: str, new: str) -> None:
        """Write a tag otherwise everywhere, or take it off."""
        if self.tell(lambda store: store.rename_tag(old, new)):
            self._messages.news(f"The tag is “{new}” now." if new else f"Tag “{old}” taken off everything.")

    def picture_from(self, thing: str, path: Path) -> None:
        """Give a thing a photo of its own."""
        png = photo_from(path)
        if png is None:
            self._messages.fault(f"{path.name} is no picture that can be read; choose a PNG or JPEG.")
        elif self.tell(lambda store: store.set_picture(thing, png)):
            self._messages.news(f"{path.name} is its picture now.")

    def keep_from_project(self) -> None:
        """Keep what the project has and the workshop has not."""
        document, before = self._document, self._every()
        after = self.ask(lambda store: store.take_over(document.project))
        if after is None:
            return
        document.change("Keeping in the workshop", State(after, document.plan))
        new = len(self._every() - before)
        self._messages.news(f"{count(new, 'thing')} kept." if new else "The workshop has all of it already.")

    def remove(self, things: Sequence[str]) -> int:
        """Take things out of the workshop; returns how many went."""
        return sum(self.tell(lambda store, t=t: store.remove(t)) for t in things)

    def walk_back(self, steps: int) -> None:
        """Take the newest changes of the drawer back; ticks are taken back where they were made."""
        for _ in range(steps):
            entries = self._history()
            last = next((e for e in entries if self._can_walk(e)), None)
            if last is None:
                self._messages.news("Nothing is left to take back.")
                return
            if not self.tell(lambda store, n=last.number: store.walk_back(n)):
                return
            newest = max(e.number for e in entries)
            # The store writes a step back down as a change too; it must not be the next one taken back.
            self._backwards |= {e.number for e in self._history() if e.number > newest}

    def _history(self) -> list[Entry]:
        return self.ask(lambda store: store.history(limit=MOST_BACK)) or []

    def _can_walk(self, entry: Entry) -> bool:
        return not entry.undone and not entry.record and bool(entry.thing) and entry.number not in self._backwards

    def change(self, thing: Thing, *, name: str | None = None, note: str | None = None) -> None:
        """Give a thing another name or note; everything else of it stays."""

        def put(store: Workshop) -> None:
            model = store.load(thing.id)
            model = model if name is None else renamed(model, name)
            said = thing.note if note is None else note
            store.put(model, name=thing.id, tags=thing.tags, note=said, source=thing.source)

        self.tell(put)

    def tag(self, thing: Thing, text: str) -> None:
        """Give a thing the tags written, with commas between them."""
        self.tell(lambda store: store.tag(thing.id, tags_of(text)))

    def put_set(self, name: str, things: Sequence[str]) -> None:
        """Keep things together under a name."""
        if self.tell(lambda store: store.put_set(name, things)):
            self._messages.news(f"Set “{name}” made of {count(len(things), 'thing')}.")

    def import_from(self, path: Path) -> None:
        """Take a drawer in from a file."""
        new = self.ask(lambda store: store.import_drawer(path))
        if new is not None:
            self._messages.news(f"{count(len(new), 'thing')} taken in from {path.name}.")

    def export_to(self, path: Path, things: Sequence[str]) -> None:
        """Write things, or everything where none are named, into one file."""
        if self.tell(lambda store: store.export_drawer(path, list(things) or None)):
            what = count(len(things), "thing") if things else "Everything"
            self._messages.news(f"{what} written to {path.name}.")

    def worth_keeping(self) -> str:
        """Return the size from which what is left of a sheet is kept, in the person's unit."""
        size = self.ask(lambda store: store.worth_keeping)
        return "" if size is None else format_length(size, self._document.unit)

    def keep_from(self, text: str) -> None:
        """Read that size and keep it; what cannot be read is told."""
        try:
            size = parse_length(text, self._document.unit)
        except UnitError as error:
            self._messages.fault(str(error))
            return
        if self._keeper.keep_from(size, self._messages):
            self._messages.news(f"From now on, what a circle of {self.worth_keeping()} fits on is kept.")

    def grounds(self) -> dict[str, str]:
        """Return the colour of every paper by its name."""
        papers = self.ask(lambda store: [store.load(t.id) for t in store.things(kind="paper", limit=EVERY)])
        return {look.name: look.ground for look in paper_looks(papers or ()).values()}

    def _every(self) -> set[str]:
        return {t.id for t in self.ask(lambda store: store.things(limit=EVERY)) or ()}
