//! What is written down beside the measured sizes: who, when, ring tests, speed test, balance.

use super::items::Extent;
use crate::quantity::Date;
use serde::Serialize;

/// One field of the record.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
pub enum Field {
    /// Trace code or number of the wheel measured.
    Wheel,
    /// Who measured.
    InspectedBy,
    /// When, YYYY-MM-DD.
    InspectedOn,
    /// Who altered the wheel.
    AlteredBy,
    /// When, YYYY-MM-DD.
    AlteredOn,
    /// Ring test of the blank: clear or dull.
    RingTestBefore,
    /// Ring test of the altered wheel.
    RingTestAfter,
    /// Rotation of the speed test, 1/min.
    SpeedTestRpm,
    /// How long it ran, minutes.
    SpeedTestMinutes,
    /// Who ran it.
    SpeedTestTester,
    /// When it was run, YYYY-MM-DD.
    SpeedTestOn,
    /// Passed or failed.
    SpeedTestResult,
    /// Static unbalance as a mass at the periphery, g.
    BalanceReading,
    /// On a short sheet: the wheel of the order that was measured whole.
    FirstWheel,
}

impl Field {
    /// Those of every sheet, in its order.
    pub const ALL: [Field; 13] = [
        Field::Wheel,
        Field::InspectedBy,
        Field::InspectedOn,
        Field::AlteredBy,
        Field::AlteredOn,
        Field::RingTestBefore,
        Field::RingTestAfter,
        Field::SpeedTestRpm,
        Field::SpeedTestMinutes,
        Field::SpeedTestTester,
        Field::SpeedTestOn,
        Field::SpeedTestResult,
        Field::BalanceReading,
    ];

    /// Those of a sheet of this extent, in its order.
    pub fn of(extent: Extent) -> impl Iterator<Item = Field> {
        let more = matches!(extent, Extent::Short(_)).then_some(Field::FirstWheel);
        Field::ALL.into_iter().chain(more)
    }

    /// Its name in the `item` column.
    pub fn key(self) -> &'static str {
        match self {
            Field::Wheel => "wheel",
            Field::InspectedBy => "inspected_by",
            Field::InspectedOn => "inspected_on",
            Field::AlteredBy => "altered_by",
            Field::AlteredOn => "altered_on",
            Field::RingTestBefore => "ring_test_before",
            Field::RingTestAfter => "ring_test_after",
            Field::SpeedTestRpm => "speed_test_rpm",
            Field::SpeedTestMinutes => "speed_test_minutes",
            Field::SpeedTestTester => "speed_test_tester",
            Field::SpeedTestOn => "speed_test_on",
            Field::SpeedTestResult => "speed_test_result",
            Field::BalanceReading => "balance_reading",
            Field::FirstWheel => "first_wheel",
        }
    }

    /// What to write, for people.
    pub fn label(self) -> &'static str {
        match self {
            Field::Wheel => "Trace code of the wheel, or its number",
            Field::InspectedBy => "Inspected by",
            Field::InspectedOn => "Inspected on (YYYY-MM-DD)",
            Field::AlteredBy => "Altered by",
            Field::AlteredOn => "Altered on (YYYY-MM-DD)",
            Field::RingTestBefore => "Ring test of the blank: clear or dull",
            Field::RingTestAfter => "Ring test after altering: clear or dull",
            Field::SpeedTestRpm => "Speed test, rotation",
            Field::SpeedTestMinutes => "Speed test, duration",
            Field::SpeedTestTester => "Speed test, run by",
            Field::SpeedTestOn => "Speed test, run on (YYYY-MM-DD)",
            Field::SpeedTestResult => "Speed test: passed or failed",
            Field::BalanceReading => "Balance, mass at the periphery",
            Field::FirstWheel => "The wheel of the order that was measured whole",
        }
    }

    /// Its unit; empty for words.
    pub fn unit(self) -> &'static str {
        match self {
            Field::SpeedTestRpm => "1/min",
            Field::SpeedTestMinutes => "min",
            Field::BalanceReading => "g",
            _ => "",
        }
    }

    /// Whether the certificate leaves a line to write on where it is not filled in.
    pub fn may_wait(self) -> bool {
        matches!(self, Field::AlteredBy | Field::AlteredOn | Field::SpeedTestOn)
    }

    /// Whether a number stands in it.
    pub(super) fn is_number(self) -> bool {
        matches!(self, Field::SpeedTestRpm | Field::SpeedTestMinutes | Field::BalanceReading)
    }

    /// The field of this name.
    pub fn of_key(key: &str) -> Option<Field> {
        Field::ALL.into_iter().chain([Field::FirstWheel]).find(|f| f.key() == key)
    }
}

/// A result in words.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum TestResult {
    /// Passed; a clear ring.
    Passed,
    /// Failed; a dull ring.
    Failed,
}

impl TestResult {
    /// The word of a speed test.
    pub fn word(self) -> &'static str {
        match self {
            TestResult::Passed => "passed",
            TestResult::Failed => "failed",
        }
    }
}

