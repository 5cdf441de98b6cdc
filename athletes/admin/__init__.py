"""Administration of people: what a coach does daily has its own pages; here stands the rest."""

from athletes.admin import accounts, logs, people

__all__ = ["accounts", "logs", "people"]
