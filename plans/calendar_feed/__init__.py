"""Follow-ups as a calendar that other programs subscribe to: values in, iCalendar text (RFC 5545) out. Pure."""

from plans.calendar_feed.feed import EMPTY_ZONE, MEDIA_TYPE, feed_text
from plans.calendar_feed.values import BadEntry, Entry, Feed

__all__ = ["EMPTY_ZONE", "MEDIA_TYPE", "BadEntry", "Entry", "Feed", "feed_text"]
