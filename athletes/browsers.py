"""A browser in words, for the list of sign-ins: what it calls itself, never more than a hint."""

from __future__ import annotations

# Looked for in this order, since most browsers also carry the names of others. The words in front of the
# version are what each vendor writes into the User-Agent header (RFC 9110, section 10.1.5); the list is ours.
BROWSERS = (
    ("Edg", "Edge"),
    ("OPR/", "Opera"),
    ("SamsungBrowser/", "Samsung Internet"),
    ("Firefox/", "Firefox"),
    ("FxiOS/", "Firefox"),
    ("CriOS/", "Chrome"),
    ("Chrome/", "Chrome"),
    ("Safari/", "Safari"),
)
SYSTEMS = (
    ("Android", "Android"),
    ("iPhone", "iPhone"),
    ("iPad", "iPad"),
    ("Windows", "Windows"),
    ("CrOS", "ChromeOS"),
    ("Macintosh", "Mac"),
    ("Linux", "Linux"),
)
UNKNOWN = "a browser that does not say its name"


def browser_in_words(user_agent: str) -> str:
    """“Firefox on Windows”; only words of our own tables, so that nothing that was sent stands on a page."""
    browser = next((name for mark, name in BROWSERS if mark in user_agent), "")
    system = next((name for mark, name in SYSTEMS if mark in user_agent), "")
    if browser and system:
        return f"{browser} on {system}"
    return browser or (f"a browser on {system}" if system else UNKNOWN)
