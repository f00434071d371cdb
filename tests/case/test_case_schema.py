from __future__ import annotations

import copy
import tomllib
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from bench_text import BRIDGED_T, FURNISHED, GOOD, SOURCE, with_parts
from enclosure_text import ENCLOSED, PASSIVE, WALLS
from shape_text import BOX, HOUSE, OUTLINED, PLATE, PYRAMID, SLOPED, cut, with_cabinet

from acoustics.case import case_schema, schema_text

CASES = Path(__file__).parents[2] / "cases"
SHIPPED = sorted(CASES.glob("*/case.toml"))


def shipped(name: str) -> dict[str, Any]:
    return tomllib.loads((CASES / name / "case.toml").read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def validator() -> jsonschema.Draft202012Validator:
    """A general JSON schema library, not ours."""
    jsonschema.Draft202012Validator.check_schema(case_schema())
    return jsonschema.Draft202012Validator(case_schema())


def test_the_shipped_schema_is_the_one_the_code_makes() -> None:
    # `roundover check --schema > cases/case.schema.json` brings it up to date.
    assert (CASES / "case.schema.json").read_text(encoding="utf-8") == schema_text()


def test_it_names_its_dialect() -> None:
    assert case_schema()["$schema"] == "https://json-schema.org/draft/2020-12/schema"


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.parent.name)
def test_it_takes_the_worked_designs(
    validator: jsonschema.Draft202012Validator, path: Path
) -> None:
    validator.validate(shipped(path.parent.name))


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("cabinet", "width"), 220),
        (("cabinet", "width"), "220"),
        (("cabinet", "width"), "3 kg"),
        (("cabinet", "width"), "22,5 cm"),
        (("cabinet", "widht"), "220 mm"),
        (("cabinet", "shape"), "sphere"),
        (("cabinet", "shape"), "pyramid"),
        (("cabinet", "shape"), "corners"),
        (("cabinet", "depth"), None),
        (("cabinet", "rounds"), [{"edges": ["front left"]}]),
        (("cabinet", "chamfers"), [{"edges": ["front"], "setback": "9 mm"}]),
        (("cabinet", "corners"), [["1 m", "1 m"]] * 4),
        (("drivers", "tweeter", "face"), "inside"),
        (("drivers", "tweeter", "both_sides"), "yes"),
        (("floor", "mirrors_cabinet"), 1),
        (("drivers",), {}),
        (("drivers", "tweeter", "position"), ["0 mm"]),
        (("drivers", "tweeter", "sensitivity"), "89 dB"),
        (("drivers", "tweeter", "file"), 3),
        (("drivers", "tweeter", "price"), "28"),
        (("drivers", "tweeter", "small_signal"), {"moving_mass": 0.3}),
        (("drivers", "tweeter", "voice_coil"), {"exponent": 2}),
        (("crossover", "tweeter", "sections", 0, "order"), 9),
        (("crossover", "tweeter", "sections", 0, "type"), "hi-pass"),
        (("aims", 0, "measure"), "beauty"),
        (("floor", "reflection"), 1.5),
        (("drivers", "tweeter", "breakup"), 3500),
        (("crossover", "tweeter", "slopes"), "steep"),
        (("crossover", "tweeter", "level"), 20),
        (("crossover", "tweeter", "parts"), [{"resistor": "1 ohm"}]),
        (("crossover", "tweeter", "parts"), [{"between": ["driver"], "resistor": "1 ohm"}]),
        (
            ("crossover", "tweeter", "parts"),
            [{"place": "series", "between": ["amplifier", "driver"], "resistor": "1 ohm"}],
        ),
        (("placement",), {"cabinets": "three"}),
        (("placement",), {"spacing": "2 kg"}),
        (("ceiling",), {}),
        (("ceiling",), {"height": "2.5 m", "absorber": {"thickness": "5 cm"}}),
        (
            ("rear_wall",),
            {"distance": "4 m", "absorber": {"thickness": "5 cm", "flow_resistivity": "10 kPa"}},
        ),
        (("left_wall",), {"height": "1 m"}),
        (("seat", "others"), {"x": {"ear_heights": ["1 m"]}}),
        (("seat", "others"), {f"s{number}": {} for number in range(9)}),
        (("aims", 0, "where"), "the listening window"),
        (("seats",), {}),
        (("seat",), None),
    ],
)
def test_it_refuses_a_broken_one(
    validator: jsonschema.Draft202012Validator, path: tuple[str | int, ...], value: object
) -> None:
    broken = copy.deepcopy(shipped("compact-centred"))
    table: Any = broken
    for part in path[:-1]:
        table = table[part]
    table[path[-1]] = value
    assert not validator.is_valid(broken)


def test_it_takes_every_table(validator: jsonschema.Draft202012Validator) -> None:
    validator.validate(tomllib.loads(FURNISHED + SOURCE + ENCLOSED))
    validator.validate(tomllib.loads(WALLS + PASSIVE))
    validator.validate(tomllib.loads(with_parts()))
    validator.validate(tomllib.loads(with_parts(BRIDGED_T)))


def test_a_driver_file_may_say_what_a_driver_must_have(
    validator: jsonschema.Draft202012Validator,
) -> None:
    case = shipped("compact-centred")
    woofer = {"position": ["0 mm", "-20 mm"]}
    case["drivers"]["woofer"] = woofer
    assert not validator.is_valid(case)
    case["drivers"]["woofer"] = {**woofer, "file": "woofer.toml"}
    validator.validate(case)
    case["drivers"]["woofer"] = {**woofer, "frame_diameter": "165 mm", "sensitivity": 88}
    assert not validator.is_valid(case)
    area = {"effective_area": "113 cm2"}
    case["drivers"]["woofer"] = {**woofer, "frame_diameter": "165 mm", "small_signal": area}
    validator.validate(case)


@pytest.mark.parametrize(
    "cabinet",
    [BOX + cut("front left", 'setback = "9 mm"'), HOUSE, PLATE, OUTLINED, PYRAMID, SLOPED],
)
def test_it_takes_every_shape(validator: jsonschema.Draft202012Validator, cabinet: str) -> None:
    validator.validate(tomllib.loads(with_cabinet(cabinet)))
    assert not validator.is_valid(tomllib.loads(GOOD.replace(BOX, "")))


def test_every_key_is_described() -> None:
    schema = case_schema()
    for table in (schema, *schema["$defs"].values()):
        for key, node in table["properties"].items():
            target = schema["$defs"].get(node.get("$ref", "").rsplit("/", 1)[-1], {})
            assert {**target, **node}.get("description"), f"{table['title']}.{key}"
