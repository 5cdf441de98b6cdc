"""The reference number of the request (or task) at work: in the log, the change log and on the error page."""

import logging
from contextvars import ContextVar

request_reference: ContextVar[str] = ContextVar("request_reference", default="")


class ReferenceFilter(logging.Filter):
    def filter(self, record: logging.LogRecord) -> bool:
        record.reference = request_reference.get() or "-"
        return True
