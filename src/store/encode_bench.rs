//! Bench runs and the meter to file structs.

use crate::model::{BenchReading, BenchRun, MeterProfile, MeterRange, Shown};
use crate::store::file;

/// The meter; what is at its default is left out.
pub fn meter(m: &MeterProfile) -> file::Meter {
    file::Meter {
        fraction: m.fraction,
        offset_ohm: m.offset_ohm,
        lead_ohm: m.lead_ohm,
        ohm_ranges: m.ohm_ranges.iter().map(range).collect(),
        volt_ranges: m.volt_ranges.iter().map(range).collect(),
        over_range: (m.over_range != MeterProfile::OVER_RANGE).then(|| m.over_range.clone()),
        tone_ohm: m.tone_ohm,
    }
}

fn range(r: &MeterRange) -> file::MeterRange {
    file::MeterRange { most: r.most, fraction: r.fraction, counts: r.counts, step: r.step }
}

/// One round of the bench test.
pub fn run(id: u32, row: &BenchRun) -> file::BenchRun {
    file::BenchRun {
        id,
        name: row.name.clone(),
        date: row.date.clone(),
        initials: row.initials.clone(),
        temperature_c: row.temperature_c,
        meter: row.meter.clone(),
        notes: row.notes.clone(),
        hand_over: row.is_hand_over,
        readings: row.readings.iter().map(|(step, reading)| self::reading(step, reading)).collect(),
    }
}

fn reading(step: &str, row: &BenchReading) -> file::BenchReading {
    let (mut ohm, mut volt, mut mm, mut sign) = (None, None, None, None);
    match row.shown {
        None => {}
        Some(Shown::Ohm(value)) => ohm = Some(value),
        Some(Shown::Volt(value)) => volt = Some(value),
        Some(Shown::Millimetre(value)) => mm = Some(value),
        Some(Shown::OverRange) => sign = Some(file::Sign::OverRange),
        Some(Shown::Yes) => sign = Some(file::Sign::Yes),
        Some(Shown::No) => sign = Some(file::Sign::No),
    }
    let drawing = format!("{:016x}", row.drawing);
    file::BenchReading {
        step: step.into(),
        ohm,
        volt,
        mm,
        sign,
        last_digit: row.last_digit,
        note: row.note.clone(),
        drawing,
    }
}
