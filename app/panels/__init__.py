"""What is missing, how many passes, what is wrong; the passes; the drawer and the heap."""
