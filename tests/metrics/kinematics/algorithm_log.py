"""The log that ties this package's source to its version: metrics/kinematics/algorithm_log.toml.

After a change:  .venv/bin/python -m tests.metrics.kinematics.algorithm_log "no change in numbers: why"
                 (or raise ALGORITHM first and say what changed)
"""

from __future__ import annotations

import sys
from pathlib import Path

from metrics import kinematics
from tests.metrics.judging.algorithm_log import add_entry

PACKAGE = Path(kinematics.__file__).parent

if __name__ == "__main__":
    if len(sys.argv) != 2 or not sys.argv[1].strip():
        sys.exit(__doc__)
    add_entry(sys.argv[1], kinematics.ALGORITHM, PACKAGE)
