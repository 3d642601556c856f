"""Parabola: NIST Statistical Reference Dataset Pontius (calibration of load cells), itl.nist.gov/div898/strd.

Deflection y against load x, two runs of twenty loads. The lack-of-fit numbers are not NIST's; they follow from the
repeats by the textbook sums of squares (pure error within equal loads).
"""

X = tuple(150000 * k for k in range(1, 21)) * 2
Y = (
    0.11019, 0.21956, 0.32949, 0.43899, 0.54803, 0.65694, 0.76562, 0.87487, 0.98292, 1.09146, 1.20001, 1.30822, 1.41599,
    1.52399, 1.63194, 1.73947, 1.84646, 1.95392, 2.06128, 2.16844,
    0.11052, 0.22018, 0.32939, 0.43886, 0.54798, 0.65739, 0.76596, 0.87474, 0.98300, 1.09150, 1.20004, 1.30818, 1.41613,
    1.52408, 1.63159, 1.73965, 1.84696, 1.95445, 2.06177, 2.16829,
)  # fmt: skip
COEFFICIENTS = (6.73565789473684e-4, 7.32059160401003e-7, -3.16081871345029e-15)
ERRORS = (1.07938612033077e-4, 1.57817399981659e-10, 4.86652849992036e-17)
RESIDUAL_SD = 2.05177424076185e-4
R_SQUARED = 0.999999900178537

PURE_ERROR_SS = 9.2215e-7
LINE_LACK_OF_FIT = {"F": 214.746924, "df": (18, 20)}
PARABOLA_LACK_OF_FIT = {"F": 0.810723900, "df": (17, 20), "p": 0.66617}
