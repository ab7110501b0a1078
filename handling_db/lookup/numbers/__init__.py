"""Answers about numbers: where they come from, what they allow, how they change."""
