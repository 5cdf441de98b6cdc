"""Administration of people: what a coach does daily has its own pages; here stands the rest."""

from athletes.admin import accounts, letters, logs, people

__all__ = ["accounts", "letters", "logs", "people"]
