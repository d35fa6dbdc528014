"""True outlines of dies, scraps and stamped images from scans and photos."""
