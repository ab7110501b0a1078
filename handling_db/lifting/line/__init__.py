"""The line between hoist and piece: its gear by occurrence, what each of it is asked and may carry."""
