"""The named functions in any cell: defined names for newer Excel, an add-in for LibreOffice Calc."""
