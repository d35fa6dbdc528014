"""The open project, its plan and the undo stack: the only place that changes the model."""
