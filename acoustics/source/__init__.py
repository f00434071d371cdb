"""How much air a driver moves per volt."""

from acoustics.source.constant import constant_sensitivity

__all__ = ["constant_sensitivity"]
