"""What one batch, and the last few, say about the hand: patterns as data, never as sentences."""
