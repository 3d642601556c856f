"""Rig files: reading them as they come and reducing each run; `validation.rig.reduce.reduce_file` does both."""
