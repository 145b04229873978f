"""The commands, one module each. A module holds a click command named ``command`` and imports the rooms it
needs when it runs."""
