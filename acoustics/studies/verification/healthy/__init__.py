"""Readings set right in level, delay and microphone, and held against sound builds."""
