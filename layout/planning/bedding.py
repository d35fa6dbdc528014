"""From pieces and piles to one bed and back: which dies, over which sheets, at which poses."""

from __future__ import annotations

import math
from functools import lru_cache

from layout.geometry.outline import Outline
from layout.geometry.pose import Pose, angle_between
from layout.geometry.value import Value, replace
from layout.model.plan import Cut, LaidScrap, PlacedDie, Run
from layout.model.project import Die, Image, Project, Wanted
from layout.nesting.bed import lay
from layout.nesting.job import BedAnswer, BedJob, Box, DieJob, Effort, SheetJob
from layout.nesting.shaped import metal_of, tight_pose
from layout.planning.clear_rectangle import frame_turns
from layout.planning.extents import least_box
from layout.planning.stock import Lying, Pile, Stock, kept_edge, seen_from_sheet


class Want(Value, frozen=True):
    """One piece to be cut in a run: the wanted entry, its die and how many are still due; `held`: where it is taped."""

    wanted: Wanted
    die: Die
    due: int = 1
    held: Pose | None = None


class Sheet(Value, frozen=True):
    """Sheets to lay under the dies: some copies of a pile, stacked; `held`: where they lie already."""

    pile: Pile
    copies: tuple[int, ...]
    held: Pose | None = None
    turns: tuple[float, ...] | None = None


class Bedded(Value, frozen=True):
    """One bed that works: every want with its die's pose and its sheet's number, every sheet with its pose."""

    wants: tuple[Want, ...]
    poses: tuple[Pose, ...]
    hosts: tuple[int, ...]
    sheets: tuple[Sheet, ...]
    sheet_poses: tuple[Pose, ...]
    others: tuple[PlacedDie, ...] = ()

    def dies(self) -> tuple[PlacedDie, ...]:
        """The dies as taped down: those that cut, then those lifted off."""
        return (*(PlacedDie(w.die.id, p) for w, p in zip(self.wants, self.poses, strict=True)), *self.others)

    def run(self, numbers: tuple[int, ...] | None = None) -> Run:
        """The pass; `numbers`: each want's die among the dies of its layout (the order of `dies` where missing)."""
        order = numbers or tuple(range(len(self.wants)))
        used = sorted(set(self.hosts))
        laid = tuple(
            LaidScrap(s.pile.scrap.id, p, s.copies, s.pile.part)
            for s, p in ((self.sheets[k], self.sheet_poses[k]) for k in used)
        )
        cuts = tuple(
            Cut(order[k], used.index(h), w.wanted.id)
            for k, (w, h) in enumerate(zip(self.wants, self.hosts, strict=True))
        )
        return Run(laid, cuts)

    def made(self) -> dict[str, int]:
        """How many pieces of each wanted entry this pass makes."""
        made: dict[str, int] = {}
        for want, host in zip(self.wants, self.hosts, strict=True):
            made[want.wanted.id] = made.get(want.wanted.id, 0) + len(self.sheets[host].copies)
        return made

    def leaves(self, stock: Stock) -> Stock:
        """The stock after this pass."""
        for number, sheet in enumerate(self.sheets):
            pieces = [
                Lying(w.wanted.id, seen_from_sheet(w.die.cut, p, self.sheet_poses[number]))
                for w, p, h in zip(self.wants, self.poses, self.hosts, strict=True)
                if h == number
            ]
            if pieces:
                stock = stock.after(sheet.pile, sheet.copies, pieces)
        return stock


