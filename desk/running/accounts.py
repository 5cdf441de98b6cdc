"""The demonstration's accounts, when this installation carries and shows a demonstration."""

from importlib import import_module

from django.conf import settings

Account = tuple[str, str, str]


def demo_accounts() -> tuple[Account, ...]:
    """(role, user name, password) of each; empty without the demonstration."""
    try:
        accounts = import_module("desk.demo.accounts")
    except ModuleNotFoundError:
        return ()
    return tuple(accounts.DEMO_ACCOUNTS)


def shown_at_the_door() -> dict[str, object]:
    """What the sign-in page tells of them: nothing outside the demo; they share one password."""
    accounts = demo_accounts() if settings.DEMO else ()
    if not accounts:
        return {}
    return {"demo_accounts": [(role, name) for role, name, _ in accounts], "demo_password": accounts[0][2]}
