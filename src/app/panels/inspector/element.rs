//! Diode, relay, load and second input: the figures each is reckoned with.

use egui::{Id, Ui};

use crate::app::panels::inspector::part::set_part;
use crate::app::widgets::{
    Field, Pen, RangeUnit, choice, label_cell, number_text, ohm_text, optional_row, parse_count,
    parse_ohms, parse_positive, parse_unit, quiet, range_row, tolerance_row,
};
use crate::edit::Edit;
use crate::model::{
    Diode, Draw, Element, Input, KNEE_VOLT, Load, LoadForm, Part, PartId, PartKind, Relay,
};
use crate::units::{Range, Tolerant};

type Row<'a> = (PartId, &'a Part);

/// All properties of an element.
pub fn element_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, row: Row<'_>, element: &Element) {
    match element {
        Element::Diode(diode) => diode_ui(ui, pen, row, diode),
        Element::Relay(relay) => relay_ui(ui, pen, row, relay),
        Element::Load(load) => load_ui(ui, pen, row, load),
        Element::Input(input) => input_ui(ui, pen, row, input),
    }
}

fn set(row: Row<'_>, element: Element) -> Result<Edit, String> {
    set_part(row, |part| {
        part.kind = PartKind::Element(element);
        Ok(())
    })
}

fn diode_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, row: Row<'_>, diode: &Diode) {
    let id = row.0;
    let with = |change: &dyn Fn(&mut Diode)| {
        let mut diode = *diode;
        change(&mut diode);
        set(row, Element::Diode(diode))
    };
    let names = ("Drop", "Forward drop", Id::unique(("diode drop", id)));
    range_row(ui, pen, names, (RangeUnit::Volt, diode.drop_volt), |range| {
        with(&|diode| diode.drop_volt = range)
    });
    let on = Field::figure(Id::unique(("diode on", id)), "Resistance on", ohm_text(diode.on_ohm));
    pen.row(ui, "On", &on, |text| {
        let ohm = parse_ohms(text)?;
        with(&|diode| diode.on_ohm = ohm)
    });
    let shown = diode.leak_ohm.map_or_else(String::new, |leak| ohm_text(leak.nominal));
    let leak = Field::figure(Id::unique(("diode leak", id)), "Leak", shown).hint("none");
    pen.row(ui, "Leak", &leak, |text| {
        let leak = match text.trim() {
            "" | "none" => None,
            text => Some(Range::exact(parse_ohms(text)?)),
        };
        with(&|diode| diode.leak_ohm = leak)
    });
    let words = "Conducts from anode to cathode above its drop. What a meter's ohms show across a diode depends on the meter: here it blocks.";
    quiet(ui, words, pen.view.palette);
}

fn relay_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, row: Row<'_>, relay: &Relay) {
    let id = row.0;
    let with = |change: &dyn Fn(&mut Relay)| {
        let mut relay = *relay;
        change(&mut relay);
        set(row, Element::Relay(relay))
    };
    let names = ("Coil", "Coil resistance", Id::unique(("relay coil", id)));
    range_row(ui, pen, names, (RangeUnit::Ohm, relay.coil_ohm), |range| {
        with(&|relay| relay.coil_ohm = range)
    });
    let volts = |text: &str| parse_positive(text, "V", "volts such as 7.2 V");
    let pull = number_text(relay.pull_in_volt, "V");
    let pull = Field::figure(Id::unique(("relay pull", id)), "Pulls at", pull);
    pen.row(ui, "Pulls at", &pull, |text| {
        let volt = volts(text)?;
        with(&|relay| relay.pull_in_volt = volt)
    });
    let drop = number_text(relay.drop_out_volt, "V");
    let drop = Field::figure(Id::unique(("relay drop", id)), "Drops at", drop);
    pen.row(ui, "Drops at", &drop, |text| {
        let volt = parse_unit(text, "V", "volts such as 1.2 V")?;
        with(&|relay| relay.drop_out_volt = volt)
    });
    let sets = Field::figure(
        Id::unique(("relay sets", id)),
        "Contact sets",
        number_text(f64::from(relay.sets), ""),
    );
    pen.row(ui, "Sets", &sets, |text| {
        let count = parse_count(text, "a number of contact sets such as 1")?;
        let sets = u8::try_from(count).map_err(|_| "at most 8 contact sets".to_owned())?;
        with(&|relay| relay.sets = sets)
    });
    let words = "A1 and A2 are the coil; 11 is the first common, 12 its rest and 14 its work contact. A coil switched off gives a high voltage back: put a diode or a resistor across it.";
    quiet(ui, words, pen.view.palette);
}

