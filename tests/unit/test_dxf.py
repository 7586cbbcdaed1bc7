"""The DXF file read back by ezdxf and compared with the layout, areas by shapely."""

from __future__ import annotations

from collections import Counter
from functools import cache
from io import StringIO
from itertools import pairwise

import ezdxf.filemanagement
import pytest
from ezdxf.document import Drawing
from ezdxf.entities import Dimension, Insert, LWPolyline, Text
from shapely.geometry import Polygon

from basinbook.drawings.dxf import dxf_bytes
from basinbook.drawings.lengths import length_text
from basinbook.drawings.sheet import TitleBlock
from basinbook.engine.layout.model import LINTEL, Piece
from drawing_jobs import JOBS, OUTFIT, layout_of

# DXF reference, header variable $INSUNITS: 1 inches, 4 millimetres.
UNITS = {"us": (1, 0.0254), "metric": (4, 0.001)}


def written(job: str) -> bytes:
    _, system, paper = JOBS[job]
    title = TitleBlock("Courtyard basin – é", "2026-04-01", "B", system, paper)
    return dxf_bytes(layout_of(job), title, OUTFIT)


@cache
def read_back(job: str) -> Drawing:
    return ezdxf.filemanagement.read(StringIO(written(job).decode()))


def wanted_layer(piece: Piece) -> str:
    if piece.stock == "cap":
        return "CAPS" if piece.whole else "CAPS_CUT"
    if piece.stock == "column cap":
        return "COLUMN_CAPS" if piece.whole else "COLUMN_CAPS_CUT"
    kind = "LINTELS" if piece.stock == LINTEL else "BLOCKS" if piece.whole else "CUT"
    return f"COURSE_{piece.course:02d}_{kind}"


@pytest.mark.parametrize("job", JOBS)
def test_outlines_layers_and_sizes_are_those_of_the_layout(job: str) -> None:
    layout, drawing = layout_of(job), read_back(job)
    code, unit = UNITS[JOBS[job][1]]
    assert drawing.header["$INSUNITS"] == code
    assert not drawing.audit().errors
    wanted: Counter[tuple[object, ...]] = Counter()
    for piece in (*layout.pieces, *layout.caps, *layout.column_caps):
        box = piece.box
        depth = box.dy if piece.part in ("front", "back") else box.dx
        area = piece.middle_length * depth if piece.mitres else box.dx * box.dy
        corner = round(box.x / unit, 3), round(box.y / unit, 3)
        far = round((box.x + box.dx) / unit, 3), round((box.y + box.dy) / unit, 3)
        wanted[(wanted_layer(piece), *corner, *far, round(area / unit**2, 2))] += 1
    found: Counter[tuple[object, ...]] = Counter()
    labels: Counter[str] = Counter()
    for insert in drawing.modelspace().query("INSERT"):
        assert isinstance(insert, Insert)
        assert (insert.dxf.xscale, insert.dxf.yscale, insert.dxf.rotation) == (1.0, 1.0, 0.0)
        block = insert.block()
        assert block is not None
        for entity in block:
            if isinstance(entity, Text) and entity.dxf.layer.endswith("NUMBERS"):
                labels[entity.dxf.text.split()[0]] += 1
            if not isinstance(entity, LWPolyline) or entity.dxf.layer.endswith(
                ("OPENINGS", "LINER")
            ):
                continue
            assert entity.closed
            shape = Polygon(entity.get_points("xy"))
            bounds = (round(value, 3) for value in shape.bounds)
            found[(entity.dxf.layer, *bounds, round(shape.area, 2))] += 1
    assert found == wanted
    pieces = (*layout.pieces, *layout.caps, *layout.column_caps)
    assert labels == Counter(str(piece.number) for piece in pieces)


@pytest.mark.parametrize("job", ["full us", "full metric"])
def test_openings_and_liner_have_layers_of_their_own(job: str) -> None:
    layout, drawing = layout_of(job), read_back(job)
    _, unit = UNITS[JOBS[job][1]]
    outlines = [
        entity for block in drawing.blocks for entity in block if isinstance(entity, LWPolyline)
    ]
    # A course of two layers has its openings in both.
    openings = {
        (entity.dxf.layer, *(round(value, 2) for value in Polygon(entity.get_points("xy")).bounds))
        for entity in outlines
        if entity.dxf.layer.endswith("_OPENINGS")
    }
    assert openings == {
        (
            f"COURSE_{course:02d}_OPENINGS",
            *(round(value / unit, 2) for value in (box.x, box.y, box.x + box.dx, box.y + box.dy)),
        )
        for one in layout.openings
        for box in [one.box]
        for course in range(one.course_from, one.course_to + 1)
        if any(piece.part == one.part for piece in layout.courses[course - 1].pieces)
    }
    liner = {round(Polygon(e.get_points("xy")).area, 3) for e in outlines if e.dxf.layer == "LINER"}
    spec = layout.spec
    assert round(spec.inside_length * spec.inside_width / unit**2, 3) in liner


@pytest.mark.parametrize("job", ["simple", "full metric"])
def test_dimensions_say_what_they_measure(job: str) -> None:
    _, unit = UNITS[JOBS[job][1]]
    found = [e for e in read_back(job).modelspace() if isinstance(e, Dimension)]
    assert len(found) > 10
    for dimension in found:
        assert dimension.dxf.layer == "DIMENSIONS"
        measured = dimension.get_measurement()
        assert isinstance(measured, float)
        assert dimension.dxf.text == length_text(measured * unit, JOBS[job][1])


def test_courses_stand_beside_each_other_and_the_file_is_the_same_each_time() -> None:
    inserts = [e for e in read_back("full us").modelspace() if isinstance(e, Insert)]
    names = [insert.dxf.name for insert in inserts]
    assert names[:2] == ["COURSE_01", "COURSE_02"]
    # Course 3 lies on edge beside flat layers.
    assert names[2:4] == ["COURSE_03_LAYER_1", "COURSE_03_LAYER_2"]
    assert names[-2:] == ["CAPS", "COLUMN_CAPS"]
    ends = [(min(xs), max(xs)) for xs in map(reach, inserts)]
    assert all(before[1] < after[0] for before, after in pairwise(ends))
    assert written("simple") == written("simple")


def test_classes_have_an_order_of_their_own_so_that_every_process_writes_the_same() -> None:
    document = read_back("simple")
    listed = [found.dxf.name for found in document.classes]
    used = sorted(document.entitydb.dxf_types_in_use() & set(listed))
    assert len(used) > 1
    assert listed[: len(used)] == used


def reach(insert: Insert) -> list[float]:
    return [
        point[0]
        for entity in insert.virtual_entities()
        if isinstance(entity, LWPolyline)
        for point in entity.get_points("xy")
    ]
