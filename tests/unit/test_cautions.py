from __future__ import annotations

import json
import re

import pytest

from basinbook.catalogue import call, functions
from basinbook.engine import cautions
from basinbook.engine.errors import InputError
from basinbook.engine.outfit import FIELDS, Outfit

MODULES = tuple(
    f"basinbook.catalogue.declarations.{name}"
    for name in ("evaporation", "levels", "loads", "losses", "service")
)
CLAIMS = re.compile(r"\b(safe|safely|safety|approved|guarantee\w*)\b", re.IGNORECASE)


@pytest.mark.parametrize("key", list(cautions.CAUTIONS))
def test_each_caution_is_whole(key: str) -> None:
    caution = cautions.caution(key)
    assert caution.key == key
    assert caution.places
    assert set(caution.places) <= set(cautions.PLACES)
    assert caution.source
    assert caution.shown.startswith(caution.text)
    assert cautions.LOCAL in caution.shown
    # A cell takes more, a printed row doesn't.
    assert len(caution.shown) < 400


@pytest.mark.parametrize("place", cautions.PLACES)
def test_each_place_has_cautions(place: str) -> None:
    assert cautions.cautions_at(place)


def test_wanted_hazards_are_there() -> None:
    assert {
        "call before digging", "electricity", "barrier", "drowning", "silica dust", "lifting",
        "falling block", "solvent cement", "adhesive", "wall height", "dig", "cord", "low water",
        "saw", "wet saw", "vapour",
    } <= set(cautions.CAUTIONS)  # fmt: skip


def test_the_table_is_frozen() -> None:
    with pytest.raises(TypeError):
        cautions.CAUTIONS["other"] = cautions.caution("frost")  # type: ignore[index]


def test_unknown_names_list_what_there_is() -> None:
    with pytest.raises(InputError, match="call before digging"):
        cautions.caution("noise")
    with pytest.raises(InputError, match="setting plan"):
        cautions.cautions_at("kitchen")


_PUMP = Outfit(effect="circulation", pump="Pump", pipe="Pipe")


@pytest.mark.parametrize(
    ("outfit", "cuts", "there"),
    [
        (Outfit(), 0, set()),
        (Outfit(), 1, {"silica dust", "saw", "wet saw"}),
        (Outfit(light="Lamp", lights=1), 0, {"electricity", "cord", "low water"}),
        (_PUMP, 0, {"electricity", "cord", "low water", "solvent cement"}),
        (Outfit(base_thickness=0.1), 0, {"dig"}),
        (Outfit(adhesive="Tube"), 0, {"vapour"}),
    ],
)
def test_a_caution_is_shown_where_its_danger_is(outfit: Outfit, cuts: int, there: set[str]) -> None:
    shown = {key: caution.for_job(outfit, cuts) for key, caution in cautions.CAUTIONS.items()}
    optional = {key for key, each in cautions.CAUTIONS.items() if each.needs and not each.otherwise}
    assert {key for key in optional if shown[key]} == there
    assert all(shown[key] for key in set(shown) - optional)
    assert ("pipe" in shown["frost"]) is bool(outfit.pipe)


def test_cautions_hang_on_fields_of_the_outfit() -> None:
    for caution in cautions.CAUTIONS.values():
        assert set(caution.needs) <= {*FIELDS, cautions.CUTS}


@pytest.mark.parametrize(("mass", "warned"), [(22.9, False), (23.0, False), (23.1, True)])
def test_lift_caution(mass: float, warned: bool) -> None:
    assert (cautions.lift_caution(mass) is not None) is warned


def test_lift_note_names_the_weight() -> None:
    assert call("LIFTNOTE", "60 lb").text().startswith("60 lb: Over 23 kg (51 lb)")
    assert call("LIFTNOTE", "50 lb").value == ""


def test_cautions_of_a_sheet_come_as_rows() -> None:
    rows = call("CAUTIONS", "Setting Plan").value
    assert isinstance(rows, list)
    assert [row[0] for row in rows] == [each.key for each in cautions.cautions_at("setting plan")]
    assert all(str(row[1]).endswith(cautions.LOCAL) for row in rows)


def test_nothing_shown_claims_that_a_thing_holds() -> None:
    texts = [caution.shown for caution in cautions.CAUTIONS.values()]
    for function in functions().values():
        if function.compute.__module__ in MODULES:
            texts += [function.summary, function.details, function.source]
            texts += [argument.help for argument in function.arguments]
            texts += [example.gives for example in function.examples]
    assert len(texts) > 100
    # The one allowed use is the name of a law.
    claims = [text for text in texts if CLAIMS.search(text.replace("Health and Safety Code", ""))]
    assert claims == []


@pytest.mark.parametrize("module", MODULES)
def test_examples_print_as_declared(module: str) -> None:
    seen = 0
    for function in functions().values():
        if function.compute.__module__ != module:
            continue
        for example in function.examples:
            arguments: list[object] = [
                json.loads(text) if text.startswith("[[") else text for text in example.arguments
            ]
            if function.has_units:
                arguments += [None] * (len(function.arguments) - len(arguments))
                arguments.append(example.units)
            assert call(function.name, *arguments).text() == example.gives, function.name
            seen += 1
    assert seen > 3
