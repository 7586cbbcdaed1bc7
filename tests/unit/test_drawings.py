from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pypdfium2
import pytest
from lxml import etree
from matplotlib import rc_context
from matplotlib.backends.backend_agg import FigureCanvasAgg
from pypdf import PdfReader
from pypdf.generic import Destination

from basinbook.drawings import style
from basinbook.drawings.canvas import text_rect
from basinbook.drawings.drawing_set import PICTURES, page_pngs, pages, picture_pages, write_drawings
from basinbook.drawings.lengths import length_text, scale_text
from basinbook.drawings.pieces import levels
from basinbook.drawings.sheet import NOTE, Page, TitleBlock
from basinbook.engine.errors import InputError
from drawing_jobs import JOBS, OUTFIT, layout_of, one_course
from drawing_texts import POINTS_PER_MM, text_clashes

SVG = "{http://www.w3.org/2000/svg}"
# ANSI/ASME Y14.1 size A (letter) and ISO 216 A4, landscape [mm].
PAPER_MM = {"letter": (279.4, 215.9), "a4": (297.0, 210.0)}


def title_of(job: str) -> TitleBlock:
    _, system, paper = JOBS[job]
    return TitleBlock("Courtyard basin", "2026-04-01", "B", system, paper)


@cache
def pages_of(job: str) -> list[Page]:
    """The pages of a job, for tests that only look at them."""
    return list(pages(layout_of(job), title_of(job), OUTFIT))


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    folders = {}
    for job in JOBS:
        folder = tmp_path_factory.mktemp("drawn")
        write_drawings(layout_of(job), title_of(job), OUTFIT, folder)
        folders[job] = folder
    return folders


def svg_roots(folder: Path, pattern: str = "*") -> Iterator[etree._Element]:
    for file in sorted(folder.glob(f"drawing-{pattern}.svg")):
        yield etree.parse(file).getroot()


def svg_texts(root: etree._Element) -> list[str]:
    return ["".join(node.itertext()).strip() for node in root.iter(f"{SVG}text")]


# 1 in = 25.4 mm exactly (international yard and pound agreement, 1959).
@pytest.mark.parametrize(
    ("length", "system", "text"),
    [
        (1.27, "us", "4' 2\""),
        (50.5 * 0.0254, "us", "4' 2 1/2\""),
        (5.625 * 0.0254, "us", '5 5/8"'),
        (0.0625 * 0.0254, "us", '1/16"'),
        (12.25 * 0.0254, "us", "1' 0 1/4\""),
        (11.99 * 0.0254, "us", "1' 0\""),
        (0.0, "us", '0"'),
        (1.27, "metric", "1270"),
        (0.09525, "metric", "95"),
    ],
)
def test_lengths_are_written_as_the_crew_reads_them(length: float, system: str, text: str) -> None:
    assert length_text(length, system) == text


def test_scales_are_named() -> None:
    # Architect's scale: 1/2 in to the foot is 1:24 by arithmetic (12 / 0.5).
    assert scale_text(24, "us") == '1/2" = 1\' 0" (1:24)'
    assert scale_text(20, "metric") == "1:20"


@pytest.mark.parametrize("job", JOBS)
def test_no_text_overlaps_another_or_leaves_the_border(job: str) -> None:
    clashes = []
    for page in pages_of(job):
        clashes += text_clashes(page)
    assert clashes == []


def test_text_is_measured_as_matplotlib_draws_it() -> None:
    figure = pages(one_course(), title_of("simple"), OUTFIT)[0].figure
    canvas = figure.canvas
    assert isinstance(canvas, FigureCanvasAgg)
    text = next(t for t in figure.texts if t.get_text() == NOTE)
    with rc_context(style.RC):
        drawn = text.get_window_extent(canvas.get_renderer())
    own = text_rect(0.0, 0.0, NOTE, text.get_fontsize(), bold=True)
    assert own.width == pytest.approx(drawn.width / figure.dpi * 25.4, rel=0.02)


@pytest.mark.parametrize("job", JOBS)
def test_svg_is_well_formed_black_and_white_and_never_small(
    written: dict[str, Path], job: str
) -> None:
    roots = list(svg_roots(written[job]))
    assert len(roots) == len(pages_of(job))
    for root in roots:
        source = etree.tostring(root, encoding="unicode")
        sizes = [float(s) for s in re.findall(r"font(?:-size)?: (?:bold )?([0-9.]+)px", source)]
        assert sizes
        assert min(sizes) >= 7.0
        for colour in re.findall(r"#([0-9a-f]{6})\b", source):
            assert colour[:2] == colour[2:4] == colour[4:], colour


