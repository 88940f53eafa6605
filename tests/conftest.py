"""No test is timed: a slow machine and a fast one pass the same."""

from hypothesis import settings

settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")
