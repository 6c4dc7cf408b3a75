//! Stages in a window of 1280 by 800 points, with and without a page beside: nothing may be lost there.

use ohmloom::app::{Action, BreakPage, Command, CutPage, Stage, ThemeChoice, dispatch};
use ohmloom::edit::Item;

use crate::bench::{picture_of, settle, window, with_sample};

const SMALLISH: [f32; 2] = [1280.0, 800.0];
const LOOKS: [(ThemeChoice, f32, &str); 3] = [
    (ThemeChoice::Paper, 1.0, "paper-100"),
    (ThemeChoice::Bench, 1.0, "bench-100"),
    (ThemeChoice::Paper, 2.0, "paper-200"),
];

#[test]
fn pictures_of_cut_with_and_without_problems() {
    for (theme, scale, name) in LOOKS {
        // One look is enough beside another page.
        let is_first = name == LOOKS[0].2;
        for with_problems in [false, true].into_iter().filter(|beside| is_first || !beside) {
            let mut state = with_sample("sprayer");
            state.stage = Stage::Cut;
            state.preferences.theme = theme;
            state.preferences.text_scale = scale;
            let a1 = state.project().wires.iter().find(|(_, w)| w.name == "A1").unwrap().0;
            dispatch(&mut state, Action::Select([Item::Wire(a1)].into()));
            if with_problems {
                dispatch(&mut state, Action::Run(Command::Problems));
            }
            let mut window = window(state, SMALLISH);
            for page in CutPage::ALL {
                dispatch(window.state_mut(), Action::ShowCutPage(page));
                window.run_steps(2);
                settle(&mut window);
                window.run();
                let beside = if with_problems { "-problems" } else { "" };
                let word = page.word().to_lowercase().replace(' ', "-");
                picture_of(&mut window, &format!("tight-cut-{word}{beside}-{name}"));
            }
        }
    }
}

#[test]
fn pictures_of_tables_of_other_stages() {
    for (theme, scale, name) in LOOKS {
        for stage in [Stage::Read, Stage::Break, Stage::Route] {
            let mut state = with_sample("sprayer");
            state.stage = stage;
            state.preferences.theme = theme;
            state.preferences.text_scale = scale;
            let mut window = window(state, SMALLISH);
            settle(&mut window);
            let word = stage.word().to_lowercase();
            picture_of(&mut window, &format!("tight-{word}-{name}"));
            if stage == Stage::Break {
                for page in BreakPage::ALL {
                    window.state_mut().studies.breaking.page = page;
                    window.run_steps(2);
                    settle(&mut window);
                    let word = page.word().to_lowercase().replace(' ', "-");
                    picture_of(&mut window, &format!("tight-break-{word}-{name}"));
                }
            }
        }
    }
}
