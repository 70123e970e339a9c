//! `prop add|hold|release`, `kit list|show|set`: what is owned and placed, as commands.

use std::process::ExitCode;

use super::args::Args;
use super::deed_args::{KitDeed, PropDeed};
use super::{deeds, output};
use crate::app::{Ask, Problem, deed_answer, edit_of};

pub(super) fn prop(args: &Args, deed: &PropDeed) -> Result<ExitCode, Problem> {
    let ask = match deed {
        PropDeed::Add { name, count, place, method } => {
            // A whole line is read as on the screens.
            let line = name.contains(',') && *count == 1 && place.is_none();
            let quoted = |t: &String| format!("\"{}\"", t.replace('"', "\"\""));
            let short = format!(
                "{},{count},{},{}",
                quoted(name),
                place.as_ref().map(quoted).unwrap_or_default(),
                method.as_ref().map(quoted).unwrap_or_default()
            );
            Ask::AddProp { line: if line { name.clone() } else { short } }
        }
        PropDeed::Hold { code, why } => Ask::HoldPlacement {
            code: code.clone(),
            why: Some(why.clone().unwrap_or_else(|| "held".to_owned())),
        },
        PropDeed::Release { code } => Ask::HoldPlacement { code: code.clone(), why: None },
    };
    deeds::perform(args, &ask)
}

pub(super) fn kit(args: &Args, deed: &KitDeed) -> Result<ExitCode, Problem> {
    let mut app = args.open()?;
    match deed {
        KitDeed::List { words } => {
            // The same finding as on the screen.
            let find =
                |lines: &[String]| crate::tui::find::rank(&words.join(" "), lines.iter().map(String::as_str));
            Ok(output::answer(&app.kit_answer(find, args.form())?))
        }
        KitDeed::Show { code } => Ok(output::answer(&app.kit_detail_answer(code, args.form())?)),
        KitDeed::Set { code, field, text } => {
            let ask = edit_of(&app, code, field, text)?;
            Ok(output::answer(&deed_answer(&app.perform(&ask)?, args.form())))
        }
    }
}
