"""Record files: text with lines, folders, writing without halves, one form."""
