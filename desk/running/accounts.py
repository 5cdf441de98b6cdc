"""The demonstration's accounts, when this installation carries a demonstration."""

from importlib import import_module


def demo_accounts() -> tuple[tuple[str, str, str], ...]:
    """(role, user name, password) of each; empty without the demonstration."""
    try:
        accounts = import_module("desk.demo.accounts")
    except ModuleNotFoundError:
        return ()
    return tuple(accounts.DEMO_ACCOUNTS)
