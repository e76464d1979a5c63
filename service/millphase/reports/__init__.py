"""Printable pages and drawings."""
