"""Floor 2: files of the outside world, in with a report and out exactly."""
