"""What if: a whole set over couplings, over dials, over the spread of its parts, over changes of it."""
