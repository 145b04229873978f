"""Two plans side by side: what was typed differently, and what that did to the clock, the fuel and the
gates."""
