"""One database file, built fresh from records and tables."""
