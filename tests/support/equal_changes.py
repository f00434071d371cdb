"""Changes of the code that change nothing, and why: no test could notice them."""

EQUAL: dict[str, str] = {}
