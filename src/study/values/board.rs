//! What choices are judged by: every state that counts, where it lies for given values, and how far
//! apart states can lie at best for stretches of values.

use crate::circuit::{Netlist, PinNetwork, Source};
use crate::model::{Project, SensePin, State};
use crate::sense::{Ends, Live, Measure, asked, wire_data};
use crate::study::values::axis::Axis;
use crate::study::values::fence::Fence;
use crate::study::values::ladder::{Ratio, StateFormula, state_formula};
use crate::study::values::lineup::{Place, gap, least_gap};
use crate::study::values::tree::{Stretch, stretches};
use crate::study::values::{
    Bands, Candidate, MAX_PARTS, MAX_STATES, MarginUnit, Question, Recipe, Single,
};
use crate::units::Range;

/// More values than this are not weighed.
const MAX_CANDIDATES: usize = 20_000;

/// One state that counts.
struct Row {
    /// Its ohms.
    formula: StateFormula,
    /// What it asks for; rows of one number ask for the same.
    action: usize,
    asked: Vec<String>,
    fence: Fence,
    /// The bands in the pin's own scale where margins lie on another axis, on which bands out of
    /// reach of any resistance may fall together.
    plain: Option<Fence>,
}

/// Everything a choice is judged by. Values are named by their rank in order of ohms.
pub struct Board<'a> {
    /// The question.
    pub question: &'a Question,
    axis: Axis,
    /// All stretches of values, the whole first.
    pub stretches: Vec<Stretch>,
    rows: Vec<Row>,
    sense: &'a SensePin,
    measure: Measure,
    ends: Option<Ends>,
    /// Candidates in order of ohms.
    by_rank: Vec<usize>,
    /// Conductance of each value at corners low, usual and high of its resistance.
    siemens: Vec<[f64; 3]>,
}

/// Conductances of all parts at one corner.
type AllSiemens = [f64; MAX_PARTS];

