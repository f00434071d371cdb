"""By what designs are judged: numbers, their uncertainties, and where they are heard."""
