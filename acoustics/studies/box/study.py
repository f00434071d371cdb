"""Which box: how low and how loud the enclosures of a case play, and what would suit them."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import xarray as xr

from acoustics.case.design.model import Case
from acoustics.conventions import RoundoverError
from acoustics.prediction.labels import labelled, origin_of
from acoustics.source.limits import LIMITS, PORT_SPEED
from acoustics.studies.box.search import BoxAim, FoundBox, find_box, inside_of
from acoustics.studies.box.suggestions import suggestions_of
from acoustics.studies.box.systems import NONE_BINDS, or_nan, studied, systems_of
from acoustics.studies.box.variables import BOX
from acoustics.studies.compatibility.ways import ways_of

LOWEST, HIGHEST, PER_OCTAVE = 10.0, 500.0, 48
"""Hz, and points per octave, of a box study"""


def box_study(
    case: Case,
    *,
    find: BoxAim | None = None,
    most_volume: float | None = None,
    reach: float | None = None,
    load: bool = True,
) -> xr.Dataset:
    """Say of every enclosure how low and how loud it plays, what limits it, and what would suit.

    Drivers in one enclosure play together at one voltage. Levels are those of a simple source in
    half space at 1 m: what the volume velocity gives before cabinet and room come in. Drivers in no
    enclosure are looked at too where their resonance lies below 300 Hz; what is behind them is part
    of their parameters. Drivers on an open baffle are left out: they have no box.

    Args:
        case: the design, with small-signal parameters for the drivers in its enclosures.
        find: look for a better box first, see `find_box`; the study is then that of the box found,
            with curves and figures of the present one beside it (`present_…`). Enclosures whose
            drivers all play above a crossover stay as they are, unless there are no others.
        most_volume: largest net volume of each box looked for, m³; see `find_box`.
        reach: down to which frequency a flat or loud box is judged, Hz.
        load: whether the air on this cabinet comes in, by the field solver; otherwise drivers keep
            the air load with which they were measured.

    Returns:
        Dataset with the variables of `box_variables.BOX` over enclosure, radiator, limit and
        frequency (10 Hz to 500 Hz, 48 per octave); `suggestion` lists classic alignments.

    Raises:
        RoundoverError: nothing to study, or no box of the kind that is looked for.

    Example:
        >>> case = ac.read_case("cases/compact-centred")  # doctest: +SKIP
        >>> ac.box_study(case).f3  # doctest: +SKIP
    """
    require_boxes(case)
    bass = _of_the_bass(case)
    case = replace(case, crossover=())  # a box is judged without: straight at the amplifier
    present = case
    found: dict[str, FoundBox] = {}
    if find is not None:
        for name in bass:
            found[name] = find_box(case, name, find, most_volume=most_volume, reach=reach)
        if not found:
            raise RoundoverError(
                f"{case.path}: there is no enclosure for which a box could be looked for; add a "
                "table [enclosures.NAME] with kind, drivers and volume"
            )
        case = replace(
            case,
            enclosures=tuple(
                found[each.name].enclosure if each.name in found else each
                for each in case.enclosures
            ),
        )
    steps = np.arange(PER_OCTAVE * math.log2(HIGHEST / LOWEST))
    frequency = np.append(LOWEST * 2 ** (steps / PER_OCTAVE), HIGHEST)
    arrays, coordinates = studied(case, frequency, load)
    attributes = _attributes(case, load)
    if found:
        arrays |= _beside(present, found, arrays, coordinates, frequency, load)
        attributes["find"] = str(find)
    suggested = suggestions_of(case)
    coordinates |= {
        "suggestion": np.arange(len(suggested)),
        "suggestion_enclosure": np.array([each.enclosure for each in suggested], dtype=str),
        "suggestion_driver": np.array([each.driver for each in suggested], dtype=str),
        "suggestion_name": np.array([each.alignment.name for each in suggested], dtype=str),
        "suggestion_kind": np.array([each.alignment.kind for each in suggested], dtype=str),
    }
    arrays |= {
        "suggestion_volume": np.array([each.volume for each in suggested]),
        "suggestion_tuning": np.array([each.alignment.tuning for each in suggested]),
        "suggestion_f3": np.array([each.alignment.f3 for each in suggested]),
        "suggestion_peak": np.array([each.alignment.peak for each in suggested]),
        "suggestion_port_diameter": np.array([each.port_diameter for each in suggested]),
        "suggestion_port_length": np.array([each.port_length for each in suggested]),
    }
    study = labelled(arrays, coordinates, attributes, BOX)
    study.binding.attrs |= {
        "flag_values": np.arange(NONE_BINDS, len(LIMITS), dtype=np.int8),
        "flag_meanings": " ".join(each.replace(" ", "_") for each in ("not stated", *LIMITS)),
    }
    return study


def _of_the_bass(case: Case) -> list[str]:
    """Enclosures with a driver that nothing plays below; all of them if none has one."""
    bass = {case.drivers[number].name for number in ways_of(case).lowest}
    names = [each.name for each in case.enclosures]
    return [each.name for each in case.enclosures if bass & set(each.drivers)] or names


def require_boxes(case: Case) -> None:
    """Refuse a case without anything whose box could be studied."""
    for enclosure in case.enclosures:
        for name in enclosure.drivers:
            if case.driver(name).small_signal is None:
                raise RoundoverError(
                    f"{case.path}: driver '{name}' in enclosure '{enclosure.name}' has no "
                    "small-signal parameters, so nothing follows from its box; add a table "
                    f"[drivers.{name}.small_signal] with resonance, mechanical_q, electrical_q, "
                    "equivalent_volume, dc_resistance and effective_area"
                )
    if not systems_of(case):
        raise RoundoverError(
            f"{case.path}: there is no box to study; add a table [enclosures.NAME] with kind, "
            "drivers and volume, and [drivers.NAME.small_signal] for each driver in it"
        )


def _beside(
    present: Case,
    found: dict[str, FoundBox],
    arrays: dict[str, np.ndarray],
    coordinates: dict[str, Any],
    frequency: np.ndarray,
    load: bool,
) -> dict[str, np.ndarray]:
    """The present boxes beside the ones found."""
    now, _ = studied(present, frequency, load)
    names = coordinates["enclosure"].tolist()
    figures = [found.get(name) for name in names]
    same = ("tuning", "f3", "f6", "response", "highest_level", "port_length", "moving_mass")
    kept = {"net_volume": "volume"} | {name: name for name in same}
    return {f"present_{short}": now[name] for name, short in kept.items()} | {
        "present_figure": np.array([np.nan if f is None else f.present for f in figures]),
        "found_figure": np.array([np.nan if f is None else f.figure for f in figures]),
        "found_reach": np.array([np.nan if f is None else f.reach for f in figures]),
        "found_within": np.array([np.nan if f is None else f.most_volume for f in figures]),
    }


def _attributes(case: Case, load: bool) -> dict[str, Any]:
    amplifier, brief = case.amplifier, case.brief
    return {
        **origin_of(case),
        "temperature": case.temperature,
        "speed_of_sound": case.air.speed_of_sound,
        "density": case.air.density,
        "most_port_speed": PORT_SPEED,
        "air_load": "of this cabinet" if load else "as measured",
        "inside_volume": or_nan(inside_of(case)),
        "lowest_impedance": or_nan(amplifier.lowest_impedance if amplifier else None),
        "amplifier_power": or_nan(amplifier.power if amplifier else None),
        "series_resistance": amplifier.resistance if amplifier else 0.0,
        "brief_reach": or_nan(brief.reach if brief else None),
        "brief_level": or_nan(brief.level if brief else None),
    }
