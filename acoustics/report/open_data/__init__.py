"""Papers for other programs: Dataset, directivity, curves and impulse responses in open formats."""

from acoustics.report.open_data.folder import write_open_data
from acoustics.report.open_data.impulses import write_impulses
from acoustics.report.open_data.sofa import write_sofa
from acoustics.report.open_data.tables import curves_csv, table_csv, write_csv

__all__ = [
    "curves_csv",
    "table_csv",
    "write_csv",
    "write_impulses",
    "write_open_data",
    "write_sofa",
]