class Bench:
    """Turns wants and sheets of one project into beds."""

    def __init__(self, project: Project) -> None:
        machine, gaps = project.machine, project.clearances
        self.project, self.gaps = project, gaps
        margin = machine.bed_margin
        self.bed: Box = (margin, margin, machine.bed_width - margin, machine.bed_length - margin)
        reach = max(
            (math.hypot(x1 - x0, y1 - y0) for x0, y0, x1, y1 in (s.outline.bounds for s in project.scraps)), default=0
        )
        along = min(machine.overhang_along, reach)  # a sheet farther out would not touch the bed
        across = min(machine.overhang_across, reach)
        self.rollers: Box = (-across, -along, machine.bed_width + across, machine.bed_length + along)
        self._fits: dict[tuple[str, str, Outline, tuple[Lying, ...]], bool] = {}

    def lay(
        self,
        wants: list[Want],
        sheets: list[Sheet],
        effort: Effort,
        others: tuple[PlacedDie, ...] = (),
        begin: Bedded | None = None,
    ) -> Bedded | None:
        """Lay these dies over these sheets; None where no way was found or a piece has no sheet to come from.

        `others` are taped down but lifted off; `begin`: start from how the first of the dies and sheets lay there.
        """
        hosts = [self._hosts(w, sheets) for w in wants]
        if not all(hosts):
            return None
        still = [self._spread(k, s, wants, hosts) for k, s in enumerate(sheets)]
        if any(s is None for s in still):
            return None
        sheets = [s for s in still if s is not None]
        dies = [self._die(w, h, sheets) for w, h in zip(wants, hosts, strict=True)]
        dies += [self._idle(d) for d in others]
        start = None if begin is None else BedAnswer(begin.poses, begin.sheet_poses, begin.hosts)
        job = BedJob(self.bed, self.rollers, self.gaps.body_gap, tuple(dies), tuple(map(self._sheet, sheets)), start)
        answer = lay(job, effort)
        if answer is None:
            return None
        n = len(wants)
        return Bedded(tuple(wants), answer.dies[:n], answer.hosts[:n], tuple(sheets), answer.sheets, others)

    def covers(self, pile: Pile) -> bool:
        """Whether a fresh sheet of a pile can lie under the whole bed."""
        whole = not pile.lying and not pile.scrap.spoiled and not pile.scrap.images
        return whole and covering_pose(pile.outline, self.bed, self.rollers, self.edge(pile)) is not None

    def edge(self, pile: Pile) -> float:
        """How far from the border of a pile's sheets a piece must stay (mm)."""
        return kept_edge(self.gaps, pile.part)

    def has_room_for(self, sheets: list[Sheet]) -> bool:
        """Whether the rollers could take these sheets side by side, by area alone."""
        x0, y0, x1, y1 = self.rollers
        return (x1 - x0) * (y1 - y0) >= sum(s.pile.outline.area for s in sheets)

    def fits(self, wanted: Wanted, die: Die, pile: Pile) -> bool:
        """Whether a piece can come from a pile at all, tried on the sheet alone; remembered."""
        key = (wanted.id, pile.scrap.id, pile.outline, pile.lying)
        if key not in self._fits:
            self._fits[key] = self._try_alone(wanted, die, pile)
        return self._fits[key]

    def image_of(self, wanted: Wanted, pile: Pile) -> Image | None:
        """The image on a pile that a piece is wanted round and that has not been cut yet."""
        cut = [p.cut for p in pile.lying if p.wanted == wanted.id]
        return next((i for i in pile.scrap.images if i.image == wanted.image and not _cut_already(i, cut)), None)

    def _try_alone(self, wanted: Wanted, die: Die, pile: Pile) -> bool:
        if pile.outline.area < die.cut.solid.area:
            return False
        if wanted.image is not None and self.image_of(wanted, pile) is None:
            return False
        far = (-1e4, -1e4, 1e4, 1e4)
        sheet = replace(self._sheet(Sheet(pile, (0,))), held=Pose())
        die_job = self._die(Want(wanted, die), (0,), [Sheet(pile, (0,))])
        if die_job.on_sheet is not None:
            return self._image_fits(wanted, die, pile, die_job.on_sheet)
        job = BedJob(far, far, self.gaps.body_gap, (replace(die_job, metal=die.cut),), (sheet,))
        return lay(job, Effort(starts=1, rounds=8)) is not None

    def _image_fits(self, wanted: Wanted, die: Die, pile: Pile, pose: Pose) -> bool:
        cut = pose.outline(die.cut)
        if not pile.outline.polygon.buffer(-self.edge(pile) + 0.003).covers(cut.solid.polygon):
            return False
        mine = self.image_of(wanted, pile)
        for image in pile.scrap.images:
            if image is not mine and image.outline and image.outline.polygon.intersection(cut.polygon).area > 0.01:
                return False
        if any(s.polygon.intersection(cut.polygon).area > 0.01 for s in pile.scrap.spoiled):
            return False
        return all(p.cut.polygon.distance(cut.polygon) >= self.gaps.web for p in pile.lying)

    def _hosts(self, want: Want, sheets: list[Sheet]) -> tuple[int, ...]:
        paper = want.wanted.paper
        good = [k for k, s in enumerate(sheets) if paper in (None, s.pile.paper) and len(s.copies) <= want.due]
        fitting = [k for k in good if self.fits(want.wanted, want.die, sheets[k].pile)]
        return tuple(fitting[:1]) if want.wanted.image is not None else tuple(fitting)

    def _die(self, want: Want, hosts: tuple[int, ...], sheets: list[Sheet]) -> DieJob:
        metal = metal_of(want.die.body, want.die.cut, self.gaps.body_gap, self.gaps.web)
        pile = sheets[hosts[0]].pile
        if want.held is None and want.wanted.image is not None:
            image = self.image_of(want.wanted, pile)
            assert image is not None
            return DieJob(metal, want.die.cut, hosts[:1], on_sheet=image.pose)
        if want.wanted.image is not None:
            return DieJob(metal, want.die.cut, hosts[:1], held=want.held, on_image=True)
        turns = want.wanted.angles
        if turns is not None and want.held is None:
            alike = tuple(h for h in hosts if sheets[h].pile.turned_by == pile.turned_by)
            turned = tuple((t + pile.turned_by) % 360.0 for t in turns)
            return DieJob(metal, want.die.cut, alike, turns=turned)
        return DieJob(metal, want.die.cut, hosts, held=want.held or tight_pose(metal, self.bed))

    def _idle(self, placed: PlacedDie) -> DieJob:
        die = next(d for d in self.project.dies if d.id == placed.die)
        metal = metal_of(die.body, die.cut, self.gaps.body_gap, self.gaps.web)
        return DieJob(metal, die.cut, (), held=placed.pose)

    def _sheet(self, sheet: Sheet) -> SheetJob:
        pile = sheet.pile
        return SheetJob(pile.outline, self.edge(pile), pile.marks(self.gaps.web), sheet.held, sheet.turns)

    def _spread(self, number: int, sheet: Sheet, wants: list[Want], hosts: list[tuple[int, ...]]) -> Sheet | None:
        """Hold a sheet still where that is known; None where dies already taped ask for what no pose gives."""
        bound = [w for w, h in zip(wants, hosts, strict=True) if w.held is not None and number in h]
        if sheet.held is None and any(w.wanted.image is not None for w in bound):
            return self._under_images(sheet, bound)
        if sheet.held is None and any(w.wanted.angles is not None for w in bound):
            return self._turned_under(sheet, bound)
        if sheet.held is not None:
            return sheet
        pose = covering_pose(sheet.pile.outline, self.bed, self.rollers, self.edge(sheet.pile))
        if pose is None and not bound and all(h == (number,) for h in hosts):
            pose = filling_pose(sheet.pile.outline, self.bed, self.rollers)
        return sheet if pose is None else replace(sheet, held=pose)

    def _under_images(self, sheet: Sheet, bound: list[Want]) -> Sheet | None:
        """Lay a sheet so that its images come under the dies that frame them."""
        poses = [
            w.held.after(image.pose.inverse())
            for w in bound
            if w.held is not None and (image := self.image_of(w.wanted, sheet.pile)) is not None
        ]
        first = poses[0]
        alike = all(
            math.hypot(p.x - first.x, p.y - first.y) < 0.01 and angle_between(p.turn, first.turn) < 0.005 for p in poses
        )
        return replace(sheet, held=first) if alike else None

    def _turned_under(self, sheet: Sheet, bound: list[Want]) -> Sheet | None:
        """Turn a sheet so that its print stands as every piece already taped asks."""
        sets = [
            [(w.held.turn - a - sheet.pile.turned_by) % 360.0 for a in w.wanted.angles]
            for w in bound
            if w.held is not None and w.wanted.angles is not None
        ]
        good = [t for t in sets[0] if all(any(angle_between(t, u) < 0.005 for u in other) for other in sets)]
        return replace(sheet, turns=tuple(good)) if good else None


