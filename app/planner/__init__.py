"""The planner as a process of its own: progress in, plan out, stop keeps the best."""
