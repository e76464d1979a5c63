"""Decisions about three-phase machine tools, with the limit, its source and the working."""

__version__ = "0.1.0"
