"""The kneeboard cards, the ground contact's card and the approval sheet, as sides of blocks."""
