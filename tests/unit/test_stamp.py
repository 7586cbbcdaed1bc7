"""Pictures that say what they were drawn from, and that they were not changed since."""

from __future__ import annotations

import io

import pytest
from PIL import Image
from PIL.PngImagePlugin import PngImageFile

from basinbook.drawings.stamp import bears, drawing_key, stamped
from basinbook.engine.spec import BasinSpec


def picture(shade: int = 128) -> bytes:
    stream = io.BytesIO()
    Image.new("L", (7, 5), shade).save(stream, "PNG", dpi=(150, 150))
    return stream.getvalue()


def test_a_stamped_picture_is_the_same_picture_to_other_programs() -> None:
    with Image.open(io.BytesIO(stamped(picture(90), "k"))) as image:
        image.load()
        assert image.size == (7, 5)
        assert image.getpixel((3, 2)) == 90
        assert isinstance(image, PngImageFile)
        assert set(image.text) == {"basinbook"}


def test_only_the_same_key_and_an_untouched_picture_count() -> None:
    mark = drawing_key("a")
    data = stamped(picture(), mark)
    assert bears(data, mark)
    assert not bears(data, drawing_key("b"))
    assert not bears(picture(), mark)
    assert not bears(b"", mark)
    # Another program writes the pixels anew, or puts in another picture behind the stamp.
    assert not bears(data[:-3] + b"\0" + data[-2:], mark)
    other = stamped(picture(7), mark)
    at = len(other) - len(picture(7)) + 33
    assert not bears(data[:at] + other[at:], mark)


@pytest.mark.parametrize("field", ["inside_length", "courses", "cap_overhang"])
def test_the_key_follows_each_input(field: str) -> None:
    sizes = {
        "inside_length": 1.2, "inside_width": 0.8, "block_length": 0.4, "block_height": 0.1,
        "block_depth": 0.15, "courses": 5, "cap_overhang": 0.02,
    }  # fmt: skip
    before = BasinSpec(**sizes)  # type: ignore[arg-type]
    after = BasinSpec(**{**sizes, field: sizes[field] + 1})  # type: ignore[arg-type]
    assert drawing_key("Plan 1", before) == drawing_key("Plan 1", before)
    assert drawing_key("Plan 1", before) != drawing_key("Plan 1", after)
    assert drawing_key("Plan 1", before) != drawing_key("Plan 2", before)
