"""From an uploaded table to sessions: read → match → preview → accept."""
