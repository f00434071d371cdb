"""Textbook ladders before a real driver, and how far they are from what it needs."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from acoustics.case.design.fit_model import Fit
from acoustics.case.design.model import Alignment, PassFilter
from acoustics.case.design.network_model import Element
from acoustics.crossover.network import solve_network
from acoustics.crossover.pass_filter import pass_response
from acoustics.crossover.standard_values import nearest
from acoustics.crossover.starting_ladder import start_ladder
from acoustics.crossover.textbook import band_pass_gain
from acoustics.crossover.topologies import kinds_of, values_of, with_values
from acoustics.studies.crossover_fit.question import with_losses
from acoustics.studies.crossover_fit.scene import Scene
from acoustics.studies.crossover_start.model import TREATMENTS, Ladder, Start, Treatment


def ladders_of(start: Start, scene: Scene, fit: Fit) -> tuple[Ladder, ...]:
    """Every textbook ladder of a driver in every treatment."""
    return tuple(
        _ladder(start, scene, fit, alignment, order, treatment)
        for alignment, order in start.slopes.textbook()
        for treatment in TREATMENTS
    )


def _ladder(
    start: Start, scene: Scene, fit: Fit, alignment: Alignment, order: int, treatment: Treatment
) -> Ladder:
    slopes, frequency = start.slopes, scene.frequency
    straight = treatment == "straight"
    made = start_ladder(
        slopes.kind,
        alignment,
        order,
        frequency,
        start.impedance if straight else start.flattened,
        low_corner=slopes.low_corner,
        high_corner=slopes.high_corner,
        attenuation=start.attenuation,
    )
    across = () if straight else start.compensation
    if treatment == "standard values":
        made, across = in_standard_values(made, fit), in_standard_values(across, fit)
    # Textbook sections are lossless: what has a resistor weakens.
    sections = tuple(each for each in made if each.resistor is None)
    pad = tuple(each for each in made if each.resistor is not None)
    admittance = 1 / start.impedance[None, None]
    transfer = solve_network([(*made, *across)], admittance, frequency, scene.resistance).transfer[
        0
    ]
    inside = (frequency >= start.band[0] * 0.999) & (frequency <= start.band[1] * 1.001)
    off = np.where(inside, _decibels(transfer) - _decibels(start.ideal), 0.0)
    worst = int(np.argmax(np.abs(off)))
    wanted = _into_a_resistance(start, alignment, order, frequency)
    return Ladder(
        alignment=alignment,
        order=order,
        treatment=treatment,
        sections=sections,
        attenuator=pad,
        compensation=across,
        transfer=transfer,
        deviation=float(off[worst]),
        where=float(frequency[worst]),
        of_load=float((_decibels(transfer) - _decibels(wanted))[worst]),
    )


def in_standard_values(ladder: Sequence[Element], fit: Fit) -> tuple[Element, ...]:
    """The same elements in the nearest standard values, with the losses of such parts."""
    values = [
        nearest(value, fit.coil_series if kind == "inductor" else fit.series)
        for kind, value in zip(kinds_of(ladder), values_of(ladder), strict=True)
    ]
    return with_losses(with_values(ladder, values), fit)


def _into_a_resistance(
    start: Start, alignment: Alignment, order: int, frequency: np.ndarray
) -> np.ndarray:
    """What a ladder gives the resistance that it is made for, V/V, complex (frequency,)."""
    slopes = start.slopes
    section = PassFilter(slopes.kind, alignment, order, slopes.low_corner, slopes.high_corner)
    gain = 1.0
    if slopes.low_corner is not None and slopes.high_corner is not None:
        gain = band_pass_gain(alignment, order, slopes.low_corner, slopes.high_corner)
    if start.attenuation is not None:  # which takes up the band-pass's own gain too
        gain = 10 ** (-start.attenuation / 20)
    return gain * pass_response(section, frequency)


def _decibels(values: np.ndarray) -> np.ndarray:
    return 20 * np.log10(np.maximum(np.abs(values), np.finfo(float).tiny))
