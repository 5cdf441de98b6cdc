"""Matching a table's columns on a page: what each column can be, what was chosen, and the recipe that comes of it."""
