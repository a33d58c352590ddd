"""Rows of a measured pair: a difference is told as far as the printed digits of both sheets tell them apart."""

from types import SimpleNamespace

from panelmech.report.pair_rows import uneven_rows


def differences(strain, moment):
    bent = SimpleNamespace(contact_angle_1=0.1, contact_angle_2=0.1, setback_1=3e-3, setback_2=3.1e-3)
    design = SimpleNamespace(span=0.5)
    report = SimpleNamespace(bent=bent, design=design, strains=strain, moments=moment, forces=(40.0, 40.1))
    return [row[3] for row in uneven_rows(report)]


def test_no_more_is_told_of_a_difference_than_four_digits_show():
    told = differences((5.0e-4, 5.1e-4), (6.5, 6.5 * (1 + 4e-7)))
    assert told == ["−0.0010 % (−2.0 %)", "below 0.01 %", "−0.050 N (−0.25 %)", "0°", "−0.10 mm"]
    assert differences((5.0e-4, 5.0e-4), (6.5, 6.5 * (1 + 2e-4)))[:2] == ["below 0.01 %", "−0.0013 N·m/m (−0.020 %)"]
