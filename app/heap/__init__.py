"""One scrap on a board of its own: its border, its stains, the images stamped on it."""
