"""Where an injury runs through the casing, what a unit covers, how places lie on the liner; lengths may be ranges."""
