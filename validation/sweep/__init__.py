"""Many settings: workers, cluster, cache, resume, one table written row by row.

- Road: `sweep` (tasks in chunks) -> `executors` (processes, dask) -> `result_file` (lock, append, resume)
  -> `progress`, `table`.
- Checked by: kills, full disks, damaged caches, two programs on one table, a local dask cluster with a
  worker killed.
"""
