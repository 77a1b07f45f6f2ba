"""The report as one self-contained page; it only arranges what the report says."""
