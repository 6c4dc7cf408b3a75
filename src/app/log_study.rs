//! The log on page "Log": read, loaded and put to the drawing by workers, one after the other.
//!
//! The file is only ever read. Each answer belongs to what it was asked for: the matching of the
//! columns, the drawing and the pin.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicU32, Ordering};

use crate::app::studies::{Job, Kept};
use crate::files;
use crate::model::{Project, SensePinId};
use crate::proving::replay::{
    Log, Matching, Outline, Replay, Role, Unit, load, outline, propose, replay,
};
use crate::tables::{Decimal, Delimiter};

/// What a hand asks of the log.
#[derive(Clone, Debug, PartialEq)]
pub enum LogAsk {
    /// Gives a column of the file a meaning.
    Match(usize, Option<Role>),
    /// The unit of a meaning.
    Unit(Role, Unit),
    /// What stands between two cells; columns are proposed anew.
    Delimiter(Delimiter),
    /// The decimal mark.
    Decimal(Decimal),
    /// Gives up loading.
    Stop,
    /// Loads after all.
    GoOn,
    /// Puts the log away.
    Close,
}

/// Where a log stands.
pub enum LogStanding<'a> {
    /// None is open.
    Closed,
    /// It is being read or loaded; the share that is done.
    Coming(f32),
    /// A hand stopped it.
    Stopped,
    /// Why it cannot be shown.
    Refused(&'a str),
    /// It is loaded and being put to the drawing.
    Deciding(&'a Arc<Log>),
    /// All is known.
    Ready(&'a Arc<Log>, &'a Replay),
}

/// The bytes of a file and what its first lines show.
type File = Result<(Arc<Vec<u8>>, Outline), String>;

/// A log, as far as it is known.
#[derive(Default)]
pub struct LogStudy {
    path: Option<PathBuf>,
    /// Counts files and matchings, so that a late answer is told apart.
    number: u64,
    delimiter: Option<Delimiter>,
    file: Kept<File, u64>,
    file_number: u64,
    matching: Option<Matching>,
    /// The pin the columns were proposed for, and whether a hand matched any since.
    proposed_for: Option<SensePinId>,
    is_by_hand: bool,
    loaded: Kept<Result<Arc<Log>, String>, u64>,
    replayed: Kept<Result<Replay, String>, (u64, SensePinId, u64)>,
    key: Option<(u64, SensePinId, u64)>,
    /// Thousandths that are read.
    share: Arc<AtomicU32>,
    is_stopped: bool,
}

impl LogStudy {
    /// Reads another file.
    pub fn open(&mut self, path: PathBuf) {
        let number = self.number + 1;
        *self = Self { path: Some(path), number, file_number: number, ..Self::default() };
    }

    /// Takes what is asked.
    pub fn ask(&mut self, ask: &LogAsk) {
        match *ask {
            LogAsk::Match(slot, role) => self.change(|matching| matching.set(slot, role)),
            LogAsk::Unit(role, unit) => self.change(|matching| matching.set_unit(role, unit)),
            LogAsk::Decimal(decimal) => self.change(|matching| matching.decimal = decimal),
            LogAsk::Delimiter(delimiter) => {
                self.delimiter = Some(delimiter);
                self.number += 1;
                self.file_number = self.number;
                self.matching = None;
                self.is_by_hand = false;
            }
            LogAsk::Stop => {
                self.is_stopped = true;
                self.loaded = Kept::default();
                self.replayed = Kept::default();
            }
            LogAsk::GoOn => self.is_stopped = false,
            LogAsk::Close => *self = Self { number: self.number + 1, ..Self::default() },
        }
    }

    fn change(&mut self, how: impl FnOnce(&mut Matching)) {
        if let Some(matching) = &mut self.matching {
            how(matching);
            self.is_by_hand = true;
            self.number += 1;
            self.is_stopped = false;
        }
    }

    /// Another project: its controls are others, so columns are proposed anew.
    pub fn forget_project(&mut self) {
        self.matching = None;
        self.is_by_hand = false;
        self.key = None;
        self.number += 1;
    }

    /// Takes answers in and starts what is wanted next.
    pub fn refresh(&mut self, (drawing, number): (&Arc<Project>, u64), pin: Option<SensePinId>) {
        let Some(path) = &self.path else { return };
        self.file.take();
        if self.file.wants(self.file_number) {
            let (path, delimiter) = (path.clone(), self.delimiter);
            let job = Job::start(move |_| Some(read(&path, delimiter)));
            self.file.start(self.file_number, job);
        }
        let Some(Some(Ok((bytes, outline)))) = self.file.of(self.file_number) else { return };
        let Some((pin, sense)) = pin.and_then(|pin| Some((pin, drawing.sense_pins.get(pin)?)))
        else {
            return;
        };
        if self.matching.is_some() && self.proposed_for != Some(pin) && !self.is_by_hand {
            self.matching = None;
            self.number += 1;
        }
        self.proposed_for = Some(pin);
        let matching =
            self.matching.get_or_insert_with(|| propose(outline, drawing, sense)).clone();
        if self.is_stopped {
            return;
        }
        self.loaded.take();
        if self.loaded.wants(self.number) {
            let (bytes, outline, share) = (bytes.clone(), outline.clone(), self.share.clone());
            share.store(0, Ordering::Relaxed);
            let job = Job::start(move |leash| {
                let progress = |done: f64| {
                    share.store((done * 1e3) as u32, Ordering::Relaxed);
                    leash.goes_on()
                };
                match load(&bytes, &outline, &matching, &progress) {
                    Ok(log) => log.map(|log| Ok(Arc::new(log))),
                    Err(why) => Some(Err(why)),
                }
            });
            self.loaded.start(self.number, job);
        }
        let Some(Some(Ok(log))) = self.loaded.of(self.number) else { return };
        self.replayed.take();
        let key = (number, pin, self.number);
        self.key = Some(key);
        if self.replayed.wants(key) {
            let (drawing, log) = (drawing.clone(), log.clone());
            let job =
                Job::start(move |leash| match replay(&drawing, pin, &log, &|| leash.goes_on()) {
                    Ok(replay) => replay.map(Ok),
                    Err(why) => Some(Err(why)),
                });
            self.replayed.start(key, job);
        }
    }

    /// Where it stands.
    pub fn standing(&self) -> LogStanding<'_> {
        const FAILED: &str = "the log could not be read; the file is unharmed";
        if self.path.is_none() {
            return LogStanding::Closed;
        }
        match self.file.of(self.file_number) {
            None => return LogStanding::Coming(0.0),
            Some(None) => return LogStanding::Refused(FAILED),
            Some(Some(Err(why))) => return LogStanding::Refused(why),
            Some(Some(Ok(_))) if self.is_stopped => return LogStanding::Stopped,
            Some(Some(Ok(_))) => {}
        }
        let log = match self.loaded.of(self.number) {
            None => return LogStanding::Coming(self.share.load(Ordering::Relaxed) as f32 / 1e3),
            Some(None) => return LogStanding::Refused(FAILED),
            Some(Some(Err(why))) => return LogStanding::Refused(why),
            Some(Some(Ok(log))) => log,
        };
        match self.key.and_then(|key| self.replayed.of(key)) {
            None => LogStanding::Deciding(log),
            Some(None) => LogStanding::Refused(FAILED),
            Some(Some(Err(why))) => LogStanding::Refused(why),
            Some(Some(Ok(replay))) => LogStanding::Ready(log, replay),
        }
    }

    /// The first lines of the file, and how it is understood.
    pub fn columns(&self) -> Option<(&Outline, &Matching)> {
        match self.file.of(self.file_number) {
            Some(Some(Ok((_, outline)))) => Some((outline, self.matching.as_ref()?)),
            Some(Some(Err(_)) | None) | None => None,
        }
    }

    /// Name of the file.
    pub fn name(&self) -> Option<String> {
        let name = self.path.as_deref().and_then(Path::file_name)?;
        Some(name.to_string_lossy().into_owned())
    }

    /// Changes with every file and every matching.
    pub fn number(&self) -> u64 {
        self.number
    }

    /// Whether a worker is at work.
    pub fn is_busy(&self) -> bool {
        self.file.is_busy() || self.loaded.is_busy() || self.replayed.is_busy()
    }
}

fn read(path: &Path, delimiter: Option<Delimiter>) -> File {
    let bytes = files::read_log(path).map_err(|error| error.to_string())?;
    let outline = outline(&bytes, delimiter)?;
    Ok((Arc::new(bytes), outline))
}
