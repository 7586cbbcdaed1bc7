from __future__ import annotations

import pytest

from basinbook.catalogue import call
from basinbook.catalogue.model import CellError
from basinbook.engine import kinds
from basinbook.units import feet_and_inches, read

INCH = 0.0254


@pytest.mark.parametrize(
    ("inches", "text"),
    [
        (0, '0"'),
        (0.5, '1/2"'),
        (12, "1' 0\""),
        (12.5, "1' 0 1/2\""),
        (50.5, "4' 2 1/2\""),
        (50.4375, "4' 2 7/16\""),
        (50.03, "about 4' 2\""),
        (143.9995, "12' 0\""),
        (-3.25, '-3 1/4"'),
    ],
)
def test_feet_and_inches(inches: float, text: str) -> None:
    assert feet_and_inches(inches * INCH) == text


@pytest.mark.parametrize("sixteenths", [1, 8, 191, 192, 193, 808, 1601])
def test_feet_and_inches_is_read_back(sixteenths: int) -> None:
    metres = sixteenths / 16 * INCH
    assert read(feet_and_inches(metres), kinds.LENGTH, "us", "x") == pytest.approx(metres)


def test_why_is_empty_where_the_function_works() -> None:
    assert call("WHY", "WATERVOLUME", 48, 24, 16).value == ""
    assert call("WHY", "basin.watervolume", ((480,),), 240, 160, "metric").value == ""


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("WATERVOLUME", 48, -1, 16), ("inside_width", "-1", "allowed is")),
        (("WATERVOLUME", 48, None, 16), ("inside_width", "a blank")),
        (("WATERVOLUME", 48, CellError("#DIV/0!"), 16), ("inside_width", "#DIV/0!")),
        (("WATERVOLUME", 48, 24, 16, "furlongs"), ("units", "furlongs", "us and metric")),
        (("NOSUCH", 1), ("NOSUCH",)),
    ],
)
def test_why_says_what_is_wrong(arguments: tuple[object, ...], words: tuple[str, ...]) -> None:
    text = str(call("WHY", *arguments).value)
    assert all(word in text for word in words), text


def test_read_length_takes_the_unit_system() -> None:
    assert call("READLENGTH", 50.5).value == "4' 2 1/2\" = 50.5 in"
    assert call("READLENGTH", 50.5, "metric").value == "50.5 mm"


def test_unit_label_follows_the_unit_system() -> None:
    assert call("UNITLABEL", "length").value == "in"
    assert call("UNITLABEL", "Length", "metric").value == "mm"
