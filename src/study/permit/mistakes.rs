//! Single mistakes in a permit loop: broken, of the other form, bypassed, touching an end.

use crate::circuit::{Change, Netlist, Source};
use crate::model::{ContactForm, PartId, PartKind, Project, Subject, TerminalRef};
use crate::sense::wire_data;
use crate::study::faults::{Base, Cause, open_faults};
use crate::study::permit::{Mistake, MistakeKind};

/// Every single mistake, and the states in which it closes or opens the loop wrongly.
pub fn list(base: &Base<'_>, sound: &[bool]) -> Vec<Mistake> {
    let mut list = Vec::new();
    let mut add = |kind, title: String, subject, faulty: Option<Vec<bool>>| {
        let Some(faulty) = faulty else { return };
        let differing = |now: bool| {
            let pairs = sound.iter().zip(&faulty).enumerate();
            pairs
                .filter(|(_, (was, is))| **was != **is && **is == now)
                .map(|(idx, _)| idx)
                .collect()
        };
        let (permits, blocks) = (differing(true), differing(false));
        list.push(Mistake { kind, title, subject, permits, blocks });
    };
    for fault in open_faults(base) {
        let (Cause::Circuit(changes), Some(subject)) = (&fault.cause, fault.subjects.first())
        else {
            continue;
        };
        let faulty = closed(base, base.project, &base.netlist.changed(changes));
        add(MistakeKind::Broken, fault.title, *subject, faulty);
    }
    for (part, form) in contacts(base) {
        let name = base.part_name(part);
        if let Some((words, project)) = other_form(base.project, part, form) {
            let netlist = Netlist::new(&project, &wire_data(&project));
            let title = format!("{name} {words}");
            add(MistakeKind::Swapped, title, Subject::Part(part), closed(base, &project, &netlist));
        }
        for throw in 0..form.throws() {
            let Some((a, b)) = form.joined(throw) else { continue };
            let ends = [a, b].map(|terminal| TerminalRef { part, terminal });
            let title = match form.throws() {
                2 if form.terminals() == 2 => format!("{name} bridged or welded"),
                _ => format!(
                    "{} bridged to {}",
                    base.project.terminal_name(ends[0]),
                    base.project.terminal_name(ends[1])
                ),
            };
            add(MistakeKind::Bypassed, title, Subject::Part(part), bridged(base, ends));
        }
    }
    let ends = [base.sense.terminal, base.sense.reference];
    let names = ends.map(|end| base.project.terminal_name(end));
    let title = format!("{} bridged to {}", names[0], names[1]);
    let subject = Subject::Part(base.sense.terminal.part);
    add(MistakeKind::Bypassed, title, subject, bridged(base, ends));
    let (nets, net_of) = base.nets();
    let net = |end: TerminalRef| base.netlist.node(end).map(|node| net_of[node.index()]);
    for (inner, node) in
        nets.iter().filter(|(net_idx, _)| ends.iter().all(|end| net(*end) != Some(**net_idx)))
    {
        debug_assert_eq!(net_of[node.index()], *inner);
        let at = base.netlist.graph[*node].at;
        for (end, name) in ends.iter().zip(&names) {
            let title = format!("{} touches {name}", base.project.terminal_name(at));
            let faulty = bridged(base, [at, *end]);
            add(MistakeKind::Touching, title, Subject::Part(at.part), faulty);
        }
    }
    list
}

/// Contacts of the loop with their forms.
pub fn contacts(base: &Base<'_>) -> Vec<(PartId, ContactForm)> {
    let parts = base.sources().into_iter().filter_map(Source::part);
    parts
        .filter_map(|part| Some((part, base.project.parts.get(part)?.kind.contact()?.form)))
        .collect()
}

/// Whether the loop is closed in each state of another circuit; `None` where an end is gone.
pub fn closed(base: &Base<'_>, project: &Project, netlist: &Netlist) -> Option<Vec<bool>> {
    let ohms = base.ohms(project, netlist)?;
    Some(ohms.into_iter().map(f64::is_finite).collect())
}

fn bridged(base: &Base<'_>, ends: [TerminalRef; 2]) -> Option<Vec<bool>> {
    let [a, b] = ends.map(|end| base.netlist.node(end));
    closed(base, base.project, &base.netlist.changed(&[Change::Bridge(a?, b?, 0.0)]))
}

/// The drawing with the other form of a contact in it, and what that is called; a contact with
/// several ways has none.
fn other_form(
    project: &Project,
    part: PartId,
    form: ContactForm,
) -> Option<(&'static str, Project)> {
    let mut work = project.clone();
    let words = match form {
        ContactForm::NormallyOpen => "normally closed instead of open",
        ContactForm::NormallyClosed => "normally open instead of closed",
        ContactForm::Changeover => "wired rest for work",
        ContactForm::Ways(_) => return None,
    };
    let other = match form {
        ContactForm::NormallyOpen => Some(ContactForm::NormallyClosed),
        ContactForm::NormallyClosed => Some(ContactForm::NormallyOpen),
        ContactForm::Changeover | ContactForm::Ways(_) => None,
    };
    if let Some(other) = other {
        if let Some(PartKind::Contact(contact)) = work.parts.get_mut(part).map(|row| &mut row.kind)
        {
            contact.form = other;
        }
        return Some((words, work));
    }
    for (id, wire) in project.wires.iter() {
        let mut wire = wire.clone();
        for end in [&mut wire.from, &mut wire.to] {
            if end.terminal.part == part && end.terminal.terminal > 0 {
                end.terminal.terminal = 3 - end.terminal.terminal;
            }
        }
        work.wires.put(id, wire);
    }
    Some((words, work))
}
