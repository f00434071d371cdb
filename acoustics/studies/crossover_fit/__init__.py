"""Fitting a passive crossover: shapes, values, standard parts."""

from acoustics.studies.crossover_fit.run import Fitted, fit_crossover

__all__ = ["Fitted", "fit_crossover"]
