//! Which column of a recorded file means what: proposed from heads and cells, matched by hand.

use crate::model::{ControlId, Project, Scale, SensePin};
use crate::proving::replay::named::{control_of_name, state_of};
use crate::proving::replay::outline::{Looks, Outline, looks};
use crate::proving::replay::unit::Unit;
use crate::tables::{Decimal, Delimiter};

/// What a column means.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Role {
    /// When the row was recorded.
    Time,
    /// The day, where it stands apart from the time of day.
    Date,
    /// What the pin read.
    Reading,
    /// Volts of the supply.
    Supply,
    /// How all controls stood, such as `LEFT on, CENTRE on`, or the action asked for.
    State,
    /// How one control stood.
    Control(ControlId),
    /// Text that is kept and shown.
    Text,
}

/// How a file is to be understood.
#[derive(Clone, Debug, PartialEq)]
pub struct Matching {
    /// What stands between two cells.
    pub delimiter: Delimiter,
    /// Decimal mark.
    pub decimal: Decimal,
    /// What each column means; `None` is left out.
    pub roles: Vec<Option<Role>>,
    /// Unit of times without one of their own.
    pub time_unit: Unit,
    /// Unit of readings without one of their own.
    pub reading_unit: Unit,
    /// Unit of supplies without one of their own.
    pub supply_unit: Unit,
    /// What had to be taken for granted, in words.
    pub taken: Vec<String>,
    /// Units each column speaks of: by the line of units, its head and its cells.
    spoken: Vec<Vec<Unit>>,
    /// Unit of readings where nothing speaks of one.
    usual: Unit,
}

impl Matching {
    /// The column with a meaning.
    pub fn slot(&self, role: Role) -> Option<usize> {
        self.roles.iter().position(|known| *known == Some(role))
    }

    /// Gives a column a meaning; no two columns have the same one, but for text. The unit of the
    /// meaning becomes that of the column.
    pub fn set(&mut self, slot: usize, role: Option<Role>) {
        let Some(before) = self.roles.get(slot).copied().filter(|before| *before != role) else {
            return;
        };
        if role.is_some_and(|role| role != Role::Text) {
            for other in self.roles.iter_mut().filter(|other| **other == role) {
                *other = None;
            }
        }
        self.roles[slot] = role;
        for role in [before, role].into_iter().flatten() {
            self.settle_unit(role);
        }
    }

    /// Takes the unit of a meaning from its column; what nobody says is taken and said.
    fn settle_unit(&mut self, role: Role) {
        let usual = match role {
            Role::Time => Unit::Second,
            Role::Reading => self.usual,
            Role::Supply => Unit::Volt,
            Role::Date | Role::State | Role::Control(_) | Role::Text => return,
        };
        let Some(slot) = self.slot(role) else {
            return self.set_unit(role, usual);
        };
        let spoken = self.spoken[slot].iter().copied().find(|unit| fits(role, *unit));
        self.set_unit(role, spoken.unwrap_or(usual));
        if spoken.is_none() {
            let more = if role == Role::Reading { ", the scale of the pin's bands" } else { "" };
            self.taken.push(format!(
                "unit of the {} not given: taken as {}{more}",
                role.word(),
                usual.word()
            ));
        }
    }

    /// The unit of a meaning; `None` where it has none.
    pub fn unit(&self, role: Role) -> Option<Unit> {
        match role {
            Role::Time => Some(self.time_unit),
            Role::Reading => Some(self.reading_unit),
            Role::Supply => Some(self.supply_unit),
            Role::Date | Role::State | Role::Control(_) | Role::Text => None,
        }
    }

    /// Sets the unit of a meaning and takes back what was taken for granted about it.
    pub fn set_unit(&mut self, role: Role, unit: Unit) {
        match role {
            Role::Time => self.time_unit = unit,
            Role::Reading => self.reading_unit = unit,
            Role::Supply => self.supply_unit = unit,
            Role::Date | Role::State | Role::Control(_) | Role::Text => return,
        }
        let start = format!("unit of the {}", role.word());
        self.taken.retain(|words| !words.starts_with(&start));
    }
}

impl Role {
    /// The word for it; a control goes by its own name.
    pub fn word(self) -> &'static str {
        match self {
            Self::Time => "time",
            Self::Date => "date",
            Self::Reading => "reading",
            Self::Supply => "supply",
            Self::State => "state",
            Self::Control(_) => "control",
            Self::Text => "text",
        }
    }

    /// Words a head may use for it (common practice, no source).
    fn heads(self) -> &'static [&'static str] {
        match self {
            Self::Time => &["time", "t", "timestamp", "elapsed", "clock", "datetime", "uptime"],
            Self::Date => &["date", "day"],
            Self::Reading => &[
                "reading",
                "signal",
                "ohm",
                "ohms",
                "resistance",
                "sense",
                "pin",
                "adc",
                "counts",
                "count",
                "voltage",
                "volt",
                "volts",
                "v",
                "Ω",
                "kohm",
                "value",
            ],
            Self::Supply => {
                &["supply", "battery", "batt", "vbat", "ubat", "vcc", "vsupply", "ignition"]
            }
            Self::State => &["state", "controls", "position", "positions"],
            Self::Control(_) | Self::Text => &[],
        }
    }
}

