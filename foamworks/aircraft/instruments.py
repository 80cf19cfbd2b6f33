"""By how much does each instrument err? Standard deviations in SI, for whoever did not say better.

Tags: c common practice without a source, m from memory, w worked out here.
"""

import math

RULER = 0.001  # m, a place or a chord by ruler (c)
FINGER_CG = 0.003  # m, balanced on two fingers (c)
SCALE = 0.001  # kg, kitchen scale (c)
CG_HEIGHT = 0.005  # m, hung and photographed, or tilted (c)
PRINT_MASS = 0.10  # of a print's mass as estimated from walls and infill (c)
BOUGHT_MASS = 0.10  # of what is bought, as estimated (c)
BOARD_MASS = 0.03  # of a part cut from a board that was weighed whole (c)
BOARD_UNWEIGHED = 0.15  # without: one label is sold from 290 to 605 g/m2 (read in public texts)
MOTOR_MASS = 0.02  # of the mass on the data sheet (m)
MAX_LIFT = 0.10  # of the greatest lift coefficient as guessed (m)
SLOPE_LOSS = (0.03, 0.10)  # of the lattice's slopes, by thickness and low Reynolds number (c)
INTAKE_PULL = (0.7, 1.3)  # of the intake's normal force by momentum (ours)
NEUTRAL_POINT = 0.02  # of the mean chord: what lattice and body formula miss (w: spread of methods)
FLOWN_SPEED = 0.03  # of a speed timed both ways (c)
ELEVATOR_THROW = math.radians(1)  # by a paper protractor (c)
CUT = 0.0005  # m, a part cut by knife along a template (c)
THRUST = 0.10  # of a motor's mean thrust (read: labels are up to 20 % off)
