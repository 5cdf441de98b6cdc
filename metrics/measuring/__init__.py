"""Files of a capture room measured without the application: bytes in; events, metrics and sentences out.

Pure: no Django, no clock, no environment. `measure_bytes` works here and now; `Measurer` does the same in a limited
process, for files that nobody has vouched for; `as_json` and `as_text` say the result. docs/notebook.md has an example.
"""

from metrics.measuring.asked import Asked
from metrics.measuring.measured import MeasuredFile, MeasuredThrow, MeasuredValue, measure_bytes, measure_recording
from metrics.measuring.measurer import Measurer
from metrics.measuring.output import as_json, as_text

__all__ = [
    "Asked",
    "MeasuredFile",
    "MeasuredThrow",
    "MeasuredValue",
    "Measurer",
    "as_json",
    "as_text",
    "measure_bytes",
    "measure_recording",
]
