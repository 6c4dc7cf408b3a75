//! Units of recorded columns, as heads and cells write them.

use crate::model::Scale;

/// A unit of time or of a reading.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unit {
    /// Hours.
    Hour,
    /// Minutes.
    Minute,
    /// Seconds.
    Second,
    /// Milliseconds.
    MilliSecond,
    /// Microseconds.
    MicroSecond,
    /// Time of day, with or without a date.
    Clock,
    /// Milliohms.
    MilliOhm,
    /// Ohms.
    Ohm,
    /// Kiloohms.
    KiloOhm,
    /// Megaohms.
    MegaOhm,
    /// Volts.
    Volt,
    /// Millivolts.
    MilliVolt,
    /// Counts of a converter.
    Count,
    /// Percent of full scale.
    Percent,
}

impl Unit {
    /// Units a time may have.
    pub const TIMES: [Self; 6] =
        [Self::Second, Self::MilliSecond, Self::MicroSecond, Self::Minute, Self::Hour, Self::Clock];
    /// Units a reading may have.
    pub const READINGS: [Self; 8] = [
        Self::Ohm,
        Self::KiloOhm,
        Self::MegaOhm,
        Self::MilliOhm,
        Self::Volt,
        Self::MilliVolt,
        Self::Count,
        Self::Percent,
    ];
    /// Units a supply may have.
    pub const VOLTS: [Self; 2] = [Self::Volt, Self::MilliVolt];

    /// Its sign or word.
    pub fn word(self) -> &'static str {
        match self {
            Self::Hour => "h",
            Self::Minute => "min",
            Self::Second => "s",
            Self::MilliSecond => "ms",
            Self::MicroSecond => "µs",
            Self::Clock => "clock",
            Self::MilliOhm => "mΩ",
            Self::Ohm => "Ω",
            Self::KiloOhm => "kΩ",
            Self::MegaOhm => "MΩ",
            Self::Volt => "V",
            Self::MilliVolt => "mV",
            Self::Count => "counts",
            Self::Percent => "%",
        }
    }

    /// The scale of a reading in this unit; `None` for times.
    pub fn scale(self) -> Option<Scale> {
        match self {
            Self::MilliOhm | Self::Ohm | Self::KiloOhm | Self::MegaOhm => Some(Scale::Ohm),
            Self::Volt | Self::MilliVolt => Some(Scale::Volt),
            Self::Count => Some(Scale::Count),
            Self::Percent => Some(Scale::Percent),
            Self::Hour
            | Self::Minute
            | Self::Second
            | Self::MilliSecond
            | Self::MicroSecond
            | Self::Clock => None,
        }
    }

    /// A number of this unit in seconds, ohms, volts, counts or percent.
    pub fn plain(self, value: f64) -> f64 {
        match self {
            Self::Hour => value * 3600.0,
            Self::Minute => value * 60.0,
            Self::KiloOhm => value * 1e3,
            Self::MegaOhm => value * 1e6,
            Self::MilliSecond | Self::MilliVolt | Self::MilliOhm => value / 1e3,
            Self::MicroSecond => value / 1e6,
            Self::Second | Self::Clock | Self::Ohm | Self::Volt | Self::Count | Self::Percent => {
                value
            }
        }
    }

    /// The unit a word stands for; only `m` and `M` are told apart by their size.
    pub fn of(word: &str) -> Option<Self> {
        let is_mega = word.starts_with('M');
        // The ohm sign (U+2126) and the Greek letter look alike; so do the two signs for micro.
        let lower = word.replace(['\u{2126}', '\u{3a9}'], "ohm").replace('\u{3bc}', "µ");
        Some(match lower.to_lowercase().as_str() {
            "h" | "hour" | "hours" => Self::Hour,
            "min" | "minute" | "minutes" => Self::Minute,
            "s" | "sec" | "secs" | "second" | "seconds" => Self::Second,
            "ms" | "msec" | "millisecond" | "milliseconds" | "millis" => Self::MilliSecond,
            "us" | "µs" | "usec" | "microsecond" | "microseconds" | "micros" => Self::MicroSecond,
            "hh" | "hms" | "clock" => Self::Clock,
            "mohm" | "mohms" if is_mega => Self::MegaOhm,
            "megohm" | "megaohm" | "megohms" => Self::MegaOhm,
            "mohm" | "mohms" | "milliohm" => Self::MilliOhm,
            "ohm" | "ohms" | "r" => Self::Ohm,
            "kohm" | "kohms" | "kiloohm" | "kilohm" | "k" => Self::KiloOhm,
            "v" | "volt" | "volts" | "vdc" => Self::Volt,
            "mv" | "millivolt" | "millivolts" if !is_mega => Self::MilliVolt,
            "count" | "counts" | "cnt" | "adc" | "lsb" | "raw" | "digits" => Self::Count,
            "%" | "percent" | "pct" => Self::Percent,
            _ => return None,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_are_known_by_the_words_loggers_write() {
        for (word, want) in [
            ("Ω", Unit::Ohm),
            ("\u{2126}", Unit::Ohm),
            ("kΩ", Unit::KiloOhm),
            ("Mohm", Unit::MegaOhm),
            ("mohm", Unit::MilliOhm),
            ("MS", Unit::MilliSecond),
            ("mV", Unit::MilliVolt),
            ("V", Unit::Volt),
            ("ADC", Unit::Count),
            ("%", Unit::Percent),
        ] {
            assert_eq!(Unit::of(word), Some(want), "{word}");
        }
        assert_eq!(Unit::of("MV"), None, "no machine has megavolts");
        assert_eq!(Unit::of("bar"), None);
        assert_eq!(Unit::MilliSecond.plain(1.0), 0.001);
        assert_eq!(Unit::KiloOhm.plain(4.42), 4420.0);
        for unit in Unit::TIMES.iter().chain(&Unit::READINGS) {
            assert_eq!(Unit::of(unit.word()), Some(*unit), "{unit:?} reads its own word");
        }
    }
}
