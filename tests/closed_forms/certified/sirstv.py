"""One-way analysis of variance: NIST Statistical Reference Dataset SiRstv, itl.nist.gov/div898/strd.

``BETWEEN_SD`` is not NIST's; it follows from the mean squares as (MSB - MSW) / 5, the interlaboratory component of the
precision practice (ISO 5725-2 style).
"""

GROUPS = (
    (196.3052, 196.1240, 196.1890, 196.2569, 196.3403),
    (196.3042, 196.3825, 196.1669, 196.3257, 196.0422),
    (196.1303, 196.2005, 196.2889, 196.0343, 196.1811),
    (196.2795, 196.1748, 196.1494, 196.1485, 195.9885),
    (196.2119, 196.1051, 196.1850, 196.0052, 196.2090),
)
BETWEEN_SS = 5.11462616e-2
WITHIN_SS = 2.16636560e-1
F = 1.18046237440255
R_SQUARED = 1.90999039051129e-1
RESIDUAL_SD = 1.04076068334656e-1
BETWEEN_SD = 0.0197723919
