"""The filter against Winter's coefficients, the magnitude of the digital Butterworth, and scipy's own run both ways."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.signal import butter, filtfilt

from metrics.kinematics.filters import DEFAULT_FILTER_HZ, low_pass

# Winter, Biomechanics and Motor Control of Human Movement, the chapter on kinematics: the second-order Butterworth
# section for a cut-off of a tenth of the frame rate (6 Hz at 60). a0, a1, a2 weigh the input, b1, b2 the output before.
# The digits are from memory; a typing slip in them would show against the two other checks of this file.
WINTER = {"a0": 0.067455, "a1": 0.134911, "a2": 0.067455, "b1": 1.142981, "b2": -0.412802}


def filtered(signal, rate_hz, cutoff_hz):
    """One coordinate through the filter: (n,) in and out."""
    return low_pass(np.repeat(signal[:, None, None], 3, axis=2), rate_hz, cutoff_hz)[:, 0, 0]


def both_ways_by_hand(signal):
    """Winter's difference equation forward and backward, without any care for the ends."""
    for _ in range(2):
        out = np.zeros_like(signal)
        for k in range(2, len(signal)):
            out[k] = (
                WINTER["a0"] * signal[k] + WINTER["a1"] * signal[k - 1] + WINTER["a2"] * signal[k - 2]
                + WINTER["b1"] * out[k - 1] + WINTER["b2"] * out[k - 2]
            )  # fmt: skip
        signal = out[::-1]
    return signal


def test_a_pulse_comes_out_as_by_winters_difference_equation():
    """6 Hz at 60 frames a second; ends are far from the pulse, so what is done there does not matter."""
    pulse = np.zeros(200)
    pulse[95:105] = 1.0
    np.testing.assert_allclose(filtered(pulse, 60.0, 6.0), both_ways_by_hand(pulse), atol=1e-5)


@pytest.mark.parametrize("rate_hz", [120.0, 240.0, 500.0, 1000.0])
@pytest.mark.parametrize("share", [0.3, 0.802, 1.0, 2.0])
def test_a_sine_keeps_what_the_magnitude_of_the_section_says(rate_hz, share):
    """Both runs together: 1 / (1 + (tan(πf/fs) / tan(πfc/fs))⁴), and no lag."""
    hz = share * DEFAULT_FILTER_HZ
    times = np.arange(round(4 * rate_hz)) / rate_hz
    sine = np.sin(2 * np.pi * hz * times)
    out = filtered(sine, rate_hz, DEFAULT_FILTER_HZ)
    ratio = np.tan(np.pi * hz / rate_hz) / np.tan(np.pi * DEFAULT_FILTER_HZ / rate_hz)
    middle = slice(round(rate_hz), round(3 * rate_hz))
    np.testing.assert_allclose(out[middle], sine[middle] / (1 + ratio**4), atol=2e-4)


@pytest.mark.parametrize("rate_hz", [240.0, 1000.0])
def test_minus_3_decibels_lie_at_10_8_hertz(rate_hz):
    """0.802 of the design's 13.4 Hz; Winter divides by this factor, we say which of the two the number is."""
    times = np.arange(round(4 * rate_hz)) / rate_hz
    out = filtered(np.cos(2 * np.pi * 10.75 * (times - 2.0)), rate_hz, DEFAULT_FILTER_HZ)
    assert out[round(2 * rate_hz)] == pytest.approx(np.sqrt(0.5), abs=0.005)


def test_a_steady_course_stays_where_it_is():
    """6 m in 1.25 s: less than 0.3 mm off at the ends, where the reflection is short, and nothing in the middle."""
    course = np.linspace(-1.0, 5.0, 300)
    off = np.abs(filtered(course, 240.0, DEFAULT_FILTER_HZ) - course)
    assert off.max() < 3e-4
    assert off[100:200].max() < 1e-8


@pytest.mark.parametrize("rate_hz", [120.0, 300.0])
def test_scipy_gives_the_same_from_the_transfer_function(rate_hz):
    """scipy's filtfilt on b, a in place of second-order sections, with the same odd reflection at both ends."""
    course = np.cumsum(np.random.default_rng(1).normal(size=400))
    b, a = butter(2, DEFAULT_FILTER_HZ, fs=rate_hz)
    expected = filtfilt(b, a, course, padlen=int(np.ceil(0.075 * rate_hz)))
    np.testing.assert_allclose(filtered(course, rate_hz, DEFAULT_FILTER_HZ), expected, atol=1e-9)
