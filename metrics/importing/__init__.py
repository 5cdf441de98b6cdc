"""From the cells of a metric table to throws with readings: units, column matching, recipes, rows.

Pure: no Django, no clock, no environment. `sessions.formats` gives the layout, `metrics.catalogue`
says what each metric is; what a person decides about a file is kept in a `Recipe`.
"""
