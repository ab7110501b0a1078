"""What heavy assemblies weigh, what holds them together, and how they are handled."""

__version__ = "0.1.0"
