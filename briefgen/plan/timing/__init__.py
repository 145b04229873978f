"""The clock of the sortie: what gives when take-off or set-ups are left out, the training, the daylight."""
