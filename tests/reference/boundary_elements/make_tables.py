"""Make the reference tables case_R.npz and case_P.npz (see README.md for what they hold).

Needs Python 3.11 with bempp-cl 0.4.2, gmsh 4.15, numba and scipy (pip install bempp-cl gmsh numba
scipy; gmsh needs the system's libGLU and libXcursor). Run in this folder:

    python make_tables.py R --keep results
    python make_tables.py P --keep results

Each frequency's result is kept in the folder named, so a stopped run goes on where it stopped. A
table takes about a quarter of an hour on two cores and less than 4 GiB. How far table A is from
this program is printed by

    python make_tables.py A --keep results --frequencies 500 2000
"""

from __future__ import annotations

import argparse
import time
from pathlib import Path

import bempp_cl.api as bempp
import numba
import numpy as np
from bodies_meshed import MeshedBox, Sizes, quarter_mesh
from burton_miller import THREADS, Spaces, matrices, right_sides
from images import Surface, whole_surface
from scipy.linalg import solve

C, RHO, R = 343.0, 1.2, 2.0
ANGLES = np.arange(-180, 181, 15)
CASES = {
    "A": MeshedBox(0.22, 0.38, 0.30, 0.0127, 0.10),
    "R": MeshedBox(0.22, 0.38, 0.30, 0.0127, 0.10, round_radius=0.02),
    "P": MeshedBox(0.30, 0.40, 0.02, 0.0127, 0.05),
}
DESCRIPTIONS = {
    "A": "box 0.22w x 0.38h x 0.30d, tweeter a=0.0127 at (0,0.10)",
    "R": "as A, the four front edges rounded with radius 20 mm, mitred at the corners",
    "P": "plate-like box 0.30w x 0.40h x 0.02d, a=0.0127 at (0,0.05)",
}
FREQUENCIES = (100, 200, 500, 1000, 1400, 2000, 2800, 4000, 5000)
MAIN, COARSE, FINER, FINEST = 1.2, 1.8, 0.9, 0.6
"""Scales of the meshes' element sizes."""

FINER_AT = (1000, 2800, 5000)
FINEST_AT = {"P": (5000,)}  # R's would take about 6 GiB
COLUMNS = (
    "f_Hz",
    "onaxis_dB",
    "max_dB_all50",
    "max_dB_where_|T|>0.1peak",
    "max|dT|/peak",
    "near_max_dB",
    "max_phase_deg_where_|T|>0.1peak",
)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("case", choices=CASES)
    parser.add_argument("--frequencies", type=int, nargs="+", default=FREQUENCIES)
    parser.add_argument("--keep", type=Path, required=True)
    given = parser.parse_args()
    given.keep.mkdir(exist_ok=True)
    numba.set_num_threads(THREADS)
    if given.case == "A":
        compare(run("A", MAIN, given.frequencies, given.keep)["found"])
        return
    main_mesh = run(given.case, MAIN, given.frequencies, given.keep)
    others = {
        "coarse": run(given.case, COARSE, given.frequencies, given.keep),
        "finer": run(given.case, FINER, FINER_AT, given.keep),
    }
    if given.case in FINEST_AT:
        others["finest"] = run(given.case, FINEST, FINEST_AT[given.case], given.keep)
    np.savez(f"case_{given.case}.npz", **table(given.case, main_mesh, others))


def receivers(box: MeshedBox) -> dict[str, np.ndarray]:
    y, turn = box.piston_y, np.radians(ANGLES)
    zero = np.zeros_like(turn)
    return {
        "h": np.stack((R * np.sin(turn), y + zero, R * np.cos(turn)), axis=1),
        "v": np.stack((zero, y + R * np.sin(turn), R * np.cos(turn)), axis=1),
        "near": np.array([(0, y, 0.01), (0, y, 0.25)]),
    }


def run(case: str, scale: float, frequencies: tuple[int, ...], keep: Path) -> dict:
    """Pressure for Q = 1 m³/s with the factor exp(+jωt), frequency by frequency."""
    box = CASES[case]
    surface = whole_surface(*quarter_mesh(box, Sizes().times(scale)))
    spaces, found, mesh = Spaces(surface), {}, measures(surface)
    print(case, scale, mesh, flush=True)
    for frequency in frequencies:
        path = keep / f"{case}_{scale:g}_{frequency}.npz"
        if not path.exists():
            begun = time.perf_counter()
            np.savez(path, **solved(surface, spaces, box, frequency))
            print(case, scale, frequency, f"{time.perf_counter() - begun:.0f} s", flush=True)
        found[frequency] = dict(np.load(path))
    return {"mesh": mesh, "found": found}


def measures(surface: Surface) -> dict[str, float]:
    corners = surface.points[surface.triangles]
    edges = np.linalg.norm(corners - np.roll(corners, 1, axis=1), axis=2)
    return {
        "N_triangles": len(surface.triangles),
        "n_dof": len(surface.points),
        "h_max_edge": edges.max(),
        "h_min_edge": edges.min(),
        "S_mesh": areas(surface)[surface.moving & ~surface.lower].sum(),
    }


def areas(surface: Surface) -> np.ndarray:
    a, b, c = np.moveaxis(surface.points[surface.triangles], 1, 0)
    return np.linalg.norm(np.cross(b - a, c - a), axis=1) / 2


