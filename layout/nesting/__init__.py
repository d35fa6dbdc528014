"""Floor 3: one bed: find poses for these dies over these papers, or say that it cannot within the effort given."""
