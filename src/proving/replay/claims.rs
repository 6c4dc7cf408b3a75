//! What a row of the log may read: what the state gives that a text column names, or, where nobody
//! names one, what any state of the controls gives.

use std::collections::BTreeMap;

use crate::check::state_words;
use crate::model::{BandRole, Project, SensePin, SensePinId, State};
use crate::proving::replay::log::Log;
use crate::proving::replay::matching::Role;
use crate::proving::replay::named::{Said, position_of, state_of};
use crate::sense::{PinTable, Reader, StateRow};
use crate::units::Range;

/// A band of the pin by its index; what lies in none is [`GUARD`].
pub type BandIdx = u16;
/// In no band.
pub const GUARD: BandIdx = BandIdx::MAX;

/// What is claimed about the controls in some rows.
#[derive(Clone, Debug, PartialEq)]
pub struct Claim {
    /// In words; empty where nobody says anything.
    pub words: String,
    /// Whether each band is right.
    pub bands: Vec<bool>,
    /// Where the empty range between bands is right.
    pub guards: Vec<(f64, f64)>,
    /// What the drawing gives: the band it decodes as and its reading, for every state that may be;
    /// by band, then by the usual reading.
    pub expected: Vec<(BandIdx, Range)>,
}

/// All claims of a log.
pub struct Claims {
    /// The first is the one of nobody.
    pub all: Vec<Claim>,
    /// The claim of each row; empty where all rows have the first.
    pub of_row: Vec<u32>,
    /// Texts about the controls that were not understood, each once.
    pub unknown: Vec<String>,
}

impl Claims {
    /// The claim of a row.
    pub fn at(&self, row: usize) -> &Claim {
        let idx = self.of_row.get(row).map_or(0, |idx| *idx as usize);
        &self.all[idx]
    }

    /// Stretches of rows about which the same is claimed.
    pub fn stretches(&self, rows: std::ops::Range<usize>) -> Vec<std::ops::Range<usize>> {
        let mut all: Vec<std::ops::Range<usize>> = Vec::new();
        if self.of_row.is_empty() {
            return vec![rows];
        }
        for row in rows {
            match all.last_mut() {
                Some(last) if self.of_row[last.start] == self.of_row[row] => last.end = row + 1,
                Some(_) | None => all.push(row..row + 1),
            }
        }
        all
    }

    /// Gathers them.
    pub fn new(project: &Project, id: SensePinId, log: &Log) -> Option<Self> {
        let pin = project.sense_pins.get(id)?;
        let reader = Reader::new(project);
        let table = reader.table(id)?;
        let gatherer = Gatherer { project, pin, id, reader, table };
        let mut out =
            Self { all: vec![gatherer.of_nobody()], of_row: Vec::new(), unknown: Vec::new() };
        gatherer.of_texts(log, &mut out);
        Some(out)
    }
}

impl Claim {
    /// Whether a reading that lies in this band (or in none) is right.
    pub fn holds(&self, band: BandIdx, value: f64) -> bool {
        match self.bands.get(usize::from(band)) {
            Some(is_right) => *is_right,
            None => self.guards.iter().any(|(low, high)| *low <= value && value <= *high),
        }
    }

    /// Whether any state that may be reads as this band.
    pub fn gives(&self, band: BandIdx) -> bool {
        !self.of_band(band).is_empty()
    }

    /// What the drawing gives nearest to a reading, among states read as this band where there are any.
    pub fn nearest(&self, band: BandIdx, value: f64) -> Option<Range> {
        let distance = |range: &Range| match range.nominal == value {
            true => 0.0,
            false => (range.nominal - value).abs(),
        };
        let nearer = |a: &Range, b: &Range| distance(a).total_cmp(&distance(b));
        let of_band = self.of_band(band);
        if of_band.is_empty() {
            return self.expected.iter().map(|(_, range)| *range).min_by(nearer);
        }
        let above = of_band.partition_point(|(_, range)| range.nominal < value);
        let beside = [above.checked_sub(1), Some(above)].into_iter().flatten();
        beside.filter_map(|idx| of_band.get(idx)).map(|(_, range)| *range).min_by(nearer)
    }

    fn of_band(&self, band: BandIdx) -> &[(BandIdx, Range)] {
        let from = self.expected.partition_point(|(of, _)| *of < band);
        let to = self.expected.partition_point(|(of, _)| *of <= band);
        &self.expected[from..to]
    }
}

struct Gatherer<'a> {
    project: &'a Project,
    pin: &'a SensePin,
    id: SensePinId,
    reader: Reader,
    table: PinTable,
}

