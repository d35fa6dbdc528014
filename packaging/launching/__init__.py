"""What stands behind the two commands: an environment of the project's own, and nothing but the standard library."""
