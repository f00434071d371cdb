"""What the process that tries a file may take, and what it says."""

from __future__ import annotations

from acoustics.weighed import MOST_PACKED

BEGUN = b"begun"
"""said once the libraries are loaded: what happens from there on is the file's doing"""
TOO_LARGE = 3
"""exit code of a process that got no more memory"""

ROOM = 2 * 2**30
"""bytes for Python, its libraries and what they reserve"""
PATIENCE = 20.0
"""seconds for any file: measured are some tenths"""
SECONDS_PER_BYTE = 1e-6
"""on top; a hundredth of it is usual"""


def memory(size: int) -> int:
    """Bytes that may be reserved for a file of a size: as many as it may hold unpacked."""
    return ROOM + MOST_PACKED * size


def seconds(size: int) -> float:
    """How long reading a file of a size may take."""
    return PATIENCE + SECONDS_PER_BYTE * size
