"""The workshop remembers: what is owned and what is left of it, for every project; light to load."""
