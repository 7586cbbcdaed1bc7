"""Worksheet functions on the layout: shapes, paging, texts, and ranges on the command line."""

from __future__ import annotations

import json

import pytest

from basinbook.catalogue import InputError, call
from basinbook.catalogue.model import Cell
from basinbook.cli import main

LABELS = [
    ["Inside length"], ["Inside width"], ["Block length"], ["Block height"], ["Block depth"],
    ["Cap length"], ["Cap depth"], ["Cap height"], ["Cap corners"],
    ["Pipe opening"], ["Pipe opening course"], ["Courses on edge"],
]  # fmt: skip
VALUES = [[50], [26], [16], [4], [8], [16], [12], [2], ["mitred"], [2], [2], [None]]


def table(name: str, *more: object, values: object = VALUES) -> list[list[Cell]]:
    found = call(name, LABELS, values, *more).value
    assert isinstance(found, list)
    return found


def test_setting_plan_lists_every_piece_and_cap() -> None:
    rows = table("SETTINGPLAN")
    courses = {row[0] for row in rows}
    assert courses == {1, 2, 3, 4, "caps"}
    assert {row[4] for row in rows} == {"whole", "cut"}
    assert any("over the opening, leave loose" in str(row[9]) for row in rows if row[2] == "back")
    assert sum("mitred" in str(row[9]) for row in rows) == 8
    assert rows[0][0] == rows[0][1] == 1


def test_setting_plan_pages_and_pads() -> None:
    rows = table("SETTINGPLAN")
    assert table("SETTINGPLAN", 3, 5)[:4] == rows[2:6]
    assert table("SETTINGPLAN", 1, len(rows)) == rows
    padded = table("SETTINGPLAN", 1, len(rows) + 2)
    assert padded[:-2] == rows
    assert padded[-1] == [""] * 10
    short = table("SETTINGPLAN", 1, 4)
    assert short[:3] == rows[:3]
    assert str(short[3][0]).startswith(f"{len(rows) - 3} more rows")


@pytest.mark.parametrize("system", ["us", "metric"])
def test_piece_list_is_the_setting_plan_with_lengths_as_on_the_tape(system: str) -> None:
    plain = [row[0] for row in VALUES]
    values = [[f"{one} in" if type(one) is int and at < 9 else one] for at, one in enumerate(plain)]
    plan, pieces = (
        call(name, LABELS, values, 2, 200, system).value for name in ("SETTINGPLAN", "PIECELIST")
    )
    assert isinstance(plan, list)
    assert isinstance(pieces, list)
    assert len(plan) == 200
    for column in range(10):
        wanted = [row[column] for row in plan]
        if column in (5, 6, 7, 8):
            written = call("TAPELENGTHS", [[cell] for cell in wanted], system).value
            assert isinstance(written, list)
            wanted = [row[0] for row in written]
        assert [row[column] for row in pieces] == wanted
    short = call("PIECELIST", LABELS, values, 1, 4, system).value
    assert isinstance(short, list)
    assert "more rows" in str(short[3][0])


def test_course_table_adds_up_to_the_plan() -> None:
    plan = table("SETTINGPLAN")
    for row in table("COURSETABLE"):
        pieces = [piece for piece in plan if piece[0] == row[0]]
        assert row[4] == sum(piece[4] == "whole" for piece in pieces)
        assert row[5] == sum(piece[4] == "cut" for piece in pieces)


def test_course_table_tells_orientation_and_heights() -> None:
    values = [*VALUES[:9], [None], [None], [2]]
    rows = table("COURSETABLE", values=values)
    assert [row[1] for row in rows] == ["flat", "on edge", "flat"]
    assert [row[2:4] for row in rows] == [pytest.approx(pair) for pair in
                                          ([0, 4], [4, 12], [12, 16])]  # fmt: skip


def test_cut_list_adds_up_to_the_plan() -> None:
    plan = table("SETTINGPLAN")
    cuts = table("CUTLIST")
    for stock in ("block", "cap"):
        listed = {round(float(str(r[1])), 6): r[2] for r in cuts if r[0] == stock}
        caps = stock == "cap"
        lengths = [
            round(float(str(r[5])), 6) for r in plan if r[4] == "cut" and (r[0] == "caps") == caps
        ]
        assert listed == {length: lengths.count(length) for length in set(lengths)}
    assert all(row[4] == "caps" for row in cuts if row[0] == "cap")
    assert "+" in " ".join(str(row[3]) for row in cuts) or all("x (" in str(r[3]) for r in cuts)


def test_metric_texts_are_in_millimetres() -> None:
    values = [[1300], [700], [400], [100], [200], *[[None]] * 7]
    found = call("CUTLIST", LABELS, values, None, "metric").value
    assert isinstance(found, list)
    assert all(100 <= float(str(row[1])) < 400 for row in found)
    assert all("x (" in str(row[3]) for row in found)


def test_bad_label_is_named() -> None:
    with pytest.raises(InputError, match="Inside lenght"):
        call("CUTLIST", [["Inside lenght"]], [[50]])


def test_ranges_on_the_command_line(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["call", "CUTLIST", json.dumps(LABELS), json.dumps(VALUES)]) == 0
    assert capsys.readouterr().out.startswith("block\t")
    assert main(["call", "CUTLIST", "[[", "[[50]]"]) == 2
    assert "rows of cells in JSON" in capsys.readouterr().err
