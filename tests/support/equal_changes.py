"""Changes of the code that change nothing, and why: no test could notice them."""

EQUAL: dict[str, str] = {
    "listening/overlap.py: LtE → Lt in np.abs(apart) <= OVERLAP": (
        "computed levels at sampled frequencies are never apart by the limit to the last digit"
    ),
}
