"""Building over a database that is there: only what changed is read, checked and written anew."""
