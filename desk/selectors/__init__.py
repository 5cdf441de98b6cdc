"""Reads that mix the rooms: today, the roster, an athlete's record, the family's page, the search."""
