//! Advice that follows from the numbers, each with the number that led to it.
//!
//! It says what to think about, not what to build: every line can be wrong for a machine it does not
//! know.

use std::collections::{BTreeMap, BTreeSet};

use crate::circuit::{Corner, PinNetwork, Source, edge_currents, ohm_between};
use crate::model::{Band, BandRole, Harm, PartId, Project, SensePin, SensePinId, State, Subject};
use crate::sense::{Measure, PinTable, Reader, Verdict, decode};
use crate::study::faults::{Base, FaultKind, Survey};
use crate::study::transitions::{Moves, Passing};
use crate::units::{format_ohm, format_volt, trim_zeros};

/// Below about this current a silver contact may not get through its own film, so contacts are
/// faced with gold (common practice, no source).
const WETTING_AMP: f64 = 1e-3;

/// A pin that gets this many times its own reference is fed from elsewhere.
const FED: f64 = 1.01;

/// What advice is about, the most pressing first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Topic {
    /// A stop that does not depend on this line.
    IndependentStop,
    /// Something that keeps volts from the pin.
    ProtectPin,
    /// A diode between what must not feed each other.
    Diode,
    /// A resistor at the end of the line.
    EndResistor,
    /// A band for a broken wire.
    OpenBand,
    /// More room between bands.
    MoreGuard,
    /// A longer debounce.
    Debounce,
    /// Gold on the contacts.
    Gold,
}

impl Topic {
    /// The words for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::IndependentStop => "independent stop",
            Self::ProtectPin => "protect the pin",
            Self::Diode => "a diode here",
            Self::EndResistor => "end resistor",
            Self::OpenBand => "band for a broken wire",
            Self::MoreGuard => "more guard",
            Self::Debounce => "longer debounce",
            Self::Gold => "gold contacts",
        }
    }
}

/// One piece of advice.
#[derive(Clone, Debug, PartialEq)]
pub struct Advice {
    /// What it is about.
    pub topic: Topic,
    /// The number that led to it, in one clause.
    pub figure: String,
    /// What to do, in one or two sentences.
    pub words: String,
    /// Where.
    pub subjects: Vec<Subject>,
}

/// All advice for one pin, the most pressing first; the moves are counted where they are known.
pub fn advice(project: &Project, survey: &Survey, moves: Option<&Moves>) -> Vec<Advice> {
    let Some(base) = Base::new(project, survey.pin) else { return Vec::new() };
    let case = Case { project, id: survey.pin, pin: base.sense, base: &base, survey };
    let table = Reader::new(project).table(survey.pin);
    let mut list = Vec::new();
    list.extend(case.independent_stop());
    list.extend(case.protect_pin());
    list.extend(case.fed_from_elsewhere());
    list.extend(case.shared_contacts());
    list.extend(case.end_resistor());
    list.extend(case.open_band());
    if let Some(table) = &table {
        list.extend(case.thin_states(table));
        list.extend(case.more_guard(table));
    }
    list.extend(moves.and_then(|moves| case.debounce(moves)));
    list.extend(case.gold());
    list.sort_by_key(|advice| advice.topic);
    list
}

struct Case<'a> {
    project: &'a Project,
    id: SensePinId,
    pin: &'a SensePin,
    base: &'a Base<'a>,
    survey: &'a Survey,
}

