"""How people write threads and lengths on prints, on tickets and with gloves on.

Each row is what was typed and what the cockpit makes of it: a reading, or a whole sentence.
"""

import pytest

from cockpit.trade.threads import ThreadError, read_thread
from cockpit.units import LengthUnit, UnitsError, read_length_mm

THREADS = {
    # unified
    "1/4-20": "1/4-20 UNC",
    "1/4-20 UNC-2B": "1/4-20 UNC",
    "1/4 - 20 unc": "1/4-20 UNC",
    "1/4 20 UNC 3B": "1/4-20 UNC-3B",
    "3/8 x 16": "3/8-16 UNC",
    '1/4"-20': "1/4-20 UNC",
    "¼-20": "1/4-20 UNC",
    "1¼–7": "1 1/4-7 UNC",
    "1-1/4-7": "1 1/4-7 UNC",
    "0.250-20": "1/4-20 UNC",
    ".312-18": "5/16-18 UNC",
    "#10-32": "#10-32 UNF",
    "no. 10 - 32 unf": "#10-32 UNF",
    "10-32 UNF": "#10-32 UNF",
    "1-64": "#1-64 UNC",
    "1-8": "1-8 UNC",
    "2-4.5": "2-4.5 UNC",
    "3-8": "3-8 UN",
    "3/8-24 nf": "3/8-24 UNF",
    "1/4-20 UNRC": "1/4-20 UNC",
    "1 1/8-8UN": "1 1/8-8 UN",
    "1-1/8-8 8UN": "1 1/8-8 UN",
    "1 1/8 8-UN": "1 1/8-8 UN",
    "1/4-20 UN": "1/4-20 UNC",
    "1-14 UNS": "1-14 UNS",
    "1/4-24 special": "1/4-24 UNS",
    "1/4-20 UNC-2B-LH": "1/4-20 UNC-LH",
    "1/4-20 UNC STI": "1/4-20 UNC STI",
    '1" 8': "1-8 UNC",
    "1 1/4 7": "1 1/4-7 UNC",
    "2-4 1/2 UNC": "2-4.5 UNC",
    "2 1/4-4 1/2": "2 1/4-4.5 UNC",
    "2-1/4 - 4-1/2": "2 1/4-4.5 UNC",
    "1/4 UNC": "1/4-20 UNC",
    "1/4UNC-3B": "1/4-20 UNC-3B",
    "3/8 UNF": "3/8-24 UNF",
    "1/2 UNEF LH": "1/2-28 UNEF-LH",
    "1-1/4 NC": "1 1/4-7 UNC",
    '1" UNC': "1-8 UNC",
    ".250 UNC": "1/4-20 UNC",
    "#10 UNF": "#10-32 UNF",
    "UNC 1/4-20": "1/4-20 UNC",
    "UNF 3/8-24 - 3B": "3/8-24 UNF-3B",
    "UNC 1/4": "1/4-20 UNC",
    "1/4 UNC-20": "1/4-20 UNC",
    "1/4-20UNC2B": "1/4-20 UNC",
    "2x 1/4-20": "1/4-20 UNC",
    "2X 4-40UNC": "#4-40 UNC",
    "3x 1 1/4-7": "1 1/4-7 UNC",
    # metric
    "m8": "M8x1.25",
    "m8X1": "M8x1",
    "M10×1.50": "M10x1.5",
    "M10x1,5": "M10x1.5",
    "M10-1.5": "M10x1.5",
    " M 10  x 1.50 mm ": "M10x1.5",
    "M10\N{NO-BREAK SPACE}x\N{NO-BREAK SPACE}1.5": "M10x1.5",
    "M10x1.5-6H": "M10x1.5",
    "M10x1.5 - 5h": "M10x1.5-5H",
    "M10 left hand": "M10x1.5-LH",
    "special M10x1.4": "M10x1.4 special",
    "M10x1.5 STI": "M10x1.5 STI",
    "M6 fine": "M6x0.75",
    "M10 coarse": "M10x1.5",
    "M10x1 fine": "M10x1",
    "MF10x1": "M10x1",
    "M10 6H": "M10x1.5",
    "4X M6": "M6x1",
    "4 x M6-5H": "M6x1-5H",
    "M110x2 special": "M110x2 special",
    # pipe
    "G 1/4": "G1/4",
    "g 1-1/4": "G1 1/4",
    "1/4 BSPP": "G1/4",
    "G1/4-LH": "G1/4-LH",
    "G 3/8 A": "G3/8",
    "G3/8-A": "G3/8",
    "G3/8B": "G3/8",
    "1/8 NPT": "1/8-27 NPT",
    "NPT 1/8": "1/8-27 NPT",
    "1/8″NPT": "1/8-27 NPT",
    "1-11 1/2 npt": "1-11.5 NPT",
    "1-11-1/2 NPT": "1-11.5 NPT",
    "2x 1/8 NPT": "1/8-27 NPT",
    # plain bores
    "pin 8 mm": "pin 8 mm",
    "8mm pin": "pin 8 mm",
    "spring pin 5 mm": "spring pin 5 mm",
    "Dowel 1/4": "dowel 1/4 in",
    'drill 1-1/4"': "drill 1 1/4 in",
    "⌀12 mm": "bore 12 mm",
}

