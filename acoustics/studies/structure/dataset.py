"""A study of the structure as one labelled Dataset."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import xarray as xr

from acoustics.case.design.model import Case
from acoustics.prediction.labels import labelled, origin_of
from acoustics.studies.structure.found import StructureFound
from acoustics.studies.structure.sound import ALL
from acoustics.studies.structure.variables import STRUCTURE


def structure_dataset(case: Case, found: StructureFound) -> xr.Dataset:
    """Label what a study of the structure found; what is not known is left out.

    Args:
        case: the design.
        found: what `structure_study` says of it.

    Returns:
        Dataset with variables of `STRUCTURE`. Modes of all walls follow each other, as do the
        effects of braces, options, advice and boards.
    """
    arrays = {
        **_walls(found),
        **_sound(found),
        **_braces(found),
        **_air(found),
        **_advice(found),
        **_boards(found),
        "enclosure": _words(each.enclosure for each in found.volumes),
        "gross_volume": np.array([each.gross for each in found.volumes]),
        "net_volume": np.array([each.net for each in found.volumes]),
        "proposed_net_volume": np.array([each.net_after for each in found.volumes]),
    }
    coordinates = {name: arrays.pop(name) for name in list(arrays) if _indexes(name)}
    attributes: dict[str, Any] = {
        **origin_of(case),
        "structure_assumed": int(found.assumed),
        "air_left_out": found.air_left_out,
        "cutting_left_out": found.cutting_left_out,
        "notes": "; ".join(found.notes),
    }
    if found.sound is not None:
        attributes["reference_distance"] = found.sound.distance
    if found.cut_list is not None:
        attributes["empty_mass"] = found.cut_list.empty
        if found.cut_list.loaded is not None:
            attributes["loaded_mass"] = found.cut_list.loaded
    return labelled(arrays, coordinates, attributes, STRUCTURE)


def _indexes(name: str) -> bool:
    return STRUCTURE[name].dims == (name,)


def _words(names: Any) -> np.ndarray:
    return np.array(list(names), dtype=str)


def _walls(found: StructureFound) -> dict[str, np.ndarray]:
    walls = [each.wall for each in found.walls]
    modes = found.walls
    arrays = {
        "wall": _words(wall.name for wall in walls),
        "wall_material": _words(wall.material.name for wall in walls),
        "wall_thickness": np.array([wall.thickness for wall in walls]),
        "wall_width": np.array([wall.size[0] for wall in walls]),
        "wall_height": np.array([wall.size[1] for wall in walls]),
        "lowest_mode": np.array([each.frequency[0] for each in modes]),
        "mode": np.arange(sum(each.frequency.size for each in modes)),
        "mode_wall": _words(each.wall.name for each in modes for _ in each.frequency),
        "mode_frequency": _joined([each.frequency for each in modes]),
        "mode_share": _joined([each.share for each in modes]),
        "modal_mass": _joined([each.modal_mass for each in modes]),
        "mode_loss": _joined([each.loss for each in modes]),
        "mode_area": _joined([each.area for each in modes]),
        "mode_drive": _joined([each.drive for each in modes]),
    }
    if found.responses:
        arrays["frequency"] = found.responses[0].frequency
        arrays["per_pressure"] = np.array([each.per_pressure for each in found.responses])
    if found.gains:
        arrays["volume_change"] = np.array([each.volume for each in found.gains])
        arrays["proposed_closest_level"] = np.array([each.closest[1] for each in found.gains])
        arrays["proposed_lowest_mode"] = np.array([each.lowest[1] for each in found.gains])
    return arrays


def _joined(parts: Sequence[np.ndarray]) -> np.ndarray:
    return np.concatenate([np.zeros(0), *parts])


def _sound(found: StructureFound) -> dict[str, np.ndarray]:
    shaken, sound = found.excitation, found.sound
    if shaken is None or sound is None:
        return {}
    pressures = np.full((len(found.volumes), shaken.frequency.size), np.nan + 0j)
    for row, each in enumerate(found.volumes):
        if each.enclosure in shaken.enclosures:
            pressures[row] = shaken.box_pressure[shaken.enclosures.index(each.enclosure)]
    closest = {each.wall: each for each in found.closest}
    order = [closest[name] for name in (*sound.walls, ALL)]
    arrays = {
        "sounding": _words((*sound.walls, ALL)),
        "driver": _words(shaken.drivers),
        "box_pressure": pressures,
        "wall_pressure": shaken.wall_pressure,
        "driver_force": shaken.force,
        "drivers_volume_velocity": shaken.drivers_volume,
        "wall_volume_velocity": sound.volume,
        "wall_axis_pressure": sound.pressure,
        "drivers_axis_pressure": sound.drivers_pressure,
        "volume_level": sound.volume_level,
        "axis_level": sound.axis_level,
        "power_level": sound.power_level,
        "closest_level": np.array([each.level for each in order]),
        "closest_frequency": np.array([each.frequency for each in order]),
        "loudness": _words(each.loudness for each in order),
    }
    if found.sound_after is not None:
        arrays["proposed_axis_level"] = found.sound_after.axis_level
        arrays["proposed_power_level"] = found.sound_after.power_level
    return arrays


def _braces(found: StructureFound) -> dict[str, np.ndarray]:
    arrays: dict[str, np.ndarray] = {}
    effects = found.brace_effects
    options = [
        (option, effect)
        for each in found.brace_options.values()
        for option in each
        for effect in option.effects
    ]
    if effects or options:
        arrays["with_brace"] = np.array(["without", "with"])
    if effects:
        arrays |= {
            "effect": np.arange(len(effects)),
            "effect_brace": _words(each.brace for each in effects),
            "effect_wall": _words(each.wall for each in effects),
            "effect_volume": np.array([each.volume for each in effects]),
            "effect_lowest": np.array(
                [[each.without.lowest, each.braced.lowest] for each in effects]
            ),
        }
    if options:
        arrays |= {
            "option": np.arange(len(options)),
            "option_way": _words(option.name for option, _ in options),
            "option_wall": _words(effect.wall for _, effect in options),
            "option_blocked": _words(", ".join(option.blocked) for option, _ in options),
            "option_volume": np.array([effect.volume for _, effect in options]),
            "option_lowest": np.array(
                [[effect.without.lowest, effect.braced.lowest] for _, effect in options]
            ),
        }
    return arrays


def _air(found: StructureFound) -> dict[str, np.ndarray]:
    if found.air is None or found.air_response is None or found.linings is None:
        return {}
    answer, linings = found.air_response, found.linings
    return {
        "wave": _words(found.air.names),
        "wave_frequency": found.air.frequency,
        "opening": _words(answer.names),
        "driven_by": _words(answer.names),
        "wave_strength": answer.strength,
        "air_level": answer.level,
        **({} if found.air_bare is None else {"bare_air_level": found.air_bare.level}),
        "treatment": _words(linings.treatments),
        "treatment_volume": linings.volumes,
        "wave_quality": linings.quality,
        "wave_drop": linings.drop,
    }


def _advice(found: StructureFound) -> dict[str, np.ndarray]:
    every = found.proposal
    return {
        "advice": np.arange(len(every)),
        "advice_kind": _words(each.kind for each in every),
        "advice_what": _words(each.what for each in every),
        "advice_where": _words(each.where for each in every),
        "advice_why": _words(each.why for each in every),
        "advice_practice": _words(each.practice for each in every),
        "advice_toml": _words(each.toml for each in every),
        "advice_volume": np.array([each.volume for each in every]),
        "advice_mass": np.array([each.mass for each in every]),
    }


def _boards(found: StructureFound) -> dict[str, np.ndarray]:
    if found.cut_list is None:
        return {}
    rows = found.cut_list.rows
    return {
        "board": _words(row.name for row in rows),
        "board_count": np.array([row.count for row in rows]),
        "board_length": np.array([row.length for row in rows]),
        "board_width": np.array([row.width for row in rows]),
        "board_thickness": np.array([row.thickness for row in rows]),
        "board_material": _words(row.material for row in rows),
    }
