"""Formulas that the solver's pieces are held against, and kernels asked for a single value."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from scipy.integrate import quad

from acoustics.field import kernels
from acoustics.field.quadrature import gauss_rule


def complex_quad(integrand, low, high, breaks=()):
    """∫ of a complex integrand by adaptive quadrature, broken where it is sharp."""
    knots = [low, *sorted(b for b in breaks if low < b < high), high]
    total = 0.0
    for a, b in pairwise(knots):
        total += quad(integrand, a, b, complex_func=True, limit=400, epsrel=1e-9, epsabs=1e-11)[0]
    return total


def beta(wedge, theta, eta):
    """What an edge makes of an arrival along its face θ = 0, with the four terms of the source.

    β = Σ sin ν(π ± θs ± θr)/(cosh νη − cos ν(π ± θs ± θr)) with θs = 0 (Svensson, Fred &
    Vanderkooy, J. Acoust. Soc. Am. 106, 1999, 2331, eq. 3; from memory), the difference written as
    2·sinh²(νη/2) + 2·sin²(…/2), which does not cancel.
    """
    nu = np.pi / wedge
    total = 0.0
    for angle in (np.pi + theta, np.pi - theta):
        below = 2 * np.sinh(0.5 * nu * eta) ** 2 + 2 * np.sin(0.5 * nu * angle) ** 2
        total = total + 2 * np.sin(nu * angle) / below
    return total


def planes(values):
    """Complex (…, column) as real and imaginary planes (…, 2, column)."""
    return np.stack([values.real, values.imag], axis=-2)


def joined(values):
    """Planes (…, 2, column) as complex (…, column)."""
    return values[..., 0, :] + 1j * values[..., 1, :]


def noise(rng, *shape):
    return rng.normal(size=shape) + 1j * rng.normal(size=shape)


def over_directions(function, t, count):
    """Σ f(x_p)·φ_p(t)."""
    rule = gauss_rule(count)
    out = np.empty(count)
    kernels.direction_values(t, rule.x, rule.bary, out)
    return out @ function(rule.x)


def pole_at(wedge, foot, rho, receiver):
    """DEVELOPERS, "Zone boundaries"; for the references it only tells where to look closely."""
    zr, rhor, theta = receiver
    f = min((np.pi - theta, 2 * wedge - np.pi - theta), key=abs)
    gap, h2 = zr - foot, rho**2 + 2 * rho * rhor * np.cos(f) + rhor**2
    offset = gap * (rho + rhor * np.cos(f)) + 1j * abs(rhor * np.sin(f)) * np.sqrt(gap**2 + h2)
    return foot + rho * offset / h2


def fading_to(z, rho, slant):
    """The fall of a strength toward the point z of another edge."""
    return kernels.fading(kernels.grazing(z, rho, slant))


def straight_on(panel, wedge, emitter, receiver, wavenumber, basis):
    """What goes straight on next to a zone boundary, of an emitter whose strength is its fall.

    panel: start, length and rule; emitter: foot, distance and slant (1, 5); receiver: place along
    the edge, distance and angle. The factor of a leg, −ν/4π, is in the waves and not in what this
    returns, which is to be added to a sum of weights.
    """
    (start, length, rule), (foot, rho, slant), one = panel, emitter, np.ones(1)
    zr, rhor, theta = receiver
    path, out = np.zeros((1, 1)), np.zeros((1, 1, basis.x.size))
    kernels.needle_waves(
        np.array([0]), foot * one, rho * one, slant, one, start, length, rule.x, rule.w, wedge,
        zr * one, rhor * one, theta * one, one, basis, path, out,
    )  # fmt: skip
    heard = out[0, 0] @ (1 - basis.x**2) * np.exp(-1j * wavenumber * path[0, 0])
    return -4 * wedge * heard
