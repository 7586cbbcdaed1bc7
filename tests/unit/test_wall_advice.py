"""A better block or number of courses: what following the advice saves, and where there is none."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from basinbook.catalogue import call
from basinbook.engine.errors import InputError
from basinbook.engine.layout import wall_advice as advising
from basinbook.engine.layout.aim_advice import AimValues, Rates, aim_values
from basinbook.engine.layout.budget import Budget
from basinbook.engine.layout.solver import solve
from basinbook.engine.layout.wall_advice import Block, BlockSize, Choice, WallAdvice, wall_advice
from basinbook.engine.spec import BLOCKS, COST, CUTS, INCH, LENGTHS, BasinSpec
from basinbook.engine.spec_openings import without_openings

RATES = Rates(
    block_price=5.85, labour_rate=58.0, cut_hours=0.08, laying_hours=0.075, blade_wear=0.2
)
OWN = BlockSize(18 * INCH, 4 * INCH, 8 * INCH)


def block(name: str, long: float, high: float, deep: float, price: float) -> Block:
    return Block(name, BlockSize(long * INCH, high * INCH, deep * INCH), price)


# The starter rows of the Materials sheet.
LISTED = (
    block("Plank block", 18, 4, 8, 5.85),
    block("Ledge block", 16, 6, 8, 6.40),
    block("Terrace block", 14, 4, 7, 4.10),
    block("Split block", 12, 6, 6, 3.95),
    block("Half-high block", 16, 3.625, 8, 4.60),
)
# Water and freeboard of 14 in: 4 courses.
JOB = BasinSpec(
    inside_length=66 * INCH,
    inside_width=46 * INCH,
    block_length=OWN.length,
    block_height=OWN.height,
    block_depth=OWN.depth,
)


def sized(spec: BasinSpec, long: float, wide: float) -> BasinSpec:
    return replace(spec, inside_length=long * INCH, inside_width=wide * INCH)


def followed(spec: BasinSpec, choice: Choice) -> BasinSpec:
    """The job after the advice is followed: its block and courses chosen, and nothing else."""
    if choice.block is None:
        return replace(spec, courses=choice.courses)
    long, high, deep = choice.block.size
    return replace(
        spec,
        courses=choice.courses,
        block_length=long,
        block_height=high,
        block_depth=deep,
        block_price=choice.block.price if spec.aim == COST else spec.block_price,
    )


def comes_to(spec: BasinSpec, choice: Choice | None = None) -> AimValues:
    """What the layout of a job comes to, or of what it is advised."""
    if choice is None:
        return aim_values(solve(spec), RATES)
    price = choice.block.price if choice.block else RATES.block_price
    return aim_values(solve(followed(spec, choice)), RATES._replace(block_price=price))


def choices(advice: WallAdvice) -> list[Choice]:
    return [one for one in (advice.block, advice.courses) if one is not None]


def random_job(rng: Random) -> BasinSpec:
    return replace(
        sized(JOB, rng.randint(160, 480) / 4, rng.randint(96, 280) / 4),
        courses=rng.choice((0, 5, 6)),
        second_wall=rng.choice(("no", "no", "yes")),
        pipe_space=6 * INCH,
        columns=rng.choice((0, 2)),
        **rng.choice(({}, {"cap_length": 24 * INCH, "cap_depth": 12 * INCH, "cap_height": 0.05})),
    )


def test_another_block_worked_by_hand() -> None:
    # 12 cuts of 60 blocks are in the example of AIMNOTE: 60 at 5.85, 5.46 h at 58, 12 at 0.20.
    # Blocks of 10 x 4 x 4 in close the runs of 70 and 50 in, 24 in each of 4 courses: 96 at 2.40
    # and 7.2 h. In blocks of 12 x 4 x 4 the same runs don't close.
    small = block("Small block", 10, 4, 4, 2.40)
    found = wall_advice(JOB, RATES, (block("Other", 12, 4, 4, 1.0), small)).block
    assert found is not None
    assert (found.block, found.courses, found.aimed, found.now) == (small, 4, 0, 12)
    assert found.height == pytest.approx(16 * INCH)
    assert found.saved == pytest.approx(351 + 5.46 * 58 + 2.4 - 96 * 2.4 - 7.2 * 58)
    assert found.hours == pytest.approx(5.46 - 7.2)


def test_following_the_advice_saves_what_it_says() -> None:
    followed_blocks = followed_courses = 0
    for seed in range(40):
        spec = random_job(Random(seed))
        try:
            now = comes_to(spec)
        except InputError:
            continue
        advice = wall_advice(spec, RATES, LISTED)
        assert advice.exact
        for choice in choices(advice):
            then = comes_to(spec, choice)
            assert (choice.now, choice.aimed) == (now.cuts, then.cuts), seed
            assert choice.aimed < choice.now
            assert choice.saved == pytest.approx(now.cost - then.cost), seed
            assert choice.hours == pytest.approx(now.hours - then.hours), seed
            assert choice.height == pytest.approx(_wall_height(followed(spec, choice))), seed
            followed_blocks += choice.block is not None
            followed_courses += choice.block is None
    assert followed_blocks >= 15
    assert followed_courses >= 10


def _wall_height(spec: BasinSpec) -> float:
    top = solve(spec).courses[max(0, spec.courses - 1)]
    return top.z + top.height


def test_with_openings_the_advice_can_be_built_and_is_told_without_them() -> None:
    checked = 0
    for seed in range(12):
        rng = Random(seed)
        spec = replace(
            sized(JOB, rng.randint(80, 120) / 2, rng.randint(50, 80) / 2),
            courses=rng.choice((0, 5)),
            opening_width=4 * INCH,
            opening_course=2,
        )
        now = comes_to(spec)
        advice = wall_advice(spec, RATES, LISTED)
        assert not advice.exact
        plain = without_openings(spec)
        for choice in choices(advice):
            assert comes_to(spec, choice).cuts < now.cuts, seed
            told = comes_to(plain, choice)
            assert choice.aimed == told.cuts, seed
            assert choice.saved == pytest.approx(comes_to(plain).cost - told.cost), seed
            checked += 1
    assert checked >= 10


@pytest.mark.parametrize("aim", [BLOCKS, LENGTHS, COST])
def test_for_another_aim_the_advised_job_is_as_good_as_said_or_better(aim: str) -> None:
    prices = {
        "block_price": RATES.block_price,
        "cut_cost": RATES.labour_rate * RATES.cut_hours,
        "laying_cost": RATES.labour_rate * RATES.laying_hours,
        "blade_wear": RATES.blade_wear,
    }
    checked = 0
    for long, wide in ((28, 19), (40, 21)):
        spec = replace(sized(JOB, long, wide), aim=aim, courses=5, **prices)
        now = comes_to(spec)
        advice = wall_advice(spec, RATES, LISTED)
        assert not advice.exact
        for choice in choices(advice):
            then = comes_to(spec, choice)
            assert _of_aim(then, aim) <= choice.aimed + 1e-9
            assert choice.aimed < choice.now <= _of_aim(now, aim) + 1e-9
            checked += 1
    assert checked


def _of_aim(values: AimValues, aim: str) -> float:
    return {BLOCKS: values.blocks, LENGTHS: values.lengths, COST: values.cost}[aim]


def test_no_advice_where_nothing_is_better() -> None:
    nothing = WallAdvice(None, None, sure=True, exact=True)
    # 64 x 46 in closes without a cut, and fewer there are not.
    assert wall_advice(sized(JOB, 64, 46), RATES, LISTED) == nothing
    # The job's own block, at a lower price too: as many cuts.
    cheaper = block("Plank block again", 18, 4, 8, 1.0)
    assert wall_advice(JOB, RATES, (LISTED[0], cheaper)) == nothing
    # A block with more cuts: a second such basin laid out by itself has them.
    worse = block("Worse", 17, 4, 8, 0.1)
    assert comes_to(JOB, Choice(worse, 4, 0, 0, 0, 0, 0)).cuts > comes_to(JOB).cuts
    assert wall_advice(JOB, RATES, (worse,)) == nothing
    assert wall_advice(replace(JOB, laid_courses=1), RATES, LISTED) == nothing


def test_a_cheaper_block_of_the_same_size_is_better_in_cost_alone() -> None:
    cheaper = block("Plank block again", 18, 4, 8, 5.35)
    priced = replace(JOB, aim=COST, block_price=5.85, cut_cost=4.64, laying_cost=4.35)
    found = wall_advice(priced, RATES, (LISTED[0], cheaper)).block
    assert found is not None
    assert found.block == cheaper
    assert found.saved == pytest.approx(60 * 0.5)
    assert found.hours == 0.0


def test_a_course_fewer_has_to_hold_the_water() -> None:
    # 16 in want 4 courses of 4 in; 16.5 in want 5.
    five = replace(JOB, courses=5, water_depth=14 * INCH, freeboard=2 * INCH)
    found = wall_advice(five, RATES, ()).courses
    assert found is not None
    assert found.courses == 4
    assert wall_advice(replace(five, freeboard=2.5 * INCH), RATES, ()).courses is None
    # As many as the water needs are the fewest.
    assert wall_advice(replace(five, courses=0), RATES, ()).courses is None


def test_one_course_more_has_no_fewer_cuts() -> None:
    """Why it isn't tried: without its top course it is a layout of the wall as it is."""
    for seed in range(100, 125):
        spec = random_job(Random(seed))
        try:
            now = solve(spec)
        except InputError:
            continue
        more = solve(replace(spec, courses=len(now.courses) + 1)) if not spec.columns else now
        assert more.blocks.cut_pieces >= now.blocks.cut_pieces, seed


