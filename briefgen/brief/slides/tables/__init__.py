"""The tables that templates name, one module a topic."""
