"""The desktop program."""
