//! What `print` and `step off` take, as typed.

use std::path::PathBuf;

use clap::{Args, Subcommand, ValueEnum};

use super::args::PhaseArg;
use crate::app::{LabelKind, Paper, SheetForm};
use crate::domain::LookKind;

#[derive(Debug, Clone, Copy, ValueEnum)]
pub(super) enum OffArg {
    Good,
    Wet,
    Worn,
    Faulty,
    Missing,
}

impl From<OffArg> for LookKind {
    fn from(arg: OffArg) -> Self {
        match arg {
            OffArg::Good => Self::Good,
            OffArg::Wet => Self::Wet,
            OffArg::Worn => Self::Worn,
            OffArg::Faulty => Self::Faulty,
            OffArg::Missing => Self::Missing,
        }
    }
}

#[derive(Debug, Clone, Copy, ValueEnum)]
pub(super) enum PaperArg {
    A4,
    Letter,
}

#[derive(Debug, Args)]
pub(super) struct HowPrinted {
    /// As one file for a browser, to print; a checklist can be ticked on a phone, too, without network
    #[arg(long)]
    html: bool,
    /// Into a PDF file
    #[arg(long, value_name = "FILE", conflicts_with = "html")]
    pdf: Option<PathBuf>,
    /// Paper of the PDF, else the usual one of the site's units
    #[arg(long, value_enum, requires = "pdf")]
    paper: Option<PaperArg>,
}

impl HowPrinted {
    pub(super) fn form(&self) -> SheetForm<'_> {
        let paper = self.paper.map(|p| match p {
            PaperArg::A4 => Paper::A4,
            PaperArg::Letter => Paper::Letter,
        });
        match &self.pdf {
            Some(path) => SheetForm::Pdf(path, paper),
            None if self.html => SheetForm::Html,
            None => SheetForm::Text,
        }
    }
}

#[derive(Debug, Subcommand)]
pub(super) enum Sheet {
    /// The checklist of a phase, with boxes to tick
    Checklist {
        #[arg(value_enum, default_value = "up")]
        phase: PhaseArg,
        #[command(flatten)]
        how: HowPrinted,
        /// Only this session
        #[arg(long, value_name = "SESSION")]
        session: Option<String>,
        /// Only what this person is planned for
        #[arg(long, value_name = "NAME")]
        person: Option<String>,
        /// Only at this place and what lies in it
        #[arg(long, value_name = "PLACE")]
        place: Option<String>,
    },
    /// A card for each box lid
    Wiring {
        #[command(flatten)]
        how: HowPrinted,
    },
    /// Labels with a code to scan
    Labels {
        #[arg(value_enum)]
        what: LabelArg,
        /// a4-2x7, a4-3x8, letter-2x5 or letter-3x10: labels across and down
        #[arg(long, value_name = "NAME")]
        sheet: Option<String>,
        /// As a page for the browser's print
        #[arg(long)]
        html: bool,
        /// Into a PDF file
        #[arg(long, value_name = "FILE", conflicts_with = "html")]
        pdf: Option<PathBuf>,
    },
    /// What to buy, by vendor
    Shopping {
        #[command(flatten)]
        how: HowPrinted,
    },
    /// Order-by dates, deliveries, sessions and lights on, for a calendar program
    Calendar,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
pub(super) enum LabelArg {
    Totes,
    Shelves,
    /// Both ends of each
    Leads,
}

impl From<LabelArg> for LabelKind {
    fn from(arg: LabelArg) -> Self {
        match arg {
            LabelArg::Totes => Self::Totes,
            LabelArg::Shelves => Self::Shelves,
            LabelArg::Leads => Self::Leads,
        }
    }
}
