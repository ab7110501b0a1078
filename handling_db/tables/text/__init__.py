"""What stands in a sheet as text: its encoding, its headings, its figures and their decimal sign."""
