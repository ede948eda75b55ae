"""Settings for all tests."""

from hypothesis import settings

# The same examples every time, and no clock: a failure that was seen once is seen again.
# `--hypothesis-profile=search` looks afresh, and for longer.
settings.register_profile("steady", derandomize=True, deadline=None, database=None)
settings.register_profile("search", deadline=None, max_examples=2000)
settings.load_profile("steady")
