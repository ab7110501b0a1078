"""The whole view as plain files, for a phone without signal or any web server."""
