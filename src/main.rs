//! Ohmloom's program: a window where there is a display, text everywhere.

use std::process::ExitCode;

use ohmloom::cli::{self, NoWindow, Opening, Request};

fn main() -> ExitCode {
    match cli::parse(std::env::args_os()) {
        Ok(Request::Text(command)) => cli::run(&command),
        Ok(Request::Window(opening)) => open(&opening),
        Err(code) => code,
    }
}

#[cfg(not(feature = "gui"))]
fn open(opening: &Opening) -> ExitCode {
    cli::without_window(opening, &NoWindow::NotBuilt)
}

#[cfg(feature = "gui")]
fn open(opening: &Opening) -> ExitCode {
    use std::time::{Duration, Instant};

    use ohmloom::app;

    if !cli::has_display() {
        return cli::without_window(opening, &NoWindow::NoDisplay);
    }
    if let Err(code) = cli::readable(opening) {
        return code;
    }
    let start = match opening {
        Opening::File(path) => app::Start::File(path.clone()),
        Opening::Sample(name) => app::Start::Sample((*name).to_owned()),
    };
    // Missing system libraries show themselves as a panic while the window starts.
    let began = Instant::now();
    match cli::without_panic(|| app::run(start)) {
        Ok(Ok(())) => ExitCode::SUCCESS,
        Ok(Err(why)) => cli::without_window(opening, &NoWindow::Failed(why)),
        Err(why) if began.elapsed() < Duration::from_secs(10) => {
            cli::without_window(opening, &NoWindow::Failed(why))
        }
        Err(why) => cli::stopped(&why),
    }
}
