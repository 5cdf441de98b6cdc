#!/usr/bin/env python
import os
import secrets
import sys

WITHOUT_DATA = {"measure"}
"""Commands that open no database and sign nothing: they need no secret of an installation."""

if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    if WITHOUT_DATA & set(sys.argv[1:2]):
        os.environ.setdefault("SECRET_KEY", secrets.token_urlsafe(50))
    from django.core.management import execute_from_command_line

    execute_from_command_line(sys.argv)
