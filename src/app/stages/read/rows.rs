//! Rows of the state table: what each column says, which rows are shown, and in which order.

use std::cmp::Ordering;

use crate::app::reading::{
    StateNames, asked_text, decoded_text, number_text, short_text, state_text,
};
use crate::model::{Project, Scale, SensePin};
use crate::sense::{PinTable, StateRow, Verdict};
use crate::units::trim_zeros;

/// A column of the state table.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Column {
    /// How the state fares.
    Verdict,
    /// Where the controls stand.
    Controls,
    /// Nominal ohms.
    Ohm,
    /// Worst low and high in ohms.
    WorstOhm,
    /// Nominal volts with worst case.
    Volt,
    /// Nominal count with worst case.
    Count,
    /// The band the reading lies in.
    Decoded,
    /// What was asked for.
    Asked,
    /// Distance to the nearest edge.
    Margin,
}

/// Which rows are shown.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Filter {
    /// All of them.
    #[default]
    All,
    /// Those that are thin, in a gap or in a clash.
    Problems,
    /// The worst [`N_WORST`], the worst first.
    Worst,
}

/// How many states are the worst ones of a very large table.
pub const N_WORST: usize = 40;

/// By which column rows are ordered, and which way.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Sort {
    /// The column.
    pub column: Column,
    /// Greatest first.
    pub is_falling: bool,
}

impl Default for Sort {
    fn default() -> Self {
        Self { column: Column::Controls, is_falling: false }
    }
}

impl Column {
    /// The columns that have anything to show for this table, in order.
    pub fn shown(pin: &SensePin, table: &PinTable) -> Vec<Self> {
        let has_volts = table.rows.iter().any(|row| row.volt.is_some());
        let has_counts = table.rows.iter().any(|row| row.count.is_some());
        // What the bands are in stands before the verdict's reasons, the other units behind them.
        let (own, others) = match pin.scale {
            Scale::Ohm => (Self::WorstOhm, [Self::Volt, Self::Count]),
            Scale::Volt | Scale::Percent => (Self::Volt, [Self::Count, Self::WorstOhm]),
            Scale::Count => (Self::Count, [Self::Volt, Self::WorstOhm]),
        };
        [Self::Verdict, Self::Controls, Self::Ohm, own, Self::Decoded, Self::Asked, Self::Margin]
            .into_iter()
            .chain(others)
            .filter(|column| match column {
                Self::Volt => has_volts,
                Self::Count => has_counts,
                Self::Verdict
                | Self::Controls
                | Self::Ohm
                | Self::WorstOhm
                | Self::Decoded
                | Self::Asked
                | Self::Margin => true,
            })
            .collect()
    }

    /// Its heading.
    pub fn heading(self) -> &'static str {
        match self {
            Self::Verdict => "Verdict",
            Self::Controls => "Controls",
            Self::Ohm => "Ohms",
            Self::WorstOhm => "Worst ohms",
            Self::Volt => "Volts (worst)",
            Self::Count => "Counts (worst)",
            Self::Decoded => "Decodes as",
            Self::Asked => "Asked for",
            Self::Margin => "Margin",
        }
    }

    /// What a cell says.
    pub fn text(
        self,
        project: &Project,
        pin: &SensePin,
        table: &PinTable,
        row: &StateRow,
    ) -> String {
        match self {
            Self::Verdict => row.verdict.map_or("not known", Verdict::word).to_owned(),
            Self::Controls => state_text(project, &table.controls, &row.state, StateNames::OffRest),
            Self::Ohm => number_text(row.ohm.nominal, Scale::Ohm),
            Self::WorstOhm if row.ohm.low.is_infinite() => "open".into(),
            Self::WorstOhm => {
                format!(
                    "{} … {}",
                    short_text(row.ohm.low, Scale::Ohm),
                    short_text(row.ohm.high, Scale::Ohm)
                )
            }
            Self::Volt => row.volt.map_or_else(String::new, |volt| {
                let short = |value: f64| trim_zeros(&format!("{value:.3}"));
                format!("{:.3} V ({} … {})", volt.nominal, short(volt.low), short(volt.high))
            }),
            Self::Count => row.count.map_or_else(String::new, |(low, nominal, high)| {
                format!("{nominal} ({low} … {high})")
            }),
            Self::Decoded if row.scaled.is_none() => "not known".into(),
            Self::Decoded => decoded_text(pin, row).to_owned(),
            Self::Asked => asked_text(row),
            Self::Margin => {
                let value = row.margin.and_then(|margin| Some((margin.value()?, margin.scale)));
                value.map_or_else(String::new, |(value, scale)| {
                    let sign = if value < 0.0 { "−" } else { "" };
                    format!("{sign}{}", short_text(value.abs(), scale))
                })
            }
        }
    }
}

