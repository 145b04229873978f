"""A mission changed: by a key on the command line, or as a what-if names it."""
