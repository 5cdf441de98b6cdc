"""Responses: a prescription's measurements in, one word with its numbers out. Pure: no Django, no clock, no file.

`baseline` says from where a change counts, `response` what the re-measurement says of one prescription, `shares` how
far a share of few athletes can be trusted, `works_here` what an intervention did for a flag across the roster.
docs/responses.md explains the arithmetic and holds what it costs. Whether a flag recurs is `metrics.judging.history`'s.
"""
