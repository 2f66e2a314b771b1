"""Spectrum files, written here by hand from the field names of the formats, and what is said of bad ones.

CGATS.17 (and ISO 28178): BEGIN_DATA_FORMAT, NUMBER_OF_SETS, SPECTRAL_NM400 and so on. CxF3 (ISO 17972-1): Object,
ColorValues, ReflectanceSpectrum with StartWL, ColorSpecification with MeasurementSpec and WavelengthRange.
"""

import re

import numpy as np
import pytest

from inventory.colour.appearance import WAVELENGTHS_NM, cielab
from inventory.colour.kubelka_munk import saunderson_inverse
from inventory.labels.doubts import Severity
from inventory.measuring.resampling import BandsError, resample
from inventory.measuring.spectra import Specular, read_spectrum, with_surface

ANSWERS = {"specular:": "unknown", "geometry:": "unknown", "backing:": "unknown", "illuminant:": "unknown"}

# An invented smooth curve in which no two bands are alike: what is checked is reading, not paint.
REFLECTANCE = 0.05 + 0.5 / (1.0 + np.exp((580.0 - WAVELENGTHS_NM) / 20.0))


def _columns(nm, *curves, heading="nm,Red", separator=","):
    lines = [heading] + [separator.join([f"{w:g}", *(f"{curve[i]:.5f}" for curve in curves)]) for i, w in enumerate(nm)]
    return "\n".join(lines).encode()


def _only(reading):
    assert len(reading.samples) == 1, reading.doubts
    return reading.samples[0]


# Tables


def test_a_table_with_a_wavelength_a_row_is_read():
    reading = read_spectrum(
        _columns(WAVELENGTHS_NM, REFLECTANCE, REFLECTANCE / 2, heading="nm,Red,Red tint"), "reds.csv", chosen=ANSWERS
    )
    assert [sample.name for sample in reading.samples] == ["Red", "Red tint"]
    np.testing.assert_allclose(reading.samples[0].reflectance, REFLECTANCE, atol=6e-6)
    np.testing.assert_allclose(reading.samples[1].reflectance, REFLECTANCE / 2, atol=6e-6)
    assert reading.is_settled
    assert cielab(reading.samples[0].reflectance).shape == (3,)


def test_a_table_with_a_sample_a_row_is_read_with_its_conditions():
    heading = "name;specular;backing;" + ";".join(f"R{w:.0f}" for w in WAVELENGTHS_NM)
    rows = [
        "Red;excluded;white;" + ";".join(f"{r:.5f}".replace(".", ",") for r in REFLECTANCE),
        "Blue;included;black;" + ";".join(f"{r:.5f}".replace(".", ",") for r in REFLECTANCE[::-1]),
    ]
    reading = read_spectrum("\n".join([heading, *rows]).encode("utf-16"), "two.csv", chosen=ANSWERS)
    red, blue = reading.samples
    assert (red.conditions.specular, red.conditions.backing) == (Specular.EXCLUDED, "white")
    assert (blue.conditions.specular, blue.conditions.backing) == (Specular.INCLUDED, "black")
    np.testing.assert_allclose(blue.reflectance, REFLECTANCE[::-1], atol=6e-6)


@pytest.mark.parametrize("separator", [",", ";", "\t", " "])
def test_any_usual_separator_is_read_with_or_without_a_heading(separator):
    data = _columns(WAVELENGTHS_NM, REFLECTANCE, heading="", separator=separator)
    sample = _only(read_spectrum(data, "x.txt", chosen=ANSWERS))
    assert sample.name == "Sample 1"
    np.testing.assert_allclose(sample.reflectance, REFLECTANCE, atol=6e-6)


