"""Results in, tables and sentences out: everything that is read as text, for terminal, page and spreadsheet."""
