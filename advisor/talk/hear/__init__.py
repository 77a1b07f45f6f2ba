"""Understands a whole sentence: what it answers, in whose words, and what it leaves open. Loaded when first needed."""
