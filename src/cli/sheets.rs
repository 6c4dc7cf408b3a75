//! `ohmloom sheets FILE`: the packet as PDF, as SVG pages and as tables.

use std::fs;
use std::io::{IsTerminal, Write};
use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};

use crate::cli::output::{Answer, Health};
use crate::cli::text_table::{Align, table, wrapped};
use crate::files::{self, Made};
use crate::model::Project;
use crate::proving::day_number;
use crate::sheets::{
    LabelSheet, Making, Orientation, Packet, Paper, Setup, SheetKind, Tint, csv_text, file_names,
    packet_told, page_names, pdf, svg,
};
use crate::units::counted;

/// What to print, and where to.
#[derive(Args, Clone, Debug, PartialEq, Eq)]
pub struct SheetArgs {
    /// Project file (.ohmloom)
    pub file: PathBuf,
    /// Write the packet as PDF
    #[arg(short, long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// Write each page as SVG into this folder
    #[arg(long, value_name = "DIR")]
    pub svg: Option<PathBuf>,
    /// Write each table as CSV into this folder
    #[arg(long, value_name = "DIR")]
    pub csv: Option<PathBuf>,
    /// Add the build board at full size, which takes many pages
    #[arg(long)]
    pub board: bool,
    /// Only these sheets, in this order: owner, cautions, drawing, states, cut, connectors, routing,
    /// rope, board, labels, test, faults, controller, sign-off
    #[arg(long, value_name = "SHEETS", value_delimiter = ',', value_parser = sheet)]
    pub only: Vec<SheetKind>,
    /// Paper
    #[arg(long, value_enum, default_value = "a4")]
    pub paper: PaperName,
    /// The paper lies on its long side
    #[arg(long)]
    pub landscape: bool,
    /// Black and white; nothing depends on colour
    #[arg(long)]
    pub mono: bool,
    /// Date at the foot of every page, such as 2026-05-01; a line to write on without it
    #[arg(long, value_name = "DATE", default_value = "", value_parser = date)]
    pub date: String,
    /// Print markers on sleeves or stickers of this size, such as 50x12 (width x height in mm)
    #[arg(long, value_name = "WxH", value_parser = pair)]
    pub label_size: Option<Lengths>,
    /// Labels side by side and below each other, such as 3x20; without it as many as fit
    #[arg(long, value_name = "CxR", value_parser = whole_pair, requires = "label_size")]
    pub label_grid: Option<(u16, u16)>,
    /// From the left and upper edge of the paper to the first label, in mm
    #[arg(long, value_name = "XxY", value_parser = pair, default_value = "10x10", requires = "label_size")]
    pub label_from: Lengths,
    /// Between labels side by side and below each other, in mm
    #[arg(long, value_name = "XxY", value_parser = pair, default_value = "0x0", requires = "label_size")]
    pub label_gap: Lengths,
    /// Labels of the first sheet that are used up already
    #[arg(long, value_name = "COUNT", default_value_t = 0, requires = "label_size")]
    pub label_used: u16,
}

/// Paper by its name.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum PaperName {
    /// 210 x 297 mm
    A4,
    /// 8.5 x 11 inch
    Letter,
    /// 297 x 420 mm
    A3,
}

fn sheet(word: &str) -> Result<SheetKind, String> {
    SheetKind::from_word(word.trim()).ok_or_else(|| {
        let words = SheetKind::ALL.map(SheetKind::word).join(", ");
        format!("expected one of the sheets {words}, found \"{word}\"")
    })
}

/// Whether there is such a year, month and day.
fn is_in_calendar(date: [&str; 3]) -> bool {
    let [Ok(year), Ok(month), Ok(day)] = date.map(str::parse) else { return false };
    day_number(year, month, day).is_some()
}

/// A date as any country writes it: two numbers at least, and where it is plain which is which, a day
/// there is.
fn date(text: &str) -> Result<String, String> {
    let numbers: Vec<&str> =
        text.split(|c: char| !c.is_ascii_digit()).filter(|part| !part.is_empty()).collect();
    let is_day = match numbers[..] {
        [year, month, day] if year.len() == 4 => is_in_calendar([year, month, day]),
        // Day first or month first: one of them must be a month.
        [a, b, year] if year.len() == 4 => {
            is_in_calendar([year, b, a]) || is_in_calendar([year, a, b])
        }
        _ => numbers.len() >= 2,
    };
    if text.trim().is_empty() || is_day {
        return Ok(text.to_owned());
    }
    Err(format!("expected a date such as 2026-05-01, found \"{text}\""))
}

