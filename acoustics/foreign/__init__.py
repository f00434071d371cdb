"""HDF5 of other programs, tried in a process of its own before it is opened in this one."""

from acoustics.foreign.tried import require_readable

__all__ = ["require_readable"]
