"""The workshop's window: everything owned, for every project; and the tie between ticks and the store."""
