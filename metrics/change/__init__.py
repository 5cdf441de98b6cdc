"""Change: findings of several sessions in, whether something changed out. Pure: no Django, no clock, no file.

Two answers are never one: *in range?* is judging's, *really changing?* is this package's. `pair` compares two
sessions, `weeks` follows five or more, `answer` gives the page's one word, `individuals` the chart's limits,
`many` what to make of many metrics at once, `drift` one session from its first to its last third, `bands` two
bundles of curves. docs/change.md explains the arithmetic.

Only comparable findings may be put together: same method, definition, moment, filter and conditions. That is the
caller's duty. What they share as a constant error (u_c) then cancels and has no part here.
"""
