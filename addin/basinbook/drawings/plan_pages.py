"""Pages of plans: of the printed set, one course or two a page, and of a workbook's pictures."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from basinbook.drawings import style
from basinbook.drawings.canvas import Canvas, Rect
from basinbook.drawings.pieces import symbols
from basinbook.drawings.plan import PlanView
from basinbook.drawings.plan_views import plan_views
from basinbook.drawings.sheet import (
    Draft,
    FilledPage,
    Placed,
    TitleBlock,
    View,
    above,
    drawing_room,
    legend,
    legend_height,
    one_page,
    page_choices,
    shared_out,
)
from basinbook.engine.errors import InputError
from basinbook.engine.layout.model import Layout

PICTURE_PLANS: Final = 2
"""Pictures of plans in a workbook."""
_PIECE_NOTE: Final = "Number in a piece: its place in the course; 3.7 is piece 7 of course 3."


def plan_drafts(layout: Layout, title: TitleBlock, most: int | None) -> list[Draft]:
    """Return the pages of plans; ``most``: so many at most, as pictures; None: the printed set."""
    room, laid = drawing_room(title), layout.spec.laid_courses
    views = plan_views(layout, title.system, style.SMALL if most else style.NUMBER)
    marks = symbols((*layout.pieces, *layout.caps), laid)
    # The note about numbers stands in a line of its own above the legend.
    height = legend_height(marks, room.width) + 4.0
    area = above(room, height)
    if most:
        found = _best_plans(views, area, title.system, most)
    else:
        found = _printed_plans(views, area, title.system)
    drafts = []
    for number, (scale, page) in enumerate(found, 1):

        def draw(
            canvas: Canvas, number: int = number, page: list[Placed] = page, scale: int = scale
        ) -> None:
            for view, rect in page:
                view.draw(canvas, rect, scale)
            here = [p for view, _ in page if isinstance(view, PlanView) for p in view.pieces]
            legend(canvas, symbols(here, laid), room)
            canvas.text(room.x0, room.y0 + height - 2.0, _PIECE_NOTE, across="left")
            notes = []
            if most and number == most and len(found) > most:
                notes.append("There are more plans: see the printed set.")
            if canvas.left_out:
                notes.append(f"Labels without room: {canvas.left_out}; see the setting plan.")
            if notes:
                place = room.x1, room.y0 + height - 2.0
                canvas.text(*place, " ".join(notes), across="right", bold=True)

        heading = _plan_heading(number, [view for view, _ in page])
        drafts.append(Draft(f"Plan {number}", heading, scale, draw))
    return drafts


def _plan_heading(number: int, views: Sequence[View]) -> str:
    """Return such as "Plan 2: courses 4 to 6, caps"."""
    shown = [view for view in views if isinstance(view, PlanView)]
    courses = sorted({course for view in shown for course in view.courses})
    names = [view.title.lower() for view in shown if not view.courses]
    if courses:
        names.insert(0, f"course{'s' if len(courses) > 1 else ''} {_runs(courses)}")
    return f"Plan {number}: {', '.join(names)}"


def _runs(numbers: Sequence[int]) -> str:
    """Return rising numbers with runs of three and more as such: "1 to 6, 8"."""
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(
        f"{run[0]} to {run[-1]}" if len(run) > 2 else ", ".join(map(str, run)) for run in runs
    )


def _printed_plans(views: Sequence[PlanView], area: Rect, system: str) -> list[FilledPage]:
    """Return pages of one plan each, or of two where no number loses its room in its piece."""
    found: list[FilledPage] = []
    rest = list(views)
    while rest:
        alone = one_page(rest[:1], area, system)
        if alone is None:
            raise too_large()
        page = alone
        if len(rest) > 1:
            pair, after = one_page(rest[:2], area, system), one_page(rest[1:2], area, system)
            if pair and after and _as_clear(rest[:2], pair.scale, (alone.scale, after.scale)):
                page = pair
        found.append(page)
        rest = rest[len(page.placed) :]
    return found


def _as_clear(views: Sequence[PlanView], scale: int, alone: Sequence[int]) -> bool:
    """Whether at 1:scale as many pieces hold what is written of them as on pages of their own."""
    return all(
        view.inside_at(scale) == view.inside_at(own) for view, own in zip(views, alone, strict=True)
    )


def _best_plans(views: Sequence[PlanView], area: Rect, system: str, most: int) -> list[FilledPage]:
    """Return for each page its scale and views: at most ``most`` pages if they fit."""
    choices = page_choices(views, area, system)
    best: list[FilledPage] | None = None
    for count in range(1, len(views) + 1):
        if count > most and best:
            break
        more = shared_out(choices, len(views), count)
        if more and (best is None or _smallest(more) < _smallest(best)):
            best = more
    if best is None:
        raise too_large()
    return best


def too_large() -> InputError:
    """Return what is said of a plan that no standard scale fits to the paper."""
    return InputError("paper", "", "the plan of a course is too large to be drawn on it")


def _smallest(pages: Sequence[FilledPage]) -> int:
    return max(scale for scale, _ in pages)
