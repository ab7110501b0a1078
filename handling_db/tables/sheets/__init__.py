"""Spreadsheets in and out: cells as they were typed, columns by their headings, a fate for every row."""
