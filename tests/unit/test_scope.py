"""What the client reads of the job: each part that it has, and none that it has not."""

from __future__ import annotations

from dataclasses import replace

from basinbook.engine.layout.solver import solve
from basinbook.engine.outfit import BOWL, CIRCULATION, LIP, STILL, Outfit
from basinbook.engine.scope import Materials, left_out, scope
from basinbook.engine.spec import BasinSpec
from basinbook.workbook.order.money import shows_money

SPEC = BasinSpec(1.6, 1.15, 0.45, 0.1, 0.2, water_depth=0.35, freeboard=0.05)
FULL = Outfit(
    effect=BOWL, outlet="Round bowl", outlets=2, pump="Pump P", pipe="Pipe 50", liner="Sheet L",
    liner_type="sheet", underlay="Felt F", light="Lamp", lights=3, automatic_fill="Float",
    automatic_fills=1, base_material="Sand", adhesive="Glue",
)  # fmt: skip
EVERYTHING = replace(
    SPEC, cap_length=0.6, cap_depth=0.3, cap_height=0.05, columns=2, column_courses=6,
    column_cap_side=0.7, column_cap_height=0.065, second_wall="yes", pipe_space=0.1,
)  # fmt: skip


def told(spec: BasinSpec, outfit: Outfit) -> dict[str, str]:
    said = scope(
        solve(spec),
        outfit,
        Materials("Block B", "Cap C" if spec.cap_length else ""),
        lambda length: f"{length * 1000:.0f} mm",
        lambda volume: f"{volume * 1000:.0f} L",
    )
    assert len({one.part for one in said}) == len(said)
    return {one.part: one.words for one in said}


def test_every_part_is_told_by_its_name() -> None:
    found = told(EVERYTHING, FULL)
    assert list(found) == [
        "Basin", "Water", "Caps", "Second wall", "Columns", "Liner", "Moving water", "Pump",
        "Light", "Automatic fill",
    ]  # fmt: skip
    words = " ".join(found.values())
    for name in (
        "Block B",
        "Cap C",
        "Round bowl",
        "Pump P",
        "Pipe 50",
        "Sheet L",
        "Felt F",
        "Lamp",
    ):
        assert name in words
    # 1.6 x 1.15 x 0.35 m hold 644 litres; outside is two depths of block more.
    assert "644 L" in found["Water"]
    assert "2000 mm by 1550 mm outside" in found["Basin"]


def test_columns_on_walls_are_told_by_their_own_rows() -> None:
    """By hand: two rows of blocks 0.45 m long on end are 0.9 m; six of 0.1 m are 0.6 m."""
    on_wall = replace(
        SPEC, wall_column_1="on back wall", wall_column_1_courses=2, wall_column_laid="on end",
        wall_column_core="no",
    )  # fmt: skip
    alone = told(on_wall, FULL)
    assert alone["Column"] == "1 of the same block on the walls, 900 mm high, 2 courses."
    both = told(
        replace(on_wall, columns=2, column_courses=6, column_cap_side=0.7, column_cap_height=0.065),
        FULL,
    )
    assert both["Columns"] == (
        "2 of the same block, 600 mm high, 6 courses, with caps; "
        "1 of the same block on the walls, 900 mm high, 2 courses, with a cap."
    )


def test_what_the_job_has_not_is_left_out_or_told_as_such() -> None:
    assert list(told(SPEC, Outfit(effect=STILL))) == ["Basin", "Water"]
    plain = " ".join(left_out(solve(SPEC), Outfit(effect=STILL)))
    for word in ("pump", "liner", "caps", "lights", "automatic filling"):
        assert word in plain
    assert "electrical" not in plain
    (only,) = left_out(solve(EVERYTHING), FULL)
    assert "licensed electrician" in only


def test_a_lip_without_a_spillway_says_so() -> None:
    assert "the spillway lip" in left_out(solve(SPEC), Outfit(effect=LIP, pump="P"))
    assert "the pump" in left_out(solve(SPEC), Outfit(effect=CIRCULATION))


def test_no_money_and_nothing_of_how_it_is_done() -> None:
    for outfit in (FULL, Outfit()):
        for words in told(EVERYTHING, outfit).values():
            assert not shows_money(words)
            assert "hour" not in words
