//! The story in words.

use std::collections::BTreeSet;

use crate::model::{ControlId, Deed, ModeId, Project, SensePinId, Story, StoryEvent, StoryLink};
use crate::proving::story::infer::StoryField;
use crate::proving::story::typed::shown_display;
use crate::units::trim_zeros;

/// `a, b or c`.
pub(super) fn listed<T: AsRef<str>>(names: &[T]) -> String {
    match names {
        [] => String::new(),
        [one] => one.as_ref().to_owned(),
        [head @ .., last] => {
            let head: Vec<&str> = head.iter().map(AsRef::as_ref).collect();
            format!("{} or {}", head.join(", "), last.as_ref())
        }
    }
}

/// Milliseconds, seconds from one second on: `60 s`.
pub fn ms_words(ms: u32) -> String {
    if ms < 1_000 {
        format!("{ms} ms")
    } else {
        format!("{} s", trim_zeros(&format!("{:.3}", f64::from(ms) / 1_000.0)))
    }
}

fn control_name(project: &Project, id: ControlId) -> &str {
    project.controls.get(id).map_or("?", |control| control.name.as_str())
}

fn position_name(project: &Project, id: ControlId, position: u8) -> &str {
    let control = project.controls.get(id);
    let position = control.and_then(|control| control.positions.get(usize::from(position)));
    position.map_or("?", |position| position.name.as_str())
}

fn pin_name(project: &Project, id: SensePinId) -> String {
    project.sense_pins.get(id).map_or_else(|| "?".into(), |pin| project.terminal_name(pin.terminal))
}

/// A candidate list: `neutral`, or `one of 3, 4, 5`.
fn candidates<T: AsRef<str>>(names: &[T]) -> String {
    match names {
        [one] => one.as_ref().to_owned(),
        several => {
            let all: Vec<&str> = several.iter().map(AsRef::as_ref).collect();
            format!("one of {}", all.join(", "))
        }
    }
}

fn mode_words(story: &Story, modes: &BTreeSet<ModeId>) -> String {
    candidates(&modes.iter().map(|mode| story.mode_name(*mode)).collect::<Vec<_>>())
}

/// What leads on: `Gate comes to HOLD`, `X1-11 comes to read UP`, `time passes`.
pub fn event_words(project: &Project, event: &StoryEvent) -> String {
    match event {
        StoryEvent::Stands { control, positions } => {
            let names: Vec<&str> =
                positions.iter().map(|p| position_name(project, *control, *p)).collect();
            format!("{} comes to {}", control_name(project, *control), candidates(&names))
        }
        StoryEvent::Reads { pin, actions } => {
            let names: Vec<&String> = actions.iter().collect();
            format!("{} comes to read {}", pin_name(project, *pin), candidates(&names))
        }
        StoryEvent::TimePasses => "time passes".into(),
    }
}

/// A link in one line: `from ready, when Gate comes to HOLD, within 2 s: to listening`.
pub fn link_words(project: &Project, link: &StoryLink) -> String {
    let story = &project.story;
    let mut words = format!("from {}, ", mode_words(story, &link.from));
    match (&link.event, link.after_ms) {
        (StoryEvent::TimePasses, Some(ms)) => {
            words += &format!("when {} have passed", ms_words(ms))
        }
        (event, after) => {
            words += &format!("when {}", event_words(project, event));
            if let Some(ms) = after {
                words += &format!(", not before {}", ms_words(ms));
            }
        }
    }
    if let Some(ms) = link.within_ms {
        words += &format!(", within {}", ms_words(ms));
    }
    words + &format!(": to {}", mode_words(story, &link.to))
}

/// What was done: `Gate to HOLD`, `Lever to fore and back`, `2 s waited`.
pub fn deed_words(project: &Project, deed: &Deed) -> String {
    let stand = |control: ControlId, position| {
        format!(
            "{} to {}",
            control_name(project, control),
            position_name(project, control, position)
        )
    };
    match deed {
        Deed::SwitchedOn => "switched off and on".into(),
        Deed::Stands { control, position } => stand(*control, *position),
        Deed::Tapped { control, position } => format!("{} and back", stand(*control, *position)),
        Deed::Reads { pin, action } => {
            format!("{} made to read {action}", pin_name(project, *pin))
        }
        Deed::Waited { ms } => format!("{} waited", ms_words(*ms)),
    }
}

/// What the display says now that it said `before`: `the display still says AUTO`.
pub fn display_words(before: &BTreeSet<String>, now: &BTreeSet<String>) -> String {
    let names: Vec<&str> = now.iter().map(|text| shown_display(text)).collect();
    match names.as_slice() {
        [] => "no story that explains this is left".into(),
        [one] if before == now => format!("the display still says {one}"),
        [one] => format!("the display says {one}"),
        several => format!("the display says {}", listed(several)),
    }
}

/// What was not known: `where Gate comes to HOLD is taken from`.
pub fn field_words(project: &Project, field: StoryField) -> String {
    let story = &project.story;
    let link = |id| {
        let words = |link: &StoryLink| match &link.event {
            StoryEvent::TimePasses => {
                format!("{} pass", ms_words(link.after_ms.unwrap_or_default()))
            }
            StoryEvent::Stands { control, positions } if positions.len() > 1 => {
                format!("{} is moved", control_name(project, *control))
            }
            StoryEvent::Reads { pin, actions } if actions.len() > 1 => {
                format!("{} reads something else", pin_name(project, *pin))
            }
            event @ (StoryEvent::Stands { .. } | StoryEvent::Reads { .. }) => {
                event_words(project, event)
            }
        };
        story.links.get(id).map_or_else(|| "?".into(), words)
    };
    let to = |id| story.links.get(id).map_or_else(|| "?".into(), |l| mode_words(story, &l.to));
    match field {
        StoryField::Start => "the mode it is switched on in".into(),
        StoryField::From(id) => {
            format!("the mode from which it goes to {} when {}", to(id), link(id))
        }
        StoryField::On(id) => format!("what leads to {} when {}", to(id), link(id)),
        StoryField::To(id) => format!("the mode it enters when {}", link(id)),
    }
}

/// `1 story`, `6 stories`.
pub fn stories_words(n: u128) -> String {
    match n {
        0 => "no story".into(),
        1 => "1 story".into(),
        u128::MAX => "more stories than can be counted".into(),
        n => format!("{n} stories"),
    }
}