def test_conditions_above_the_table_are_read():
    data = b"Specular: ,excluded\nGeometry,d:8\nBacking,white\nIlluminant,D65\n" + _columns(WAVELENGTHS_NM, REFLECTANCE)
    sample = _only(read_spectrum(data, "x.csv"))
    assert sample.name == "Red"
    assert (sample.conditions.specular, sample.conditions.geometry) == (Specular.EXCLUDED, "d:8")
    assert (sample.conditions.backing, sample.conditions.illuminant) == ("white", "D65")


def test_what_the_file_does_not_state_is_asked_once_and_may_be_unknown():
    data = _columns(WAVELENGTHS_NM, REFLECTANCE)
    reading = read_spectrum(data, "x.csv")
    assert [doubt.key for doubt in reading.doubts] == list(ANSWERS)
    assert all(doubt.severity is Severity.ASK for doubt in reading.doubts)
    assert all("unknown" in [option.value for option in doubt.options] for doubt in reading.doubts)
    answered = read_spectrum(data, "x.csv", chosen={**ANSWERS, "specular:": "included", "geometry:": "d:8"})
    assert answered.is_settled
    assert answered.samples[0].conditions.specular is Specular.INCLUDED
    assert answered.samples[0].conditions.backing == "unknown"


def test_light_from_45_degrees_leaves_the_mirror_reflection_out():
    reading = read_spectrum(_columns(WAVELENGTHS_NM, REFLECTANCE), "x.csv", chosen={"geometry:": "45:0"})
    assert reading.samples[0].conditions.specular is Specular.EXCLUDED
    assert "specular" not in [doubt.code for doubt in reading.doubts]


def test_percent_is_asked_and_no_number_taken_until_then():
    data = _columns(WAVELENGTHS_NM, REFLECTANCE * 100)
    reading = read_spectrum(data, "x.csv", chosen=ANSWERS)
    assert [doubt.key for doubt in reading.doubts] == ["scale:"]
    assert "greatest value is 54.8" in reading.doubts[0].message
    assert _only(reading).reflectance is None
    answered = read_spectrum(data, "x.csv", chosen={**ANSWERS, "scale:": "percent"})
    np.testing.assert_allclose(_only(answered).reflectance, REFLECTANCE, atol=6e-6)


def test_percent_that_the_heading_states_is_read_and_said():
    data = _columns(WAVELENGTHS_NM, REFLECTANCE * 100, heading="nm,Red (%)")
    reading = read_spectrum(data, "x.csv", chosen=ANSWERS)
    np.testing.assert_allclose(_only(reading).reflectance, REFLECTANCE, atol=6e-6)
    assert [doubt.severity for doubt in reading.doubts] == [Severity.READ_AS]
    assert _only(reading).name == "Red"


def test_fractions_under_a_heading_of_percent_are_asked():
    reading = read_spectrum(_columns(WAVELENGTHS_NM, REFLECTANCE, heading="nm,Red %"), "x.csv", chosen=ANSWERS)
    assert "The file says percent, and the greatest value is 0.5" in reading.doubts[0].message


# CGATS.17

CGATS = """CGATS.17
ORIGINATOR "by hand"
MEASUREMENT_GEOMETRY "45/0"
SAMPLE_BACKING "white"
MEASUREMENT_SOURCE "Illumination=D50 ObserverAngle=2 WhiteBase=Abs Filter=No"
KEYWORD "OWN"  # a comment
OWN "BEGIN # here"

NUMBER_OF_FIELDS {fields}
BEGIN_DATA_FORMAT
SAMPLE_ID SAMPLE_NAME LAB_L {names}
END_DATA_FORMAT
NUMBER_OF_SETS {sets}
BEGIN_DATA
{rows}
END_DATA
"""


def _cgats(prefix="SPECTRAL_NM", sets=2, fields=34, rows=2):
    values = " ".join(f"{value:.4f}" for value in REFLECTANCE)
    return CGATS.format(
        names=" ".join(f"{prefix}{w:.0f}" for w in WAVELENGTHS_NM),
        rows="\n".join(f'{i} "Red {i}, full" 41.0 {values}' for i in range(1, rows + 1)),
        sets=sets,
        fields=fields,
    ).encode()


