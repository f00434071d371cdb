"""Every variable of a box study: dims, unit, meaning."""

from __future__ import annotations

from acoustics.conventions import Variable

_OF_BOX = ("enclosure",)
_OVER = ("enclosure", "frequency")
_MOVES = ("radiator", "frequency")
_LIMITS = ("limit", "enclosure", "frequency")
_SUGGESTED = ("suggestion",)
_LEVEL = "level at 1 m into half space"

BOX: dict[str, Variable] = {
    "frequency": Variable(("frequency",), "Hz", "frequency"),
    "enclosure": Variable(_OF_BOX, "1", "enclosure, or driver with a rear chamber of its own"),
    "enclosure_kind": Variable(_OF_BOX, "1", "kind of enclosure"),
    "enclosure_drivers": Variable(_OF_BOX, "1", "drivers in it, played together"),
    "radiator": Variable(("radiator",), "1", "what moves air"),
    "radiator_kind": Variable(("radiator",), "1", "cone, port or passive radiator"),
    "radiator_enclosure": Variable(("radiator",), "1", "enclosure behind it"),
    "radiator_area": Variable(("radiator",), "m2", "effective area"),
    "most_displacement": Variable(
        ("radiator",), "m", "largest displacement allowed, peak in one direction"
    ),
    "limit": Variable(("limit",), "1", "what limits the level"),
    "part": Variable(("part",), "1", "what takes volume"),
    "gross_volume": Variable(_OF_BOX, "m3", "volume that the walls enclose"),
    "net_volume": Variable(_OF_BOX, "m3", "volume of air"),
    "taken_volume": Variable(("enclosure", "part"), "m3", "volume taken"),
    "tuning": Variable(
        _OF_BOX, "Hz", "tuning of ports or passive radiators, or resonance of a closed box"
    ),
    "system_q": Variable(_OF_BOX, "1", "total Q of a closed box at its resonance"),
    "reference_level": Variable(
        _OF_BOX, "dB", f"{_LEVEL} for drive_voltage far above resonance, without inductance"
    ),
    "f3": Variable(_OF_BOX, "Hz", "frequency below which the level is 3 dB down"),
    "f6": Variable(_OF_BOX, "Hz", "frequency below which the level is 6 dB down"),
    "f10": Variable(_OF_BOX, "Hz", "frequency below which the level is 10 dB down"),
    "peak": Variable(_OF_BOX, "dB", "highest level above the reference level"),
    "total": Variable(_OVER, "m3 s-1 V-1", "volume velocity of all that moves, leaks included"),
    "volume_velocity": Variable(_MOVES, "m3 s-1 V-1", "volume velocity outward"),
    "response": Variable(_OVER, "dB", f"{_LEVEL} for drive_voltage, re 20 µPa"),
    "radiator_level": Variable(_MOVES, "dB", f"{_LEVEL} by itself for drive_voltage, re 20 µPa"),
    "impedance": Variable(_OVER, "ohm", "impedance of all drivers of the enclosure in parallel"),
    "group_delay": Variable(
        _OVER, "s", "group delay of the pressure, relative to a piston of constant acceleration"
    ),
    "displacement": Variable(_MOVES, "m", "peak displacement for drive_voltage, of cones"),
    "displacement_at_limit": Variable(
        _MOVES, "m", "peak displacement at the highest input, of cones"
    ),
    "air_speed": Variable(_MOVES, "m s-1", "peak air speed for drive_voltage, in ports"),
    "air_speed_at_limit": Variable(
        _MOVES, "m s-1", "peak air speed in ports at the highest input that all but they allow"
    ),
    "input_limit": Variable(_LIMITS, "V", "highest rms voltage of a steady sine by each limit"),
    "level_limit": Variable(_LIMITS, "dB", f"highest {_LEVEL} by each limit, re 20 µPa"),
    "highest_level": Variable(_OVER, "dB", f"highest {_LEVEL} of a steady sine, re 20 µPa"),
    "binding": Variable(_OVER, "1", "which limit binds"),
    "port_size": Variable(("radiator", "side"), "m", "diameter, or width and height, of a port"),
    "port_length": Variable(("radiator",), "m", "length of a port"),
    "moving_mass": Variable(("radiator",), "kg", "what a passive radiator moves, any weights too"),
    "port_room": Variable(
        ("radiator",), "m", "how long a port may be before it comes too near the opposite wall"
    ),
    "slower_port_diameter": Variable(
        _OF_BOX, "m", "diameter of each port in which the air would be slow enough"
    ),
    "slower_port_length": Variable(_OF_BOX, "m", "length of such ports for the same tuning"),
    "suggestion": Variable(_SUGGESTED, "1", "number of the suggestion"),
    "suggestion_enclosure": Variable(_SUGGESTED, "1", "enclosure that is meant"),
    "suggestion_driver": Variable(_SUGGESTED, "1", "driver that is meant"),
    "suggestion_name": Variable(_SUGGESTED, "1", "classic alignment"),
    "suggestion_kind": Variable(_SUGGESTED, "1", "closed or vented"),
    "suggestion_volume": Variable(_SUGGESTED, "m3", "net volume it takes"),
    "suggestion_tuning": Variable(_SUGGESTED, "Hz", "its tuning, or the closed box's resonance"),
    "suggestion_f3": Variable(_SUGGESTED, "Hz", "frequency at which it is 3 dB down"),
    "suggestion_peak": Variable(_SUGGESTED, "dB", "how far its response rises"),
    "suggestion_port_diameter": Variable(
        _SUGGESTED, "m", "diameter of the port, or of one of the area of all ports"
    ),
    "suggestion_port_length": Variable(_SUGGESTED, "m", "length of port that tunes it"),
    "present_volume": Variable(_OF_BOX, "m3", "net volume that the case has"),
    "present_tuning": Variable(_OF_BOX, "Hz", "tuning that the case has"),
    "present_port_length": Variable(("radiator",), "m", "length of a port that the case has"),
    "present_moving_mass": Variable(
        ("radiator",), "kg", "what a passive radiator moves that the case has"
    ),
    "present_f3": Variable(_OF_BOX, "Hz", "frequency at which the case's box is 3 dB down"),
    "present_f6": Variable(_OF_BOX, "Hz", "frequency at which the case's box is 6 dB down"),
    "present_figure": Variable(_OF_BOX, "1", "what was sought, of the case's box"),
    "found_figure": Variable(_OF_BOX, "1", "what was sought, of the box found"),
    "found_reach": Variable(_OF_BOX, "Hz", "down to which boxes were judged"),
    "found_within": Variable(_OF_BOX, "m3", "largest net volume that was allowed"),
    "present_response": Variable(_OVER, "dB", f"{_LEVEL} of the case's box, re 20 µPa"),
    "present_highest_level": Variable(_OVER, "dB", f"highest {_LEVEL} of the case's box"),
}
"""Where drivers share an enclosure they play together; levels are of a simple source in half
space, whose pressure follows the volume velocity alone."""
