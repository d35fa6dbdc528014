"""The rules of one layout while a person moves things on it: only what moved is checked again."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping

import shapely

from layout.geometry.pose import Pose
from layout.geometry.units import Unit
from layout.geometry.value import replace
from layout.model.plan import Cut, Layout, PlacedDie, Plan, Run
from layout.model.project import Project
from layout.rules.bodies import bodies_too_close, die_leaves_bed
from layout.rules.book import Book, posed
from layout.rules.copies import cuts_twice, too_many_of_a_die
from layout.rules.cutting_down import Sheets
from layout.rules.finding import RULES, Finding
from layout.rules.laid import Body, Piece, Sheet, layout_words, piece_of, pieces_of, punched_of, runs_of, sheets_of
from layout.rules.margins import piece_margins
from layout.rules.names import names
from layout.rules.near import Near
from layout.rules.panels import blanks_of, by_sheet, parts, piece_on_panels
from layout.rules.papers import laid_twice, papers_overlap, sheets_missing, sticks_out, too_many_layers
from layout.rules.webs import pieces_too_close
from layout.rules.wishes import piece_wishes

Key = tuple[str, int, int]  # ("die", 0, index), ("sheet", run, index), ("piece", run, cut), ("else", 0, index)
PLAN: Key = ("plan", 0, 0)


class LiveRules:
    """What is wrong with one layout of a plan, kept up to date move by move.

    Everything about this layout's dies, sheets and pieces is checked, also against what other layouts, punchings and
    panels take from the same sheets. When something is added, removed or cut otherwise, make a new one. Made
    `in_steps`, it may be asked once `step` says that nothing is left to do.
    """

    def __init__(self, project: Project, plan: Plan, layout: int, unit: Unit = "mm", *, in_steps: bool = False) -> None:
        self._book = Book(project, unit)
        self._sheets = Sheets(self._book, plan.cut_downs)
        self._path = f"layouts[{layout}]"
        self._layout = plan.layouts[layout]
        self._found: dict[tuple[Key, Key], list[Finding]] = {}
        self._pairs: dict[Key, set[tuple[Key, Key]]] = defaultdict(set)
        self._bodies: dict[Key, Body] = {}
        self._near_bodies: Near[Key] = Near()
        self._laid: dict[Key, Sheet] = {}
        self._pieces: dict[Key, Piece] = {}
        self._near_pieces: dict[tuple[str, int], Near[Key]] = defaultdict(Near)  # by scrap and copy
        self._cuts_of_die: dict[int, list[Key]] = defaultdict(list)
        self._cuts_of_scrap: dict[tuple[int, int], list[Key]] = defaultdict(list)
        self._blanks = by_sheet(blanks_of(self._book, plan))
        self._still_to_do = self._begin(plan, layout)
        if not in_steps:
            self.finish()

    def step(self) -> bool:
        """Take in or check a little more of the layout; False once all is done and the rules may be asked."""
        return next(self._still_to_do, None) is not None

    def finish(self) -> None:
        """Do all that is still to do."""
        while self.step():
            pass

    # ---- asking ------------------------------------------------------------------------------------------------

    def findings(self) -> list[Finding]:
        """Return all that is wrong now, in the order of the rules."""
        found = [f for many in self._found.values() for f in many]
        return sorted(found, key=lambda f: (RULES.index(f.rule), f.where, f.things))

    def about_die(self, die: int) -> list[Finding]:
        """Return what is wrong now with a die and the pieces it cuts."""
        return self._about([("die", 0, die), *self._cut_by(die)])

    def about_scrap(self, run: int, scrap: int) -> list[Finding]:
        """Return what is wrong now with a sheet of a run and the pieces cut out of it."""
        return self._about([("sheet", run, scrap), *self._cut_from(run, scrap)])

    @property
    def layout(self) -> Layout:
        """The layout as it lies now."""
        return self._layout

    # ---- moving ------------------------------------------------------------------------------------------------

    def move_die(self, die: int, pose: Pose) -> list[Finding]:
        """Move one die of the layout and return what is wrong with it there."""
        self.move_dies({die: pose})
        return self.about_die(die)

    def move_dies(self, poses: Mapping[int, Pose]) -> None:
        """Move several dies at once."""
        dies = tuple(replace(d, pose=poses[i]) if i in poses else d for i, d in enumerate(self._layout.dies))
        self._layout = replace(self._layout, dies=dies)
        for die in poses:
            self._put_body(die)
        for die in poses:
            self._check_body(("die", 0, die))
        self._move_pieces([key for die in poses for key in self._cut_by(die)])

    def move_scrap(self, run: int, scrap: int, pose: Pose) -> list[Finding]:
        """Move one sheet (or stack) of a run and return what is wrong with it there."""
        old = self._layout.runs[run]
        laid = tuple(replace(s, pose=pose) if k == scrap else s for k, s in enumerate(old.scraps))
        runs = tuple(replace(old, scraps=laid) if r == run else other for r, other in enumerate(self._layout.runs))
        self._layout = replace(self._layout, runs=runs)
        key = ("sheet", run, scrap)
        if key in self._laid:
            sheet = self._laid[key]
            self._laid[key] = replace(sheet, laid=laid[scrap], shape=posed(sheet.paper.area, pose))
            self._check_sheet(key)
            self._move_pieces(self._cut_from(run, scrap))
        return self.about_scrap(run, scrap)

    def recut(self, run: int, die: int, scrap: int | None, wanted: str = "") -> None:
        """Let a die cut another sheet of a run from now on, or none of them (`scrap` None).

        `layout` keeps the old cut of a die that cuts none; nothing is checked about it.
        """
        old = self._layout.runs[run]
        at = next((c for c, cut in enumerate(old.cuts) if cut.die == die), len(old.cuts))
        self._drop_piece(("piece", run, at))
        if scrap is None:
            return
        cuts = (*old.cuts[:at], Cut(die, scrap, wanted), *old.cuts[at + 1 :])
        runs = list(self._layout.runs)
        runs[run] = replace(old, cuts=cuts)
        self._layout = replace(self._layout, runs=tuple(runs))
        piece = self._piece(run, at)
        if piece is not None:
            self._put_piece(("piece", run, at), piece)
            self._cuts_of_die[die].append(("piece", run, at))
            self._cuts_of_scrap[run, scrap].append(("piece", run, at))
            self._check_piece(("piece", run, at))

    def _drop_piece(self, key: Key) -> None:
        if key not in self._pieces:
            return
        cut = self._layout.runs[key[1]].cuts[key[2]]
        self._forget(key)
        piece = self._pieces.pop(key)
        for copy in piece.copies:
            self._near_pieces[piece.scrap, copy].remove(key)
        self._cuts_of_die[cut.die].remove(key)
        self._cuts_of_scrap[key[1], cut.scrap].remove(key)

    # ---- what there is -----------------------------------------------------------------------------------------

    def _begin(self, plan: Plan, layout: int) -> Iterator[bool]:
        yield from self._take_in(plan, layout)
        self._tell(PLAN, PLAN, self._unmoved(plan))
        yield True
        yield from self._check_all()

    def _take_in(self, plan: Plan, layout: int) -> Iterator[bool]:
        for die in range(len(self._layout.dies)):
            self._put_body(die)
        yield True
        elsewhere = 0
        for owner, run, where, path in runs_of(plan):
            if path.startswith(f"{self._path}."):
                continue
            for piece in pieces_of(self._book, self._sheets, owner, run, where, path):
                self._put_piece(("else", 0, elsewhere), piece)
                elsewhere += 1
            yield True
        for k, entry in enumerate(plan.punched):
            punched = punched_of(self._book, self._sheets, entry, k)
            if punched is not None:
                self._put_piece(("else", 1, k), punched)
        for r, run in enumerate(plan.layouts[layout].runs):
            self._take_in_run(r, run)
            yield True

    def _take_in_run(self, r: int, run: Run) -> None:
        laid = sheets_of(self._book, self._sheets, run, self._where(r), f"{self._path}.runs[{r}]")
        self._laid.update({("sheet", r, k): sheet for k, sheet in enumerate(laid) if sheet is not None})
        for c in range(len(run.cuts)):
            piece = self._piece(r, c)
            if piece is not None:
                self._put_piece(("piece", r, c), piece)
                self._cuts_of_die[run.cuts[c].die].append(("piece", r, c))
                self._cuts_of_scrap[r, run.cuts[c].scrap].append(("piece", r, c))

    def _where(self, run: int) -> str:
        return f"{layout_words(self._layout)}, run {run + 1}"

    def _put_body(self, die: int) -> None:
        placed: PlacedDie = self._layout.dies[die]
        if placed.die in self._book.dies:
            shape = posed(self._book.body(placed.die), placed.pose)
            self._bodies["die", 0, die] = Body(
                layout_words(self._layout), f"{self._path}.dies[{die}]", placed.die, shape
            )
            self._near_bodies.put(("die", 0, die), shape.bounds)

    def _put_piece(self, key: Key, piece: Piece) -> None:
        self._pieces[key] = piece
        box = piece.shape.bounds
        for copy in piece.copies:
            self._near_pieces[piece.scrap, copy].put(key, box)

    def _piece(self, r: int, c: int) -> Piece | None:
        cut = self._layout.runs[r].cuts[c]
        placed, laid = self._layout.dies[cut.die], self._layout.runs[r].scraps[cut.scrap]
        if placed.die not in self._book.dies or laid.scrap not in self._book.scraps:
            return None
        thing = f"{self._path}.dies[{cut.die}]"
        return piece_of(self._book, self._sheets, (placed.die, placed.pose), laid, cut.wanted, self._where(r), thing)

    def _cut_by(self, die: int) -> list[Key]:
        return self._cuts_of_die[die]

    def _cut_from(self, run: int, scrap: int) -> list[Key]:
        return self._cuts_of_scrap[run, scrap]

    # ---- checking ----------------------------------------------------------------------------------------------

    def _check_all(self) -> Iterator[bool]:
        for key in self._bodies:
            self._check_body(key)
            yield True
        for key in self._laid:
            self._check_sheet(key)
            yield True
        for keys in self._cuts_of_die.values():
            for key in keys:
                self._check_piece(key)
                yield True

    def _unmoved(self, plan: Plan) -> list[Finding]:
        """Find what no moving changes: names, counts, layers, parts."""
        book, mine = self._book, self._path
        found = [*names(book, plan), *parts(book, self._sheets, plan), *too_many_of_a_die(book, self._layout, mine)]
        for r, run in enumerate(self._layout.runs):
            where, path = self._where(r), f"{mine}.runs[{r}]"
            laid = [sheet for key, sheet in self._laid.items() if key[1] == r]
            found += [*cuts_twice(book, self._layout, run, where, path), *laid_twice(book, laid)]
            for sheet in laid:
                found += sheets_missing(book, sheet.laid.scrap, sheet.laid.copies, where, sheet.thing)
                found += _told([too_many_layers(book, sheet)])
        return [f for f in found if any(thing.startswith(mine) for thing in f.things)]

    def _check_body(self, key: Key) -> None:
        self._forget(key)
        body = self._bodies.get(key)
        if body is None:
            return
        self._tell(key, key, _told([die_leaves_bed(self._book, body)]))
        for other in list(self._near_bodies.around(key, self._book.gaps.body_gap)):
            still = self._bodies[other]
            shapely.prepare(still.shape)
            self._tell(key, other, _told([bodies_too_close(self._book, still, body)]))

    def _check_sheet(self, key: Key) -> None:
        self._forget(key)
        sheet = self._laid[key]
        self._tell(key, key, _told(sticks_out(self._book, sheet)))
        for other, still in self._laid.items():
            if other != key and other[1] == key[1]:
                shapely.prepare(still.shape)
                self._tell(key, other, _told([papers_overlap(self._book, still, sheet)]))

    def _move_pieces(self, keys: list[Key]) -> None:
        for key in keys:
            piece = self._piece(key[1], key[2])
            if piece is not None:
                self._put_piece(key, piece)
        for key in keys:
            self._check_piece(key)

    def _check_piece(self, key: Key) -> None:
        self._forget(key)
        piece, book = self._pieces[key], self._book
        self._tell(
            key,
            key,
            [*piece_margins(book, piece), *piece_wishes(book, piece), *piece_on_panels(book, self._blanks, piece)],
        )
        near = {o for copy in piece.copies for o in self._near_pieces[piece.scrap, copy].around(key, book.gaps.web)}
        for other in near:
            still = self._pieces[other]
            shapely.prepare(still.shape)
            self._tell(key, other, _told([pieces_too_close(book, still, piece)]))

    # ---- remembering -------------------------------------------------------------------------------------------

    def _about(self, keys: Iterable[Key]) -> list[Finding]:
        pairs = {pair for key in keys for pair in self._pairs.get(key, ())}
        found = [f for pair in pairs for f in self._found[pair]]
        return sorted(found, key=lambda f: (RULES.index(f.rule), f.where, f.things))

    def _tell(self, a: Key, b: Key, found: list[Finding]) -> None:
        pair = (a, b) if a <= b else (b, a)
        if found:
            self._found[pair] = found
            self._pairs[a].add(pair)
            self._pairs[b].add(pair)

    def _forget(self, key: Key) -> None:
        for pair in list(self._pairs.get(key, ())):
            del self._found[pair]
            for end in set(pair):
                self._pairs[end].discard(pair)


def _told(found: Iterable[Finding | None]) -> list[Finding]:
    return [f for f in found if f is not None]
