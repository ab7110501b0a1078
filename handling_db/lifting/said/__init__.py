"""What an answer about a lift says: first lines, notices, notes, sentences, JSON."""
