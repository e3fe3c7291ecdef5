"""The input table: rows as read, the vocabulary, units, cell values, the job, its cross checks, readers."""
