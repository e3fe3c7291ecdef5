"""What reaches a disk, a page or a terminal: the writer of workbooks, page layout, files, plain text."""