/// Least and greatest conductances of all parts over stretches of values, by corner.
struct Extremes {
    least: [AllSiemens; 3],
    most: [AllSiemens; 3],
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
        if let Some(live) = Live::of_pin(project, &netlist, sense) {
            return Err(format!(
                "best values are searched in networks of resistances only, and the pin also hangs on {}",
                live.names()
            ));
        }
        let measure = Measure::new(project, sense);
        let ends = measure.ends();
        let axis = Axis::new(sense, measure, (question.bands, question.unit))?;
        let list = &question.candidates;
        let mut by_rank: Vec<usize> = (0..list.len()).collect();
        by_rank.sort_by(|a, b| list[*a].ohm.total_cmp(&list[*b].ohm).then(a.cmp(b)));
        let spread = |idx: &usize| spread(&list[*idx], question.drift);
        let siemens: Vec<[f64; 3]> = by_rank.iter().map(spread).collect();
        let sources: Vec<Source> = question.parts.iter().map(|part| Source::Part(*part)).collect();
        let states: Vec<State> =
            network.all_positions().iter().map(|positions| network.state(positions)).collect();
        let mut board = Self {
            question,
            axis,
            stretches: stretches(&siemens),
            rows: Vec::new(),
            sense,
            measure,
            ends,
            by_rank,
            siemens,
        };
        for state in states {
            let asked = asked(project, sense, &state);
            if question.bands == Bands::Fixed || asked.len() == 1 {
                let formula = state_formula(project, &netlist, &network, &sources, &state);
                board.add(formula, asked);
            }
        }
        Ok(board)
    }

    fn add(&mut self, formula: StateFormula, asked: Vec<String>) {
        // States that read the same and ask for the same are one.
        if self.rows.iter().any(|row| row.asked == asked && row.formula == formula) {
            return;
        }
        let known = self.rows.iter().find(|row| row.asked == asked).map(|row| row.action);
        let action = known.unwrap_or(self.rows.len());
        let plain = Fence::new(self.sense, self.measure.scale_ends(), &asked);
        let fence = plain.clone().along(&|number| self.axis.of_scaled(number));
        let plain = (self.unit() != MarginUnit::Scale).then_some(plain);
        self.rows.push(Row { formula, action, asked, fence, plain });
    }

    /// What margins are in.
    pub fn unit(&self) -> MarginUnit {
        self.axis.unit()
    }

    /// How many states are weighed.
    pub fn n_states(&self) -> usize {
        self.rows.len()
    }

    /// The candidates of a choice.
    pub fn picks(&self, ranks: &[usize]) -> Vec<usize> {
        ranks.iter().map(|rank| self.by_rank[*rank]).collect()
    }

    /// Puts states into the order that serves best near a choice: along the axis with free bands, the
    /// weakest first with fixed ones.
    pub fn sort_states(&mut self, ranks: &[usize]) {
        let corners = self.corners(ranks);
        let key = |row: &Row| match self.question.bands {
            Bands::Fixed => self.margin(row, &corners),
            Bands::Free => {
                let (low, high) = self.place(row, &corners[0], &corners[2]);
                low + high
            }
        };
        let keys: Vec<f64> = self.rows.iter().map(key).collect();
        let mut order: Vec<usize> = (0..keys.len()).collect();
        order.sort_by(|a, b| keys[*a].total_cmp(&keys[*b]));
        let mut rows: Vec<Option<Row>> =
            std::mem::take(&mut self.rows).into_iter().map(Some).collect();
        self.rows = order.into_iter().filter_map(|idx| rows[idx].take()).collect();
    }

    /// The worst margin of a choice.
    pub fn score(&self, ranks: &[usize], places: &mut Vec<Place>) -> f64 {
        let corners = self.corners(ranks);
        if self.question.bands == Bands::Fixed {
            let margins = self.rows.iter().map(|row| self.margin(row, &corners));
            return margins.fold(f64::INFINITY, f64::min);
        }
        places.clear();
        places.extend(self.rows.iter().map(|row| {
            let (low, high) = self.place(row, &corners[0], &corners[2]);
            Place { low, high, action: row.action }
        }));
        least_gap(places)
    }

    /// No choice out of these stretches, one for each part, has more margin than this; any number
    /// that is not above `floor` where it is not.
    ///
    /// A network of resistances never reads less when one of them grows (Rayleigh's monotonicity
    /// law), so no state lies above where the greatest values put its low end, nor below where the
    /// least put its high end.
    pub fn bound(&self, parts: &[u32], floor: f64, places: &mut Vec<Place>) -> f64 {
        let extremes = self.extremes(parts);
        if self.question.bands == Bands::Fixed {
            let mut worst = f64::INFINITY;
            for row in &self.rows {
                worst = worst.min(self.best_margin(row, &extremes));
                if worst <= floor {
                    break;
                }
            }
            return worst;
        }
        places.clear();
        for row in &self.rows {
            let place = self.best_place(row, &extremes);
            // Neighbours along the axis come one after the other and mostly decide.
            if let Some(gap) =
                places.last().map(|last| gap(last, &place)).filter(|gap| *gap <= floor)
            {
                return gap;
            }
            places.push(place);
        }
        least_gap(places)
    }

    /// For each part, how far all states together move on their axis when it goes from its greatest
    /// value in a stretch to its least.
    pub fn effects(&self, parts: &[u32]) -> [f64; MAX_PARTS] {
        let extremes = self.extremes(parts);
        let mut effects = [0.0; MAX_PARTS];
        for row in &self.rows {
            let at = |siemens: &AllSiemens| {
                let ratio = row.ratio(0, siemens);
                match (&self.ends, self.unit()) {
                    (Some(ends), MarginUnit::Volt | MarginUnit::Scale | MarginUnit::Count) => {
                        ends.least_volts(ratio)
                    }
                    (None, _) | (_, MarginUnit::Ratio) => ohms(ratio).ln(),
                }
            };
            let whole = at(&extremes.least[0]);
            for part in &row.formula.parts {
                let mut moved = extremes.least[0];
                moved[*part] = extremes.most[0][*part];
                let way = (at(&moved) - whole).abs();
                // From open to open is no way.
                if way.is_finite() {
                    effects[*part] += way;
                }
            }
        }
        effects
    }

    fn extremes(&self, parts: &[u32]) -> Extremes {
        let mut all = Extremes { least: [[0.0; MAX_PARTS]; 3], most: [[0.0; MAX_PARTS]; 3] };
        for (n, part) in parts.iter().enumerate() {
            let stretch = &self.stretches[*part as usize];
            for corner in 0..3 {
                all.least[corner][n] = stretch.least[corner];
                all.most[corner][n] = stretch.most[corner];
            }
        }
        all
    }

    /// The low end of a state at its highest and its high end at its lowest.
    fn best_place(&self, row: &Row, extremes: &Extremes) -> Place {
        let ohms = (row.ratio(0, &extremes.least[0]), row.ratio(2, &extremes.most[2]));
        let (low, high) = self.axis.of_ohms(self.ends.as_ref(), ohms, true);
        Place { low, high, action: row.action }
    }

    fn corners(&self, ranks: &[usize]) -> [AllSiemens; 3] {
        let mut corners = [[0.0; MAX_PARTS]; 3];
        for (n, rank) in ranks.iter().enumerate() {
            for (corner, value) in corners.iter_mut().zip(self.siemens[*rank]) {
                corner[n] = value;
            }
        }
        corners
    }

    /// Least and greatest of a state on the axis of free bands.
    fn place(&self, row: &Row, low: &AllSiemens, high: &AllSiemens) -> (f64, f64) {
        self.axis.of_ohms(self.ends.as_ref(), (row.ratio(0, low), row.ratio(2, high)), false)
    }

    /// Margin of one state in its bands; minus infinity for a clash or a gap.
    fn margin(&self, row: &Row, corners: &[AllSiemens; 3]) -> f64 {
        let [low, nominal, high] =
            [0, 1, 2].map(|corner| ohms(row.ratio(corner, &corners[corner])));
        self.measure
            .scaled_range(&Range { low, nominal, high })
            .filter(|scaled| {
                row.plain.as_ref().is_none_or(|plain| plain.margin(scaled) > f64::NEG_INFINITY)
            })
            .map_or(f64::NEG_INFINITY, |scaled| row.fence.margin(&self.along(&scaled)))
    }

    fn along(&self, scaled: &Range) -> Range {
        let [low, nominal, high] =
            [scaled.low, scaled.nominal, scaled.high].map(|number| self.axis.of_scaled(number));
        Range { low, nominal, high }
    }

    /// The same for stretches of values: no choice out of them has more.
    fn best_margin(&self, row: &Row, Extremes { least, most }: &Extremes) -> f64 {
        let (low, high) = (row.ratio(0, &least[0]), row.ratio(2, &most[2]));
        let nominal = [&most[1], &least[1]].map(|siemens| ohms(row.ratio(1, siemens)));
        let scaled = || {
            if self.measure.is_ohm() {
                let range = Range { low: ohms(low), nominal: nominal[0], high: ohms(high) };
                return Some((self.measure.scaled_range(&range)?, nominal[1]));
            }
            let (low, high) = self.ends.as_ref()?.volts_apart(low, high);
            let at = |ohm: f64| {
                let nominal = self.measure.nominal_volt(ohm)?;
                self.measure.volts_in_scale(&Range { low, nominal, high })
            };
            Some((at(nominal[0])?, at(nominal[1])?.nominal))
        };
        scaled().map_or(f64::NEG_INFINITY, |(one, other)| {
            let (one, other) = (self.along(&one), self.axis.of_scaled(other));
            let nominal = (one.nominal.min(other), one.nominal.max(other));
            row.fence.best_margin(nominal, one.low, one.high)
        })
    }

    /// Whether no two rows ask for the same.
    fn is_distinct(&self) -> bool {
        (1..self.rows.len()).all(|n| (0..n).all(|m| self.rows[n].action != self.rows[m].action))
    }

    /// Whether the drawer holds what these picks take.
    pub fn is_in_stock(&self, ranks: &[usize]) -> bool {
        let list = &self.question.candidates;
        let picks = self.picks(ranks);
        picks.iter().all(|pick| list[*pick].quantity.is_none()) || {
            let recipes = picks.iter().map(|pick| list[*pick].recipe.parts());
            let taken: Vec<Single> =
                recipes.flat_map(|(one, other)| std::iter::once(one).chain(other)).collect();
            taken.iter().all(|single| {
                let need = taken.iter().filter(|other| *other == single).count();
                let lies = |known: &&Candidate| known.recipe == Recipe::One(*single);
                let have = list.iter().find(lies).and_then(|known| known.quantity);
                have.is_none_or(|have| have as usize >= need)
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
        let list = |ranks: &[usize]| {
            let corners = self.corners(ranks);
            let places = self.rows.iter().map(|row| self.place(row, &corners[0], &corners[2]));
            let mut places: Vec<(f64, f64)> = places.collect();
            places.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
            places
        };
        let is_same = |x: f64, y: f64| x == y || (x - y).abs() <= 1e-9 * x.abs().max(y.abs());
        self.is_distinct()
            && (0..3).all(|seed| {
                let parts = 0..self.question.parts.len();
                let ranks: Vec<usize> =
                    parts.map(|part| (seed * 5 + part * (count / 7 + 1)) % count).collect();
                let mut swapped = ranks.clone();
                swapped.swap(a, b);
                list(&ranks)
                    .iter()
                    .zip(list(&swapped))
                    .all(|(x, y)| is_same(x.0, y.0) && is_same(x.1, y.1))
            })
    }
}

impl Row {
    /// Ohms for these conductances of all parts, as a fraction.
    fn ratio(&self, corner: usize, siemens: &AllSiemens) -> Ratio {
        let mut values = [0.0; MAX_PARTS];
        let used = &self.formula.parts;
        for (value, part) in values.iter_mut().zip(used) {
            *value = siemens[*part];
        }
        self.formula.corners[corner].ratio(&values[..used.len()])
    }
}

/// Infinite where open.
fn ohms([above, below]: Ratio) -> f64 {
    above / below
}

/// Conductance of a value at corners low, usual and high of its resistance.
fn spread(candidate: &Candidate, drift: f64) -> [f64; 3] {
    let fraction = (candidate.tolerance + drift).min(0.99);
    let range = Range::plus_minus(candidate.ohm, fraction);
    [1.0 / range.low, 1.0 / range.nominal, 1.0 / range.high]
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