impl Case<'_> {
    fn at_pin(&self) -> Vec<Subject> {
        vec![Subject::SensePin(self.id)]
    }

    fn independent_stop(&self) -> Option<Advice> {
        let rows = &self.survey.rows;
        let dangerous: Vec<_> = rows.iter().filter(|row| row.harm == Harm::Dangerous).collect();
        if dangerous.is_empty() {
            return None;
        }
        let mut actions: BTreeSet<&str> = BTreeSet::new();
        for symptom in dangerous.iter().map(|row| &row.symptoms[row.worst_state]) {
            actions.extend(symptom.band.map(|band| self.pin.bands[band].name.as_str()));
        }
        let actions: Vec<&str> = actions.into_iter().collect();
        let figure = format!(
            "{} of {} single faults make {} come unasked",
            dangerous.len(),
            rows.len(),
            actions.join(" or ")
        );
        let words = "Give what they move a stop of its own that this line cannot override. Local rules and licensed practice go first.";
        Some(Advice {
            topic: Topic::IndependentStop,
            figure,
            words: words.into(),
            subjects: self.at_pin(),
        })
    }

    /// The fault that brings the most volts, where the pin does not stand them.
    fn protect_pin(&self) -> Option<Advice> {
        let limit = self.pin.limit_volt?;
        let over = self.survey.rows.iter().filter(|row| row.is_over_limit);
        let volt = |row: &crate::study::faults::FaultRow| {
            row.symptoms.iter().filter_map(|symptom| symptom.volt).fold(0.0, f64::max)
        };
        let worst = over.max_by(|a, b| volt(a).total_cmp(&volt(b)))?;
        let figure = format!(
            "{} brings {} to a pin that stands {}",
            worst.fault.title,
            format_volt(volt(worst)),
            format_volt(limit)
        );
        let words = "A series resistor and a clamp diode at the pin, as far as the controller's sheet allows them, keep it within its limit; keep wires of that voltage out of the neighbouring cavities.";
        Some(Advice {
            topic: Topic::ProtectPin,
            figure,
            words: words.into(),
            subjects: worst.fault.subjects.clone(),
        })
    }

    /// Some state brings more volts than the pin's own reference: another supply feeds it.
    fn fed_from_elsewhere(&self) -> Option<Advice> {
        let own = self.pin.reference_volt?.nominal;
        let volt = |symptom: &crate::study::faults::Symptom| symptom.volt.unwrap_or(0.0);
        let most = self.survey.sound.iter().map(volt).max_by(f64::total_cmp)?;
        let other = self.base.network.mixed.iter().find(|p| p.volt.nominal > own)?;
        if most <= own * FED {
            return None;
        }
        let name = self.base.part_name(other.part);
        let figure = format!(
            "{name} brings {} to a pin whose reference is {}",
            format_volt(most),
            format_volt(own)
        );
        let words = format!(
            "A diode in the branch to {name}, or a contact of its own for each, keeps one supply out of the other's circuit; count the diode's drop into the bands."
        );
        let subjects = vec![Subject::Part(other.part)];
        Some(Advice { topic: Topic::Diode, figure, words, subjects })
    }

    /// Other pins that reach this one at rest, past an open contact both of them use.
    fn shared_contacts(&self) -> Vec<Advice> {
        let mut list = Vec::new();
        let rest = State::rest();
        let own = self.base.sources();
        for (other_id, other) in self.project.sense_pins.iter().filter(|(id, _)| *id != self.id) {
            let netlist = &self.base.netlist;
            let Some(network) = PinNetwork::new(self.project, netlist, other) else { continue };
            let shared: Vec<PartId> = network
                .edges
                .iter()
                .filter(|edge| netlist.graph[**edge].switch.is_some())
                .map(|edge| netlist.graph[*edge].source)
                .filter(|source| own.contains(source))
                .filter_map(Source::part)
                .collect();
            let Some(contact) = shared.first() else { continue };
            let held: BTreeSet<_> = netlist
                .potentials
                .iter()
                .map(|p| p.node)
                .chain([network.reference, self.base.network.reference])
                .collect();
            let is_between = |edge: &petgraph::graph::EdgeIndex| {
                netlist
                    .graph
                    .edge_endpoints(*edge)
                    .is_some_and(|(a, b)| !held.contains(&a) && !held.contains(&b))
            };
            let edges: Vec<_> =
                netlist.closed_edges(self.project, &rest).into_iter().filter(is_between).collect();
            let ohm =
                ohm_between(netlist, &edges, Corner::Nominal, self.base.network.pin, network.pin);
            if ohm.is_infinite() {
                continue;
            }
            let (here, there) = (
                self.project.terminal_name(self.pin.terminal),
                self.project.terminal_name(other.terminal),
            );
            let name = self.base.part_name(*contact);
            list.push(Advice {
                topic: Topic::Diode,
                figure: format!("with {name} open {} join {here} and {there}", format_ohm(ohm)),
                words: format!(
                    "A diode from each pin towards {name} keeps one pin's pull out of the other's reading; count its drop into the bands."
                ),
                subjects: vec![Subject::Part(*contact), Subject::SensePin(other_id)],
            });
        }
        list
    }

    /// A sound state that reads open cannot be told from a broken wire.
    fn end_resistor(&self) -> Option<Advice> {
        let states = &self.survey.sound;
        let open = states.iter().position(|symptom| symptom.ohm.is_infinite())?;
        let breaks: Vec<_> =
            self.survey.rows.iter().filter(|row| row.fault.kind == FaultKind::Open).collect();
        let hidden = breaks.iter().filter(|row| row.symptoms[open].ohm.is_infinite()).count();
        let name = states[open].band.map_or("a state", |band| self.pin.bands[band].name.as_str());
        let greatest =
            states.iter().map(|s| s.ohm).filter(|ohm| ohm.is_finite()).fold(0.0, f64::max);
        let figure = format!(
            "{hidden} of {} breaks read open, as {name} does when nothing is broken",
            breaks.len()
        );
        let words = format!(
            "Fit an end resistor at the far end of the line, larger than the {} of the highest other state, and give what it reads a band of its own: then only a broken wire reads open.",
            format_ohm(greatest)
        );
        Some(Advice { topic: Topic::EndResistor, figure, words, subjects: self.at_pin() })
    }

    /// No sound state reads open, but the controller makes nothing of it.
    fn open_band(&self) -> Option<Advice> {
        let highest = self.survey.sound.iter().map(|s| s.ohm).fold(0.0, f64::max);
        let measure = Measure::new(self.project, self.pin);
        let volt = measure.volt_with_offset(f64::INFINITY, 0.0);
        let value = measure.scaled(f64::INFINITY, volt)?;
        let band = decode(self.pin, value, &[]).map(|idx| &self.pin.bands[idx]);
        let is_told = band.is_some_and(|band| band.role == BandRole::Open);
        if highest.is_infinite() || is_told || self.pin.bands.is_empty() {
            return None;
        }
        let reads = band.map_or("no band at all", |band| band.name.as_str());
        let figure = format!(
            "a broken wire reads {reads}, while the highest sound state reads {}",
            format_ohm(highest)
        );
        let words = "Give what an open line reads a band that reports a broken wire.";
        Some(Advice {
            topic: Topic::OpenBand,
            figure,
            words: words.into(),
            subjects: self.at_pin(),
        })
    }

    /// States that leave their band at worst.
    fn thin_states(&self, table: &PinTable) -> Option<Advice> {
        let thin: Vec<_> =
            table.rows.iter().filter(|row| row.verdict == Some(Verdict::Thin)).collect();
        let margin = |row: &&crate::sense::StateRow| row.margin.and_then(|m| m.value());
        let worst = thin.iter().filter_map(margin).min_by(f64::total_cmp)?;
        let figure = format!(
            "{} of {} states are right at usual values only; the worst misses its band by {}",
            thin.len(),
            table.rows.len(),
            self.figure(worst.abs())
        );
        let words =
            "Let stage Choose look for values with more room, or take parts of a closer tolerance.";
        Some(Advice {
            topic: Topic::MoreGuard,
            figure,
            words: words.into(),
            subjects: self.at_pin(),
        })
    }

    /// Neighbouring bands whose readings move by more than what lies between them.
    fn more_guard(&self, table: &PinTable) -> Vec<Advice> {
        let mut bands: Vec<&Band> = self.pin.bands.iter().collect();
        bands.sort_by(|a, b| a.low.total_cmp(&b.low));
        let mut list = Vec::new();
        for pair in bands.windows(2) {
            let [lower, upper] = pair else { continue };
            let Some(top) = lower.high.filter(|_| lower.name != upper.name) else { continue };
            let is_action = |band: &Band| band.role == BandRole::Action;
            if !is_action(lower) && !is_action(upper) {
                continue;
            }
            let guard = upper.low - top;
            let moves = self.most_moved(table, lower, upper);
            if let Some(moved) = moves.filter(|moved| *moved > guard) {
                list.push(Advice {
                    topic: Topic::MoreGuard,
                    figure: format!(
                        "the guard between {} and {} is {}, and readings beside it move by up to {}",
                        lower.name,
                        upper.name,
                        self.figure(guard.max(0.0)),
                        self.figure(moved)
                    ),
                    words: "A reading that leaves the one band at worst may land in the other: let the values lie further apart, or make the bands narrower.".into(),
                    subjects: self.at_pin(),
                });
            }
        }
        list
    }

    /// How far readings of the lower band move up at worst and those of the upper one down.
    fn most_moved(&self, table: &PinTable, lower: &Band, upper: &Band) -> Option<f64> {
        let of = |row: &crate::sense::StateRow| {
            let (band, range) = (self.pin.bands.get(row.band?)?, row.scaled?);
            let moved = match &band.name {
                name if *name == lower.name => range.high - range.nominal,
                name if *name == upper.name => range.nominal - range.low,
                _ => return None,
            };
            moved.is_finite().then_some(moved)
        };
        table.rows.iter().filter_map(of).max_by(f64::total_cmp)
    }

    fn figure(&self, value: f64) -> String {
        use crate::model::Scale;
        match self.pin.scale {
            Scale::Ohm => format_ohm(value),
            Scale::Volt => format_volt(value),
            Scale::Count | Scale::Percent => {
                format!("{} {}", trim_zeros(&format!("{value:.1}")), self.pin.scale.unit())
            }
        }
    }

    /// A decode that belongs to neither end of a move and lasts long enough to count.
    fn debounce(&self, moves: &Moves) -> Option<Advice> {
        let stays = moves.rows.iter().flat_map(|row| &row.stays);
        let counting = stays.filter(|stay| stay.counts && stay.passing >= Passing::OnTheWay);
        let longest = counting.max_by(|a, b| a.most_ms.total_cmp(&b.most_ms))?;
        let ms = |value: f64| format!("{} ms", trim_zeros(&format!("{value:.1}")));
        let band = longest.band.map_or("a guard", |band| self.pin.bands[band].name.as_str());
        let known = moves.debounce_ms.map_or_else(
            || "the debounce is not known".to_owned(),
            |debounce| format!("the debounce is {}", ms(debounce)),
        );
        let figure = format!(
            "{band} may last {} in passing while controls are moved, and {known}",
            ms(longest.most_ms)
        );
        let words = format!(
            "A debounce longer than {} keeps it from counting, if the machine may wait so long; the times are those typed under Moves.",
            ms(longest.most_ms)
        );
        Some(Advice { topic: Topic::Debounce, figure, words, subjects: self.at_pin() })
    }

    /// Contacts that never carry as much as a silver contact wants.
    fn gold(&self) -> Option<Advice> {
        let currents = self.greatest_amp()?;
        let dry: BTreeMap<PartId, f64> =
            currents.into_iter().filter(|(_, amp)| *amp < WETTING_AMP).collect();
        let least = dry.values().copied().min_by(f64::total_cmp)?;
        let most = dry.values().copied().max_by(f64::total_cmp)?;
        let names: Vec<&str> = dry.keys().map(|part| self.base.part_name(*part)).collect();
        let figure = match names.as_slice() {
            [one] => format!("{one} switches at most {}", milliamp(most)),
            _ if milliamp(least) == milliamp(most) => {
                format!("{} switch at most {}", names.join(", "), milliamp(most))
            }
            _ => format!(
                "{} switch at most {} to {}",
                names.join(", "),
                milliamp(least),
                milliamp(most)
            ),
        };
        let words = "Below about 1 mA (common practice, no source) a silver contact may not get through its own film: take contacts faced with gold, or a smaller pull where the controller has a choice.";
        let subjects = dry.keys().map(|part| Subject::Part(*part)).collect();
        Some(Advice { topic: Topic::Gold, figure, words: words.into(), subjects })
    }

    /// The greatest current through each contact over all states, in amperes; `None` where pull or
    /// reference is not known or several supplies feed the network.
    fn greatest_amp(&self) -> Option<BTreeMap<PartId, f64>> {
        let measure = Measure::new(self.project, self.pin);
        let pull = measure.pull()?;
        let (base, network) = (self.base, &self.base.network);
        if !network.mixed.is_empty() {
            return None;
        }
        let mut most: BTreeMap<PartId, f64> = BTreeMap::new();
        for (state, sound) in base.states.iter().zip(&base.sound) {
            let Some(volt) = sound.volt else { continue };
            let amp = (pull.volt - volt).abs() / pull.ohm;
            let closed: Vec<_> = network
                .edges
                .iter()
                .copied()
                .filter(|edge| base.netlist.is_closed(self.project, state, *edge))
                .collect();
            let shares = edge_currents(&base.netlist, &closed, network.pin, network.reference);
            for (edge, share) in shares {
                let weight = &base.netlist.graph[edge];
                if let (Source::Part(part), Some(_)) = (weight.source, weight.switch) {
                    let here = most.entry(part).or_insert(0.0);
                    *here = here.max(share.abs() * amp);
                }
            }
        }
        most.retain(|_, amp| *amp > 0.0);
        Some(most)
    }
}

fn milliamp(amp: f64) -> String {
    format!("{} mA", trim_zeros(&format!("{:.2}", amp * 1e3)))
}

#[cfg(test)]
mod tests;
