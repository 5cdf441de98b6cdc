"""The range profiles that a new installation starts with, as data."""

from metrics.catalogue.profiles.loading import (
    ProfileDataError,
    StartingProfile,
    load_starting_profile,
    starting_profile_names,
)

__all__ = ["ProfileDataError", "StartingProfile", "load_starting_profile", "starting_profile_names"]
