//! A calendar date: when a gauge's calibration is due. Refuses to know today's date.

use std::fmt;

/// A day of the Gregorian calendar, years 1 to 9999.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Date {
    year: u16,
    month: u8,
    day: u8,
}

impl Date {
    /// The date, or `None` when the calendar has no such day.
    pub fn new(year: u16, month: u8, day: u8) -> Option<Self> {
        let leap =
            year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400));
        let days = match month {
            4 | 6 | 9 | 11 => 30,
            2 if leap => 29,
            2 => 28,
            1..=12 => 31,
            _ => return None,
        };
        let valid = (1..=9999).contains(&year) && (1..=days).contains(&day);
        valid.then_some(Self { year, month, day })
    }

    /// Reads `2027-03-01` (ISO 8601, extended form), nothing else.
    pub fn parse(text: &str) -> Option<Self> {
        let shape = text.len() == 10
            && text.char_indices().all(|(at, c)| match at {
                4 | 7 => c == '-',
                _ => c.is_ascii_digit(),
            });
        if !shape {
            return None;
        }
        let mut parts = text.split('-');
        let year = parts.next()?.parse().ok()?;
        let month = parts.next()?.parse().ok()?;
        Self::new(year, month, parts.next()?.parse().ok()?)
    }

    /// The year.
    pub fn year(self) -> u16 {
        self.year
    }

    /// The month, 1 to 12.
    pub fn month(self) -> u8 {
        self.month
    }

    /// The day of the month, from 1.
    pub fn day(self) -> u8 {
        self.day
    }

    /// Whole days from `earlier` to this date; negative when `earlier` is the later one.
    pub fn days_since(self, earlier: Self) -> i64 {
        self.day_number() - earlier.day_number()
    }

    /// Days since the first of March of the year 0: the year begins in March, so that the leap
    /// day is its last, and month lengths follow (153 m + 2) / 5.
    fn day_number(self) -> i64 {
        let before_march = i64::from(self.month < 3);
        let year = i64::from(self.year) - before_march;
        let month = i64::from(self.month) + 12 * before_march - 3;
        let leap_days = year / 4 - year / 100 + year / 400;
        365 * year + leap_days + (153 * month + 2) / 5 + i64::from(self.day) - 1
    }
}

/// `2027-03-01`.
impl fmt::Display for Date {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let text = format!("{:04}-{:02}-{:02}", self.year, self.month, self.day);
        f.pad(&text)
    }
}

/// Whether a gauge's calibration still holds on a given day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Due {
    /// No date is stated.
    NotStated,
    /// Due later than the warning time.
    Ok,
    /// Due within the warning time; the day itself still counts (0 days left).
    Soon {
        /// Days left.
        days_left: i64,
    },
    /// The date has passed.
    Overdue {
        /// Days since.
        days_over: i64,
    },
}

impl Due {
    /// How long before the date a warning begins (chosen: time to send a gauge away).
    pub const WARNING_DAYS: i64 = 30;

    /// The state of a due date on the day `today`.
    pub fn on(due: Option<Date>, today: Date) -> Self {
        match due.map(|date| date.days_since(today)) {
            None => Self::NotStated,
            Some(days) if days < 0 => Self::Overdue { days_over: -days },
            Some(days_left) if days_left <= Self::WARNING_DAYS => Self::Soon { days_left },
            Some(_) => Self::Ok,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{Date, Due};

    fn date(text: &str) -> Date {
        Date::parse(text).unwrap()
    }

    #[test]
    fn the_calendar_has_leap_days_where_the_gregorian_rule_puts_them() {
        for (text, exists) in [
            ("2024-02-29", true),
            ("2027-02-29", false),
            ("1900-02-29", false),
            ("2000-02-29", true),
            ("2027-04-31", false),
            ("2027-13-01", false),
            ("2027-00-10", false),
            ("0000-01-01", false),
            ("2027-3-01", false),
            ("2027-03-01T00:00", false),
            ("２027-03-0", false),
        ] {
            assert_eq!(Date::parse(text).is_some(), exists, "{text}");
        }
    }

    /// Counted on a calendar: a year has 365 or 366 days, 400 years have 146 097.
    #[test]
    fn days_between_dates_are_those_of_the_calendar() {
        for (later, earlier, days) in [
            ("2027-03-01", "2027-02-28", 1),
            ("2028-03-01", "2028-02-28", 2),
            ("2028-01-01", "2027-01-01", 365),
            ("2029-01-01", "2028-01-01", 366),
            ("2027-01-01", "2027-12-31", -364),
            ("2400-02-29", "2000-02-29", 146_097),
        ] {
            assert_eq!(
                date(later).days_since(date(earlier)),
                days,
                "{later} {earlier}"
            );
        }
    }

    #[test]
    fn a_gauge_is_overdue_from_the_day_after_its_date() {
        let due = Some(date("2027-03-01"));
        for (today, state) in [
            ("2027-01-29", Due::Ok),
            ("2027-01-30", Due::Soon { days_left: 30 }),
            ("2027-03-01", Due::Soon { days_left: 0 }),
            ("2027-03-02", Due::Overdue { days_over: 1 }),
        ] {
            assert_eq!(Due::on(due, date(today)), state, "{today}");
        }
        assert_eq!(Due::on(None, date("2027-03-01")), Due::NotStated);
    }
}
