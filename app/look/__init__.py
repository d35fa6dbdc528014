"""Colours, type and icons: the look of window and guide, as tokens."""
