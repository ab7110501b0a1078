"""The view under load for a long time: many clients, odd questions, the records built anew meanwhile."""
