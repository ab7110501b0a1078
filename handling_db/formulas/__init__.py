"""The formula language: arithmetic over parameters, with units."""
