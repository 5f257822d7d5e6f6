"""Published figures that the geometry core must agree with, each with where it was read.

Marks: read = the page, table or abstract was read; from memory = not readable here; computed = arithmetic from a
published formula, worked outside this project's code. Retail and hobby pages are weak sources and marked so.
"""

from __future__ import annotations

# Chord, radius, sagitta of the minor arc; arc-height page (bit1024.com, read; weak, exact arithmetic).
SAGITTA = ((12, 10, 2.0, 1e-9), (20, 15, 3.82, 0.005))

# The same page's major arcs: chord, height, radius.
MAJOR_ARC = ((12, 18, 10.0, 1e-9), (20, 26.18, 15.0, 0.005))

# Nose, waist, tail, chord [mm] -> sagitta, radius [mm]; computed from R = L²/(8 s) + s/2 (Howe, The New Skiing
# Mechanics, 2nd ed. 2001; Lind & Sanders, The Physics of Skiing, 2nd ed. 2004, from memory).
SIDECUT_FROM_WIDTHS = (
    (296, 251, 296, 1180, 22.5, 7746.8),
    (300, 255, 294, 1200, 21.0, 8581.9),
    (280, 240, 280, 1120, 20.0, 7850.0),
)
# The short form R = L²/(2 (N + T - 2W)) for the same boards: below the exact radius by s/2.
SIDECUT_SHORT_FORM = (7735.6, 8571.4, 7840.0)

# Tip, waist, tail width, tail to tip, tail to waist [mm] -> radius [m]; circle through three points, waist off the
# middle (hhitme.fortunecity.ws/skiradius.html, 2001, read; weak but independent).
SIDECUT_THREE_POINTS = ((117, 83, 105, 1750, 800, 27.7), (98.5, 62, 84, 1810, 770, 28.5))

# Tilt [deg] -> carved radius [m] for a sidecut radius of 17 m, rounded 0.1
# (ian-staniforth.org.uk/ski/tag/radius, read).
CARVED_RADIUS_17 = {1: 17, 10: 16.7, 20: 16, 30: 14.7, 40: 13, 50: 10.9, 60: 8.5, 70: 5.8}
# The same relation for 8 m, computed.
CARVED_RADIUS_8 = {30: 6.928, 60: 4.000, 70: 2.736}

# Speed [m/s], turn radius [m] -> lean of the balance tan phi = v²/(g r) [deg]; computed, g = 9.81.
BALANCE = ((5, 8, 17.67), (8, 8, 39.20), (10, 15, 34.20), (10, 8, 51.88))

# Sidecut radius [m], speed [m/s] -> tilt of a carved turn on the flat, sin t = v²/(g R) [deg]; computed.
CARVED_TILT = ((8, 4, 11.76), (8, 6, 27.30), (8, 8, 54.64), (13, 10, 51.64))
# Sidecut radius [m] -> limit sqrt(g R) [km/h]; computed.
CARVE_LIMIT_KMH = {8: 31.89, 13: 40.65}

# Height, overhang [mm] -> contact tilt [deg]; tan t = h/d, elementary trigonometry, no published source; computed.
CONTACT = ((30, 30, 45.00), (40, 20, 63.43), (25, 30, 39.81), (45, 15, 71.57), (35, 25, 54.46))

# Distance between the front hip bones -> between the hip joints [mm], by two published regressions:
# Bell, Brand & Pedersen, Human Movement Science 8 (1989) 3-16 (abstract read): 14 % medial on each side.
# Harrington et al., J. Biomech. 40 (2007) 595-602: 0.33 PW + 7.3 on each side (predictors read, figures from memory).
HIP_CENTRES = ((240, 172.8, 173.0), (230, 165.6, 166.4), (260, 187.2, 186.2))

# ANSUR II, Gordon et al., NATICK/TR-15/007 (2014), means [mm] computed from the public files: men, women.
ANSUR_FOOT_LENGTH = (271.2, 246.3)
ANSUR_BALL_OF_FOOT_LENGTH = (200.9, 182.1)
ANSUR_HEEL_BREADTH = (72.5, 67.2)

# Knee axial rotation, cadaver, at most (Clin. Orthop., Feb 2000, abstract read); hip rotation out and in, adults
# (Kouyoumdjian et al., OTSR 98 (2012) 17-23, abstract read) [deg].
KNEE_ROTATION = 31.7
HIP_ROTATION = (38.5, 29.6)

# Foot progression angle: mean, low, high [deg] (Staheli et al., J. Bone Joint Surg. 67-A (1985) 39-47, read).
FOOT_PROGRESSION = (10, -3, 20)

# Torque [N·m], nut factor K, diameter [mm] -> clamp load [N], T = K F d (Shigley's relation, summary page read): the
# page's M12 example (about 34 kN at about 82 N·m), and M6 rows computed from it.
TORQUE_CLAMP = (
    (82, 0.20, 12, 34_000, 0.01),
    (10.4, 0.20, 6, 8700, 0.01),
    (8.14, 0.20, 6, 6784, 0.001),
    (6.11, 0.15, 6, 6784, 0.001),
    (3.60, 0.20, 6, 3000, 1e-9),
    (2.70, 0.15, 6, 3000, 1e-9),
)
# Proof load of an M6 screw of class 8.8 (ISO 898-1, two tables read) and 0.2 % load of A2-70 (ISO 3506-1: 450 MPa read,
# times 20.1 mm², computed) [N]. Steel on steel: upper bounds, the insert and the disc are weaker.
M6_PROOF_88 = 11_600
M6_YIELD_A2_70 = 9045
# Torque at 90 % of yield, friction 0.14 (equipment manual after VDI 2230, column order inferred): A2-70, 8.8 [N·m].
M6_TABLE_TORQUE = {"A2-70": 7.3, "8.8": 11.3}
# M6 coarse thread: diameter, pitch [mm] (ISO 68-1, from memory).
M6 = (6, 1)

# Base bevel, side bevel -> edge corner [deg]: 90 - side + base; computed, the last row read on a workshop page
# ("1 degree base with 88 degree side", 89 included).
EDGE_CORNER = ((1, 1, 90), (1, 2, 89), (0.5, 2, 88.5), (1, 3, 88), (1, 2, 89))
# Base bevel [deg] -> rise at 60 mm from the edge [mm]: "1 mm at 60 mm is 1 degree" (ski workshop page, read);
# exact 60 tan, computed.
RISE_AT_60_MM = ((1, 1.047), (0.5, 0.524), (2, 2.095))
