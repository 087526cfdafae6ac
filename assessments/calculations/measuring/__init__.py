"""Strand widths from one photo of strands on the printed measuring card."""
