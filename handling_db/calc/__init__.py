"""Pure functions over records: no files, no SQL, no web, no clock."""
