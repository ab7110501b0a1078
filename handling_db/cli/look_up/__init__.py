"""Commands that look figures up."""
