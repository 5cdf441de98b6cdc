"""Judging: numbers in, judgements out. Pure: no Django, no clock, no file, no environment.

The road of one finding: `ranges.resolve_rule` picks the range, `findings.measure` gives mean and
uncertainty, `verdicts.judge` says where it stands, `severity` how much it matters, `chance` what
chance alone would give, `history` whether the past agrees. docs/numbers.md explains the arithmetic.
"""

ALGORITHM = "judging 2"
"""Stored with every finding. Raise it when a number can change; see algorithm_log.toml."""
