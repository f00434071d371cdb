"""What shakes the walls of a cabinet and what is heard of them, against closed forms."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import acoustics as ac
from acoustics.field import solve_field
from acoustics.prediction.layout import layout_of
from acoustics.source.box import box_compliance
from acoustics.source.cone import mass_impedance
from acoustics.source.load import radiation_load
from acoustics.structure.wall_forced import wall_responses
from acoustics.structure.wall_modes import groups_of, panels_of
from acoustics.studies.structure.found import WallSound
from acoustics.studies.structure.shaking import (
    box_pressure,
    excitation,
    played,
    reaction_force,
)
from acoustics.studies.structure.sound import closest_of, velocities, wall_sound
from acoustics.studies.structure.wall_fields import listeners, wall_discs, wall_fields
from support.structures import case_text, read_text

PATCH = 0.1


class Solved:
    """A cabinet, its walls' answers, what is heard of them, and the drivers, at frequencies."""

    def __init__(self, case: ac.Case, frequency: np.ndarray) -> None:
        self.case, self.frequency = case, frequency
        panels = panels_of(case, case.structure)
        groups = groups_of(panels, case.structure)
        names = [panel.wall.name for panel in panels]
        found = wall_responses(groups, frequency, patch=PATCH)
        self.responses = sorted(found, key=lambda each: names.index(each.wall.name))
        self.walls = [each.wall for each in self.responses]
        self.heard = wall_fields(case, self.responses, frequency, solve=solve_field)
        self.playing = played(case, self.heard, solve_field)
        self.shaken = excitation(case, self.walls, self.playing, frequency, None)
        motion = self.playing.drive.motion
        self.moved = np.einsum("rdf,df->rf", motion.volume_velocity, self.playing.voltage)


@pytest.fixture(scope="module")
def low(tmp_path_factory):
    """The compact two-way, of walls that are known, up to 60 Hz."""
    folder = tmp_path_factory.mktemp("low")
    case = read_text(folder, case_text('[structure]\nmaterial = "MDF"\n'))
    return Solved(case, np.array([30.0, 60.0]))


def test_at_low_frequencies_a_wall_is_a_simple_source(low):
    """jωρU/4πR far from a body that is small beside the wave (Pierce, Acoustics, 4.3, from memory);
    0.5 dB: a body two metres away still changes the level by some tenths."""
    sound = wall_sound(low.case, low.responses, low.shaken, low.heard, low.playing)
    turn = 2 * np.pi * low.frequency
    for row, response in enumerate(low.responses):
        away = np.linalg.norm(low.heard.points[0] - response.patch_point.mean(axis=0))
        patches = (response.patch_area[:, None] * velocities(response, low.shaken)[0]).sum(axis=0)
        free = turn * low.case.air.density * np.abs(patches) / (4 * np.pi * away)
        assert 20 * np.log10(np.abs(sound.pressure[row]) / free) == pytest.approx(0, abs=0.5)
        # What patches send out together is the wall's volume velocity, their rough areas apart.
        assert 20 * np.log10(np.abs(patches / sound.volume[row])) == pytest.approx(0, abs=0.5)


def test_what_walls_send_out_adds_up(low):
    """Superposition: with twice the pressure and the force of one driver alone, it is the sum."""
    first = replace(low.shaken, force=0 * low.shaken.force)
    second = replace(low.shaken, wall_pressure=0 * low.shaken.wall_pressure)
    both = replace(low.shaken, wall_pressure=2 * low.shaken.wall_pressure)
    one, other, together = (
        wall_sound(low.case, low.responses, each, low.heard, low.playing).pressure
        for each in (first, second, both)
    )
    np.testing.assert_allclose(together, 2 * one + other, rtol=1e-12)


def test_the_even_pressure_is_that_of_air_that_is_compressed(low):
    """p = −ρc² ΔV/V (adiabatic, any textbook of physics), without losses and leaks."""
    tight = replace(low.case.enclosures[0], leakage_q=np.inf, absorption_q=np.inf, fill=0.0)
    case = replace(low.case, enclosures=(tight,))
    found = box_pressure(case, tight, low.playing.drive.motion, low.moved, low.frequency)
    moved = np.array([each.enclosure == tight.name for each in low.playing.drive.motion.radiators])
    out = low.moved[moved].sum(axis=0) / (2j * np.pi * low.frequency)
    stiff = case.air.density * case.air.speed_of_sound**2 / tight.volume
    np.testing.assert_allclose(found, -stiff * out, rtol=1e-9)
    assert box_compliance(tight, case.air) == pytest.approx(1 / stiff)