@pytest.mark.parametrize("job", JOBS)
def test_each_piece_is_drawn_once_in_plan(written: dict[str, Path], job: str) -> None:
    layout = layout_of(job)
    drawn: Counter[str] = Counter()
    for root in svg_roots(written[job], "plan-*"):
        drawn.update(
            str(node.get("id")) for node in root.iter() if "plan-" in str(node.get("id", ""))
        )
    wanted: Counter[str] = Counter(f"plan-cap-{piece.number}" for piece in layout.caps)
    wanted.update(f"plan-column-cap-{piece.number}" for piece in layout.column_caps)
    first = {level.numbers[0]: level for level in levels(layout)}
    assert first
    for level in levels(layout):
        wanted.update(f"plan-block-{level.numbers[0]}-{piece.number}" for piece in level.pieces)
    assert drawn == wanted
    assert set(drawn.values()) == {1}


@pytest.mark.parametrize("job", JOBS)
def test_courses_that_share_a_plan_are_alike_and_none_is_left_out(job: str) -> None:
    layout = layout_of(job)
    shown: dict[int, list[tuple[object, ...]]] = {course.number: [] for course in layout.courses}
    for level in levels(layout):
        for number, z in zip(level.numbers, level.z, strict=True):
            bed = level.pieces[0].box.z
            for piece in level.pieces:
                box = piece.box
                row = (box.x, box.y, box.z - bed + z, box.dx, box.dy, box.dz)
                shown[number].append((piece.number, *(round(value, 6) for value in row)))
    for course in layout.courses:
        own = []
        for piece in course.pieces:
            box = piece.box
            row = (box.x, box.y, box.z, box.dx, box.dy, box.dz)
            own.append((piece.number, *(round(value, 6) for value in row)))
        assert sorted(shown[course.number]) == sorted(own)


@pytest.mark.parametrize("job", ["simple", "full us"])
def test_each_number_stands_once_in_each_plan(written: dict[str, Path], job: str) -> None:
    # In feet and inches every length has a mark, so a bare number is a piece's.
    layout = layout_of(job)
    wanted = Counter(piece.number for level in levels(layout) for piece in level.pieces)
    wanted.update(piece.number for piece in (*layout.caps, *layout.column_caps))
    bare: Counter[int] = Counter()
    named: Counter[int] = Counter()
    for root in svg_roots(written[job], "plan-*"):
        for text in svg_texts(root):
            if re.fullmatch(r"[1-9]\d*", text):
                bare[int(text)] += 1
            elif match := re.fullmatch(r"(\d+): .*[\"']", text):
                named[int(match[1])] += 1
    for number, count in wanted.items():
        assert bare[number] <= count <= bare[number] + named[number], number
    assert set(bare) | set(named) == set(wanted)


def test_cut_lengths_stand_in_the_plan(written: dict[str, Path]) -> None:
    layout = layout_of("simple")
    texts = [text for root in svg_roots(written["simple"], "plan-*") for text in svg_texts(root)]
    for level in levels(layout):
        for piece in level.pieces:
            if not piece.whole:
                length = length_text(piece.length, "us")
                assert length in texts or f"{piece.number}: {length}" in texts


@pytest.mark.parametrize("job", JOBS)
def test_paper_and_scale_are_true_in_the_pdf(written: dict[str, Path], job: str) -> None:
    layout, title = layout_of(job), title_of(job)
    document = pypdfium2.PdfDocument(written[job] / "drawings.pdf")
    width, height = (mm * POINTS_PER_MM for mm in PAPER_MM[title.paper])
    for page in document:
        assert page.get_size() == pytest.approx((width, height), abs=0.01)
    scale_line = next(
        line
        for line in document[0].get_textpage().get_text_range().splitlines()
        if re.search(r"1:\d+", line)
    )
    match = re.search(r"1:(\d+)", scale_line)
    assert match
    piece = layout.courses[0].pieces[0]
    per = 1000.0 / int(match[1]) * POINTS_PER_MM
    wanted = piece.box.dx * per, piece.box.dy * per
    found = []
    for item in document[0].get_objects():
        left, low, right, high = item.get_bounds()
        found.append((right - left, high - low))
    # The bounds of a stroked outline lie outside its line, as far across as up: by at most its
    # weight (0.8 pt) on each side.
    over = [(wide - wanted[0], tall - wanted[1]) for wide, tall in found]
    assert any(-0.01 < x < 1.61 and abs(x - y) < 0.01 for x, y in over)


