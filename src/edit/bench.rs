//! Edits of bench runs, and what they must not put into a project.

use crate::edit::apply::{Applied, EditError};
use crate::edit::guard::{check_bound, check_count, check_text};
use crate::edit::rows::{gone, replace, row};
use crate::model::{
    BenchReading, BenchRun, BenchRunId, MeterProfile, MeterRange, Project, Shown, limits,
};

/// Begins a round.
pub(super) fn add(project: &mut Project, run: BenchRun) -> Result<Applied, EditError> {
    check_run(&run)?;
    check_count("bench runs", project.bench_runs.len() + 1, limits::BENCH_RUNS)?;
    let id: BenchRunId = project.fresh_id();
    project.bench_runs.put(id, run);
    Ok(row(id.0))
}

/// Replaces a round.
pub(super) fn set(
    project: &mut Project,
    id: BenchRunId,
    run: BenchRun,
) -> Result<Applied, EditError> {
    check_run(&run)?;
    replace(project.bench_runs.get_mut(id), run, "bench run")
}

/// Writes down or forgets one reading.
pub(super) fn read(
    project: &mut Project,
    id: BenchRunId,
    step: String,
    reading: Option<BenchReading>,
) -> Result<Applied, EditError> {
    let run = project.bench_runs.get(id).ok_or_else(|| gone("bench run"))?;
    let n_readings = run.readings.len() + usize::from(!run.readings.contains_key(&step));
    if let Some(reading) = &reading {
        check_count("readings of a bench run", n_readings, limits::BENCH_READINGS)?;
        text("identity of a step", &step)?;
        check_reading(reading)?;
    }
    let run = project.bench_runs.get_mut(id).ok_or_else(|| gone("bench run"))?;
    match reading {
        Some(reading) => run.readings.insert(step, reading),
        None => run.readings.remove(&step),
    };
    Ok(Applied::default())
}

fn check_run(run: &BenchRun) -> Result<(), String> {
    check_count("readings of a bench run", run.readings.len(), limits::BENCH_READINGS)?;
    for (what, words) in [
        ("name of a bench run", &run.name),
        ("date", &run.date),
        ("initials", &run.initials),
        ("meter", &run.meter),
        ("notes", &run.notes),
    ] {
        text(what, words)?;
    }
    if let Some(celsius) = run.temperature_c {
        check_bound("temperature of the bench", celsius, &limits::BENCH_CELSIUS)?;
    }
    for (step, reading) in &run.readings {
        text("identity of a step", step)?;
        check_reading(reading)?;
    }
    Ok(())
}

fn check_reading(reading: &BenchReading) -> Result<(), String> {
    text("note on a reading", &reading.note)?;
    check_bound("last digit of a reading", reading.last_digit, &limits::OHM)?;
    match reading.shown {
        Some(Shown::Ohm(ohm)) => check_bound("reading", ohm, &limits::OHM),
        Some(Shown::Volt(volt)) => check_bound("reading", volt, &limits::SHOWN_VOLT),
        Some(Shown::Millimetre(mm)) => check_bound("reading", mm, &limits::SPARE_MM),
        Some(Shown::OverRange | Shown::Yes | Shown::No) | None => Ok(()),
    }
}

/// The meter's figures.
pub(super) fn check_meter(meter: &MeterProfile) -> Result<(), String> {
    check_bound("ohms of the meter's leads", meter.lead_ohm, &limits::OHM)?;
    text("sign for over range", &meter.over_range)?;
    if let Some(ohm) = meter.tone_ohm {
        check_bound("ohms below which the meter sounds", ohm, &limits::OHM)?;
    }
    check_ranges("ohms", &meter.ohm_ranges)?;
    check_ranges("volts", &meter.volt_ranges)
}

fn check_ranges(unit: &str, ranges: &[MeterRange]) -> Result<(), String> {
    check_count("ranges of the meter", ranges.len(), limits::METER_RANGES)?;
    for range in ranges {
        check_bound(&format!("range of the meter in {unit}"), range.most, &limits::METER_SCALE)?;
        check_bound("share of the meter's reading", range.fraction, &limits::METER_FRACTION)?;
        check_bound("counts of the meter", range.counts, &limits::METER_COUNTS)?;
        check_bound("worth of a count", range.step, &limits::METER_SCALE)?;
    }
    let falls = ranges.windows(2).find(|pair| pair[0].most >= pair[1].most);
    falls.map_or(Ok(()), |pair| {
        Err(format!(
            "ranges of the meter in {unit} must rise, found {} after {}",
            pair[1].most, pair[0].most
        ))
    })
}

fn text(what: &str, text: &str) -> Result<(), String> {
    check_text(what, text, limits::TEXT_CHARS)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::edit::{Edit, apply};
    use crate::store;

    fn reading(shown: Shown) -> BenchReading {
        BenchReading { shown: Some(shown), last_digit: 0.0, note: String::new(), drawing: u64::MAX }
    }

    #[test]
    fn a_round_is_begun_read_saved_and_deleted() {
        let mut project = Project::empty("bench");
        let bare = store::write(&project);
        let run = BenchRun { name: "hand-over".into(), ..BenchRun::default() };
        let id = apply(&mut project, Edit::AddBenchRun(Box::new(run))).unwrap().row.unwrap();
        let run = BenchRunId(id);
        let step = "ohm:1:".to_owned();
        let write = |reading| Edit::SetReading { run, step: step.clone(), reading };
        apply(&mut project, write(Some(reading(Shown::Ohm(1027.0))))).unwrap();
        apply(&mut project, write(Some(reading(Shown::OverRange)))).unwrap();
        let kept = &project.bench_runs.get(run).unwrap().readings;
        assert_eq!(kept.len(), 1);
        assert_eq!(kept[&step].shown, Some(Shown::OverRange));
        let read = store::read(store::write(&project).as_bytes()).unwrap();
        assert_eq!(read, project);
        apply(&mut project, write(None)).unwrap();
        assert!(project.bench_runs.get(run).unwrap().readings.is_empty());
        apply(&mut project, Edit::RemoveBenchRun(run)).unwrap();
        assert!(apply(&mut project, write(None)).is_err(), "the round is gone");
        project.next_id = 1;
        assert_eq!(store::write(&project), bare, "nothing of it is left in the file");
    }

    #[test]
    fn figures_that_mean_nothing_are_refused() {
        let mut project = Project::empty("bench");
        let id = apply(&mut project, Edit::AddBenchRun(Box::default())).unwrap().row.unwrap();
        let before = project.clone();
        for shown in [Shown::Ohm(f64::NAN), Shown::Ohm(-1.0), Shown::Volt(f64::INFINITY)] {
            let edit = Edit::SetReading {
                run: BenchRunId(id),
                step: "ohm:1:".into(),
                reading: Some(reading(shown)),
            };
            assert!(apply(&mut project, edit).is_err(), "{shown:?}");
        }
        let range = |most| MeterRange { most, fraction: 0.01, counts: 3.0, step: 0.1 };
        let mut settings = project.settings.clone();
        settings.meter.ohm_ranges = vec![range(6000.0), range(600.0)];
        let error = apply(&mut project, Edit::SetSettings(Box::new(settings))).unwrap_err();
        assert!(error.0.contains("must rise, found 600 after 6000"), "{error}");
        assert_eq!(project, before);
    }
}
