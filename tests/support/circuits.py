"""Any circuit of two-poles and loads, by the scattering matrices of scikit-rf."""

from __future__ import annotations

import numpy as np
import skrf
from skrf.circuit import Circuit
from skrf.network import y2s

OHM = 8.0
"""Reference impedance: that of what hangs there, so that scattering keeps its digits."""


def circuit_impedance(frequency, two_poles, loads, admittance, ports):
    """Open-circuit impedances between ports and ground, (frequency, port, port), ohm.

    two_poles: (impedance (frequency,), node, node). loads: (node, node) of each, whose currents are
    admittance (load, load, frequency) times their voltages. ports: nodes. Ground is "return".
    """
    band = skrf.Frequency.from_f(frequency, unit="Hz")
    at = {}
    for number, (impedance, start, end) in enumerate(two_poles):
        part = Circuit.SeriesImpedance(band, impedance, name=f"part {number}", z0=OHM)
        at.setdefault(start, []).append((part, 0))
        at.setdefault(end, []).append((part, 1))
    terminals = [node for load in loads for node in load]
    signs = np.zeros((len(terminals), len(loads)))
    signs[::2], signs[1::2] = np.eye(len(loads)), -np.eye(len(loads))
    y = np.einsum("ai,bj,ijf->fab", signs, signs, admittance)
    drivers = skrf.Network(frequency=band, s=y2s(y, OHM), z0=OHM, name="drivers")
    for number, node in enumerate(terminals):
        at.setdefault(node, []).append((drivers, number))
    for node in ports:
        at[node].append((Circuit.Port(band, f"port {node}", z0=OHM), 0))
    if "return" in at:
        at["return"].append((Circuit.Ground(band, "ground", z0=OHM), 0))
    # Ports are numbered in the order in which their nodes come.
    nodes = [*ports, *(node for node in at if node not in ports)]
    return Circuit([at[node] for node in nodes]).network.z
