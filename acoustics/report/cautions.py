"""Usual cautions for those who build and measure."""

CAUTIONS = (
    "Sawing, sanding, gluing: dust mask, fresh air, eyes and ears protected, fingers clear.",
    "Heavy cabinets: lift with two people; make sure that a stand or a tall box cannot tip.",
    "First sweeps: start very quiet, raise slowly; hearing protection for long loud ones.",
    "A tweeter driven without its crossover by a full-range sweep is soon a dead one.",
    "Amplifiers hold mains voltage, and charge after the plug is out: leave them closed.",
    "These are usual cautions; local codes and licensed practice decide.",
)
"""Common practice."""
