"""One module a kind of answer that a clause can hold: choices, measures, zones, earlier repairs, a sidewall's print."""
