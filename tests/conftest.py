"""Settings for the whole suite."""

from hypothesis import settings

# The first call of a kernel compiles or loads it, so a time per example would mean nothing.
settings.register_profile("yardage", deadline=None)
settings.load_profile("yardage")