NO_THREADS = {
    # in no standard series
    "M10x1.4": "No standard series has M10x1.4: the nearest are M10x1.5, M10x1.25, M10x1; "
    "say special to have it anyway.",
    "M13": "No standard series has M13: the nearest are M14x2, M12x1.75, M11x1.5.",
    "M15": "No standard series has M15: the nearest are M15x1.5, M15x1.",
    "M10x6": "No standard series has M10x6: the nearest are M10x1.5, M10x1.25, M10x1.",
    "M0": "No standard series has M0: the nearest are M1x0.25, M1.1x0.25, M1.2x0.25.",
    "1/4-24": "No standard series has 1/4-24: the nearest are 1/4-28 UNF, 1/4-20 UNC, "
    "1/4-32 UNEF; say special to have it anyway.",
    "1/4-28 UNC": "No standard series has 1/4-28 UNC: the nearest are 1/4-28 UNF, 1/4-20 UNC, "
    "1/4-32 UNEF.",
    "1/4-20 UNS": "No standard series has 1/4-20 UNS: the nearest are 1/4-20 UNC, 1/4-28 UNF, "
    "1/4-32 UNEF.",
    "1/8-27": "No standard series has 1/8-27: the nearest are 1/8-27 NPT, #5-40 UNC, #5-44 UNF; "
    "say special to have it anyway.",
    "8-40": "No standard series has #8-40: the nearest are #8-36 UNF, #8-32 UNC, #10-32 UNF; "
    "say special to have it anyway.",
    "1/4-0": "No standard series has 1/4-0: the nearest are 1/4-20 UNC, 1/4-28 UNF, 1/4-32 UNEF.",
    "G5/16": "No standard series has G5/16: the nearest are G3/8, G1/4, G1/2.",
    "1/4-20 NPT": "No standard series has 1/4 NPT with 20 threads an inch: the nearest are "
    "1/4-18 NPT, 3/8-18 NPT, 1/8-27 NPT.",
    "M13 fine": "No standard series has M13 fine: the nearest are M14x2, M12x1.75, M11x1.5.",
    "M10x1.5 fine": "No standard series has M10x1.5 fine: the nearest are M10x1.25, M10x1.5, "
    "M10x1.",
    "M10 fine": "M10 has more than one fine pitch: write M10x1.25, M10x1 or M10x0.75.",
    "1/8 UNC": "No standard series has 1/8 UNC: the nearest are #5-40 UNC, #5-44 UNF, #6-32 UNC.",
    "1/420 UNC": "No standard series has 1/420 UNC: the nearest are #0-80 UNF, #1-64 UNC, "
    "#1-72 UNF.",
    # beyond what is there
    "M110x2": "The tables run from M1 to M100 and do not reach M110x2: look at the print; "
    "say special to have it anyway.",
    "M110": "The tables run from M1 to M100 and do not reach M110: look at the print.",
    "M0.8x0.2": "The tables run from M1 to M100 and do not reach M0.8x0.2: look at the print; "
    "say special to have it anyway.",
    "8 NPT": "The tables run from 1/16-27 NPT to 6-8 NPT and do not reach 8 NPT: "
    "look at the print.",
    "#00-90 special": '"#00-90 special" is smaller than #0, where the tables begin: '
    "write its diameter in inches, such as 0.047-90 special.",
    "00-90": '"00-90" is smaller than #0, where the tables begin: '
    "write its diameter in inches, such as 0.047-90 special.",
    # a key may be lost
    "1 8": '"1 8" may have lost a slash or a hyphen: write 1/8 or 1-8.',
    "3 4 UNC": '"3 4 UNC" may have lost a slash or a hyphen: write 3/4 UNC or 3-4 UNC.',
    "3 4 UN": '"3 4 UN" may have lost a slash or a hyphen: write 3/4 UN or 3-4 UN.',
    "3 8 UN": '"3 8 UN" may have lost a slash or a hyphen: write 3/8 UN or 3-8 UN.',
    "3 16 UN": '"3 16 UN" may have lost a slash or a hyphen: write 3/16 UN or 3-16 UN.',
    "5 8 UN": '"5 8 UN" may have lost a slash or a hyphen: write 5/8 UN or 5-8 UN.',
    "UNC 3 4": '"UNC 3 4" may have lost a slash or a hyphen: write 3/4 UNC or 3-4 UNC.',
    "3 8-16 UNC": '"3 8-16 UNC" may have lost a slash: write 3/8-16 UNC.',
    "10 24 UNC": '"10 24 UNC" may have lost a hyphen: write 10-24 UNC.',
    "3 8 NPT": '"3 8 NPT" may have lost a slash or a hyphen: write 3/8 NPT or 3-8 NPT.',
    "3x 4 UNC": '"3x 4 UNC" may be a count or a size: write 3-4 UNC if 3 is the size.',
    "10 x 24 UNC": '"10 x 24 UNC" may be a count or a size: write 10-24 UNC if 10 is the size.',
    "10/32 UNF": '"10/32" is not in lowest terms: write 5/16, or #10-32 if that is meant.',
    "8/32": '"8/32" is not in lowest terms: write 1/4, or #8-32 if that is meant.',
    "2/4-13": '"2/4" is not in lowest terms: write 1/2.',
    "4/8 NPT": '"4/8" is not in lowest terms: write 1/2.',
    "#8/32": '"#8/32" has a number sign before a fraction: write #8-32, or leave the sign out.',
    "#1/4-20": '"#1/4-20" has a number sign before a fraction: leave the sign out.',
    "#010-32": '"#010-32" has a zero before a number: write 10, or 0.10 if a point was lost.',
    "M08": '"M08" has a zero before a number: write 8, or 0.8 if a point was lost.',
    "pin 08 mm": '"pin 08 mm" has a zero before a number: write 8, or 0.8 if a point was lost.',
    "M10x16H": '"M10x16H" does not part its class from the digits before it: '
    "write it like M10x1.5-6H.",
    "M86H": '"M86H" does not part its class from the digits before it: write it like M10x1.5-6H.',
    "1/4-202B": '"1/4-202B" does not part its class from the digits before it: '
    "write it like 1/4-20 UNC-2B.",
    "1 1/8-128UN": '"1 1/8-128UN" is not a thread the cockpit can read: '
    "write it like M10x1.5, 1/4-20 UNC, #10-32, G1/4, 1/8-27 NPT or pin 8 mm.",
    '#10"-32': '"#10"-32" is not a thread the cockpit can read: '
    "write it like M10x1.5, 1/4-20 UNC, #10-32, G1/4, 1/8-27 NPT or pin 8 mm.",
    # more said than the thread, or against itself
    "1/4-20UNC X .50 DP": '"1/4-20UNC X .50 DP" has a depth or a length beside the thread: '
    "write the thread alone, as the depth is asked for apart.",
    "M6 x 1 - 6H THRU": '"M6 x 1 - 6H THRU" has a depth or a length beside the thread: '
    "write the thread alone, as the depth is asked for apart.",
    "M10x1.5x25": '"M10x1.5x25" has a depth or a length beside the thread: '
    "write the thread alone, as the depth is asked for apart.",
    "1/4 UNC x 3/4": '"1/4 UNC x 3/4" has a depth or a length beside the thread: '
    "write the thread alone, as the depth is asked for apart.",
    "M6 \N{DOWNWARDS ARROW FROM BAR}12": '"M6 \N{DOWNWARDS ARROW FROM BAR}12" has a depth or a '
    "length beside the thread: write the thread alone, as the depth is asked for apart.",
    "M10 LH RH": "A left and a right hand are both said: keep the one that is right.",
    # of a standard that is not there
    "1/4 BSP": '"1/4 BSP" may be parallel or taper: write G1/4 for parallel; '
    "taper, ISO 7-1, is not in the tables.",
    "Rc1/4": '"Rc1/4" is of ISO 7-1, which is not in the tables; '
    "the parallel thread of ISO 228-1 is written G1/4.",
    "1/8 NPTF": '"1/8 NPTF" is not in the tables: the nearest that is there is 1/8-27 NPT.',
    "1/4-28 UNJF": '"1/4-28 UNJF" is a J thread, not in the tables: write it without the J, '
    "whose minor diameter is smaller and so on the safe side.",
    "1/4 BSW": '"1/4 BSW" is of a standard that is not in the tables: '
    "they have unified, metric, G and NPT threads.",
    "G1/4 STI": "G1/4 STI is not in the tables: "
    "they have wire inserts for unified and metric threads alone.",
    # half said
    "M10x1.5-6g": '"M10x1.5-6g" has not the class of a hole: write 6H, or leave the class out.',
    "1/4-20 UNC-2A": '"1/4-20 UNC-2A" has not the class of a hole: '
    "write 2B, or leave the class out.",
    "10 x 1.5": '"10 x 1.5" lacks its letter: write M10x1.5 if it is metric.',
    "10x 1.5-6H": '"10x 1.5-6H" lacks its letter: write M10x1.5 if it is metric.',
    "10 UNF": '"10 UNF" does not tell its size and threads an inch: '
    "write it like #10-32 UNF or 1/4-20 UNC.",
    "1/4 UN": '"1/4 UN" does not tell its size and threads an inch: '
    "write it like #10-32 UNF or 1/4-20 UNC.",
    "G11/4": '"11/4" is not a part of an inch: write one like 1/4, and whole inches apart, '
    "like 1 1/4.",
    "1/0-20": '"1/0" is not a part of an inch: write one like 1/4, and whole inches apart, '
    "like 1 1/4.",
    "1/4": '"1/4" is a size without a thread: write it like M10x1.5 or 1/4-20 UNC, '
    "or as a bore, such as pin 8 mm.",
    "pin 8": '"pin 8" lacks a unit: write pin 8 mm or pin 8 in.',
    "pin 8,5 mm": '"8,5 mm" has a comma: write the number with a point, such as 0.5.',
    "pin -8 mm": '"pin -8 mm" is no bore to burn in: write it like pin 8 mm.',
    "pin 1/4 mm": '"pin 1/4 mm" is a fraction, and fractions are of an inch: '
    "write pin 1/4 in, or the mm with a point.",
    "drill #7": '"drill #7" names a drill by number or letter: '
    "write its diameter, such as drill 5 mm or drill 0.201 in.",
    "pin 8 mm LH": '"pin 8 mm" has no thread, so leave out LH and STI.',
    # nothing to go by
    "M10x": '"M10x" is not a thread the cockpit can read: '
    "write it like M10x1.5, 1/4-20 UNC, #10-32, G1/4, 1/8-27 NPT or pin 8 mm.",
    "\x1b[1mM8": '"?[1mM8" is not a thread the cockpit can read: '
    "write it like M10x1.5, 1/4-20 UNC, #10-32, G1/4, 1/8-27 NPT or pin 8 mm.",
    "": '"" is not a thread the cockpit can read: '
    "write it like M10x1.5, 1/4-20 UNC, #10-32, G1/4, 1/8-27 NPT or pin 8 mm.",
}

