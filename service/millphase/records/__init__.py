"""Workshops, machines, their readings, and stored assessments in one SQLite file; used by the service and the command line, never by a question."""
