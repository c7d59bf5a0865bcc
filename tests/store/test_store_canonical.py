"""The one text of a JSON value, against the samples of RFC 8785, JSON Canonicalization Scheme, 2020."""

from __future__ import annotations

import struct

import pytest

from boottop.store.canonical import canonical, number

# RFC 8785, appendix B: bits of the double and its text. Read in independent test suites that transcribe it.
APPENDIX_B = (
    ("0000000000000000", "0"), ("8000000000000000", "0"), ("0000000000000001", "5e-324"),
    ("8000000000000001", "-5e-324"), ("7fefffffffffffff", "1.7976931348623157e+308"),
    ("ffefffffffffffff", "-1.7976931348623157e+308"), ("4340000000000000", "9007199254740992"),
    ("c340000000000000", "-9007199254740992"), ("4430000000000000", "295147905179352830000"),
    ("44b52d02c7e14af5", "9.999999999999997e+22"), ("44b52d02c7e14af6", "1e+23"),
    ("44b52d02c7e14af7", "1.0000000000000001e+23"), ("444b1ae4d6e2ef4e", "999999999999999700000"),
    ("444b1ae4d6e2ef4f", "999999999999999900000"), ("444b1ae4d6e2ef50", "1e+21"),
    ("3eb0c6f7a0b5ed8c", "9.999999999999997e-7"), ("3eb0c6f7a0b5ed8d", "0.000001"),
    ("41b3de4355555553", "333333333.3333332"), ("41b3de4355555554", "333333333.33333325"),
    ("41b3de4355555555", "333333333.3333333"), ("41b3de4355555556", "333333333.3333334"),
    ("41b3de4355555557", "333333333.33333343"), ("becbf647612f3696", "-0.0000033333333333333333"),
    ("43143ff3c1cb0959", "1424953923781206.2"),
)  # fmt: skip


@pytest.mark.parametrize(("bits", "text"), APPENDIX_B)
def test_numbers_of_appendix_b(bits: str, text: str) -> None:
    assert number(struct.unpack(">d", bytes.fromhex(bits))[0]) == text


@pytest.mark.parametrize("bits", ["7fffffffffffffff", "7ff0000000000000"])
def test_not_a_number_and_infinity_are_refused(bits: str) -> None:
    with pytest.raises(ValueError, match="no number"):
        number(struct.unpack(">d", bytes.fromhex(bits))[0])


def test_the_example_of_section_3_2() -> None:
    """RFC 8785, 3.2.2 and 3.2.3 (read in the same suites)."""
    value = {
        "numbers": [333333333.33333329, 1e30, 4.50, 2e-3, 0.000000000000000000000000001],
        "string": "\u20ac$\u000f\u000aA'\u0042\u0022\u005c\\\"/",
        "literals": [None, True, False],
    }
    assert canonical(value) == (
        '{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],'
        '"string":"€$\\u000f\\nA\'B\\"\\\\\\\\\\"/"}'
    )


def test_keys_sort_by_their_utf_16_units() -> None:
    """RFC 8785, 3.2.3: a smiling face (two units, from U+D83D) comes before U+FB33."""
    assert canonical({"\ufb33": 1, "\U0001f600": 2, "é": 3, "1": 4}) == '{"1":4,"é":3,"\U0001f600":2,"\ufb33":1}'


def test_whole_numbers_that_a_browser_can_hold() -> None:
    assert canonical([2**53 - 1, 2**53, 2**68]) == "[9007199254740991,9007199254740992,295147905179352830000]"
    for value in (2**53 + 1, 10**400):
        with pytest.raises(ValueError, match="more digits than a browser can hold"):
            canonical(value)


def test_what_json_does_not_have_is_refused() -> None:
    nested: list[object] = []
    for _ in range(20):
        nested = [nested]
    for value, words in ((nested, "nested more than 16"), ({1: 2}, "a key that is no text"), ({1, 2}, "a set")):
        with pytest.raises(ValueError, match=words):
            canonical(value)