def test_another_block_makes_the_wall_about_as_high() -> None:
    # The wall is 16 in high. Blocks of 10 in would make it 20, a course off; of 9 in 18; of 7.9 in
    # 15.8, which holds the water of 14 in.
    def courses_of(high: float) -> int | None:
        found = wall_advice(JOB, RATES, (block("Small block", 10, high, 4, 2.4),)).block
        return None if found is None else found.courses

    assert [courses_of(high) for high in (10, 9, 7.9, 5)] == [None, 2, 2, 3]
    # 3 of 5 in are 15 in high, 1 in under the wall: where the water wants 16 in, there are 4, a
    # course over it.
    full = replace(JOB, water_depth=14 * INCH, freeboard=2 * INCH)
    assert wall_advice(full, RATES, (block("Small block", 10, 5, 4, 2.4),)).block is None


def test_a_wall_without_the_course_of_an_opening_is_no_choice() -> None:
    spec = replace(JOB, opening_width=4 * INCH, opening_course=3)
    listed = (block("Small block", 10, 8, 4, 2.4),)
    assert wall_advice(spec, RATES, listed).block is None
    found = wall_advice(replace(spec, opening_course=2), RATES, listed).block
    assert found is not None
    assert found.courses == 2


def test_a_wall_that_cant_be_capped_is_no_choice() -> None:
    capped = replace(
        sized(JOB, 38, 19),
        water_depth=14 * INCH,
        cap_length=12 * INCH,
        cap_depth=12 * INCH,
        cap_height=2 * INCH,
        shortest_piece=7 * INCH,
    )
    split = LISTED[3:4]
    assert wall_advice(capped, RATES, split).block is None
    bare = wall_advice(replace(capped, cap_length=0.0), RATES, split).block
    assert bare is not None
    with pytest.raises(InputError, match="the caps can't be laid"):
        comes_to(capped, bare)


