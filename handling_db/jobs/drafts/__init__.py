"""Drafts of planned jobs for a person to edit: a first chain, and the way back."""
