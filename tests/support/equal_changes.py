"""Changes of the code that change nothing, and why: no test could notice them."""

EQUAL: dict[str, str] = {
    "crossover/digital.py: 2 → 3 in 1::2": (
        "no alignment has more than two real poles, so there is one pair at most"
    ),
    "crossover/compensation.py: 1.0 → 2.0 in x_scale=1.0": (
        "one scale for all unknowns cancels: the trust region begins as large in either"
    ),
    "crossover/textbook.py: 1e-09 → 2e-09 in 1e-09 * abs(pole)": (
        "a pole is real but for rounding, or has an imaginary part of a tenth of it or more"
    ),
    "field/kernels.py: 2 → 3 in (2, frequencies)": (
        "room for a wave in two planes; a third would be neither written nor read"
    ),
    "listening/overlap.py: LtE → Lt in np.abs(apart) <= OVERLAP": (
        "computed levels at sampled frequencies are never apart by the limit to the last digit"
    ),
    "studies/driver_map/flatness.py: Gt → GtE in sense > 0": "the sense is either 1 or −1, never 0",
    "studies/sweeps/ranking.py: True → False in strict=True": (
        "a place has one index for each dimension, so there is nothing to be refused"
    ),
}
