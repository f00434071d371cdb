"""What was measured: from files, and from sweeps and impulses; how far each can be trusted."""

from acoustics.curves.minimum_phase import Tails, excess_phase, fitted_tails, minimum_phase
from acoustics.measurement.arrival import Arrival, arrival, first_rise, noise_before
from acoustics.measurement.calibration import TableOf, corrected, read_calibration
from acoustics.measurement.calibration_sign import (
    TableLeft,
    calibration_wrong,
    table_left,
)
from acoustics.measurement.checks import (
    noisy,
    rates_differ,
    reflection_in_gate,
    too_loud,
    too_short,
)
from acoustics.measurement.clipping import Clip, clipped
from acoustics.measurement.data_sheet import (
    fine_structure,
    like_a_data_sheet,
)
from acoustics.measurement.excess_delay import (
    Delay,
    delay_against,
    excess_delay,
    relative_delay,
)
from acoustics.measurement.findings import Finding
from acoustics.measurement.from_sum import relative_delay_from_sum
from acoustics.measurement.gate import (
    Gate,
    gated,
    noise_weight,
    removed,
    removed_share,
    suggested_gate,
)
from acoustics.measurement.harmonics import Distortion, harmonics
from acoustics.measurement.impulse import Impulse, impulse_of, transfer
from acoustics.measurement.mistaken import (
    band_centroid,
    phase_missing,
    swapped_files,
    turned_over,
)
from acoustics.measurement.moved import (
    arrivals_off,
    expected_arrivals,
    levels_off,
)
from acoustics.measurement.near_field import (
    Near,
    Ways,
    far_from_a_baffle,
    highest_frequency,
    near_a_baffle,
    near_to_far,
    unmeasured,
    volume_velocities,
    ways_of,
)
from acoustics.measurement.noise import repeats_density, silence_density, transfer_noise, valid_band
from acoustics.measurement.piston_fit import PistonFit, fit_piston
from acoustics.measurement.recording import (
    Recording,
    RecordingError,
    common_rate,
    one_channel,
)
from acoustics.measurement.reflections import (
    Visible,
    explained,
    first_reflection,
    visible_reflection,
)
from acoustics.measurement.repeats import Repeats, averaged, drifting, split_repeats
from acoustics.measurement.sofa import DirectedCurve, read_sofa_curves, read_sofa_responses
from acoustics.measurement.spliced import Splice, permitted_overlap, splice_findings, spliced
from acoustics.measurement.sweep import Sweep, deconvolved, linear_part, make_sweep
from acoustics.measurement.synthetic import (
    Setup,
    Take,
    Taken,
    Truth,
    record,
)
from acoustics.measurement.text_recording import read_text_recording
from acoustics.measurement.undeclared_rate import (
    scaled_frequencies,
    sweep_of_another_rate,
)
from acoustics.measurement.wav import read_wav

__all__ = [
    "Arrival",
    "Clip",
    "Delay",
    "DirectedCurve",
    "Distortion",
    "Finding",
    "Gate",
    "Impulse",
    "Near",
    "PistonFit",
    "Recording",
    "RecordingError",
    "Repeats",
    "Setup",
    "Splice",
    "Sweep",
    "TableLeft",
    "TableOf",
    "Tails",
    "Take",
    "Taken",
    "Truth",
    "Visible",
    "Ways",
    "arrival",
    "arrivals_off",
    "averaged",
    "band_centroid",
    "calibration_wrong",
    "clipped",
    "common_rate",
    "corrected",
    "deconvolved",
    "delay_against",
    "drifting",
    "excess_delay",
    "excess_phase",
    "expected_arrivals",
    "explained",
    "far_from_a_baffle",
    "fine_structure",
    "first_reflection",
    "first_rise",
    "fit_piston",
    "fitted_tails",
    "gated",
    "harmonics",
    "highest_frequency",
    "impulse_of",
    "levels_off",
    "like_a_data_sheet",
    "linear_part",
    "make_sweep",
    "minimum_phase",
    "near_a_baffle",
    "near_to_far",
    "noise_before",
    "noise_weight",
    "noisy",
    "one_channel",
    "permitted_overlap",
    "phase_missing",
    "rates_differ",
    "read_calibration",
    "read_sofa_curves",
    "read_sofa_responses",
    "read_text_recording",
    "read_wav",
    "record",
    "reflection_in_gate",
    "relative_delay",
    "relative_delay_from_sum",
    "removed",
    "removed_share",
    "repeats_density",
    "scaled_frequencies",
    "silence_density",
    "splice_findings",
    "spliced",
    "split_repeats",
    "suggested_gate",
    "swapped_files",
    "sweep_of_another_rate",
    "table_left",
    "too_loud",
    "too_short",
    "transfer",
    "transfer_noise",
    "turned_over",
    "unmeasured",
    "valid_band",
    "visible_reflection",
    "volume_velocities",
    "ways_of",
]
