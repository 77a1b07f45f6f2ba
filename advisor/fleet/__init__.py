"""Many cases at once: a table judged, a Parquet dataset judged partition by partition on a cluster of processes.

May import journal and everything below. pyarrow is imported here (and by the journal's export), dask by `cluster`, and
by nobody who has not asked for it. Read `columns.py` first: its `RecordBatch -> RecordBatch` is what a cluster runs.
"""
