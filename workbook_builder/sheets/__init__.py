"""The worksheets of a book, one module each.  No formula is written by hand in them."""
