"""Tests of the two commands in packaging/."""
