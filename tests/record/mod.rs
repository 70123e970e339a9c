//! What the record says, the bench, spares, learned durations, stock and buying: on the demo yard and by hand.

mod bench;
mod builds;
mod buying;
mod calendar;
mod dark;
mod dates;
mod demo;
mod drying;
mod history;
mod kept;
mod life;
mod lives;
mod months;
mod orders;
mod past_sessions;
mod photos;
mod receipts;
mod times;
mod totes;
mod unfit;
mod unmet;

use std::path::PathBuf;

use ladderday::app::{App, Choices};
use serde_json::Value;

/// The demo yard at a fixed time, in a folder of its own.
pub struct Yard {
    folder: tempfile::TempDir,
}

impl Yard {
    pub fn demo() -> Self {
        let yard = Self { folder: tempfile::tempdir().unwrap() };
        let choices = Choices { now: Some("2026-09-01T12:00".to_owned()), ..Choices::default() };
        App::demo(&yard.path(), true, &choices).unwrap();
        yard
    }

    /// An empty yard with these files brought in.
    pub fn of(files: &[(&str, &str)]) -> Self {
        let yard = Self { folder: tempfile::tempdir().unwrap() };
        let mut app = App::create(&yard.path(), &Choices::default()).unwrap();
        let csv = yard.folder.path().join("csv");
        std::fs::create_dir(&csv).unwrap();
        for (name, text) in files {
            std::fs::write(csv.join(name), text).unwrap();
        }
        app.import(&[csv]).unwrap();
        yard
    }

    fn path(&self) -> PathBuf {
        self.folder.path().join("yard.ladderday")
    }

    pub fn at(&self, now: &str) -> App {
        App::open(&self.path(), &Choices { now: Some(now.to_owned()), ..Choices::default() }).unwrap()
    }

    pub fn season(&self, now: &str, season: &str) -> App {
        let choices =
            Choices { now: Some(now.to_owned()), season: Some(season.to_owned()), ..Choices::default() };
        App::open(&self.path(), &choices).unwrap()
    }
}

pub fn json(text: &str) -> Value {
    serde_json::from_str(text).unwrap()
}

pub fn rows<'a>(doc: &'a Value, list: &str) -> &'a Vec<Value> {
    doc[list].as_array().unwrap()
}

pub fn text<'a>(row: &'a Value, field: &str) -> &'a str {
    row[field].as_str().unwrap()
}
