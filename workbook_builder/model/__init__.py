"""A worksheet before it is written: rows, references, aggregates, the sheet, the order of working out."""
