"""Floor 4: passes: what is due, bounds, which dies together, which scraps under them, and the proof."""