@pytest.mark.parametrize("job", JOBS)
def test_each_page_has_its_title_block(written: dict[str, Path], job: str) -> None:
    title = title_of(job)
    reader = PdfReader(written[job] / "drawings.pdf")
    count = len(reader.pages)
    assert "/CreationDate" not in (reader.metadata or {})
    for number, page in enumerate(reader.pages, 1):
        text = page.extract_text()
        for part in (title.job, title.date, "Revision", NOTE, f"{number} of {count}"):
            assert part in text
        assert ("Millimetres" in text) == (title.system == "metric")


@pytest.mark.parametrize("name", ["drawings.pdf", "course_sheets.pdf"])
def test_each_page_has_a_bookmark_with_its_title(written: dict[str, Path], name: str) -> None:
    reader = PdfReader(written["full us"] / name)
    marks = [item for item in reader.outline if isinstance(item, Destination)]
    assert len(marks) == len(reader.pages) > 3
    for number, (mark, page) in enumerate(zip(marks, reader.pages, strict=True)):
        assert reader.get_destination_page_number(mark) == number
        assert str(mark.title) in " ".join(page.extract_text().split())


def test_the_same_layout_gives_the_same_bytes(written: dict[str, Path], tmp_path: Path) -> None:
    again = write_drawings(layout_of("simple"), title_of("simple"), OUTFIT, tmp_path)
    for file in again:
        assert file.read_bytes() == (written["simple"] / file.name).read_bytes()
    pictures = page_pngs(one_course(), title_of("simple"), OUTFIT, dpi=60)
    assert pictures == page_pngs(one_course(), title_of("simple"), OUTFIT, dpi=60)


def test_no_file_is_replaced_unasked_and_none_left_half_done(tmp_path: Path) -> None:
    there = tmp_path / "drawing-section.svg"
    there.write_text("mine")
    layout, title = one_course(), title_of("simple")
    with pytest.raises(InputError, match="--force"):
        write_drawings(layout, title, OUTFIT, tmp_path)
    assert [file.name for file in tmp_path.iterdir()] == [there.name]
    assert there.read_text() == "mine"
    files = write_drawings(layout, title, OUTFIT, tmp_path, force=True)
    assert sorted(files) == sorted(tmp_path.iterdir())
    assert etree.parse(there).getroot().tag == f"{SVG}svg"


def test_bad_requests_name_what_is_wrong(tmp_path: Path) -> None:
    layout, title = one_course(), title_of("simple")
    with pytest.raises(InputError, match="format"):
        write_drawings(layout, title, OUTFIT, tmp_path, formats=("dwg",))
    with pytest.raises(InputError, match="paper"):
        TitleBlock("", "", "", "us", "a0")
    with pytest.raises(InputError, match="units"):
        TitleBlock("", "", "", "imperial", "a4")
    file = tmp_path / "file"
    file.write_text("")
    with pytest.raises(InputError, match="out"):
        write_drawings(layout, title, OUTFIT, file)


@pytest.mark.parametrize("job", ["simple", "full metric"])
def test_pictures_have_fixed_names_and_size(job: str) -> None:
    title = title_of(job)
    pictures = page_pngs(layout_of(job), title, OUTFIT, dpi=50)
    assert tuple(pictures) == PICTURES
    for data in pictures.values():
        assert data.startswith(b"\x89PNG\r\n\x1a\n")
        size = int.from_bytes(data[16:20], "big"), int.from_bytes(data[20:24], "big")
        wanted = tuple(int(mm / 25.4 * 50) for mm in PAPER_MM[title.paper])
        assert size == wanted


def test_a_picture_that_is_not_needed_says_so() -> None:
    drawn = {p.name: p for p in picture_pages(one_course(), title_of("simple"), OUTFIT)}
    words = [text.get_text() for text in drawn["Plan 2"].figure.texts]
    assert "This layout needs no such page." in words
    assert any("Course 1" in t.get_text() for t in drawn["Plan 1"].figure.texts)


def test_elevations_number_the_courses(written: dict[str, Path]) -> None:
    root = next(svg_roots(written["full us"], "elevations"))
    bold = Counter(svg_texts(root))
    for course in layout_of("full us").courses:
        assert bold[str(course.number)] in (0, 3), course.number
    assert bold["1"] == 3
    assert any("water level" in text for text in bold)