/// `50x12`, `50×12` or `50,12`.
fn parts_of(text: &str) -> Option<(&str, &str)> {
    let (a, b) = text.split_once(['x', 'X', '×', ','])?;
    Some((a.trim(), b.trim()))
}

/// Two lengths in whole micrometres, because arguments are compared.
type Lengths = (u32, u32);

fn millimetres((a, b): Lengths) -> (f64, f64) {
    (f64::from(a) / 1000.0, f64::from(b) / 1000.0)
}

fn pair(text: &str) -> Result<Lengths, String> {
    let length = |text: &str| {
        let value: f64 = text.parse().ok()?;
        (0.0..=10_000.0).contains(&value).then(|| (value * 1000.0).round() as u32)
    };
    let both = parts_of(text).and_then(|(a, b)| Some((length(a)?, length(b)?)));
    both.ok_or_else(|| format!("expected two lengths in mm such as 50x12, found {text}"))
}

fn whole_pair(text: &str) -> Result<(u16, u16), String> {
    parts_of(text)
        .and_then(|(a, b)| Some((a.parse().ok()?, b.parse().ok()?)))
        .ok_or_else(|| format!("expected two whole numbers such as 3x20, found {text}"))
}

impl SheetArgs {
    /// The sheet of labels that was asked for.
    fn labels(&self, paper_mm: (f64, f64)) -> Result<Option<LabelSheet>, String> {
        let Some(size_mm) = self.label_size else { return Ok(None) };
        let mut sheet = LabelSheet::fitting(
            millimetres(size_mm),
            paper_mm,
            millimetres(self.label_from),
            millimetres(self.label_gap),
        );
        if let Some((columns, rows)) = self.label_grid {
            (sheet.columns, sheet.rows) = (columns, rows);
        }
        sheet.used = self.label_used;
        sheet.check(paper_mm).map_err(|why| format!("the labels do not fit: {why}"))?;
        Ok(Some(sheet))
    }

    fn leaves_board_out(&self) -> bool {
        self.only.is_empty() && !self.board
    }

    fn setup(&self) -> Result<Setup, String> {
        let mut sheets =
            if self.only.is_empty() { SheetKind::ALL.to_vec() } else { self.only.clone() };
        if self.leaves_board_out() {
            sheets.retain(|kind| *kind != SheetKind::Board);
        } else if self.board && !sheets.contains(&SheetKind::Board) {
            sheets.push(SheetKind::Board);
        }
        let mut setup = Setup {
            paper: match self.paper {
                PaperName::A4 => Paper::A4,
                PaperName::Letter => Paper::Letter,
                PaperName::A3 => Paper::A3,
            },
            orientation: if self.landscape {
                Orientation::Landscape
            } else {
                Orientation::Portrait
            },
            tint: if self.mono { Tint::Mono } else { Tint::Colour },
            date: self.date.clone(),
            sheets,
            labels: None,
        };
        if self.label_size.is_some() && !setup.sheets.contains(&SheetKind::Labels) {
            let words: Vec<&str> = setup.sheets.iter().map(|kind| kind.word()).collect();
            return Err(format!(
                "expected the sheet labels after --only because of --label-size, found {}",
                words.join(", ")
            ));
        }
        setup.labels = self.labels(setup.size_mm())?;
        Ok(setup)
    }
}

