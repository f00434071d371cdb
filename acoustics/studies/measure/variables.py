"""Names, units and meanings in the Dataset of a measurement."""

from __future__ import annotations

from acoustics.conventions import COORDINATES, Variable

_OF = ("driver",)
_CURVE = ("driver", "frequency")
_PRESSURE = "Pa"

MEASURED: dict[str, Variable] = {
    "driver": COORDINATES["driver"],
    "frequency": COORDINATES["frequency"],
    "time": Variable(("time",), "s", "time after the signal was sent"),
    "surface": Variable(("surface",), "1", "surface that sends sound back"),
    "order": Variable(("order",), "1", "order of a harmonic"),
    "pair": Variable(("pair",), "1", "two drivers that share a band"),
    "pair_first": Variable(("pair",), "1", "first driver of a pair"),
    "pair_second": Variable(("pair",), "1", "second driver of a pair"),
    "finding": Variable(("finding",), "1", "number of a finding"),
    "finding_text": Variable(("finding",), "1", "what to know of a measurement, and what to do"),
    "finding_driver": Variable(("finding",), "1", "driver it is about"),
    "finding_certain": Variable(("finding",), "1", "whether it is so, or only looks so"),
    "response": Variable(
        _CURVE, _PRESSURE, "response at the microphone for 2.83 V, flight kept, low end joined"
    ),
    "far_response": Variable(_CURVE, _PRESSURE, "gated response at the far microphone for 2.83 V"),
    "low_response": Variable(
        _CURVE, _PRESSURE, "low end from near fields as at the far microphone for 2.83 V"
    ),
    "noise": Variable(_CURVE, _PRESSURE, "rms noise in the gated response"),
    "low_noise": Variable(_CURVE, _PRESSURE, "rms noise in the low end"),
    "harmonic": Variable(
        ("driver", "order", "frequency"),
        "dB",
        "level of a harmonic over the fundamental at the fundamental's frequency",
    ),
    "harmonic_noise": Variable(
        ("driver", "order", "frequency"), "dB", "level of the noise in a harmonic likewise"
    ),
    "harmonic_near": Variable(
        _CURVE, "1", "whether harmonics were told from the recording close to the cone"
    ),
    "impulse": Variable(("driver", "time"), _PRESSURE, "impulse response at the far microphone"),
    "arrival": Variable(_OF, "s", "arrival of the sound after it was sent"),
    "arrival_uncertainty": Variable(_OF, "s", "how far the arrival may be off, about 95 %"),
    "arrival_by_phase": Variable(_OF, "1", "whether it is told from the phase; else the rise"),
    "expected_arrival": Variable(_OF, "s", "arrival by distance and acoustic depth"),
    "distance": Variable(_OF, "m", "from the driver's centre to the microphone"),
    "polarity": Variable(_OF, "1", "1, or -1 for a response that begins with the other sign"),
    "gate_start": Variable(_OF, "s", "where the gate begins to open"),
    "gate_closing": Variable(_OF, "s", "where it begins to close"),
    "gate_stop": Variable(_OF, "s", "where it is closed"),
    "lowest_frequency": Variable(_OF, "Hz", "of which one period fits the gate"),
    "resolution": Variable(_OF, "Hz", "features closer in frequency than this merge into one"),
    "valid_low": Variable(_OF, "Hz", "lowest frequency that can be trusted"),
    "valid_high": Variable(_OF, "Hz", "highest frequency that can be trusted"),
    "far_low": Variable(_OF, "Hz", "lowest frequency of the far field that can be trusted"),
    "expected_reflection": Variable(
        ("driver", "surface"), "s", "when a surface sends the sound back, by geometry"
    ),
    "seen_reflection": Variable(_OF, "s", "first reflection that is seen in the impulse response"),
    "seen_surface": Variable(_OF, "1", "surface that explains it"),
    "splice_frequency": Variable(_OF, "Hz", "middle of the cross-fade from near to far field"),
    "splice_low": Variable(_OF, "Hz", "where the cross-fade begins"),
    "splice_high": Variable(_OF, "Hz", "where it ends"),
    "splice_offset": Variable(_OF, "dB", "by which the low end was raised to meet the far field"),
    "splice_delay": Variable(_OF, "s", "by which the low end was delayed likewise"),
    "splice_level_error": Variable(_OF, "dB", "rms difference in the cross-fade"),
    "splice_phase_error": Variable(_OF, "degree", "rms difference in the cross-fade"),
    "microphone_distance": Variable(_OF, "m", "of the microphone from the face it stood before"),
    "microphone_at": Variable(_OF, "1", "what the microphone stood straight in front of"),
    "voltage": Variable(_OF, "V", "rms voltage of the sweep at the driver"),
    "removed_delay": Variable(_OF, "s", "delay that is taken out of the phase in tables"),
    "repeats": Variable(_OF, "1", "recordings that were averaged"),
    "noise_from": Variable(_OF, "1", "what the noise was told from"),
    "relative_delay": Variable(
        ("pair",), "s", "how much later the second driver's sound comes, minimum phases taken out"
    ),
    "relative_delay_uncertainty": Variable(("pair",), "s", "how far it may be off, about 95 %"),
    "relative_delay_expected": Variable(("pair",), "s", "the same by distance and depth"),
    "relative_polarity": Variable(("pair",), "1", "-1 where they begin with different signs"),
    "pair_low": Variable(("pair",), "Hz", "where the band that both share begins"),
    "pair_high": Variable(("pair",), "Hz", "where it ends"),
}
"""Variables and coordinates; pressures are of full scale (unit 1) where no level is known."""
