"""Commands about the numbers themselves."""
