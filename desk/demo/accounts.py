"""Accounts of the demonstration, one a role. Everybody may know them: they exist in demo mode only."""

DEMO_PASSWORD = "seven-steps-to-the-mound"  # noqa: S105 - public by design

# role, user name, given name, family name
PEOPLE = (
    ("admin", "admin", "Marit", "Okafor"),
    ("coach", "coach", "Ngaire", "Abaza"),
    ("coach", "coach2", "Tomasz", "Villareal"),
    ("visiting coach", "visitor", "Dele", "Hargreaves"),
    ("clinician", "clinician", "Inés", "Quispe"),
    ("athlete", "athlete", "Mateus", "Lindqvist"),
    ("guardian", "guardian", "Ana", "Lindqvist"),
)
SHOWN = ("admin", "coach", "visitor", "clinician", "athlete", "guardian")

DEMO_ACCOUNTS = tuple((role, name, DEMO_PASSWORD) for role, name, _, _ in PEOPLE if name in SHOWN)
