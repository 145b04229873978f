"""Names, time zones and clock times to places and instants: the schema's models to a ``Mission``."""
