//! The project as if it had a fault: a reader of the faulty circuit, to show its live path.

use crate::circuit::Netlist;
use crate::model::{Project, SensePinId};
use crate::sense::{Reader, wire_data};
use crate::study::faults::{Cause, Fault};

/// A reader of the circuit with the fault in it. A lifted return changes volts only: its circuit is
/// the sound one.
pub fn reader_as_if(project: &Project, pin: SensePinId, fault: &Fault) -> Reader {
    match &fault.cause {
        Cause::Circuit(changes) => {
            let sound = Netlist::new(project, &wire_data(project));
            Reader::of_circuit(project, sound.changed(changes))
        }
        Cause::Drawing(drawn) => Reader::new(drawn),
        Cause::Pin(sense) => {
            let mut changed = project.clone();
            changed.sense_pins.put(pin, (**sense).clone());
            Reader::new(&changed)
        }
        Cause::Offset(_) => Reader::new(project),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::samples;
    use crate::study::faults::survey;

    /// Symptoms come from the fault engine, the live path from here: both must be of one circuit.
    #[test]
    fn the_reader_reads_what_the_survey_says() {
        for name in ["sprayer", "rescue-boat"] {
            let project = samples::open(name).unwrap();
            let pin = project.sense_pins.ids().next().unwrap();
            let survey = survey(&project, pin, &|| true).unwrap();
            for row in &survey.rows {
                if matches!(row.fault.cause, Cause::Offset(_)) {
                    continue;
                }
                let reader = reader_as_if(&project, pin, &row.fault);
                for (state, symptom) in survey.states.iter().zip(&row.symptoms) {
                    let ohm = reader.row(pin, state).unwrap().ohm.nominal;
                    let is_same = ohm == symptom.ohm || (ohm / symptom.ohm - 1.0).abs() < 1e-9;
                    assert!(is_same, "{name} {}: {ohm} {}", row.fault.title, symptom.ohm);
                }
            }
        }
    }
}
