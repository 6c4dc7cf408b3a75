//! Checks of the meter and of bench runs.

use std::collections::BTreeMap;

use crate::model::limits::{self, Bound};
use crate::model::{BenchReading, BenchRun, MeterProfile, MeterRange, Shown};
use crate::store::decode::at::{At, Checked};
use crate::store::decode::value;
use crate::store::file;

/// The meter.
pub fn meter(at: &At<'_>, row: &file::Meter) -> Checked<MeterProfile> {
    let number = |name, value, bound: &Bound| value::number(&at.field(name), value, bound);
    let sign = row.over_range.clone().unwrap_or_else(|| MeterProfile::OVER_RANGE.into());
    Ok(MeterProfile {
        fraction: number("fraction", row.fraction, &limits::METER_FRACTION)?,
        offset_ohm: number("offset_ohm", row.offset_ohm, &limits::OHM)?,
        lead_ohm: number("lead_ohm", row.lead_ohm, &limits::OHM)?,
        ohm_ranges: ranges(&at.field("ohm_ranges"), &row.ohm_ranges)?,
        volt_ranges: ranges(&at.field("volt_ranges"), &row.volt_ranges)?,
        over_range: value::text(&at.field("over_range"), sign)?,
        tone_ohm: value::maybe(&at.field("tone_ohm"), row.tone_ohm, &limits::OHM)?,
    })
}

fn ranges(at: &At<'_>, rows: &[file::MeterRange]) -> Checked<Vec<MeterRange>> {
    value::at_most(at, rows, limits::METER_RANGES, "ranges")?;
    let mut out: Vec<MeterRange> = Vec::new();
    for (idx, row) in rows.iter().enumerate() {
        let here = at.row(idx);
        let number = |name, value, bound: &Bound| value::number(&here.field(name), value, bound);
        let range = MeterRange {
            most: number("most", row.most, &limits::METER_SCALE)?,
            fraction: number("fraction", row.fraction, &limits::METER_FRACTION)?,
            counts: number("counts", row.counts, &limits::METER_COUNTS)?,
            step: number("step", row.step, &limits::METER_SCALE)?,
        };
        if let Some(last) = out.last().filter(|last| last.most >= range.most) {
            return Err(here.field("most").refuse(format!(
                "expected ranges by rising greatest reading, found {} after {}",
                range.most, last.most
            )));
        }
        out.push(range);
    }
    Ok(out)
}

/// One round of the bench test.
pub fn run(at: &At<'_>, row: file::BenchRun) -> Checked<BenchRun> {
    let readings_at = at.field("readings");
    value::at_most(&readings_at, &row.readings, limits::BENCH_READINGS, "readings")?;
    let mut readings = BTreeMap::new();
    for (idx, reading) in row.readings.into_iter().enumerate() {
        let here = readings_at.row(idx);
        let step = value::text(&here.field("step"), reading.step.clone())?;
        let decoded = self::reading(&here, reading)?;
        if readings.insert(step.clone(), decoded).is_some() {
            return Err(here
                .field("step")
                .refuse(format!("expected each step once, found \"{step}\" again")));
        }
    }
    Ok(BenchRun {
        name: value::text(&at.field("name"), row.name)?,
        date: value::text(&at.field("date"), row.date)?,
        initials: value::text(&at.field("initials"), row.initials)?,
        temperature_c: value::maybe(
            &at.field("temperature_c"),
            row.temperature_c,
            &limits::BENCH_CELSIUS,
        )?,
        meter: value::text(&at.field("meter"), row.meter)?,
        notes: value::text(&at.field("notes"), row.notes)?,
        is_hand_over: row.hand_over,
        readings,
    })
}

fn reading(at: &At<'_>, row: file::BenchReading) -> Checked<BenchReading> {
    let number = |name, value, bound: &Bound| value::number(&at.field(name), value, bound);
    let shown = match (row.ohm, row.volt, row.mm, row.sign) {
        (None, None, None, None) => None,
        (Some(ohm), None, None, None) => Some(Shown::Ohm(number("ohm", ohm, &limits::OHM)?)),
        (None, Some(volt), None, None) => {
            Some(Shown::Volt(number("volt", volt, &limits::SHOWN_VOLT)?))
        }
        (None, None, Some(mm), None) => {
            Some(Shown::Millimetre(number("mm", mm, &limits::SPARE_MM)?))
        }
        (None, None, None, Some(file::Sign::OverRange)) => Some(Shown::OverRange),
        (None, None, None, Some(file::Sign::Yes)) => Some(Shown::Yes),
        (None, None, None, Some(file::Sign::No)) => Some(Shown::No),
        (_, _, _, _) => {
            return Err(at.refuse(
                "expected one of ohm, volt, mm and sign, or none for a step that was skipped, found several".into(),
            ));
        }
    };
    let is_hex = |text: &str| {
        text.len() == 16 && text.bytes().all(|b| b.is_ascii_digit() || (b'a'..=b'f').contains(&b))
    };
    let drawing = Some(&row.drawing)
        .filter(|text| is_hex(text))
        .and_then(|text| u64::from_str_radix(text, 16).ok())
        .ok_or_else(|| {
            at.field("drawing").refuse(format!(
                "expected a fingerprint of 16 hexadecimal digits, found \"{}\"",
                row.drawing
            ))
        })?;
    let last_digit = value::number(&at.field("last_digit"), row.last_digit, &limits::OHM)?;
    let note = value::text(&at.field("note"), row.note)?;
    Ok(BenchReading { shown, last_digit, note, drawing })
}
