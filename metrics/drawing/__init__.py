"""Pictures as SVG text: verdict marks, range strips, roster rows. Pure geometry: no Django, no clock.

Colours live in static/css/tokens.css; a picture carries classes only, so light, dark and print are one drawing.
"""