def solved(surface: Surface, spaces: Spaces, box: MeshedBox, frequency: float) -> dict:
    omega = 2 * np.pi * frequency
    k, piston = omega / C, surface.moving & ~surface.lower
    area = areas(surface)[piston]
    slope = 1j * omega * RHO / area.sum()
    upper, lower = right_sides(surface, spaces, k)
    even, odd = matrices(surface, spaces, k)
    inside = surface.points[: surface.quarter_points, 1] > 0
    u_even = solve(even, slope * (upper + lower) / 2, overwrite_a=True, check_finite=False)
    u_odd = np.zeros_like(u_even)
    u_odd[inside] = solve(
        odd[np.ix_(inside, inside)], slope * (upper - lower)[inside] / 2,
        overwrite_a=True, check_finite=False,
    )  # fmt: skip
    u = u_even[surface.origin] + np.where(surface.mirrored_y, -1, 1) * u_odd[surface.origin]
    mean = (area @ u[surface.triangles[piston]].mean(axis=1)) / area.sum()
    pressures = {
        name: np.conj(radiated(spaces, u, slope, k, points, 10 if name == "near" else 4))
        for name, points in receivers(box).items()
    }
    return {**pressures, "Z": np.conj(mean) * area.sum() / (RHO * C)}


def radiated(
    spaces: Spaces, u: np.ndarray, slope: complex, k: float, points: np.ndarray, order: int
) -> np.ndarray:
    bempp.GLOBAL_PARAMETERS.quadrature.regular = order
    potential = bempp.operators.potential.helmholtz
    surface_pressure = bempp.GridFunction(spaces.whole, coefficients=u[spaces.whole_vertex])
    one = np.full(spaces.upper.global_dof_count, slope)
    velocity = bempp.GridFunction(spaces.upper, coefficients=one)
    double = potential.double_layer(spaces.whole, points.T, k)
    single = potential.single_layer(spaces.upper, points.T, k)
    return (double @ surface_pressure - single @ velocity).ravel()


def relative(box: MeshedBox, frequency: float, name: str, pressure: np.ndarray) -> np.ndarray:
    """Pressure over that of a free point source at the piston's centre."""
    points = receivers(box)[name]
    away = np.linalg.norm(points - (0, box.piston_y, 0), axis=1)
    omega = 2 * np.pi * frequency
    return pressure / (1j * RHO * omega * np.exp(-1j * omega / C * away) / (4 * np.pi * away))


def ratios(case: str, found: dict) -> dict[str, np.ndarray]:
    return {
        name: np.array([relative(CASES[case], f, name, kept[name]) for f, kept in found.items()])
        for name in ("h", "v", "near")
    }


def table(case: str, main_mesh: dict, others: dict[str, dict]) -> dict:
    """The arrays of one file."""
    box, ratio = CASES[case], ratios(case, main_mesh["found"])
    places = receivers(box)
    return {
        "time_convention": "exp(+j*omega*t); outgoing wave exp(-j*k*r)",
        "definition": "T = p / [ j*rho*omega*Q*exp(-j*k*R)/(4*pi*R) ], Q=S*v, "
        "R = distance piston centre to receiver",
        "description": DESCRIPTIONS[case],
        "c": C,
        "rho": RHO,
        "R": R,
        "f_Hz": np.array(list(main_mesh["found"])),
        "angle_deg": ANGLES,
        "piston_xyz": np.array((0, box.piston_y, 0)),
        "piston_radius": box.piston_radius,
        "S_exact": np.pi * box.piston_radius**2,
        **{f"rec_{name}": points for name, points in places.items()},
        **{f"T_{name}": values for name, values in ratio.items()},
        **{
            f"p_per_Q_{name}": np.array([kept[name] for kept in main_mesh["found"].values()])
            for name in places
        },
        "Z_piston_mean": np.array([kept["Z"] for kept in main_mesh["found"].values()]),
        **main_mesh["mesh"],
        "mesh_diff_columns": np.array(COLUMNS),
        **{
            f"{name}_{label}": values
            for label, other in others.items()
            for name, values in other_mesh(case, main_mesh["found"], other).items()
        },
    }


def other_mesh(case: str, main_found: dict, other: dict) -> dict[str, np.ndarray]:
    """A second mesh's ratios and how far the main mesh is from them (COLUMNS)."""
    found = other["found"]
    ratio = ratios(case, found)
    return {
        **{f"T_{name}": values for name, values in ratio.items()},
        "f_Hz": np.array(list(found)),
        "N_triangles": other["mesh"]["N_triangles"],
        "mesh_diff": np.array([(f, *differences(main_found[f], found[f])) for f in found]),
    }


def differences(main_found: dict, found: dict) -> tuple[float, ...]:
    """Of one frequency's results, as COLUMNS[1:] names them."""
    ours, theirs = (np.concatenate((kept["h"], kept["v"])) for kept in (main_found, found))
    level = np.abs(decibels(ours / theirs))
    loud = np.abs(ours) >= 0.1 * np.abs(ours).max()
    return (
        level[len(ANGLES) // 2],
        level.max(),
        level[loud].max(),
        np.abs(ours - theirs).max() / np.abs(ours).max(),
        np.abs(decibels(main_found["near"] / found["near"])).max(),
        np.degrees(np.abs(np.angle(ours / theirs)))[loud].max(),
    )


def decibels(ratio: np.ndarray) -> np.ndarray:
    return 20 * np.log10(np.abs(ratio))


def compare(found: dict) -> None:
    """Print the levels' differences from table A, at all angles."""
    given, ratio = np.load("case_A.npz"), ratios("A", found)
    for row, frequency in enumerate(found):
        at = int(np.flatnonzero(given["f_Hz"] == frequency)[0])
        for name, values in ratio.items():
            print(frequency, name, np.round(decibels(values[row] / given[f"T_{name}"][at]), 3))


if __name__ == "__main__":
    main()
