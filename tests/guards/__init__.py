"""The laws of the way in, held from the keystroke to the verdict: each test goes through a face."""
