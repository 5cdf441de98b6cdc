"""Admin pages of this room: range profiles and cause links to work on, everything that was computed to look at."""

from metrics import admin_causes, admin_links, admin_profiles, admin_records, admin_rules, admin_setups

__all__ = ["admin_causes", "admin_links", "admin_profiles", "admin_records", "admin_rules", "admin_setups"]
