"""What two editions of a rule set decide otherwise: regions, fingerprints, and the cases that show it."""
