"""Fitting a passive crossover: shapes, values, standard parts."""

from acoustics.studies.crossover_fit.dataset import fit_dataset
from acoustics.studies.crossover_fit.run import Fitted, fit_crossover
from acoustics.studies.crossover_fit.written import written_case

__all__ = ["Fitted", "fit_crossover", "fit_dataset", "written_case"]
