"""What can go wrong when the catalogue is read or asked."""


class CatalogueError(Exception):
    """Base of everything that this package raises on purpose."""


class BadCatalogue(CatalogueError):
    """The data files break a rule of the schema; the message says file, entry, field and what to do."""


class UnknownMetric(CatalogueError, LookupError):
    """No metric or screen has this key."""


class UnknownMoment(CatalogueError, LookupError):
    """The reading key names a moment at which this metric is never read."""


class NoSpread(CatalogueError, LookupError):
    """The catalogue has no typical spread, because this capture method cannot give this metric."""
