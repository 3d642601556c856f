"""Studies, broken beams, what is made of both, and the command line.

Rooms from the lowest to the highest: `text`, `study`, `statistics`, `calibration`, `rig`, `measured`,
`results`, `published`, `predict`, `explain`, `design`, `sweep`, `report`, `commands`, `cli`.
"""
