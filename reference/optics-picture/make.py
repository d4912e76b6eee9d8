"""Computes a sample of each family again, by plain quadrature in 30 digits. Run: python3 make.py"""
import json
import os
from mpmath import mp, mpf, quad, besselj, exp, pi, sqrt, cos, sin, asin, fabs, linspace

mp.dps = 30
rows = json.load(open(os.path.join(os.path.dirname(__file__), 'data.json')))['checks']


def field(i):
    k = 2 * pi / mpf(i['lambda_mm'])
    a = mpf(i['d_mm']) / 2
    return k * a * a / mpf(i['f_mm']), k * a / mpf(i['f_mm']), a


def profile(i):
    u, v1, _ = field(i)
    v = v1 * mpf(i['r_mm'])
    return fabs(u * quad(lambda p: besselj(0, v * p) * exp(1j * u * p * p / 2) * p, linspace(0, 1, 9))) ** 2


def otf(i):
    s = mpf(i['lambda_mm']) * mpf(i['f_mm']) * i['nu_cycles_per_mm']
    a = mpf(i['d_mm']) / 2
    if s >= 2 * a:
        return mpf(0)
    m = 1 + (mpf(i['f_mm']) / i['object_mm'] if i.get('object_mm') else 0)
    t0 = asin(s / (2 * a))
    return 4 / pi * quad(lambda t: cos(2 * pi * i['nu_cycles_per_mm'] * m * (a * sin(t) - s / 2)) * cos(t) ** 2, linspace(t0, pi / 2, 5))


def square(i):
    w = sqrt(2 / (mpf(i['lambda_mm']) * mpf(i['f_mm'])))
    h = mpf(i['side_mm']) / 2
    one = lambda x: fabs(quad(lambda t: exp(1j * pi * t * t / 2), linspace(w * (-h - x), w * (h - x), 5))) ** 2 / 2
    return one(mpf(i['x_mm'])) * one(mpf(i['y_mm']))


def ellipse(i):
    al = pi / (mpf(i['lambda_mm']) * mpf(i['f_mm']))
    a, b, x, y = (mpf(i[k]) / d for k, d in (('axis_x_mm', 2), ('axis_y_mm', 2), ('x_mm', 1), ('y_mm', 1)))
    inner = lambda t: b * cos(t) * exp(1j * al * (b * sin(t) - y) ** 2) * quad(
        lambda s: exp(1j * al * (s - x) ** 2), [-a * cos(t), 0, a * cos(t)])
    mp.dps = 15
    value = fabs(al / pi * quad(inner, linspace(-pi / 2, pi / 2, 5))) ** 2
    mp.dps = 30
    return value


for family, how, count in (('b_radial_profile', profile, 12), ('c_mtf_on_axis', otf, 27), ('e_square', square, 15), ('i_ellipse', ellipse, 3)):
    some = [r for r in rows if r['family'] == family]
    some = some[:: max(1, len(some) // count)]
    print(family, len(some), 'rows, largest difference', mp.nstr(max(fabs(how(r['inputs']) - mpf(r['value'])) for r in some), 2))
