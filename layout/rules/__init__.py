"""Floor 2: the rules a plan must keep, one function each, answering with findings and numbers."""