def _cut_already(image: Image, cut: list[Outline]) -> bool:
    at = (image.pose.x, image.pose.y)
    if image.outline is not None:
        return any(c.polygon.intersects(image.outline.polygon) for c in cut)
    return any(c.bounds[0] <= at[0] <= c.bounds[2] and c.bounds[1] <= at[1] <= c.bounds[3] for c in cut)


@lru_cache(maxsize=1024)
def covering_pose(outline: Outline, bed: Box, rollers: Box, edge: float) -> Pose | None:
    """A pose at which a sheet covers the whole bed with its inside and stays in the rollers; None if there is none."""
    need = Outline.rectangle(bed[2] - bed[0], bed[3] - bed[1], x=bed[0], y=bed[1]).polygon
    for turn in (0.0, 90.0):
        x0, y0, x1, y1 = Pose(turn=turn).outline(outline).bounds
        x = _slide(x0, x1, bed[0], bed[2], rollers[0], rollers[2])
        y = _slide(y0, y1, bed[1], bed[3], rollers[1], rollers[3])
        if x is None or y is None:
            continue
        pose = Pose(x, y, turn)
        if pose.outline(outline).polygon.buffer(-edge).covers(need):
            return pose
    return None


@lru_cache(maxsize=1024)
def filling_pose(outline: Outline, bed: Box, rollers: Box) -> Pose | None:
    """A pose at which a lone sheet lies over nearly all of the bed; None if none is so large and yet goes through.

    A sheet as wide as the rollers goes through in one place alone, which a search would hardly hit.
    """
    if outline.area < _NEARLY * math.prod(least_box(outline)):
        return None
    for turn in (0.0, 90.0, *((-t) % 360.0 for t in frame_turns(outline))):
        x0, y0, x1, y1 = Pose(turn=turn).outline(outline).bounds
        x = _slide(x0, x1, bed[0], bed[2], rollers[0], rollers[2])
        y = _slide(y0, y1, bed[1], bed[3], rollers[1], rollers[3])
        large = x1 - x0 >= _NEARLY * (bed[2] - bed[0]) and y1 - y0 >= _NEARLY * (bed[3] - bed[1])
        if x is not None and y is not None and large:
            return Pose(x, y, turn)
    return None


_NEARLY = 0.9


def _slide(low: float, high: float, bed_low: float, bed_high: float, least: float, most: float) -> float | None:
    """Centre a stretch on the bed as far as the rollers allow; None where it is longer than they are."""
    if high - low > most - least + 1e-9:
        return None
    at = (bed_low + bed_high) / 2 - (low + high) / 2
    return min(max(at, least - low), most - high)
