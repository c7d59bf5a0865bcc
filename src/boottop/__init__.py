"""Boottop: plan and carry out a bottom job, from the tape measure to the launch date."""

__version__ = "0.1.0"