/// The record as filled in; `None` is not filled in.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Record {
    /// Trace code or number of the wheel measured.
    pub wheel: Option<String>,
    /// Who measured.
    pub inspected_by: Option<String>,
    /// When.
    pub inspected_on: Option<Date>,
    /// Who altered the wheel.
    pub altered_by: Option<String>,
    /// When.
    pub altered_on: Option<Date>,
    /// Ring test of the blank.
    pub ring_test_before: Option<TestResult>,
    /// Ring test of the altered wheel.
    pub ring_test_after: Option<TestResult>,
    /// Rotation of the speed test, 1/min.
    pub speed_test_rpm: Option<f64>,
    /// How long it ran, minutes.
    pub speed_test_minutes: Option<f64>,
    /// Who ran it.
    pub speed_test_tester: Option<String>,
    /// When.
    pub speed_test_on: Option<Date>,
    /// Its result.
    pub speed_test_result: Option<TestResult>,
    /// Static unbalance as a mass at the periphery, g.
    pub balance_reading: Option<f64>,
    /// On a short sheet: the wheel of the order that was measured whole.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub first_wheel: Option<String>,
}

impl Record {
    /// Fills one field in.
    ///
    /// # Errors
    /// Where the text is nothing this field takes: what it takes.
    pub(super) fn fill(&mut self, field: Field, text: &str) -> Result<(), &'static str> {
        let own = || Some(text.to_owned());
        match field {
            Field::Wheel => self.wheel = own(),
            Field::InspectedBy => self.inspected_by = own(),
            Field::InspectedOn => self.inspected_on = Some(day(text)?),
            Field::AlteredBy => self.altered_by = own(),
            Field::AlteredOn => self.altered_on = Some(day(text)?),
            Field::SpeedTestOn => self.speed_test_on = Some(day(text)?),
            Field::RingTestBefore => self.ring_test_before = Some(result(text).ok_or("write clear or dull")?),
            Field::RingTestAfter => self.ring_test_after = Some(result(text).ok_or("write clear or dull")?),
            Field::SpeedTestRpm => self.speed_test_rpm = Some(above_zero(text)?),
            Field::SpeedTestMinutes => self.speed_test_minutes = Some(above_zero(text)?),
            Field::SpeedTestTester => self.speed_test_tester = own(),
            Field::FirstWheel => self.first_wheel = own(),
            Field::SpeedTestResult => self.speed_test_result = Some(result(text).ok_or("write passed or failed")?),
            Field::BalanceReading => {
                let grams = number(text).filter(|g| *g >= 0.0);
                self.balance_reading = Some(grams.ok_or("write a number of grams with a point, such as 12.5")?);
            }
        }
        Ok(())
    }

    /// What stands in a field, as text; empty where nothing does.
    pub fn shown(&self, field: Field) -> String {
        let text = |t: &Option<String>| t.clone().unwrap_or_default();
        let ring = |r: Option<TestResult>| match r {
            Some(TestResult::Passed) => "clear".to_owned(),
            Some(TestResult::Failed) => "dull".to_owned(),
            None => String::new(),
        };
        let date = |d: Option<Date>| d.map_or(String::new(), |d| d.to_string());
        let amount = |x: Option<f64>| x.map_or(String::new(), |x| crate::quantity::trimmed(x, 3));
        match field {
            Field::Wheel => text(&self.wheel),
            Field::InspectedBy => text(&self.inspected_by),
            Field::InspectedOn => date(self.inspected_on),
            Field::AlteredBy => text(&self.altered_by),
            Field::AlteredOn => date(self.altered_on),
            Field::SpeedTestOn => date(self.speed_test_on),
            Field::RingTestBefore => ring(self.ring_test_before),
            Field::RingTestAfter => ring(self.ring_test_after),
            Field::SpeedTestRpm => amount(self.speed_test_rpm),
            Field::SpeedTestMinutes => amount(self.speed_test_minutes),
            Field::SpeedTestTester => text(&self.speed_test_tester),
            Field::SpeedTestResult => self.speed_test_result.map_or(String::new(), |r| r.word().to_owned()),
            Field::BalanceReading => amount(self.balance_reading),
            Field::FirstWheel => text(&self.first_wheel),
        }
    }
}

fn day(text: &str) -> Result<Date, &'static str> {
    text.parse().map_err(|_| "write a day of the calendar as YYYY-MM-DD")
}

fn above_zero(text: &str) -> Result<f64, &'static str> {
    number(text).filter(|x| *x > 0.0).ok_or("write a number above 0 with a point, such as 1550")
}

/// A plain number; infinities and words of numbers are none.
pub(super) fn number(text: &str) -> Option<f64> {
    let plain = text.bytes().all(|b| b.is_ascii_digit() || matches!(b, b'.' | b'-' | b'+' | b'e' | b'E'));
    text.parse().ok().filter(|x: &f64| plain && x.is_finite())
}

fn result(text: &str) -> Option<TestResult> {
    match text.to_lowercase().as_str() {
        "passed" | "pass" | "clear" | "ok" => Some(TestResult::Passed),
        "failed" | "fail" | "dull" | "not ok" => Some(TestResult::Failed),
        _ => None,
    }
}
