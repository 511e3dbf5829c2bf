"""Errors of CTs and meters, resolution of the readings, and the supply. Common practice, no source, and our own."""

import numpy as np

#: class of the CT as its standard writes it: standard deviations of ratio (relative) and of phase (degrees)
CT_CLASSES = {"0.5": (0.003, 0.25), "1": (0.006, 0.6)}
CT_NAMES = tuple(CT_CLASSES)
CT_SHARES = (0.4, 0.6)
METER = (0.0015, 0.05)
RATINGS = np.array([60, 100, 200, 400])  #: rated primary current of the CTs, equal to the breaker's
STEPS = np.array([1.0, 10.0])            #: resolution of P, Q and S in W, var, VA
STEP_SHARES = (0.7, 0.3)
VOLT_SPREAD, VOLT_ANGLE = 0.008, 0.35    #: deviations of each phase voltage (relative; degrees)
ZERO_STEPS = 3                           #: fewer resolution steps than this is no current
COMMON_SPREAD = 0.015                    #: deviation of all voltages of a service together


def ct_deviation(ct_class):
    """Deviations (relative, radians) of CT and meter together, by position in CT_NAMES."""
    both = np.array([(np.hypot(r, METER[0]), np.deg2rad(np.hypot(p, METER[1]))) for r, p in CT_CLASSES.values()])
    return both[ct_class, 0], both[ct_class, 1]
