"""briefgen: one mission file in; a timed, checked brief, slides and kneeboard cards out."""

__version__ = "0.2.0"