impl Gatherer<'_> {
    fn of_nobody(&self) -> Claim {
        let mut claim = self.of_rows(self.table.rows.iter());
        if self.table.rows.is_empty() {
            // Too many states for a table: what somebody may ask for is right.
            for (band, is_right) in self.pin.bands.iter().zip(&mut claim.bands) {
                *is_right = match band.role {
                    BandRole::Action => {
                        self.pin.expectations.iter().any(|one| one.action == band.name)
                    }
                    BandRole::Idle => true,
                    BandRole::Open | BandRole::Short => false,
                };
            }
        }
        claim
    }

    /// What one or other of these states gives.
    fn of_rows<'r>(&self, rows: impl Iterator<Item = &'r StateRow>) -> Claim {
        let mut claim = Claim {
            words: String::new(),
            bands: vec![false; self.pin.bands.len()],
            guards: Vec::new(),
            expected: Vec::new(),
        };
        for row in rows {
            for (band, is_right) in self.pin.bands.iter().zip(&mut claim.bands) {
                *is_right |= row.asked.contains(&band.name);
            }
            let Some(scaled) = row.scaled else { continue };
            if let Some(idx) = row.band {
                claim.bands[idx] = true;
            }
            // A guard does nothing, which is right where nothing or several things are asked for.
            if row.asked.len() != 1 {
                claim.guards.push((scaled.low, scaled.high));
            }
            let band = row.band.and_then(|idx| BandIdx::try_from(idx).ok()).unwrap_or(GUARD);
            claim.expected.push((band, scaled));
        }
        claim.expected.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.nominal.total_cmp(&b.1.nominal)));
        claim
    }

    fn of_texts(&self, log: &Log, out: &mut Claims) {
        let columns: Vec<_> = log
            .texts
            .iter()
            .filter(|column| matches!(column.role, Role::State | Role::Control(_)))
            .collect();
        if columns.is_empty() {
            return;
        }
        let mut known: BTreeMap<Vec<u32>, u32> = BTreeMap::new();
        let mut claims: BTreeMap<Said, u32> = BTreeMap::new();
        let mut last: (Vec<u32>, u32) = (Vec::new(), 0);
        out.of_row.reserve(log.n_rows());
        for row in 0..log.n_rows() {
            let is_same = !last.0.is_empty()
                && columns.iter().zip(&last.0).all(|(column, id)| column.ids[row] == *id);
            if !is_same {
                let ids: Vec<u32> = columns.iter().map(|column| column.ids[row]).collect();
                let idx = match known.get(&ids) {
                    Some(idx) => *idx,
                    None => {
                        let texts: Vec<(Role, &str)> = columns
                            .iter()
                            .zip(&ids)
                            .map(|(column, id)| (column.role, column.words[*id as usize].as_str()))
                            .collect();
                        let idx = match self.said(&texts, &mut out.unknown) {
                            Some(said) => *claims.entry(said).or_insert_with_key(|said| {
                                out.all.push(self.claim(said));
                                u32::try_from(out.all.len() - 1).unwrap_or(0)
                            }),
                            None => 0,
                        };
                        known.insert(ids.clone(), idx);
                        idx
                    }
                };
                last = (ids, idx);
            }
            out.of_row.push(last.1);
        }
    }

    /// What the texts of a row say together; `None` where one of them is not understood or empty.
    fn said(&self, texts: &[(Role, &str)], unknown: &mut Vec<String>) -> Option<Said> {
        let mut state = State::rest();
        let mut all_known = true;
        for (role, text) in texts {
            let text = text.trim();
            let understood = match role {
                Role::Control(id) => position_of(self.project, *id, text).map(|position| {
                    state.0.insert(*id, position);
                }),
                Role::State => match state_of(self.project, self.pin, text) {
                    Some(action @ Said::Action(_)) => return Some(action),
                    Some(Said::State(more)) => {
                        state.0.extend(more.0);
                        Some(())
                    }
                    None => None,
                },
                Role::Time | Role::Date | Role::Reading | Role::Supply | Role::Text => Some(()),
            };
            if understood.is_none() {
                all_known = false;
                if !text.is_empty() && !unknown.iter().any(|known| known == text) {
                    unknown.push(text.to_owned());
                }
            }
        }
        all_known.then_some(Said::State(state))
    }

    fn claim(&self, said: &Said) -> Claim {
        match said {
            Said::State(state) => {
                let row = self.reader.row(self.id, state);
                Claim { words: state_words(self.project, state), ..self.of_rows(row.iter()) }
            }
            Said::Action(name) => {
                let asks = |row: &&StateRow| row.asked.contains(name);
                let mut claim = self.of_rows(self.table.rows.iter().filter(asks));
                for (band, is_right) in self.pin.bands.iter().zip(&mut claim.bands) {
                    *is_right |= band.name == *name;
                }
                Claim { words: format!("{name} asked for"), ..claim }
            }
        }
    }
}
