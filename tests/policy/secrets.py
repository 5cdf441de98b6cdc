"""Words and numbers that stand nowhere but in the planted world: found on a page, they came from there.

The keys are the rows of the table of fields in docs/access.md. Several spellings of one secret are alternatives.
"""

from __future__ import annotations

SECRETS: dict[str, tuple[str, ...]] = {
    "name": ("Oakhollow", "Zephyrine"),
    "another athlete’s name": ("Quillfeather", "Perpetua"),
    "birth date": ("2010-02-11", "11 February 2010", "11 Feb 2010", "Feb. 11, 2010", "February 11, 2010"),
    "phone of a contact": ("555-0188-771",),
    "e-mail of a family account": ("owl@family.example",),
    "e-mail of an invitation": ("heron@family.example",),
    "id in another system": ("XK-90417",),
    "who consented": ("Marguerite Thistlewood",),
    "limits": ("bandicoot throws",),
    "where it hurts": ("wombat side",),
    "limits of a clearance": ("dingo throws",),
    "who cleared": ("Dr Pademelon",),
    "reason of a referral": ("potoroo question",),
    "staff note": ("quokka words",),
    "note for the family": ("numbat words",),
    "word about throws": ("cassowary game",),
    "word of a check-in": ("galah muscle",),
    "measured mechanic": ("13579", "13,579"),
    "measured load": ("24680", "24,680"),
    "recurring flag on a list": ("nothing prescribed",),
    "flag on a list": ("Elbow landing, bent", "Elbow landing, to confirm"),
    "answer on the starting point": ("kowari reason",),
    "measured screen": ("last 57°",),
    "screen typed and not saved": ("58.6",),
    "summary of a share": ("kookaburra words",),
    "value in a share": ("echidna feet",),
    "share that was taken back": ("bilby words",),
    "file name": ("thylacine-export", "thylacine-throw"),
}

NAME = SECRETS["name"][0]
OTHER_NAME = SECRETS["another athlete’s name"][0]
