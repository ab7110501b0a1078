"""All figures together: equations, bounds, inferred masses, reconciliation, explanations."""
