"""What the altimeter reads and how high that is, over the legs and under the pass."""
