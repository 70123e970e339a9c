//! `settings`: the documented sample, and a look over the file; and what holds at start.

use std::process::ExitCode;

use super::args::Args;
use super::output;
use crate::app::{LookWord, Paths, Problem, Setup, refuse_settings, settings_answer, take_panic_note};
use crate::tui::look::Theme;
use crate::tui::run::{Options, fitting_look};
use crate::tui::{KeyText, Keymap};

/// Prints the sample, or looks the file over.
pub(super) fn settings(args: &Args, check: bool) -> Result<ExitCode, Problem> {
    let paths = Paths::of_system()?;
    if !check && !args.json {
        return Ok(output::answer(&paths.settings_sample()));
    }
    let (_, setup) = with_keys(paths.setup());
    if check {
        refuse_settings(&paths.settings(), &setup)?;
    }
    Ok(output::answer(&settings_answer(&paths, &setup, args.form())))
}

/// The keys of the settings; a row that can't be is one more fault, at its place.
fn with_keys(mut setup: Setup) -> (Keymap, Setup) {
    let text =
        |k: &crate::app::KeyLine| KeyText { place: k.on.clone(), key: k.key.clone(), action: k.does.clone() };
    let own: Vec<KeyText> = setup.settings.keys.iter().map(text).collect();
    let (keymap, refused) = Keymap::with_good_rows(&own);
    for (at, problem) in refused {
        let place = setup.settings.keys.get(at).map_or((1, 1), |k| (k.line, k.column));
        setup.faults.push(crate::app::SettingsFault {
            line: place.0,
            column: place.1,
            what: problem.what,
            remedy: problem.hints.join("; "),
        });
    }
    setup.faults.sort_by_key(|f| (f.line, f.column));
    (keymap, setup)
}

/// How the screens start: by arguments first, then settings, then what was kept.
pub(super) fn options(args: &Args) -> Options {
    // Without a home there are no settings, and no reason not to start.
    let paths = Paths::of_system().ok();
    let (keymap, setup) = with_keys(paths.as_ref().map_or_else(Setup::default, Paths::setup));
    let whose = setup.whose();
    let settings = setup.settings;
    let theme = settings.look.or(setup.kept_look).map(|word| match word {
        LookWord::Day => Theme::Day,
        LookWord::Night => Theme::Night,
        LookWord::None => Theme::Plain,
    });
    let notice = (!setup.faults.is_empty()).then(|| {
        let many = setup.faults.len();
        let first = setup.faults.first().map_or_else(String::new, ToString::to_string);
        let faults = if many == 1 { "one fault".to_owned() } else { format!("{many} faults") };
        format!("settings.toml has {faults}, defaults hold there (: show-settings). {first}")
    });
    let panicked = paths.as_ref().and_then(take_panic_note).map(|file| {
        format!("The last run broke off by a mistake of the program; what it said is in {}", file.display())
    });
    let mut page: Vec<(String, String)> =
        setup.faults.iter().map(|f| ("fault".to_owned(), f.to_string())).collect();
    if let Some(paths) = &paths {
        page.extend(paths.settings_sample().lines().map(|l| (String::new(), l.to_owned())));
    }
    Options {
        look: fitting_look(theme, args.ascii || settings.ascii),
        keymap,
        mouse: args.mouse || settings.mouse,
        glove_ms: settings.glove_ms,
        whose,
        settings: page,
        notice: panicked.or(notice),
        panic_note: paths.as_ref().map(Paths::panic_note),
    }
}
