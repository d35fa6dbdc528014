"""The engine: outlines, rules, nesting and planning. It knows no window."""
