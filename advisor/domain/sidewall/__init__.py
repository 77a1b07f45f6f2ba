"""What is printed on a sidewall: read word by word (`parser.py`), its size, its class, load and speed."""
