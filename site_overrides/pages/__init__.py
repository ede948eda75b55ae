"""What the pages of the site are made of. Knows nothing of the generator that puts them together."""