def test_a_long_list_ends_with_the_budget(monkeypatch: pytest.MonkeyPatch) -> None:
    made: list[Budget] = []

    def budget(steps: int, reserve: int) -> Budget:
        made.append(Budget(steps, reserve))
        return made[-1]

    monkeypatch.setattr(advising, "Budget", budget)
    spec = sized(replace(JOB, water_depth=14 * INCH), 117.25, 63.75)
    listed = [block(f"Block {n}", 12 + n / 8, 4, 8, 5.0) for n in range(30)]
    assert not wall_advice(spec, RATES, listed).sure
    (first, *_) = made
    # What was begun with the last steps may go over them a little.
    assert -advising._STEPS // 100 < first.left < advising._STEPS_A_CHOICE


LABELS = [
    ["Inside length"], ["Inside width"], ["Block length"], ["Block height"], ["Block depth"],
    ["Courses"], ["Aim"], ["Pipe opening"], ["Pipe opening course"],
]  # fmt: skip
NAME = "Split block with a name that goes on and on beyond what a cell has room for"


def said(*values: object, name: str = NAME, rates: tuple[float, ...] = RATES[1:]) -> str:
    """The text for a job in inches and the list of blocks, of which one has another name."""
    rows = [(name if one.name == "Split block" else one.name, one) for one in LISTED]
    columns = [
        [[title] for title, _ in rows],
        *([[one.size[side] / INCH] for _, one in rows] for side in range(3)),
        [[one.price] for _, one in rows],
    ]
    given = [[value] for value in values]
    return str(call("WALLADVICE", LABELS, given, *columns, RATES.block_price, *rates).value)


def test_what_is_said_fits_a_cell_and_says_what_is_left_out() -> None:
    short = said(66, 47, 18, 4, 8, 5, "cuts", None, None, name="Split block")
    assert short.startswith("Split block, 3 courses, 18 high: 6 cut pieces (now 28); ")
    assert ". One course fewer, 16 high: 24 cut pieces (now 28); " in short
    opened = said(66, 47, 18, 4, 8, 5, "cuts", 4, 2)
    assert opened.endswith(". Openings not counted")
    assert ": about 6 cut pieces (now 28); " in opened
    assert opened.startswith("Split block with a name that …, 3 courses")
    # The dearest labour there may be, and cuts that take longest.
    dear = said(590, 590, 18, 4, 8, 12, "cuts", 4, 2, rates=(1e5, 100.0, 100.0, 1e5))
    for text in (short, opened, dear):
        assert len(text) <= 255
    assert said(64, 46, 18, 4, 8, None, "cuts", None, None) == (
        "No better block of the list or number of courses"
    )


def test_ranges_of_the_list_are_as_long_as_its_names() -> None:
    columns = [[["Plank block"], [""]], [[18], [None]], [[4], [None]], [[8], [None]], [[5.85]]]
    with pytest.raises(InputError, match=r"prices.*give as many as names \(2\)"):
        call("WALLADVICE", LABELS[:5], [[66], [46], [18], [4], [8]], *columns)


def test_cuts_is_the_aim_where_none_is_given() -> None:
    assert JOB.aim == CUTS
