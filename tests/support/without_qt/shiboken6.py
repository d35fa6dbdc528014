"""Stands in the way of shiboken6 where a test run must do without Qt; put this folder on PYTHONPATH."""

raise ImportError("Qt is out of reach in this run: the engine must do without it")
