"""A service that lasts: it notices a file built anew, and serves several collections under their names."""
