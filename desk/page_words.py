"""What was looked at, in the words of a family: by the name that a loader gives its page in the view log."""

from __future__ import annotations

PAGE_WORDS = {
    "record": "the record",
    "details": "name and details",
    "level": "the level",
    "body size": "height and weight",
    "notes": "the coach’s notes",
    "availability": "whether throwing is allowed",
    "pain report": "the form to report pain",
    "clearance": "the form to allow throwing again",
    "clearance taken back": "throwing stopped again, as before",
    "consent": "the consent",
    "check-in": "how it feels today",
    "progress page": "the progress page",
    "what was shared": "what was shared",
    "who looked": "this list",
    "who looked saved": "this list, saved as a table",
    "sharing": "a session, to share it",
    "session": "a session",
    "session findings saved": "a session’s numbers, saved as a table",
    "session readings saved": "each throw’s numbers, saved as a table",
    "session moved": "a session, to move it",
    "throws moved": "throws, to move them",
    "throws moved back": "throws that were moved back",
    "session withdrawn": "a session, to take it away",
    "withdrawn session": "a session that was taken away",
    "open a session": "the form to open a session",
    "finding": "one number of a session",
    "comparison": "two sessions beside each other",
    "comparison saved": "two sessions beside each other, saved as a table",
    "trends": "how the numbers went over time",
    "trends saved": "how the numbers went over time, saved as a table",
    "starting point": "what to work on first",
    "curves": "the curves of a throw",
    "moving figure": "the moving figure of a throw",
    "events": "the moments of a throw",
    "the kind of numbers": "what kind of numbers a session holds",
    "import preview": "a file before it was taken in",
    "original file": "an original file",
    "invitations": "the form to invite somebody",
    "same person": "whether two records are of one person",
    "merged record": "a record that was joined with another",
    "records parted again": "two records, parted again",
    "screen turned": "a page, turned to you",
    "today’s work": "the work of the day, to tick it",
    "throwing load": "pitches and rest",
    "throwing load saved": "pitches and rest, saved as a table",
    "screens": "the hands-on checks",
    "screens saved": "hands-on checks that were saved",
    "screens at a station": "hands-on checks at a station",
    "blank sheet of screens": "an empty sheet for hands-on checks",
    "follow-up": "how work is going",
    "follow-up decided": "how work is going, to decide it",
    "plan": "the plan: what to work on and why",
    "library for the plan": "the list of work to choose from",
    "form to give work": "the form to give work",
    "form to change work": "the form to change work",
    "work taken back": "work that was taken back",
    "work stopped": "work, to stop it",
    "work gone on with": "work, to go on with it",
    "work shown": "work, to show it to the family",
    "plan sheet": "the work to do, on a page to print",
    "floor sheet": "the coach’s page to print",
    "athletes": "name and details",
    "sessions": "a session",
    "findings": "a session’s numbers",
    "shares": "what was shared",
}
PROGRAM, ADMINISTRATION = "API: ", "admin: "


def page_words(what: str) -> str:
    """The page in plain words; one that this table does not know stands as the log has it."""
    if what.startswith(PROGRAM):
        return f"{page_words(what.removeprefix(PROGRAM))}, read by a program"
    if what.startswith(ADMINISTRATION):
        return f"the administration pages: {what.removeprefix(ADMINISTRATION)}"
    return PAGE_WORDS.get(what, what)
