"""Two segments: stagnant band height against flow (logarithms), D. W. Bacon and D. G. Watts, Biometrika 58 (1971).

Data as found in public files. The least-squares numbers come from profiling over the break in high precision, apart
from this project's code.
"""

X = (
    -1.39, -1.39, -1.08, -1.08, -0.94, -0.80, -0.63, -0.63, -0.25, -0.25, -0.12, -0.12, 0.01, 0.11, 0.11, 0.11,
    0.25, 0.25,
    0.34, 0.34, 0.44, 0.59, 0.70, 0.70, 0.85, 0.85, 0.99, 0.99, 1.19,
)  # fmt: skip
Y = (
    1.12, 1.12, 0.99, 1.03, 0.92, 0.90, 0.81, 0.83, 0.65, 0.67, 0.60, 0.59, 0.51, 0.44, 0.43, 0.43, 0.33, 0.30,
    0.25, 0.24, 0.13, -0.01, -0.13, -0.14, -0.30, -0.33, -0.46, -0.43, -0.65,
)  # fmt: skip
BREAK = 0.03591200
BREAK_ERROR = 0.02188606
INTERCEPT = 0.54466108
SLOPES = (-0.42207681, -1.01659265)
SSE = 0.00938136270
RESIDUAL_SD = 0.0193714870
SINGLE_LINE_SSE = 0.413233162
