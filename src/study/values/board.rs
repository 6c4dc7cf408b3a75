//! What choices are judged by: every state that counts, where it lies for given values.

use crate::circuit::{Netlist, PinNetwork, Source};
use crate::model::{Project, SensePin, State};
use crate::sense::{Live, Measure, asked, wire_data};
use crate::study::values::fence::Fence;
use crate::study::values::ladder::{StateFormula, state_formula};
use crate::study::values::lineup::Axis;
use crate::study::values::{Bands, Candidate, MAX_PARTS, MAX_STATES, MarginUnit, Question};
use crate::units::Range;

/// More values than this are not weighed in pairs.
const MAX_CANDIDATES: usize = 1000;

/// One state that counts.
pub struct Row {
    /// Its ohms.
    pub formula: StateFormula,
    /// What it asks for; rows of one number ask for the same.
    pub action: usize,
    asked: Vec<String>,
    fence: Fence,
}

/// Where a state lies: least and greatest on its axis with free bands; twice its margin with fixed ones.
pub type Cell = (f64, f64);

/// Everything a choice is judged by.
pub struct Board<'a> {
    /// The question.
    pub question: &'a Question,
    /// States, those that depend on few parts first.
    pub rows: Vec<Row>,
    /// What margins are in.
    pub unit: MarginUnit,
    sense: &'a SensePin,
    measure: Measure,
    /// Conductance of each candidate at corners low, usual and high of its resistance.
    siemens: Vec<[f64; 3]>,
}

impl<'a> Board<'a> {
    /// Gathers the states.
    ///
    /// # Errors
    /// A sentence: nothing to change, too many parts, values or states, a pin that is not there.
    pub fn new(project: &'a Project, question: &'a Question) -> Result<Self, String> {
        let sense =
            project.sense_pins.get(question.pin).ok_or("the sense pin is no longer there")?;
        check(question)?;
        let netlist = Netlist::new(project, &wire_data(project));
        let network = PinNetwork::new(project, &netlist, sense)
            .ok_or("the pin or its reference is a terminal that does not exist")?;
        if network.state_bound() > MAX_STATES {
            return Err(format!(
                "at most {MAX_STATES} states can be weighed, the pin has {}",
                network.state_bound()
            ));
        }
        if let Some(live) = Live::of_pin(project, &netlist, sense).filter(Live::is_active) {
            return Err(format!(
                "best values are searched in networks of resistances only, and {} {} more than that",
                live.names().join(" and "),
                if live.names().len() == 1 { "is" } else { "are" }
            ));
        }
        let measure = Measure::new(project, sense);
        let unit = match question.bands {
            Bands::Fixed => MarginUnit::Scale,
            Bands::Free if measure.nominal_volt(1.0).is_some() => MarginUnit::Volt,
            Bands::Free => MarginUnit::Ratio,
        };
        if let (Bands::Fixed, Some(missing)) = (question.bands, measure.missing()) {
            return Err(format!(
                "{missing} is not known, so no reading can be compared with the bands"
            ));
        }
        let spread = |candidate: &Candidate| {
            let fraction = (candidate.tolerance + question.drift).min(0.99);
            let range = Range::plus_minus(candidate.ohm, fraction);
            [1.0 / range.low, 1.0 / range.nominal, 1.0 / range.high]
        };
        let siemens = question.candidates.iter().map(spread).collect();
        let sources: Vec<Source> = question.parts.iter().map(|part| Source::Part(*part)).collect();
        let states: Vec<State> =
            network.all_positions().iter().map(|positions| network.state(positions)).collect();
        let mut board = Self { question, rows: Vec::new(), unit, sense, measure, siemens };
        for state in states {
            let asked = asked(project, sense, &state);
            if question.bands == Bands::Fixed || asked.len() == 1 {
                let formula = state_formula(project, &netlist, &network, &sources, &state);
                board.add(formula, asked);
            }
        }
        board.rows.sort_by_key(|row| row.formula.parts.len());
        Ok(board)
    }

    fn add(&mut self, formula: StateFormula, asked: Vec<String>) {
        // States that read the same and ask for the same are one.
        if self.rows.iter().any(|row| row.formula == formula && row.asked == asked) {
            return;
        }
        let known = self.rows.iter().find(|row| row.asked == asked).map(|row| row.action);
        let action = known.unwrap_or(self.rows.len());
        let fence = Fence::new(self.sense, self.measure.scale_ends(), &asked);
        self.rows.push(Row { formula, action, asked, fence });
    }

