"""Tables that people keep in a spreadsheet, read from CSV or XLSX as text and written as CSV."""

from base.tables.figures import NoFigure, figure_from, figure_text
from base.tables.table import LARGEST, ROWS, BadTable, Column, Line, Table, bare, read_table
from base.tables.writing import csv_of

__all__ = [
    "LARGEST",
    "ROWS",
    "BadTable",
    "Column",
    "Line",
    "NoFigure",
    "Table",
    "bare",
    "csv_of",
    "figure_from",
    "figure_text",
    "read_table",
]
