"""The plate: items drawn from the document, and the gestures that ask it for changes."""
