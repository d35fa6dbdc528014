"""The one channel by which a fault reaches the person."""
