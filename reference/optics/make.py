#!/usr/bin/env python3
"""Makes data.json: check values for round holes, computed with 30 digits and by other routes than the core's.

Needs Python 3 with mpmath, numpy and scipy (Debian: python3-mpmath, python3-scipy): python3 make.py

Lengths in mm, frequencies in cycles/mm on the film.
c = d / sqrt(lambda f'), q = nu m sqrt(lambda f'), m = 1 + f/u, 1/f' = 1/f + 1/u (README.md).
"""
import json
import math
import os

import numpy
import scipy.optimize
import scipy.special

from mpmath import mp, mpf, pi, sin, cos, sqrt, acos, tan, log, besselj, quad, findroot, besseljzero

mp.dps = 30
LAMBDA = mpf('0.00055')
rows = []


def put(family, name, inputs, value, unit, how):
    rows.append({'family': family, 'name': name, 'inputs': inputs, 'value': float(mp.nstr(value, 17)), 'unit': unit,
                 'how': how})


# ---- transfer function: integral over the lens in its own coordinate x, chord by chord (the core substitutes an angle)
def otf(c, q):
    c, q = mpf(c), mpf(q)
    if q >= c:
        return mpf(0)
    a = c / 2
    reach = a - q / 2
    chord = lambda x: 2 * sqrt(max(mpf(0), a - q / 2 - x) * (a + q / 2 + x))
    turns = int(q * reach) + 1
    knots = [reach * k / turns for k in range(turns + 1)]
    return 2 * quad(lambda x: cos(2 * pi * q * x) * chord(x), knots) / (pi * a * a)


def otf_slope(c, q):
    # five-point rule in 30 digits: error about 1e-20 before rounding
    h = mpf('1e-5')
    return (otf(c - 2 * h, q) - 8 * otf(c - h, q) + 8 * otf(c + h, q) - otf(c + 2 * h, q)) / (12 * h)


# ---- c: contrast on the axis
for f, obj in [(106, None), (60, None), (106, 400), (60, 200)]:
    fp = mpf(f) if obj is None else 1 / (1 / mpf(f) + 1 / mpf(obj))
    scale = sqrt(LAMBDA * fp)
    m = mpf(f) / fp
    for d in ['0.20', '0.30', '0.43', '0.50', '0.70']:
        for nu in [1, 2, 4, 6, 8]:
            put('c_otf_on_axis', f'd={d} f={f} object={obj or "inf"} nu={nu}',
                {'diameterMm': float(d), 'focalLengthMm': f, 'objectDistanceMm': obj, 'wavelengthNm': 550,
                 'frequencyPerMm': nu}, otf(mpf(d) / scale, nu * m * scale), '1', 'overlap, chord by chord')

# ---- f: thick hole
for t in ['0.05', '0.1', '0.2', '0.35', '0.5', '1']:
    for theta in [10, 20, 30, 40, 45, 50, 60, 70]:
        x = mpf(t) * tan(theta * pi / 180)
        share = mpf(0) if x >= 1 else 2 / pi * (acos(x) - x * sqrt(1 - x * x))
        put('f_thick_hole', f't/d={t} theta={theta}', {'thicknessInDiameters': float(t), 'angleDeg': theta}, share, '1',
            'overlap of two equal discs shifted by t tan(theta); cos(theta) not included')

# ---- g: constants
constants = {}


def constant(name, c, how):
    constants[name] = c
    put('g_constants', name, {}, c, '1', how)


constant('petzval', sqrt(mpf(2)), 'N_F = 1/2')
constant('rayleigh', 2 * sqrt(mpf('0.9')), 'N_F = 0.9')
constant('brightest', mpf(2), 'N_F = 1, first maximum of 4 sin^2(pi N_F/2)')
constant('peak-energy', sqrt(8 / pi * findroot(lambda x: tan(x) - 2 * x, mpf('1.16'))), 'tan x = 2x, N_F = 2x/pi')
constant('airy', sqrt(2 * besseljzero(1, 1) / pi), 'd = (2 j11/pi) lambda f/d')
constant('airy-radius', sqrt(besseljzero(1, 1) / pi), 'd = (j11/pi) lambda f/d')

envelope = {}
for percent, c0, q0 in [(50, '1.3765', '0.42634'), (20, '1.5235', '0.8982'), (10, '1.7785', '1.29639'),
                        (5, '2.1382', '1.76097')]:
    def equations(c, q, level=mpf(percent) / 100):
        return [otf(c, q) - level, otf_slope(c, q)]
    c, q = findroot(equations, (mpf(c0), mpf(q0)), tol=mpf('1e-22'))
    envelope[percent] = q
    constant(f'highest-frequency-at-{percent}', c, 'OTF = level and dOTF/dc = 0')
    put('g_constants', f'q-at-{percent}', {}, q, '1', 'the same point, q = nu sqrt(lambda f)')