    /// Where a state lies for these values of all parts.
    pub fn cell(&self, row: usize, picks: &[usize]) -> Cell {
        let row = &self.rows[row];
        let ohm = |corner: usize| {
            let mut values = [0.0; MAX_PARTS];
            for (value, part) in values.iter_mut().zip(&row.formula.parts) {
                *value = self.siemens[picks[*part]][corner];
            }
            row.formula.corners[corner].ohm(&values[..row.formula.parts.len()])
        };
        match self.unit {
            MarginUnit::Ratio => (ohm(0).ln(), ohm(2).ln()),
            MarginUnit::Volt => {
                self.measure.volt_ends(ohm(0), ohm(2)).unwrap_or((f64::NAN, f64::NAN))
            }
            MarginUnit::Scale => {
                let margin =
                    self.margin(row, &Range { low: ohm(0), nominal: ohm(1), high: ohm(2) });
                (margin, margin)
            }
        }
    }

    /// Margin of one state in its bands; minus infinity for a clash or a gap.
    fn margin(&self, row: &Row, ohm: &Range) -> f64 {
        self.measure.scaled_range(ohm).map_or(f64::NEG_INFINITY, |scaled| row.fence.margin(&scaled))
    }

    /// The axis, where it has ends and every state asks for something of its own.
    pub fn axis(&self) -> Option<Axis> {
        if self.unit != MarginUnit::Volt || !self.is_distinct() {
            return None;
        }
        let (bottom, top, width) = self.measure.volt_axis()?;
        Some(Axis { bottom, top, width })
    }

    /// Whether no two rows ask for the same.
    fn is_distinct(&self) -> bool {
        (1..self.rows.len()).all(|n| (0..n).all(|m| self.rows[n].action != self.rows[m].action))
    }

    /// Whether the drawer holds what these picks take.
    pub fn is_in_stock(&self, picks: &[usize]) -> bool {
        let list = &self.question.candidates;
        picks.iter().all(|pick| list[*pick].quantity.is_none()) || {
            let taken: Vec<f64> =
                picks.iter().flat_map(|pick| list[*pick].recipe.parts()).collect();
            taken.iter().all(|ohm| {
                let need = taken.iter().filter(|other| *other == ohm).count();
                let one = list.iter().filter(|known| known.recipe.parts() == [*ohm]);
                let have = one.map(|known| known.quantity.map_or(usize::MAX, |n| n as usize));
                have.fold(0usize, usize::saturating_add) >= need
            })
        }
    }

    /// Whether two parts can change places without changing the set of readings: then of choices
    /// that differ by their order one is enough.
    pub fn are_alike(&self, a: usize, b: usize) -> bool {
        if self.question.bands == Bands::Fixed {
            return false;
        }
        let count = self.question.candidates.len();
        let list = |picks: &[usize]| {
            let mut cells: Vec<Cell> =
                (0..self.rows.len()).map(|row| self.cell(row, picks)).collect();
            cells.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
            cells
        };
        let is_same = |x: f64, y: f64| x == y || (x - y).abs() <= 1e-9 * x.abs().max(y.abs());
        self.is_distinct()
            && (0..3).all(|seed| {
                let parts = 0..self.question.parts.len();
                let picks: Vec<usize> =
                    parts.map(|part| (seed * 5 + part * (count / 7 + 1)) % count).collect();
                let mut swapped = picks.clone();
                swapped.swap(a, b);
                list(&picks)
                    .iter()
                    .zip(list(&swapped))
                    .all(|(x, y)| is_same(x.0, y.0) && is_same(x.1, y.1))
            })
    }
}

fn check(question: &Question) -> Result<(), String> {
    if question.parts.is_empty() || question.candidates.is_empty() {
        return Err("nothing to choose: name at least one resistor and one value".into());
    }
    if question.parts.len() > MAX_PARTS {
        return Err(format!(
            "at most {MAX_PARTS} resistors can be chosen at once, found {}",
            question.parts.len()
        ));
    }
    if question.candidates.len() > MAX_CANDIDATES {
        return Err(format!(
            "at most {MAX_CANDIDATES} values can be weighed, found {}: take a coarser series or fewer decades",
            question.candidates.len()
        ));
    }
    Ok(())
}