/// Makes the packet and writes what was asked for; the answer says what there is and what is blank.
///
/// Everything is put together before the first file is touched.
///
/// # Errors
/// A sentence where nothing was asked for, where a file would be the project itself, or where one
/// cannot be written.
pub fn answer(args: &SheetArgs) -> Result<Answer, String> {
    if args.out.is_none() && args.svg.is_none() && args.csv.is_none() {
        return Err("say where to: -o packet.pdf, --svg FOLDER or --csv FOLDER".into());
    }
    let project: Project = files::load(&args.file).map_err(|error| error.to_string())?;
    let setup = args.setup()?;
    let packet = packet_told(&project, &setup, &|| true, &tell).ok_or("the packet was stopped")?;
    let written = written(args, &packet)?;
    for folder in [&args.svg, &args.csv].into_iter().flatten() {
        fs::create_dir_all(folder)
            .map_err(|error| format!("could not make the folder {}: {error}", folder.display()))?;
    }
    for (path, bytes) in &written {
        if files::is_same_file(&args.file, path) {
            return Err(format!(
                "could not write {} over the project file itself: choose another name",
                path.display()
            ));
        }
        files::save_bytes(path, bytes).map_err(|error| error.to_string())?;
    }
    let mut text = summary(&packet, written.len(), args.leaves_board_out());
    for (folder, made) in [(&args.svg, Made::Pages), (&args.csv, Made::Tables)] {
        let own = written.iter().map(|(path, _)| path.as_path());
        let note = folder.as_ref().and_then(|folder| files::others_words(made, folder, own));
        if let Some(note) = note {
            text += &format!("\n{}", wrapped("", &note, 0));
        }
    }
    Ok(Answer { text, health: Health::Fine })
}

/// Says on a terminal how far it is; a file or another program hears nothing.
fn tell(making: Making) {
    let mut err = std::io::stderr();
    if !err.is_terminal() {
        return;
    }
    let what = making.kind.map_or("the states", SheetKind::title);
    // Who has closed the terminal does not want to know.
    let _ = write!(err, "\r\x1b[Kmaking sheet {} of {}: {what}", making.n_done + 1, making.n_all);
    if making.n_done + 1 >= making.n_all {
        let _ = writeln!(err);
    }
}

/// Every file with its bytes.
fn written(args: &SheetArgs, packet: &Packet) -> Result<Vec<(PathBuf, Vec<u8>)>, String> {
    let mut written = Vec::new();
    if let Some(out) = &args.out {
        if files::is_same_file(&args.file, out) {
            return Err("could not write the packet over the project file itself: choose another name after -o".into());
        }
        written.push((out.clone(), pdf(packet, &|| true)?));
    }
    if let Some(folder) = &args.svg {
        written.extend(svg_files(folder, packet));
    }
    if let Some(folder) = &args.csv {
        let names = file_names(&packet.tables);
        for (name, named) in names.into_iter().zip(&packet.tables) {
            written.push((folder.join(name), csv_text(&named.table).into_bytes()));
        }
    }
    Ok(written)
}

fn svg_files(folder: &Path, packet: &Packet) -> Vec<(PathBuf, Vec<u8>)> {
    let names = page_names(packet).into_iter().zip(&packet.pages);
    names.map(|((name, title), page)| (folder.join(name), svg(page, &title).into_bytes())).collect()
}

fn summary(packet: &Packet, n_files: usize, is_board_left_out: bool) -> String {
    let pages = counted(packet.pages.len(), "page");
    let files = counted(n_files, "file");
    let head = format!("{}: {pages}, {files} written", packet.title);
    let mut text = wrapped("", &head, 0) + "\n";
    let rows: Vec<Vec<String>> = packet
        .bookmarks
        .iter()
        .map(|mark| {
            let n_blank = packet.blanks.iter().filter(|blank| blank.sheet == mark.kind).count();
            vec![
                mark.kind.word().to_owned(),
                mark.title.clone(),
                (mark.page + 1).to_string(),
                mark.n_pages.to_string(),
                n_blank.to_string(),
            ]
        })
        .collect();
    let columns = [
        ("sheet", Align::Left),
        ("title", Align::Left),
        ("from page", Align::Right),
        ("pages", Align::Right),
        ("blanks", Align::Right),
    ];
    text += &table(&columns, &rows);
    if is_board_left_out {
        let words = "The build board at full size is left out: --board adds it, --only board prints it alone.";
        text += &format!("\n{}", wrapped("", words, 0));
    }
    if !packet.blanks.is_empty() {
        text += "\nStill blank\n";
        for blank in &packet.blanks {
            text += &wrapped("- ", &format!("{}: {}", blank.sheet.word(), blank.what), 2);
        }
    }
    text
}
