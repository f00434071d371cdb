"""A design of two drivers and its sound, for looks at the live page without any physics.

Its sound is that of points in free air with an image at the floor and a weaker one at every edge:
smooth, quick, and different wherever a driver is. Nothing about it is judged.
"""

from __future__ import annotations

import numpy as np

from acoustics.studies.live.looks import looks_at, nearest

FREQUENCY = 20.0 * 10.0 ** (np.arange(201) * 3 / 200)
ANGLES = (-60, -45, -30, -15, 15, 30, 45, 60)
HEIGHTS = np.round(np.arange(0.3, 2.01, 0.1), 3)
SPEED = 343.2
HALF = (0.11, 0.19)
"""m, of the front face"""
MIDDLE = 0.825
"""m above the floor"""


def design(title: str = "Compact two-way", names: tuple[str, str] = ("tweeter", "woofer")) -> dict:
    """What is said of the design first."""
    high, low = names
    across = [[-HALF[0], -HALF[1]], [HALF[0], -HALF[1]], [HALF[0], HALF[1]], [-HALF[0], HALF[1]]]
    spans = ([[-0.06, 0.06], [-0.14, 0.14]], [[-0.0275, 0.0275], [-0.1075, 0.1075]])
    return {
        "say": "design",
        "title": title,
        "note": "Invented design of an invented workshop.",
        "file": "case.toml",
        "seen": "first",
        "draft": {
            "places": {high: [0.0, 0.125], low: [0.0, -0.02]},
            "ear_height": 0.95,
            "distance": 2.5,
            "corners": [2200.0],
            "delays": {high: 0.0, low: 0.0},
            "edges": {"kind": "as drawn", "size": 0.0},
        },
        "drivers": [
            {
                "name": name,
                "face": "front",
                "radius": radius,
                "frame": frame,
                "movable": True,
                "why": "",
                "span": span,
                "inverted": False,
            }
            for name, radius, frame, span in zip(
                names, (0.0125, 0.06), (0.05, 0.0825), spans, strict=True
            )
        ],
        "front": {
            "outline": across,
            "others": [{"what": "port rear", "face": "back", "at": [0.0, 0.09], "radius": 0.0275}],
        },
        "limits": {
            "ear_height": [0.3, 2.0],
            "distance": [0.5, 6.0],
            "corners": [
                {
                    "name": f"{low} to {high}",
                    "span": [500.0, 6000.0],
                    "movable": True,
                    "why": "",
                }
            ],
            "delays": {name: {"span": [0.0, 0.002], "movable": True, "why": ""} for name in names},
            "edges": [
                {"kind": "as drawn", "most": 0.0, "why": ""},
                {"kind": "square", "most": 0.0, "why": ""},
                {"kind": "rounded", "most": 0.04, "why": ""},
                {"kind": "chamfered", "most": 0.04, "why": ""},
            ],
        },
        "frequency": FREQUENCY.tolist(),
        "angles": list(ANGLES),
        "heights": HEIGHTS.tolist(),
        "ear_heights": [0.85, 0.95, 1.05],
        "pair": True,
        "surfaces": ["floor", "front wall"],
        "compiled": True,
        "map_metrics": [
            {"by": "relative_ripple", "words": "ripple off axis", "less_is_better": True},
            {"by": "seat_level", "words": "level at the main seat", "less_is_better": False},
        ],
        "version": "0",
    }


def curves_of(draft: dict) -> tuple[dict[str, np.ndarray], dict[str, float]]:
    """Arrays and figures of a draft, as the protocol has them."""
    names = list(draft["places"])
    at = np.array([draft["places"][name] for name in names])
    delay = np.array([draft["delays"][name] for name in names])
    corner = draft["corners"][0]
    ear, away = draft["ear_height"], draft["distance"]
    edge = 0.35 * (1.0 - draft["edges"]["size"] / 0.08)
    s = 1j * FREQUENCY / corner
    high = s**4 / (s**2 + np.sqrt(2) * s + 1) ** 2
    low = 1.0 / (s**2 + np.sqrt(2) * s + 1) ** 2
    bass = (1j * FREQUENCY / 45) ** 4 / ((1j * FREQUENCY / 45) ** 2 + 1j * FREQUENCY / 40 + 1) ** 2
    shape = np.array([high, low * bass]) * np.exp(-2j * np.pi * FREQUENCY * delay[:, None])
    radius = np.array([0.0125, 0.06])

    def heard(point: np.ndarray, floor: bool = False) -> np.ndarray:
        k = 2 * np.pi * FREQUENCY / SPEED
        total = np.zeros((len(names), FREQUENCY.size), complex)
        for i, (right, up) in enumerate(at):
            images = [(right, up, 1.0)]
            for side in (-1, 1):
                images += [(2 * side * HALF[0] - right, up, -edge / 2)]
                images += [(right, 2 * side * HALF[1] - up, -edge / 2)]
            if floor:
                images += [(right, -2 * MIDDLE - up, 0.8)]
            for x, y, share in images:
                r = np.sqrt((point[0] - x) ** 2 + (point[1] - y) ** 2 + point[2] ** 2)
                total[i] += share * np.exp(-1j * k * (r - away)) / r
            lean = np.hypot(point[0] - right, 0.5 * (point[1] - up)) / np.linalg.norm(point)
            total[i] *= np.exp(-0.25 * (k * radius[i] * lean) ** 2 / (1 + 0.1 * k * radius[i]))
        return total * shape

    def level(pressure: np.ndarray) -> np.ndarray:
        return 82 + 20 * np.log10(np.maximum(np.abs(pressure), 1e-6))

    axis = heard(np.array([at[0][0], at[0][1], 2.0]))
    turned = [np.deg2rad(angle) for angle in ANGLES]
    aside = [
        heard(np.array([at[0][0] + 2 * np.sin(a), at[0][1], 2 * np.cos(a)])).sum(0) for a in turned
    ]
    over = [heard(np.array([0.0, h - MIDDLE, away])).sum(0) for h in HEIGHTS]
    seat = [heard(np.array([0.0, ear - MIDDLE, away]), floor).sum(0) for floor in (False, True)]
    window = np.sqrt((np.abs(axis.sum(0)) ** 2 + sum(np.abs(a) ** 2 for a in aside[2:6])) / 5)
    arrays = {
        "axis": level(axis.sum(0)),
        "each": level(axis),
        "window": level(window),
        "seat": level(np.array(seat)),
        "aside": level(np.array(aside)),
        "lobes": level(np.array(over)).T[nearest(FREQUENCY, looks_at(np.array([corner])))],
    }
    band = (FREQUENCY > 300) & (FREQUENCY < 10_000)
    relative = (arrays["aside"] - arrays["axis"])[:, band]
    there = arrays["lobes"][0]
    held = HEIGHTS[there > there.max() - 3]
    figures = {
        "ripple off axis": float(relative.std(axis=1).max()),
        "common ripple": float(arrays["window"][band].std()),
        "ripple on axis": float(arrays["axis"][band].std()),
        "sides": float(np.abs(arrays["aside"] - arrays["aside"][::-1])[:, band].mean()),
        "seat level": float(arrays["seat"][1][band].mean()),
        "floor dip": float(np.ptp(arrays["seat"][1][(FREQUENCY > 80) & (FREQUENCY < 600)])),
        "lobe low": float(held[0]),
        "lobe high": float(held[-1]),
    }
    return arrays, figures
