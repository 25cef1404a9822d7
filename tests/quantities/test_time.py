"""Times, ranges and IEC 61131-3 TIME literals in whole microseconds."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from seqcheck.quantities.time import (
    LONGEST_TIME_US,
    TimeRange,
    format_time,
    format_time_literal,
    parse_time,
    parse_time_literal,
    parse_time_range,
)


@pytest.mark.parametrize(
    ("text", "us"),
    [
        ("250 ms", 250_000),
        ("1.5 s", 1_500_000),
        ("2 min", 120_000_000),
        ("0 ms", 0),
        ("40 us", 40),
        ("40 µs", 40),  # micro sign
        ("40 μs", 40),  # Greek mu
        ("1 h", 3_600_000_000),
        ("366 d", LONGEST_TIME_US),
        ("0.000001 s", 1),
        ("3000 ns", 3),
        (" 250ms ", 250_000),
        ("0.1 ms", 100),
    ],
)
def test_a_time_is_read_exactly(text: str, us: int) -> None:
    assert parse_time(text) == us


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "expected a time such as '250 ms', found ''"),
        ("250", "expected a time such as '250 ms', found '250'"),
        ("-5 s", "expected a time such as '250 ms', found '-5 s'"),
        ("1e3 s", "expected a time such as '250 ms', found '1e3 s'"),
        (".5 s", "expected a time such as '250 ms', found '.5 s'"),
        ("٣ s", "expected a time such as '250 ms', found '٣ s'"),
        ("5 S", "expected a time in us, ms, s, min, h or d, found the unit 'S' in '5 S'"),
        ("5 mm", "expected a time in us, ms, s, min, h or d, found the unit 'mm' in '5 mm'"),
        ("0.5 us", "expected a whole number of microseconds, found '0.5 us'"),
        ("367 d", "expected a time of at most 366 d, found '367 d'"),
        ("9" * 101, "expected a time of at most 100 characters, found 101"),
    ],
)
def test_what_is_no_time_is_refused_with_its_reason(text: str, message: str) -> None:
    with pytest.raises(ValueError) as refusal:
        parse_time(text)
    assert str(refusal.value) == message


@pytest.mark.parametrize(
    ("text", "earliest_us", "latest_us"),
    [
        ("120..250 ms", 120_000, 250_000),
        ("2.0..2.5 s", 2_000_000, 2_500_000),
        ("100 ms..2 s", 100_000, 2_000_000),
        ("100 ms .. 2 s", 100_000, 2_000_000),
        ("0..10 ms", 0, 10_000),
        ("5..5 s", 5_000_000, 5_000_000),
        ("30 s", 30_000_000, 30_000_000),
    ],
)
def test_a_range_has_both_its_ends(text: str, earliest_us: int, latest_us: int) -> None:
    assert parse_time_range(text) == TimeRange(earliest_us, latest_us)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("250..120 ms", "expected a range from the shorter to the longer time, found 250 ms before 120 ms"),
        ("100..2 s", "expected a range from the shorter to the longer time, found 1 min 40 s before 2 s"),
        ("100 ms..2", "expected a range of times such as '120..250 ms', found '100 ms..2'"),
        ("1..2..3 s", "expected a range of times such as '120..250 ms', found '1..2..3 s'"),
        ("..2 s", "expected a range of times such as '120..250 ms', found '..2 s'"),
        ("1...2 s", "expected a range of times such as '120..250 ms', found '1...2 s'"),
        ("1 x..2 s", "expected a time in us, ms, s, min, h or d, found the unit 'x' in '1 x..2 s'"),
        ("soon", "expected a time such as '250 ms', found 'soon'"),
    ],
)
def test_what_is_no_range_is_refused_with_its_reason(text: str, message: str) -> None:
    with pytest.raises(ValueError) as refusal:
        parse_time_range(text)
    assert str(refusal.value) == message


def test_a_range_may_lack_a_latest_time() -> None:
    assert TimeRange(0, None).latest_us is None


def test_a_range_does_not_start_before_its_cause() -> None:
    with pytest.raises(ValueError, match="expected an earliest time of zero or more, found -1 us"):
        TimeRange(-1, None)


# Source: IEC 61131-3, duration literals; rows as collected in check-values.md 7.4 (T#12h4m34s230.400ms and
# the refusals from memory; the value of T#5d4h3m2s1ms computed by hand).
@pytest.mark.parametrize(
    ("literal", "us"),
    [
        ("T#10ms", 10_000),
        ("TIME#14ms", 14_000),
        ("T#2h_30m", 9_000_000_000),
        ("T#5d4h3m2s1ms", 446_582_001_000),
        ("T#-5s", -5_000_000),
        ("T#12h4m34s230.400ms", 43_474_230_400),
    ],
)
def test_the_literals_of_the_standard_have_their_values(literal: str, us: int) -> None:
    assert parse_time_literal(literal) == us


@pytest.mark.parametrize("literal", ["T#1m90s", "T#5s3m", "T#", "5s"])
def test_what_the_standard_refuses_is_refused(literal: str) -> None:
    with pytest.raises(ValueError, match=r"^expected .+, found .+"):
        parse_time_literal(literal)


@pytest.mark.parametrize(
    ("literal", "us"),
    [
        ("t#250MS", 250_000),
        ("time#1s", 1_000_000),
        ("T#90s", 90_000_000),
        ("T#1.5s", 1_500_000),
        ("T#1_000ms", 1_000_000),
        ("T#3us", 3),
        ("T#2000ns", 2),
    ],
)
def test_a_literal_may_be_in_small_letters_overflow_or_have_one_fraction(literal: str, us: int) -> None:
    assert parse_time_literal(literal) == us


@pytest.mark.parametrize(
    "literal",
    [
        "T#1.5h30m",  # a fraction before the last part
        "T#1s1s",  # a unit twice
        "T#1d24h",  # overflow behind a larger unit
        "T#_5s",
        "T#5s_",
        "T#5__0s",
        "T#5 s",
        "T#--5s",
        "T#5",
        "T#5ſ",  # long s, which a careless comparison of letters takes for s
        "T#0.5us",
        "T#367d",
        "T#5s\n",
    ],
)
def test_a_malformed_literal_is_refused(literal: str) -> None:
    with pytest.raises(ValueError, match=r"^expected .+, found .+"):
        parse_time_literal(literal)


@pytest.mark.parametrize(
    ("us", "text"),
    [
        (0, "0 ms"),
        (40, "40 us"),
        (250_000, "250 ms"),
        (230_400, "230.4 ms"),
        (1_520_000, "1.52 s"),
        (1_000_001, "1.000001 s"),
        (125_000_000, "2 min 5 s"),
        (120_000_000, "2 min"),
        (3_605_500_000, "1 h 5.5 s"),
        (-5_000_000, "-5 s"),
    ],
)
def test_a_time_is_written_as_a_person_writes_it(us: int, text: str) -> None:
    assert format_time(us) == text


@given(st.integers(0, LONGEST_TIME_US))
def test_a_written_time_loses_nothing(us: int) -> None:
    numbers_and_units = format_time(us).split(" ")
    pairs = zip(numbers_and_units[::2], numbers_and_units[1::2], strict=True)
    assert sum(parse_time(f"{number} {unit}") for number, unit in pairs) == us


@given(st.integers(0, LONGEST_TIME_US))
def test_a_written_literal_is_read_back(us: int) -> None:
    assert parse_time_literal(format_time_literal(us)) == us


@pytest.mark.parametrize(
    ("us", "literal"), [(0, "T#0s"), (250_000, "T#250ms"), (90_000_000, "T#90s"), (7_200_000_000, "T#2h")]
)
def test_a_literal_is_written_with_the_largest_unit_that_fits(us: int, literal: str) -> None:
    assert format_time_literal(us) == literal


@given(st.text(max_size=30))
def test_any_text_is_read_or_refused_in_order(text: str) -> None:
    for parse in (parse_time, parse_time_range, parse_time_literal):
        try:
            parse(text)
        except ValueError as refusal:
            assert str(refusal).startswith("expected ")
