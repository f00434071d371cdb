"""The charts of a prediction: which curves each has, and what to see in it."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import xarray as xr

from acoustics.figures.off_axis_curves import SIDES, shown_angles
from acoustics.figures.shading import meaning
from acoustics.figures.sheets import middle_ear
from acoustics.figures.standard_curves import CURVES, INDICES
from acoustics.figures.style import LEVEL_SPAN, level_top
from acoustics.figures.whose import cabinet_of
from acoustics.listening import (
    doubtful_bands,
    heard,
    level,
    listeners,
    loudest,
    standard_curves,
)
from acoustics.listening.loudest import some_limit_known
from acoustics.listening.surfaces import surfaces_of
from acoustics.report.html.content import Chart, Curve
from acoustics.studies.wording import amount, hertz

LEVEL = "Level in dB re 20 µPa"


def reference_axis_chart(prediction: xr.Dataset, sentence: str) -> Chart:
    """The sum on the reference axis and what each driver adds."""
    on_axis = prediction.sel(plane="horizontal", angle=0.0)
    shares = level(on_axis.arc_pressure)
    curves = [
        Curve("all together", level(on_axis.arc_total).values, main=True),
        *(
            Curve(f"{name} alone", shares.sel(driver=name).values)
            for name in map(str, shares.driver.values)
        ),
    ]
    crossed = np.atleast_1d(prediction.attrs["crossover_frequencies"])
    marks = tuple((float(f), hertz(float(f))) for f in crossed)
    distance = prediction.attrs["reference_distance"]
    return _levels(
        prediction,
        "reference-axis",
        f"Is it even on the reference axis, {distance:g} m away?",
        sentence,
        curves,
        marks=marks,
    )


def window_chart(prediction: xr.Dataset, sentence: str) -> Chart:
    """Listening window, reflections, sound power and in-room curve."""
    found = standard_curves(prediction)
    curves = [
        Curve(label, found[name].values, main=name == "listening_window")
        for name, label in CURVES.items()
    ]
    question = "What reaches ears, walls and room, by CTA-2034-A?"
    return _levels(prediction, "listening-window", question, sentence, curves, span=30.0)


def index_chart(prediction: xr.Dataset, sentence: str) -> Chart:
    """Both directivity indices."""
    found = standard_curves(prediction)
    curves = tuple(Curve(label, found[name].values) for name, label in INDICES.items())
    values = np.concatenate([curve.values for curve in curves])
    return Chart(
        name="directivity-index",
        title="How much louder is it ahead than elsewhere?",
        sentence=sentence,
        axis="Directivity index in dB",
        unit="dB",
        frequency=found.frequency.values,
        curves=curves,
        low=min(0.0, float(np.floor(np.nanmin(values)))),
        high=max(15.0, level_top(float(np.nanmax(values)))),
        shaded=_unsure(prediction),
    )


def off_axis_chart(prediction: xr.Dataset, plane: str, side: int, sentence: str) -> Chart:
    """Responses from the axis to 90° on one side of one plane."""
    levels = level(prediction.arc_total.sel(plane=plane))
    curves = [
        Curve(f"{abs(angle):g}°", levels.sel(angle=angle).values, main=angle == 0)
        for angle in shown_angles(levels.angle.values, side)
    ]
    way = SIDES[plane][side]
    name = f"off-axis-{way.split()[-1]}"
    return _levels(
        prediction, name, f"How does the sound change {way}?", sentence, curves, ordered=True
    )


def seat_chart(prediction: xr.Dataset, sentence: str) -> Chart:
    """What arrives at the main seat, by itself and with every reflection."""
    ear = middle_ear(prediction)
    curves: list[Curve] = []
    for one in (each for each in listeners(prediction) if each.main):
        total = level(heard(prediction, one).seat_total.sel(ear_height=ear))
        whose = cabinet_of(one, prediction)
        for surroundings in map(str, total.surroundings.values):
            words = f"{whose}, {surroundings}" if whose else surroundings
            free = surroundings == str(total.surroundings.values[0])
            curve = total.sel(surroundings=surroundings).values
            curves.append(Curve(words, curve, main=free and not curves))
    distance = prediction.attrs["seat_distance"]
    room = "with and without the room" if surfaces_of(prediction) else "without any room"
    question = f"What is heard at the seat, {distance:g} m away, {room}, ears at {ear:.2f} m?"
    return _levels(prediction, "at-the-seat", question, sentence, curves)


def loudest_chart(prediction: xr.Dataset, sentence: str) -> Chart | None:
    """How loud it can play at the seat; None where no limit is known."""
    if not some_limit_known(prediction):
        return None
    loud = loudest(prediction)
    highest = np.where(np.isfinite(loud.highest_input), loud.seat_highest, np.nan)
    curves = [
        Curve("at most", highest, main=True),
        Curve("for 2.83 V", loud.seat_level.values),
    ]
    wanted = prediction.attrs.get("wanted_seat_level")
    limits = () if wanted is None else ((float(wanted), f"wanted: {amount(wanted, 'dB')}"),)
    distance = prediction.attrs["seat_distance"]
    question = f"How loud can it play at the seat, {distance:g} m away?"
    return _levels(prediction, "loudest", question, sentence, curves, limits=limits)


def filters_chart(prediction: xr.Dataset, sentence: str) -> Chart | None:
    """What the crossover does to each driver; None where it does nothing."""
    filters = prediction["filter"]
    if bool((filters == 1).all()):
        return None
    with np.errstate(divide="ignore"):
        gains = 20 * np.log10(np.abs(filters.transpose("driver", "frequency").values))
    curves = [
        Curve(str(name), gain) for name, gain in zip(filters.driver.values, gains, strict=True)
    ]
    return _levels(
        prediction,
        "filters",
        "What does the crossover do to each driver?",
        sentence,
        curves,
        axis="Gain in dB",
    )


def impedance_chart(prediction: xr.Dataset, sentence: str) -> Chart | None:
    """What the amplifier sees of a passive crossover; None without one."""
    if "input_impedance" not in prediction:
        return None
    size = np.abs(prediction.input_impedance.values)
    least = float(prediction.attrs.get("lowest_impedance", np.nan))
    return _ohms(
        "input-impedance",
        "What does the amplifier see of the passive crossover?",
        sentence,
        prediction.frequency.values,
        size,
        least,
    )


def box_charts(study: xr.Dataset, name: str, number: int, sentence: str) -> list[Chart]:
    """Response and highest level, and the impedance, of one enclosure."""
    own = np.flatnonzero(study.radiator_enclosure.values == name)
    box = study.sel(enclosure=name).isel(radiator=own)
    curves = [Curve("all for 2.83 V", box.response.values, main=True)]
    if own.size > 1:
        curves += [
            Curve(f"{radiator} alone", box.radiator_level.isel(radiator=row).values)
            for row, radiator in enumerate(map(str, box.radiator.values))
        ]
    if not bool(box.highest_level.isnull().all()):
        curves.append(Curve("at most", box.highest_level.values))
    high = level_top(max(_highest(curve.values) for curve in curves))
    response = Chart(
        name=f"box-{number}",
        title=f"How low and how loud does {name} play, by itself?",
        sentence=sentence,
        axis="Level at 1 m in half space, dB",
        unit="dB",
        frequency=box.frequency.values,
        curves=tuple(curves),
        low=high - LEVEL_SPAN,
        high=high,
    )
    size = np.abs(box.impedance.values)
    at = int(size.argmax())
    told = (
        f"The highest peak is {size[at]:.0f} ohm at {hertz(float(box.frequency[at]))}; the lowest "
        f"point {size.min():.1f} ohm at {hertz(float(box.frequency[int(size.argmin())]))}."
    )
    question = f"What does the amplifier see of the drivers in {name}?"
    least = float(study.attrs["lowest_impedance"])
    impedance = _ohms(f"box-{number}-impedance", question, told, box.frequency.values, size, least)
    return [response, impedance]


def unsure_words(prediction: xr.Dataset) -> str:
    """What shaded bands of charts mean; empty where there are none."""
    return meaning(doubtful_bands(prediction), prediction)


def _levels(
    prediction: xr.Dataset,
    name: str,
    title: str,
    sentence: str,
    curves: Iterable[Curve],
    *,
    axis: str = LEVEL,
    span: float = LEVEL_SPAN,
    marks: tuple[tuple[float, str], ...] = (),
    limits: tuple[tuple[float, str], ...] = (),
    ordered: bool = False,
) -> Chart:
    """A chart of levels, as high as the highest of them."""
    drawn = tuple(curves)
    highest = [_highest(curve.values) for curve in drawn] + [value for value, _ in limits]
    top = level_top(max(highest))
    return Chart(
        name=name,
        title=title,
        sentence=sentence,
        axis=axis,
        unit="dB",
        frequency=prediction.frequency.values,
        curves=drawn,
        low=top - span,
        high=top,
        marks=marks,
        limits=limits,
        shaded=_unsure(prediction),
        ordered=ordered,
    )


def _ohms(
    name: str, title: str, sentence: str, frequency: np.ndarray, size: np.ndarray, least: float
) -> Chart:
    stated = np.isfinite(least)
    return Chart(
        name=name,
        title=title,
        sentence=sentence,
        axis="Impedance in ohm",
        unit="ohm",
        frequency=frequency,
        curves=(Curve("impedance", size, main=True),),
        low=0.0,
        high=1.05 * float(size.max()),
        limits=((least, f"the amplifier is made for {least:g} ohm"),) if stated else (),
    )


def _unsure(prediction: xr.Dataset) -> tuple[tuple[float, float], ...]:
    return tuple((float(low), float(high)) for low, high in doubtful_bands(prediction))


def _highest(values: np.ndarray) -> float:
    known = values[np.isfinite(values)]
    return float(known.max()) if known.size else -np.inf