/// Whether a row is a problem.
pub fn is_problem(row: &StateRow) -> bool {
    match row.verdict {
        Some(Verdict::Clash | Verdict::Gap | Verdict::Thin) => true,
        Some(Verdict::Ok) | None => false,
    }
}

/// Indices of the rows to show, in order. Rows that are equal in the column keep the order of the states.
pub fn shown_rows(pin: &SensePin, table: &PinTable, filter: Filter, sort: Sort) -> Vec<usize> {
    let mut rows: Vec<usize> = (0..table.rows.len())
        .filter(|idx| match filter {
            Filter::All | Filter::Worst => true,
            Filter::Problems => is_problem(&table.rows[*idx]),
        })
        .collect();
    if filter == Filter::Worst {
        let key = |idx: &usize| table.rows[*idx].badness();
        rows.sort_by(|a, b| {
            let (x, y) = (key(a), key(b));
            x.0.cmp(&y.0).then(x.1.total_cmp(&y.1)).then(a.cmp(b))
        });
        rows.truncate(N_WORST);
        if sort == Sort::default() {
            return rows;
        }
    }
    rows.sort_by(|a, b| {
        let order = compare(pin, table, *a, *b, sort.column);
        let order = if sort.is_falling { order.reverse() } else { order };
        order.then(a.cmp(b))
    });
    rows
}

fn compare(pin: &SensePin, table: &PinTable, a: usize, b: usize, column: Column) -> Ordering {
    let (x, y) = (&table.rows[a], &table.rows[b]);
    let number = |x: Option<f64>, y: Option<f64>| match (x, y) {
        (Some(x), Some(y)) => x.total_cmp(&y),
        // What is not known stands last.
        (Some(_), None) => Ordering::Less,
        (None, Some(_)) => Ordering::Greater,
        (None, None) => Ordering::Equal,
    };
    match column {
        Column::Controls => a.cmp(&b),
        Column::Verdict => number(x.verdict.map(rank), y.verdict.map(rank)),
        Column::Ohm => x.ohm.nominal.total_cmp(&y.ohm.nominal),
        Column::WorstOhm => x.ohm.low.total_cmp(&y.ohm.low),
        Column::Volt => number(x.volt.map(|v| v.nominal), y.volt.map(|v| v.nominal)),
        Column::Count => number(x.count.map(|c| f64::from(c.1)), y.count.map(|c| f64::from(c.1))),
        Column::Decoded => decoded_text(pin, x).cmp(decoded_text(pin, y)),
        Column::Asked => asked_text(x).cmp(&asked_text(y)),
        Column::Margin => {
            number(x.margin.and_then(|m| m.value()), y.margin.and_then(|m| m.value()))
        }
    }
}

/// Worst first.
fn rank(verdict: Verdict) -> f64 {
    match verdict {
        Verdict::Clash => 0.0,
        Verdict::Gap => 1.0,
        Verdict::Thin => 2.0,
        Verdict::Ok => 3.0,
    }
}

/// How many states fare how: right, thin, gap, clash, not known.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    /// Right over the whole range.
    pub right: usize,
    /// Right at nominal values only.
    pub thin: usize,
    /// In no band.
    pub gap: usize,
    /// Taken for another action.
    pub clash: usize,
    /// Cannot be told.
    pub unknown: usize,
}

