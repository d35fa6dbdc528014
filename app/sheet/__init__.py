"""The project sheet: what the class needs to make the thing, on a page or two."""