@pytest.mark.parametrize("prefix", ["SPECTRAL_NM", "SPECTRAL_NM_", "SPECTRAL_", "nm", "NM_", "spec_"])
def test_cgats_text_is_read_with_any_writing_of_its_bands(prefix):
    reading = read_spectrum(_cgats(prefix), "x.txt")
    assert [sample.name for sample in reading.samples] == ["Red 1, full", "Red 2, full"]
    np.testing.assert_allclose(reading.samples[1].reflectance, REFLECTANCE, atol=6e-5)
    conditions = reading.samples[0].conditions
    assert (conditions.geometry, conditions.backing, conditions.illuminant) == ("45/0", "white", "D50")
    assert conditions.specular is Specular.EXCLUDED
    assert reading.is_settled


def test_cgats_pairs_of_wavelength_and_percent_are_read():
    names = "SAMPLE_ID " + " ".join(["SPECTRAL_NM SPECTRAL_PCT"] * 31)
    row = "A1 " + " ".join(f"{w:.0f} {r * 100:.3f}" for w, r in zip(WAVELENGTHS_NM, REFLECTANCE, strict=True))
    text = f"CGATS.17\nBEGIN_DATA_FORMAT\n{names}\nEND_DATA_FORMAT\nBEGIN_DATA\n{row}\nEND_DATA\n"
    sample = _only(read_spectrum(text.encode(), "x.txt", chosen=ANSWERS))
    np.testing.assert_allclose(sample.reflectance, REFLECTANCE, atol=6e-5)


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (_cgats(sets=3), "NUMBER_OF_SETS says 3, but the table has 2 sets"),
        (_cgats(fields=35), "NUMBER_OF_FIELDS says 35, but the table has 34 fields"),
        (_cgats().replace(b"END_DATA\n", b"").replace(b"END_DATA", b"END_DATA_FORMAT", 1), "BEGIN_DATA"),
        (_cgats().rpartition(b"END_DATA")[0], "ends inside BEGIN_DATA without END_DATA"),
        (_cgats("LAB_").replace(b"LAB_4", b"XYZ_4"), "no spectral fields"),
        (_cgats().replace(b"41.0", b"41.0 7", 1), "make no whole rows"),
        (_cgats().replace(b" 0.5", b" O.5", 1), r"has “O\.\d+” in SPECTRAL_NM"),
    ],
)
def test_broken_cgats_text_is_refused_by_what_is_wrong(data, message):
    reading = read_spectrum(data, "x.txt")
    assert not reading.samples
    assert [doubt.severity for doubt in reading.doubts] == [Severity.REFUSED]
    assert re.search(message, reading.doubts[0].message)


# CxF3