# What was typed, the unit of a bare number, and the millimetres.
MM, INCH = LengthUnit.MM, LengthUnit.INCH
LENGTHS = [
    ("22", MM, 22.0),
    ("22.", MM, 22.0),
    ("22MM", MM, 22.0),
    ("-0.2", MM, -0.2),
    ("5/32", INCH, 3.96875),
    (".156", INCH, 3.9624),
    ("1 3/8", INCH, 34.925),
    ("1-3/8 in", MM, 34.925),
    ('1 3/8"', MM, 34.925),
    ("0.5''", MM, 12.7),
    ("7/8 IN.", MM, 22.225),
    ("5 / 32 in", MM, 3.96875),
    ("5⁄32″", MM, 3.96875),
    ("4\N{NO-BREAK SPACE}mm", INCH, 4.0),
    ("5 thou", MM, 0.127),
]

NO_LENGTHS = {
    "22,5": '"22,5" has a comma: write the number with a point, such as 0.5.',
    "12 ft": '"12 ft" ends in "ft", which is no unit of length here: use mm or in.',
    "3/0": '"3/0" divides by zero: write a fraction such as 5/32.',
    "1/2/3": '"1/2/3" is not a length: write a number such as 4, .156, 5/32 or 1 3/8.',
    "deep": '"deep" is not a length: write a number such as 4, .156, 5/32 or 1 3/8.',
    "": '"" is not a length: write a number such as 4, .156, 5/32 or 1 3/8.',
}


@pytest.mark.parametrize("text", THREADS)
def test_a_thread_is_read_as_it_is_written(text: str) -> None:
    assert read_thread(text).designation == THREADS[text]


@pytest.mark.parametrize("text", NO_THREADS)
def test_what_is_no_thread_is_told_in_one_sentence(text: str) -> None:
    with pytest.raises(ThreadError) as refusal:
        read_thread(text)
    assert str(refusal.value) == NO_THREADS[text]


@pytest.mark.parametrize(("text", "bare", "mm"), LENGTHS)
def test_a_length_is_read_as_it_is_written(text: str, bare: LengthUnit, mm: float) -> None:
    assert read_length_mm(text, bare) == pytest.approx(mm, abs=1e-12)


@pytest.mark.parametrize("text", NO_LENGTHS)
def test_what_is_no_length_is_told_in_one_sentence(text: str) -> None:
    with pytest.raises(UnitsError) as refusal:
        read_length_mm(text)
    assert str(refusal.value) == NO_LENGTHS[text]
