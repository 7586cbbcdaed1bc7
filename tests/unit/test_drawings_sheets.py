from __future__ import annotations

from dataclasses import replace
from functools import cache
from io import BytesIO

import pytest
from matplotlib.patches import Polygon
from pypdf import PdfReader
from pypdf.generic import Destination

from basinbook.drawings import style
from basinbook.drawings.bookmarks import with_bookmarks
from basinbook.drawings.canvas import Canvas, Rect
from basinbook.drawings.course_sheets import listed, sheet_drafts
from basinbook.drawings.drawing_set import course_sheets
from basinbook.drawings.elevation import ElevationView
from basinbook.drawings.lengths import length_text
from basinbook.drawings.plan_pages import PICTURE_PLANS, plan_drafts
from basinbook.drawings.plan_views import plan_views
from basinbook.drawings.sheet import Page, TitleBlock
from basinbook.engine.layout.model import Layout
from basinbook.engine.layout.solver import solve
from basinbook.engine.spec import BY_RULE, BasinSpec
from drawing_jobs import FULL_METRIC, FULL_US
from drawing_texts import text_clashes

# Three jobs: a small still basin, one with columns and a second wall, one with everything.
SMALL = BasinSpec(0.9, 0.6, 0.3, 0.1, 0.1, courses=3, water_depth=0.2)
EVERYTHING = replace(
    FULL_METRIC, inside_length=4.6, inside_width=2.4, pipe_space=0.25, columns=2, courses=3,
    column_courses=4, water_depth=0.2, edge_courses="", turned_walls=BY_RULE,
    service_cap="in the back wall",
    opening_2_use="overflow", opening_2_wall="left", opening_2_width=0.12, opening_2_course=2,
    opening_3_use="light", opening_3_wall="front", opening_3_width=0.2, opening_3_course=2,
    opening_4_use="cable", opening_4_wall="right", opening_4_width=0.15, opening_4_course=1,
)  # fmt: skip
SPECS = {"small": (SMALL, "metric"), "full": (FULL_US, "us"), "everything": (EVERYTHING, "metric")}


@cache
def solved(job: str) -> Layout:
    return solve(SPECS[job][0])


def title_of(job: str, paper: str) -> TitleBlock:
    return TitleBlock("Courtyard basin", "2026-04-01", "B", SPECS[job][1], paper)


@cache
def sheets_of(job: str, paper: str) -> tuple[Page, ...]:
    return course_sheets(solved(job), title_of(job, paper))


JOBS = (("small", "a4"), ("full", "letter"), ("everything", "a4"))


@pytest.mark.parametrize(("job", "paper"), JOBS)
def test_sheets_keep_their_texts_apart_and_legible(job: str, paper: str) -> None:
    layout = solved(job)
    found = sheets_of(job, paper)
    assert [clash for page in found for clash in text_clashes(page)] == []
    for page in found:
        sizes = [text.get_fontsize() for text in page.figure.texts]
        assert min(sizes) >= 7.0
        assert not any("Labels without room" in text.get_text() for text in page.figure.texts)
    # A page for each plan, and where the list has no room beside it, more for that.
    plans = [view.title for view in plan_views(layout, SPECS[job][1])]
    assert [page.title for page in found if not page.title.endswith(": list")] == plans
    assert len(found) <= 2 * len(plans)


@pytest.mark.parametrize(("job", "paper"), JOBS)
def test_each_piece_is_listed_once_with_a_box_and_numbered_in_nine_points(
    job: str, paper: str
) -> None:
    system = SPECS[job][1]
    by_title: dict[str, list[Page]] = {}
    for page in sheets_of(job, paper):
        by_title.setdefault(page.title.removesuffix(": list"), []).append(page)
    for view in plan_views(solved(job), system):
        rows = listed(view.pieces, system)
        assert [row.number.split()[0] for row in rows] == [
            str(number) for number in sorted(piece.number for piece in view.pieces)
        ]
        lengths = {str(piece.number): piece.length for piece in view.pieces}
        for row in rows:
            assert row.length == length_text(lengths[row.number.split()[0]], system)
        texts = [text for page in by_title[view.title] for text in page.figure.texts]
        # Numbers of the plan are larger than those of the list.
        large = [text.get_text() for text in texts if text.get_fontsize() == 9.0]
        assert {text.split(":")[0] for text in large} == {row.number for row in rows}
        small = [text.get_text() for text in texts if text.get_fontsize() == 7.0]
        for row in rows:
            assert row.number in small
        cut = sum(not piece.whole for piece in view.pieces)
        assert sum(", cut" in text for text in small) == cut


def test_courses_that_stand_are_marked_and_have_no_sheet() -> None:
    layout = solve(replace(FULL_US, laid_courses=2))
    title = title_of("full", "letter")
    assert sheet_drafts(layout, title)[0].title.startswith("Course 3")
    plans = plan_drafts(layout, title, None)
    page = Canvas("letter")
    plans[0].draw(page)
    front = ElevationView(layout, "front", "us", 0.1, 0.1)
    front.draw(page, Rect(0.0, 0.0, *front.size(48)), 48)
    words = {text.get_text() for text in page.figure.texts}
    assert {"Course 1 (laid)", "laid", "1 laid", "2 laid", "3"} <= words
    hatches = {patch.get_hatch() for patch in page.figure.artists if isinstance(patch, Polygon)}
    assert style.LAID in hatches


@pytest.mark.parametrize(
    # ANSI/ASME Y14.1 size B (tabloid) and ISO 216 A3, landscape [mm].
    ("paper", "size"), [("tabloid", (431.8, 279.4)), ("a3", (420.0, 297.0))],
)  # fmt: skip
def test_larger_paper_is_filled_at_a_larger_scale(paper: str, size: tuple[float, float]) -> None:
    for page in sheets_of("small", paper):
        inches = page.figure.get_size_inches()
        assert [inch * 25.4 for inch in inches] == pytest.approx(list(size))
        assert "1:5" in [text.get_text() for text in page.figure.texts]
    for page in sheets_of("small", "a4"):
        assert "1:10" in [text.get_text() for text in page.figure.texts]


def plan_titles(job: str) -> list[str]:
    return [draft.title for draft in plan_drafts(solved(job), title_of(job, "a4"), None)]


def test_a_plan_page_holds_two_courses_only_where_no_number_is_pushed_out() -> None:
    assert plan_titles("small") == ["Plan 1: courses 1 to 3"]
    large = [f"Plan {number}: course {number}" for number in (1, 2, 3)]
    assert plan_titles("everything")[:3] == large


def test_headings_of_plans_name_runs_of_courses() -> None:
    found = plan_drafts(solved("full"), title_of("full", "letter"), PICTURE_PLANS)
    assert found[0].title == "Plan 1: courses 1 to 4, 6"


def test_bookmarks_leave_the_file_as_it_is_and_take_any_letters() -> None:
    stream = BytesIO()
    sheets_of("small", "a4")[0].figure.savefig(
        stream, format="pdf", metadata={"CreationDate": None}
    )
    plain = stream.getvalue()
    marked = with_bookmarks(plain, ["Plan (1) – é"])
    assert marked.startswith(plain)
    (entry,) = PdfReader(BytesIO(marked)).outline
    assert isinstance(entry, Destination)
    assert entry.title == "Plan (1) – é"
    with pytest.raises(ValueError, match="argument"):
        with_bookmarks(plain, ["one", "two"])
