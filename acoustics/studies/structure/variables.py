"""Every variable of a study of the structure: dims, unit, meaning."""

from __future__ import annotations

from acoustics.conventions import COORDINATES, Variable

_WALL = ("wall",)
_MODE = ("mode",)
_WAVE = ("wave",)
_EFFECT = ("effect",)
_OPTION = ("option",)
_ADVICE = ("advice",)
_BOARD = ("board",)
_SOUND = ("sounding", "frequency")
_ENCLOSURE = ("enclosure",)

STRUCTURE: dict[str, Variable] = {
    "frequency": COORDINATES["frequency"],
    "wall": Variable(_WALL, "1", "wall that bends"),
    "wall_material": Variable(_WALL, "1", "board it is of"),
    "wall_thickness": Variable(_WALL, "m", "its thickness"),
    "wall_width": Variable(_WALL, "m", "its free width"),
    "wall_height": Variable(_WALL, "m", "its free height"),
    "lowest_mode": Variable(_WALL, "Hz", "its lowest mode"),
    "sounding": Variable(("sounding",), "1", "wall, or all walls together"),
    "mode": Variable(_MODE, "1", "number of a mode among those of all walls"),
    "mode_wall": Variable(_MODE, "1", "wall it is of"),
    "mode_frequency": Variable(_MODE, "Hz", "frequency of the mode"),
    "mode_share": Variable(_MODE, "1", "share of its kinetic energy in the wall"),
    "modal_mass": Variable(_MODE, "kg", "mass it moves, where it moves most"),
    "mode_loss": Variable(_MODE, "1", "loss factor"),
    "mode_area": Variable(_MODE, "m2", "integral of its shape over the wall"),
    "mode_drive": Variable(_MODE, "m2", "force on it for an even pressure inside"),
    "per_pressure": Variable(
        ("wall", "frequency"), "m3 s-1 Pa-1", "volume velocity of the wall for pressure inside"
    ),
    "driver": COORDINATES["driver"],
    "enclosure": Variable(_ENCLOSURE, "1", "enclosure"),
    "gross_volume": Variable(_ENCLOSURE, "m3", "volume that the walls enclose"),
    "net_volume": Variable(_ENCLOSURE, "m3", "volume of air"),
    "proposed_net_volume": Variable(_ENCLOSURE, "m3", "volume of air with the proposal"),
    "box_pressure": Variable(
        ("enclosure", "frequency"), "Pa", "even pressure inside, rms for drive_voltage"
    ),
    "wall_pressure": Variable(
        ("wall", "frequency"), "Pa", "mean pressure on the wall, rms for drive_voltage"
    ),
    "driver_force": Variable(
        ("driver", "frequency"), "N", "force of the driver on its wall, rms for drive_voltage"
    ),
    "drivers_volume_velocity": Variable(
        ("frequency",), "m3 s-1", "volume velocity of all drivers, rms for drive_voltage"
    ),
    "wall_volume_velocity": Variable(
        ("wall", "frequency"), "m3 s-1", "volume velocity of the wall, rms for drive_voltage"
    ),
    "wall_axis_pressure": Variable(
        ("wall", "frequency"), "Pa", "pressure of the wall on the reference axis"
    ),
    "drivers_axis_pressure": Variable(
        ("frequency",), "Pa", "pressure of all drivers on the reference axis"
    ),
    "volume_level": Variable(_SOUND, "dB", "volume velocity over that of the drivers"),
    "axis_level": Variable(_SOUND, "dB", "level on the reference axis over that of the drivers"),
    "power_level": Variable(_SOUND, "dB", "sound power over that of the drivers"),
    "proposed_axis_level": Variable(_SOUND, "dB", "the same on the axis with the proposal"),
    "proposed_power_level": Variable(_SOUND, "dB", "the same of the power with the proposal"),
    "closest_level": Variable(
        ("sounding",), "dB", "highest level over the drivers' in a third of an octave"
    ),
    "closest_frequency": Variable(("sounding",), "Hz", "where that is"),
    "loudness": Variable(("sounding",), "1", "what practice thinks of it"),
    "volume_change": Variable(_WALL, "dB", "change of the volume velocity by the proposal"),
    "proposed_closest_level": Variable(_WALL, "dB", "as closest_level, with the proposal"),
    "proposed_lowest_mode": Variable(_WALL, "Hz", "lowest mode with the proposal"),
    "effect": Variable(_EFFECT, "1", "number of a brace and a wall it holds"),
    "effect_brace": Variable(_EFFECT, "1", "brace that is there"),
    "effect_wall": Variable(_EFFECT, "1", "wall it holds"),
    "effect_volume": Variable(_EFFECT, "dB", "change of the wall's volume velocity by the brace"),
    "effect_lowest": Variable(("effect", "with_brace"), "Hz", "lowest mode of the wall"),
    "with_brace": Variable(("with_brace",), "1", "without and with the brace"),
    "option": Variable(_OPTION, "1", "number of a way to brace a wall"),
    "option_way": Variable(_OPTION, "1", "how the brace runs"),
    "option_wall": Variable(_OPTION, "1", "wall it holds"),
    "option_blocked": Variable(_OPTION, "1", "what is cut out in its way"),
    "option_volume": Variable(_OPTION, "dB", "change of the wall's volume velocity by it"),
    "option_lowest": Variable(("option", "with_brace"), "Hz", "lowest mode of the wall"),
    "wave": Variable(_WAVE, "1", "standing wave of the air inside"),
    "wave_frequency": Variable(_WAVE, "Hz", "frequency of the standing wave in the bare box"),
    "opening": Variable(("opening",), "1", "what meets the air inside"),
    "wave_strength": Variable(
        ("opening", "wave"), "1", "how strongly it drives the wave; 1: as the mean over the volume"
    ),
    "air_level": Variable(
        ("opening", "driven_by", "frequency"), "dB", "pressure inside over that of a mere spring"
    ),
    "bare_air_level": Variable(
        ("opening", "driven_by", "frequency"), "dB", "the same with neither lining nor fill"
    ),
    "driven_by": Variable(("driven_by",), "1", "what moves the air inside"),
    "treatment": Variable(("treatment",), "1", "what is done about standing waves"),
    "treatment_volume": Variable(("treatment",), "m3", "material it takes"),
    "wave_quality": Variable(("treatment", "wave"), "1", "Q of the wave with it"),
    "wave_drop": Variable(("treatment", "wave"), "dB", "by how much its peak is lower"),
    "advice": Variable(_ADVICE, "1", "number of a piece of advice"),
    "advice_kind": Variable(_ADVICE, "1", "kind of change"),
    "advice_what": Variable(_ADVICE, "1", "what to change"),
    "advice_where": Variable(_ADVICE, "1", "where"),
    "advice_why": Variable(_ADVICE, "1", "what the calculation says"),
    "advice_practice": Variable(_ADVICE, "1", "what practice says"),
    "advice_toml": Variable(_ADVICE, "1", "what to write into the case file"),
    "advice_volume": Variable(_ADVICE, "m3", "volume of air it takes"),
    "advice_mass": Variable(_ADVICE, "kg", "mass of the wood or lining"),
    "board": Variable(_BOARD, "1", "row of the cut list"),
    "board_count": Variable(_BOARD, "1", "how many are cut"),
    "board_length": Variable(_BOARD, "m", "length along the grain"),
    "board_width": Variable(_BOARD, "m", "width"),
    "board_thickness": Variable(_BOARD, "m", "thickness"),
    "board_material": Variable(_BOARD, "1", "material"),
}
