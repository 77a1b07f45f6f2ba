"""The append-only event log of consultations: kept, found, verified, merged, exported, redacted, recovered.

May import `loader` and rows below; the only room that opens SQLite. Read `events.py` first, then `store.py`.
"""