CXF = """<?xml version="1.0" encoding="UTF-8"?>
<cc:CxF xmlns:cc="http://colorexchangeformat.com/CxF3-core">
 <cc:FileInformation><cc:Creator>by hand</cc:Creator></cc:FileInformation>
 <cc:Resources>
  <cc:ObjectCollection>
   <cc:Object ObjectType="Target" Name="Red &amp; tint" Id="1">
    <cc:ColorValues>
     <cc:ReflectanceSpectrum ColorSpecification="S1" Name="M0" StartWL="380">{values}</cc:ReflectanceSpectrum>
     <cc:ColorCIELab ColorSpecification="S1"><cc:L>41</cc:L><cc:A>50</cc:A><cc:B>30</cc:B></cc:ColorCIELab>
    </cc:ColorValues>
   </cc:Object>
   <cc:Object ObjectType="Target" Name="Colour only" Id="2"><cc:ColorValues/></cc:Object>
  </cc:ObjectCollection>
  <cc:ColorSpecificationCollection>
   <cc:ColorSpecification Id="S1">
    <cc:TristimulusSpec><cc:Illuminant>D50</cc:Illuminant><cc:Observer>2_Degree</cc:Observer></cc:TristimulusSpec>
    <cc:MeasurementSpec>
     <cc:MeasurementType>Spectrum_Reflectance</cc:MeasurementType>
     <cc:GeometryChoice>{geometry}</cc:GeometryChoice>
     <cc:WavelengthRange StartWL="380" Increment="10"/>
     <cc:Device><cc:DeviceIllumination>M0_Incandescent</cc:DeviceIllumination></cc:Device>
    </cc:MeasurementSpec>
   </cc:ColorSpecification>
  </cc:ColorSpecificationCollection>
 </cc:Resources>
</cc:CxF>"""
SPHERE = "<cc:SphereGeometry>Specular_Included</cc:SphereGeometry>"
ANGLES = (
    "<cc:SingleAngle><cc:SingleAngleConfiguration>Annular</cc:SingleAngleConfiguration>"
    "<cc:IlluminationAngle>45</cc:IlluminationAngle><cc:MeasurementAngle>0.0</cc:MeasurementAngle></cc:SingleAngle>"
)
VALUES_380 = " ".join(f"{value:.5f}" for value in (0.05, 0.05, *REFLECTANCE, *[0.549] * 3))


def _cxf(geometry=SPHERE, values=VALUES_380):
    return CXF.format(geometry=geometry, values=values)


def test_cxf_is_read_with_its_conditions():
    reading = read_spectrum(_cxf().encode(), "x.cxf", chosen=ANSWERS)
    sample = _only(reading)
    assert sample.name == "Red & tint"
    np.testing.assert_allclose(sample.reflectance, REFLECTANCE, atol=6e-6)
    assert (sample.wavelengths_nm[0], sample.wavelengths_nm[-1]) == (380.0, 730.0)
    assert (sample.conditions.specular, sample.conditions.geometry) == (Specular.INCLUDED, "sphere")
    assert sample.conditions.illuminant == "M0_Incandescent"
    assert [doubt.message for doubt in reading.doubts] == ["1 objects without a reflectance spectrum were left out."]


def test_cxf_angles_and_a_default_namespace_are_read():
    text = _cxf(ANGLES).replace("cc:", "").replace("xmlns:cc", "xmlns").replace("UTF-8", "UTF-16")
    sample = _only(read_spectrum(text.encode("utf-16"), "x.cxf", chosen=ANSWERS))
    assert (sample.conditions.geometry, sample.conditions.specular) == ("45:0", Specular.EXCLUDED)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (_cxf().replace("<cc:CxF ", '<!DOCTYPE x [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">]><cc:CxF '), "document type"),
        (_cxf().replace("<cc:CxF ", '<!DOCTYPE x SYSTEM "http://example.invalid/x.dtd"><cc:CxF '), "document type"),
        (_cxf().replace("CxF3-core", "CxF2-core"), "with the root “CxF”, not CxF3"),
        (_cxf().replace(' Increment="10"', ""), "has no Increment"),
        (_cxf().replace('Increment="10"', 'Increment="-10"'), "has “-10” for Increment"),
        (_cxf(values="0.1 x 0.2"), "has “x” among its values"),
        (_cxf()[:-20], "The XML is broken"),
        (_cxf().replace("UTF-8", "UTFt8"), "unknown encoding: UTFt8"),
        (_cxf().replace("UTF-8", "Shift-JIS"), "The XML is broken"),
        (_cxf().replace("ReflectanceSpectrum", "EmissiveSpectrum"), "no ReflectanceSpectrum"),
        ("<a>" * 60 + "</a>" * 60, "nested too deeply"),
    ],
)
def test_broken_or_hostile_cxf_is_refused_by_what_is_wrong(text, message):
    reading = read_spectrum(text.encode(), "x.cxf")
    assert not reading.samples
    assert re.search(message, reading.doubts[0].message)


