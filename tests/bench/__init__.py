"""Measurements of the built site. One thread natively, as in the browser, so that the two can be compared."""

import os

os.environ["OPENBLAS_NUM_THREADS"] = "1"