/// The likeliest way to understand a file that was recorded at this pin.
pub fn propose(outline: &Outline, project: &Project, pin: &SensePin) -> Matching {
    let n = outline.n_columns();
    let heads: Vec<Head> = (0..n).map(|idx| head(outline, idx)).collect();
    let first: Vec<Looks> = (0..n).map(|idx| column_looks(outline, idx)).collect();
    let mut out = Matching {
        delimiter: outline.delimiter,
        decimal: outline.decimal,
        roles: vec![None; n],
        time_unit: Unit::Second,
        reading_unit: unit_of_scale(pin.scale),
        supply_unit: Unit::Volt,
        taken: Vec::new(),
        spoken: (0..n).map(|idx| spoken(outline, idx, (&heads[idx], first[idx]))).collect(),
        usual: unit_of_scale(pin.scale),
    };
    for idx in 0..n {
        let is_text = first[idx] == Looks::Text;
        let control = control_of_name(project, &outline.heads[idx]).filter(|_| is_text);
        let by_words = |role: Role| {
            role.heads().iter().any(|word| heads[idx].words.contains(&(*word).to_owned()))
        };
        let role = match control {
            Some(id) => Some(Role::Control(id)),
            None if is_text
                && (by_words(Role::State) || holds_states(outline, project, pin, idx)) =>
            {
                Some(Role::State)
            }
            None if is_text => Some(Role::Text),
            None => [Role::Supply, Role::Date, Role::Time, Role::Reading]
                .into_iter()
                .find(|role| by_words(*role)),
        };
        let is_free = role.is_none_or(|role| role == Role::Text || out.slot(role).is_none());
        out.roles[idx] = if is_free {
            role
        } else if is_text {
            Some(Role::Text)
        } else {
            None
        };
    }
    fill(&mut out, &heads, &first);
    // A date that holds the time of day too is the time.
    if out.slot(Role::Time).is_none()
        && let Some(slot) = out.slot(Role::Date)
    {
        out.set(slot, Some(Role::Time));
    }
    for role in [Role::Time, Role::Reading, Role::Supply] {
        if out.slot(role).is_some() {
            out.settle_unit(role);
        }
    }
    out
}

/// Figures nobody named: the first is the time, the next the reading.
fn fill(out: &mut Matching, heads: &[Head], first: &[Looks]) {
    let is_figure = |looks: Looks| matches!(looks, Looks::Number(_) | Looks::Clock);
    let time_like = |idx: &usize| {
        first[*idx] == Looks::Clock
            || heads[*idx].unit.or(unit_in(first[*idx])).is_some_and(|unit| unit.scale().is_none())
    };
    let free = |out: &Matching| -> Vec<usize> {
        (0..first.len()).filter(|n| out.roles[*n].is_none() && is_figure(first[*n])).collect()
    };
    let has_date_alone = out.slot(Role::Date).is_some();
    if out.slot(Role::Time).is_none() {
        let free = free(out);
        let found = free.iter().copied().find(time_like);
        let found = found.or_else(|| free.first().copied().filter(|_| !has_date_alone));
        if let Some(slot) = found {
            out.roles[slot] = Some(Role::Time);
        }
    }
    if out.slot(Role::Reading).is_none() {
        let free = free(out);
        let has_unit = |idx: &usize| {
            heads[*idx].unit.or(unit_in(first[*idx])).is_some_and(|unit| unit.scale().is_some())
        };
        if let Some(slot) = free.iter().copied().find(has_unit).or_else(|| free.first().copied()) {
            out.roles[slot] = Some(Role::Reading);
        }
    }
}

/// Units a column speaks of: by the line of units, the head, the cells.
fn spoken(outline: &Outline, slot: usize, (head, first): (&Head, Looks)) -> Vec<Unit> {
    let clock = (first == Looks::Clock).then_some(Unit::Clock);
    let below = Unit::of(outline.units[slot].trim_matches(['(', ')', '[', ']']).trim());
    [clock, below, head.unit, unit_in(first)].into_iter().flatten().collect()
}

