"""Studies, measurements, statistics, reports and the command line."""
