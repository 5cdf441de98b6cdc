"""The demonstration: an invented facility whose files are written here and loaded as a coach would load them."""