/// Reads `time=Time,ohm=3,supply=Battery,LEFT=5` over a proposed matching: columns by head or number.
///
/// # Errors
/// One sentence with the word or the column that is not understood.
pub fn apply_columns(
    matching: &mut Matching,
    outline: &Outline,
    project: &Project,
    text: &str,
) -> Result<(), String> {
    const WORDS: &str = "time, s, ms, clock, date, ohm, kohm, V, mV, count, percent, supply, state, text or a control";
    for pair in text.split(',').filter(|pair| !pair.trim().is_empty()) {
        let (word, column) = pair
            .split_once('=')
            .ok_or_else(|| format!("expected pairs such as time=1,ohm=2, found \"{pair}\""))?;
        let (word, column) = (word.trim(), column.trim());
        let slot = slot_of(outline, column)?;
        let unit = Unit::of(word);
        let role = match word.to_lowercase().as_str() {
            "time" => Role::Time,
            "date" => Role::Date,
            "reading" => Role::Reading,
            "supply" => Role::Supply,
            "state" => Role::State,
            "text" => Role::Text,
            "-" => {
                matching.set(slot, None);
                continue;
            }
            _ => match (control_of_name(project, word), unit) {
                (Some(id), _) => Role::Control(id),
                (None, Some(unit)) if unit.scale().is_none() => Role::Time,
                (None, Some(_)) => Role::Reading,
                (None, None) => {
                    return Err(format!("expected one of {WORDS}, found \"{word}\""));
                }
            },
        };
        matching.set(slot, Some(role));
        if let Some(unit) = unit {
            matching.set_unit(role, unit);
        }
    }
    Ok(())
}

/// Whether a unit can be that of a meaning.
fn fits(role: Role, unit: Unit) -> bool {
    match role {
        Role::Time => unit.scale().is_none(),
        Role::Reading => unit.scale().is_some(),
        Role::Supply => unit.scale() == Some(Scale::Volt),
        Role::Date | Role::State | Role::Control(_) | Role::Text => false,
    }
}

fn slot_of(outline: &Outline, column: &str) -> Result<usize, String> {
    let by_head = outline.heads.iter().position(|head| head.trim().eq_ignore_ascii_case(column));
    let by_number = column.parse::<usize>().ok().and_then(|n| n.checked_sub(1));
    by_head.or(by_number.filter(|n| *n < outline.n_columns())).ok_or_else(|| {
        let names: Vec<String> = (0..outline.n_columns()).map(|n| outline.column_name(n)).collect();
        format!(
            "expected a column by its number from 1 to {} or its head among {}, found \"{column}\"",
            outline.n_columns(),
            names.join(", ")
        )
    })
}

/// The unit that stands for a scale without any multiple.
fn unit_of_scale(scale: Scale) -> Unit {
    match scale {
        Scale::Ohm => Unit::Ohm,
        Scale::Volt => Unit::Volt,
        Scale::Count => Unit::Count,
        Scale::Percent => Unit::Percent,
    }
}

struct Head {
    words: Vec<String>,
    unit: Option<Unit>,
}

fn head(outline: &Outline, idx: usize) -> Head {
    let text = &outline.heads[idx];
    let is_part = |c: char| c.is_alphanumeric() || matches!(c, '%' | 'µ' | 'Ω' | '\u{2126}');
    let parts: Vec<&str> = text.split(|c| !is_part(c)).filter(|word| !word.is_empty()).collect();
    // The unit is the last word that can be one: "signal (V)", "time_ms", "ohm".
    let unit = parts.iter().rev().find_map(|word| Unit::of(word));
    Head { words: parts.iter().map(|word| word.to_lowercase()).collect(), unit }
}

fn unit_in(looks: Looks) -> Option<Unit> {
    match looks {
        Looks::Number(unit) => unit,
        Looks::Empty | Looks::Clock | Looks::OverRange | Looks::Text => None,
    }
}

/// What the first cell that holds anything looks like.
fn column_looks(outline: &Outline, idx: usize) -> Looks {
    let cells = outline.examples.iter().filter_map(|row| row.get(idx));
    let mut all = cells.map(|cell| looks(cell.as_bytes(), outline.decimal));
    let first = all.clone().find(|looks| !matches!(looks, Looks::Empty | Looks::OverRange));
    first.or_else(|| all.find(|looks| *looks == Looks::OverRange)).unwrap_or(Looks::Empty)
}