impl Counts {
    /// Counts a table.
    pub fn of(table: &PinTable) -> Self {
        table.rows.iter().fold(Self::default(), |mut counts, row| {
            match row.verdict {
                Some(Verdict::Ok) => counts.right += 1,
                Some(Verdict::Thin) => counts.thin += 1,
                Some(Verdict::Gap) => counts.gap += 1,
                Some(Verdict::Clash) => counts.clash += 1,
                None => counts.unknown += 1,
            }
            counts
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::fixture::{ladder, row_at};
    use crate::sense::Margin;

    fn table() -> (Project, SensePin, PinTable) {
        let (project, id) = ladder();
        let pin = project.sense_pins.get(id).unwrap().clone();
        let inf = f64::INFINITY;
        let mut rows = vec![
            row_at(&pin, inf, inf, inf),
            row_at(&pin, 6810.0, 6700.0, 6900.0),
            row_at(&pin, 1027.0, 1011.0, 1050.0),
            row_at(&pin, 780.0, 770.0, 790.0),
        ];
        let verdicts =
            [Some(Verdict::Ok), Some(Verdict::Thin), Some(Verdict::Ok), Some(Verdict::Gap)];
        for (row, verdict) in rows.iter_mut().zip(verdicts) {
            row.verdict = verdict;
        }
        rows[1].margin = Some(Margin { below: Some(-12.0), above: None, scale: Scale::Ohm });
        let controls = project.controls.ids().collect();
        (project, pin, PinTable { pin: id, controls, rows, findings: Vec::new() })
    }

    #[test]
    fn rows_are_filtered_and_ordered() {
        let (_, pin, table) = table();
        let by = |column, is_falling| Sort { column, is_falling };
        let shown = |filter, sort| shown_rows(&pin, &table, filter, sort);
        assert_eq!(shown(Filter::All, Sort::default()), [0, 1, 2, 3]);
        assert_eq!(shown(Filter::Problems, Sort::default()), [1, 3]);
        assert_eq!(shown(Filter::All, by(Column::Ohm, false)), [3, 2, 1, 0], "open is greatest");
        assert_eq!(shown(Filter::All, by(Column::Ohm, true)), [0, 1, 2, 3]);
        assert_eq!(
            shown(Filter::All, by(Column::Verdict, false)),
            [3, 1, 0, 2],
            "worst first, then as listed"
        );
        assert_eq!(shown(Filter::All, by(Column::Margin, false)), [1, 0, 2, 3], "unknown last");
    }

    #[test]
    fn cells_carry_units_and_columns_without_content_stay_away() {
        let (project, pin, mut table) = table();
        assert!(!Column::shown(&pin, &table).contains(&Column::Volt));
        let cell = |table: &PinTable, row: usize, column: Column| {
            column.text(&project, &pin, table, &table.rows[row])
        };
        assert_eq!(cell(&table, 2, Column::Ohm), "1.027 kΩ");
        assert_eq!(cell(&table, 2, Column::WorstOhm), "1.011 kΩ … 1.05 kΩ");
        assert_eq!(cell(&table, 0, Column::WorstOhm), "open");
        assert_eq!(cell(&table, 1, Column::Margin), "−12 Ω");
        assert_eq!(cell(&table, 3, Column::Decoded), "guard");
        assert_eq!(cell(&table, 3, Column::Asked), "nothing");
        table.rows[0].volt = Some(crate::units::Range { low: 1.9, nominal: 1.989, high: 2.0 });
        table.rows[0].count = Some((388, 407, 410));
        assert!(Column::shown(&pin, &table).contains(&Column::Volt));
        assert_eq!(cell(&table, 0, Column::Volt), "1.989 V (1.9 … 2)");
        assert_eq!(cell(&table, 0, Column::Count), "407 (388 … 410)");
        assert_eq!(Counts::of(&table), Counts { right: 2, thin: 1, gap: 1, clash: 0, unknown: 0 });
    }
}
