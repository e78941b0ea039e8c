"""Settings for the whole suite."""

from __future__ import annotations

from hypothesis import settings

# No deadlines: machines are shared, and speed is the bench's business. Derandomised: the same tests every time.
settings.register_profile("handgroove", deadline=None, derandomize=True, print_blob=True)
settings.load_profile("handgroove")