# ---- smallest circle with a share of the light: from the Fresnel point image itself (the core integrates the transfer
# function), in double precision: energy good to 1e-14, the optima to about 1e-11
RHO, RHO_WEIGHT = (numpy.array(part) for part in numpy.polynomial.legendre.leggauss(80))
RHO, RHO_WEIGHT = (1 + RHO) / 2, RHO_WEIGHT / 2


def energy(c, radius):
    """E = (2/u^2) Int_0^V I v dv with I = |u Int_0^1 J0(v rho) exp(i u rho^2/2) rho d rho|^2, f = lambda = 1."""
    u = math.pi * c * c / 2
    v = math.pi * c * radius * RHO
    field = (scipy.special.j0(numpy.outer(v, RHO)) * numpy.exp(1j * u * RHO ** 2 / 2) * RHO * RHO_WEIGHT).sum(axis=1)
    return 2 * math.pi * c * radius * (numpy.abs(field) ** 2 * v * RHO_WEIGHT).sum()


def energy_slope(c, radius, h=2e-3):
    return (energy(c - 2 * h, radius) - 8 * energy(c - h, radius) + 8 * energy(c + h, radius)
            - energy(c + 2 * h, radius)) / (12 * h)


def energy_radius(c, level):
    return scipy.optimize.brentq(lambda radius: energy(c, radius) - level, 0.2, 2, xtol=1e-15, rtol=1e-15)


for percent, c0 in [(50, 1.494), (70, 1.281), (80, 1.794)]:
    c = scipy.optimize.brentq(lambda x: energy_slope(x, energy_radius(x, percent / 100)), c0 - 0.02, c0 + 0.02,
                              xtol=1e-14)
    constant(f'least-radius-of-{percent}', mpf(c), 'energy(c, R) = level and its slope in c = 0; lowest of its valleys')
    put('g_constants', f'radius-of-{percent}', {}, mpf(energy_radius(c, percent / 100)), '1',
        'the same point, R / sqrt(lambda f)')

# ---- g: envelope, best diameters and what they show
for q in ['0.05', '0.1', '0.2', '0.3', '0.4', '0.5', '0.6', '0.7', '0.8', '0.9', '1', '1.2']:
    start = {'0.05': '2.2126', '0.1': '1.799', '0.2': '1.5143'}.get(q, str(1.40 + 0.45 * max(0, float(q) - 0.5)))
    c = findroot(lambda x: otf_slope(x, mpf(q)), mpf(start), tol=mpf('1e-20'))
    put('g_envelope', f'q={q}', {'q': float(q)}, c, '1', 'dOTF/dc = 0')
    put('g_envelope_contrast', f'q={q}', {'q': float(q)}, otf(c, q), '1', 'OTF there')
for f in [25, 50, 75, 100, 150, 300]:
    scale = sqrt(LAMBDA * f)
    for name, c in constants.items():
        put('g_optimum_diameter', f'f={f} {name}', {'focalLengthMm': f, 'wavelengthNm': 550, 'criterion': name},
            c * scale, 'mm', 'constant times sqrt(lambda f)')
    for percent, q in envelope.items():
        put('g_highest_frequency', f'f={f} at {percent} %',
            {'focalLengthMm': f, 'wavelengthNm': 550, 'contrast': percent / 100}, q / scale, 'cycles/mm',
            'largest frequency at this contrast over all d')
    for nu in [1, 3, 5]:
        q = nu * scale
        start = 1.40 + 0.45 * max(0, float(q) - 0.5) + 0.08 / float(q) - (0.16 if q > 0.3 else 0)
        if q > 1.5:
            start = q + mpf('0.33')
        c = findroot(lambda x: otf_slope(x, q), mpf(start), tol=mpf('1e-20'))
        inputs = {'focalLengthMm': f, 'wavelengthNm': 550, 'frequencyPerMm': nu}
        put('g_sharpest_diameter', f'f={f} nu={nu}', inputs, c * scale, 'mm', 'dOTF/dd = 0')
        put('g_sharpest_contrast', f'f={f} nu={nu}', inputs, otf(c, q), '1', 'OTF there')

# ---- h: falloff
for theta in [10, 20, 30, 40, 45, 50, 60]:
    put('h_falloff_flat', f'theta={theta}', {'angleDeg': theta}, -log(cos(theta * pi / 180) ** 4, 2), 'stops',
        '-log2 cos^4')

families = {}
for row in rows:
    families[row['family']] = families.get(row['family'], 0) + 1
here = os.path.dirname(os.path.abspath(__file__))
with open(os.path.join(here, 'data.json'), 'w', encoding='utf-8') as out:
    head = {
        'source': 'computed by make.py beside this file; formulas and their sources in README.md',
        'conditions': 'scalar Fresnel diffraction, thin round hole, one wavelength, incoherent light, on the axis',
        'units': 'as the names of the inputs say; transfer function signed',
        'date': '2025-11-25',
        'families': families,
    }
    text = json.dumps(head, indent=2, ensure_ascii=False)[:-2] + ',\n  "rows": [\n'
    text += ',\n'.join('    ' + json.dumps(row, ensure_ascii=False) for row in rows)
    out.write(text + '\n  ]\n}\n')
print(families)