fn holds_states(outline: &Outline, project: &Project, pin: &SensePin, idx: usize) -> bool {
    let cells = outline.examples.iter().filter_map(|row| row.get(idx));
    let mut cells = cells.filter(|cell| !cell.is_empty()).peekable();
    cells.peek().is_some() && cells.all(|cell| state_of(project, pin, cell).is_some())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::proving::replay::outline::outline;
    use crate::samples;

    fn sprayer() -> (Project, SensePin) {
        let project = samples::open("sprayer").unwrap();
        let pin = project.sense_pins.iter().next().unwrap().1.clone();
        (project, pin)
    }

    fn of(text: &str) -> Matching {
        let (project, pin) = sprayer();
        propose(&outline(text.as_bytes(), None).unwrap(), &project, &pin)
    }

    #[test]
    fn columns_are_proposed_from_heads_and_cells() {
        let (project, _) = sprayer();
        let left = project.controls.ids().next().unwrap();
        let m = of("time_ms;Signal [V];Battery;LEFT;note\n0;4,4;13,8;off;x\n5;4,4;13,8;off;x\n");
        assert_eq!(
            m.roles,
            [Role::Time, Role::Reading, Role::Supply, Role::Control(left), Role::Text].map(Some)
        );
        assert_eq!((m.time_unit, m.reading_unit), (Unit::MilliSecond, Unit::Volt));
        assert_eq!(m.taken, ["unit of the supply not given: taken as V"]);
        let m = of("t,R (kOhm)\n0.1,4.42\n0.2,4.42\n");
        assert_eq!((m.time_unit, m.reading_unit), (Unit::Second, Unit::KiloOhm));
        let m = of("Date;Time;ADC\n01.05.2026;12:00:00;871\n");
        assert_eq!(m.roles, [Role::Date, Role::Time, Role::Reading].map(Some));
        assert_eq!((m.time_unit, m.reading_unit), (Unit::Clock, Unit::Count));
        let m = of("0 ms;1.2 V;LEFT on\n10 ms;1.3 V;all at rest\n");
        assert_eq!(m.roles, [Role::Time, Role::Reading, Role::State].map(Some));
        assert_eq!((m.time_unit, m.reading_unit), (Unit::MilliSecond, Unit::Volt));
        let m = of("2026-05-01 12:00:00,3.2\n2026-05-01 12:00:01,3.2\n");
        assert_eq!(m.time_unit, Unit::Clock);
        assert!(m.taken[0].contains("taken as V, the scale"), "{:?}", m.taken);
    }

    #[test]
    fn a_time_without_unit_is_taken_as_seconds_and_said() {
        let m = of("time;V\n0;4,4\n10;4,4\n20;4,4\n");
        assert_eq!(m.time_unit, Unit::Second);
        assert_eq!(m.taken, ["unit of the time not given: taken as s"]);
    }

    #[test]
    fn the_unit_goes_with_the_column() {
        let (project, pin) = sprayer();
        let seen = outline(b"time_s;signal mV;other\n0;2921;2.921\n1;2921;2.921\n", None).unwrap();
        let proposed = propose(&seen, &project, &pin);
        assert_eq!(proposed.reading_unit, Unit::MilliVolt);
        for by_hand in [true, false] {
            let mut m = proposed.clone();
            if by_hand {
                m.set(2, Some(Role::Reading));
            } else {
                apply_columns(&mut m, &seen, &project, "reading=other").unwrap();
            }
            assert_eq!((m.slot(Role::Reading), m.reading_unit), (Some(2), Unit::Volt));
            assert!(m.taken[0].contains("reading not given"), "{:?}", m.taken);
            m.set(1, Some(Role::Reading));
            assert_eq!((m.reading_unit, m.taken.len()), (Unit::MilliVolt, 0));
        }
        let seen = outline(b"time;x;y\ns;V;mV\n0;2.921;2921\n1;2.921;2921\n", None).unwrap();
        let mut m = propose(&seen, &project, &pin);
        assert_eq!((m.slot(Role::Reading), m.reading_unit), (Some(1), Unit::Volt));
        apply_columns(&mut m, &seen, &project, "reading=y").unwrap();
        assert_eq!((m.reading_unit, m.taken.len()), (Unit::MilliVolt, 0));
        // What a hand chose stays where the meaning stays.
        m.set_unit(Role::Reading, Unit::Count);
        m.set(2, Some(Role::Reading));
        assert_eq!(m.reading_unit, Unit::Count);
    }

    #[test]
    fn columns_are_matched_by_hand() {
        let (project, pin) = sprayer();
        let seen = outline(b"a;b;c;d\n0;1;2;x\n1;2;3;y\n", None).unwrap();
        let mut m = propose(&seen, &project, &pin);
        apply_columns(&mut m, &seen, &project, "ms=2, kohm=c, right=d, -=a").unwrap();
        let right = project.controls.ids().nth(2).unwrap();
        assert_eq!(
            m.roles,
            [None, Some(Role::Time), Some(Role::Reading), Some(Role::Control(right))]
        );
        assert_eq!((m.time_unit, m.reading_unit), (Unit::MilliSecond, Unit::KiloOhm));
        assert!(m.taken.is_empty(), "{:?}", m.taken);
        for (text, part) in [("time", "pairs"), ("time=9", "from 1 to 4"), ("weight=a", "control")]
        {
            let error = apply_columns(&mut m, &seen, &project, text).unwrap_err();
            assert!(error.contains(part), "{error}");
        }
    }
}
