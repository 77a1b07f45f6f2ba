"""The plain face: lines of text, no screen control."""
