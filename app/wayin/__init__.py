"""The way in: dies, punches and scraps from scans, photos, drawings and sizes, looked at before they are taken in."""
