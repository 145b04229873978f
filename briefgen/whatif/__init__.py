"""What becomes of the sortie when something changes: named changes of the mission, planned again by the same
code and told as a difference."""
