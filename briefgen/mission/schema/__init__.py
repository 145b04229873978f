"""What a mission file may hold: one model a section, the quantities, and pydantic's findings in the mission's
own words."""
