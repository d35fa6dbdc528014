"""The placement guide: one painter for preview, printer and PDF."""
