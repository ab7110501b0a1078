"""Records for a parcel out of a database: what it is made of, and what it is held against."""