fn load_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, row: Row<'_>, load: &Load) {
    let id = row.0;
    let is_ohm = matches!(load.draw, Draw::Ohm(_));
    let form = |form: LoadForm| match form {
        LoadForm::Lamp => "lamp",
        LoadForm::Other => "something else",
    };
    ui.horizontal(|ui| {
        label_cell(ui, "Drawn as", pen.view.palette);
        let options = [LoadForm::Lamp, LoadForm::Other].map(|f| (form(f).to_owned(), f));
        let id = Id::unique(("load form", id));
        if let Some(form) = choice(ui, id, "Drawn as", form(load.form), options)
            && let Ok(edit) = set(row, Element::Load(Load { form, ..*load }))
        {
            pen.edit(edit);
        }
    });
    ui.horizontal(|ui| {
        label_cell(ui, "Known by", pen.view.palette);
        for (word, wanted) in [("Ohms", true), ("Amperes", false)] {
            if ui.selectable_label(is_ohm == wanted, word).clicked() && is_ohm != wanted {
                // Twelve volts stand between the two until a figure is typed.
                let turned = |range: Range| Range {
                    low: 12.0 / range.high,
                    nominal: 12.0 / range.nominal,
                    high: 12.0 / range.low,
                };
                let draw = match load.draw {
                    Draw::Ohm(ohm) => Draw::Amp(turned(ohm)),
                    Draw::Amp(amp) => Draw::Ohm(turned(amp)),
                };
                if let Ok(edit) = set(row, Element::Load(Load { draw, ..*load })) {
                    pen.edit(edit);
                }
            }
        }
    });
    let (unit, range) = match load.draw {
        Draw::Ohm(ohm) => (RangeUnit::Ohm, ohm),
        Draw::Amp(amp) => (RangeUnit::Amp, amp),
    };
    let names = ("Takes", "What it takes", Id::unique(("load draw", id)));
    range_row(ui, pen, names, (unit, range), |range| {
        let draw = if is_ohm { Draw::Ohm(range) } else { Draw::Amp(range) };
        set(row, Element::Load(Load { draw, ..*load }))
    });
    let words = if is_ohm {
        "A cold lamp has about a tenth of its hot resistance (common practice, no source): give the range that can occur.".to_owned()
    } else {
        format!("Takes this current from {KNEE_VOLT} V on, below that it is a resistance.")
    };
    quiet(ui, words, pen.view.palette);
}

fn input_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, row: Row<'_>, input: &Input) {
    let id = row.0;
    let edit = |input: Input| {
        Edit::SetPart(
            id,
            Box::new(Part { kind: PartKind::Element(Element::Input(input)), ..row.1.clone() }),
        )
    };
    let tolerant = |nominal: Option<f64>, now: Option<Tolerant>| {
        nominal
            .map(|nominal| Tolerant { nominal, tolerance: now.map_or(0.05, |now| now.tolerance) })
    };
    let shown = input.pull_ohm.map_or_else(String::new, |pull| ohm_text(pull.nominal));
    let field = Field::figure(Id::unique(("input pull", id)), "Pull of the input", shown);
    optional_row(ui, pen, ("Pull", field), parse_ohms, |ohm| {
        edit(Input { pull_ohm: tolerant(ohm, input.pull_ohm), ..*input })
    });
    if let Some(now) = input.pull_ohm {
        let name = ("the input's pull", Id::unique(("input pull tolerance", id)));
        tolerance_row(ui, pen, name, now, |now| edit(Input { pull_ohm: Some(now), ..*input }));
    }
    let shown = input.pull_volt.map_or_else(String::new, |volt| number_text(volt.nominal, "V"));
    let field =
        Field::figure(Id::unique(("input volt", id)), "Where it goes", shown).hint("ground");
    let volts = |text: &str| parse_positive(text, "V", "volts such as 5 V, or nothing for ground");
    pen.row(ui, "Goes to", &field, |text| {
        let volt = match text.trim() {
            "" | "ground" => None,
            text => Some(volts(text)?),
        };
        Ok(edit(Input { pull_volt: tolerant(volt, input.pull_volt), ..*input }))
    });
    let words = "An input of another module on the same wire: its pull and the pin's own work against each other.";
    quiet(ui, words, pen.view.palette);
}
