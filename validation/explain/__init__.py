"""Steps in a series and their causes."""
