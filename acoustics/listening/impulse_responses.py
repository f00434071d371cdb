"""What a prediction is in time: impulse responses on the reference axis and at the main seat."""

from __future__ import annotations

import numpy as np
import xarray as xr
from scipy.fft import irfft, next_fast_len

from acoustics.conventions import MAIN_SEAT, RoundoverError
from acoustics.curves.sampled import carried, closing
from acoustics.listening.delay import group_delay

SAMPLING_RATE = 48_000.0
"""Hz, unless another is asked for."""

LEAD, LENGTH = 0.1, 0.7
"""s: what is kept before the signal reaches the input, and all that is kept."""

FADES = 0.05, 0.1
"""s, in and out: nothing is cut hard."""

COARSEST = 2 ** (1 / 12)
"""Ratio of neighbouring frequencies up to which a response is known well enough between them."""

OPEN_UP = 1.2
"""Over the highest frequency predicted, where the band has closed; half the rate at most."""


def impulse_responses(prediction: xr.Dataset, sampling_rate: float = SAMPLING_RATE) -> xr.Dataset:
    """Impulse responses of every driver and of all together, flight kept.

    Each driver's flight to each place, and its way over each surface by itself, is taken out
    before its response is carried from the frequencies predicted to even ones, and put back
    exactly. Below the lowest frequency the response falls with the fourth power; above the
    highest the band closes. As the phase is kept as it was predicted, a little rings ahead of the
    sound at the lowest frequency, 50 dB and more below the peak of a full-range response.

    Args:
        prediction: as `predict` makes it.
        sampling_rate: Hz.

    Returns:
        axis_pressure (driver, time), axis_total (time); seat_pressure (speaker, driver, time) and
        seat_total (speaker, time) at the main seat with every reflection, at the ear height
        nearest the reference axis. Σ samples·exp(−jωt) is the rms pressure in Pa for the drive
        voltage at that frequency; time is 0 s when the signal is at the input.

    Raises:
        RoundoverError: the frequencies lie too far apart, or no such sampling rate.
    """
    if not close_enough(prediction):
        raise RoundoverError(
            "impulse responses need 12 frequencies per octave or more; take more, such as "
            "per_octave = 24 under [frequencies]"
        )
    if not (np.isfinite(sampling_rate) and sampling_rate >= 8000):
        raise RoundoverError(f"a sampling rate is 8000 Hz or more, not {sampling_rate!r}")
    known = prediction.frequency.values
    waits = _waits(prediction)
    even = _Even(sampling_rate, known)
    centres = np.stack([prediction[f"driver_{axis}"].values for axis in "xyz"], axis=-1)
    reference = [prediction.attrs[f"reference_{axis}"] for axis in ("x", "y", "distance")]
    straight = prediction.arc_pressure.sel(plane="horizontal").sel(angle=0.0, method="nearest")
    axis = even.of(
        straight.transpose("driver", "frequency").values[:, None],
        waits[:, None] + _flights(prediction, centres, np.array(reference))[:, None],
    )
    ear = {"ear_height": prediction.attrs["aside_ear_height"]}
    here = prediction.sel(seat=MAIN_SEAT).sel(ear, method="nearest")
    ways = here.seat_position.transpose("speaker", "path", "axis").values
    pressure = here.seat_pressure.transpose("speaker", "driver", "path", "frequency").values
    flights = np.moveaxis(
        _flights(prediction, centres[:, None, None], ways), 0, 1
    )  # (speaker, driver, path)
    seats = np.stack(
        [even.of(one, waits[:, None] + late) for one, late in zip(pressure, flights, strict=True)]
    )
    meaning = {"units": "Pa"}
    return xr.Dataset(
        {
            "axis_pressure": (("driver", "time"), axis, meaning),
            "axis_total": (("time",), axis.sum(axis=0), meaning),
            "seat_pressure": (("speaker", "driver", "time"), seats, meaning),
            "seat_total": (("speaker", "time"), seats.sum(axis=1), meaning),
        },
        coords={
            "driver": prediction.driver.values,
            "speaker": prediction.speaker.values,
            "time": ("time", even.time, {"units": "s", "long_name": "since the signal came in"}),
        },
        attrs={
            "sampling_rate": sampling_rate,
            "lead": even.lead / sampling_rate,
            "ear_height": float(here.ear_height),
            "lowest": float(known[0]),
            "highest": float(min(known[-1], even.open_to)),
        },
    )


def close_enough(prediction: xr.Dataset) -> bool:
    """Whether the frequencies lie close enough together for a response in time."""
    known = prediction.frequency.values
    return known.size > 3 and bool(np.all(known[1:] <= known[:-1] * COARSEST * (1 + 1e-6)))


class _Even:
    """From responses at frequencies predicted to samples at one rate."""

    def __init__(self, rate: float, known: np.ndarray) -> None:
        self.known = known
        self.lead = round(LEAD * rate)
        self.kept = next_fast_len(round(LENGTH * rate), real=True)
        # Twice as long as what is kept, so that nothing comes round again.
        self.size = 2 * self.kept
        self.time = (np.arange(self.kept) - self.lead) / rate
        self.frequency = np.fft.rfftfreq(self.size, 1 / rate)
        end = min(rate / 2, OPEN_UP * known[-1])
        share = min(known[-1] / end, 0.9)
        self.open_to = share * end
        ahead = np.exp(-2j * np.pi * self.frequency * self.lead / rate)
        self.band = closing(self.frequency, end, share) * ahead
        self.window = _fades(self.kept, *(round(fade * rate) for fade in FADES))

    def of(self, responses: np.ndarray, delays: np.ndarray) -> np.ndarray:
        """Samples (driver, time) of responses (driver, way, frequency), delays (driver, way), s."""
        rows = []
        for ways, late in zip(responses, delays, strict=True):
            spectrum = sum(
                carried(self.frequency, self.known, way, float(delay))
                for way, delay in zip(ways, late, strict=True)
            )
            rows.append(irfft(spectrum * self.band, self.size)[: self.kept] * self.window)
        return np.array(rows)


def _waits(prediction: xr.Dataset) -> np.ndarray:
    """How late each driver plays, s (driver,).

    What is left turns least from one frequency to the next, squares weighted by power.
    """
    known = prediction.frequency.values
    drive = (prediction["filter"] * prediction.source).transpose("driver", "frequency").values
    latency = prediction.attrs.get("latency", 0.0)
    delay = group_delay(drive * np.exp(2j * np.pi * known * latency), known)
    # What a volume velocity radiates goes with the frequency.
    power = np.abs(drive * known) ** 2
    weight = (power[:, 1:] * power[:, :-1]) ** 0.5 * np.diff(known) ** 2
    answer: np.ndarray = latency + (weight * delay).sum(axis=-1) / weight.sum(axis=-1)
    return answer


def _flights(prediction: xr.Dataset, here: np.ndarray, there: np.ndarray) -> np.ndarray:
    """s, from places to places in m, the last axis being (x, y, z)."""
    answer: np.ndarray = np.linalg.norm(there - here, axis=-1) / prediction.attrs["speed_of_sound"]
    return answer


def _fades(size: int, first: int, last: int) -> np.ndarray:
    """1 with half a cosine at either end, shape (size,)."""
    window = np.ones(size)
    window[:first] = 0.5 - 0.5 * np.cos(np.pi * np.arange(first) / first)
    window[size - last :] = 0.5 + 0.5 * np.cos(np.pi * np.arange(last) / last)
    return window
