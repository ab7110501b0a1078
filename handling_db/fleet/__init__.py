"""A fleet of collections: typed tables of each, and their roll-up in SQL on an engine that exists."""
