"""Compares what internal/dilution computed with scipy.

Its own code is a second reading of the formulas in internal/dilution; fits are by
curve_fit, integrals by quad. Ends red when a difference is beyond its limit.
"""
import json
import sys

import numpy as np
from scipy.integrate import quad
from scipy.optimize import curve_fit
from scipy.special import gamma

red = False


def compare(what, ours, theirs, limit):
    global red
    off = abs(ours - theirs) / abs(theirs)
    mark = "" if off <= limit else "  RED"
    red = red or off > limit
    print(f"{what:48} ours {ours:.8g}  scipy {theirs:.8g}  off by {off:.1e} (limit {limit:.0e}){mark}")


def times(c):
    return c["StartS"] + c["StepS"] * np.arange(len(c["H"]))


def gamma_variate(c):
    def law(t, peak, t0, a, b):
        x = np.maximum(t - t0, 1e-12) / (a * b)
        return np.where(t > t0, peak * (x * np.exp(1 - x)) ** a, 0)

    t, h = times(c), np.array(c["H"])
    top = t[np.argmax(h)] - t[0]
    best = None
    for a in (1.5, 3, 6):
        try:
            p, _ = curve_fit(law, t, h, p0=[h.max(), t[0], a, top / a],
                             bounds=([0, t[0] - 8 * top, 1.05, 0], [1, t[-1], 60, 50]), xtol=1e-12, ftol=1e-12)
        except RuntimeError:
            continue
        left = np.sum((law(t, *p) - h) ** 2)
        if best is None or left < best[0]:
            best = left, p
    peak, t0, a, b = best[1]
    area = peak * (a * b) ** -a * np.exp(a) * b ** (a + 1) * gamma(a + 1)
    return area, t0 + b * (a + 1)


def with_tail(c, power):
    t, h = times(c), np.array(c["H"])
    body = sum(quad(lambda x: np.interp(x, t, h) * x**power, a, b)[0] for a, b in zip(t[:-1], t[1:]))
    tail = quad(lambda x: c["Height"] * np.exp(-c["RateS"] * (x - c["FromS"])) * x**power, c["FromS"], np.inf)[0]
    return body + tail


def tube(s, mean, part):
    """A parabola in part, in 400 layers of equal flow."""
    u = (np.arange(400) + 0.5) / 400
    transit = 1 / np.sqrt((1 + part) ** 2 - 4 * part * u)
    out = np.zeros_like(s)
    for x in transit:
        out += np.exp(-s * mean * x) / len(transit)
    return out


def loop(c, s):
    """The transform of the arterial curve at s."""
    mu, n = c["MuS"], c["Order"]
    k = np.exp(-s * c["Delay"] * mu) / (1 + s * c["Chamber"] * mu)
    k = k * ((1 - c["W"]) * (1 + s * c["FirstS"] / n) ** -n + c["W"] * (1 + s * c["SecondS"] / n) ** -n)
    # K^phi by its continuous logarithm along the line.
    ln = np.log(np.abs(k)) + 1j * np.unwrap(np.angle(k))
    past = np.exp(-s * c["E"] * c["Bypass"] * mu) * (1 + s * (1 - c["E"]) * c["Bypass"] * mu / c["Stages"]) ** -c["Stages"]
    t = (1 - c["Share"]) * ((1 - c["Early"]) * k + c["Early"] * past) / (1 - c["Share"] * np.exp(c["Back"] * ln))
    body = sum(part * (1 + s * mean / 4) ** -4 for part, mean in c["Branches"])
    lam = c["LoopMLs"] / c["FlowMLs"]
    around = np.prod([tube(s, mean, c["Part"]) for mean in c["Tubes"]], axis=0)
    entry = sum(share * (np.exp(-s * a) - np.exp(-s * b)) / (s * (b - a)) for a, b, share in c["Entry"])
    artery = tube(s, c["ArteryS"], c["Part"])
    back = lam * around + (1 - lam) * body
    block = np.sinh(0.05 * s) / (0.05 * s)  # means over 0.1 s
    return c["VolumeML"] * entry * artery * block * t / (c["FlowMLs"] * (1 - t * back))


def bromwich(c):
    """The inverse transform, by trapezoids on a line of its own."""
    step, right = 0.004, 0.05
    s = right + 1j * step * np.arange(int(120 / step))
    f = loop(c, s)
    f[0] /= 2
    return [np.exp(right * t) * step / np.pi * np.sum(np.real(f * np.exp(1j * s.imag * t))) for t in c["TimesS"]]


def main():
    with open(sys.argv[1], encoding="utf-8") as file:
        all = json.load(file)
    for i, c in enumerate(all["GammaVariate"]):
        area, mean = gamma_variate(c)
        compare(f"gamma-variate {i + 1}, area (curve_fit)", c["AreaS"], area, 1e-5)
        compare(f"gamma-variate {i + 1}, mean (curve_fit)", c["MeanS"], mean, 1e-5)
    for i, c in enumerate(all["Exponential"]):
        p, _ = curve_fit(lambda t, h, k: h * np.exp(-k * (t - c["FromS"])), times(c), c["H"], p0=[c["Height"] * 1.2, c["RateS"] * 0.8])
        compare(f"exponential {i + 1}, height (curve_fit)", c["Height"], p[0], 1e-4)
        compare(f"exponential {i + 1}, rate (curve_fit)", c["RateS"], p[1], 1e-4)
    for i, c in enumerate(all["Moments"]):
        area = with_tail(c, 0)
        compare(f"moments {i + 1}, area (quad)", c["AreaS"], area, 1e-8)
        compare(f"moments {i + 1}, mean (quad)", c["MeanS"], with_tail(c, 1) / area, 1e-4)
        compare(f"moments {i + 1}, mean square (quad)", c["Squares"], with_tail(c, 2) / area, 1e-3)
    for i, c in enumerate(all["Loop"]):
        for j, (ours, theirs) in enumerate(zip(c["H"], bromwich(c))):
            if j % 6 == 0:
                compare(f"closed loop {i + 1} at {c['TimesS'][j]:.1f} s, part of the peak", 1 + ours / c["PeakH"], 1 + theirs / c["PeakH"], 3e-4)
    print("RED" if red else "all agree")
    sys.exit(1 if red else 0)


main()