def test_frame_cone_and_air_push_each_other(low):
    """Newton: what moves the cone's mass is the motor's and suspension's force, opposite to that
    on the frame, and the pressures on its two sides."""
    number = next(n for n, each in enumerate(low.case.drivers) if each.name == "woofer")
    area = low.case.drivers[number].small_signal.effective_area
    frame = reaction_force(low.case, number, low.playing, low.moved[number], low.frequency)
    enclosure = low.case.enclosures[0]
    motion = low.playing.drive.motion
    inside = box_pressure(low.case, enclosure, motion, low.moved, low.frequency)
    load = radiation_load(low.case, low.frequency)
    mass = mass_impedance(low.case, number, low.frequency, True)
    # Only what is in the same enclosure moves in its circuit.
    own = [n for n, each in enumerate(motion.radiators) if each.enclosure == enclosure.name]
    outside = np.einsum("rf,rf->f", load[number, own], low.moved[own])
    needed = mass * low.moved[number] + outside - inside
    np.testing.assert_allclose(-frame, area * needed, rtol=1e-6)


def test_well_above_resonance_the_force_is_mass_times_acceleration(tmp_path):
    """F = M·a; the air on the cone adds some per cent to the mass that is told without it."""
    case = read_text(tmp_path, case_text('[structure]\nmaterial = "MDF"\n'))
    frequency = np.array([600.0, 900.0])
    solved = Solved(case, frequency)
    number = solved.shaken.drivers.index("woofer")
    signal = case.drivers[number].small_signal
    acceleration = 2j * np.pi * frequency * solved.moved[number] / signal.effective_area
    found = solved.shaken.force[number] / (-signal.moving_mass * acceleration)
    np.testing.assert_allclose(found, 1, atol=0.05)


def test_the_sphere_is_exact_for_low_powers(low):
    """∫x² = 1/3, ∫x⁴ = 1/5, ∫x²y² = 1/15 over the unit sphere's mean (elementary)."""
    points, weights = listeners(low.case, layout_of(low.case).corners)
    sphere = points[1:] - points[1:].mean(axis=0)
    sphere /= np.linalg.norm(sphere, axis=1)[:, None]
    x, y, _ = sphere.T
    for values, mean in ((x**0, 1), (x**2, 1 / 3), (x**4, 1 / 5), (x**2 * y**2, 1 / 15)):
        assert weights[1:] @ values == pytest.approx(mean)
    assert weights[0] == 0


def test_a_few_discs_stand_for_all_of_a_wall(tmp_path):
    """What is carried to patches is what the field solver gives for discs at those patches: within
    1 dB of the strongest over the sphere, half of that in the mean, up to 700 Hz."""
    case = read_text(tmp_path, case_text('[structure]\nmaterial = "MDF"\n'))
    panels = panels_of(case, case.structure)
    groups = groups_of(panels, case.structure)
    frequency = np.array([350.0, 700.0])
    (response,) = (
        each for each in wall_responses(groups, frequency, patch=PATCH) if each.wall.name == "left"
    )
    heard = wall_fields(case, [response], frequency, solve=solve_field)
    discs = [ac.Piston(0.01, tuple(place)) for place in response.patch_point]
    straight = solve_field(
        layout_of(case).body, discs, heard.points, frequency, air=case.air, accuracy=0.1
    )
    straight = straight.transpose("piston", "receiver", "frequency").values
    off = np.abs(heard.walls["left"] - straight) / np.abs(straight).max(axis=1, keepdims=True)
    assert off.max() < 0.12
    assert np.sqrt((off**2).mean(axis=(0, 1))).max() < 0.06


def test_discs_stand_on_their_wall_clear_of_its_edges(low):
    for wall in low.walls:
        discs = wall_discs(wall)
        assert 4 <= len(discs) <= 9
        for disc in discs:
            over = np.array(disc.centre) - wall.frame.centre
            assert over @ wall.frame.outward == pytest.approx(0, abs=1e-12)
            right, up = abs(over @ wall.frame.right), abs(over @ wall.frame.up)
            assert right + 2 * disc.radius < wall.size[0] / 2
            assert up + 2 * disc.radius < wall.size[1] / 2


def synthetic(level: float, peak: float) -> WallSound:
    """A wall `level` dB below drivers that play evenly, `peak` dB higher at 400 Hz alone."""
    frequency = np.geomspace(50, 1500, 296)
    levels = np.full((2, frequency.size), level)
    levels[:, np.abs(frequency - 400).argmin()] += peak
    ones = np.ones(frequency.size, dtype=complex)
    return WallSound(
        frequency, ("left",), ones[None], levels, ones[None], ones, levels, levels, 1.0
    )


@pytest.mark.parametrize(
    ("level", "loudness"), [(-25.0, "quiet"), (-15.0, "heard at most"), (-5.0, "heard")]
)
def test_how_loud_is_told_over_a_third_of_an_octave(level, loudness):
    one, together = closest_of(synthetic(level, 0.0))
    assert (one.wall, together.wall) == ("left", "all walls")
    assert one.level == pytest.approx(level)
    assert one.loudness == loudness


def test_a_narrow_peak_counts_by_its_power():
    """One of some twenty frequencies in a third of an octave, 13 dB up: 1 + 19/20.. of the mean."""
    one, _ = closest_of(synthetic(-30.0, 13.0))
    assert one.peak == pytest.approx(-17.0)
    assert one.peak_frequency == pytest.approx(400, rel=0.01)
    assert -30 + 2 < one.level < -30 + 4
