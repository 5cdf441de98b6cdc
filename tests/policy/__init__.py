"""Who may see and do what: docs/access.md held against every address of the application."""
