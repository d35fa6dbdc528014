"""Floor 0: outlines, poses, clearances and collision kernels; it knows no die."""