# What no instrument should give


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (b"", "The file is empty"),
        (b"PK\x03\x04", "Save it as CSV"),
        (b"\x89PNG\x00\x00", "The file is no text"),
        (b"hello\nworld\n", "No spectrum was found"),
        (b"nm,Red\n400,0,05\n410,0,06\n420,0,07\n", "has 3 cells, and the heading 2. If decimals have a comma"),
        (b"nm,Red\n400,0.05\n410,dark\n420,0.07\n", "“Red” has “dark” at 410 nm"),
        (b"name,400,410,420\n", "a heading of wavelengths and no row"),
        (b"x" * 5_000_000, "has 5000000 bytes"),
    ],
)
def test_files_that_hold_no_spectrum_are_refused(data, message):
    reading = read_spectrum(data, "x.csv")
    assert not reading.samples
    assert message in reading.doubts[0].message


def _with(nm, value):
    curve = REFLECTANCE.copy()
    curve[int((nm - 400) // 10)] = value
    return _columns(WAVELENGTHS_NM, curve)


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (_with(450, 1.2), "“Red” has 1.2 at 450 nm, more than 1.1"),
        (_with(450, -0.01), "“Red” has -0.01 at 450 nm; a reflectance is 0 or more"),
        (_columns(WAVELENGTHS_NM, REFLECTANCE * 0), "is 0 in every band"),
        (_with(450, float("nan")), "missing: 450 nm"),
        (_columns(WAVELENGTHS_NM[2:], REFLECTANCE), "missing: 400, 410 nm"),
        (_columns(WAVELENGTHS_NM[:-2], REFLECTANCE), "missing: 690, 700 nm"),
        (_columns(np.delete(WAVELENGTHS_NM, [5, 6, 20]), REFLECTANCE), "missing: 450, 460, 600 nm"),
        (_columns(WAVELENGTHS_NM[::3], REFLECTANCE), "the bands are 30 nm apart; at most 20"),
        (_columns([*WAVELENGTHS_NM, 700.0], [*REFLECTANCE, 0.5]), "the band 700 nm stands twice"),
    ],
)
def test_a_sample_that_cannot_be_used_is_refused_by_band_and_value(data, message):
    reading = read_spectrum(data, "x.csv", chosen=ANSWERS)
    assert not reading.is_settled
    assert _only(reading).reflectance is None
    assert message in _only(reading).doubts[0].message


def test_values_a_little_above_white_are_taken_as_white_and_said():
    sample = _only(read_spectrum(_with(450, 1.05), "x.csv", chosen=ANSWERS))
    assert sample.reflectance.max() == 1.0
    assert "rises to 1.050" in sample.doubts[0].message


def test_the_mirror_reflection_of_the_surface_is_suspected_where_it_shows():
    """A surface of refractive index 1.5 mirrors ((1.5 - 1)/(1.5 + 1))^2 = 0.04 (Fresnel, upright light)."""
    black = np.full(31, 0.042)
    for specular, code in (("excluded", "specular-floor"), ("unknown", "specular-floor"), ("included", None)):
        sample = _only(
            read_spectrum(_columns(WAVELENGTHS_NM, black), "x.csv", chosen={**ANSWERS, "specular:": specular})
        )
        assert [doubt.code for doubt in sample.doubts] == ([code] if code else [])
    deep = read_spectrum(_columns(WAVELENGTHS_NM, black / 3), "x.csv", chosen={**ANSWERS, "specular:": "included"})
    assert [doubt.code for doubt in _only(deep).doubts] == ["specular-missing"]


