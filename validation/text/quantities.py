"""What people read for a quantity and its unit."""

NAMES = {
    "breaking_force": ("breaking force", "N"),
    "stiffness": ("stiffness", "N/mm"),
    "mass": ("mass", "g"),
    "print_time": ("print time", "min"),
    "EI": ("bending stiffness EI", "N mm²"),
    "GA": ("shear stiffness GA", "N"),
}
