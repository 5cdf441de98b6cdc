"""Two sessions or throws beside each other: which, what of them is comparable, and what really changed."""
