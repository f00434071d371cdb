"""A measurement in words: what was found of every driver, how far to trust it, what to do."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
import xarray as xr

from acoustics.report.cautions import OF_SWEEPS
from acoustics.report.measured_tables import (
    has_clock,
    is_absolute,
    level_of,
    response_table,
    table_name,
    trusted,
    trusted_of,
    unit_of_level,
)
from acoustics.report.plain_text import bullet, heading, paragraph
from acoustics.studies.wording import amount, hertz, listed, number

ORDERS = {2: "second", 3: "third", 4: "fourth", 5: "fifth"}
TOLD_ORDERS = (2, 3)
"""Harmonics that the summary tells of; the figures have all."""

OUT_OF_NOISE = 12.0
"""dB over the noise, from which on a harmonic is one; the highest of many noisy places is less"""


def measured_text(study: xr.Dataset, lines: str, folder: str) -> str:
    """Say what was measured, how far it can be trusted, and what to write into the case.

    Args:
        study: as `studies.measure.measure_study` makes it.
        lines: for the case, of `measured_tables.case_lines`.
        folder: to which the tables are written.

    Returns:
        Text of 88 columns, ending in a newline.
    """
    title = f"{study.attrs['title']}: measured drivers"
    parts = [f"{title}\n{'=' * len(title)}", paragraph(_verdict(study))]
    names = study.driver.values.tolist()
    parts += [_section(name, list(_of_driver(study, name))) for name in names]
    if study.sizes["pair"]:
        parts.append(_section("Between drivers", [_pair(study, n) for n in study.pair.values]))
    parts.append(_section("Before any sweep", OF_SWEEPS))
    parts.append(_section("What to look at", list(_findings(study))))
    wrapped = [
        heading("For the case"),
        paragraph(
            "These lines let predictions use what was measured; they are in "
            f"{folder}/measured.toml too, and count from the folder of the case file. They take "
            "the place of any tables [drivers.NAME.measured] that stand there."
        ),
        "",
        lines.rstrip(),
    ]
    parts.append("\n".join(wrapped))
    parts.append(_section("What this rests on", list(_basis(study))))
    return "\n\n".join(parts) + "\n"


def _section(title: str, points: list[str] | tuple[str, ...]) -> str:
    return "\n".join([heading(title), *map(bullet, points)])


def _verdict(study: xr.Dataset) -> str:
    told = []
    for name in study.driver.values.tolist():
        one = study.sel(driver=name)
        if math.isnan(float(one.valid_low)):
            told.append(f"{name} nowhere")
        else:
            told.append(f"{name} from {_band(one)}")
    count = study.sizes["finding"]
    if not count:
        return f"Can be trusted: {listed(told)}. Nothing stands against that."
    what = "what was found is" if count == 1 else f"the {count} things that were found are"
    return f"By noise and gate: {listed(told)}. To be trusted only when {what} settled, see below."


def _band(one: xr.Dataset) -> str:
    return f"{hertz(float(one.valid_low))} to {hertz(float(one.valid_high))}"


def _of_driver(study: xr.Dataset, name: str) -> Iterator[str]:
    one = study.sel(driver=name)
    yield _arrival(study, one)
    yield _gate(study, one)
    inside = trusted(study, name)
    if inside.any():
        yield _level(study, one, inside)
        yield _noise(one, inside)
    yield from _low(one)
    yield from _harmonics(one)
    if response_table(study, name) is not None:
        count = np.count_nonzero(inside)
        yield f"{table_name(name)} holds {count} frequencies of it, with level and phase."


def _arrival(study: xr.Dataset, one: xr.Dataset) -> str:
    speed = float(study.attrs["speed_of_sound"])
    expected, distance = float(one.expected_arrival), amount(float(one.distance), "m", finer=1)
    if not has_clock(study):
        return (
            "Without a loopback nobody knows when the sound was sent: it is put where the distance "
            f"({distance}) and the acoustic depth have it, {1e3 * expected:.3f} ms."
        )
    arrival, doubt = float(one.arrival), float(one.arrival_uncertainty)
    how = "by its phase" if bool(one.arrival_by_phase) else "by its first rise"
    off = (arrival - expected) * speed
    return (
        f"The sound arrives {1e3 * arrival:.3f} ± {1e3 * doubt:.3f} ms after it was sent, told "
        f"{how}: {arrival * speed:.3f} m of way. By tape measure and acoustic depth it is "
        f"{expected * speed:.3f} m, {_off(off)}. It begins with the "
        f"{'right' if int(one.polarity) > 0 else 'other'} sign."
    )


def _off(off: float) -> str:
    if abs(off) < 5e-4:
        return "the same"
    return f"{1e3 * abs(off):.0f} mm {'less' if off > 0 else 'more'}"


def _gate(study: xr.Dataset, one: xr.Dataset) -> str:
    length = 1e3 * float(one.gate_stop - one.arrival)
    first = str(study.surface.values[int(np.argmin(one.expected_reflection.values))])
    why = (
        f"when the {first} sends sound back"
        if str(study.attrs["gate_from"]) == "geometry"
        else "as the case says"
    )
    far = (
        ""
        if math.isnan(float(one.far_low))
        else (f", and levels hold from {hertz(float(one.far_low))} on")
    )
    return (
        f"The gate is closed {length:.2f} ms after the arrival, {why}: one period of "
        f"{hertz(float(one.lowest_frequency))} fits it{far}. Features less than "
        f"{hertz(float(one.resolution))} apart merge into one."
    )


def _level(study: xr.Dataset, one: xr.Dataset, inside: np.ndarray) -> str:
    level = float(np.median(level_of(study, one.response.values[inside])))
    place = f"{amount(float(one.microphone_distance), 'm')} away"
    if is_absolute(study):
        return f"Half of its levels are above {amount(level, 'dB')} {place}, for 2.83 V."
    return (
        f"Half of its levels are above {amount(level, 'dB')} of full scale {place}; which sound "
        "pressure that is, is not known."
    )


def _noise(one: xr.Dataset, inside: np.ndarray) -> str:
    ratio = 20 * np.log10(np.abs(one.far_response.values[inside]) / one.noise.values[inside])
    return (
        f"The noise lies {number(float(ratio.min()), 'dB')} dB or more below the far field there, "
        f"told from {one.noise_from.values}"
        f"{'' if int(one.repeats) == 1 else f'; {int(one.repeats)} recordings were averaged'}."
    )


def _low(one: xr.Dataset) -> Iterator[str]:
    if math.isnan(float(one.splice_frequency)):
        return
    yield (
        f"Below {hertz(float(one.splice_frequency))} the response is from near fields, joined from "
        f"{hertz(float(one.splice_low))} to {hertz(float(one.splice_high))}, where both differ by "
        f"{amount(float(one.splice_level_error), 'dB', finer=1)} and "
        f"{amount(float(one.splice_phase_error), 'degree', finer=1)}. The low end was raised by "
        f"{amount(float(one.splice_offset), 'dB', finer=1)}."
    )


def _harmonics(one: xr.Dataset) -> Iterator[str]:
    told = []
    frequency = one.frequency.values
    for order in TOLD_ORDERS:
        if order not in one.order.values:
            continue
        level = one.harmonic.sel(order=order).values
        noise = one.harmonic_noise.sel(order=order).values
        inside = np.isfinite(level) & trusted_of(one)
        inside &= np.isnan(noise) | (level > noise + OUT_OF_NOISE)
        if inside.any():
            place = int(np.argmax(np.where(inside, level, -np.inf)))
            told.append(
                f"the {ORDERS[order]} harmonic is {amount(float(level[place]), 'dB')} "
                f"({100 * 10 ** (level[place] / 20):.2g} %) at most, at "
                f"{hertz(float(frequency[place]))}"
            )
    if told:
        yield f"{listed(told)[:1].upper()}{listed(told)[1:]}; as loud as it was played."


def _pair(study: xr.Dataset, number_of: int) -> str:
    pair = study.isel(pair=number_of)
    late, doubt = float(pair.relative_delay), float(pair.relative_delay_uncertainty)
    expected = float(pair.relative_delay_expected)
    polarity = "" if int(pair.relative_polarity) > 0 else " They begin with different signs."
    word = "later" if late > 0 else "earlier"
    meant = "later" if expected > 0 else "earlier"
    return (
        f"{pair.pair_second.values} comes {1e6 * abs(late):.0f} ± {1e6 * doubt:.0f} µs {word} "
        f"than {pair.pair_first.values}, minimum phases taken out, from "
        f"{hertz(float(pair.pair_low))} to {hertz(float(pair.pair_high))}; by distance and "
        f"acoustic depth {1e6 * abs(expected):.0f} µs {meant}.{polarity}"
    )


def _findings(study: xr.Dataset) -> Iterator[str]:
    names = study.finding_driver.values.tolist()
    told = zip(names, study.finding_text.values.tolist(), strict=True)
    found = [f"{name}: {text}" if name else text for name, text in told]
    yield from found or ["Nothing."]


def _basis(study: xr.Dataset) -> Iterator[str]:
    if study.attrs["not_measured"]:
        yield (
            f"Not measured: {study.attrs['not_measured']}; without a table a driver plays as its "
            "parameters have it."
        )
    yield f"Levels are {unit_of_level(study)}, for 2.83 V at the driver."
    if str(study.attrs["calibration"]) == "none":
        yield "No calibration of the microphone was named: its own response is in the curves."
    else:
        phase = ""
        if str(study.attrs["calibration_phase"]) == "minimum phase":
            phase = "; it has no phase, so the microphone is taken to be of minimum phase"
        yield f"The microphone's part is taken out by {study.attrs['calibration']}{phase}."
    yield (
        "Times are from the loopback on."
        if has_clock(study)
        else "Without a loopback delays between drivers are not known; record what is sent in a "
        "second channel."
    )
    yield (
        "A response is trusted where it stands 30 dB over its noise and two and a half periods fit "
        "its gate; rooms of less height give less of the low end."
    )
    if not bool(np.isnan(study.splice_frequency).all()):
        yield (
            "Near fields are brought to the far microphone past this cabinet, edges included, by "
            "the field solver."
        )
