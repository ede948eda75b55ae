"""Bench forms: readings in, a part's value out, and how sure it is. The arithmetic is `calc.fitting`'s."""
