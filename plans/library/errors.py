"""What can go wrong when the library is read."""


class BadLibrary(Exception):
    """The data file breaks a rule of the library; the message says file, entry, field and what to do."""
