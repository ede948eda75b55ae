"""Checks of the reference's wording: plain English by rules of our own, and no calculated figure typed in."""
