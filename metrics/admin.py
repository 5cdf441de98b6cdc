"""Admin pages of this room: range profiles to work on, everything that was computed to look at."""

from metrics import admin_profiles, admin_records, admin_rules, admin_setups

__all__ = ["admin_profiles", "admin_records", "admin_rules", "admin_setups"]
