"""Records as spreadsheets, tables with a descriptor, and a template; and such tables back as records."""
