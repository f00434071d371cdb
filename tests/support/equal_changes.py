"""Changes of the code that change nothing, and why: no test could notice them."""

EQUAL: dict[str, str] = {
    "crossover/alignments.py: 0.0 → 1.0 in (0.0, 2.0 * float(np.abs(poles).max()))": (
        "no filter of unit gain at 0 Hz and a delay of 1 s has lost half its power below 1 rad/s"
    ),
    "crossover/alignments.py: 2.0 → 4.0 in 2.0 * float(np.abs(poles).max())": (
        "a wider bracket is halved as well, and closes on the same last bit"
    ),
    "crossover/alignments.py: 60 → 61 in range(60)": (
        "sixty halvings have closed the bracket already"
    ),
    "crossover/alignments.py: Sub → Add in 1j * middle - poles": (
        "the poles lie alike above and below the real axis, so each is as far from one as the other"
    ),
    "crossover/compensation.py: 0.01 → 0.02 in 0.01 * coil": (
        "where a fit begins, not where it ends"
    ),
    "crossover/compensation.py: 1e-12 → 2e-12 in EXACT = 1e-12": (
        "a fit ends within a trillionth of its end in either case"
    ),
    "crossover/compensation.py: return -_apart(weight * np.log(total / impedance))": (
        "least squares know no sign"
    ),
    "crossover/compensation.py: return -_apart(weight * np.log(total / level))": (
        "least squares know no sign"
    ),
    "crossover/compensation.py: return -np.concatenate([values.real, values.imag])": (
        "least squares know no sign"
    ),
    "crossover/crossings.py: Gt → GtE in ahead.max() > MARGIN": (
        "computed levels are never apart by the margin to the last digit"
    ),
    "crossover/crossings.py: Gt → GtE in alike.sum(axis=0) > 1": (
        "where one driver is alone at the top, the long way finds it too"
    ),
    "crossover/crossings.py: Gt → GtE in level[:, place] - level[holder, place] > MARGIN": (
        "computed levels are never apart by the margin to the last digit"
    ),
    "crossover/crossings.py: LtE → Lt in level.max(axis=0) - level <= MARGIN": (
        "computed levels are never apart by the margin to the last digit"
    ),
    "crossover/impulse_response.py: GtE → Gt in half >= SHORTEST": (
        "where the shortest is half of the taps, either way has that one latency"
    ),
    "crossover/network.py: 0.01 → 0.02 in NEAR_SHORT = 0.01": (
        "an element near it keeps its digits in either way of being solved"
    ),
    "crossover/network.py: Lt → LtE in np.abs(n) < NEAR_SHORT * np.abs(d)": (
        "an element near it keeps its digits in either way of being solved"
    ),
    "crossover/ratings.py: 1e-09 → 2e-09 in 1 + 1e-09": (
        "rounding leaves a thousandth of it or less"
    ),
    "crossover/ratings.py: LtE → Lt in value <= each * (1 + 1e-09)": (
        "what is equal to a usual value is below it and a billionth"
    ),
    "crossover/standard_values.py: 1 → 2 in math.ceil(math.log10(high)) + 1": (
        "a decade more has no value below the upper end"
    ),
    "crossover/standard_values.py: 1e-09 → 2e-09 in 1 + 1e-09": (
        "rounding leaves a thousandth of it or less"
    ),
    "crossover/standard_values.py: 1e-09 → 2e-09 in 1 - 1e-09": (
        "rounding leaves a thousandth of it or less"
    ),
    "crossover/standard_values.py: 1e-09 → 2e-09 in _ratio(best, value) - 1e-09": (
        "rounding leaves a thousandth of it or less"
    ),
    "crossover/standard_values.py: Gt → GtE in each > value": (
        "a value that is a standard one is told before"
    ),
    "crossover/standard_values.py: "
    "Lt → LtE in _ratio(found, value) < _ratio(best, value) - 1e-09": (
        "ratios are never apart by a billionth to the last digit"
    ),
    "crossover/standard_values.py: Lt → LtE in each < value": (
        "a value that is a standard one is told before"
    ),
    "crossover/standard_values.py: Lt → LtE in left < SMALLEST_SHARE * wanted": (
        "what is left of a value is never a fiftieth of it to the last digit"
    ),
    "crossover/standard_values.py: LtE → Lt in low * (1 - 1e-09) <= value <= high * (1 + 1e-09)": (
        "what is equal to an end is within it and a billionth"
    ),
    "crossover/standard_values.py: LtE → Lt in wanted / 2 <= own * (1 + 1e-09)": (
        "what is half of it is more than that less a billionth"
    ),
    "crossover/textbook.py: return -answer": (
        "quotients of its coefficients know no sign that they have in common"
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
