"""Tables too large for records, by columns."""
