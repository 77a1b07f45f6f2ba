"""The journal: what was answered and decided, kept on this machine, in an order that can be checked."""
