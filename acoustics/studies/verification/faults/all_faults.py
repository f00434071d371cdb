"""All faults a build may have: a new one is a file beside this one, and a line here."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.fault.fault import Fault
from acoustics.studies.verification.faults.attenuator_missing import attenuator_missing_faults
from acoustics.studies.verification.faults.branch_delay import branch_delay_faults
from acoustics.studies.verification.faults.calibration import calibration_faults
from acoustics.studies.verification.faults.coil_wire import coil_wire_faults
from acoustics.studies.verification.faults.corner import corner_faults
from acoustics.studies.verification.faults.depth import depth_faults
from acoustics.studies.verification.faults.fill import fill_faults
from acoustics.studies.verification.faults.force_factor import force_factor_faults
from acoustics.studies.verification.faults.leads_swapped import leads_swapped_faults
from acoustics.studies.verification.faults.leak import leak_faults
from acoustics.studies.verification.faults.level import level_faults
from acoustics.studies.verification.faults.microphone_aside import microphone_aside_faults
from acoustics.studies.verification.faults.microphone_distance import microphone_distance_faults
from acoustics.studies.verification.faults.microphone_height import microphone_height_faults
from acoustics.studies.verification.faults.moving_mass import moving_mass_faults
from acoustics.studies.verification.faults.other_impedance import other_impedance_faults
from acoustics.studies.verification.faults.outputs_swapped import outputs_swapped_faults
from acoustics.studies.verification.faults.part_missing import part_missing_faults
from acoustics.studies.verification.faults.part_shorted import part_shorted_faults
from acoustics.studies.verification.faults.part_value import part_value_faults
from acoustics.studies.verification.faults.parts_swapped import parts_swapped_faults
from acoustics.studies.verification.faults.passive_mass import passive_mass_faults
from acoustics.studies.verification.faults.passive_suspension import passive_suspension_faults
from acoustics.studies.verification.faults.polarity import polarity_faults
from acoustics.studies.verification.faults.polarity_of_all import polarity_of_all_faults
from acoustics.studies.verification.faults.port_length import port_length_faults
from acoustics.studies.verification.faults.port_size import port_size_faults
from acoustics.studies.verification.faults.port_stopped import port_stopped_faults
from acoustics.studies.verification.faults.suspension import suspension_faults
from acoustics.studies.verification.faults.voice_coil_inductance import voice_coil_inductance_faults
from acoustics.studies.verification.faults.voice_coil_resistance import voice_coil_resistance_faults
from acoustics.studies.verification.faults.volume import volume_faults
from acoustics.studies.verification.readings.readings import Readings

FAULTS: tuple[Callable[[Built, Readings], Iterator[Fault]], ...] = (
    polarity_faults,
    polarity_of_all_faults,
    leads_swapped_faults,
    outputs_swapped_faults,
    part_value_faults,
    part_missing_faults,
    part_shorted_faults,
    parts_swapped_faults,
    attenuator_missing_faults,
    coil_wire_faults,
    level_faults,
    branch_delay_faults,
    corner_faults,
    port_length_faults,
    port_size_faults,
    port_stopped_faults,
    leak_faults,
    fill_faults,
    volume_faults,
    passive_mass_faults,
    passive_suspension_faults,
    suspension_faults,
    moving_mass_faults,
    force_factor_faults,
    voice_coil_resistance_faults,
    voice_coil_inductance_faults,
    other_impedance_faults,
    depth_faults,
    microphone_aside_faults,
    microphone_height_faults,
    microphone_distance_faults,
    calibration_faults,
)


def faults_of(design: Built, readings: Readings) -> tuple[Fault, ...]:
    """Every fault that may have befallen a build, their names distinct.

    Args:
        design: what should stand on the bench.
        readings: how it was measured, for what may be wrong with that.
    """
    return tuple(fault for faults in FAULTS for fault in faults(design, readings))
