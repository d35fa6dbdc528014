"""Box blanks by size: flat shapes with score lines that fold to a box, and the numbers a scoring board needs."""