@pytest.mark.parametrize("specular", ["included", "excluded"])
def test_a_spectrum_is_handed_on_with_the_reflection_of_the_surface(specular):
    """Saunderson's correction by hand: outside = k1 + (1 - k1)(1 - k2) R / (1 - k2 R), and k1 is what is excluded."""
    internal = np.linspace(0.05, 0.8, 31)
    without = (1 - 0.03) * (1 - 0.60) * internal / (1 - 0.60 * internal)
    measured = without + (0.03 if specular == "included" else 0.0)
    data = _columns(WAVELENGTHS_NM, measured)
    sample = _only(read_spectrum(data, "x.csv", chosen={**ANSWERS, "specular:": specular}))
    np.testing.assert_allclose(sample.reflectance, measured, atol=6e-6)
    np.testing.assert_allclose(saunderson_inverse(with_surface(sample.reflectance, specular)), internal, atol=1e-4)


def test_a_floor_that_is_no_darker_than_a_mirror_reflection_gets_none_added():
    """A smooth surface of refractive index 1.5 mirrors 0.04 (Fresnel): what reflects that in every band has it in."""
    mirrored = np.linspace(0.04, 0.5, 31)
    assert with_surface(mirrored, "excluded") is mirrored
    assert with_surface(mirrored - 0.03, "unknown")[0] == pytest.approx(0.01)
    np.testing.assert_allclose(with_surface(mirrored - 0.03, "excluded"), mirrored, atol=1e-12)
    assert with_surface(np.linspace(0.0, 0.99, 31), "excluded").max() == 1.0


def test_a_wrong_answer_is_refused_by_name():
    reading = read_spectrum(_columns(WAVELENGTHS_NM, REFLECTANCE), "x.csv", chosen={**ANSWERS, "specular:": "maybe"})
    assert "“maybe” is no answer for specular" in reading.doubts[0].message


# Resampling


@pytest.mark.parametrize(
    ("nm", "said"),
    [
        (np.arange(380.0, 731.0, 1.0), "averaged from bands every 1 nm"),
        (np.arange(400.0, 701.0, 5.0), "averaged from bands every 5 nm"),
        (np.arange(380.0, 731.0, 3.3), "averaged from bands every 3.3 nm"),
        (np.arange(380.0, 741.0, 20.0), "interpolated by Sprague's polynomial from bands every 20 nm"),
        (np.arange(400.0, 701.0, 20.0), "interpolated by Sprague's polynomial from bands every 20 nm"),
        (np.arange(395.0, 706.0, 10.0), "interpolated by Sprague's polynomial from bands every 10 nm"),
        (np.arange(400.0, 701.0, 10.0), ""),
    ],
)
def test_straight_spectra_stay_straight_at_any_bands(nm, said):
    """Averaging and interpolating must both leave a straight line alone, its ends too."""
    brought = resample(nm.tolist(), (0.001 * nm).tolist())
    np.testing.assert_allclose(brought.values, 0.001 * WAVELENGTHS_NM, atol=1e-9)
    assert said in brought.note


def test_20_nm_bands_of_smooth_spectra_come_near_the_10_nm_bands():
    """Within 0.002 for an edge of 20 nm width, where straight lines are off by three times as much."""
    nm = np.arange(380.0, 741.0, 20.0)
    coarse = 0.05 + 0.5 / (1.0 + np.exp((580.0 - nm) / 20.0))
    error = np.abs(resample(nm.tolist(), coarse.tolist()).values - REFLECTANCE).max()
    assert error < 0.002
    assert error < np.abs(np.interp(WAVELENGTHS_NM, nm, coarse) - REFLECTANCE).max() / 3


def test_uneven_bands_are_joined_by_straight_lines_and_falling_order_is_read():
    nm = np.array([395, *range(410, 700, 12), 705.0])[::-1]
    brought = resample(nm.tolist(), (0.001 * nm).tolist())
    np.testing.assert_allclose(brought.values, 0.001 * WAVELENGTHS_NM, atol=1e-9)
    assert "straight lines" in brought.note


def test_too_few_bands_are_named():
    with pytest.raises(BandsError, match="1 is too few"):
        resample([400.0], [0.5])
