"""What each metric's verdict is called when a coach tells it to an athlete: plain words, one row a metric."""

from metrics.catalogue.plain.loading import BadPlainWords, PlainWords, load_plain_words, read_plain_words

__all__ = ["BadPlainWords", "PlainWords", "load_plain_words", "read_plain_words"]
