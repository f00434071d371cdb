"""Least squares: the circuit that an impedance is most like, and how sure its figures are."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from scipy.optimize import least_squares

from acoustics.measurement.tuning.circuit import (
    COIL_FREQUENCY,
    INDUCTANCE,
    LEAK,
    MECHANICAL,
    MOTOR,
    RATIO,
    RESISTANCE,
    RESONANCE,
    SEMI,
    TUNING,
    Given,
    Kind,
    circuit_impedance,
    lossy,
    unknowns,
)
from acoustics.measurement.tuning.extremes import extremes_of, read_place
from acoustics.measurement.tuning.figures import Figure, TuningFit, names_of, untold
from acoustics.measurement.tuning.starts import Places, places_of, starts_of

WINDOW = (0.3, 4.0)
"""Fitted from this times the lower peak to that times the upper one: beyond, coil and cone do what
the circuit does not know."""

BAD = 0.06
"""Root mean square of ln(measured/fitted) from which on the circuit does not hold, if that is also
BEYOND_NOISE times what noise would leave."""

BEYOND_NOISE = 3.0

GOOD = 1.5
"""Squares over what noise leaves, below which no other start is tried."""

VAGUE = 0.3
"""Standard deviation over the value from which on a figure is not told."""

SURELY = 2.0
"""Standard deviations by which a loss must differ from none for its Q to be told."""


def fit_tuning(
    frequency: np.ndarray,
    impedance: np.ndarray,
    kind: Kind,
    *,
    uncertainty: float | np.ndarray = 0.01,
    has_phase: bool = True,
    given: Given | None = None,
    start: np.ndarray | None = None,
    through: np.ndarray | None = None,
) -> TuningFit:
    """Fit a driver in its box to its impedance.

    Nonlinear least squares of ln(measured/fitted), so that size and phase count alike. Standard
    deviations come from the curvature at the optimum; where more is left than the stated
    uncertainty explains, they grow with it.

    Args:
        frequency: Hz, ascending, shape (frequency,).
        impedance: ohm, complex, shape (frequency,); its size alone will do.
        kind: of the box.
        uncertainty: standard deviation of every value (and, in radians, of its phase) as a share
            of it; one for all or shape (frequency,).
        has_phase: whether the phase says anything.
        given: what cannot be told from an impedance.
        start: unknowns to start from, where they are about known.
        through: a, b, c, d of what lies before the driver, complex, shape (4, frequency): the
            impedance is then (aZ + b)/(cZ + d) of the driver's Z; None for nothing.

    Returns:
        The fit; without figures, and with a reason, where none can be told.
    """
    known = given or Given()
    frequency = np.asarray(frequency, dtype=float)
    spread = np.broadcast_to(np.asarray(uncertainty, dtype=float), frequency.shape)
    size = np.abs(impedance)
    usable = np.isfinite(size) & (size > 0) & np.isfinite(spread)
    frequency, size, spread = frequency[usable], size[usable], spread[usable]
    values = np.asarray(impedance)[usable]
    before = None if through is None else through[:, usable]
    if frequency.size < 2 * unknowns(kind):
        return _none(kind, known, f"{frequency.size} points are too few")
    places = places_of(kind, extremes_of(frequency, size, spread), frequency, size)
    if isinstance(places, str):
        return _none(kind, known, places)
    band = (WINDOW[0] * places.lower, WINDOW[1] * places.upper)
    used = (frequency >= band[0]) & (frequency <= band[1])
    if np.count_nonzero(used) * (2 if has_phase else 1) < 2 * unknowns(kind):
        return _none(kind, known, f"{np.count_nonzero(used)} points about its peaks are too few")

    def left(unknown: np.ndarray) -> np.ndarray:
        model = circuit_impedance(kind, unknown, frequency[used], known)
        if before is not None:
            a, b, c, d = before[:, used]
            model = (a * model + b) / (c * model + d)
        off = np.log(model / values[used])
        if not has_phase:
            return np.asarray(off.real / spread[used])
        return np.concatenate([off.real, off.imag]) / np.tile(spread[used], 2)

    starts = [start] if start is not None else list(starts_of(kind, places, known))
    unknown, slopes, rest = _best(left, starts)
    excess = float(rest @ rest) / (rest.size - unknown.size)
    covariance = np.linalg.pinv(slopes.T @ slopes, rcond=1e-14) * max(excess, 1.0)
    misfit = float(np.sqrt(np.mean((rest * np.tile(spread[used], 2 if has_phase else 1)) ** 2)))
    bad = misfit > BAD and excess > BEYOND_NOISE**2
    reason = f"the circuit is off by {100 * misfit:.0f} % (root mean square)" if bad else ""
    figures = dict(_as_read(kind, frequency, size, spread, places))
    told = _figures(kind, unknown, covariance, known)
    figures |= dict.fromkeys(told, untold(reason)) if bad else told
    ends = (max(band[0], float(frequency[0])), min(band[1], float(frequency[-1])))
    ordered = {name: figures[name] for name in names_of(kind)}
    return TuningFit(kind, ordered, known, unknown, covariance, ends, misfit, reason)


def _none(kind: Kind, given: Given, reason: str) -> TuningFit:
    return TuningFit(kind, dict.fromkeys(names_of(kind), untold(reason)), given, reason=reason)


def _best(
    left: Callable[[np.ndarray], np.ndarray], starts: list[np.ndarray]
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """The unknowns that leave least, slopes of what they leave, and that itself."""
    best = None
    for start in starts:
        found = least_squares(left, start, method="lm", max_nfev=100 * start.size)
        if best is None or found.cost < best.cost:
            best = found
        if 2 * best.cost < GOOD * best.fun.size:
            break
    assert best is not None
    return best.x, best.jac, best.fun


def _as_read(
    kind: Kind, frequency: np.ndarray, size: np.ndarray, spread: np.ndarray, places: Places
) -> dict[str, Figure]:
    def read(near: float) -> Figure:
        return read_place(frequency, size, spread, near)

    if kind == "closed":
        return {"upper_peak": read(places.upper)}
    lower = untold("the lower peak lies below what was measured")
    return {
        "lower_peak": lower if places.below else read(places.lower),
        "minimum": read(places.dip),
        "upper_peak": read(places.upper),
    }


def _figures(
    kind: Kind, unknown: np.ndarray, covariance: np.ndarray, given: Given
) -> dict[str, Figure]:
    """All figures of the circuit; what they share of their uncertainty is reckoned with."""
    count = unknown.size
    turn = 2 * np.pi * COIL_FREQUENCY

    def power(**powers: float) -> Figure:
        """A product of powers of the unknowns whose logarithms these are."""
        slope = np.zeros(count)
        for name, exponent in powers.items():
            slope[_LOGS[name]] = exponent
        value = float(np.exp(slope @ unknown))
        share = float(np.sqrt(slope @ covariance @ slope))
        return _told(value, share)

    def spread_of(place: int) -> float:
        return float(np.sqrt(covariance[place, place]))

    def plain(place: int, factor: float) -> Figure:
        return Figure(factor * float(unknown[place]), factor * spread_of(place))

    # 1/Q_t = 1/Q_m + (R_e/Q_e)/R_e.
    by_motor = float(np.exp(unknown[MOTOR] - unknown[RESISTANCE]))
    own_losses = float(np.exp(-unknown[MECHANICAL]))
    by_losses = own_losses + (float(lossy(1.0, given).real) if kind == "closed" else 0.0)
    slope = np.zeros(count)
    slope[[MOTOR, RESISTANCE, MECHANICAL]] = -by_motor, by_motor, own_losses
    total = 1 / (by_motor + by_losses)
    share = total * float(np.sqrt(slope @ covariance @ slope))
    answer = {
        "mechanical_q": _told(1 / by_losses, own_losses / by_losses * spread_of(MECHANICAL)),
        "electrical_q": power(resistance=1, motor=-1),
        "total_q": _told(total, share),
        "dc_resistance": power(resistance=1),
        "inductance": plain(INDUCTANCE, 1 / turn),
        "semi_inductance": plain(SEMI, turn**-0.5),
    }
    if kind == "closed":
        return {"tuning": power(resonance=1), **answer}
    loss, spread = float(unknown[LEAK]), spread_of(LEAK)
    answer |= {
        "tuning": power(tuning=1),
        "driver_resonance": power(resonance=1),
        "compliance_ratio": power(ratio=1),
        "box_stiffness": power(resonance=1, ratio=0.5),
        "leakage_q": Figure(1 / loss, spread / loss**2)
        if loss > SURELY * spread and spread / loss < 1.5 * VAGUE
        else untold(
            f"losses are too small to be told: Q above {1 / (max(loss, 0.0) + SURELY * spread):.0f}"
        ),
    }
    if kind == "passive radiator":
        answer["passive_resonance"] = untold(
            "an impedance does not tell it from the box's and the driver's compliance; that of the "
            "passive radiators over the box's air is taken as stated"
        )
    return answer


def _told(value: float, share: float) -> Figure:
    """A figure that is uncertain by a share of it."""
    if not share < VAGUE:
        return untold(f"it is uncertain by {100 * share:.0f} %")
    return Figure(value, value * share)


_LOGS = {
    "resonance": RESONANCE,
    "mechanical": MECHANICAL,
    "motor": MOTOR,
    "resistance": RESISTANCE,
    "ratio": RATIO,
    "tuning": TUNING,
}
