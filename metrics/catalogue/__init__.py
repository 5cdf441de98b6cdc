"""The metric catalogue: what is measured, in which words and units, and how far it usually varies.

Data (TOML and CSV) in ``data/``, read and checked once; no Django, no clock, no environment.
"""

from metrics.catalogue.errors import BadCatalogue, CatalogueError, NoSpread, UnknownMetric, UnknownMoment
from metrics.catalogue.loader import load_catalogue, parse_reading_key, read_catalogue
from metrics.catalogue.model import Catalogue, Metric, Spread
from metrics.catalogue.schema import normalise_name

__all__ = [
    "BadCatalogue",
    "Catalogue",
    "CatalogueError",
    "Metric",
    "NoSpread",
    "Spread",
    "UnknownMetric",
    "UnknownMoment",
    "load_catalogue",
    "normalise_name",
    "parse_reading_key",
    "read_catalogue",
]
